"""How much direct sunlight comes through a clear sky?

In: the sun's distance from the zenith, the site's height. Out: air mass and beam
irradiance on a surface that faces the sun.

Two simple models stand side by side on purpose. They differ by 5 to 20 %, and
neither knows today's haze: whoever has no instrument knows the sun to 15-20 %.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain, within


def air_mass(apparent_zenith_deg: ArrayLike) -> Array:
    """Return the air mass that sunlight crosses, relative to the sun overhead.

    m = 1 / (cos z + 0.50572 (96.07995 - z)^-1.6364), z in degrees

    Parameters
    ----------
    apparent_zenith_deg : distance from straight up as seen, refraction included [deg];
        90 minus the true height will do, within 0.2 % for a sun 15° high.

    Returns
    -------
    [1], same shape; inf for a sun below the horizon (beyond 90°), whose light doesn't arrive.

    Raises
    ------
    ValueError : a zenith angle outside 0 to 180 deg.

    Valid for: sea level; 0 to 90 deg.

    Example
    -------
    >>> round(air_mass(60), 4)
    1.9943

    Source: Kasten & Young, Applied Optics 28 (1989) 4735, read in encyclopedia copies.
    """
    z = within("zenith angle", apparent_zenith_deg, 0, 180, "deg", "0 is straight up")
    visible = z <= 90
    inside = np.where(visible, z, 0.0)
    mass = 1 / (np.cos(np.radians(inside)) + 0.50572 * (96.07995 - inside) ** -1.6364)
    return plain(np.where(visible, mass, np.inf))


def clear_sky_beam(air_mass: ArrayLike, elevation: ArrayLike = 0.0) -> Array:
    """Return the beam irradiance under a clear sky.

    G = 1353 [(1 - 0.14 h) 0.7^(m^0.678) + 0.14 h], h the height of the site in km

    Parameters
    ----------
    air_mass : [1], 0.99 or more; inf gives no beam. elevation : of the site above the sea [m].

    Returns
    -------
    [W/m2], broadcast shape.

    Raises
    ------
    ValueError : an air mass below 0.99; a site outside -500 to 5000 m.

    Valid for: clear and clean air, the sun well up; +-10 % there, worse when it is low.

    Example
    -------
    >>> round(clear_sky_beam(1.5), 1)
    846.0

    Source: Meinel & Meinel, Applied Solar Energy, 1976, and its form with altitude, read in
    a textbook copy.
    """
    m = within("air mass", air_mass, 0.99, np.inf, "", "1 is the sun overhead at sea level")
    hint = "metres above the sea"
    h = within("elevation", elevation, -500, 5000, "m", hint) / 1000
    with np.errstate(over="ignore"):
        beam = 1353 * ((1 - 0.14 * h) * 0.7 ** (m**0.678) + 0.14 * h)
    return plain(np.where(np.isinf(m), 0.0, np.maximum(beam, 0.0)))


# Monthly constants for the 21st, January to December: A [W/m2] and B [1] of A exp(-B / sin height).
# ASHRAE handbooks 1967-2005, read in six public code copies (two with typing errors, outvoted).
_REGIONAL_A = (1230, 1215, 1186, 1136, 1104, 1088, 1085, 1107, 1151, 1192, 1221, 1233)
_REGIONAL_B = (0.142, 0.144, 0.156, 0.180, 0.196, 0.205, 0.207, 0.201, 0.177, 0.160, 0.149, 0.142)


def regional_clear_sky_beam(month: ArrayLike, elevation_deg: ArrayLike) -> Array:
    """Return the clear-sky beam of the older handbook model, A exp(-B / sin(height)).

    Parameters
    ----------
    month : 1 to 12 (its 21st day). elevation_deg : height of the sun [deg]. Broadcastable.

    Returns
    -------
    [W/m2], broadcast shape; 0 for a sun at or below the horizon.

    Raises
    ------
    ValueError : a month that is no whole number from 1 to 12, a height beyond ±90 deg.

    Valid for: the average of one region (the northern United States). Replaced in its own
    handbook in 2009; kept as a second opinion beside `clear_sky_beam`.

    Example
    -------
    >>> round(regional_clear_sky_beam(3, 50), 1)
    967.5

    Source: ASHRAE Handbook of Fundamentals 1967-2005, read in public code copies.
    """
    months = within("month", month, 1, 12, "", "1 is January")
    if np.any(months != np.round(months)):
        raise ValueError(f"month is {month!r}; give a whole number, 1 for January to 12.")
    height = within("height of the sun", elevation_deg, -90, 90, "deg", "90 is overhead")
    index = months.astype(int) - 1
    up = height > 0
    sine = np.where(up, np.sin(np.radians(height)), 1.0)
    beam = np.take(_REGIONAL_A, index) * np.exp(-np.take(_REGIONAL_B, index) / sine)
    return plain(np.where(up, beam, 0.0))
