"""Pictures of lesson 03: a fixed tilt through day and year, and light that slides off the end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from solarlib.figures.ink import HATCHES, INK, MIRROR, PALE, SECOND, SHADES, THIRD, number

BAND_DEG = 0.7  # the part of the aim budget that belongs to the hours of a session


@dataclass(frozen=True)
class TiltThroughDay:
    """A trough at a fixed tilt, the sun now, and the aim error over the day and over the year.

    hour, clock_hour [h, sundial]; tilts, errors, declination [deg]; mirror_x, mirror_y: the
    tilted section [m]; errors are nan while the sun is down.
    """

    latitude_deg: float
    date: str
    hour: float
    tilt_deg: float
    needed_deg: float
    declination_deg: float
    sun_is_up: bool
    error_deg: float
    noon_error_deg: float
    minutes_in_band: float
    mirror_x: NDArray
    mirror_y: NDArray
    hours: NDArray
    errors_deg: NDArray
    days: NDArray
    noon_errors_deg: NDArray
    day: float


def frame_tilt_through_day(figure: Figure) -> Any:
    """Draw the axes: side view at the left, error over the day and over the year at the right."""
    side = figure.add_axes((0.03, 0.14, 0.36, 0.80))
    side.set_xlim(-0.55, 0.55)
    side.set_ylim(-0.35, 0.85)
    side.set_aspect("equal")
    side.set_xticks([-0.45, 0.45], ["to the pole", "to the equator"])
    side.set_yticks([])
    day = figure.add_axes((0.50, 0.62, 0.47, 0.34))
    day.set_xlim(6, 18)
    day.set_xticks(range(6, 19, 2))
    day.set_xlabel("time by the sun, h (this day)")
    year = figure.add_axes((0.50, 0.14, 0.47, 0.30))
    year.set_xlim(1, 365)
    year.set_xticks([15, 74, 135, 196, 258, 319], ["Jan", "Mar", "May", "Jul", "Sep", "Nov"])
    year.set_xlabel("noons of the year")
    for axes, limit in ((day, 4), (year, 50)):
        axes.set_ylim(-limit, limit)
        axes.axhline(0, color=PALE, linewidth=0.8)
        axes.set_ylabel("aim error, °")
    day.axhspan(-BAND_DEG, BAND_DEG, facecolor="#e4e4e4", edgecolor=PALE, hatch="//", linewidth=0)
    return side, day, year


def paint_tilt_through_day(axes: Any, r: TiltThroughDay) -> list[Any]:
    """Draw the tilted mirror, where it looks, the sun's ray, and both error curves."""
    side, day, year = axes
    look, ray = np.radians(r.tilt_deg), np.radians(r.needed_deg)
    made = [
        *side.plot(r.mirror_x, r.mirror_y, **MIRROR),
        *side.plot([0, 0.8 * np.sin(look)], [0, 0.8 * np.cos(look)], **SECOND),
        *day.plot(r.hours, r.errors_deg, **SECOND),
        *year.plot(r.days, r.noon_errors_deg, **THIRD),
        *year.plot([r.day], [r.noon_error_deg], marker="s", color=INK, markersize=7),
        *day.plot([r.hour, r.hour], [-4, 4], color=PALE, linewidth=1),
    ]
    words = "dashed: where the trough looks"
    if r.sun_is_up:
        made += side.plot([0.8 * np.sin(ray), 0], [0.8 * np.cos(ray), 0], color="#b45f06",
                          linewidth=2.2, marker="o", markevery=[0], markersize=12)  # fmt: skip
        made += day.plot([r.hour], [np.clip(r.error_deg, -3.9, 3.9)], marker="o", color=INK,
                         markersize=8)  # fmt: skip
        words += "\nsolid: the sun"
    made.append(side.text(-0.53, -0.33, words, fontsize=9, va="bottom"))
    return made


def describe_tilt_through_day(r: TiltThroughDay) -> str:
    """Say how far the aim is off now, at noon, and how long the band holds."""
    now = (f"At {_clock(r.hour)} by the sun it needs a tilt of {r.needed_deg:.1f} degrees, so the "
           f"aim is {abs(r.error_deg):.1f} degrees off" if r.sun_is_up else
           f"At {_clock(r.hour)} by the sun the sun is down")  # fmt: skip
    return (
        f"At latitude {_latitude(r.latitude_deg)} on {r.date} a trough tilted "
        f"{r.tilt_deg:.1f} degrees from straight up toward the equator. {now}; at noon it is "
        f"{abs(r.noon_error_deg):.1f} degrees off. On this day the aim stays within "
        f"{BAND_DEG} degrees for {_span(r.minutes_in_band)}."
    )


def _latitude(degrees: float) -> str:
    return f"{abs(degrees):.0f} degrees {'north' if degrees >= 0 else 'south'}"


def _clock(hour: float) -> str:
    return f"{int(hour)}:{round(hour % 1 * 60):02d}"


def _span(minutes: float) -> str:
    return f"{minutes:.0f} minutes" if minutes < 120 else f"{minutes / 60:.1f} hours"


def table_tilt_through_day(r: TiltThroughDay) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("date", r.date),
        ("height of the sun's path (declination)", f"{r.declination_deg:z.1f}°"),
        ("tilt set", f"{r.tilt_deg:.1f}°"),
        ("tilt needed now", f"{r.needed_deg:.1f}°" if r.sun_is_up else "the sun is down"),
        ("aim error now", f"{r.error_deg:+z.1f}°" if r.sun_is_up else "the sun is down"),
        ("aim error at noon", f"{r.noon_error_deg:+z.1f}°"),
        (f"time within ±{BAND_DEG}° on this day", _span(r.minutes_in_band)),
    ]


