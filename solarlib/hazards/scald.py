"""How long does skin last in hot water, or at any temperature that is held?

In: temperature, a named table, adult or child. Out: the time until the injury that
the table tells. Tables differ in severity and source: each is used under its own name.

Burn data hold for small patches of healthy adult skin; not for eyes, face, or large
areas. A threshold is where burns begin, not where safety ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, within
from solarlib.hazards.finding import Finding, duration

ZERO = reference.ZERO_CELSIUS.value


@dataclass(frozen=True)
class BurnTable:
    """Times [s] after which water, or a surface held at temps_c [°C], causes the injury."""

    name: str
    injury: str
    temps_c: tuple[float, ...]
    times_s: tuple[float, ...]
    source: str
    status: str


def _celsius(rows: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    return tuple(((fahrenheit - 32) / 1.8, seconds) for fahrenheit, seconds in rows)


def _table(
    name: str, injury: str, rows: tuple[tuple[float, float], ...], source: str, status: str
) -> BurnTable:
    temps, times = zip(*sorted(rows), strict=True)
    return BurnTable(name, injury, temps, times, source, status)


_SECOND = tuple((temp, second) for temp, second, _ in reference.SCALD_BY_DEGREE)
_THIRD = tuple((temp, third) for temp, _, third in reference.SCALD_BY_DEGREE)
BURN_TABLES = {
    table.name: table
    for table in (
        _table(
            "deep burn",
            "a deep (third-degree) burn of an adult's skin",
            tuple({**dict(_THIRD), **dict(reference.MORITZ_HENRIQUES)}.items()),
            f"{reference.SCALD_BY_DEGREE_SOURCE}; above 60 °C {reference.MORITZ_HENRIQUES_SOURCE}",
            reference.COPY,
        ),
        _table(
            "blistering burn",
            "a blistering (second-degree) burn of an adult's skin",
            _SECOND,
            reference.SCALD_BY_DEGREE_SOURCE,
            reference.COPY,
        ),
        _table(
            "serious burn",
            "a serious burn of an adult's skin",
            _celsius(reference.SCALD_SERIOUS),
            reference.SCALD_SERIOUS_SOURCE,
            reference.COPY,
        ),
        _table(
            "consumer advice",
            "a serious burn of an adult's skin",
            _celsius(reference.SCALD_CONSUMER),
            reference.SCALD_CONSUMER_SOURCE,
            reference.COPY,
        ),
        _table(
            "small child",
            "a burn of a small child's skin",
            _celsius(reference.SCALD_CHILD),
            reference.SCALD_CHILD_SOURCE,
            reference.COPY,
        ),
        _table(
            "bare metal",
            "a burn of an adult's skin on smooth bare metal",
            reference.BURN_ON_METAL,
            reference.BURN_ON_METAL_SOURCE,
            reference.MEMORY,
        ),
    )
}


def _burn_table(name: str) -> BurnTable:
    try:
        return BURN_TABLES[name]
    except KeyError:
        known = ", ".join(BURN_TABLES)
        raise ValueError(f"Burn table {name!r} is not known; use one of {known}.") from None


def temperature(name: str, value: ArrayLike) -> NDArray:
    """Return a checked temperature [°C]."""
    return within(name, value, -40, 1000, "°C", "degrees Celsius, not kelvin or Fahrenheit")


def scald_time_s(temp_c: ArrayLike, table: str = "deep burn", child: bool = False) -> Array:
    """Return how long skin lasts in water of a temperature, from a named table.

    Between two rows the logarithm of the time runs straight with temperature: every degree
    takes away the same share, not the same number of seconds.

    Parameters
    ----------
    temp_c : water, or skin surface, temperature [°C], any shape.
    table : a name in BURN_TABLES, which tells the injury and the source.
    child : True takes a quarter of the adult's time.

    Returns
    -------
    [s], same shape; nan outside the table. Nan is not "safe": below the table nobody measured,
    above it the burn is faster than the last row. `scald` says which.

    Raises
    ------
    ValueError : an unknown table; a temperature outside -40 to 1000 °C.

    Valid for: small patches of healthy adult skin; not eyes, face or large areas.

    Example
    -------
    >>> round(scald_time_s(53)), round(scald_time_s(64), 1)
    (87, 2.3)

    Source: see BURN_TABLES; the interpolation was recomputed.
    """
    chosen = _burn_table(table)
    temp = temperature("temperature", temp_c)
    log_time = np.interp(temp, chosen.temps_c, np.log(chosen.times_s), left=np.nan, right=np.nan)
    return plain(np.exp(log_time) * (_child_share(chosen) if child else 1.0))


def _child_share(table: BurnTable) -> float:
    """A table that is about children already isn't shortened twice."""
    return 1.0 if table.name == "small child" else reference.CHILD_SHARE.value


