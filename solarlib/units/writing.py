"""How is a plain number written for the bench?

In: a value in base units and a display unit. Out: text with few digits, inches to
the nearest 1/32, both benches side by side.
"""

from __future__ import annotations

import math
from fractions import Fraction

from solarlib.units.kinds import from_base, kind, label


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

    Returns
    -------
    text, with a power of ten only far from 1.

    Raises
    ------
    UnitError : a unit that the course doesn't use.

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
    name = label(unit)
    space = "" if name in ("", "°") else " "
    return _digits(from_base(value, unit), digits) + space + name


def show_inches(length: float, parts: int = 32) -> str:
    """Write a length in inches to the nearest 1/`parts`, as a steel rule shows it.

    Parameters
    ----------
    length : [m]. parts : of an inch, 32 by default.

    Returns
    -------
    text.

    Example
    -------
    >>> show_inches(0.1506)
    '5 15/16 in'

    Source: 1 in is 25.4 mm exactly.
    """
    nearest = Fraction(round(abs(length) / 0.0254 * parts), parts)  # 1 in is 25.4 mm exactly
    whole, rest = divmod(nearest, 1)
    sign = "−" if length < 0 and nearest else ""
    pieces = ([str(whole)] if whole or not rest else []) + ([str(rest)] if rest else [])
    return f"{sign}{' '.join(pieces)} in"


def show_both(value: float, unit: str, digits: int = 4) -> str:
    """Write a base-unit value in the unit asked for and in the other bench's unit beside it.

    Lengths come with inches, temperatures with °F, volumes with US cups; other
    kinds are written once.

    Parameters
    ----------
    value : [base unit of `unit`]. unit : display unit. digits : significant digits.

    Returns
    -------
    text.

    Raises
    ------
    UnitError : a unit that the course doesn't use.

    Example
    -------
    >>> show_both(0.1506, "mm"), show_both(100.0, "degC")
    ('150.6 mm (5 15/16 in)', '100 °C (212 °F)')

    Source: 1 in is 25.4 mm exactly; a US cup is 236.588 mL.
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
