"""How exactly must the light be aimed, and how blurred does it arrive?

In: rim distance, pipe diameter, errors. Out: the aim error a pipe forgives, the
thinnest pipe for the sun's image, the total blur of the reflected light. Metres,
degrees, milliradians.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within

SUN_HALF_ANGLE_DEG = reference.SUN_HALF_ANGLE_DEG.value
SUN_RMS_MRAD = reference.SUN_RMS_MRAD.value


def radians(name: str, angle_deg: ArrayLike) -> NDArray:
    """Return an angle [deg] in radians; refuse what is beyond ±90 deg or not a number."""
    return np.radians(within(name, angle_deg, -90, 90, "deg"))


def acceptance_half_angle_deg(p: Any, tube_diameter: ArrayLike) -> Array:
    """Return the aim error at which light of a point sun from the rim misses: asin(D/(2 r_rim)).

    Parameters
    ----------
    p : `Parabola`. tube_diameter : D [m], broadcastable with its numbers.

    Returns
    -------
    [deg], broadcast shape; 90 for a pipe that reaches the rim.

    Raises
    ------
    ValueError : a pipe diameter that is not above zero.

    Valid for: a perfect mirror and a sun without width; `no_loss_aim_deg` takes the real sun.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(acceptance_half_angle_deg(Parabola(0.170, 0.640), 0.022), 2)
    1.97

    Source: the right triangle of rim, focus and the ray that touches the pipe.
    """
    sine = positive("pipe diameter", tube_diameter, "m") / (2 * np.asarray(p.rim_distance))
    return plain(np.degrees(np.arcsin(np.minimum(sine, 1.0))))


def no_loss_aim_deg(p: Any, tube_diameter: ArrayLike, incidence_deg: ArrayLike = 0.0) -> Array:
    """Return the largest aim error without loss for a perfect mirror under the real, round sun.

    asin(D/(2 r_rim)) - sun's half-width across the trough

    Parameters
    ----------
    p : `Parabola`. tube_diameter : D [m].
    incidence_deg : slant of the light along the trough [deg]; it widens the sun. Broadcastable.

    Returns
    -------
    [deg], broadcast shape; below zero the pipe is thinner than the image.

    Raises
    ------
    ValueError : a pipe diameter that is not above zero, an incidence beyond ±90 deg.

    Valid for: a perfect mirror; waves in the sheet take light away long before.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(no_loss_aim_deg(Parabola(0.170, 0.640), 0.022), 2)
    1.7

    Source: `acceptance_half_angle_deg` minus `transverse_sun_half_angle_deg`; the trace agrees.
    """
    sun = np.asarray(transverse_sun_half_angle_deg(incidence_deg))
    return plain(np.asarray(acceptance_half_angle_deg(p, tube_diameter)) - sun)


def smallest_tube(p: Any, half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Return the diameter of the thinnest pipe that takes the whole image, 2 r_rim sin(half-angle).

    Parameters
    ----------
    p : `Parabola`. half_angle_deg : of the source [deg], 0.01 to 90; the sun's when left out.

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : an angle outside 0.01 to 90 deg.

    Valid for: a perfect mirror, perfectly aimed; no pipe to build by.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(1000 * smallest_tube(Parabola(0.170, 0.640)), 2)
    2.98

    Source: the cone of light from the rim, which is farthest away.
    """
    half = np.radians(within("half-angle", half_angle_deg, 0.01, 90, "deg"))
    return plain(2 * np.asarray(p.rim_distance) * np.sin(half))


def sun_image_width(distance: ArrayLike, half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Return the width of the sun's image at a distance from a flat mirror strip, 2 r tan(half).

    Parameters
    ----------
    distance : r [m]. half_angle_deg : of the source [deg], 0.01 to 89; the sun's when left out.

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : a distance not above zero, an angle outside 0.01 to 89 deg.

    Valid for: a narrow strip, the image square to the beam.

    Example
    -------
    >>> round(1000 * sun_image_width(0.170), 2)
    1.58

    Source: the pinhole camera.
    """
    half = np.radians(within("half-angle", half_angle_deg, 0.01, 89, "deg"))
    return plain(2 * positive("distance", distance, "m") * np.tan(half))


def transverse_sun_half_angle_deg(incidence_deg: ArrayLike = 0.0) -> Array:
    """Return the half-width of the sun seen across the trough when the light comes in at a slant.

    atan(tan(half)/cos(incidence))

    Parameters
    ----------
    incidence_deg : slant of the light along the trough [deg], any shape.

    Returns
    -------
    [deg], same shape.

    Raises
    ------
    ValueError : an incidence beyond ±90 deg.

    Valid for: the sun at its mean distance, 0.266 deg; 0.262 in July to 0.271 in January.

    Example
    -------
    >>> round(transverse_sun_half_angle_deg(60), 3)
    0.533

    Source: projection onto the plane across the trough; the trace agrees.
    """
    cosine = np.cos(radians("incidence", incidence_deg))
    return plain(np.degrees(np.arctan(np.tan(np.radians(SUN_HALF_ANGLE_DEG)) / cosine)))


def total_spread_mrad(
    slope_error_mrad: ArrayLike = 0.0,
    specularity_mrad: ArrayLike = 0.0,
    tracking_mrad: ArrayLike = 0.0,
    sun_mrad: ArrayLike = SUN_RMS_MRAD,
) -> Array:
    """Rms angle of the reflected light: sqrt((2 slope)² + spec² + track² + sun²).

    Parameters
    ----------
    slope_error_mrad : of the mirror's normal [mrad]; reflection doubles it.
    specularity_mrad, tracking_mrad, sun_mrad : scatter, aim, the sun's own width [mrad].

    Returns
    -------
    [mrad], broadcast shape.

    Raises
    ------
    ValueError : an error below 0 or above 500 mrad.

    Valid for: independent errors that are nearly Gaussian; constant ones don't belong here.

    Example
    -------
    >>> round(total_spread_mrad(10, 3, 5), 2)
    20.96

    Source: Bendt, Rabl, Gaul & Reed 1979 (SERI/TR-34-092), form of the sum from memory.
    """
    parts = (
        2 * within("slope error", slope_error_mrad, 0, 500, "mrad"),
        within("specularity", specularity_mrad, 0, 500, "mrad"),
        within("tracking error", tracking_mrad, 0, 500, "mrad"),
        within("sun width", sun_mrad, 0, 500, "mrad"),
    )
    return plain(np.sqrt(sum(part**2 for part in parts)))
