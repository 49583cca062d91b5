"""In which band will a real day lie, when sun, mirror and wind are not known exactly?

In: a heater and how unsure its inputs are. Out: 5 %, 50 % and 95 % of many sampled
warm-ups, the same for the same seed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import within
from solarlib.heat.heater import Heater
from solarlib.heat.loss import wind_at_tube
from solarlib.heat.warmup import warm_up


@dataclass(frozen=True)
class WarmUpBand:
    """Where nine of ten days will lie: 5 %, 50 % and 95 % of many sampled warm-ups.

    time [s], low_c, median_c, high_c [°C] along it.
    soonest, median, latest : seconds to the target [s], inf where the sample never gets there.
    reaching : share of the samples that reach the target within the duration [1].
    """

    time: NDArray
    low_c: NDArray
    median_c: NDArray
    high_c: NDArray
    soonest: float
    median: float
    latest: float
    reaching: float


def warm_up_band(
    heater: Heater,
    absorbed: Callable[[float], ArrayLike] | float,
    start_c: float,
    duration: float,
    target_c: float,
    samples: int = 2000,
    seed: int = 0,
    sun_error: float = 0.10,
    optics_error: float = 0.10,
    site_wind: tuple[float, float, float] = (0.5, 1.5, 4.0),
    shelter: float = reference.WIND_SHELTER.value,
) -> WarmUpBand:
    """Return the band of warm-ups when sun, mirror and wind are not known exactly.

    Each sample multiplies the absorbed power by two normal factors and draws a wind from a
    triangle.

    Parameters
    ----------
    heater, absorbed, start_c, duration, target_c : as in `warm_up`, single numbers; the
        heater's own wind is replaced.
    samples, seed : how many, and where the dice start: the same seed gives the same band.
    sun_error, optics_error : relative standard uncertainty [1].
    site_wind : lowest, likeliest and highest wind at the site [m/s]. shelter : see `wind_at_tube`.

    Returns
    -------
    WarmUpBand : curves over time [s] of [°C], times to the target [s].

    Raises
    ------
    ValueError : fewer than 20 samples, an error outside 0 to 0.5, winds out of order.

    Valid for: errors that don't know of each other; percentiles move by about 2 % with the seed.

    Example
    -------
    >>> pot = Heater(0.022, 0.0009, 1.40, 0.90, air_c=22, wind=0.9, water_mass=6.0,
    ...              pot_heat_capacity=750, pot_loss=1.2)
    >>> band = warm_up_band(pot, 350, 18, 4 * 3600, target_c=55, samples=500)
    >>> band.soonest < band.median < band.latest
    True

    Source: sampling (Monte Carlo), the method of JCGM 101.
    """
    count = int(within("number of samples", samples, 20, 200_000, ""))
    if not 0 <= site_wind[0] <= site_wind[1] <= site_wind[2]:
        raise ValueError(f"site wind is {site_wind} m/s; give lowest, likeliest and highest wind.")
    within("sun error", sun_error, 0, 0.5, "", "relative standard uncertainty, 0.1 for 10 %")
    within("optics error", optics_error, 0, 0.5, "", "relative standard uncertainty, 0.1 for 10 %")
    dice = np.random.default_rng(seed)
    factor = 1 + sun_error * dice.standard_normal(count)
    factor = np.maximum(factor * (1 + optics_error * dice.standard_normal(count)), 0.0)
    wind = wind_at_tube(dice.triangular(*site_wind, count), shelter)
    power = absorbed if callable(absorbed) else lambda _: absorbed
    run = warm_up(
        replace(heater, wind=wind),
        lambda t: np.asarray(power(t)) * factor,
        start_c,
        duration,
        target_c,
    )
    low, middle, high = np.nanpercentile(run.temp_c, [5, 50, 95], axis=1)
    # inverted_cdf: never an average with inf
    times = np.percentile(run.seconds_to_target, [5, 50, 95], method="inverted_cdf")
    reaching = float(np.mean(np.isfinite(run.seconds_to_target)))
    soonest, median, latest = (float(t) for t in times)
    return WarmUpBand(run.time, low, middle, high, soonest, median, latest, reaching)
