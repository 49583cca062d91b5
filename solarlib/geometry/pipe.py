"""What is in a metre of copper pipe, how far does it sag, and how much does it grow?

In: outside diameter and wall. Out: bore, water and copper per metre, sag between
two supports, growth when warmed. Metres and kilograms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.geometry.sheet import expansion


def copper_growth(length: ArrayLike, start_c: ArrayLike, end_c: ArrayLike) -> Array:
    """Return the growth of a copper pipe when it is warmed: a L (T_end - T_start).

    The mean coefficient a is that of the range the end temperature falls in
    (20-100, 20-200, 20-300 °C; the last is used above 300 °C).

    Parameters
    ----------
    length : L [m]. start_c, end_c : [°C]. Broadcastable.

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : a length not above zero, a temperature outside -50 to 1000 °C.

    Valid for: a pipe of one temperature, fixed at one end and free at the other.

    Example
    -------
    >>> round(copper_growth(1.40, 10, 95), 4)
    0.002

    Source: mean coefficients of `reference.COPPER_EXPANSION`, read in a copy.
    """
    tops = [top for top, _ in reference.COPPER_EXPANSION]
    values = np.array([value.value for _, value in reference.COPPER_EXPANSION])
    start = within("start temperature", start_c, -50, 1000, "°C")
    end = within("end temperature", end_c, -50, 1000, "°C")
    place = np.minimum(np.searchsorted(tops, end), len(values) - 1)
    return expansion(length, end - start, values[place])


@dataclass(frozen=True)
class Pipe:
    """A round copper pipe.

    Parameters
    ----------
    outside_diameter, wall : [m], broadcastable; the nominal size of a trade name is neither.

    Raises
    ------
    ValueError : a wall that leaves no bore.

    Example
    -------
    >>> round(1000 * Pipe(0.022, 0.0009).water_volume_per_metre, 4)  # litres
    0.3205

    Source: area of a ring; density and modulus of copper in `reference`.
    """

    outside_diameter: Array
    wall: Array

    def __post_init__(self) -> None:
        diameter = positive("outside diameter", self.outside_diameter, "m")
        wall = positive("wall", self.wall, "m")
        if np.any(2 * wall >= diameter):
            raise ValueError(
                f"A wall of {self.wall} m leaves no bore in a pipe of {self.outside_diameter} m; "
                "give outside diameter and wall."
            )

    @property
    def bore(self) -> Array:
        """Inside diameter [m]."""
        return plain(np.asarray(self.outside_diameter) - 2 * np.asarray(self.wall))

    @property
    def water_volume_per_metre(self) -> Array:
        """Water content [m³/m]."""
        return plain(np.pi / 4 * np.square(self.bore))

    @property
    def copper_per_metre(self) -> Array:
        """Mass of copper [kg/m]."""
        area = np.pi / 4 * (np.square(self.outside_diameter) - np.square(self.bore))
        return plain(area * reference.COPPER_DENSITY.value)

    @property
    def second_moment(self) -> Array:
        """Second moment of area, pi/64 (D⁴ - d⁴) [m⁴]."""
        bore = np.asarray(self.bore)
        return plain(np.pi / 64 * (np.asarray(self.outside_diameter, float) ** 4 - bore**4))

    def sag(self, span: ArrayLike, full: bool = True, water_density: float = 1000.0) -> Array:
        """Sag at mid-span [m] of a pipe resting on two supports `span` [m] apart.

        5 w L⁴/(384 E I); w is the weight per metre of copper and, when full, water.

        Example
        -------
        >>> round(Pipe(0.022, 0.0009).sag(1.40) * 1000, 2)
        1.08
        """
        mass = self.copper_per_metre + full * water_density * np.asarray(
            self.water_volume_per_metre
        )
        load = mass * reference.GRAVITY.value
        stiffness = reference.COPPER_MODULUS.value * np.asarray(self.second_moment)
        return plain(5 * load * positive("span", span, "m") ** 4 / (384 * stiffness))
