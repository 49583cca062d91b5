"""What the bench says ("5 15/16 in", "14 %", "1 h 10 min") in, plain numbers out, and back again.

In: text as people type it, and the unit the question expects. Out: a number in
the base unit of that quantity (m, m2, kg, m3, s, W, J, Pa ..., angles in
degrees, temperatures in °C, shares as fractions). This is the only module that
knows millimetres from inches; `pint` supplies the factors and is imported when
the first text is read.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

# kind of quantity -> (name in words, base unit, display units with the first as the example)
KINDS: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "length": ("a length", "m", ("mm", "cm", "m", "in", "ft")),
    "area": ("an area", "m2", ("m2", "cm2")),
    "mass": ("a mass", "kg", ("kg", "g", "lb")),
    "volume": ("a volume", "m3", ("L", "mL", "m3")),
    "time": ("a time", "s", ("min", "s", "h", "d")),
    "power": ("a power", "W", ("W", "kW", "BTU/h")),
    "irradiance": ("a power per area", "W/m2", ("W/m2", "kW/m2")),
    "energy": ("an energy", "J", ("kJ", "J", "MJ", "kWh")),
    "temperature difference": ("a temperature difference", "K", ("K",)),
    "temperature": ("a temperature", "degC", ("degC", "degF")),
    "angle": ("an angle", "deg", ("deg", "mrad", "rad")),
    "ratio": ("a plain number or a share", "1", ("%", "1", "suns")),
    "pressure": ("a pressure", "Pa", ("bar", "Pa", "kPa", "psi")),
    "force": ("a force", "N", ("N",)),
    "moment": ("a turning moment", "N m", ("N m",)),
    "heat capacity": ("a heat capacity", "J/K", ("J/K",)),
    "loss per kelvin": ("a heat loss per kelvin", "W/K", ("W/K",)),
    "power per length": ("a power per length", "W/m", ("W/m",)),
    "loss coefficient": ("a loss per area and kelvin", "W/m2K", ("W/m2K",)),
    "heating rate": ("a heating rate", "K/s", ("K/min", "K/s")),
    "speed": ("a speed", "m/s", ("m/s", "km/h", "mph", "kn")),
    "mass flow": ("a mass per time", "kg/s", ("g/min", "kg/s")),
    "volume flow": ("a volume per time", "m3/s", ("L/min", "m3/s")),
    "clock": ("a clock time", "clock", ("clock",)),
}
_KIND_OF = {unit: kind for kind, (_, base, units) in KINDS.items() for unit in (*units, base)}

# our display unit -> the spelling pint reads
_PINT = {
    "m2": "m**2", "cm2": "cm**2", "m3": "m**3", "W/m2": "W/m**2", "kW/m2": "kW/m**2",
    "W/m2K": "W/m**2/kelvin", "BTU/h": "BTU/hour", "kn": "knot", "K": "kelvin",
    "W/K": "W/kelvin", "J/K": "J/kelvin", "K/s": "kelvin/s", "K/min": "kelvin/min",
    "N m": "N*m", "d": "day",
}  # fmt: skip
_LABEL = {
    "m2": "m²", "cm2": "cm²", "m3": "m³", "W/m2": "W/m²", "kW/m2": "kW/m²", "W/m2K": "W/(m²·K)",
    "degC": "°C", "degF": "°F", "deg": "°", "1": "", "N m": "N·m", "m3/s": "m³/s",
}  # fmt: skip
_RATIO = {"": 1.0, "1": 1.0, "suns": 1.0, "sun": 1.0, "x": 1.0, "times": 1.0, "%": 0.01,
          "percent": 0.01, "pct": 0.01, "‰": 0.001}  # fmt: skip
# what people type for a unit that pint would read as something else (C is not a coulomb here)
_SPELLING = {
    '"': "in", "″": "in", "'": "ft", "′": "ft", "°": "deg", "°c": "degC", "c": "degC",
    "degc": "degC", "deg c": "degC", "deg f": "degF", "celsius": "degC",
    "°f": "degF", "f": "degF", "degf": "degF",
    "fahrenheit": "degF", "k": "K", "l": "L", "ml": "mL", "lt": "L", "litre": "L",
    "litres": "L", "hr": "h", "hrs": "h", "hours": "h", "mins": "min", "minutes": "min", "sec": "s",
    "secs": "s", "kts": "kn", "lbs": "lb", "w": "W", "kw": "kW", "pa": "Pa", "kwh": "kWh",
    "watts": "W", "watt": "W", "degrees": "deg", "degree": "deg", "day": "d", "days": "d",
}  # fmt: skip

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


class UnitError(ValueError):
    """A text that cannot be read as the quantity asked for; the message is one clear sentence."""


@dataclass(frozen=True)
class Reading:
    """One quantity as somebody wrote it.

    `value` is in the base unit of what was expected, `unit` is the unit as
    typed (None when none was given), `text` is the original.
    """

    value: float
    unit: str | None
    text: str


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def kind(unit: str) -> str:
    """Return the kind of quantity that a display unit measures, such as "length" for "mm"."""
    try:
        return _KIND_OF[unit]
    except KeyError:
        known = ", ".join(sorted(_KIND_OF))
        raise UnitError(f"“{unit}” is not a unit of this course; it uses {known}.") from None


def base_unit(unit: str) -> str:
    """Return the base unit in which `parse` hands over values of this display unit."""
    return KINDS[kind(unit)][1]


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


def _tidy(text: str) -> str:
    for old, new in (("−", "-"), ("–", "-"), ("\u00a0", " "), ("\u202f", " "), ("\u2009", " "),
                     ("º", "°"), ("²", "2"), ("³", "3"), ("⋅", "·"), ("∙", "·"),
                     ("½", " 1/2"), ("¼", " 1/4"), ("¾", " 3/4")):  # fmt: skip
        text = text.replace(old, new)
    return " ".join(text.split()).removesuffix(".")


@lru_cache(maxsize=512)
def _to_base(unit: str, wanted: str) -> tuple[float, float] | None:
    """Return (factor, offset) from a typed unit to the base of `wanted`, None if impossible."""
    name = _SPELLING.get(unit.lower(), unit)
    if wanted == "ratio":
        factor = _RATIO.get(name.lower())
        return None if factor is None else (factor, 0.0)
    if wanted == "temperature difference":  # a difference of 1 °C is 1 K, of 1 °F is 5/9 K
        name = {"degC": "K", "degF": "delta_degF"}.get(name, name)
    if wanted == "heating rate":
        name = re.sub(r"^(°|deg)?C(?=/)", "kelvin", name)
        name = re.sub(r"^(°|deg)?F(?=/)", "delta_degF", name)
    unit_pint = _pint_unit(name)
    base = _pint_unit(KINDS[wanted][1])
    if unit_pint is None or (wanted == "angle") != _is_angle(unit_pint):
        return None
    if unit_pint.dimensionality != base.dimensionality:
        return None
    registry = _registry()
    zero = registry.Quantity(0.0, unit_pint).to(base).magnitude
    if wanted != "temperature":
        zero = 0.0
    return registry.Quantity(1.0, unit_pint).to(base).magnitude - zero, zero


def _pint_unit(name: str) -> Any:
    """Return pint's unit for a spelling, None when it knows none."""
    name = _PINT.get(name, name)
    if name in ("degC", "degF", "delta_degF"):
        return _registry().Unit(name)
    name = re.sub(r"(?<=[A-Za-z])\^?(?=[23](?![0-9]))", "**", name.replace("·", "*"))
    name = re.sub(r"(?<=[A-Za-z0-9])K(?![A-Za-z])", "*kelvin", name).replace(" ", "*")
    name = re.sub(r"/(m\*\*[23])\*kelvin", r"/\1/kelvin", name)
    if len(name) > 30 or not re.fullmatch(r"[A-Za-zµ_*/()23]+", name):
        return None
    try:
        return _registry().parse_units(name)
    except Exception:  # pint raises a dozen different classes for text it cannot read
        return None


