"""Pictures of lesson 04: where the watts go, and a pot that cools."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from solarlib.figures.ink import HATCHES, INK, PALE, SECOND, SHADES, THIRD, key

AIR = {"color": PALE, "linewidth": 1}
STEPS = ("mirror", "missed", "glass", "paint", "air", "radiation", "pot")


@dataclass(frozen=True)
class WhereWattsGo:
    """Power [W] that comes in, is lost step by step (`lost`, by name), and stays in the water.

    water_c, dry_c [°C]: the water now, and the lit pipe if it ran dry.
    """

    water_c: float
    wind: float
    emittance: float
    glass: bool
    incoming: float
    lost: Mapping[str, float]
    useful: float
    dry_c: float


def frame_where_watts_go(figure: Figure) -> Any:
    """Draw the axes: one row for each step, from the sun above to the water below."""
    axes = figure.add_axes((0.14, 0.13, 0.83, 0.84))
    axes.set_xlim(-230, 570)
    rows = ("sun", *STEPS, "water")
    axes.set_yticks(range(len(rows)), rows)
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_xlabel("watts")
    axes.axvline(0, color=PALE, linewidth=0.8)
    return axes


def paint_where_watts_go(axes: Any, r: WhereWattsGo) -> list[Any]:
    """Draw the sun's bar, each loss where the one before left off, and what stays."""
    made: list[Any] = [axes.barh(0, r.incoming, height=0.7, facecolor=SHADES[0], edgecolor=INK)]
    made.append(axes.text(r.incoming + 6, 0, f"{r.incoming:.0f} W", va="center"))
    left = r.incoming
    for row, name in enumerate(STEPS, start=1):
        lost = r.lost[name]
        made.append(axes.barh(row, -lost, left=left, height=0.7, facecolor=SHADES[3],
                              edgecolor=INK, hatch=HATCHES[row % len(HATCHES)]))  # fmt: skip
        made.append(axes.text(max(left, left - lost) + 6, row, f"{-lost:z.0f} W", va="center"))
        left -= lost
    made.append(axes.barh(len(STEPS) + 1, r.useful, height=0.7, facecolor=INK, edgecolor=INK))
    words = f"{r.useful:.0f} W" if r.useful >= 0 else f"{r.useful:.0f} W: it cools"
    made.append(axes.text(max(r.useful, 0) + 6, len(STEPS) + 1, words, va="center",
                          fontweight="bold"))  # fmt: skip
    made.append(axes.text(-220, 0.5, f"without water the\nlit pipe reaches\n{r.dry_c:.0f} °C",
                          va="center"))  # fmt: skip
    return made


def describe_where_watts_go(r: WhereWattsGo) -> str:
    """Say what is left, which loss is largest, and how hot the pipe would get dry."""
    worst = max(r.lost, key=lambda name: r.lost[name])
    stays = (f"{r.useful:.0f} watts stay in the water, {r.useful / r.incoming * 100:.0f} percent"
             if r.useful >= 0 else
             f"the losses are larger: the water cools with {-r.useful:.0f} watts")  # fmt: skip
    return (
        f"Water at {r.water_c:.0f} degrees, wind at the pipe {r.wind:.1f} metres per second, "
        f"{'with a glass tube' if r.glass else 'no glass tube'}. Of {r.incoming:.0f} watts of sun: "
        f"{stays}. The largest loss is {_SAY[worst]}, {r.lost[worst]:.0f} watts. Without water the "
        f"lit pipe would reach about {r.dry_c:.0f} degrees."
    )


_SAY = {
    "mirror": "the mirror", "missed": "light that misses the pipe", "glass": "the glass",
    "paint": "light that the paint sends back", "air": "heat carried off by the air",
    "radiation": "heat radiation", "pot": "the pot",
}  # fmt: skip


def table_where_watts_go(r: WhereWattsGo) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("sun on opening and pipe", f"{r.incoming:.0f} W"),
        *((f"lost: {_SAY[name]}", f"{r.lost[name]:z.0f} W") for name in STEPS),
        ("stays in the water", f"{r.useful:z.0f} W"),
        ("share that stays", f"{100 * r.useful / r.incoming:z.0f} %"),
        ("lit pipe without water", f"{r.dry_c:.0f} °C, ± 15 °C"),
    ]


@dataclass(frozen=True)
class LidOrLagging:
    """A cooling pot: hours, your curve and the curve of a bare open pot [°C], half-lives [h].

    half_lives: what was done to the pot -> hours until half the difference to the air is gone.
    """

    lid: bool
    insulation_mm: float
    wind: float
    start_c: float
    air_c: float
    hours: NDArray
    yours_c: NDArray
    bare_c: NDArray
    half_lives: Mapping[str, float]


def frame_lid_or_lagging(figure: Figure) -> Any:
    """Draw the axes."""
    axes = figure.add_axes((0.09, 0.14, 0.88, 0.82))
    axes.set_xlim(0, 12)
    axes.set_ylim(15, 85)
    axes.set_xlabel("hours")
    axes.set_ylabel("water, °C")
    key(axes, {"open, no lagging": THIRD, "yours": SECOND, "air": AIR}, loc="upper right")
    return axes


def paint_lid_or_lagging(axes: Any, r: LidOrLagging) -> list[Any]:
    """Draw your pot over the bare open one, and where half the difference is gone."""
    half = r.half_lives["yours"]
    level = r.air_c + (r.start_c - r.air_c) / 2
    made = [
        *axes.plot(r.hours, r.bare_c, **THIRD, label="open, no lagging"),
        *axes.plot(r.hours, r.yours_c, **SECOND, label="yours"),
        *axes.plot([0, 12], [r.air_c, r.air_c], **AIR),
    ]
    if half <= 12:
        made += axes.plot([half], [level], marker="o", color=INK, markersize=8)
        right = half > 8.5
        made.append(axes.annotate(f"half-life {_hours(half)}", (half, level),
                                  (-8 if right else 8, 8), textcoords="offset points",
                                  ha="right" if right else "left"))  # fmt: skip
    return made


def _hours(hours: float) -> str:
    return f"{hours:.1f} h" if np.isfinite(hours) else "more than two days"


def describe_lid_or_lagging(r: LidOrLagging) -> str:
    """Say the half-life and what lid and lagging alone would do."""
    lives = {name: _hours(value).replace(" h", " hours") for name, value in r.half_lives.items()}
    return (
        f"A pot {'with' if r.lid else 'without'} a lid, lagging {r.insulation_mm:.0f} millimetres, "
        f"wind {r.wind:.1f} metres per second, from {r.start_c:.0f} degrees in air of "
        f"{r.air_c:.0f}: half of the difference is gone after {lives['yours']}. An open pot "
        f"without lagging takes {lives['neither']}; a lid alone makes it {lives['lid alone']}, "
        f"20 millimetres of lagging alone {lives['20 mm lagging alone']}."
    )


def table_lid_or_lagging(r: LidOrLagging) -> list[tuple[str, str]]:
    """List the half-lives and two temperatures."""
    at = {hour: float(np.interp(hour, r.hours, r.yours_c)) for hour in (1, 6)}
    return [
        *((f"half-life, {name}", _hours(value)) for name, value in r.half_lives.items()),
        *((f"water after {hour} h", f"{value:.1f} °C") for hour, value in at.items()),
    ]
