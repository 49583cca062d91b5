"""How hot does a touched surface get the skin, and how hot may it be for a time?

In: material and surface temperature, who is touching, for how long. Out: contact
temperature, burn time, the surface temperature that burns in a given time.
A threshold is where burns begin, not where safety ends.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.hazards.finding import Finding, duration
from solarlib.hazards.scald import scald, temperature


def _material(material: str | reference.Contact) -> reference.Contact:
    if isinstance(material, reference.Contact):
        return material
    try:
        return reference.CONTACT_MATERIALS[material]
    except (KeyError, TypeError):
        known = ", ".join(reference.CONTACT_MATERIALS)
        raise ValueError(f"Material {material!r} is not known; use one of {known}.") from None


def effusivity(material: str | reference.Contact) -> float:
    """Return b = sqrt(k rho c) [W s^0.5/m²K]: how strongly a body holds its own temperature."""
    body = _material(material)
    return float(np.sqrt(body.conductivity * body.density * body.specific_heat))


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
    hot = temperature("surface temperature", surface_c)
    own = within("skin temperature", skin_c, 0, 45, "°C", "about 33 at rest")
    return plain((body * hot + skin * own) / (body + skin))


def surface_for_contact_c(
    material: str | reference.Contact,
    contact_c: ArrayLike,
    skin_c: ArrayLike = reference.SKIN_TEMPERATURE_C.value,
) -> Array:
    """Return the surface temperature whose first touch brings the skin to a temperature.

    T1 = [Tc (b1 + b2) - b2 T2]/b1, the inverse of `contact_temperature_c`

    Parameters
    ----------
    material : a name in reference.CONTACT_MATERIALS, or a reference.Contact.
    contact_c, skin_c : wanted at the touch, and of the skin before [°C], broadcastable.

    Returns
    -------
    [°C], broadcast shape.

    Raises
    ------
    ValueError : an unknown material; a temperature outside its range.

    Valid for: as `contact_temperature_c`. What lies below is no promise.

    Example
    -------
    >>> round(surface_for_contact_c("copper", 44)), round(surface_for_contact_c("pine", 44))
    (44, 86)

    Source: see `contact_temperature_c`.
    """
    body, skin = effusivity(material), effusivity(reference.SKIN)
    wanted = temperature("contact temperature", contact_c)
    own = within("skin temperature", skin_c, 0, 45, "°C", "about 33 at rest")
    return plain((wanted * (body + skin) - skin * own) / body)


def contact_burn(
    material: str | reference.Contact,
    surface_c: float,
    kept_hot: bool = False,
    child: bool = False,
) -> Finding:
    """Say how long a hand lasts on a hot surface: the time to a deep burn.

    contact temperature by `contact_temperature_c`, then the "deep burn" table

    Parameters
    ----------
    material, surface_c : as in `contact_temperature_c` [°C].
    kept_hot : True for a body that doesn't cool under the hand, like a tube full of hot water.
    child : True takes a quarter of the adult's time.

    Returns
    -------
    Finding : time [s], nan when unknown, and a sentence.

    Raises
    ------
    ValueError : an unknown material; a temperature outside -40 to 1000 °C.

    Valid for: dry adult skin, a small patch; pessimistic for a thin dry wall.

    Example
    -------
    >>> round(contact_burn("copper", 64, kept_hot=True).value, 1)
    2.3

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
    """Say at which surface temperature burns begin for a contact time.

    log time straight with temperature between two rows

    Parameters
    ----------
    surface : a name in reference.TOUCH_LIMITS_C, such as "bare metal" or "wood".
    seconds : how long the touch lasts [s], above 0.

    Returns
    -------
    Finding : temperature [°C], nan outside the rows, and a sentence.

    Raises
    ------
    ValueError : an unknown surface, a time not above zero.

    Valid for: healthy adult skin; where burns begin, not where safety ends.

    Example
    -------
    >>> touch_limit("bare metal", 60).value
    51.0

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
