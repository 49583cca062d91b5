"""How hot can the water get, how fast does it start, and what is left at boiling point?

In: pipe, water, pot, weather; the power absorbed. Out: heat capacity, loss, rate,
the temperature at which it comes to rest, the power left over.

Water and copper are one lump at one temperature. The pipe's wall is really 5-8 K
hotter, a pot is warmer at the top, and water spits before it boils.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference, water
from solarlib.arrays import Array, plain, positive, root, within
from solarlib.geometry import Pipe
from solarlib.heat.air import SEA_LEVEL
from solarlib.heat.loss import Cover, loss_per_metre
from solarlib.heat.radiation import trough_surroundings_c

HOTTEST_C = 600.0  # the search for a resting temperature ends here
_FILLED_AT_C = 20.0


@dataclass(frozen=True)
class Heater:
    """What is warmed and how it loses heat; a pot or only the pipe.

    Parameters
    ----------
    diameter, wall : of the copper pipe [m]. tube_length : all of it, overhang included [m].
    emittance : of its surface [1].
    water_mass : all water, pot and pipe [kg]; None for only what stands in the pipe.
    pot_heat_capacity : of the empty pot [J/K]. pot_loss : of the lidded pot [W/K].
    air_c : [°C]. wind : at the pipe [m/s]. pressure : of the air, absolute [Pa].
    surroundings_c : what the pipe radiates to [°C], None for half sky. cover : glass or None.
    wall_excess : wall of the pipe warmer than its water by [K].
    losing_length : length of pipe that loses heat [m], None for all of it.

    Numbers may be arrays that broadcast with each other.

    Example
    -------
    >>> tube = Heater(0.022, 0.0009, 1.40, 0.90, air_c=22, wind=0.9)
    >>> round(tube.heat_capacity), round(tube.plateau_c(350))
    (2162, 139)
    """

    diameter: Array
    wall: Array
    tube_length: Array
    emittance: Array
    air_c: Array
    wind: Array
    water_mass: Array | None = None
    pot_heat_capacity: Array = 0.0
    pot_loss: Array = 0.0
    pressure: Array = SEA_LEVEL
    surroundings_c: Array | None = None
    cover: Cover | None = None
    wall_excess: Array = 0.0
    losing_length: Array | None = None

    def __post_init__(self) -> None:
        positive("tube length", self.tube_length, "m")
        if self.water_mass is not None:
            positive("water mass", self.water_mass, "kg")
        within("heat capacity of the pot", self.pot_heat_capacity, 0, 1e6, "J/K")
        within("loss of the pot", self.pot_loss, 0, 1e4, "W/K")
        Pipe(self.diameter, self.wall)  # refuses a wall that leaves no bore

    @property
    def _pipe(self) -> Pipe:
        return Pipe(self.diameter, self.wall)

    @property
    def tube_water(self) -> Array:
        """Water in the pipe, filled at 20 °C [kg]."""
        volume = np.asarray(self._pipe.water_volume_per_metre) * self.tube_length
        return plain(volume * water.density(_FILLED_AT_C))

    @property
    def water(self) -> Array:
        """All the water [kg]."""
        return self.tube_water if self.water_mass is None else self.water_mass

    @property
    def dry_heat_capacity(self) -> Array:
        """Pipe and pot without water [J/K]."""
        copper = np.asarray(self._pipe.copper_per_metre) * self.tube_length
        return plain(copper * reference.COPPER_SPECIFIC_HEAT.value + self.pot_heat_capacity)

    @property
    def heat_capacity(self) -> Array:
        """Water, pipe and pot, m c summed [J/K]."""
        return plain(
            np.asarray(self.water) * reference.WATER_SPECIFIC_HEAT.value + self.dry_heat_capacity
        )

    @property
    def boiling_c(self) -> Array:
        """Boiling point at this air pressure [°C]."""
        return water.boiling_point_c(self.pressure)

    def loss(self, water_c: ArrayLike) -> Array:
        """Heat lost by pipe and pot [W] with water at `water_c` [°C]."""
        losing = self.tube_length if self.losing_length is None else self.losing_length
        pipe = np.asarray(losing) * loss_per_metre(
            self.diameter,
            np.asarray(water_c, float) + self.wall_excess,
            self.air_c,
            self.wind,
            self.emittance,
            self.surroundings_c,
            self.cover,
            self.pressure,
        )
        return plain(pipe + self.pot_loss * (np.asarray(water_c, float) - self.air_c))

    def surplus(self, absorbed: ArrayLike, water_c: ArrayLike | None = None) -> Array:
        """Power left over [W] at a water temperature [°C], at boiling point if none is given."""
        at = self.boiling_c if water_c is None else water_c
        return plain(np.asarray(absorbed, float) - self.loss(at))

    def heating_rate(self, absorbed: ArrayLike, water_c: ArrayLike) -> Array:
        """How fast the water warms, surplus / heat capacity [K/s]."""
        return plain(np.asarray(self.surplus(absorbed, water_c)) / self.heat_capacity)

    def plateau_c(self, absorbed: ArrayLike) -> Array:
        """Temperature [°C] at which loss equals absorbed power, if nothing boiled.

        Above `boiling_c` it says: this heater boils. inf beyond 600 °C.
        """
        shape = np.shape(self.surplus(absorbed, self.air_c))
        low = np.broadcast_to(self.coldest_c(), shape)
        high = np.full(shape, HOTTEST_C)
        beyond = np.asarray(self.surplus(absorbed, high)) > 0
        found = root(
            lambda t: np.where(beyond, low - t, self.surplus(absorbed, t)), low, high, 1e-4
        )
        return plain(np.where(beyond, np.inf, found))

    def coldest_c(self) -> NDArray:
        """Water can't cool below this [°C]."""
        around = self.surroundings_c
        if around is None:
            around = trough_surroundings_c(self.air_c)
        return np.minimum(np.asarray(self.air_c, float), around) - np.asarray(self.wall_excess)
