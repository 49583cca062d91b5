"""One entry of a design: its unit, range and words, and the check that a value fits.

In: what a file, a form or a program gives for an entry. Out: the tidied value, or
one sentence that names the entry, what came and what is allowed.
"""

from __future__ import annotations

from dataclasses import field
from datetime import date
from functools import cache
from typing import Any

from solarlib import units
from solarlib.design.plumbing import Plumbing

LETTERS = 300  # of a text
MOST_CHANGES = 200  # lines of the change log


def _given(value: Any) -> str:
    """Write what was given, cut short where it is long."""
    try:
        said = repr(value)
    except ValueError:  # Python writes no whole number of more than 4300 digits
        said = "a number of thousands of digits"
    return said if len(said) <= 60 else f"{said[:57]}…"


class DesignError(ValueError):
    """A design that cannot be; the message is one sentence that names the entry."""


def _entry(demo: Any, stated: bool, **about: Any) -> Any:
    """A field; one that must be stated has no value until somebody gives it (None)."""
    return field(default=None if stated else demo, metadata={**about, "demo": demo})


def number(
    group: str, demo: float, unit: str, low: float, high: float, words: str, stated: bool = False
) -> Any:
    """A number; `unit`, `low` and `high` are those of the file and the forms, not SI."""
    about = {"unit": unit, "low": low, "high": high, "words": words}
    return _entry(demo, stated, group=group, kind="number", **about)


def choice(
    group: str, demo: str, options: tuple[str, ...], words: str, stated: bool = False
) -> Any:
    """One of a few words."""
    return _entry(demo, stated, group=group, kind="choice", options=options, words=words)


def flag(group: str, demo: bool, words: str, stated: bool = False) -> Any:
    """Yes or no."""
    return _entry(demo, stated, group=group, kind="flag", words=words)


def text(group: str, demo: str, words: str, stated: bool = False) -> Any:
    """Free words, at most LETTERS letters."""
    return _entry(demo, stated, group=group, kind="text", words=words)


def other(group: str, kind: str, demo: Any, words: str, stated: bool = False) -> Any:
    """Months, plumbing, prices or the change log."""
    return _entry(demo, stated, group=group, kind=kind, words=words)


def stored_unit(one: Any) -> str:
    """The unit in which a number's field is held: the one its name ends with, or SI."""
    unit = one.metadata["unit"]
    return unit if one.name.endswith("_mrad") or one.name.endswith("_h") else units.base_unit(unit)


@cache  # asked for at every check of every design; the fields never change
def limits(one: Any) -> tuple[float, float]:
    """Lowest and highest value of a number's field, in the unit in which it is held."""
    low, high = one.metadata["low"], one.metadata["high"]
    return to_stored(one, low), to_stored(one, high)


def to_stored(one: Any, shown: float) -> float:
    """Turn a number in a field's own unit into the one in which it is held."""
    unit = one.metadata["unit"]
    if stored_unit(one) == unit:
        return float(shown)
    return float(f"{units.to_base(shown, unit):.12g}")


def to_shown(one: Any, stored: float) -> float:
    """Turn a held number into a field's own unit."""
    unit = one.metadata["unit"]
    shown = stored if stored_unit(one) == unit else units.from_base(stored, unit)
    return float(f"{shown:.10g}")


def range_text(one: Any) -> str:
    """The range of a number's field in words, such as "300 to 900 mm"."""
    low, high = (f"{one.metadata[end]:g}".replace("-", "−") for end in ("low", "high"))
    return f"{low} to {high} {units.label(one.metadata['unit'])}".rstrip()


def check(one: Any, value: Any) -> Any:
    """Return the value of one field, tidied; raise a DesignError that names it when it is wrong."""
    kind = one.metadata["kind"]
    if value is None and one.default is None:  # not stated
        return None
    if kind == "number":
        return _check_number(one, value)
    if kind == "choice" and value not in one.metadata["options"]:
        options = ", ".join(f"“{option}”" for option in one.metadata["options"])
        raise DesignError(f"{one.name} is {_given(value)}; use one of {options}.")
    if kind == "flag" and not isinstance(value, bool):
        raise DesignError(f"{one.name} is {_given(value)}; write true or false.")
    if kind == "text" and not (isinstance(value, str) and len(value) <= LETTERS):
        raise DesignError(f"{one.name} must be text between quotes, at most {LETTERS} letters.")
    if kind == "months":
        return _check_months(one, value)
    if kind == "plumbing" and not isinstance(value, Plumbing):
        raise DesignError(f"{one.name} must be parts and links; see the demo file.")
    if kind == "prices":
        return _check_prices(one, value)
    if kind == "changes":
        return _check_changes(one, value)
    return value


def _check_number(one: Any, value: Any) -> Any:
    low, high = limits(one)
    whole = isinstance(one.metadata["demo"], int)
    if type(value) is float and low <= value <= high and not whole:
        return value  # nearly always; what-ifs check thousands of designs
    try:
        if isinstance(value, (bool, str)):
            raise TypeError
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        raise DesignError(
            f"{one.name} ({one.metadata['words']}) is {_given(value)}; give a number, "
            f"{range_text(one)}."
        ) from None
    slack = 1e-9 * max(abs(low), abs(high))
    if not low - slack <= number <= high + slack:
        shown = f"{to_shown(one, number):g} {units.label(one.metadata['unit'])}".rstrip()
        raise DesignError(
            f"{one.name} ({one.metadata['words']}) is {shown}; it must lie within "
            f"{range_text(one)}."
        )
    if whole:
        if number != int(number):
            raise DesignError(f"{one.name} is {value:g}; give a whole number.")
        return int(number)
    return number


def _check_months(one: Any, value: Any) -> tuple[int, ...]:
    months = tuple(value) if isinstance(value, (list, tuple)) else (value,)
    good = all(isinstance(m, int) and not isinstance(m, bool) and 1 <= m <= 12 for m in months)
    if not months or not good:
        raise DesignError(
            f"{one.name} is {_given(value)}; list months by number, like [4, 5, 6]."
        )
    return tuple(sorted(set(months)))


def _check_prices(one: Any, value: Any) -> tuple[tuple[str, float], ...]:
    if not isinstance(value, (dict, tuple)):
        raise DesignError(
            f"{one.name} is {_given(value)}; write parts and prices, {{ pipe = 12.50 }}."
        )
    pairs = tuple(value.items()) if isinstance(value, dict) else value
    for part, price in pairs:
        if isinstance(price, bool) or not isinstance(price, (int, float)) or not 0 <= price < 1e7:
            raise DesignError(
                f"{one.name}: the price of “{part}” is {_given(price)}; give a number."
            )
    return tuple((str(part), float(price)) for part, price in pairs)


def _check_changes(one: Any, value: Any) -> tuple[tuple[str, str, str], ...]:
    good = isinstance(value, (list, tuple)) and len(value) <= MOST_CHANGES
    for row in value if good else ():
        good = good and isinstance(row, (list, tuple)) and len(row) == 3
        good = good and all(isinstance(cell, (str, date)) and len(str(cell)) <= LETTERS
                            for cell in row)  # fmt: skip
    if not good:
        raise DesignError(
            f"{one.name} cannot be read; write each change as [\"2026-05-01\", \"what\", \"why\"], "
            f"at most {MOST_CHANGES} of them, each text at most {LETTERS} letters."
        )
    return tuple((str(day), str(what), str(why)) for day, what, why in value)
