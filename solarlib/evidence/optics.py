"""How the rows about light are asked of `solarlib.optics`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from solarlib import optics
from solarlib.geometry import Parabola


def _demo(i: Any) -> Any:
    return Parabola(i.f_m, i.W_m)


def _end(i: Any) -> Any:
    overhang = (i.L_tube_m - i.L_m) / 2
    return optics.end_effect(_demo(i), i.D_m, i.L_m, overhang, i.incidence_deg)


def _axial(i: Any) -> Any:
    far, near = (
        optics.intercept_factor(_demo(i), i.D_m, i.slope_mrad, tube_dy=sign * i.dy_mm / 1000)
        for sign in (1, -1)
    )
    return (far + near) / 2


def _free_incidence(i: Any) -> Any:
    """The row gives the rim distance; any parabola with that rim distance will do."""
    p = Parabola.from_two(rim_angle_deg=90, aperture_width=2 * i.r_rim_m)
    return optics.free_incidence_deg(p, i.D_m, i.overhang_m)


def _acceptance(i: Any) -> Any:
    return optics.acceptance_half_angle_deg(_demo(i), i.D_m)


def _transverse(i: Any) -> Any:
    return optics.transverse_sun_half_angle_deg(i.incidence_deg)


ASK: dict[str, Callable[[Any], float]] = {
    "acceptance half-angle, point sun: asin(D/(2 r_rim))": _acceptance,
    "acceptance half-angle, point sun": _acceptance,
    "aim error with no loss, perfect mirror: asin(D/(2 r_rim)) - 0.26645": lambda i: (
        optics.no_loss_aim_deg(_demo(i), i.D_m)
    ),
    "smallest tube that takes the whole sun image: 2 r_rim sin(0.26645 deg)": lambda i: (
        1000 * optics.smallest_tube(_demo(i))
    ),
    "sun half-angle at 1 au, R_sun 695700 km": lambda i: (
        1000 * np.radians(optics.SUN_HALF_ANGLE_DEG)
    ),
    "ideal line-focus limit 1/sin(theta_s)": lambda i: optics.line_concentration_limit(
        i.theta_s_deg
    ),
    "ideal point-focus limit 1/sin^2(theta_s)": lambda i: optics.point_concentration_limit(
        i.theta_s_deg
    ),
    "ideal line-focus limit with theta_s 0.27 deg": lambda i: optics.line_concentration_limit(
        i.theta_s_deg
    ),
    "ideal point-focus limit with theta_s 0.27 deg": lambda i: optics.point_concentration_limit(
        i.theta_s_deg
    ),
    "largest W/(pi D) for a round tube, perfect mirror: sin(rim)/(pi sin theta_s)": lambda i: (
        optics.round_tube_limit(i.rim_angle_deg, i.theta_s_deg)
    ),
    "total rms spread, slope counted twice": lambda i: optics.total_spread_mrad(
        i.slope_mrad, i.specularity_mrad, i.tracking_mrad, i.sun_rms_mrad
    ),
    "intercept factor, Gaussian slope error, no mis-aim": lambda i: optics.intercept_factor(
        _demo(i), i.D_m, slope_error_mrad=i.slope_mrad
    ),
    **{
        f"intercept factor with constant transverse mis-aim, slope error {s} mrad": lambda i: (
            optics.intercept_factor(_demo(i), i.D_m, i.slope_mrad, misaim_deg=i.misaim_deg)
        )
        for s in (5, 8)
    },
    "intercept factor, tube displaced along the axis (mean of both directions), "
    "slope error 8 mrad": _axial,
    "intercept factor, tube displaced sideways, slope error 8 mrad": lambda i: (
        optics.intercept_factor(_demo(i), i.D_m, i.slope_mrad, tube_dx=i.dx_mm / 1000)
    ),
    "share reaching the tube, tube as long as the mirror (end effect only)": _end,
    "share reaching the tube, 0.25 m overhang at each end": _end,
    "incidence at which a 0.25 m overhang begins to lose rim light": _free_incidence,
    "slide of the bright line along the tube (near side of tube)": lambda i: (
        1000
        * optics.beam_slide(_demo(i), i.D_m, i.incidence_deg, {"centre": 0, "rim": 0.32}[i.strip])
    ),
    "shaded strip as share of the aperture, normal incidence": lambda i: optics.shaded_share(
        i.W_m, i.D_m
    ),
    "sun half-width in the transverse plane, atan(tan(0.26645)/cos theta)": _transverse,
}
LEFT_OUT: dict[str, str] = {}
