"""Pictures of lesson 01: a curve with its rays, and a stretched print over the true rib."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure
from numpy.typing import NDArray

from solarlib.figures.ink import (
    INK,
    MIRROR,
    PALE,
    RAY,
    SECOND,
    THIRD,
    circle,
    joined,
    key,
    number,
    section,
)

PIPE_MM = 22.0
BACK = {"color": SECOND["color"], "linewidth": 0.9, "linestyle": (0, (5, 2))}
NORMAL = {"color": THIRD["color"], "linewidth": 1.6, "linestyle": ":"}


@dataclass(frozen=True)
class CurveAndFocus:
    """A trough section: curve and rays [m], and the numbers a builder needs [m, deg]."""

    shape: str
    x: NDArray
    y: NDArray
    rays_x: NDArray
    rays_y: NDArray
    normals_x: NDArray
    normals_y: NDArray
    focal_length: float
    depth: float
    rim_angle_deg: float
    sheet_width: float
    aperture_width: float
    rim_miss: float
    share: float


def frame_curve_and_focus(figure: Figure) -> Any:
    """Draw the axes, wide enough for the largest trough of the sliders."""
    axes = section(figure, 520, -40, 560)
    key(axes, {"light coming in": RAY, "light going out": BACK, "normal": NORMAL},
        loc="upper right", fontsize=9)  # fmt: skip
    axes.text(-490, 500, "focus and pipe")
    return axes


def paint_curve_and_focus(axes: Any, r: CurveAndFocus) -> list[Any]:
    """Draw mirror, light coming in and going out, a few normals, the focus and a 22 mm pipe."""
    focus = r.focal_length * 1000
    made = [
        *axes.plot(*joined(r.rays_x[:, :2], r.rays_y[:, :2]), **RAY, label="light coming in"),
        *axes.plot(*joined(r.rays_x[:, 1:], r.rays_y[:, 1:]), **BACK, label="light going out"),
        *axes.plot(*joined(r.normals_x, r.normals_y), **NORMAL, label="normal"),
        *axes.plot(r.x * 1000, r.y * 1000, **MIRROR),
    ]
    made.append(circle(axes, 0, focus, PIPE_MM / 2, facecolor="white", edgecolor=INK, zorder=3))
    made += axes.plot([0], [focus], marker="+", color=INK, markersize=9, zorder=4)
    made += axes.plot([-390, -8], [490, focus + 10], color=PALE, linewidth=1)
    return made


def describe_curve_and_focus(r: CurveAndFocus) -> str:
    """Say what the section shows."""
    meet = ("All rays pass through the focus." if abs(r.rim_miss) < 0.0005 else
            f"The ray from the rim passes the focus at {abs(r.rim_miss) * 1000:.0f} millimetres "
            f"distance.")  # fmt: skip
    meet += " The normals, the lines square to the mirror, do not meet there."
    return (
        f"A {r.shape} {r.aperture_width * 1000:.0f} millimetres wide with focal length "
        f"{r.focal_length * 1000:.0f} millimetres is {r.depth * 1000:.1f} millimetres deep. "
        f"{meet} Of the rays drawn from rim to rim, {r.share * 100:.0f} percent hit a 22 "
        f"millimetre pipe. The sheet along the curve is {r.sheet_width * 1000:.0f} millimetres "
        f"wide, {(r.sheet_width / r.aperture_width - 1) * 100:.0f} percent more than the opening."
    )


def table_curve_and_focus(r: CurveAndFocus) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("depth", number(r.depth * 1000, "mm", 4)),
        ("rim angle", number(r.rim_angle_deg, "°")),
        ("sheet width along the curve", number(r.sheet_width * 1000, "mm", 4)),
        ("bend radius at the middle, 2f", number(2000 * r.focal_length, "mm", 4)),
        ("how far the rim ray misses the focus", number(round(abs(r.rim_miss) * 1000, 1), "mm", 2)),
        ("rays that hit a 22 mm pipe", f"{r.share * 100:.0f} %"),
    ]


@dataclass(frozen=True)
class PrinterTrap:
    """A true rib and a printed one [m], where each focuses, and the light caught (0 to 1)."""

    x: NDArray
    y: NDArray
    printed_x: NDArray
    printed_y: NDArray
    focal_length: float
    printed_focal_length: float
    pipe_left: float
    pipe_moved: float
    scale_x: float
    scale_y: float


def frame_printer_trap(figure: Figure) -> Any:
    """Draw the axes."""
    return section(figure, 400, -20, 260)


def paint_printer_trap(axes: Any, r: PrinterTrap) -> list[Any]:
    """Draw both ribs, the fixed pipe and the focus of the printed rib."""
    new = r.printed_focal_length * 1000
    made = [
        *axes.plot(r.x * 1000, r.y * 1000, **{**MIRROR, "linewidth": 1.6}),
        *axes.plot(r.printed_x * 1000, r.printed_y * 1000, **SECOND),
        circle(axes, 0, r.focal_length * 1000, PIPE_MM / 2, facecolor="#dddddd", edgecolor=INK),
        *axes.plot([0], [new], marker="x", color=SECOND["color"], markersize=10, markeredgewidth=2),
        *axes.plot([-60, 60], [new, new], **{**THIRD, "linewidth": 1.0}),
    ]
    made.append(axes.text(66, new, "focus of the printed rib", va="center"))
    made.append(axes.text(-66, r.focal_length * 1000, "pipe as planned", ha="right", va="center"))
    made.append(axes.text(-390, 215, "solid: true rib\ndashed: printed rib", color=PALE))
    return made


def describe_printer_trap(r: PrinterTrap) -> str:
    """Say what the two ribs show."""
    moved = (r.printed_focal_length - r.focal_length) * 1000
    where = f"stays at {r.focal_length * 1000:.1f} millimetres" if abs(moved) < 0.05 else (
        f"moves {abs(moved):.1f} millimetres {'up' if moved > 0 else 'down'}, to "
        f"{r.printed_focal_length * 1000:.1f} millimetres")  # fmt: skip
    return (
        f"Printed {r.scale_x * 100:.0f} percent wide and {r.scale_y * 100:.0f} percent high, the "
        f"rib is still a parabola. Its focus {where}. With the pipe left where it was planned "
        f"{r.pipe_left * 100:.0f} percent of the light is caught; with the pipe moved to the new "
        f"focus, {r.pipe_moved * 100:.0f} percent."
    )


def table_printer_trap(r: PrinterTrap) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("200 mm bar across measures", number(200 * r.scale_x, "mm", 4)),
        ("150 mm bar down measures", number(150 * r.scale_y, "mm", 4)),
        ("focal length of the print", number(r.printed_focal_length * 1000, "mm", 4)),
        ("light caught, pipe left", f"{r.pipe_left * 100:.1f} %"),
        ("light caught, pipe moved", f"{r.pipe_moved * 100:.1f} %"),
    ]
