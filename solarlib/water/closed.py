"""What happens to water that cannot get out when it warms up?

In: the temperature at which a vessel was closed, the one it reaches, what it is
made of and how full it is. Out: the absolute pressure inside.

Nothing here says that a closed vessel is safe. The numbers are the reason why the
heater has an open vent, no valve and no cap.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, root, within
from solarlib.geometry import Pipe
from solarlib.water import equations
from solarlib.water.pressure import SEA_LEVEL
from solarlib.water.properties import ZERO, checked_liquid_c

VESSELS = ("rigid", "expanding", "copper")
TOP_PRESSURE = 100e6  # end of the equation for liquid water; no pipe holds a tenth of it
_DEMO_TUBE = reference.TUBES["22 x 0.9"]


def _vessel(
    vessel: str, rise: NDArray, diameter: ArrayLike, wall: ArrayLike
) -> tuple[NDArray, NDArray]:
    """Growth of the vessel by warming [1], and by pressure [1/Pa]."""
    if vessel not in VESSELS:
        raise ValueError(f"vessel is {vessel!r}; choose one of {', '.join(VESSELS)}.")
    expansion = float(reference.COPPER_EXPANSION[0][1]) if vessel != "rigid" else 0.0
    bore_to_wall = np.asarray(Pipe(diameter, wall).bore) / (2 * np.asarray(wall, float))
    modulus, poisson = reference.COPPER_MODULUS.value, reference.COPPER_POISSON.value
    stretch = bore_to_wall / modulus * (2.5 - 2 * poisson) if vessel == "copper" else 0.0
    return 3 * expansion * rise, np.asarray(stretch)


def trapped_pressure(
    start_c: ArrayLike,
    end_c: ArrayLike,
    vessel: str = "rigid",
    fill: ArrayLike = 1.0,
    diameter: ArrayLike = _DEMO_TUBE.outside_diameter,
    wall: ArrayLike = _DEMO_TUBE.wall,
    start_pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return the absolute pressure in a vessel that was closed at one temperature and warmed.

    The pressure p at which everything fits:
    V (1 + 3 a dT) (1 + s (p - p0)) = m v_water(T, p) + n R T / (p - p_steam(T)),
    s = (r/(E t)) (5/2 - 2 nu) for a thin tube with closed ends. Where even no pressure fills
    the vessel, steam does: p = p_steam(T).

    Parameters
    ----------
    start_c, end_c : water temperature when closed, and later [°C].
    vessel : "rigid" (the upper bound), "expanding" (copper that grows with warmth but does not
        give way) or "copper" (a tube that grows and stretches).
    fill : share of the vessel filled with water, above 0 to 1; the rest is air.
    diameter, wall : outside diameter and wall of a "copper" tube [m].
    start_pressure : absolute pressure when closed [Pa].

    Returns
    -------
    [Pa], broadcast shape; inf beyond 100 MPa, the end of the equation of state.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C, a fill outside 0 to 1, an unknown vessel.

    Valid for: elastic walls, ideal air that does not dissolve. A real tube yields or bursts at
    its weakest joint long before.

    Example
    -------
    >>> round(trapped_pressure(20, 30) / 1e5), round(trapped_pressure(20, 30, "copper") / 1e5)
    (59, 34)

    Source: IAPWS R7-97 region 1; thin-wall elasticity; ideal gas. Recomputed with IAPWS-95.
    """
    start = checked_liquid_c(start_c, "start temperature") + ZERO
    end = checked_liquid_c(end_c, "end temperature") + ZERO
    share = within("fill", fill, 1e-6, 1, "", "share of the vessel that is water, 1 is brim-full")
    closed_at = within("start pressure", start_pressure, 1e3, 10e6, "Pa", "absolute, 101325 is air")
    if np.any(closed_at < equations.boiling_pressure(start)):
        raise ValueError(
            f"Water of {np.max(start) - ZERO:g} °C boils at {np.min(closed_at):g} Pa; close the "
            "vessel at a lower temperature."
        )
    grown, stretch = _vessel(vessel, end - start, diameter, wall)
    start, end, share, closed_at, grown, stretch = np.broadcast_arrays(
        start, end, share, closed_at, grown, stretch
    )
    mass = share / equations.liquid_volume(start, closed_at)
    steam = equations.boiling_pressure(end)
    air = (1 - share) * (closed_at - equations.boiling_pressure(start)) * end / start

    def room_left(above_steam: NDArray) -> NDArray:
        """Vessel minus water and air [share of the vessel] at p_steam + this [Pa]; rises."""
        pressure = steam + above_steam
        room = (1 + grown) * (1 + stretch * (pressure - closed_at))
        return room - mass * equations.liquid_volume(end, pressure) - air / above_steam

    least, most = np.full(end.shape, 1.0), TOP_PRESSURE - steam
    loose, burst = room_left(least) >= 0, room_left(most) <= 0
    # the answer spans five decades: look for its logarithm
    found = root(
        lambda x: np.where(loose | burst, x - 1.0, room_left(np.exp(x))),
        np.log(least),
        np.log(most),
        tolerance=1e-9,
    )
    pressure = np.where(loose, steam, np.where(burst, np.inf, steam + np.exp(found)))
    return plain(pressure)


def trapped_pressure_slope(temp_c: ArrayLike, vessel: str = "rigid", **tube: ArrayLike) -> Array:
    """Return how fast the pressure rises at first in a brim-full vessel closed at a temperature.

    Parameters
    ----------
    temp_c : [°C]. vessel, tube : as in `trapped_pressure` (diameter, wall, start_pressure).

    Returns
    -------
    [Pa/K], same shape; 0 below 4 °C, where water shrinks when warmed.

    Raises
    ------
    ValueError : as `trapped_pressure`.

    Valid for: the first degree; further up every degree adds more.

    Example
    -------
    >>> round(trapped_pressure_slope(50, "copper") / 1e5, 1)
    6.6

    Source: difference quotient of `trapped_pressure` over 0.01 K.
    """
    step = 0.01
    before = np.asarray(tube.get("start_pressure", SEA_LEVEL), float)
    warmer = np.asarray(temp_c, float) + step
    after = np.asarray(trapped_pressure(temp_c, warmer, vessel, **tube))
    return plain(np.maximum(after - before, 0.0) / step)
