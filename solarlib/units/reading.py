"""What does a text such as "5 15/16 in" or "1 h 10 min" mean as a plain number?

In: text as people type it, and the unit the question expects. Out: the value in
base units, or one sentence that says what cannot be read.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass

from solarlib.units.kinds import KINDS, UnitError, factor_and_offset, kind, label

_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?: (?P<whole>\d+)\s+(?P<n1>\d+)/(?P<d1>\d+)          # 5 15/16
      | (?P<n2>\d+)/(?P<d2>\d+)                           # 15/16
      | (?P<plain>\d+(?:[ ]\d{3})+(?:[.,]\d+)?(?!\d)      # 1 000,5
          | \d[\d.,]*|[.,]\d+ )
        (?:\s*(?:e|E|(?:[x×*·]\s*10\s*(?:\^|\*\*)))\s*(?P<exp>[+-]?\d{1,3}))? )
    """,
    re.VERBOSE,
)
# a unit ends at a foot or inch mark, or where a space and the next number follow
_UNIT = re.compile(r"""['"′″]|[^\d\s'"′″+-][^'"′″]*?(?=\s*$|\s+[+-]?\d)""")


@dataclass(frozen=True)
class Reading:
    """One quantity as somebody wrote it.

    `value` is in the base unit of what was expected, `unit` is the unit as
    typed (None when none was given), `text` is the original.
    """

    value: float
    unit: str | None
    text: str


def _plain_number(digits: str, text: str) -> float:
    """Read 1234.5, 1234,5, 1 000,5 or 1,000.5; refuse 1,000, which may mean one or a thousand."""
    digits = digits.replace(" ", "")
    if "," in digits and "." in digits:
        thousands = "," if digits.rfind(".") > digits.rfind(",") else "."
        grouped = re.fullmatch(rf"\d{{1,3}}(?:{re.escape(thousands)}\d{{3}})+[.,]\d+", digits)
        if not grouped:
            raise UnitError(f"“{text}” mixes commas and points; write it like 1234.5.")
        digits = digits.replace(thousands, "")
    elif re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        raise UnitError(
            f"“{text}” may mean {digits.replace(',', '')} or {digits.replace(',', '.')}; "
            "write it without the comma."
        )
    digits = digits.replace(",", ".")
    if digits.count(".") > 1 or digits == ".":
        raise UnitError(f"“{text}” has more than one decimal point; write it like 1234.5.")
    return float(digits)


def _number(match: re.Match[str], text: str) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["d1"] or match["d2"]:
        top, bottom = int(match["n1"] or match["n2"]), int(match["d1"] or match["d2"])
        if bottom == 0:
            raise UnitError(f"“{text}” divides by zero; write the fraction like 5 15/16.")
        return sign * (int(match["whole"] or 0) + top / bottom)
    digits = _plain_number(match["plain"], text)
    exponent = int(match["exp"] or 0)
    if abs(exponent) > 300:
        return sign * (math.inf if exponent > 0 else 0.0)
    return sign * digits * 10.0**exponent


def one_line(text: str) -> str:
    """Return what was typed on one line, without letters that show nothing.

    Such letters come along when text is copied: zero bytes, zero-width spaces, marks of writing
    direction.

    Parameters
    ----------
    text : as typed.

    Returns
    -------
    text with single spaces.

    Example
    -------
    >>> one_line("150.6\u200b  mm\\n")
    '150.6 mm'
    """
    shown = (c for c in text if c.isspace() or unicodedata.category(c) not in ("Cc", "Cf", "Cs"))
    return " ".join("".join(shown).split())


def _tidy(text: str) -> str:
    for old, new in (("−", "-"), ("–", "-"), ("\u00a0", " "), ("\u202f", " "), ("\u2009", " "),
                     ("º", "°"), ("⋅", "·"), ("∙", "·"),
                     ("½", " 1/2"), ("¼", " 1/4"), ("¾", " 3/4")):  # fmt: skip
        text = text.replace(old, new)
    # m² is m2, but 15² is no 152
    text = re.sub("(?<=[A-Za-zµ])[²³]", lambda found: "2" if found[0] == "²" else "3", text)
    return " ".join(text.split()).removesuffix(".")


