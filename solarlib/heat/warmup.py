"""How does the water warm, boil and run dry in the course of time?

In: a heater, the power it absorbs, a start. Out: temperature and water left over
time, the moments of target, boiling and dryness, an account of every joule.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference, water
from solarlib.arrays import Array, plain, positive, within
from solarlib.heat.heater import Heater

_SPECIFIC = reference.WATER_SPECIFIC_HEAT.value
_STEPS_PER_TIME_CONSTANT = 8  # Runge-Kutta of order 4: error near 1e-6
_FEWEST_STEPS = 60


@dataclass(frozen=True)
class WarmUp:
    """A warm-up in time. Axis 0 of the curves is time; further axes are those of the inputs.

    time [s], temp_c [°C] (nan once dry), water_left [kg].
    seconds_to_target, seconds_to_boiling, seconds_to_dry : [s], inf where it never happens.
    absorbed, lost, stored, boiled : energy up to the end, or to running dry [J].
    """

    time: NDArray
    temp_c: NDArray
    water_left: NDArray
    seconds_to_target: Array
    seconds_to_boiling: Array
    seconds_to_dry: Array
    absorbed: Array
    lost: Array
    stored: Array
    boiled: Array

    @property
    def imbalance(self) -> Array:
        """(absorbed - lost - stored - boiled)/(absorbed + lost): 0 if no energy is missing [1]."""
        missing = np.asarray(self.absorbed) - self.lost - self.stored - self.boiled
        return plain(missing / np.maximum(np.abs(self.absorbed) + np.abs(self.lost), 1.0))

    def at(self, seconds: ArrayLike) -> Array:
        """Temperature [°C] at a time [s] of a single warm-up; nan after the end."""
        return plain(np.interp(np.asarray(seconds, float), self.time, self.temp_c, right=np.nan))


class _LossTable:
    """Loss against temperature, worked out once and read between the lines many times."""

    def __init__(self, loss: Callable[[Any], Any], low: float, high: float, shape: tuple) -> None:
        points = 64
        self.low, self.step, self.last = low, (high - low) / (points - 1), points - 2
        self.grid = np.linspace(low, high, points)
        found = loss(self.grid.reshape((points,) + (1,) * len(shape)))
        self.table = np.broadcast_to(found, (points, *shape)).reshape(points, -1)
        self.column = np.arange(self.table.shape[1])

    def __call__(self, temp_c: NDArray) -> NDArray:
        if len(self.column) == 1:  # a single heater: five times as fast
            return np.interp(temp_c, self.grid, self.table[:, 0])
        place = (temp_c - self.low) / self.step
        below = np.minimum(np.maximum(place, 0.0), self.last).astype(int)
        left = self.table[below, self.column]
        return left + (place - below) * (self.table[below + 1, self.column] - left)

    def coefficient(self) -> NDArray:
        """Mean loss per kelvin [W/K]."""
        span = self.step * (len(self.table) - 1)
        return np.maximum((self.table[-1] - self.table[0]) / span, 1e-3)


@dataclass
class _Step:
    """One Runge-Kutta step without regard to boiling."""

    new: NDArray  # °C at its end
    put_in: NDArray  # mean power absorbed, W
    lost: NDArray  # mean power lost, W
    rate_before: NDArray  # K/s
    rate_after: NDArray


def _advance(
    temp: NDArray, heat: NDArray, powers: list[NDArray], loss: _LossTable, top: NDArray, dt: float
) -> _Step:
    first, middle, last = powers
    lost = [loss(temp)]
    rate = rate_before = (first - lost[0]) / heat
    for share, power in ((0.5, middle), (0.5, middle), (1.0, last)):
        lost.append(loss(np.minimum(temp + share * dt * rate, top)))
        rate = (power - lost[-1]) / heat
    put_in = (first + 4 * middle + last) / 6
    mean_lost = (lost[0] + 2 * lost[1] + 2 * lost[2] + lost[3]) / 6
    return _Step(temp + dt * (put_in - mean_lost) / heat, put_in, mean_lost, rate_before, rate)


def _moment(level: NDArray, temp: NDArray, step: _Step, dt: float) -> NDArray:
    """Time into a step [s] at which the cubic through both of its ends reaches a level."""
    low, high = np.zeros_like(temp), np.ones_like(temp)
    for _ in range(40):
        s = (low + high) / 2
        value = (1 + 2 * s) * (1 - s) ** 2 * temp + s**2 * (3 - 2 * s) * step.new
        value += dt * s * (1 - s) * ((1 - s) * step.rate_before - s * step.rate_after)
        low, high = np.where(value < level, s, low), np.where(value < level, high, s)
    return dt * (low + high) / 2


def warm_up(
    heater: Heater,
    absorbed: Callable[[float], ArrayLike] | ArrayLike,
    start_c: ArrayLike,
    duration: float,
    target_c: ArrayLike | None = None,
    longest_step: float = np.inf,
) -> WarmUp:
    """Return how the water warms, boils and runs dry.

    C dT/dt = absorbed - loss(T) up to the boiling point, there dm/dt = -(absorbed - loss)/h_fg

    Parameters
    ----------
    heater : `Heater`, its numbers scalars or arrays of one shape.
    absorbed : power [W], a number, an array, or a function of the time [s] for a moving sun.
    start_c : water at the start [°C], below the boiling point. duration : [s].
    target_c : temperature whose time is wanted [°C], None for none.
    longest_step : [s], for a power that jumps (clouds); smooth ones need none.

    Returns
    -------
    WarmUp : curves over time [s] of [°C] and [kg], moments [s], energies [J].

    Raises
    ------
    ValueError : a start at or above the boiling point, a duration of 0.

    Valid for: lumped water; once dry, `dry_pipe_c` takes over.

    Example
    -------
    >>> pot = Heater(0.022, 0.0009, 1.40, 0.90, air_c=22, wind=0.9, water_mass=6.0,
    ...              pot_heat_capacity=750, pot_loss=1.2)
    >>> round(warm_up(pot, 350, 18, 7200, target_c=55).seconds_to_target / 60)
    57

    Source: energy balance; recomputed in the tests by quadrature and by a library's solver.
    """
    seconds = float(positive("duration", duration, "s"))
    start = within("start temperature", start_c, 0, 300, "°C", "liquid water")
    boiling = np.asarray(heater.boiling_c)
    if np.any(start >= boiling):
        raise ValueError(
            f"The start, {np.max(start):g} °C, is not below the boiling point, "
            f"{np.min(boiling):.1f} °C; start colder."
        )
    power = absorbed if callable(absorbed) else lambda _: absorbed
    target = np.asarray(np.inf if target_c is None else target_c, float)
    target = np.where(target > boiling, np.inf, target)
    shape = np.broadcast_shapes(
        *(
            np.shape(x)
            for x in (start, power(0.0), target, heater.heat_capacity, heater.loss(start))
        )
    )

    def flat(value: ArrayLike) -> NDArray:
        return np.broadcast_to(np.asarray(value, float), shape).ravel()

    low = min(float(np.min(start)), float(np.min(heater.coldest_c()))) - 1
    loss = _LossTable(heater.loss, low, float(np.max(boiling)), shape)
    time_constant = np.min(flat(heater.heat_capacity) / loss.coefficient())
    step = min(longest_step, time_constant / _STEPS_PER_TIME_CONSTANT, seconds / _FEWEST_STEPS)
    steps = int(np.ceil(seconds / step))
    dt = seconds / steps
    if callable(absorbed):
        powers = [flat(power(dt / 2 * k)) for k in range(2 * steps + 1)]
    else:
        powers = [flat(absorbed)] * (2 * steps + 1)

    boiling, target, start = flat(boiling), flat(target), flat(start)
    latent, dry_capacity = flat(water.latent_heat(heater.boiling_c)), flat(heater.dry_heat_capacity)
    temp, mass = start, flat(heater.water)
    temps, masses = [temp], [mass]
    reached = np.where(start >= target, 0.0, np.inf)
    boils, dry = np.full_like(temp, np.inf), np.full_like(temp, np.inf)
    put_in, lost = np.zeros_like(temp), np.zeros_like(temp)
    for k in range(steps):
        heat = dry_capacity + _SPECIFIC * mass
        one = _advance(temp, heat, powers[2 * k : 2 * k + 3], loss, boiling, dt)
        for level, moment in ((target, reached), (boiling, boils)):
            passes = (temp < level) & (one.new >= level) & np.isinf(moment)
            if np.any(passes):
                moment[passes] = k * dt + _moment(level, temp, one, dt)[passes]
        wet = mass > 0
        lasts = wet.astype(float)  # share of the step until it is dry
        if np.any(one.new > boiling):
            steam = np.maximum(one.new - boiling, 0.0) * heat / latent
            dries = wet & (steam >= mass)
            lasts[dries] = mass[dries] / steam[dries]
            dry[dries] = (k + lasts[dries]) * dt
            mass = np.maximum(mass - steam, 0.0)
        put_in += lasts * dt * one.put_in
        lost += lasts * dt * one.lost
        temp = np.minimum(one.new, boiling)
        temps.append(temp)
        masses.append(mass)

    steam = flat(heater.water) - mass
    temps_c, water_left = np.array(temps), np.array(masses)
    temps_c[water_left <= 0] = np.nan
    last = np.where(mass > 0, temp, boiling)

    def shaped(value: NDArray) -> Array:
        return plain(value.reshape(shape))

    return WarmUp(
        time=np.linspace(0.0, seconds, steps + 1),
        temp_c=temps_c.reshape(-1, *shape),
        water_left=water_left.reshape(-1, *shape),
        seconds_to_target=shaped(reached),
        seconds_to_boiling=shaped(boils),
        seconds_to_dry=shaped(dry),
        absorbed=shaped(put_in),
        lost=shaped(lost),
        stored=shaped((dry_capacity + _SPECIFIC * mass) * (last - start)),
        boiled=shaped(steam * (latent + _SPECIFIC * (boiling - start))),
    )
