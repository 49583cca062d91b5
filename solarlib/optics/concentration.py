"""How many times brighter can a trough make the sun, and which "times" is meant?

In: opening and pipe diameter. Out: concentration in its several meanings, the
share in shadow, the limits that no mirror passes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain, positive, within
from solarlib.optics.aim import SUN_HALF_ANGLE_DEG


def concentration_by_width(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Return opening / pipe diameter, W/D: neither an average nor a peak of the flux.

    Parameters
    ----------
    aperture_width, tube_diameter : [m], broadcastable.

    Returns
    -------
    ratio [1], broadcast shape.

    Raises
    ------
    ValueError : a size that is not above zero.

    Valid for: comparing troughs; the limits of nature are those of `concentration_by_area`.

    Example
    -------
    >>> round(concentration_by_width(0.640, 0.022), 2)
    29.09

    Source: definition.
    """
    return plain(
        positive("opening", aperture_width, "m") / positive("pipe diameter", tube_diameter, "m")
    )


def concentration_by_area(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Return opening / pipe surface, W/(pi D): the ratio that the laws of heat limit.

    Parameters
    ----------
    aperture_width, tube_diameter : [m], broadcastable.

    Returns
    -------
    ratio [1], broadcast shape.

    Raises
    ------
    ValueError : a size that is not above zero.

    Valid for: a round pipe that loses heat all round, opening counted with the shadow.

    Example
    -------
    >>> round(concentration_by_area(0.640, 0.022), 2)
    9.26

    Source: definition.
    """
    return plain(np.asarray(concentration_by_width(aperture_width, tube_diameter)) / np.pi)


def concentration_unshaded(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Return the area ratio without the strip in the pipe's own shadow, (W - D)/(pi D).

    Parameters
    ----------
    aperture_width, tube_diameter : [m], broadcastable.

    Returns
    -------
    ratio [1], broadcast shape.

    Raises
    ------
    ValueError : a size that is not above zero.

    Valid for: the sun square to the opening.

    Example
    -------
    >>> round(concentration_unshaded(0.640, 0.022), 2)
    8.94

    Source: definition.
    """
    return plain(np.asarray(concentration_by_area(aperture_width, tube_diameter)) - 1 / np.pi)


def shaded_share(aperture_width: ArrayLike, tube_diameter: ArrayLike) -> Array:
    """Return the share of the opening that lies in the pipe's shadow, D/W.

    Parameters
    ----------
    aperture_width, tube_diameter : [m], broadcastable.

    Returns
    -------
    share [1], broadcast shape.

    Raises
    ------
    ValueError : a size that is not above zero.

    Valid for: a well-aimed trough; the half-shadow beside it adds and takes alike.

    Example
    -------
    >>> round(100 * shaded_share(0.640, 0.022), 1)
    3.4

    Source: definition; the trace agrees.
    """
    return plain(1 / np.asarray(concentration_by_width(aperture_width, tube_diameter)))


def line_concentration_limit(half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Return the largest mean concentration of any line-focus mirror, 1/sin(half-angle).

    Parameters
    ----------
    half_angle_deg : half of the source's width [deg], 0.01 to 90; the sun's when left out.

    Returns
    -------
    ratio [1], same shape: opening / area of the receiver.

    Raises
    ------
    ValueError : an angle outside 0.01 to 90 deg.

    Valid for: the mean over the receiver. The middle of a perfect line is 4/pi times brighter,
    because the sun is a disc.

    Example
    -------
    >>> round(line_concentration_limit())
    215

    Source: conservation of radiance (second law of thermodynamics), any optics textbook.
    """
    return plain(1 / np.sin(np.radians(within("half-angle", half_angle_deg, 0.01, 90, "deg"))))


def point_concentration_limit(half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG) -> Array:
    """Return the largest concentration of any point-focus mirror, 1/sin²(half-angle).

    Parameters
    ----------
    half_angle_deg : half of the source's width [deg], 0.01 to 90; the sun's when left out.

    Returns
    -------
    ratio [1], same shape.

    Raises
    ------
    ValueError : an angle outside 0.01 to 90 deg.

    Valid for: a mirror that focuses in both directions, to compare with a trough.

    Example
    -------
    >>> round(point_concentration_limit(0.27), -1)
    45030.0

    Source: conservation of radiance (second law of thermodynamics), any optics textbook.
    """
    return plain(np.square(line_concentration_limit(half_angle_deg)))


def round_tube_limit(
    rim_angle_deg: ArrayLike, half_angle_deg: ArrayLike = SUN_HALF_ANGLE_DEG
) -> Array:
    """Return the largest W/(pi D) of a perfect parabola with a round pipe.

    sin(rim)/(pi sin(half-angle))

    Parameters
    ----------
    rim_angle_deg : at the focus from the axis [deg], 0 to 180.
    half_angle_deg : half of the source's width [deg]; the sun's when left out. Broadcastable.

    Returns
    -------
    ratio [1], broadcast shape.

    Raises
    ------
    ValueError : an angle outside its range.

    Valid for: a pipe just wide enough for the whole image; real errors ask for a wider one.

    Example
    -------
    >>> round(round_tube_limit(90), 1)
    68.4

    Source: follows from W = 2 r sin(rim), D = 2 r sin(half-angle).
    """
    rim = np.radians(within("rim angle", rim_angle_deg, 0, 180, "deg"))
    return plain(np.sin(rim) * np.asarray(line_concentration_limit(half_angle_deg)) / np.pi)