def _clock(text: str) -> float:
    match = re.fullmatch(r"(\d{1,2})\s*[:.h]\s*(\d{2})\s*(am|pm|a\.m\.|p\.m\.)?", text.lower())
    hour, minute = (int(match[1]), int(match[2])) if match else (99, 99)
    if match and match[3]:
        afternoon = 12 if match[3][0] == "p" else 0
        hour = hour % 12 + afternoon if 1 <= hour <= 12 else 99
    if hour > 23 or minute > 59:
        raise UnitError(f"“{text}” is not a clock time; write it like 12:04.")
    return 60.0 * hour + minute


def parse(text: str, expects: str) -> Reading:
    """Read a quantity as people write it.

    Parameters
    ----------
    text : what was typed: "150.6 mm", "150,6", "5 15/16 in", "14 %", "1 h 10 min", "2.3 × 10^3 W".
    expects : the display unit the question asks for, such as "mm", "%" or "clock".

    Returns
    -------
    Reading : value [base unit of `expects`], the unit as typed or None, the text. A number
        without a unit is taken in `expects`.

    Raises
    ------
    UnitError : one sentence that names the text and what is allowed.

    Example
    -------
    >>> parse("5 15/16 in", "mm")
    Reading(value=0.1508125, unit='in', text='5 15/16 in')
    """
    if not isinstance(text, str):
        raise UnitError(f"{text!r} is not text; write a number and a unit in quotes, like “6 in”.")
    wanted = kind(expects)
    words, _, units = KINDS[wanted]
    examples = ", ".join(label(u) or "no unit" for u in units)
    written, text = text, one_line(text)
    tidy = _tidy(text)
    if len(tidy) > 60:
        raise UnitError(f"“{text[:40]}…” is too long; write one number and a unit ({examples}).")
    if not tidy:
        raise UnitError(f"Nothing is written; give {words}, in {examples}.")
    if wanted == "clock":
        return Reading(_clock(tidy), "clock", written)

    total, rest = 0.0, tidy
    typed: list[str] = []
    while rest:
        match = _NUMBER.match(rest)
        if not match:
            raise UnitError(f"“{text}” cannot be read; give {words} as a number, in {examples}.")
        number = _number(match, text)
        if typed:  # −5 ft 6 in is minus (5 ft and 6 in)
            number = math.copysign(number, total) if total else number
        rest = rest[match.end() :].lstrip()
        unit_match = _UNIT.match(rest)
        unit = unit_match[0].strip() if unit_match else ""
        rest = rest[len(unit) :].lstrip()
        if (typed or rest) and not unit:
            raise UnitError(f"“{text}” holds a number without a unit; write every part's unit.")
        conversion = factor_and_offset(unit or expects, wanted)
        if conversion is None:
            raise UnitError(_wrong_unit(text, unit, words, examples))
        typed.append(unit)
        total += number * conversion[0] + (conversion[1] if len(typed) == 1 else 0.0)
    if not math.isfinite(total):
        raise UnitError(f"“{text}” is not a finite number; give {words}, in {examples}.")
    if wanted == "temperature" and total < -273.15:
        raise UnitError(f"“{text}” is below absolute zero, −273.15 °C; check sign and unit.")
    return Reading(total, " ".join(typed) or None, written)


def _wrong_unit(text: str, unit: str, words: str, examples: str) -> str:
    for other, (other_words, _, _) in KINDS.items():
        if other not in ("clock", "temperature difference") and factor_and_offset(unit, other):
            return f"“{text}” is {other_words}; {words} is asked for, in {examples}."
    return f"“{text}”: the unit “{unit}” is not known here; give {words}, in {examples}."
