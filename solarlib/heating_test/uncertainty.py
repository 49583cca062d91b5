"""How far is a measured efficiency to be trusted, and which instrument would help most?

In: the uncertainty of each instrument and the rise of the water in the interval. Out:
the combined uncertainty and each instrument's share of it. Standard uncertainties
(one sigma) throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain, positive, within


@dataclass(frozen=True)
class Instruments:
    """Standard uncertainties of a garden test; the defaults are a shaded light sensor's.

    temperature [K] per reading; sun, mass, area, heat_capacity as shares [1]. Sun: 0.15-0.20
    without an instrument, 0.10 with a calibrated sensor, 0.05 with a shaded pyranometer.
    Temperature 0.5 K stirred, 1-2 K not (from memory); the rest is common practice, no source.
    """

    temperature: float = 0.5
    sun: float = 0.10
    mass: float = 0.015
    area: float = 0.01
    heat_capacity: float = 0.02

    def __post_init__(self) -> None:
        within("temperature uncertainty", self.temperature, 0, 20, "K")
        for name in ("sun", "mass", "area", "heat_capacity"):
            words = name.replace("_", " ") + " uncertainty"
            within(words, getattr(self, name), 0, 1, "", "a share: 0.1 is ten per cent")

    @property
    def systematic(self) -> float:
        """The part that is the same in every interval of a test [1]: all but the thermometer."""
        return combine(self.sun, self.mass, self.area, self.heat_capacity)


def combine(*shares: ArrayLike) -> Array:
    """Return the combined uncertainty of independent parts: sqrt(u1² + u2² + ...).

    Parameters
    ----------
    shares : standard uncertainties, all relative [1] or all in one unit; broadcastable.

    Returns
    -------
    same unit, broadcast shape.

    Raises
    ------
    ValueError : an uncertainty below 0.

    Valid for: parts that don't know of each other and are small.

    Example
    -------
    >>> round(100 * combine(0.07, 0.02, 0.10), 1)
    12.4

    Source: JCGM 100 (the GUM), section 5.1, from memory.
    """
    total = sum(within("uncertainty", share, 0, np.inf, "") ** 2 for share in shares)
    return plain(np.sqrt(total))


def efficiency_uncertainty(rise_k: ArrayLike, instruments: Instruments = Instruments()) -> Array:
    """Return the relative standard uncertainty of one efficiency value.

    u² = (sqrt(2) u_T / rise)² + u_sun² + u_mass² + u_area² + u_C²: two readings, so sqrt(2).

    Parameters
    ----------
    rise_k : warming of the water in the interval [K], above 0, any shape.
    instruments : their standard uncertainties.

    Returns
    -------
    [1], same shape.

    Raises
    ------
    ValueError : a rise that is not above zero.

    Valid for: a rise well above the thermometer's own error.

    Example
    -------
    >>> round(100 * efficiency_uncertainty(10), 1)
    12.5

    Source: root sum of squares; the tests hold it against a Monte Carlo of the same sums.
    """
    rise = positive("rise", rise_k, "K", "an interval that cools has no efficiency")
    return combine(np.sqrt(2) * instruments.temperature / rise, instruments.systematic)


def variance_shares(
    rise_k: float,
    instruments: Instruments = Instruments(),
) -> dict[str, float]:
    """Return each instrument's share of the variance: u_i² / sum of u².

    Parameters
    ----------
    rise_k : warming of the water in the interval [K], above 0. instruments : their uncertainties.

    Returns
    -------
    name -> share [1]; they add up to 1 (all 0: no error).

    Raises
    ------
    ValueError : a rise that is not above zero.

    Valid for: the first question before buying: which instrument would help most?

    Example
    -------
    >>> shares = variance_shares(20)
    >>> max(shares, key=shares.get)
    'sun'

    Source: as `efficiency_uncertainty`.
    """
    rise = float(positive("rise", rise_k, "K", "an interval that cools has no efficiency"))
    parts = {
        "thermometer": np.sqrt(2) * instruments.temperature / rise,
        "sun": instruments.sun,
        "mass": instruments.mass,
        "area": instruments.area,
        "heat capacity": instruments.heat_capacity,
    }
    total = sum(part**2 for part in parts.values())
    return {name: float(part**2 / total) if total else 0.0 for name, part in parts.items()}
