"""How much of the light that the mirror sends back reaches the pipe?

In: the mirror's curve, the pipe, the errors of building and aiming. Out: the
share caught (intercept factor), averaged over the whole opening. Reflectance,
dirt, absorptance, shadow and end effect are separate factors.
"""

from __future__ import annotations

from dataclasses import dataclass, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, positive, together, within
from solarlib.geometry import printed_parabola
from solarlib.optics.aim import SUN_RMS_MRAD, radians

# Gauss-Legendre on both halves of the opening: the centre line is a kink for tilted pipes.
NODE, WEIGHT = np.polynomial.legendre.leggauss(48)
NODE = np.concatenate([(NODE - 1) / 2, (NODE + 1) / 2])
WEIGHT = np.concatenate([WEIGHT, WEIGHT]) / 4


def spread(
    slope_error_mrad: ArrayLike,
    specularity_mrad: ArrayLike,
    tracking_mrad: ArrayLike,
    incidence: NDArray,
    slope: NDArray,
    sun_mrad: float = SUN_RMS_MRAD,
) -> NDArray:
    """Rms spread across the trough [rad] of light from a strip of this slope [rad].

    Slanting light (incidence [rad]) widens sun and scatter by 1/cos, and makes the slope
    error along the trough count too: (2 slope)² [1 + tan²(incidence) sin²(slope)].
    """
    slope_error = within("slope error", slope_error_mrad, 0, 500, "mrad")
    specularity = within("specularity", specularity_mrad, 0, 500, "mrad")
    tracking = within("tracking error", tracking_mrad, 0, 500, "mrad")
    along = np.tan(incidence) * np.sin(slope)
    seen = (specularity**2 + sun_mrad**2) / np.cos(incidence) ** 2
    return 1e-3 * np.sqrt(4 * slope_error**2 * (1 + along**2) + seen + tracking**2)


def with_axis(p: Any) -> Any:
    """Give the numbers of an array of mirrors one more axis, for places across the mirror."""
    if not hasattr(p, "focal_length"):
        raise ValueError(f"The mirror is {p!r}; give a geometry.Parabola or another curve.")
    if np.ndim(p.focal_length) == 0 and np.ndim(p.aperture_width) == 0:
        return p
    assert is_dataclass(p) and not isinstance(p, type)
    return replace(p, **{name: np.asarray(value)[..., None] for name, value in vars(p).items()})


def _strips(p: Any) -> tuple[NDArray, NDArray, NDArray, NDArray]:
    """Places across the mirror: x, height [m], slope [rad], focal length [m]."""
    p = with_axis(p)
    x = p.aperture_width / 2 * NODE
    return x, p.height(x), np.radians(p.slope_deg(x)), np.asarray(p.focal_length)


