"""How hot does a touched surface get the skin, and how long does skin last?

In: material and surface temperature, water temperature, who is touching. Out: contact
temperature, burn time from a named table, the surface temperature that burns in a
given time. Tables differ in severity and source: each is used under its own name.

Burn data hold for small patches of healthy adult skin; not for eyes, face, or large
areas. A threshold is where burns begin, not where safety ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
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


def _material(material: str | reference.Contact) -> reference.Contact:
    if isinstance(material, reference.Contact):
        return material
    try:
        return reference.CONTACT_MATERIALS[material]
    except (KeyError, TypeError):
        known = ", ".join(reference.CONTACT_MATERIALS)
        raise ValueError(f"Material {material!r} is not known; use one of {known}.") from None


def _temperature(name: str, value: ArrayLike) -> NDArray:
    return within(name, value, -40, 1000, "°C", "degrees Celsius, not kelvin or Fahrenheit")


def effusivity(material: str | reference.Contact) -> float:
    """Return b = sqrt(k rho c) [W s^0.5/m²K]: how strongly a body holds its own temperature."""
    body = _material(material)
    return float(np.sqrt(body.conductivity * body.density * body.specific_heat))


# --- touch -------------------------------------------------------------------------------------
def contact_temperature_c(
    material: str | reference.Contact,
    surface_c: ArrayLike,
    skin_c: ArrayLike = reference.SKIN_TEMPERATURE_C.value,
) -> Array:
    """Return the temperature between skin and a hot body at first touch.

    Tc = (b1 T1 + b2 T2)/(b1 + b2), b = sqrt(k rho c)

    Parameters
    ----------
    material : a name in reference.CONTACT_MATERIALS, or a reference.Contact.
    surface_c, skin_c : temperatures before the touch [°C], broadcastable.

    Returns
    -------
    [°C], broadcast shape.

    Raises
    ------
    ValueError : an unknown material; a temperature outside -40 to 1000 °C.

    Valid for: a thick dry body and the first seconds. A tube full of hot water doesn't cool
    under a finger: take its own temperature (`contact_burn(..., kept_hot=True)`).

    Example
    -------
    >>> round(contact_temperature_c("copper", 80)), round(contact_temperature_c("pine", 80))
    (79, 43)

    Source: two half-spaces brought together, any heat-transfer textbook; skin data are common
    practice.
    """
    body, skin = effusivity(material), effusivity(reference.SKIN)
    hot = _temperature("surface temperature", surface_c)
    own = within("skin temperature", skin_c, 0, 45, "°C", "about 33 at rest")
    return plain((body * hot + skin * own) / (body + skin))


def surface_for_contact_c(
    material: str | reference.Contact,
    contact_c: ArrayLike,
    skin_c: ArrayLike = reference.SKIN_TEMPERATURE_C.value,
) -> Array:
    """Return the surface temperature [°C] whose first touch brings the skin to `contact_c`.

    Example
    -------
    >>> round(surface_for_contact_c("copper", 44)), round(surface_for_contact_c("pine", 44))
    (44, 86)
    """
    body, skin = effusivity(material), effusivity(reference.SKIN)
    wanted = _temperature("contact temperature", contact_c)
    own = within("skin temperature", skin_c, 0, 45, "°C", "about 33 at rest")
    return plain((wanted * (body + skin) - skin * own) / body)


# --- burn times --------------------------------------------------------------------------------
def scald_time_s(temp_c: ArrayLike, table: str = "deep burn", child: bool = False) -> Array:
    """Return how long skin lasts in water of a temperature, from a named table.

    Between two rows the logarithm of the time runs straight with temperature: every degree
    takes away the same share, not the same number of seconds.

    Parameters
    ----------
    temp_c : water, or skin surface, temperature [°C].
    table : a name in BURN_TABLES, which tells the injury and the source.
    child : True takes a quarter of the adult's time.

    Returns
    -------
    [s], same shape; nan outside the table. Nan is not "safe": below the table nobody measured,
    above it the burn is faster than the last row. `scald` says which.

    Raises
    ------
    ValueError : an unknown table; a temperature outside -40 to 1000 °C.

    Example
    -------
    >>> round(scald_time_s(53)), round(scald_time_s(64), 1)
    (87, 2.3)

    Source: see BURN_TABLES; the interpolation was recomputed.
    """
    chosen = _burn_table(table)
    temp = _temperature("temperature", temp_c)
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
    """Say how long skin lasts in water of a temperature [°C]: time [s], injury and source.

    Example
    -------
    >>> scald(60).sentence
    'At 60.0 °C a deep (third-degree) burn of an adult’s skin takes about 5 s.'
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


