"""How bright is the light on the pipe's skin, and on the bare line when the pipe is out?

In: one mirror, the errors, places. Out: local flux in suns, multiples of the
sunlight in the opening before the mirror's reflectance.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, positive
from solarlib.optics.aim import radians, transverse_sun_half_angle_deg
from solarlib.optics.share import spread


def _brightness(off: NDArray, rest: NDArray, sun_half: NDArray) -> NDArray:
    """Share of a strip's light per radian at `off` [rad] from its beam: sun's disc, blurred.

    A round disc of even brightness, seen on one axis, is a half-ellipse of half-width
    sun_half; `rest` is the rms of everything else [rad].
    """
    if np.all(rest < sun_half / 6):  # nearly perfect mirror: keep the disc, same total rms
        half = np.sqrt(sun_half**2 + 4 * rest**2)
        return 2 / (np.pi * half) * np.sqrt(np.maximum(1 - (off / half) ** 2, 0.0))
    steps = np.arange(1, 13) * np.pi / 13  # Gauss-Chebyshev of the second kind: the half-ellipse
    total = np.zeros(np.broadcast_shapes(off.shape, rest.shape))
    for step in steps:
        shifted = (off - sun_half * np.cos(step)) / rest
        total += np.sin(step) ** 2 * np.exp(-(shifted**2) / 2)
    return total * 2 / 13 / (rest * np.sqrt(2 * np.pi))


def _local_flux(
    p: Any,
    place: tuple[NDArray, NDArray],
    facing: tuple[NDArray, NDArray],
    errors: dict[str, float],
    shadow: tuple[float, float, float] | None = None,
) -> NDArray:
    """Flux, in suns before reflectance, on a small surface at `place` (x, y) facing (x, y).

    Adds up the strips of the mirror: strip width × light per radian × width seen / distance.
    `shadow` is a pipe's (x, y, radius) that keeps the sun off the strips behind it.
    """
    misaim = radians("mis-aim", errors.pop("misaim_deg", 0.0))
    incidence = radians("incidence", errors.pop("incidence_deg", 0.0))
    slope_error = errors.pop("slope_error_mrad", 0.0)
    specularity = errors.pop("specularity_mrad", 0.0)
    tracking = errors.pop("tracking_mrad", 0.0)
    if errors:
        raise ValueError(f"{', '.join(errors)} is not an error that blurs the light.")
    # the image is narrow: many strips, evenly spaced, so that none is missed
    strip = p.aperture_width / 4000
    x = strip * (np.arange(4000) + 0.5) - p.aperture_width / 2
    y, slope = p.height(x), np.radians(p.slope_deg(x))
    rest = spread(slope_error, specularity, tracking, incidence, slope, sun_mrad=0.0)
    sun_half = np.radians(transverse_sun_half_angle_deg(np.degrees(incidence)))
    across, up = place[0][..., None] - x, place[1][..., None] - y
    distance = np.hypot(across, up)
    seen = -(facing[0][..., None] * across + facing[1][..., None] * up) / distance
    light = _brightness(np.arctan2(across, up) + 2 * slope + misaim, rest, sun_half)
    lit = seen > 0
    if shadow:
        behind = np.abs((x - shadow[0]) * np.cos(misaim) - (y - shadow[1]) * np.sin(misaim))
        lit = lit & (behind > shadow[2])
    return strip * np.sum(np.where(lit, light * seen / distance, 0.0), axis=-1)


def flux_round_tube(
    p: Any,
    tube_diameter: float,
    angle_deg: ArrayLike,
    tube_dx: float = 0.0,
    tube_dy: float = 0.0,
    **errors: float,
) -> Array:
    """Return the reflected light on the pipe's skin, in suns before reflectance.

    sum over strips of the mirror: strip width × light per radian × width seen / distance

    Parameters
    ----------
    p : one mirror. tube_diameter : [m].
    angle_deg : place on the skin from the bottom (facing the vertex), any shape [deg].
    tube_dx, tube_dy : pipe moved from the focus, to +x and away from the vertex [m].
    errors : slope_error_mrad, specularity_mrad, tracking_mrad, misaim_deg, incidence_deg.

    Returns
    -------
    suns : multiples of the sunlight in the opening, shape of `angle_deg`. The pipe's own shadow
        on the mirror is in it, the sunlight that falls straight on the top is not.

    Raises
    ------
    ValueError : a pipe without diameter, an error that is unknown or out of range.

    Valid for: nearly Gaussian errors; the mean over the skin, times its circumference, is the
    share of `intercept_factor` but for the shadow.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(flux_round_tube(Parabola(0.170, 0.640), 0.022, 48, slope_error_mrad=8))
    19

    Source: radiance of the blurred sun, strip by strip; recomputed by ray tracing.
    """
    radius = float(positive("pipe diameter", tube_diameter, "m")) / 2
    around = np.radians(np.asarray(angle_deg, float))
    facing = np.sin(around), -np.cos(around)
    centre = tube_dx, p.focal_length + tube_dy
    place = centre[0] + radius * facing[0], centre[1] + radius * facing[1]
    return plain(_local_flux(p, place, facing, errors, shadow=(*centre, radius)))


def flux_in_focal_plane(p: Any, position: ArrayLike, **errors: float) -> Array:
    """Return the flux of the bare line in the focal plane, in suns before reflectance.

    sum over strips of the mirror: strip width × light per radian × width seen / distance

    Parameters
    ----------
    p : one mirror.
    position : distance from the focus across the trough [m], any shape.
    errors : slope_error_mrad, specularity_mrad, tracking_mrad, misaim_deg, incidence_deg.

    Returns
    -------
    suns : multiples of the sunlight in the opening, shape of `position`.

    Raises
    ------
    ValueError : an error that is unknown or out of range.

    Valid for: nearly Gaussian errors, no pipe in the way.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(flux_in_focal_plane(Parabola(0.170, 0.640), 0.0, slope_error_mrad=8))
    49

    Source: radiance of the blurred sun, strip by strip; recomputed by ray tracing.
    """
    place = np.asarray(position, float)
    level = np.full(place.shape, float(p.focal_length))
    down = np.zeros(place.shape), -np.ones(place.shape)
    return plain(_local_flux(p, (place, level), down, errors))
