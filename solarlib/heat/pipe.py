"""How hot does a pipe get when there is no water in it?

In: power absorbed per metre, the pipe, the weather. Out: temperature at the hot
middle, along the pipe, and the seconds until a joint is in danger.

The middle follows from the balance of one metre of lit pipe. Spreading the power
over the whole pipe, cool ends included, gives 30-100 K too little: never use it
to choose a joint.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, root, within
from solarlib.geometry import Pipe
from solarlib.heat.air import SEA_LEVEL
from solarlib.heat.loss import Cover, loss_per_metre
from solarlib.heat.radiation import trough_surroundings_c

HOTTEST_C = 1500.0  # the search ends here: copper melts at 1085 °C


def _absorbed(value: ArrayLike) -> NDArray:
    return within("absorbed power", value, 0, 1e5, "W/m", "per metre of lit pipe")


def dry_pipe_c(
    absorbed_per_metre: ArrayLike,
    diameter: ArrayLike,
    air_c: ArrayLike,
    wind: ArrayLike,
    emittance: ArrayLike,
    surroundings_c: ArrayLike | None = None,
    cover: Cover | None = None,
    pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return the temperature at the middle of a lit pipe without water.

    loss_per_metre(T) = absorbed power per metre

    Parameters
    ----------
    absorbed_per_metre : of lit pipe [W/m], mirror and direct sun together.
    diameter : outside [m]; the rest as in `loss_per_metre`. All broadcastable.

    Returns
    -------
    [°C], broadcast shape; inf where even 1500 °C does not balance.

    Raises
    ------
    ValueError : a power below 0, and what `loss_per_metre` refuses.

    Valid for: a lit length well above the fin length of about 0.12 m; +-15 K.

    Example
    -------
    >>> round(dry_pipe_c(387, 0.022, 22, 0.0, 0.9))
    245

    Source: energy balance of one metre; recomputed with the fin equation.
    """
    power = _absorbed(absorbed_per_metre)
    around = trough_surroundings_c(air_c) if surroundings_c is None else surroundings_c

    def surplus(temp_c: NDArray) -> NDArray:
        return loss_per_metre(
            diameter, temp_c, air_c, wind, emittance, around, cover, pressure
        ) - np.asarray(power)

    shape = np.shape(surplus(np.asarray(air_c, float)))
    low = np.broadcast_to(np.minimum(np.asarray(air_c, float), around), shape)
    high = np.full(shape, HOTTEST_C)
    beyond = surplus(high) < 0
    found = root(lambda t: np.where(beyond, t - low, surplus(t)), low, high, tolerance=1e-4)
    return plain(np.where(beyond, np.inf, found))


@dataclass(frozen=True)
class DryPipe:
    """Temperature along a dry pipe from its middle outwards.

    position [m] from the middle, temp_c [°C], lit_half: half the lit length [m].
    """

    position: NDArray
    temp_c: NDArray
    lit_half: float

    @property
    def peak_c(self) -> float:
        """Hottest place, at the middle [°C]."""
        return float(self.temp_c[0])

    @property
    def mean_c(self) -> float:
        """Mean over the whole pipe [°C]; decides how much the pipe grows."""
        return float(np.trapezoid(self.temp_c, self.position) / self.position[-1])

    @property
    def end_c(self) -> float:
        """At the pipe's end [°C]."""
        return float(self.temp_c[-1])

    def at(self, position: ArrayLike) -> Array:
        """Temperature [°C] at a distance from the middle [m]."""
        return plain(np.interp(np.abs(position), self.position, self.temp_c))