@dataclass(frozen=True)
class LightOffTheEnd:
    """A trough seen from above with slanting light.

    length, overhang, slides [m]; hours from noon; angles [deg]; shares 0 to 1.
    """

    length: float
    overhang: float
    hours: float
    day: str
    incidence_deg: float
    slide_centre: float
    slide_rim: float
    cosine: float
    end_share: float
    turned_deg: float
    drift_deg: float


def frame_light_off_the_end(figure: Figure) -> Any:
    """Draw the axes: a plan above, bars of shares below."""
    plan = figure.add_axes((0.05, 0.60, 0.92, 0.36))
    plan.set_xlim(-0.5, 4.05)
    plan.set_ylim(-0.75, 0.62)
    plan.set_yticks([])
    plan.set_xlabel("along the trough, m")
    bars = figure.add_axes((0.30, 0.13, 0.66, 0.30))
    bars.set_xlim(0, 112)
    bars.set_ylim(-0.6, 2.6)
    bars.set_yticks([0, 1, 2], ["both together", "lands on the pipe's length", "light per opening"])
    bars.set_xlabel("%")
    return plan, bars


def paint_light_off_the_end(axes: Any, r: LightOffTheEnd) -> list[Any]:
    """Draw mirror, pipe, the lit part of it, what passes its end, and three bars."""
    plan, bars = axes
    end = r.length + r.overhang
    lit = min(r.length + r.slide_rim, end)
    made: list[Any] = [
        Rectangle((0, -0.32), r.length, 0.64, facecolor="#eeeeee", edgecolor=INK),
        Rectangle((-r.overhang, -0.04), end + r.overhang, 0.08, facecolor="white", edgecolor=INK),
        Rectangle((r.slide_centre, -0.04), max(lit - r.slide_centre, 0), 0.08,
                  facecolor="#f0c080", edgecolor=INK, hatch="//"),
        Rectangle((end, -0.09), 0.12, 0.18, facecolor=INK),
    ]  # fmt: skip
    words = "mirror grey, lit pipe hatched, fitting black"
    if r.slide_rim > r.overhang:
        made.append(Rectangle((end, -0.16), r.length + r.slide_rim - end, 0.32, alpha=0.8,
                              facecolor="#cc4125", edgecolor=INK, hatch="xx"))  # fmt: skip
        words += "; crosses: light on fitting and hose"
    for patch in made:
        plan.add_patch(patch)
    made.append(plan.text(-0.45, -0.70, words, fontsize=9, va="bottom"))
    turn = np.radians(r.turned_deg)  # beside the plan: true east-west and the axis over it
    made += plan.plot([3.6, 4.0], [0.45, 0.45], color=PALE, linewidth=1, linestyle="--")
    made += plan.plot(
        3.8 + 0.2 * np.cos(turn) * np.array([-1, 1]),
        0.45 - 0.2 * np.sin(turn) * np.array([-1, 1]),
        color=INK,
        linewidth=2,
    )
    made.append(plan.text(3.57, 0.45, "axis", ha="right", va="center", fontsize=9))
    shares = r.cosine * r.end_share, r.end_share, r.cosine
    for row, share in enumerate(shares):
        made.append(bars.barh(row, 100 * share, height=0.66, facecolor=SHADES[row + 1],
                              edgecolor=INK, hatch=HATCHES[row + 1]))  # fmt: skip
        made.append(bars.text(100 * share + 1, row, f"{100 * share:.0f} %", va="center"))
    return made


def describe_light_off_the_end(r: LightOffTheEnd) -> str:
    """Say what is lost and where it lands."""
    where = ("Nothing passes the end of the pipe." if r.slide_rim <= r.overhang else
             f"Light passes the pipe's end and falls on fitting and hose, up to "
             f"{(r.slide_rim - r.overhang) * 1000:.0f} millimetres beyond it.")  # fmt: skip
    drift = "" if not r.turned_deg else (
        f" The axis is turned {abs(r.turned_deg):.0f} degrees: since noon the aim has drifted "
        f"{abs(r.drift_deg):.1f} degrees"
        + (", more than the budget allows." if abs(r.drift_deg) > BAND_DEG else "."))  # fmt: skip
    return (
        f"A trough {r.length:.1f} metres long, {r.hours:.1f} hours from noon at {r.day}. Light "
        f"slants by {r.incidence_deg:.0f} degrees, so each opening gets {r.cosine * 100:.0f} "
        f"percent, and {r.end_share * 100:.0f} percent of that lands on the pipe: together "
        f"{r.cosine * r.end_share * 100:.0f} percent. {where}{drift}"
    )


def table_light_off_the_end(r: LightOffTheEnd) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("slant of the light along the trough", f"{r.incidence_deg:.1f}°"),
        ("slide of the light, centre strip", number(r.slide_centre * 1000, "mm")),
        ("slide of the light, rim strips", number(r.slide_rim * 1000, "mm")),
        ("light per opening (cosine)", f"{r.cosine * 100:.0f} %"),
        ("lands on the pipe's length", f"{r.end_share * 100:.0f} %"),
        ("both together", f"{r.cosine * r.end_share * 100:.0f} %"),
        ("drift of the aim since noon", f"{r.drift_deg:+z.1f}°"),
    ]
