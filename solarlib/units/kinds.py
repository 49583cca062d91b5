"""Which units does the course know, and what is one of them in base units?

In: a unit as people spell it. Out: its kind of quantity, its base unit, values
converted to and fro. `pint` supplies the factors; it is imported when the first
unit is converted.
"""

from __future__ import annotations

import re
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
LABELS = {
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
    "qm": "m2", "sqm": "m2", "sq m": "m2", "square metres": "m2", "square meters": "m2",
    "qcm": "cm2", "sq cm": "cm2", "sq in": "in2", "sqin": "in2", "square inches": "in2",
    "sq ft": "ft2", "sqft": "ft2", "square feet": "ft2",
}  # fmt: skip


class UnitError(ValueError):
    """A text that cannot be read as the quantity asked for; the message is one clear sentence."""


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def kind(unit: str) -> str:
    """Return the kind of quantity that a display unit measures.

    Parameters
    ----------
    unit : display unit, such as "mm", "degC" or "%".

    Returns
    -------
    a key of KINDS, such as "length".

    Raises
    ------
    UnitError : a unit that the course doesn't use.

    Example
    -------
    >>> kind("mm"), kind("%")
    ('length', 'ratio')
    """
    try:
        return _KIND_OF[unit]
    except KeyError:
        known = ", ".join(sorted(_KIND_OF))
        raise UnitError(f"“{unit}” is not a unit of this course; it uses {known}.") from None


def base_unit(unit: str) -> str:
    """Return the base unit in which `parse` hands over values of this display unit.

    Parameters
    ----------
    unit : display unit, such as "mm".

    Returns
    -------
    the base unit, such as "m".

    Raises
    ------
    UnitError : a unit that the course doesn't use.

    Example
    -------
    >>> base_unit("mm"), base_unit("degF")
    ('m', 'degC')
    """
    return KINDS[kind(unit)][1]


@lru_cache(maxsize=512)
def factor_and_offset(unit: str, wanted: str) -> tuple[float, float] | None:
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


def label(unit: str) -> str:
    """Return how a display unit is printed: "m²" for "m2", nothing for "1".

    Parameters
    ----------
    unit : display unit.

    Returns
    -------
    text; an unknown unit comes back as it is.

    Example
    -------
    >>> label("W/m2K")
    'W/(m²·K)'
    """
    return LABELS.get(unit, unit)


def to_base(value: float, unit: str) -> float:
    """Convert a value in a display unit to base units.

    Parameters
    ----------
    value : in `unit`. unit : display unit, such as "mm" or "degF".

    Returns
    -------
    the value in the base unit, such as [m] or [°C].

    Raises
    ------
    UnitError : a unit that the course doesn't use.

    Example
    -------
    >>> round(to_base(150.6, "mm"), 9), round(to_base(212, "degF"), 9)
    (0.1506, 100.0)
    """
    if kind(unit) == "clock":
        return value
    factor, offset = factor_and_offset(unit, kind(unit)) or (1.0, 0.0)
    return value * factor + offset


def from_base(value: float, unit: str) -> float:
    """Convert a value in base units to a display unit; undoes `to_base`.

    Parameters
    ----------
    value : in the base unit of `unit`. unit : display unit, such as "mm" or "degF".

    Returns
    -------
    the value in `unit`.

    Raises
    ------
    UnitError : a unit that the course doesn't use.

    Example
    -------
    >>> round(from_base(0.1506, "mm"), 9), round(from_base(100, "degF"), 9)
    (150.6, 212.0)
    """
    if kind(unit) == "clock":
        return value
    factor, offset = factor_and_offset(unit, kind(unit)) or (1.0, 0.0)
    return (value - offset) / factor
