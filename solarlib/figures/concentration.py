"""Pictures of lesson 02: the sun's images at the pipe, and two bars that mean different things."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from solarlib.figures.ink import (
    BEHIND_WORDS,
    HATCHES,
    INK,
    PALE,
    SECOND,
    SHADES,
    circle,
    number,
    patches,
)

BUNDLES: dict[str, dict[str, Any]] = {  # name of the strip -> how its light is drawn
    "centre strip": {"facecolor": "#f4d9b8", "hatch": "", "linestyle": "-"},
    "middle strip": {"facecolor": "#cfe0ee", "hatch": "//", "linestyle": "--"},
    "rim strip": {"facecolor": "#d8e8d0", "hatch": "||", "linestyle": ":"},
}
ENOUGH = 0.85  # design rule of this course: the share to keep at the whole aim budget


@dataclass(frozen=True)
class SunIsADisc:
    """Light of three strips near the pipe, and the share caught over the aim error.

    pipe_diameter, tube_dx, tube_dy [m]; misaim_deg; slope_error_mrad; bundle_x, bundle_y:
    corners of each strip's light [m], (3, 4); curve_deg, curve_share: (n,); share now (0 to 1).
    """

    pipe_diameter: float
    misaim_deg: float
    slope_error_mrad: float
    tube_dx: float
    tube_dy: float
    focal_length: float
    bundle_x: NDArray
    bundle_y: NDArray
    curve_deg: NDArray
    curve_share: NDArray
    share: float
    no_loss_deg: float
    rim_miss: float


def frame_sun_is_a_disc(figure: Figure) -> Any:
    """Draw the axes: the pipe enlarged at the left, share against aim error at the right."""
    near = figure.add_axes((0.08, 0.14, 0.42, 0.82))
    near.set_xlim(-42, 42)
    near.set_ylim(-42, 42)
    near.set_aspect("equal")
    near.set_xlabel("from the focus to the side, mm")
    near.set_ylabel("from the focus up, mm")
    patches(near, {name: {"alpha": 0.75, "linewidth": 0.8, **style} for name, style in
                   BUNDLES.items()}, loc="lower left", fontsize=9)  # fmt: skip
    share = figure.add_axes((0.61, 0.14, 0.37, 0.82))
    share.set_xlim(-4.1, 4.1)
    share.set_ylim(0, 105)
    share.set_xlabel("aim error, degrees")
    share.set_ylabel("light caught, %")
    share.axhline(100 * ENOUGH, color=PALE, linewidth=1, linestyle="--")
    share.text(-4, 100 * ENOUGH - 1, f"keep {100 * ENOUGH:.0f} %", va="top", fontsize=9)
    return near, share


def paint_sun_is_a_disc(axes: Any, r: SunIsADisc) -> list[Any]:
    """Draw the light of three strips, the pipe, the curve of light caught and where we are."""
    near, share = axes
    made: list[Any] = []
    for style, x, y in zip(BUNDLES.values(), r.bundle_x, r.bundle_y, strict=True):
        corners = np.column_stack([x, y - r.focal_length]) * 1000
        made.append(near.add_patch(Polygon(corners, edgecolor=INK, alpha=0.75, linewidth=0.8,
                                           **style)))  # fmt: skip
    centre = r.tube_dx * 1000, r.tube_dy * 1000
    made.append(circle(near, *centre, r.pipe_diameter * 500, facecolor="none", edgecolor=INK,
                       linewidth=2.4, zorder=4))  # fmt: skip
    made += near.plot([0], [0], marker="+", color=INK, markersize=10, zorder=5)
    made += share.plot(r.curve_deg, 100 * r.curve_share, **SECOND)
    made += share.plot([r.misaim_deg], [100 * r.share], marker="o", color=INK, markersize=9)
    made.append(share.text(0, 6, f"now {100 * r.share:.0f} %", ha="center", fontsize=13))
    return made


def describe_sun_is_a_disc(r: SunIsADisc) -> str:
    """Say how much is caught and where the cliff is."""
    place = ""
    if r.tube_dx or r.tube_dy:
        place = (f" It sits {abs(r.tube_dx) * 1000:.0f} millimetres to the side of the focus and "
                 f"{abs(r.tube_dy) * 1000:.0f} millimetres {'above' if r.tube_dy >= 0 else 'below'}"
                 " it.")  # fmt: skip
    one_side = r.curve_deg >= 0
    angles, shares = r.curve_deg[one_side], r.curve_share[one_side]
    end = ""
    if shares[0] > ENOUGH > shares[-1]:
        end = (f"With the aim off to one side the share falls below {ENOUGH * 100:.0f} percent at "
               f"{np.interp(-ENOUGH, -shares, angles):.1f} degrees.")  # fmt: skip
    elif r.curve_share.max() < ENOUGH:
        end = f"No aim reaches {ENOUGH * 100:.0f} percent here."
    return (
        f"A {r.pipe_diameter * 1000:.0f} millimetre pipe, aim {abs(r.misaim_deg):.1f} degrees off, "
        f"mirror waves of {r.slope_error_mrad:.0f} milliradians: {r.share * 100:.0f} percent of "
        f"the light is caught.{place} The middle of the light from the rim passes "
        f"{r.rim_miss * 1000:.0f} millimetres from the focus. {end}"
    ).strip()


def table_sun_is_a_disc(r: SunIsADisc) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    at = {deg: float(np.interp(deg, r.curve_deg, r.curve_share)) for deg in (0, 1, 1.5, 2, 3)}
    return [
        ("light caught now", f"{r.share * 100:.1f} %"),
        *((f"light caught, aim {deg:g}° off", f"{share * 100:.0f} %") for deg, share in at.items()),
        ("aim error without loss, perfect mirror, pipe in the focus", f"{r.no_loss_deg:.2f}°"),
    ]


@dataclass(frozen=True)
class TwoBars:
    """Power on the pipe [W] and mean brightness of its skin [suns], now and for the demo trough."""

    aperture_width: float
    pipe_diameter: float
    slope_error_mrad: float
    misaim_deg: float
    share: float
    watts: float
    suns: float
    demo_watts: float
    demo_suns: float


def frame_two_bars(figure: Figure) -> Any:
    """Draw two pairs of bars' axes: watts above, suns below."""
    watts = figure.add_axes((0.16, 0.62, 0.80, 0.32))
    watts.set_xlim(0, 700)
    watts.set_xlabel("power on the pipe, watts")
    suns = figure.add_axes((0.16, 0.15, 0.80, 0.32))
    suns.set_xlim(0, 26)
    suns.set_xlabel("mean brightness of the pipe's skin, suns")
    for axes in (watts, suns):
        axes.set_ylim(-0.6, 1.6)
        axes.set_yticks([0, 1], ["the Ladle", "yours"])
    return watts, suns


