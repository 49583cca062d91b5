"""Pictures of lesson 06: the burn clock, and where the light goes when nobody watches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from solarlib.figures.ink import INK, MIRROR, PALE, RAY, SECOND, THIRD, circle, number

HOTTEST_C, COLDEST_C = 75.0, 40.0
LONGEST_S = 3 * 3600.0
PLAIN_TOP_S = 900.0
_TICKS = {0.1: "0.1 s", 1: "1 s", 10: "10 s", 60: "1 min", 600: "10 min", 3600: "1 h"}
_UNKNOWN = {"facecolor": "#f2f2f2", "edgecolor": PALE, "hatch": "xx", "linewidth": 0}


@dataclass(frozen=True)
class BurnClock:
    """Burn times by temperature [°C, s], the present one (nan: in no table) and how it is told."""

    temp_c: float
    who: str
    axis: str
    rows_c: NDArray
    rows_s: NDArray
    seconds: float
    at_49: float
    at_60: float
    reaction: float
    sentence: str
    injury: str
    source: str
    status: str


def frame_burn_clock(figure: Figure) -> Any:
    """Draw both axes, one with a log scale and one plain; only one is shown at a time.

    Outside the table the ground is hatched: unknown, which is not harmless.
    """
    both = {}
    for axis in ("log", "plain"):
        curve = figure.add_axes((0.11, 0.15, 0.57, 0.80), label=axis)
        bars = figure.add_axes((0.76, 0.15, 0.22, 0.80), label=f"{axis} bars", sharey=curve)
        curve.set_xlim(COLDEST_C, HOTTEST_C)
        curve.set_xlabel("water, °C")
        bars.set_xlim(-0.6, 1.6)
        bars.set_xticks([0, 1], ["deep\nburn", "notice,\npull away"])
        if axis == "log":
            curve.set_yscale("log")
            curve.set_ylim(0.1, LONGEST_S)
            curve.set_yticks(list(_TICKS), list(_TICKS.values()))
            curve.minorticks_off()
        else:
            curve.set_ylim(0, PLAIN_TOP_S)
            curve.set_yticks([60 * m for m in range(0, 16, 3)], [f"{m} min" for m in
                                                                range(0, 16, 3)])  # fmt: skip
        bars.tick_params(labelleft=False)
        curve.grid(True, color="#dddddd", linewidth=0.6)
        both[axis] = (curve, bars)
    return both


def paint_burn_clock(axes: Any, r: BurnClock) -> list[Any]:
    """Draw the table as a line with its rows, the present time, and both bars."""
    for axis, pair in axes.items():
        for part in pair:
            part.set_visible(axis == r.axis)
    curve, bars = axes[r.axis]
    low, high = curve.get_ylim()
    made: list[Any] = [
        curve.axvspan(COLDEST_C, r.rows_c[0], **_UNKNOWN),
        curve.axvspan(r.rows_c[-1], HOTTEST_C, **_UNKNOWN),
        *curve.plot(r.rows_c, r.rows_s, color=INK, marker="o", markersize=5),
        curve.axvline(r.temp_c, color=SECOND["color"], linestyle="--", linewidth=1.5),
    ]
    white = {"facecolor": "white", "edgecolor": "none", "pad": 2}
    middle = np.sqrt(low * high) if r.axis == "log" else (low + high) / 2
    for x, words in ((COLDEST_C + r.rows_c[0], "unknown,\nnot harmless"),
                     (HOTTEST_C + r.rows_c[-1], "faster than\nthe table")):  # fmt: skip
        made.append(curve.text(x / 2, middle, words, rotation=90, ha="center", va="center",
                               fontsize=9, bbox=white))  # fmt: skip
    known = np.isfinite(r.seconds)
    if known:
        made += curve.plot([r.temp_c], [r.seconds], marker="D", markersize=9, color="white",
                           markeredgecolor=INK, markeredgewidth=2, zorder=5)  # fmt: skip
        made.append(bars.bar(0, min(r.seconds, high) - low, bottom=low, width=0.7,
                             facecolor="#cccccc", edgecolor=INK, hatch="//"))  # fmt: skip
    else:
        made.append(bars.text(0, middle, "no time\nin the\ntable", ha="center", va="center",
                              fontsize=9))  # fmt: skip
    made.append(bars.bar(1, r.reaction - low, bottom=low, width=0.7, facecolor="white",
                         edgecolor=INK, hatch=".."))  # fmt: skip
    return made


def describe_burn_clock(r: BurnClock) -> str:
    """Say the time, beside the time a person needs; unknown is never told as harmless."""
    if not np.isfinite(r.seconds):
        beside = "No time is known here, and unknown is never harmless."
    elif r.seconds < 10 * r.reaction:
        beside = "There is hardly time to pull away, and none to get out of wet clothes."
    else:
        beside = "That is no time to count on: skin, age and illness shorten it."
    return (
        f"{r.sentence} Even to notice and pull away takes {r.reaction:.0f} second or more. "
        f"{beside} From 49 to 60 °C the same table falls from {_time(r.at_49)} to "
        f"{_time(r.at_60)}: every degree takes away the same share of the time. The scale of "
        f"time is {'logarithmic' if r.axis == 'log' else 'plain'}."
    )


def table_burn_clock(r: BurnClock) -> list[tuple[str, str]]:
    """List the numbers of the picture with their source."""
    known = np.isfinite(r.seconds)
    return [
        ("water", number(r.temp_c, "°C")),
        ("whose skin", r.who),
        ("time to a deep burn", _time(r.seconds) if known else "unknown, not harmless"),
        ("the same at 49 °C", _time(r.at_49)),
        ("the same at 60 °C", _time(r.at_60)),
        ("to notice and pull away", f"{_time(r.reaction)} or more (common practice, no source)"),
        ("source of the burn times", f"{r.source} ({r.status})"),
    ]


def _time(seconds: float) -> str:
    if seconds < 120:
        return number(seconds, "s", 2)
    return number(seconds / 60, "min", 2) if seconds < 7200 else number(seconds / 3600, "h", 2)


@dataclass(frozen=True)
class WalkAway:
    """The trough left alone: section, light across the height of the pipe, and plan.

    Lengths in metres across (x, positive toward the equator) and along (positive to the east);
    flux [W/m²]; shells: distance past the line [m] for the two limits; hits: parts in light
    stronger than the wood limit; covered: no light at all.
    """

    hours: float
    tilt_deg: float
    aim_error_deg: float
    covered: bool
    mirror_x: NDArray
    mirror_y: NDArray
    rays_x: NDArray
    rays_y: NDArray
    focal_length: float
    pipe_radius: float
    across: NDArray
    flux: NDArray
    line_x: float
    peak: float
    wood_limit: float
    skin_limit: float
    wood_shell: float
    skin_shell: float
    mirror_length: float
    pipe_length: float
    lit_from: float
    lit_to: float
    hits: tuple[str, ...]


def frame_walk_away(figure: Figure) -> Any:
    """Draw three axes: section, light at the height of the pipe, plan."""
    section = figure.add_axes((0.09, 0.50, 0.42, 0.46))
    section.set_xlim(-420, 420)
    section.set_ylim(-20, 420)
    section.set_aspect("equal", adjustable="box", anchor="C")
    section.set_ylabel("height, mm")
    section.tick_params(labelbottom=False)
    light = figure.add_axes((0.09, 0.12, 0.42, 0.32))
    light.set_xlim(-420, 420)
    light.set_yscale("log")
    light.set_ylim(0.5, 200)
    light.set_yticks([1, 10, 100], ["1", "10", "100"])
    light.set_xlabel("across, mm (+ toward the equator)")
    light.set_ylabel("kW/m²")
    plan = figure.add_axes((0.62, 0.12, 0.36, 0.84))
    plan.set_xlim(-420, 420)
    plan.set_ylim(-1250, 1250)
    plan.set_xlabel("across, mm")
    plan.set_ylabel("along, mm (west down, east up)")
    return section, light, plan


def paint_walk_away(axes: Any, r: WalkAway) -> list[Any]:
    """Draw the light and what it meets: pipe, bracket, rims, fitting and hose."""
    section, light, plan = axes
    mm = 1000.0
    half = r.mirror_x[-1] * mm
    made: list[Any] = [
        *section.plot(r.mirror_x * mm, r.mirror_y * mm, **MIRROR),
        section.text(-410, 385, "section: seen from the trough", fontsize=9),
        plan.text(-410, 1140, "plan", fontsize=9),
        *section.plot([-half, half], [r.focal_length * mm - 16] * 2, color=PALE, linewidth=5,
                      alpha=0.6, zorder=0),
        section.text(-half - 8, r.focal_length * mm + 18, "wooden\nbracket", fontsize=9,
                     ha="center"),
        circle(section, 0, r.focal_length * mm, r.pipe_radius * mm, facecolor="white",
               edgecolor=INK, zorder=4),
    ]  # fmt: skip
    made += _plan(plan, r)
    made += [
        light.axhline(r.wood_limit / mm, **{**SECOND, "linewidth": 1.3}),
        light.axhline(r.skin_limit / mm, **{**THIRD, "linewidth": 1.6}),
        light.text(412, r.wood_limit / mm * 1.1, "wood", fontsize=9, ha="right"),
        light.text(412, r.skin_limit / mm * 0.62, "skin", fontsize=9, ha="right"),
        *light.plot(r.across * mm, np.maximum(r.flux / mm, 1e-3), color=INK, linewidth=1.8),
    ]
    if r.covered:
        made += section.plot([-half, half], [r.mirror_y[-1] * mm + 8] * 2, color=INK, linewidth=6)
        made.append(section.text(0, r.mirror_y[-1] * mm + 70, "cover on", ha="center"))
        return made
    gap = np.full((r.rays_x.shape[0], 1), np.nan)
    made += section.plot(np.hstack([r.rays_x, gap]).ravel() * mm,
                         np.hstack([r.rays_y, gap]).ravel() * mm, **RAY)  # fmt: skip
    for shell, style in ((r.wood_shell, SECOND), (r.skin_shell, THIRD)):
        made.append(circle(section, r.line_x * mm, r.focal_length * mm, shell * mm, fill=False,
                           edgecolor=style["color"], linestyle=style["linestyle"],
                           linewidth=1.6))  # fmt: skip
    return made


def _plan(plan: Any, r: WalkAway) -> list[Any]:
    """Mirror, pipe, brackets, hoses from above, and the bright stretch."""
    from matplotlib.patches import Rectangle

    mm = 1000.0
    half, long, pipe = r.mirror_x[-1] * mm, r.mirror_length * mm / 2, r.pipe_length * mm / 2
    wood = {"facecolor": "#bbbbbb", "edgecolor": INK, "hatch": "--", "linewidth": 0.8}
    made: list[Any] = [
        plan.add_patch(Rectangle((-half, -long), 2 * half, 2 * long, facecolor="white",
                                 edgecolor=INK, linewidth=1.5)),
        plan.add_patch(Rectangle((-half, long), 2 * half, 30, **wood)),
        plan.add_patch(Rectangle((-half, -long - 30), 2 * half, 30, **wood)),
        *plan.plot([0, 0], [-pipe, pipe], color=INK, linewidth=2.5),
        *plan.plot([0, 0], [pipe, 1200], color=PALE, linewidth=4, linestyle=":"),
        *plan.plot([0, 0], [-pipe, -1200], color=PALE, linewidth=4, linestyle=":"),
        *plan.plot([0, 0], [-pipe, pipe], color=INK, linestyle="none", marker="s", markersize=7),
        plan.text(40, pipe + 40, "fitting, then hose", fontsize=9),
        plan.text(-half + 10, -long + 30, "mirror", fontsize=9),
        plan.text(half - 10, long + 45, "bracket", fontsize=9, ha="right"),
    ]  # fmt: skip
    if not r.covered:
        made.append(plan.add_patch(Rectangle(
            (r.line_x * mm - 14, r.lit_from * mm), 28, (r.lit_to - r.lit_from) * mm,
            facecolor="#ffd27f", edgecolor=INK, hatch="xxx", linewidth=0.8, zorder=5)))  # fmt: skip
    return made


def describe_walk_away(r: WalkAway) -> str:
    """Say where the light is, how strong, and what it meets."""
    alone = (
        f"The trough was aimed for noon on midsummer's day or parked at {r.tilt_deg:.1f} degrees "
        f"from straight up; {r.hours:.1f} hours after noon it points {abs(r.aim_error_deg):.0f} "
        "degrees beside the sun."
    )
    if r.covered:
        return (
            f"{alone} The opaque cover is on: no sunlight reaches the mirror, so there is no "
            "bright line and nothing new is heated. What was hot before stays hot for a while."
        )
    if abs(r.line_x) <= r.pipe_radius:
        where = "still on the pipe"
    elif abs(r.line_x) > r.mirror_x[-1]:
        where = "beyond the rim, in the open"
    else:
        where = f"{abs(r.line_x) * 1000:.0f} millimetres beside the pipe's middle"
    meets = f"Strong enough to light wood, it falls on: {', '.join(r.hits)}." if r.hits else (
        "Nowhere at the height of the pipe does it reach the least that lit wood in a test, which "
        "is no clearance.")  # fmt: skip
    return (
        f"{alone} The brightest line is {where}, with {r.peak / 1000:.0f} kilowatts per square "
        f"metre. {meets} A well-shaped mirror aimed straight stays above the wood limit for "
        f"{r.wood_shell * 1000:.0f} millimetres past the line (dashed), above the skin limit for "
        f"{r.skin_shell * 1000:.0f} (dotted)."
    )


def table_walk_away(r: WalkAway) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("aim beside the sun", number(r.aim_error_deg, "°")),
        ("brightest line, across", "none" if r.covered else number(r.line_x * 1000, "mm")),
        ("its strength", "none" if r.covered else number(r.peak / 1000, "kW/m²")),
        ("wood: least that lit it in a test", number(r.wood_limit / 1000, "kW/m²")),
        ("skin: bearable for long", number(r.skin_limit / 1000, "kW/m²")),
        ("light reaches along to", "none" if r.covered else number(r.lit_to * 1000, "mm")),
        ("pipe ends at", number(r.pipe_length * 500, "mm")),
        ("in light above the wood limit", ", ".join(r.hits) or "nothing at pipe height"),
    ]
