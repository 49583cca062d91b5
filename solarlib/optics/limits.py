"""How sharp can a line of light be, and how exactly must it be aimed?

In: opening, rim distance, pipe diameter. Out: concentration in its several
meanings, its limits, the aim error a pipe forgives, the total blur of the
reflected light. Metres, degrees, milliradians.
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


def concentration_by_width(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Opening / pipe diameter, W/D: a width ratio, neither an average nor a peak of the flux.

    Parameters
    ----------
    aperture_width, tube_diameter : [m], broadcastable.

    Returns
    -------
    ratio [1], broadcast shape.

    Raises
    ------
    ValueError : a size that is not above zero.
    """
    return plain(
        positive("opening", aperture_width, "m") / positive("pipe diameter", tube_diameter, "m")
    )


def concentration_by_area(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Opening / pipe surface, W/(pi D) [1]: the ratio that the laws of heat limit.

    Parameters as in `concentration_by_width`.
    """
    return plain(np.asarray(concentration_by_width(aperture_width, tube_diameter)) / np.pi)


def concentration_unshaded(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """(W - D)/(pi D) [1]: the area ratio without the strip in the pipe's own shadow.

    Parameters as in `concentration_by_width`.

    Example
    -------
    >>> round(concentration_unshaded(0.640, 0.022), 2)
    8.94
    """
    return plain(np.asarray(concentration_by_area(aperture_width, tube_diameter)) - 1 / np.pi)


def shaded_share(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Share D/W of the opening that lies in the pipe's shadow."""
    return plain(1 / np.asarray(concentration_by_width(aperture_width, tube_diameter)))


def line_concentration_limit(half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Largest mean concentration of any line-focus mirror, 1/sin(half-angle) [1]; 215 for the sun.

    Parameters
    ----------
    half_angle_deg : half of the source's width [deg], 0.01 to 90.

    The middle of a perfect line is 4/pi times brighter, because the sun is a disc.
    """
    return plain(1 / np.sin(np.radians(within("half-angle", half_angle_deg, 0.01, 90, "deg"))))


def point_concentration_limit(half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Largest concentration of any point-focus mirror, 1/sin²(half-angle); 46 240 for the sun."""
    return plain(np.square(line_concentration_limit(half_angle_deg)))


def round_tube_limit(
    rim_angle_deg: ArrayLike, half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG
) -> Array:
    """Largest W/(pi D) of a perfect parabola with a round pipe: sin(rim)/(pi sin(half-angle)).

    Source: follows from W = 2 r sin(rim), D = 2 r sin(half-angle).
    """
    rim = np.radians(within("rim angle", rim_angle_deg, 0, 180, "deg"))
    return plain(np.sin(rim) * np.asarray(line_concentration_limit(half_angle_deg)) / np.pi)


def acceptance_half_angle_deg(p: Any, tube_diameter: ArrayLike) -> Array:
    """Aim error at which light of a point sun from the rim misses: asin(D/(2 r_rim)).

    Parameters
    ----------
    p : `Parabola`. tube_diameter : [m].

    Returns
    -------
    [deg], broadcast shape; 90 for a pipe that reaches the rim.

    Valid for: a perfect mirror and a sun without width; `no_loss_aim_deg` takes the real sun.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(acceptance_half_angle_deg(Parabola(0.170, 0.640), 0.022), 2)
    1.97
    """
    sine = positive("pipe diameter", tube_diameter, "m") / (2 * np.asarray(p.rim_distance))
    return plain(np.degrees(np.arcsin(np.minimum(sine, 1.0))))


def no_loss_aim_deg(p: Any, tube_diameter: ArrayLike, incidence_deg: ArrayLike = 0.0) -> Array:
    """Largest aim error [deg] without loss for a perfect mirror under the real, round sun.

    Acceptance minus the sun's half-width; below zero the pipe is thinner than the image.
    """
    sun = np.asarray(transverse_sun_half_angle_deg(incidence_deg))
    return plain(np.asarray(acceptance_half_angle_deg(p, tube_diameter)) - sun)


def smallest_tube(p: Any, half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Diameter [m] of the thinnest pipe that takes the whole image, 2 r_rim sin(half-angle)."""
    half = np.radians(within("half-angle", half_angle_deg, 0.01, 90, "deg"))
    return plain(2 * np.asarray(p.rim_distance) * np.sin(half))


def sun_image_width(distance: ArrayLike, half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Width [m] of the sun's image at a distance [m] from a flat mirror strip, 2 r tan(half)."""
    return plain(2 * positive("distance", distance, "m") * np.tan(np.radians(half_angle_deg)))


def transverse_sun_half_angle_deg(incidence_deg: ArrayLike = 0.0) -> Array:
    """Half-width of the sun [deg] seen across the trough, atan(tan(half)/cos(incidence))."""
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
