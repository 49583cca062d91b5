"""Pictures of lesson 05: a curve laid through a log, and what makes a result unsure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from solarlib.figures.ink import HATCHES, INK, PALE, SECOND, SHADES, key, number, patches

USED: dict[str, Any] = {"marker": "o", "linestyle": "", "color": INK, "markersize": 5}
UNUSED: dict[str, Any] = {**USED, "color": PALE, "fillstyle": "none"}
PARTS = {  # what makes an efficiency unsure, in the order of the bars -> how it is drawn
    name: {"facecolor": SHADES[k], "hatch": HATCHES[k]}
    for k, name in enumerate(("thermometer", "sun meter", "mass", "area", "heat capacity"))
}


@dataclass(frozen=True)
class FitByHand:
    """A simulated log [min, °C], the curve of two numbers, and how far apart they are.

    used: which points count (n,); miss_k: rms distance of those [K]; loss_limits: 95 % limits
    [W/m²K] that these points alone put on the loss.
    """

    optical_efficiency: float
    loss: float
    minutes: NDArray
    water_c: NDArray
    curve_c: NDArray
    used: NDArray
    miss_k: float
    noise_k: float
    loss_limits: tuple[float, float]


def frame_fit_by_hand(figure: Figure) -> Any:
    """Draw the axes: points and curve above, what is left over below."""
    curve = figure.add_axes((0.11, 0.42, 0.86, 0.54))
    curve.set_ylim(15, 75)
    curve.set_ylabel("water, °C")
    curve.tick_params(labelbottom=False)
    rest = figure.add_axes((0.11, 0.13, 0.86, 0.25))
    rest.set_ylim(-4, 4)
    rest.set_ylabel("left over, K")
    rest.set_xlabel("minutes")
    rest.axhline(0, color=PALE, linewidth=0.8)
    for axes in (curve, rest):
        axes.set_xlim(-2, 72)
    key(curve, {"readings": USED, "not used": UNUSED, "your two numbers": SECOND},
        loc="upper left", fontsize=9)  # fmt: skip
    return curve, rest


def paint_fit_by_hand(axes: Any, r: FitByHand) -> list[Any]:
    """Draw the points that count as dots, the others as open rings, the curve, the rest."""
    curve, rest = axes
    left_over = r.water_c - r.curve_c
    late = ~r.used
    made = [
        *curve.plot(r.minutes[r.used], r.water_c[r.used], **USED, label="readings"),
        *curve.plot(r.minutes[late], r.water_c[late], **UNUSED, label="not used"),
        *curve.plot(r.minutes, r.curve_c, **SECOND, label="your two numbers"),
        *rest.plot(r.minutes[r.used], np.clip(left_over[r.used], -3.9, 3.9), marker="o",
                   linestyle="", color=INK, markersize=4),
    ]  # fmt: skip
    return made


def describe_fit_by_hand(r: FitByHand) -> str:
    """Say how well the curve lies on the points, and how well they pin the loss."""
    fits = r.miss_k <= 1.5 * r.noise_k
    low, high = r.loss_limits
    return (
        f"Optical efficiency {r.optical_efficiency:.2f} and loss {r.loss:.1f} watts per square "
        f"metre and kelvin: the curve misses the {int(r.used.sum())} readings used by "
        f"{r.miss_k:.1f} kelvin on average. The thermometer alone makes {r.noise_k:.1f}: "
        f"{'these two numbers fit' if fits else 'these two numbers do not fit'}. From these "
        f"readings alone the loss could be anything from {low:.0f} to {high:.0f}."
    )


def table_fit_by_hand(r: FitByHand) -> list[tuple[str, str]]:
    """List the two numbers and how well they do."""
    return [
        ("optical efficiency", f"{r.optical_efficiency:.2f}"),
        ("loss", f"{r.loss:.1f} W/m²K"),
        ("readings used", f"{int(r.used.sum())} of {len(r.used)}"),
        ("distance from the curve (rms)", f"{r.miss_k:.2f} K"),
        ("the thermometer alone", f"{r.noise_k:.2f} K"),
        ("loss, 95 % limits from these readings",
         f"{r.loss_limits[0]:.1f} to {r.loss_limits[1]:.1f} W/m²K"),
    ]  # fmt: skip


@dataclass(frozen=True)
class BetterInstrument:
    """Shares of the variance (0 to 1) and the whole uncertainty [1], yours and at the start."""

    thermometer_k: float
    sun: float
    minutes: float
    rise_k: float
    shares: Mapping[str, float]
    start_shares: Mapping[str, float]
    total: float
    start_total: float


def frame_better_instrument(figure: Figure) -> Any:
    """Draw the axes: shares of the variance above, the whole uncertainty below."""
    shares = figure.add_axes((0.16, 0.54, 0.81, 0.32))
    shares.set_xlim(0, 100)
    shares.set_xlabel("share of the doubt (variance), %")
    whole = figure.add_axes((0.16, 0.14, 0.81, 0.24))
    whole.set_xlim(0, 40)
    whole.set_xlabel("uncertainty of the efficiency (one sigma), %")
    for axes in (shares, whole):
        axes.set_ylim(-0.6, 1.6)
        axes.set_yticks([0, 1], ["at the start", "yours"])
    patches(shares, PARTS, ncols=len(PARTS), fontsize=9, loc="lower center",
            bbox_to_anchor=(0.45, 1.0), frameon=False)  # fmt: skip
    return shares, whole


def paint_better_instrument(axes: Any, r: BetterInstrument) -> list[Any]:
    """Draw two stacked bars of shares and two bars of the whole."""
    shares, whole = axes
    made: list[Any] = []
    for row, parts in enumerate((r.start_shares, r.shares)):
        left = 0.0
        for name, share in parts.items():
            made.append(shares.barh(row, 100 * share, left=left, height=0.7, edgecolor=INK,
                                    **PARTS[name]))  # fmt: skip
            left += 100 * share
    for row, total in enumerate((r.start_total, r.total)):
        made.append(whole.barh(row, 100 * total, height=0.7, facecolor=SHADES[2 * row + 1],
                               edgecolor=INK))  # fmt: skip
        made.append(whole.text(min(100 * total, 35) + 0.5, row, f"{100 * total:.1f} %",
                               va="center"))  # fmt: skip
    return made


def describe_better_instrument(r: BetterInstrument) -> str:
    """Say the whole uncertainty and which instrument makes most of it."""
    worst = max(r.shares, key=lambda name: r.shares[name])
    change = r.total - r.start_total
    moved = (
        "the same as at the start"
        if abs(change) < 5e-4
        else (
            f"{abs(change) * 100:.1f} points {'less' if change < 0 else 'more'} than at the start"
        )
    )
    return (
        f"Thermometer good to {r.thermometer_k:.1f} kelvin, sun meter to {r.sun * 100:.0f} "
        f"percent, {r.minutes:.0f} minutes that warm the water by {r.rise_k:.0f} kelvin. The "
        f"efficiency is then good to {r.total * 100:.1f} percent, {moved}. "
        f"{r.shares[worst] * 100:.0f} percent of the doubt comes from the {worst}."
    )


def table_better_instrument(r: BetterInstrument) -> list[tuple[str, str]]:
    """List the shares and the whole."""
    return [
        ("rise of the water", number(r.rise_k, "K")),
        *((f"share of the doubt: {name}", f"{100 * share:.0f} %")
          for name, share in r.shares.items()),
        ("uncertainty of the efficiency", f"{100 * r.total:.1f} %"),
        ("the same at the start", f"{100 * r.start_total:.1f} %"),
    ]  # fmt: skip