def _outside(temp_c: float, table: BurnTable, child: bool) -> str:
    coldest, hottest = table.temps_c[0], table.temps_c[-1]
    if temp_c > hottest:
        shortest = table.times_s[-1] * (_child_share(table) if child else 1)
        injury = (
            "the same burn of a small child's skin"
            if shortest < table.times_s[-1]
            else (table.injury)
        )
        return (
            f"{temp_c:.1f} °C is hotter than the table, which ends at {hottest:.1f} °C: "
            f"{injury} takes less than {duration(shortest)}; count on none at all."
        )
    return (
        f"{temp_c:.1f} °C lies below the table, which begins at {coldest:.1f} °C: it gives no "
        "time, and no promise either; skin burns from about 43 °C if the touch lasts for hours."
    )


def scald(temp_c: float, table: str = "deep burn", child: bool = False) -> Finding:
    """Say how long skin lasts in water of a temperature, with injury and source.

    log time straight with temperature between two rows, as `scald_time_s`

    Parameters
    ----------
    temp_c : water temperature [°C]. table : a name in BURN_TABLES.
    child : True takes a quarter of the adult's time.

    Returns
    -------
    Finding : time [s], nan when unknown, and a sentence.

    Raises
    ------
    ValueError : an unknown table; a temperature outside -40 to 1000 °C.

    Valid for: as `scald_time_s`.

    Example
    -------
    >>> scald(60).sentence
    'At 60.0 °C a deep (third-degree) burn of an adult’s skin takes about 5 s.'

    Source: the table's own, named in the finding.
    """
    chosen = _burn_table(table)
    seconds = scald_time_s(float(temp_c), table, child)
    injury = chosen.injury.replace("'", "’")
    sentence = f"At {temp_c:.1f} °C {injury} takes about {duration(seconds)}."
    if np.isnan(seconds):
        sentence = _outside(float(temp_c), chosen, child).replace("'", "’")
    elif child and chosen.name != "small child":
        sentence = (
            f"At {temp_c:.1f} °C the same burn of a small child’s skin takes about "
            f"{duration(seconds)} or less, a quarter of an adult’s time."
        )
    return Finding(seconds, "s", chosen.source, chosen.status, sentence)


def damage_time_s(basal_c: ArrayLike) -> Array:
    """Return the time to irreversible damage of the skin's basal layer held at a temperature.

    P t exp(-E/RT) = 1

    Parameters
    ----------
    basal_c : temperature of the layer some 0.1 mm deep [°C], 40 to 80, any shape.

    Returns
    -------
    [s], same shape.

    Raises
    ------
    ValueError : a temperature outside 40 to 80 °C.

    Valid for: the layer itself. Times measured at the surface are longer above 58 °C.

    Example
    -------
    >>> round(damage_time_s(55))
    30

    Source: Henriques 1947, constants from memory.
    """
    temp = within("skin temperature", basal_c, 40, 80, "°C", "the burn integral's range") + ZERO
    energy, gas = reference.DAMAGE_ENERGY.value, reference.GAS_CONSTANT.value
    return plain(np.exp(energy / (gas * temp)) / reference.DAMAGE_RATE.value)