def contact_burn(
    material: str | reference.Contact,
    surface_c: float,
    kept_hot: bool = False,
    child: bool = False,
) -> Finding:
    """Say how long a hand lasts on a hot surface: time to a deep burn [s], nan when unknown.

    Parameters
    ----------
    material, surface_c : as in `contact_temperature_c` [°C].
    kept_hot : True for a body that doesn't cool under the hand, like a tube full of hot water.
    child : True takes a quarter of the adult's time.

    Source: first-touch temperature, then the "deep burn" table at that skin temperature.
    """
    name = _material(material).name
    skin_c = float(surface_c) if kept_hot else contact_temperature_c(material, float(surface_c))
    by_water = scald(skin_c, child=child)
    begins = f"{name.capitalize()} at {surface_c:.1f} °C brings the skin to {skin_c:.1f} °C. "
    return Finding(
        by_water.value,
        "s",
        f"first touch of two thick bodies; {by_water.source}",
        by_water.status,
        begins + by_water.sentence,
    )


def touch_limit(surface: str, seconds: float) -> Finding:
    """Return the surface temperature [°C] at which burns begin for a contact time [s].

    Log time runs straight with temperature between two rows; outside the rows the answer is nan.

    Parameters
    ----------
    surface : a name in reference.TOUCH_LIMITS_C, such as "bare metal" or "wood".
    seconds : how long the touch lasts [s], above 0.

    Source: ISO 13732-1, mostly from memory; the finding says so.
    """
    if surface not in reference.TOUCH_LIMITS_C:
        known = "; ".join(reference.TOUCH_LIMITS_C)
        raise ValueError(f"Surface {surface!r} is not known; use one of: {known}.")
    rows = reference.TOUCH_LIMITS_C[surface]
    time = float(positive("contact time", seconds, "s"))
    times = sorted(rows)
    temps = [rows[t].value for t in times]
    value = float(np.interp(np.log(time), np.log(times), temps, left=np.nan, right=np.nan))
    near = [rows[t] for t in times if t >= time][:1] + [rows[t] for t in times if t <= time][-1:]
    from_memory = any(row.status == reference.MEMORY for row in near) or not near
    status = reference.MEMORY if from_memory else near[0].status
    sentence = f"On {surface}, burns begin at about {value:.0f} °C for {duration(time)} of contact."
    if np.isnan(value):
        sentence = (
            f"For {duration(time)} on {surface} the table, {duration(times[0])} to "
            f"{duration(times[-1])}, gives no temperature; don’t touch anything above 43 °C."
        )
    return Finding(value, "degC", rows[times[0]].source, status, sentence)


def damage_time_s(basal_c: ArrayLike) -> Array:
    """Return the time to irreversible damage of the skin's basal layer held at a temperature.

    P t exp(-E/RT) = 1

    Parameters
    ----------
    basal_c : temperature of the layer some 0.1 mm deep [°C], 40 to 80.

    Returns
    -------
    [s], same shape. Times measured at the surface are longer above 58 °C.

    Source: Henriques 1947, constants from memory.
    """
    temp = within("skin temperature", basal_c, 40, 80, "°C", "the burn integral's range") + ZERO
    energy, gas = reference.DAMAGE_ENERGY.value, reference.GAS_CONSTANT.value
    return plain(np.exp(energy / (gas * temp)) / reference.DAMAGE_RATE.value)
