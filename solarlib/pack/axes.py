"""The axes of the warm-up: the predicted band, and the same axes empty for a test's own points.

In: the evaluation's band. Out: lines and words of one picture on a page.
"""

from __future__ import annotations

import math

import numpy as np

from solarlib.pack.facts import Facts
from solarlib.pack.paper import Paper


def axes(
    paper: Paper, facts: Facts, x: float, y: float, width: float, height: float, title: str,
    curves: bool,
) -> None:  # fmt: skip
    """Draw axes of time and temperature, with the band when `curves`."""
    left, bottom = x + 12, y + height - 9
    wide, high = width - 15, height - 17
    band = facts.evaluation.band
    minutes = np.asarray(band.time) / 60
    end = float(minutes[-1])
    bottom_c = 10 * math.floor(float(np.min(band.low_c)) / 10)
    top_c = 10 * math.ceil(float(np.max(band.high_c)) / 10 + 0.01)

    def place(minute: float, temp_c: float) -> tuple[float, float]:
        share = (temp_c - bottom_c) / (top_c - bottom_c)
        return left + wide * minute / end, bottom - high * share

    paper.words(left, y + 4, title, 10, bold=True)
    if curves:
        upper = [place(m, t) for m, t in zip(minutes, band.high_c, strict=True)]
        lower = [place(m, t) for m, t in zip(minutes, band.low_c, strict=True)]
        paper.filled([*upper, *reversed(lower)], grey=225)
        paper.line(upper, "dashed")
        paper.line(lower, "dashed")
    for temp_c in range(int(bottom_c), int(top_c) + 1, 10):
        paper.line([place(0, temp_c), place(end, temp_c)], "fine")
        paper.words(left - 1.5, place(0, temp_c)[1] + 1.2, f"{temp_c}", 10, align="right")
    for minute in np.arange(0, end + 1e-6, 15):
        paper.line([place(minute, bottom_c), place(minute, top_c)], "fine")
        if round(minute) % 30 == 0:
            paper.words(place(minute, 0)[0], bottom + 4.5, f"{minute:.0f}", 10, align="middle")
    if curves:
        paper.line([place(m, t) for m, t in zip(minutes, band.median_c, strict=True)], "cut")
        target, stop = facts.design.target_c, facts.design.stop_c
        paper.line([place(0, target), place(end, target)], "dotted")
        _tag(paper, left + wide - 1, place(0, target)[1] + 4.2, f"target {target:.0f} °C")
        if stop is not None and bottom_c < stop < top_c:
            paper.line([place(0, stop), place(end, stop)], "cut")
            _tag(paper, left + wide - 1, place(0, stop)[1] - 1.2, f"stop {stop:.0f} °C: cover")
    paper.words(left + wide, bottom + 8.5, "minutes in the sun", 10, align="right")
    paper.words(x, y + 4, "°C", 10)


def _tag(paper: Paper, right: float, base: float, text: str) -> None:
    """Write words that end at `right` on a white patch over the grid."""
    left = right - paper.width_of(text, 10) - 1
    corners = [(left, base - 3.2), (right, base - 3.2), (right, base + 0.8), (left, base + 0.8)]
    paper.filled(corners, grey=255)
    paper.words(right, base, text, 10, align="right")