def _is_angle(unit: Any) -> bool:
    names = {str(name).removeprefix("milli") for name in unit._units}
    return bool(names & {"degree", "radian", "arcminute", "arcsecond"})


def _clock(text: str) -> float:
    match = re.fullmatch(r"(\d{1,2})\s*[:h]\s*(\d{2})\s*(am|pm|a\.m\.|p\.m\.)?", text.lower())
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
    examples = ", ".join(_LABEL.get(u, u) or "no unit" for u in units)
    tidy = _tidy(text)
    if len(tidy) > 60:
        raise UnitError(f"“{text[:40]}…” is too long; write one number and a unit ({examples}).")
    if not tidy:
        raise UnitError(f"Nothing is written; give {words}, in {examples}.")
    if wanted == "clock":
        return Reading(_clock(tidy), "clock", text)

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
        conversion = _to_base(unit or expects, wanted)
        if conversion is None:
            raise UnitError(_wrong_unit(text, unit, words, examples))
        typed.append(unit)
        total += number * conversion[0] + (conversion[1] if len(typed) == 1 else 0.0)
    if not math.isfinite(total):
        raise UnitError(f"“{text}” is not a finite number; give {words}, in {examples}.")
    if wanted == "temperature" and total < -273.15:
        raise UnitError(f"“{text}” is below absolute zero, −273.15 °C; check sign and unit.")
    return Reading(total, " ".join(typed) or None, text)