def paint_two_bars(axes: Any, r: TwoBars) -> list[Any]:
    """Draw yours over the demo trough's, in watts and in suns."""
    made: list[Any] = []
    for place, (demo, mine), unit in zip(
        axes, ((r.demo_watts, r.watts), (r.demo_suns, r.suns)), ("W", "suns"), strict=True
    ):
        for row, value in enumerate((demo, mine)):
            made.append(place.barh(row, value, height=0.7, facecolor=SHADES[3 * row],
                                   edgecolor=INK, hatch=HATCHES[row]))  # fmt: skip
            right = place.get_xlim()[1]
            side, way = ("right", -1) if value > 0.85 * right else ("left", 1)
            made.append(place.text(value + way * right / 90, row, number(value, unit), ha=side,
                                   va="center", bbox=BEHIND_WORDS))  # fmt: skip
    return made


def _than_the_ladle(value: float, demo: float) -> str:
    ratio = value / demo
    if abs(ratio - 1) < 0.005:
        return "as many as the Ladle"
    return f"{abs(ratio - 1) * 100:.0f} percent {'more' if ratio > 1 else 'fewer'} than the Ladle"


def describe_two_bars(r: TwoBars) -> str:
    """Say how each bar compares with the demo trough's."""
    return (
        f"An opening {r.aperture_width * 1000:.0f} millimetres wide and a "
        f"{r.pipe_diameter * 1000:.0f} millimetre pipe catch {r.share * 100:.0f} percent of the "
        f"reflected light. Power: {r.watts:.0f} watts, {_than_the_ladle(r.watts, r.demo_watts)}. "
        f"Brightness of the pipe: {r.suns:.1f} suns, {_than_the_ladle(r.suns, r.demo_suns)}."
    )


def table_two_bars(r: TwoBars) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("power on the pipe", number(r.watts, "W")),
        ("mean brightness of its skin", number(r.suns, "suns")),
        ("share of the light caught", f"{r.share * 100:.1f} %"),
        ("mirror waves (rms)", number(r.slope_error_mrad, "mrad")),
        ("the Ladle, well aimed: power", number(r.demo_watts, "W")),
        ("the Ladle, well aimed: brightness", number(r.demo_suns, "suns")),
    ]
