"""How hard does the air press at this height, and what does a weather report make of it?

In: height above the sea, pressure reduced to sea level. Out: absolute pressure at
the site, which decides where water boils.
"""

from __future__ import annotations

from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, within

SEA_LEVEL = reference.STANDARD_PRESSURE.value
_LAPSE, _EXPONENT = 2.25577e-5, 5.25588  # ISO 2533, troposphere, in the rounded form of handbooks


def _height(elevation: ArrayLike) -> NDArray:
    return within("elevation", elevation, -500, 11000, "m", "metres above the sea")


def standard_pressure(elevation: ArrayLike) -> Array:
    """Return the air pressure of the standard atmosphere at a height above the sea.

    p = 101325 (1 - 2.25577e-5 z)^5.25588

    Parameters
    ----------
    elevation : height above the sea z [m].

    Returns
    -------
    [Pa], same shape.

    Raises
    ------
    ValueError : outside -500 to 11000 m.

    Valid for: an average day; the weather moves it by +-3 %.

    Example
    -------
    >>> round(standard_pressure(1609))
    83431

    Source: ISO 2533 standard atmosphere, usual rounded form.
    """
    return plain(SEA_LEVEL * (1 - _LAPSE * _height(elevation)) ** _EXPONENT)


def station_pressure(sea_level_pressure: ArrayLike, elevation: ArrayLike) -> Array:
    """Return the pressure at the site from the one a weather report or an airfield gives.

    p = [p_sea^(1/5.25588) - 101325^(1/5.25588) 2.25577e-5 z]^5.25588

    Weather reports reduce every pressure to sea level; water boils at the real one.

    Parameters
    ----------
    sea_level_pressure : reduced pressure (QNH) [Pa]. elevation : [m]. Broadcastable.

    Returns
    -------
    absolute pressure at the site [Pa], broadcast shape.

    Raises
    ------
    ValueError : a reduced pressure outside 85 000 to 110 000 Pa, a site outside -500 to 11000 m.

    Valid for: an altimeter setting, by definition. A weather map's sea-level pressure is reduced
    with the day's temperature: 1 % off on a hot day at 1600 m.

    Example
    -------
    >>> round(station_pressure(101325, 1609))
    83431

    Source: definition of the altimeter setting in the ISO 2533 atmosphere.
    """
    hint = "pressure reduced to sea level, in pascals: 101325 for 1013.25 hPa"
    reduced = within("sea-level pressure", sea_level_pressure, 85000, 110000, "Pa", hint)
    root = reduced ** (1 / _EXPONENT) - SEA_LEVEL ** (1 / _EXPONENT) * _LAPSE * _height(elevation)
    return plain(root**_EXPONENT)
