"""Line styles and marks shared by all pictures: told apart in black and white too."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

INK = "#1a1a1a"
PALE = "#6b6b6b"  # 5.3 : 1 on white, so words may have it too
MIRROR = {"color": INK, "linewidth": 2.6, "linestyle": "-"}
RAY = {"color": "#b45f06", "linewidth": 0.9, "linestyle": "-"}
SECOND = {"color": "#0b5394", "linewidth": 2.0, "linestyle": "--"}
THIRD = {"color": "#38761d", "linewidth": 2.0, "linestyle": ":"}
BEHIND_WORDS = {"facecolor": "white", "edgecolor": "none", "pad": 2}
# lines only: a hatch of dots is a hundred kilobytes of curves in every picture
HATCHES = ("", "//", "||", "xx", "\\\\", "--", "++", "/-")
SHADES = ("#ffffff", "#dddddd", "#bbbbbb", "#999999", "#eeeeee", "#cccccc", "#aaaaaa", "#888888")


def section(figure: Figure, x_mm: float, low_mm: float, high_mm: float) -> Any:
    """Return axes for a trough section at one scale both ways, in millimetres."""
    axes = figure.add_axes((0.09, 0.14, 0.89, 0.83))
    axes.set_xlim(-x_mm, x_mm)
    axes.set_ylim(low_mm, high_mm)
    axes.set_aspect("equal", adjustable="box", anchor="C")
    axes.set_xlabel("across the trough, mm")
    axes.set_ylabel("height, mm")
    return axes


def bars(figure: Figure, left: float = 0.28) -> Any:
    """Return axes for lying bars with their words at the left."""
    axes = figure.add_axes((left, 0.15, 0.96 - left, 0.80))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return axes


def key(axes: Any, lines: Mapping[str, Mapping[str, Any]], **place: Any) -> None:
    """Draw a legend of line styles; a part of the frame, so that it is drawn once."""
    from matplotlib.lines import Line2D

    handles = [Line2D([], [], label=words, **style) for words, style in lines.items()]
    axes.legend(handles=handles, **place)


def patches(axes: Any, fills: Mapping[str, Mapping[str, Any]], **place: Any) -> None:
    """Draw a legend of surfaces, likewise."""
    from matplotlib.patches import Patch

    handles = [Patch(label=words, edgecolor=INK, **style) for words, style in fills.items()]
    axes.legend(handles=handles, **place)


def circle(axes: Any, x: float, y: float, radius: float, **style: Any) -> Any:
    """Draw a circle and return it."""
    from matplotlib.patches import Circle

    return axes.add_patch(Circle((x, y), radius, **style))


def joined(x: NDArray, y: NDArray) -> tuple[NDArray, NDArray]:
    """Join many short lines (n, points) [m] to one with breaks [mm]: one artist, not forty."""
    gap = np.full((x.shape[0], 1), np.nan)
    return np.hstack([x, gap]).ravel() * 1000, np.hstack([y, gap]).ravel() * 1000


def number(value: float, unit: str, digits: int = 3) -> str:
    """Return a value for a table, in its display unit already: 0.576 m², 212 mm, 1476 W."""
    short = f"{value:.0f}" if abs(value) >= 1000 else f"{float(f'{value:z.{digits}g}'):g}"
    return f"{short} {unit}".strip()
