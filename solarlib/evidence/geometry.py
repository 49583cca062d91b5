"""How the rows about curve, print, sheet and pipe are asked of `solarlib.geometry`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from solarlib import geometry, optics
from solarlib.geometry import Parabola, Pipe


def _tube(i: Any) -> Any:
    inch = 0.0254
    if hasattr(i, "OD_in"):
        return Pipe(i.OD_in * inch, i.wall_in * inch)
    return Pipe(i.OD_mm / 1000, i.wall_mm / 1000)


def _unit(i: Any) -> Any:
    return Parabola.from_two(focal_length=1.0, rim_angle_deg=i.rim_angle_deg)


def _demo(i: Any) -> Any:
    return Parabola(i.f_m, i.W_m)


ASK: dict[str, Callable[[Any], float]] = {
    "aperture width / focal length": lambda i: _unit(i).aperture_width,
    "depth / aperture width": lambda i: _unit(i).depth / _unit(i).aperture_width,
    "arc length / aperture width": lambda i: _unit(i).sheet_width / _unit(i).aperture_width,
    "arc length / focal length": lambda i: _unit(i).sheet_width,
    "aperture-mean mirror-to-focus distance / focal length": lambda i: _unit(i).mean_focal_distance,
    "trough depth": lambda i: _demo(i).depth,
    "rim angle at the focus": lambda i: _demo(i).rim_angle_deg,
    "edge slope of the sheet": lambda i: _demo(i).edge_slope_deg,
    "arc length across the aperture (sheet width without trim)": lambda i: _demo(i).sheet_width,
    "rim-to-focus distance": lambda i: _demo(i).rim_distance,
    "aperture-mean mirror-to-focus distance": lambda i: _demo(i).mean_focal_distance,
    "height of focus above rim plane": lambda i: _demo(i).focus_above_rim,
    "rib height y(x) above the vertex": lambda i: (
        1000 * Parabola(i.f_mm / 1000, 0.64).height(i.x_mm / 1000)
    ),
    "x of a hole drilled at arc distance s from the vertex line": lambda i: (
        1000 * Parabola(i.f_mm / 1000, 0.64).x_at_arc(i.s_mm / 1000)
    ),
    "focal length for a given sheet width and rim angle": lambda i: (
        Parabola.from_sheet(i.sheet_width_m, rim_angle_deg=i.rim_angle_deg).focal_length
    ),
    "aperture width from sheet width and focal length": lambda i: (
        Parabola.from_sheet(i.sheet_width_m, focal_length=i.f_m).aperture_width
    ),
    "aperture area": lambda i: Parabola(0.17, i.W_m).area(i.L_m),
    "focal length of a stretched template, f sx^2/sy": lambda i: (
        1000 * geometry.printed_focal_length(i.f_mm / 1000, i.scale_x, i.scale_y)
    ),
    "smallest focal length for a cold-bend limit R >= k t, R = 2f": lambda i: (
        1000 * geometry.shortest_focal_length(i.thickness_mm / 1000, i.k)
    ),
    "largest sheet thickness for a cold-bend limit, 2f/k": lambda i: (
        1000 * geometry.thickest_sheet(i.f_mm / 1000, i.k)
    ),
    "bending strain t/(2R) at the vertex": lambda i: geometry.bending_strain(
        i.thickness_mm / 1000, i.f_mm / 1000
    ),
    "beam miss at the rim for a mirror offset t from the rib curve, t sin(rim/2)": lambda i: (
        1000
        * geometry.backing_offset(
            Parabola.from_two(aperture_width=0.64, rim_angle_deg=i.rim_angle_deg),
            i.thickness_mm / 1000,
        )
    ),
    "water content of a tube per metre": lambda i: 1000 * _tube(i).water_volume_per_metre,
    "tube mass per metre, density 8940": lambda i: _tube(i).copper_per_metre,
    "copper mass per metre, density 8940": lambda i: _tube(i).copper_per_metre,
    "mid-span sag of a full 22 x 0.9 mm copper pipe, simply supported, E = 117 GPa": lambda i: (
        1000 * Pipe(0.022, 0.0009).sag(i.span_m)
    ),
    "free growth of a 1.40 m copper pipe": lambda i: (
        1000 * geometry.copper_growth(i.length_m, 10, 10 + i.rise_K)
    ),
    "concentration, width ratio W/D": lambda i: optics.concentration_by_width(i.W_m, i.D_m),
    "concentration, area ratio W/(pi D)": lambda i: optics.concentration_by_area(i.W_m, i.D_m),
    "concentration, unshaded area ratio (W-D)/(pi D)": lambda i: optics.concentration_unshaded(
        i.W_m, i.D_m
    ),
}
LEFT_OUT: dict[str, str] = {}
