"""Pictures of lesson 06: how long skin lasts, and where the light goes when nobody is there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from solarlib.figures.ink import (
    BEHIND_WORDS,
    INK,
    MIRROR,
    PALE,
    RAY,
    SECOND,
    circle,
    joined,
    number,
)
from solarlib.hazards.finding import duration

NOTICE_S = 1.0  # to notice and pull away, at the very least; common practice, no source
COLDEST_C, HOTTEST_C = 40.0, 75.0
_UNKNOWN = {"facecolor": "#eeeeee", "edgecolor": PALE, "hatch": "//", "linewidth": 0, "zorder": 0}


@dataclass(frozen=True)
class BurnClock:
    """Time to a deep burn [s], nan outside the table, now and over temps_c; `sentence` says it."""

    water_c: float
    child: bool
    log_axis: bool
    seconds: float
    temps_c: NDArray
    times_s: NDArray
    rows_c: NDArray
    rows_s: NDArray
    sentence: str
    source: str
    status: str


def frame_burn_clock(figure: Figure) -> Any:
    """Draw two sets of axes in one place; a picture shows the log one or the plain one."""
    pair = []
    for name in ("log", "plain"):
        axes = figure.add_axes((0.13, 0.14, 0.84, 0.82), label=name)
        axes.set_xlim(COLDEST_C, HOTTEST_C)
        axes.set_xlabel("water, °C")
        axes.set_ylabel("time to a deep burn")
        pair.append(axes)
    log, plain = pair
    log.set_yscale("log")
    log.set_ylim(0.1, 20000)
    log.set_yticks([0.1, 1, 10, 60, 600, 3600, 10800],
                   ["0.1 s", "1 s", "10 s", "1 min", "10 min", "1 h", "3 h"])  # fmt: skip
    log.minorticks_off()
    plain.set_ylim(0, 11400)
    plain.set_yticks([0, 3600, 7200, 10800], ["0", "1 h", "2 h", "3 h"])
    for axes in pair:
        axes.axhspan(0, NOTICE_S, facecolor="#e4e4e4", edgecolor=PALE, hatch="xx", linewidth=0)
        axes.text(47, NOTICE_S * 0.5, "no time to pull away", va="center", fontsize=9,
                  visible=axes is log, bbox=BEHIND_WORDS)  # fmt: skip
    return log, plain


def paint_burn_clock(axes: Any, r: BurnClock) -> list[Any]:
    """Draw the times of the table and the present temperature; hatched is unknown, not harmless."""
    log, plain = axes
    log.set_visible(r.log_axis)
    plain.set_visible(not r.log_axis)
    place = log if r.log_axis else plain
    made = [
        *place.plot(r.temps_c, r.times_s, **SECOND),
        *place.plot(r.rows_c, r.rows_s, marker="s", color=INK, markersize=5, linestyle=""),
        *place.plot([r.water_c, r.water_c], place.get_ylim(), color=INK, linewidth=1),
    ]
    for low, high, words in ((COLDEST_C, r.rows_c[0], "unknown, not harmless"),
                             (r.rows_c[-1], HOTTEST_C, "faster than the table")):  # fmt: skip
        made.append(place.axvspan(low, high, **_UNKNOWN))
        made.append(place.text((low + high) / 2, 0.60, words, rotation=90, ha="center",
                               va="center", fontsize=9, bbox=BEHIND_WORDS,
                               transform=place.get_xaxis_transform()))  # fmt: skip
    if np.isfinite(r.seconds):
        made += place.plot([r.water_c], [r.seconds], marker="o", color=INK, markersize=11)
    return made


def describe_burn_clock(r: BurnClock) -> str:
    """Say the time to a burn and compare it with the time to pull away."""
    race = f" To notice and pull away takes {NOTICE_S:.0f} second or more: "
    if not np.isfinite(r.seconds):
        race = " What no table covers is unknown, and unknown is never harmless."
    elif r.seconds <= 2 * NOTICE_S:
        race += "there is no time."
    elif r.seconds <= 10:
        race += "there is hardly time."
    else:
        race += "somebody awake can, but not a baby, nor anybody who is ill, held or trapped."
    axis = "logarithmic" if r.log_axis else "plain"
    return f"{r.sentence}{race} The time axis is {axis}."


def table_burn_clock(r: BurnClock) -> list[tuple[str, str]]:
    """List times at a few temperatures, from the table named last."""

    def seconds(temp: float) -> str:
        value = float(np.interp(temp, r.temps_c, r.times_s, left=np.nan, right=np.nan))
        return _told(value)

    who = "small child" if r.child else "adult"
    return [
        (f"{who}, water at {r.water_c:.1f} °C", _told(r.seconds)),
        *((f"{who}, water at {temp} °C", seconds(temp)) for temp in (49, 55, 60)),
        ("to notice and pull away", f"{NOTICE_S:.0f} s or more (common practice, no source)"),
        ("source", f"{r.source} ({r.status})"),
    ]


def _told(seconds: float) -> str:
    return duration(seconds) if np.isfinite(seconds) else "not in the table, which is no promise"


@dataclass(frozen=True)
class AfterYouWalkAway:
    """A trough left alone: rays in its section [m], brightness in the plane of the pipe [W/m²].

    place, flux: (n,) across the trough [m, W/m²]; slide: how far rim light slides along [m];
    wood_shell: how far past the line light of a well-aimed mirror can light wood [m].
    """

    hours: float
    tilt_deg: float
    covered: bool
    misaim_deg: float
    mirror_x: NDArray
    mirror_y: NDArray
    focal_length: float
    rays_x: NDArray
    rays_y: NDArray
    place: NDArray
    flux: NDArray
    slide: float
    slide_centre: float
    overhang: float
    skin_limit: float
    wood_limit: float
    wood_shell: float
    mirror_length: float


PARTS = (  # half-widths [m] of what lies in the plane of the pipe
    (0.011, "pipe"),
    (0.060, "pipe bracket"),
    (0.305, "open air beside the pipe"),
    (0.345, "rim strip and frame"),
)


def part_at(place: float) -> str:
    """Name what lies at a distance [m] from the middle, in the plane of the pipe."""
    return next((name for edge, name in PARTS if abs(place) <= edge), "ground and neighbours")


def frame_after_you_walk_away(figure: Figure) -> Any:
    """Draw the axes: section, brightness in the plane of the pipe, view from above."""
    section = figure.add_axes((0.11, 0.53, 0.86, 0.455))
    section.set_ylim(-24, 410)
    section.set_ylabel("height, mm")
    section.set_yticks([0, 100, 200, 300, 400])
    section.tick_params(labelbottom=False)
    flux = figure.add_axes((0.11, 0.29, 0.86, 0.215))
    flux.set_yscale("log")
    flux.set_ylim(0.3, 400)
    flux.set_yticks([1, 10, 100], ["1", "10", "100"])
    flux.minorticks_off()
    flux.set_ylabel("kW/m²")
    flux.set_xlabel("across the trough in the plane of the pipe, mm")
    for axes in (section, flux):
        axes.set_xlim(-460, 460)
    plan = figure.add_axes((0.11, 0.075, 0.86, 0.13))
    plan.set_xlim(-1250, 1250)
    plan.set_ylim(-400, 400)
    plan.set_yticks([0], ["from\nabove"])
    plan.set_xlabel("along the trough, mm (east is right)")
    return section, flux, plan


def paint_after_you_walk_away(axes: Any, r: AfterYouWalkAway) -> list[Any]:
    """Draw mirror, rays and pipe; below, the brightness against the limits of wood and skin."""
    section, flux, plan = axes
    made = [
        *section.plot(*joined(r.rays_x, r.rays_y), **RAY),
        *section.plot(r.mirror_x * 1000, r.mirror_y * 1000, **MIRROR),
        circle(section, 0, r.focal_length * 1000, 11, facecolor="white", edgecolor=INK, zorder=3),
    ]  # fmt: skip
    if r.covered:
        rim = r.mirror_y[[0, -1]].mean() * 1000 + 6
        made += section.plot([-345, 345], [rim, rim], color=INK, linewidth=5)
        made.append(section.text(-440, rim + 10, "cover", ha="left"))
    elif r.flux.max() > 0:
        brightest = r.place[np.argmax(r.flux)] * 1000
        made.append(
            circle(
                section,
                brightest,
                r.focal_length * 1000,
                r.wood_shell * 1000,
                fill=False,
                edgecolor=INK,
                linestyle="--",
                linewidth=1.8,
                zorder=4,
            )
        )
        made.append(
            section.text(
                brightest + r.wood_shell * 1000 + 8,
                r.focal_length * 1000 + 45,
                "in the ring: can light wood",
                fontsize=9,
                bbox=BEHIND_WORDS,
            )
        )
    lit = np.clip(r.flux / 1000, 0.01, None)
    made += flux.plot(r.place * 1000, lit, **SECOND)
    for limit, name, style in ((r.wood_limit, "has lit wood", "-"),
                               (r.skin_limit, "skin bears it for long", ":")):  # fmt: skip
        made += flux.plot([-460, 460], [limit / 1000] * 2, color=INK, linewidth=1, linestyle=style)
        made.append(flux.text(455, limit / 1000, name, ha="right", va="bottom", fontsize=9))
    for half, name in ((11, "pipe"), (320, "rim")):
        made += flux.plot([-half, half], [0.4, 0.4], color=INK, marker="|", markersize=12,
                          linestyle="" if name == "rim" else "-", linewidth=3)  # fmt: skip
    made.append(flux.text(330, 0.36, "rim", fontsize=9))
    return made + _plan(plan, r)


def _plan(plan: Any, r: AfterYouWalkAway) -> list[Any]:
    """Draw mirror, pipe, fittings and hoses from above, and the stretch that is lit."""
    half, pipe = r.mirror_length * 500, r.mirror_length * 500 + r.overhang * 1000
    made: list[Any] = [
        plan.add_patch(Rectangle((-half, -320), 2 * half, 640, facecolor="white", edgecolor=INK)),
        *plan.plot([-1240, 1240], [0, 0], color=PALE, linewidth=5, linestyle=":"),
        *plan.plot([-pipe, pipe], [0, 0], color=INK, linewidth=2.5, marker="s", markersize=8),
        plan.text(pipe + 40, 150, "fitting, then hose", fontsize=9, bbox=BEHIND_WORDS, zorder=5),
    ]
    if r.flux.max() > 0:
        first, last = r.slide_centre * 1000 - half, r.slide * 1000 + half
        middle = -1000 * r.place[np.argmax(r.flux)]  # north of the equator: the pole is up
        made.append(plan.add_patch(Rectangle((first, middle - 60), last - first, 120, hatch="xxx",
                                             facecolor="#f0c080", edgecolor=INK)))  # fmt: skip
    return made


def describe_after_you_walk_away(r: AfterYouWalkAway) -> str:
    """Say where the bright line falls and what that can do."""
    state = (
        f"{r.hours:g} hours after noon, parked {r.tilt_deg:.0f} degrees from straight up, the "
        f"sun stands {abs(r.misaim_deg):.0f} degrees beside the trough's aim."
    )
    if r.covered:
        return (f"{state} The cover is on: no light reaches the mirror, and nothing new gets hot. "
                "What was hot before stays hot for a while.")  # fmt: skip
    peak = int(np.argmax(r.flux))
    brightest, where = float(r.flux[peak]), float(r.place[peak])
    if brightest <= 0:
        return f"{state} The sun does not shine into the mirror now; later in the day it may."
    does = ("more than what has lit wood" if brightest >= r.wood_limit else
            "more than skin bears for long" if brightest >= r.skin_limit else
            "less than skin bears for long, which is no promise")  # fmt: skip
    ends = "past the end of the pipe, where fitting and hose are" if r.slide > r.overhang else (
        "still on the pipe's length")  # fmt: skip
    along = (
        f" Along the trough it slides {r.slide * 1000:.0f} millimetres, {ends}. The ring of "
        f"{r.wood_shell * 1000:.0f} millimetres is where a well-aimed mirror can light wood."
    )
    return (
        f"{state} The brightest light in the plane of the pipe, {brightest / 1000:.0f} kilowatts "
        f"per square metre, is {abs(where) * 1000:.0f} millimetres beside the middle "
        f"({part_at(where)}), {does}.{along}"
    )


def table_after_you_walk_away(r: AfterYouWalkAway) -> list[tuple[str, str]]:
    """List the brightest light on each part."""
    rows = []
    inner = 0.0
    for edge, name in PARTS:
        there = (np.abs(r.place) >= inner) & (np.abs(r.place) <= edge)
        rows.append((f"brightest light: {name}", number(float(r.flux[there].max()) / 1000,
                                                        "kW/m²", 2)))  # fmt: skip
        inner = edge
    return [
        ("aim off by", f"{abs(r.misaim_deg):.1f}°"),
        *rows,
        ("well aimed, can light wood within", number(r.wood_shell * 1000, "mm of the line")),
        ("rim light slides along the pipe", number(r.slide * 1000, "mm")),
        ("pipe sticks out at each end", number(r.overhang * 1000, "mm")),
    ]
