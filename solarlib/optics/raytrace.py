"""Throw a million rays at the trough and count the ones that hit: the slow, honest check.

In: a mirror's curve, a pipe, the errors, a number of rays and a seed. Out: the
share that hits, where round the pipe and how far along. Unlike the integral in
`optics` it knows a round sun, slope errors along the trough, and any curve.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import positive, within

_SUN = np.tan(np.radians(reference.SUN_HALF_ANGLE_DEG.value))
_BLOCK = 1 << 15  # rays at a time, so that the arrays stay in the processor's cache


@dataclass(frozen=True)
class Trace:
    """What the rays did.

    intercept_factor : share of the reflected rays that hit the endless pipe, with its
    standard_error. end_share : share of those that hit within the pipe's length (1 when no
    length was given). hit_angle_deg : place on the pipe from the bottom, + towards +x, (hits,).
    start_x : where on the mirror the hitting rays came from [m], (hits,). rays : how many.
    """

    intercept_factor: float
    standard_error: float
    end_share: float
    hit_angle_deg: NDArray
    start_x: NDArray
    rays: int


def trace(
    p: Any,
    tube_diameter: float,
    rays: int = 200_000,
    seed: int = 0,
    slope_error_mrad: float = 0.0,
    specularity_mrad: float = 0.0,
    tracking_mrad: float = 0.0,
    misaim_deg: float = 0.0,
    tube_dx: float = 0.0,
    tube_dy: float = 0.0,
    incidence_deg: float = 0.0,
    trough_length: float | None = None,
    overhang: float = 0.0,
    shadow: bool = False,
) -> Trace:
    """Trace rays from an evenly bright solar disc over the mirror to the pipe.

    out = in - 2 (in . n) n, with the mirror's normal n tilted by a slope error across and along

    Parameters
    ----------
    p : the mirror: anything with aperture_width, focal_length, height(x) and slope_deg(x).
    tube_diameter : [m].
    rays, seed : number of rays and the seed that makes the run repeatable.
    trough_length, overhang : mirror length and pipe beyond it [m]; endless when left out.
    shadow : let the pipe keep the sun off the mirror; those rays then count as lost.
    others : as in `optics.intercept_factor`, single numbers.

    Returns
    -------
    Trace

    Raises
    ------
    ValueError : fewer than 1 ray, more than 20 million, impossible errors or sizes.

    Valid for: one case at a time; a share of 0.5 from 200 000 rays is known to ±0.001.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(trace(Parabola(0.170, 0.640), 0.022, slope_error_mrad=8).intercept_factor, 2)
    0.99

    Source: law of reflection, Monte Carlo; no formula of `optics` is used.
    """
    if not isinstance(rays, (int, np.integer)) or not 1 <= rays <= 20_000_000:
        raise ValueError(f"{rays} rays; use a whole number from 1 to 20 million.")
    for name, error in (
        ("slope error", slope_error_mrad),
        ("specularity", specularity_mrad),
        ("tracking error", tracking_mrad),
    ):
        within(name, error, 0, 500, "mrad")
    for name, tilt_deg in (("mis-aim", misaim_deg), ("incidence", incidence_deg)):
        within(name, tilt_deg, -90, 90, "deg")
    within("overhang", overhang, 0, np.inf, "m")
    radius = float(positive("pipe diameter", tube_diameter, "m")) / 2
    if trough_length is not None:
        positive("trough length", trough_length, "m")
    rng = np.random.default_rng(seed)
    centre_x, centre_y = tube_dx, p.focal_length + tube_dy
    sin_i, cos_i = np.sin(np.radians(incidence_deg)), np.cos(np.radians(incidence_deg))
    angles, starts, caught, hits = [], [], 0, 0

    for begin in range(0, rays, _BLOCK):
        n = min(_BLOCK, rays - begin)

        def normal(sigma_mrad: float, n: int = n) -> Any:
            return 1e-3 * sigma_mrad * rng.standard_normal(n) if sigma_mrad else 0.0

        x = p.aperture_width * (rng.random(n) - 0.5)
        y = p.height(x)
        # the ray comes down from the sun: a point on its disc, off by aim and tracking
        aim = np.radians(misaim_deg) + normal(tracking_mrad)
        edge, turn = _SUN * np.sqrt(rng.random(n)), 2 * np.pi * rng.random(n)
        side, along = edge * np.cos(turn), edge * np.sin(turn)
        flat = cos_i - along * sin_i
        sin_a, cos_a = np.sin(aim), np.cos(aim)
        ray_x = -(flat * sin_a + side * cos_a)
        ray_y = -(flat * cos_a - side * sin_a)
        ray_z = -(sin_i + along * cos_i)
        # mirror normal with slope errors across and along the trough
        slope = np.radians(p.slope_deg(x)) + normal(slope_error_mrad)
        tilt = normal(slope_error_mrad)
        n_x, n_y, n_z = -np.sin(slope), np.cos(slope), tilt
        onto = 2 * (ray_x * n_x + ray_y * n_y + ray_z * n_z) / (1 + tilt * tilt)
        out_x, out_y, out_z = ray_x - onto * n_x, ray_y - onto * n_y, ray_z - onto * n_z
        if specularity_mrad:  # scatter square to the ray, across and along
            size = np.sqrt(out_x**2 + out_y**2 + out_z**2)
            plan = np.hypot(out_x, out_y)
            across, lengthwise = normal(specularity_mrad), normal(specularity_mrad)
            out_x, out_y, out_z = (
                out_x + size * (across * out_y - lengthwise * out_x * out_z / size) / plan,
                out_y + size * (-across * out_x - lengthwise * out_y * out_z / size) / plan,
                out_z + lengthwise * plan,
            )
        # distance at which it passes the pipe's centre, in the section
        to_x, to_y = centre_x - x, centre_y - y
        plan = np.hypot(out_x, out_y)
        forward = (to_x * out_x + to_y * out_y) / plan
        miss = (to_x * out_y - to_y * out_x) / plan
        hit = (np.abs(miss) < radius) & (forward > 0)
        if shadow:
            hit &= np.abs(to_x * ray_y - to_y * ray_x) > radius * np.hypot(ray_x, ray_y)
        hits += int(np.count_nonzero(hit))
        x, y, out_x, out_y, plan = x[hit], y[hit], out_x[hit], out_y[hit], plan[hit]
        reach = forward[hit] - np.sqrt(radius**2 - miss[hit] ** 2)
        at_x = x + reach * out_x / plan - centre_x
        at_y = y + reach * out_y / plan - centre_y
        angles.append(np.degrees(np.arctan2(at_x, -at_y)))
        starts.append(x)
        if trough_length is not None:
            place = trough_length * (rng.random(len(x)) - 0.5) + reach * out_z[hit] / plan
            caught += int(np.count_nonzero(np.abs(place) <= trough_length / 2 + overhang))

    share = hits / rays
    return Trace(
        intercept_factor=share,
        standard_error=float(np.sqrt(max(share * (1 - share), 0.25 / rays) / rays)),
        end_share=1.0 if trough_length is None or not hits else caught / hits,
        hit_angle_deg=np.concatenate(angles),
        start_x=np.concatenate(starts),
        rays=rays,
    )


@dataclass(frozen=True)
class RayPaths:
    """Paths of single rays in the section, for drawing: x and y [m], (rays, 3), and the miss.

    Each path runs from above over the mirror to where it passes closest to the focus and a
    little on; miss [m] is that closest distance, (rays,), + when it passes on the +x side.
    """

    x: NDArray
    y: NDArray
    miss: NDArray


def ray_paths(p: Any, x: ArrayLike, misaim_deg: float = 0.0, top: float | None = None) -> RayPaths:
    """Follow one perfect ray from each place on the mirror, for drawing.

    The ray leaves at twice the slope, plus the aim error.

    Parameters
    ----------
    p : the mirror, as in `trace`. x : places on it [m], (n,). misaim_deg : aim error [deg].
    top : height from which the rays are drawn [m]; 1.3 focal lengths above the rim if left out.

    Returns
    -------
    RayPaths : x and y [m], (n, 3), and by how much each passes the focus [m], (n,).

    Raises
    ------
    ValueError : an aim error beyond ±180 deg.

    Valid for: the section across the trough, a sun without width.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> ray_paths(Parabola(0.170, 0.640), [-0.3, 0.0, 0.2]).miss.round(9).tolist()
    [0.0, 0.0, 0.0]

    Source: law of reflection.
    """
    x = np.asarray(x, float)
    y = np.asarray(p.height(x))
    aim = np.radians(within("mis-aim", misaim_deg, -180, 180, "deg"))
    top = float(np.max(y) + 1.3 * p.focal_length) if top is None else top
    direction = -2 * np.radians(p.slope_deg(x)) - aim
    out_x, out_y = np.sin(direction), np.cos(direction)
    to_x, to_y = -x, p.focal_length - y
    reach = 1.25 * (to_x * out_x + to_y * out_y)
    return RayPaths(
        x=np.stack([x + (top - y) * np.tan(aim), x, x + reach * out_x], axis=-1),
        y=np.stack([np.full_like(y, top), y, y + reach * out_y], axis=-1),
        miss=to_y * out_x - to_x * out_y,
    )
