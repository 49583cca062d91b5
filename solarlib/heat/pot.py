"""How fast does a pot cool, and what helps more: a lid or lagging?

In: the pot's size, lid, insulation, the weather. Out: heat lost, the cooling
curve, and the loss coefficient that a measured cooling curve tells.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference, water
from solarlib.arrays import Array, plain, positive, within
from solarlib.heat.air import SEA_LEVEL, ZERO, air_temperature, wind_speed
from solarlib.heat.radiation import SIGMA

_WATER_EMITTANCE = 0.95  # open water, from memory
_LEWIS = 0.91  # (thermal / vapour diffusivity of air)^(2/3), from memory


@dataclass(frozen=True)
class Pot:
    """A round pot of water in the shade.

    Parameters
    ----------
    diameter : inside [m]. water_mass : [kg]; its depth follows.
    lid : closed or open. insulation : thickness round the side, under the bottom and on the
        lid [m]. conductivity : of the insulation [W/mK]. heat_capacity : of the empty pot [J/K].
    """

    diameter: Array = 0.22
    water_mass: Array = 6.0
    lid: bool = True
    insulation: Array = 0.0
    conductivity: Array = 0.040
    heat_capacity: Array = reference.POT_HEAT_CAPACITY.value

    def __post_init__(self) -> None:
        positive("pot diameter", self.diameter, "m")
        positive("water mass", self.water_mass, "kg")
        within("insulation", self.insulation, 0, 0.5, "m", "thickness in metres")
        positive("conductivity of the insulation", self.conductivity, "W/mK")

    @property
    def opening(self) -> Array:
        """Area of the opening, and of the bottom [m²]."""
        return plain(np.pi / 4 * np.square(self.diameter))

    @property
    def side(self) -> Array:
        """Wetted area of the side [m²]."""
        depth = np.asarray(self.water_mass) / 1000 / self.opening
        return plain(np.pi * np.asarray(self.diameter) * depth)

    @property
    def total_heat_capacity(self) -> Array:
        """Water and pot [J/K]."""
        return plain(
            np.asarray(self.water_mass) * reference.WATER_SPECIFIC_HEAT.value + self.heat_capacity
        )

    def wall_coefficient(self, wind: ArrayLike = 0.0) -> Array:
        """Loss through pot wall or lid, 1/[1/(5.7 + 3.8 V) + s/k] [W/m2K].

        Source: McAdams' rule for flat surfaces, radiation included, from memory of Duffie &
        Beckman section 3.15; too low for a pipe, fair for a pot.
        """
        film = 5.7 + 3.8 * wind_speed(wind)
        return plain(1 / (1 / film + np.asarray(self.insulation, float) / self.conductivity))

    def loss(
        self,
        water_c: ArrayLike,
        air_c: ArrayLike,
        wind: ArrayLike = 0.0,
        humidity: ArrayLike = 0.5,
        pressure: ArrayLike = SEA_LEVEL,
    ) -> Array:
        """Heat lost [W]: walls, and lid or open water.

        Open water: h (T - T_air) + eps sigma (T⁴ - T_air⁴)
        + h 0.622 h_fg/(p c_p Le^(2/3)) [p_s(T) - humidity p_s(T_air)], h = 2.8 + 3.0 V

        Parameters
        ----------
        water_c : [°C], 0 to 100. air_c : [°C], 0 or more for open water. wind : [m/s].
        humidity : relative, 0 to 1. pressure : of the air [Pa].

        Valid for: +-30 %; no leak round the lid.

        Source: analogy of heat and mass transfer; h by Watmuff's rule, from memory.
        """
        warm = within("water temperature", water_c, 0, 100, "°C", "liquid water in an open pot")
        cold = air_temperature(air_c) - ZERO
        moist = within("humidity", humidity, 0, 1, "", "relative, 0.5 for 50 %")
        walls = np.asarray(self.side) + self.opening
        coefficient = np.asarray(self.wall_coefficient(wind))
        if self.lid:
            return plain(coefficient * (walls + self.opening) * (warm - cold))
        film = 2.8 + 3.0 * wind_speed(wind)
        per_pascal = (
            0.622
            * np.asarray(water.latent_heat(warm))
            / (np.asarray(pressure) * reference.AIR_SPECIFIC_HEAT.value * _LEWIS)
        )
        dryness = np.asarray(water.saturation_pressure(warm)) - moist * np.asarray(
            water.saturation_pressure(np.maximum(cold, 0.0))
        )
        glow = _WATER_EMITTANCE * SIGMA * ((warm + ZERO) ** 4 - (cold + ZERO) ** 4)
        surface = film * (warm - cold) + glow + film * per_pascal * dryness
        return plain(coefficient * walls * (warm - cold) + self.opening * surface)


def cooling_curve(
    pot: Pot,
    start_c: ArrayLike,
    seconds: ArrayLike,
    air_c: float,
    wind: float = 0.0,
    humidity: float = 0.5,
) -> NDArray:
    """Return the temperature of a cooling pot.

    C dT/dt = -loss(T), by the time each small drop takes

    Parameters
    ----------
    pot : `Pot`. start_c : [°C], warmer than the air. seconds : times wanted, (n,) [s].
    air_c, wind, humidity : as in `Pot.loss`, single numbers.

    Returns
    -------
    [°C], shape of `seconds`.

    Raises
    ------
    ValueError : a start that is not warmer than the air, times below 0.

    Valid for: water of one temperature; the part that evaporates (1-2 %) is not subtracted.

    Example
    -------
    >>> cooling_curve(Pot(), 80, [0, 3600, 7200], air_c=20).round().tolist()
    [80.0, 72.0, 65.0]

    Source: energy balance; recomputed in the tests by a library's solver.
    """
    start = float(within("start temperature", start_c, 0, 100, "°C"))
    times = within("time", seconds, 0, 1e7, "s")
    if start <= air_c:
        says = f"The start, {start:g} °C, is not warmer than the air, {air_c:g} °C; start warmer."
        raise ValueError(says)
    # closer and closer to where it stops: the air, or below it where water evaporates
    grid = np.linspace(start, min(air_c, start) - 15, 4000)
    grid = grid[grid >= 0]
    lost = np.asarray(pot.loss(grid, air_c, wind, humidity))
    falling = lost > 1e-3
    grid, lost = grid[falling], lost[falling]
    slowness = float(pot.total_heat_capacity) / lost
    steps = (slowness[1:] + slowness[:-1]) / 2 * -np.diff(grid)
    passed = np.concatenate([[0.0], np.cumsum(steps)])
    return np.interp(times, passed, grid)


def half_life(heat_capacity: ArrayLike, coefficient: ArrayLike) -> Array:
    """Return the time in which the difference to the air halves, ln 2 C/UA.

    Parameters
    ----------
    heat_capacity : C of water and pot [J/K]. coefficient : UA, loss per kelvin [W/K].

    Returns
    -------
    [s], broadcast shape.

    Raises
    ------
    ValueError : a heat capacity or coefficient not above zero.

    Valid for: a loss in proportion to the difference, as of a lidded pot.

    Example
    -------
    >>> round(half_life(25866, 1.2) / 3600, 1)
    4.2

    Source: exponential decay.
    """
    capacity = positive("heat capacity", heat_capacity, "J/K")
    return plain(np.log(2) * capacity / positive("loss", coefficient, "W/K"))


def loss_from_cooling(
    heat_capacity: ArrayLike,
    start_c: ArrayLike,
    end_c: ArrayLike,
    air_c: ArrayLike,
    seconds: ArrayLike,
) -> Array:
    """Return the loss coefficient that a measured cooling tells.

    UA = C/t ln[(T_start - T_air)/(T_end - T_air)]

    Parameters
    ----------
    heat_capacity : of water and pot [J/K]. start_c, end_c, air_c : [°C]. seconds : between [s].

    Returns
    -------
    [W/K], broadcast shape.

    Raises
    ------
    ValueError : temperatures that do not fall towards the air's.

    Valid for: a loss in proportion to the difference, as of a lidded pot.

    Example
    -------
    >>> round(loss_from_cooling(6 * 4186, 80, 40, 20, 6 * 3600), 2)
    1.28

    Source: exponential decay, solved for its rate.
    """
    before = np.asarray(start_c, float) - np.asarray(air_c, float)
    after = np.asarray(end_c, float) - np.asarray(air_c, float)
    if not np.all((before > after) & (after > 0)):
        raise ValueError(
            f"The water starts {np.min(before):g} K and ends {np.min(after):g} K above the air; "
            "that is no cooling towards the air, check the three temperatures."
        )
    capacity = positive("heat capacity", heat_capacity, "J/K")
    return plain(capacity / positive("time", seconds, "s") * np.log(before / after))
