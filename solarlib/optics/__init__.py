"""Where does the light go: from the mirror's curve to the share that the pipe takes up.

In: the mirror's curve, the pipe, the errors of building and aiming. Out:
acceptance, the share caught, the light lost past the pipe's ends, watts, the
brightness round the pipe. Lengths in metres, angles in degrees, rms errors in
milliradians; functions broadcast.

`concentration` and `aim` hold the closed forms, `share` the integral over the
mirror, `ends` slant and power, `brightness` local flux, `raytrace` a Monte-Carlo
check of all.
"""

from solarlib.optics.aim import (
    SUN_HALF_ANGLE_DEG,
    SUN_RMS_MRAD,
    acceptance_half_angle_deg,
    no_loss_aim_deg,
    smallest_tube,
    sun_image_width,
    total_spread_mrad,
    transverse_sun_half_angle_deg,
)
from solarlib.optics.brightness import flux_in_focal_plane, flux_round_tube
from solarlib.optics.concentration import (
    concentration_by_area,
    concentration_by_width,
    concentration_unshaded,
    line_concentration_limit,
    point_concentration_limit,
    round_tube_limit,
    shaded_share,
)
from solarlib.optics.ends import (
    LostLight,
    PipePower,
    beam_slide,
    end_effect,
    free_incidence_deg,
    light_past_end,
    overhang_needed,
    pipe_power,
)
from solarlib.optics.raytrace import RayPaths, Trace, ray_paths, trace
from solarlib.optics.share import PrintLoss, intercept_factor, print_loss

__all__ = [
    "SUN_HALF_ANGLE_DEG",
    "SUN_RMS_MRAD",
    "LostLight",
    "PipePower",
    "PrintLoss",
    "RayPaths",
    "Trace",
    "acceptance_half_angle_deg",
    "beam_slide",
    "concentration_by_area",
    "concentration_by_width",
    "concentration_unshaded",
    "end_effect",
    "flux_in_focal_plane",
    "flux_round_tube",
    "free_incidence_deg",
    "intercept_factor",
    "light_past_end",
    "line_concentration_limit",
    "no_loss_aim_deg",
    "overhang_needed",
    "pipe_power",
    "point_concentration_limit",
    "print_loss",
    "ray_paths",
    "round_tube_limit",
    "shaded_share",
    "smallest_tube",
    "sun_image_width",
    "total_spread_mrad",
    "trace",
    "transverse_sun_half_angle_deg",
]