def _wrong_unit(text: str, unit: str, words: str, examples: str) -> str:
    for other, (other_words, _, _) in KINDS.items():
        if other not in ("clock", "temperature difference") and _to_base(unit, other):
            return f"“{text}” is {other_words}; {words} is asked for, in {examples}."
    return f"“{text}”: the unit “{unit}” is not known here; give {words}, in {examples}."


def label(unit: str) -> str:
    """Return how a display unit is printed: "m²" for "m2", nothing for "1"."""
    return _LABEL.get(unit, unit)


def to_base(value: float, unit: str) -> float:
    """Convert a value in a display unit to base units: 150.6 for "mm" to 0.1506 (m)."""
    if kind(unit) == "clock":
        return value
    factor, offset = _to_base(unit, kind(unit)) or (1.0, 0.0)
    return value * factor + offset


def from_base(value: float, unit: str) -> float:
    """Convert a value in base units to a display unit: 0.1506 (m) to 150.6 for "mm"."""
    if kind(unit) == "clock":
        return value
    factor, offset = _to_base(unit, kind(unit)) or (1.0, 0.0)
    return (value - offset) / factor


def _digits(value: float, digits: int) -> str:
    """Write a number with so many significant digits; a power of ten only when it is far off."""
    if value == 0:
        return "0"
    if not 1e-5 <= abs(value) < 1e9:
        digit, power = f"{value:.{digits - 1}e}".split("e")
        return f"{digit} × 10^{int(power)}".replace("-", "−")
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace("-", "−")


def show(value: float, unit: str, digits: int = 4) -> str:
    """Write a base-unit value for people in a display unit.

    Parameters
    ----------
    value : the value [base unit of `unit`]; nan is written "unknown".
    unit : display unit, such as "mm", "degC", "%" or "clock".
    digits : significant digits.

    Example
    -------
    >>> show(0.15059, "mm")
    '150.6 mm'
    """
    if math.isnan(value):
        return "unknown"
    if math.isinf(value):
        return "without limit" if value > 0 else "without lower limit"
    if kind(unit) == "clock":
        minutes = round(value) % 1440
        return f"{minutes // 60:02d}:{minutes % 60:02d}"
    label = _LABEL.get(unit, unit)
    space = "" if label in ("", "°") else " "
    return _digits(from_base(value, unit), digits) + space + label


def show_inches(length: float, parts: int = 32) -> str:
    """Write a length [m] in inches to the nearest 1/`parts`: 0.1506 gives "5 15/16 in"."""
    nearest = Fraction(round(abs(length) / 0.0254 * parts), parts)  # 1 in is 25.4 mm exactly
    whole, rest = divmod(nearest, 1)
    sign = "−" if length < 0 and nearest else ""
    pieces = ([str(whole)] if whole or not rest else []) + ([str(rest)] if rest else [])
    return f"{sign}{' '.join(pieces)} in"


def show_both(value: float, unit: str, digits: int = 4) -> str:
    """Write a base-unit value in the unit asked for and in the other bench's unit beside it.

    Lengths come with inches, temperatures with °F, volumes with US cups; other
    kinds are written once.
    """
    first = show(value, unit, digits)
    if not math.isfinite(value):
        return first
    if kind(unit) == "length" and unit not in ("in", "ft"):
        return f"{first} ({show_inches(value)})"
    if unit == "degC":
        return f"{first} ({_digits(from_base(value, 'degF'), 3)} °F)"
    if kind(unit) == "volume":
        return f"{first} ({_digits(value / 2.365882365e-4, 3)} cups)"  # US cup, 236.588 mL
    return first