def intercept_factor(
    p: Any,
    tube_diameter: ArrayLike,
    slope_error_mrad: ArrayLike = 0.0,
    specularity_mrad: ArrayLike = 0.0,
    tracking_mrad: ArrayLike = 0.0,
    misaim_deg: ArrayLike = 0.0,
    tube_dx: ArrayLike = 0.0,
    tube_dy: ArrayLike = 0.0,
    incidence_deg: ArrayLike = 0.0,
) -> Array:
    """Return the share of the reflected light that reaches the pipe, averaged over the opening.

    (1/W) int 1/2 [erf((b-o)/(s sqrt 2)) + erf((b+o)/(s sqrt 2))] dx with b = asin(a/r), r from
    the strip to the pipe's centre, o the angle by which the strip's beam is aimed past it, s
    the total rms spread of `total_spread_mrad`, a little wider for slanting light.

    Parameters
    ----------
    p : the mirror: `Parabola`, `Circle`, `HangingChain` or `ScrewLine`.
    tube_diameter : outside diameter 2a [m].
    slope_error_mrad, specularity_mrad, tracking_mrad : random rms errors [mrad].
    misaim_deg : constant aim error across the trough [deg], towards +x.
    tube_dx, tube_dy : pipe moved from the focus, to +x and away from the vertex [m].
    incidence_deg : slant of the light along the trough [deg].

    Returns
    -------
    share : 0..1, broadcast shape of all inputs.

    Raises
    ------
    ValueError : negative errors, angles beyond 90 deg, a pipe without diameter, shapes that do
        not fit together.

    Valid for: random errors that are nearly Gaussian; a tracing agrees within 0.001 (0.004 for a
    moved pipe). Scatter tails are left out; slope errors are taken alike across and along.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(intercept_factor(Parabola(0.170, 0.640), 0.022, slope_error_mrad=8), 4)
    0.9945

    Source: error-cone integral after Bendt & Rabl 1979; recomputed by ray tracing.
    """
    x, y, slope, focal_length = _strips(p)
    together(mirror=p.focal_length, tube_diameter=tube_diameter, slope_error_mrad=slope_error_mrad,
             specularity_mrad=specularity_mrad, tracking_mrad=tracking_mrad, misaim_deg=misaim_deg,
             tube_dx=tube_dx, tube_dy=tube_dy, incidence_deg=incidence_deg)  # fmt: skip
    radius = positive("pipe diameter", tube_diameter, "m")[..., None] / 2
    incidence = radians("incidence", incidence_deg)[..., None]
    misaim = radians("mis-aim", misaim_deg)[..., None]
    dx, dy = np.asarray(tube_dx, float)[..., None], np.asarray(tube_dy, float)[..., None]
    width = spread(
        np.asarray(slope_error_mrad)[..., None],
        np.asarray(specularity_mrad)[..., None],
        np.asarray(tracking_mrad)[..., None],
        incidence,
        slope,
    )
    across, up = dx - x, focal_length + dy - y
    distance = np.hypot(across, up)
    window = np.arcsin(np.minimum(radius / distance, 1.0))
    offset = misaim + np.arctan2(across, up) + 2 * slope
    scale = 1 / (np.sqrt(2) * width)
    from scipy.special import erf  # only here, so that importing the course stays quick

    caught = erf((window - offset) * scale) + erf((window + offset) * scale)
    return plain(np.clip(0.5 * (caught @ WEIGHT), 0.0, 1.0))


@dataclass(frozen=True)
class PrintLoss:
    """Share caught with a stretched template: pipe left where planned, and moved to the focus."""

    pipe_left: Array
    pipe_moved: Array


def print_loss(
    p: Any, scale_x: ArrayLike, scale_y: ArrayLike, tube_diameter: ArrayLike, **errors: ArrayLike
) -> PrintLoss:
    """Return the share of light caught by a trough sawn after a stretched print.

    The mirror has f' = f sx²/sy; the pipe stays at f, or is moved to f'.

    Parameters
    ----------
    p : the parabola intended. scale_x, scale_y : printed size / intended size, across and down.
    tube_diameter : [m]. errors : those of `intercept_factor`.

    Returns
    -------
    PrintLoss : shares 0..1, broadcast shape.

    Raises
    ------
    ValueError : a scale that is not above zero, impossible errors.

    Valid for: as `intercept_factor`; `geometry.check_print` gives the scales.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> loss = print_loss(Parabola(0.170, 0.640), 0.97, 1.0, 0.022, slope_error_mrad=8)
    >>> round(loss.pipe_left, 2), round(loss.pipe_moved, 3)
    (0.81, 0.996)

    Source: `geometry.printed_parabola` and `intercept_factor`; recomputed by ray tracing.
    """
    printed = printed_parabola(p, scale_x, scale_y)
    away = p.focal_length - np.asarray(printed.focal_length)
    return PrintLoss(
        pipe_left=intercept_factor(printed, tube_diameter, tube_dy=away, **errors),
        pipe_moved=intercept_factor(printed, tube_diameter, **errors),
    )