def dry_pipe_profile(
    absorbed_per_metre: float,
    pipe: Pipe,
    lit_length: float,
    tube_length: float,
    air_c: float,
    wind: float,
    emittance: float,
    direct_per_metre: float = 0.0,
    surroundings_c: float | None = None,
    cover: Cover | None = None,
    pressure: float = SEA_LEVEL,
    conductivity: float = reference.COPPER_CONDUCTIVITY.value,
) -> DryPipe:
    """Return the temperature along a dry pipe whose ends stick out of the light.

    k A T'' = loss_per_metre(T) - absorbed power per metre, no heat through the end faces

    Parameters
    ----------
    absorbed_per_metre : of lit pipe [W/m]. pipe : `geometry.Pipe`.
    lit_length, tube_length : [m]. direct_per_metre : sun on the unlit ends [W/m].
    conductivity : of the metal [W/mK]; the rest as in `loss_per_metre`. One case, no arrays.

    Returns
    -------
    DryPipe : 401 places from the middle to one end [m] and their temperatures [°C].

    Raises
    ------
    ValueError : a lit length above the pipe's, a power that melts copper.

    Valid for: a pipe lit evenly along its lit length; +-15 K.

    Example
    -------
    >>> dry = dry_pipe_profile(387, Pipe(0.022, 0.0009), 0.90, 1.40, 22, 0.0, 0.9)
    >>> round(dry.peak_c), dry.end_c < 100
    (244, True)

    Source: the fin equation by finite differences and Newton's method; recomputed in the tests
    with a boundary-value solver.
    """
    from scipy.linalg import solve_banded  # only here: its import takes longer than the answer

    peak = float(_absorbed(absorbed_per_metre))
    within("tube length", tube_length, 0.01, 20, "m")
    within("lit length", lit_length, 0, tube_length, "m", "no longer than the pipe")
    around = float(trough_surroundings_c(air_c) if surroundings_c is None else surroundings_c)
    position = np.linspace(0.0, tube_length / 2, 401)
    step = position[1]
    # share of each cell that is lit: the edge of the light may fall inside a cell
    left = np.maximum(position - step / 2, 0.0)
    right = np.minimum(position + step / 2, tube_length / 2)
    lit = np.clip((lit_length / 2 - left) / (right - left), 0.0, 1.0)
    power = lit * peak + (1 - lit) * float(_absorbed(direct_per_metre))
    metal = conductivity * float(pipe.copper_per_metre) / reference.COPPER_DENSITY.value / step**2
    grid = np.linspace(min(air_c, around) - 1, HOTTEST_C, 3000)
    lost = loss_per_metre(
        pipe.outside_diameter, grid, air_c, wind, emittance, around, cover, pressure
    )
    if lost[-1] < peak:
        raise ValueError(
            f"{peak:g} W/m on one metre of pipe is {peak / lost[-1]:.1f} times what it can lose "
            f"at {HOTTEST_C:g} °C; check the absorbed power, it is counted per metre."
        )
    slope = np.gradient(lost, grid)
    temp = np.interp(power, lost, grid)
    for _ in range(50):
        curved = np.empty_like(temp)
        curved[1:-1] = temp[2:] - 2 * temp[1:-1] + temp[:-2]
        curved[0], curved[-1] = 2 * (temp[1] - temp[0]), 2 * (temp[-2] - temp[-1])
        residual = metal * curved + power - np.interp(temp, grid, lost)
        bands = np.full((3, len(temp)), metal)
        bands[1] = -2 * metal - np.interp(temp, grid, slope)
        bands[0, 1] = bands[2, -2] = 2 * metal
        change = solve_banded((1, 1), bands, -residual)
        temp = temp + change
        if np.max(np.abs(change)) < 1e-6:
            break
    return DryPipe(position, temp, lit_length / 2)


def dry_seconds(
    absorbed_per_metre: ArrayLike,
    pipe: Pipe,
    start_c: ArrayLike,
    end_c: ArrayLike,
    air_c: ArrayLike,
    wind: ArrayLike,
    emittance: ArrayLike,
    surroundings_c: ArrayLike | None = None,
    cover: Cover | None = None,
    pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return how long the middle of a dry pipe takes from one temperature to a higher one.

    t = int C'/(absorbed - loss_per_metre(T)) dT over 24 Gauss points, C' = copper per metre

    Parameters
    ----------
    absorbed_per_metre : of lit pipe [W/m]. pipe : `geometry.Pipe`.
    start_c, end_c : [°C], the end warmer; the rest as in `dry_pipe_c`. All broadcastable.

    Returns
    -------
    [s], broadcast shape; inf where the pipe never gets there.

    Raises
    ------
    ValueError : an end below the start, and what `dry_pipe_c` refuses.

    Valid for: the middle of the lit part, before heat reaches the cool ends.

    Example
    -------
    >>> round(dry_seconds(387, Pipe(0.022, 0.0009), 100, 183, 22, 0.0, 0.9))
    77

    Source: energy balance of one metre, recomputed by another code.
    """
    node, weight = np.polynomial.legendre.leggauss(24)
    start = within("start temperature", start_c, -50, HOTTEST_C, "°C")[..., None]
    end = within("end temperature", end_c, -50, HOTTEST_C, "°C")[..., None]
    if np.any(end < start):
        raise ValueError("The end temperature is below the start temperature; swap them.")
    temp = start + (end - start) * (node + 1) / 2

    def last(value: Any) -> Any:
        return None if value is None else np.asarray(value, float)[..., None]

    lost = loss_per_metre(
        last(pipe.outside_diameter), temp, last(air_c), last(wind), last(emittance),
        last(surroundings_c), cover, last(pressure),
    )  # fmt: skip
    net = _absorbed(absorbed_per_metre)[..., None] - lost
    capacity = last(pipe.copper_per_metre) * reference.COPPER_SPECIFIC_HEAT.value
    hottest = dry_pipe_c(
        absorbed_per_metre, pipe.outside_diameter, air_c, wind, emittance, surroundings_c, cover,
        pressure,
    )  # fmt: skip
    reaches = np.asarray(hottest)[..., None] > end
    seconds = np.sum(capacity / np.where(reaches, net, 1.0) * weight, axis=-1)
    seconds = seconds * ((end - start) / 2)[..., 0]
    return plain(np.where(reaches[..., 0], seconds, np.inf))
