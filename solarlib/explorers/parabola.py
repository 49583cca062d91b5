"""Explorers of lesson 01: curve and focus, and the printer trap."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.explorers.ladle import HALF, LADLE
from solarlib.figures import parabola as draw

PIPE = draw.PIPE_MM / 1000
SHAPES = ("parabola", "circle", "hanging chain")


def compute_curve_and_focus(
    width: float, focal_length: float, shape: str, rays: float
) -> draw.CurveAndFocus:
    """Follow rays in a trough width × focal length [mm] of one of three shapes."""
    from solarlib import geometry, optics

    w, f = width / 1000, focal_length / 1000
    if shape == "circle":
        w = min(w, 4 * f)  # a half circle is as wide as it gets
    made: dict[str, Any] = {"parabola": lambda: geometry.Parabola(focal_length=f, aperture_width=w),
            "circle": lambda: geometry.Circle(2 * f, w),
            "hanging chain": lambda: geometry.HangingChain(2 * f, w)}  # fmt: skip
    p = made[shape]()
    x = np.linspace(-w / 2, w / 2, 401) * (1 - 1e-9)
    y = np.asarray(p.height(x))
    hit = np.linspace(-w / 2, w / 2, int(rays)) * 0.999
    few = optics.ray_paths(p, hit)
    normals = _normals(p, hit[:: max(1, int(rays) // 6)])
    many = optics.ray_paths(p, x)
    rim_angle = np.degrees(np.arctan2(x[-1], f - y[-1]))
    return draw.CurveAndFocus(
        shape, x, y, few.x, few.y, *normals, f, float(p.depth), float(rim_angle),
        float(np.sum(np.hypot(np.diff(x), np.diff(y)))), w, float(many.miss[-1]),
        float(np.mean(np.abs(many.miss) <= PIPE / 2)),
    )  # fmt: skip


def _normals(p: Any, x: NDArray) -> tuple[NDArray, NDArray]:
    """Lines of 100 mm square to the mirror at places x [m]: two arrays (n, 2)."""
    slope = np.radians(p.slope_deg(x))
    y = np.asarray(p.height(x))
    return (np.stack([x, x - 0.1 * np.sin(slope)], axis=1),
            np.stack([y, y + 0.1 * np.cos(slope)], axis=1))  # fmt: skip


def explore_curve_and_focus(question: Any = None) -> Explorer:
    """Width, focal length and shape: a circle is perfect when shallow and useless when deep."""
    scene = Scene("Curve and focus", compute_curve_and_focus, draw.frame_curve_and_focus,
                  draw.paint_curve_and_focus, draw.describe_curve_and_focus,
                  draw.table_curve_and_focus, size=(7.4, 4.6))  # fmt: skip
    controls = [
        Slider("width", "width of the opening", "mm", 200, 720, 5, 560),
        Slider("focal_length", "focal length", "mm", 160, 300, 5, 200),
        Pick("shape", "shape", {shape: shape for shape in SHAPES}, "parabola"),
        Slider("rays", "rays drawn", "", 5, 41, 2, 15),
    ]
    presets = {
        "Shallow circle": {"width": 250, "focal_length": 170, "shape": "circle"},
        "Deep circle": {"width": 640, "focal_length": 170, "shape": "circle"},
    }
    guess = Guess("A parabola, rays of light that fall on it, and a pipe in its focus.", _came_out_curve)
    return Explorer(scene, controls, question, presets, guess)


def _came_out_curve() -> str:
    width, focal_length = 1000 * LADLE.aperture_width, 1000 * LADLE.focal_length
    hit = {shape: compute_curve_and_focus(width, focal_length, shape, 5).share for shape in SHAPES}
    told = ", ".join(f"{100 * share:.0f} % in a {shape}" for shape, share in hit.items())
    return f"In a trough as wide and deep as the Ladle the rays that hit its pipe are: {told}."


def compute_printer_trap(scale_x: float, scale_y: float) -> draw.PrinterTrap:
    """Stretch the print of the demo rib by scale_x, scale_y [%]."""
    from solarlib import geometry, optics

    true = LADLE.curve
    sx, sy = scale_x / 100, scale_y / 100
    x = np.linspace(-HALF, HALF, 161)
    y = np.asarray(true.height(x))
    loss = optics.print_loss(true, sx, sy, PIPE, slope_error_mrad=LADLE.slope_error_mrad)
    return draw.PrinterTrap(
        x, y, x * sx, y * sy, LADLE.focal_length,
        float(geometry.printed_focal_length(LADLE.focal_length, sx, sy)),
        float(loss.pipe_left), float(loss.pipe_moved), sx, sy,
    )  # fmt: skip


def explore_printer_trap(question: Any = None) -> Explorer:
    """A stretched print: width counts twice, and moving the pipe mends it."""
    scene = Scene("Printer trap", compute_printer_trap, draw.frame_printer_trap,
                  draw.paint_printer_trap, draw.describe_printer_trap,
                  draw.table_printer_trap)  # fmt: skip
    controls = [
        Slider("scale_x", "width of the print", "%", 94, 106, 0.5, 100),
        Slider("scale_y", "height of the print", "%", 94, 106, 0.5, 100),
    ]
    presets = {"Fit to page (both 97 %)": {"scale_x": 97, "scale_y": 97},
               "Width only 97 %": {"scale_x": 97, "scale_y": 100}}  # fmt: skip
    guess = Guess("A rib printed in true size: the dashed print lies on the true curve, and the focus "
                  "is where the pipe was planned.", _came_out_print)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_print() -> str:
    prints = (compute_printer_trap(97, 97), compute_printer_trap(97, 100))
    both, width = (1000 * abs(r.printed_focal_length - r.focal_length) for r in prints)
    return (f"Small in both directions, the focus moves {both:.0f} mm; small in width only, it "
            f"moves {width:.0f} mm.")  # fmt: skip
