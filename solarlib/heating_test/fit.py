"""Which two numbers describe the heater, how sure are they, and does the prediction hold?

In: intervals of a test. Out: optical efficiency and loss per opening with confidence
limits, the curve they predict, and a verdict on a band and a measurement.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import within
from solarlib.heating_test.power import Interval, Setup
from solarlib.heating_test.records import Log


@dataclass(frozen=True)
class Fit:
    """A straight line through P/(G A) = optical_efficiency - loss (T - Ta)/G.

    optical_efficiency [1] and loss [W/m2K, per opening], with standard errors, the 95 % limits
    (low, high) and their correlation; scatter of the points [1]; number of points. Errors of
    the sun meter, mass and area shift every point alike and are not in the limits: systematic
    [1] holds them, relative to both numbers.
    """

    optical_efficiency: float
    loss: float
    optical_efficiency_error: float
    loss_error: float
    optical_efficiency_limits: tuple[float, float]
    loss_limits: tuple[float, float]
    correlation: float
    scatter: float
    points: int
    systematic: float

    @property
    def slope(self) -> float:
        """Slope of the line, minus the loss [W/m2K]."""
        return -self.loss

    @property
    def intercept(self) -> float:
        """Where the line meets T = Ta: the optical efficiency [1]."""
        return self.optical_efficiency

    def __str__(self) -> str:
        half = (self.loss_limits[1] - self.loss_limits[0]) / 2
        text = (
            f"Optical efficiency {self.optical_efficiency:.2f} "
            f"({self.optical_efficiency_limits[0]:.2f} to {self.optical_efficiency_limits[1]:.2f})\n"
            f"Loss {self.loss:.1f} W/(m²·K) ({self.loss_limits[0]:.1f} to "
            f"{self.loss_limits[1]:.1f})\nIn brackets: 95 % limits from {self.points} points.\n"
            f"Sun meter, mass and area add ±{2 * self.systematic:.0%} to both."
        ).replace("-", "−")
        if half > abs(self.loss):
            text += "\nThe loss is hardly pinned down: run the test longer, to warmer water."
        return text


def fit_points(intervals: Sequence[Interval], setup: Setup | None = None) -> NDArray[np.float64]:
    """Return the points of the fit: columns (T - Ta)/G and P/(G A).

    Parameters
    ----------
    intervals : from `intervals(log, setup)`. setup : the same as there.

    Returns
    -------
    (n, 2) : [K m2/W] and [1]. Intervals without power, sun or air temperature have no point.

    Raises
    ------
    nothing.

    Valid for: any log; (0, 2) when nothing is usable.

    Example
    -------
    >>> from solarlib.heating_test import intervals, parse_log, simulate_log
    >>> points = fit_points(intervals(parse_log(simulate_log(faults=False))))
    >>> points.shape[1], bool((points[:, 1] < 1).all())
    (2, True)

    Source: the usual plot of a collector test, efficiency against reduced temperature difference.
    """
    area = (setup or Setup()).aperture_area
    points = [
        ((i.water_c - i.air_c) / i.sun, i.power / (i.sun * area))
        for i in intervals
        if math.isfinite(i.efficiency) and math.isfinite(i.air_c)
    ]
    return np.array(points, dtype=float).reshape(-1, 2)


def fit_losses(intervals: Sequence[Interval], setup: Setup | None = None) -> Fit:
    """Fit optical efficiency and loss to the intervals of a test, by least squares.

    P/(G A) = e0 - U (T - Ta)/G

    Parameters
    ----------
    intervals : from `intervals(log, setup)`. setup : the same as there.

    Returns
    -------
    Fit : e0 [1] and U [W/m2K] with 95 % limits from Student's t.

    Raises
    ------
    ValueError : fewer than 3 usable intervals, or all at the same temperature.

    Valid for: a loss that grows in proportion to T - Ta; convection and radiation together do
    so only roughly, and the wind of the day is inside U.

    Example
    -------
    >>> from solarlib.heating_test import intervals, parse_log, simulate_log
    >>> quiet = simulate_log(optical_efficiency=0.74, loss=6.5, noise_c=0.0, faults=False)
    >>> low, high = fit_losses(intervals(parse_log(quiet))).optical_efficiency_limits
    >>> low < 0.74 < high
    True

    Source: linear least squares, any statistics textbook; the tests compare with scipy.
    """
    setup = setup or Setup()
    points = fit_points(intervals, setup)
    if len(points) < 3:
        raise ValueError(
            f"{len(points)} intervals have power, sun and air temperature; 3 are needed for two "
            "numbers and an idea of their error. Fill the gaps or log longer."
        )
    x, y = points.T
    if np.ptp(x) <= 1e-9:
        raise ValueError(
            "All intervals have the same temperature above the air, so the loss cannot be told "
            "from the optical efficiency; log while the water warms."
        )
    model = np.column_stack([np.ones_like(x), -x])
    inverse = np.linalg.inv(model.T @ model)
    e0, loss = inverse @ model.T @ y
    rest = y - model @ np.array([e0, loss])
    freedom = len(y) - 2
    scatter = float(np.sqrt(rest @ rest / freedom))
    errors = scatter * np.sqrt(np.diag(inverse))
    from scipy.special import stdtrit  # only here: a quick import; quantile of Student's t

    reach = float(stdtrit(freedom, 0.975)) * errors
    return Fit(
        optical_efficiency=float(e0),
        loss=float(loss),
        optical_efficiency_error=float(errors[0]),
        loss_error=float(errors[1]),
        optical_efficiency_limits=(float(e0 - reach[0]), float(e0 + reach[0])),
        loss_limits=(float(loss - reach[1]), float(loss + reach[1])),
        correlation=float(inverse[0, 1] / np.sqrt(inverse[0, 0] * inverse[1, 1])),
        scatter=scatter,
        points=len(y),
        systematic=setup.instruments.systematic,
    )


def predicted_curve(
    log: Log, optical_efficiency: ArrayLike, loss: ArrayLike, setup: Setup | None = None
) -> NDArray[np.float64]:
    """Return the water temperature that two numbers predict at the rows of a log.

    C dT/dt = A [e0 G - U (T - Ta)], solved exactly between rows with their mean sun and air,
    from the first water reading on. Missing sun or air is filled in from its neighbours.

    Parameters
    ----------
    log : the test. optical_efficiency : e0 [1]. loss : U per opening [W/m2K], 0 or more.
    setup : what was heated.

    Returns
    -------
    [°C], one per row; nan where the row has no time and before the first water reading.

    Raises
    ------
    ValueError : an efficiency outside 0 to 1, a loss outside 0 to 500 W/m2K.

    Valid for: up to the boiling point; steps short enough for a mean sun.

    Example
    -------
    >>> from solarlib.heating_test import parse_log
    >>> log = parse_log("time (min),water (°C),air (°C),sun (W/m2)\\n0,18,18,820\\n15,,18,820\\n")
    >>> predicted_curve(log, 0.6, loss=0.0, setup=Setup(6.0, 0.576, 0.0)).round(1)
    array([18. , 28.2])

    Source: energy balance; recomputed in the tests by a library's solver.
    """
    setup = setup or Setup()
    e0 = float(within("optical efficiency", optical_efficiency, 0, 1, "", "a share of the light"))
    per_area = float(within("loss", loss, 0, 500, "W/m2K", "per square metre of opening"))
    time, water = log.values("time_s"), log.values("water_c")
    curve = np.full(len(time), np.nan)
    timed = np.flatnonzero(np.isfinite(time))
    started = [k for k in timed if np.isfinite(water[k])]
    if not started:
        return curve
    sun, air = (_filled(time, log.values(name)) for name in ("sun", "air_c"))
    curve[started[0]] = water[started[0]]
    rows = [k for k in timed if k >= started[0]]
    for one, two in itertools.pairwise(rows):
        light, around = (sun[one] + sun[two]) / 2, (air[one] + air[two]) / 2
        step = time[two] - time[one]
        fade = per_area * setup.aperture_area * step / setup.heat_capacity
        gain = e0 * light * setup.aperture_area * step / setup.heat_capacity
        share = -math.expm1(-fade) / fade if fade > 1e-12 else 1.0
        curve[two] = curve[one] + (gain - fade * (curve[one] - around)) * share
    return curve


def _filled(time: NDArray, values: NDArray) -> NDArray:
    known = np.isfinite(time) & np.isfinite(values)
    if not known.any():
        return np.full(len(time), np.nan)
    return np.interp(time, time[known], values[known])


@dataclass(frozen=True)
class Agreement:
    """Whether a measurement fits a predicted band: "agrees", "borderline" or "disagrees"."""

    verdict: str
    sentence: str


def agreement(
    low: float, high: float, measured: float, uncertainty: float, unit: str = "°C"
) -> Agreement:
    """Compare a measurement with a predicted band, both as ranges.

    The measurement counts as measured ± 2 uncertainties. Inside the band it agrees, overlapping
    an edge it is borderline, apart it disagrees.

    Parameters
    ----------
    low, high : the band, such as 5 to 95 % [unit]. measured, uncertainty (one sigma) [unit].
    unit : in words, for the sentence.

    Returns
    -------
    Agreement : verdict and sentence.

    Raises
    ------
    ValueError : a band that ends before it begins, an uncertainty below 0, nan.

    Valid for: single numbers of one unit.

    Example
    -------
    >>> agreement(43, 58, 47, 1).verdict
    'agrees'

    Source: two standard uncertainties, about 95 %, is common practice (JCGM 100).
    """
    for name, value in (("low end", low), ("high end", high), ("measurement", measured)):
        within(name, value, -1e12, 1e12, unit)
    within("uncertainty", uncertainty, 0, 1e12, unit, "one sigma, never negative")
    if high <= low:
        raise ValueError(f"The band runs from {low:g} to {high:g} {unit}; give the low end first.")
    reach = 2 * uncertainty
    from_to = f"{measured - reach:.4g} to {measured + reach:.4g} {unit}"
    band = f"the predicted band of {low:.4g} to {high:.4g} {unit}"
    if measured - reach >= low and measured + reach <= high:
        wide = (high - low) > 4 * max(reach, 1e-12)
        proof = " The band is wide, so that proves little; a narrower one would test more."
        return Agreement("agrees", f"{from_to} lies in {band}.{proof if wide else ''}")
    if measured + reach < low or measured - reach > high:
        way = "below" if measured < low else "above"
        return Agreement(
            "disagrees", f"{from_to} lies {way} {band}: look for what the prediction left out."
        )
    return Agreement("borderline", f"{from_to} reaches over the edge of {band}: measure better.")
