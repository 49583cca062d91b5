"""Explorer of lesson 01 for a print on the table: two bars in, where to put the pipe out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from solarlib.explorers.base import Explorer, Scene, Slider
from solarlib.explorers.ladle import LADLE
from solarlib.figures import parabola as draw
from solarlib.figures.ink import number

PIPE = draw.PIPE_MM / 1000


@dataclass(frozen=True)
class MeasuredPrint(draw.PrinterTrap):
    """The picture of a stretched print, with the bars [mm] and the verdict in words."""

    across: float
    down: float
    sentence: str


def compute_measured_print(
    across: float, down: float, width: float, focal_length: float
) -> MeasuredPrint:
    """Judge a print by its 200 mm and its 150 mm bar [mm], of a rib width × focal length [mm]."""
    from solarlib.design.printed import ACROSS, DOWN, printed_rib
    from solarlib.geometry import Parabola
    from solarlib.optics import print_loss

    p = Parabola(focal_length=focal_length / 1000, aperture_width=width / 1000)
    sx, sy = across / 1000 / ACROSS, down / 1000 / DOWN
    made = printed_rib(p, PIPE, across / 1000, down / 1000, slope_error_mrad=LADLE.slope_error_mrad)
    caught = print_loss(p, sx, sy, PIPE, slope_error_mrad=LADLE.slope_error_mrad)
    x = np.linspace(-width / 2000, width / 2000, 161)
    y = np.asarray(p.height(x))
    return MeasuredPrint(
        x, y, x * sx, y * sy, made.planned, made.focal_length, float(caught.pipe_left),
        float(caught.pipe_moved), sx, sy, across, down, made.sentence,
    )  # fmt: skip


def describe(r: MeasuredPrint) -> str:
    """Say what the bars mean."""
    return (f"The bar across measures {number(r.across, 'mm', 4)} and the bar down "
            f"{number(r.down, 'mm', 4)}; 200 and 150 mm would be right. {r.sentence}")  # fmt: skip


def table(r: MeasuredPrint) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [("width counts twice, height once",
             f"f′ = {r.focal_length * 1000:.1f} mm × {r.scale_x:.4f}² ÷ {r.scale_y:.4f}"),
            *draw.table_printer_trap(r)]  # fmt: skip


def explore_measured_print(question: Any = None) -> Explorer:
    """The two bars measured on a print: real focal length, light lost, where the pipe goes."""
    scene = Scene("What your print says", compute_measured_print, draw.frame_printer_trap,
                  draw.paint_printer_trap, describe, table)  # fmt: skip
    controls = [
        Slider("across", "bar across, as measured", "mm", 180, 220, 0.1, 200),
        Slider("down", "bar down, as measured", "mm", 135, 165, 0.1, 150),
        Slider("width", "opening of your rib", "mm", 300, 760, 10, 640),
        Slider("focal_length", "focal length of your rib", "mm", 100, 240, 5, 170),
    ]
    presets = {"Fit to page (both 97 %)": {"across": 194, "down": 145.5},
               "At the limit": {"across": 199, "down": 150.7}}  # fmt: skip
    return Explorer(scene, controls, question, presets)
