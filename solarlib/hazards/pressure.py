"""What do steam and shut-in water do?

In: temperatures and masses. Out: absolute pressure of trapped water, heat that steam
leaves in the skin. No number here clears a closed vessel: the heater has an open
vent at its highest point, no valve, no cap, no trap.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solarlib import reference, water
from solarlib.arrays import Array, plain, positive, within
from solarlib.hazards.finding import Finding

_BODY_C = 37.0  # deep body temperature: steam and water on skin end up there


def trapped_water_pressure(
    start_c: ArrayLike, end_c: ArrayLike, vessel: str = "rigid", **tube: ArrayLike
) -> Array:
    """Return the absolute pressure in a vessel closed brim-full and warmed.

    the pressure at which water and vessel have the same volume, see `water.trapped_pressure`

    Parameters
    ----------
    start_c, end_c : temperature when closed, and later [°C].
    vessel, tube : as in `water.trapped_pressure`; "rigid" is the upper bound, "copper" a tube
        that stretches (diameter, wall [m]), fill the share that is water. Broadcastable.

    Returns
    -------
    [Pa], broadcast shape.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C, an unknown vessel.

    Valid for: a reason never to close it; a tube bursts at its weakest joint before.

    Example
    -------
    >>> round(trapped_water_pressure(20, 30) / 1e5)
    59

    Source: `water.trapped_pressure` (IAPWS R7-97 region 1).
    """
    return water.trapped_pressure(start_c, end_c, vessel=vessel, **tube)


def closed_volume(start_c: float, end_c: float, tube: str = "22 x 0.9") -> Finding:
    """Say what happens to a brim-full tube of a standard size with both ends shut.

    least from a copper tube that stretches, most from a rigid one

    Parameters
    ----------
    start_c, end_c : temperature when closed, and later [°C]. tube : a name in reference.TUBES.

    Returns
    -------
    Finding : pressure in the tube, absolute [Pa], and a sentence. It never clears a closed tube.

    Raises
    ------
    ValueError : an unknown tube, a temperature outside 0 to 350 °C.

    Valid for: as `water.trapped_pressure`.

    Example
    -------
    >>> print(closed_volume(20, 40).sentence.split(";")[1].strip())
    the tube is made for 51 bar. Never close it: an open vent, no valve, no cap.

    Source: IAPWS R7-97, thin-wall elasticity; recomputed with IAPWS-95.
    """
    if tube not in reference.TUBES:
        raise ValueError(f"Tube {tube!r} is not known; use one of {', '.join(reference.TUBES)}.")
    size = reference.TUBES[tube]
    shape = {"diameter": size.outside_diameter, "wall": size.wall}
    least = trapped_water_pressure(float(start_c), float(end_c), "copper", **shape)
    most = trapped_water_pressure(float(start_c), float(end_c), "rigid")
    sentence = (
        f"Shut in at {start_c:.0f} °C and warmed to {end_c:.0f} °C, the water in a {tube} tube "
        f"presses with {least / 1e5:.0f} bar (stiff fittings: up to {most / 1e5:.0f} bar)"
    )
    if size.working_pressure and least > size.working_pressure:
        sentence += f"; the tube is made for {size.working_pressure / 1e5:.0f} bar"
    sentence += ". Never close it: an open vent, no valve, no cap."
    source = "IAPWS R7-97, thin-wall elasticity; recomputed with IAPWS-95"
    return Finding(float(least), "Pa", source, reference.RECOMPUTED, sentence)


def water_heat(mass: ArrayLike, temp_c: ArrayLike = 100.0) -> Array:
    """Return the heat that hot water gives to skin while it cools to 37 °C: m c (T - 37).

    Parameters
    ----------
    mass : m [kg]. temp_c : T [°C], 37 to 100. Broadcastable.

    Returns
    -------
    [J], broadcast shape.

    Raises
    ------
    ValueError : a mass not above zero, a temperature outside 37 to 100 °C.

    Valid for: an upper bound: some of the heat goes elsewhere.

    Example
    -------
    >>> round(water_heat(0.001))
    264

    Source: `water.warming_energy`.
    """
    amount = positive("mass", mass, "kg")
    hot = within("water temperature", temp_c, _BODY_C, 100, "°C", "between 37 and 100")
    return plain(amount * np.asarray(water.warming_energy(1.0, _BODY_C, hot)))


def steam_heat(mass: ArrayLike) -> Array:
    """Return the heat that steam of 100 °C gives to skin: condensing, then cooling.

    Q = m [h_fg(100 °C) + c (100 - 37)], 9.5 times as much as the same mass of water.

    Parameters
    ----------
    mass : m of steam [kg], any shape.

    Returns
    -------
    [J], same shape.

    Raises
    ------
    ValueError : a mass that is not above zero.

    Valid for: steam at 1 atm, all of it condensing on the skin.

    Example
    -------
    >>> round(steam_heat(0.001))
    2520

    Source: `water.latent_heat` and `water_heat`.
    """
    amount = positive("mass", mass, "kg")
    return plain(amount * water.latent_heat(100.0) + np.asarray(water_heat(amount)))
