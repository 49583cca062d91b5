"""The sketch of a heater's plumbing: its parts at their heights, and how far a bubble gets."""

from __future__ import annotations

import base64
import html
import io
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import matplotlib
from matplotlib.figure import Figure

from solarlib.design.plumbing import AIR, Plumbing, Way, ways_out
from solarlib.figures.ink import BEHIND_WORDS, INK, PALE, SECOND, key

MOST_PARTS = 12  # that the sketch has room for
FROM = {  # part -> the line of a bubble that starts there
    "pipe": {**SECOND, "linewidth": 5.0, "linestyle": "-"},
    "pot": {"color": "#b45f06", "linewidth": 2.4, "linestyle": (0, (2, 1))},
}
BESIDE = 0.09  # the pot's line is drawn so far to the right, to be seen beside the pipe's
OUT = {"color": INK, "marker": "^", "markersize": 10, "linestyle": "none"}
STOP = {"color": INK, "marker": "X", "markersize": 13, "linestyle": "none",
        "markeredgecolor": "white"}  # fmt: skip


@dataclass(frozen=True)
class Sketch:
    """What is drawn: parts with heights [mm], links with what stands in them, ways of bubbles.

    words : the same in one paragraph.
    """

    parts: Sequence[tuple[str, float]]
    links: Sequence[tuple[str, str, str]]
    ways: Sequence[Way]
    words: str


def sketch_of(plumbing: Plumbing) -> Sketch:
    """Return what is drawn and told of a heater's plumbing."""
    every = ways_out(plumbing)
    ways = sorted((way for way in every if way.part in FROM), key=lambda way: list(FROM).index(way.part))
    told = [f"{way.reason[:1].upper()}{way.reason[1:]}" for way in ways]
    told += [f"There is no {part} among the parts." for part in FROM
             if part not in {way.part for way in ways}]  # fmt: skip
    others = [way.part for way in every if not way.is_open and way.part not in FROM]
    told += [f"Shut off from the air, too: {', '.join(others)}."] if others else []
    links = [(link.first, link.second, link.through) for link in plumbing.links]
    return Sketch([(name, 1000 * height) for name, height in plumbing.parts], links, ways,
                  " ".join(told))  # fmt: skip


def draw_plumbing(figure: Figure, r: Sketch) -> Any:
    """Draw parts, links and the ways of bubbles from pipe and pot; return the axes."""
    axes = figure.add_axes((0.09, 0.15, 0.89, 0.82))
    parts = list(r.parts)[:MOST_PARTS]
    heights = [height for _, height in parts]
    span = max(max(heights) - min(heights), 200.0)
    top = max(heights) + 0.6 * span
    place = {name: (float(k), height) for k, (name, height) in enumerate(parts)}
    axes.set_xlim(-0.7, max(len(parts), 3) - 0.3)
    axes.set_ylim(min(heights) - 0.25 * span, top + 0.15 * span)
    axes.set_ylabel("height, mm")
    axes.set_xticks([])
    axes.axhline(top, color=PALE, linewidth=1, linestyle=":")
    axes.text(-0.65, top, AIR, va="center", fontsize=9, bbox=BEHIND_WORDS)

    def ends(a: str, b: str) -> tuple[Any, Any] | None:
        """Both ends of a link; the air is straight above its part."""
        if a == AIR:
            a, b = b, a
        if a not in place or (b != AIR and b not in place):
            return None
        return place[a], (place[a][0], top) if b == AIR else place[b]

    for first, second, through in r.links:
        both = ends(first, second)
        if both is None:
            continue
        axes.plot(*zip(*both, strict=True), color=INK, linewidth=1.2, zorder=1)
        if through != "open":
            x, y = (sum(pair) / 2 for pair in zip(*both, strict=True))
            side = "center"
            if both[0][0] == both[1][0]:  # straight up: beside it, where there is room
                side, x = ("right", x - 0.06) if x > 0 else ("left", x + 0.06)
            axes.text(x, y, through, ha=side, va="center", fontsize=8.5, zorder=5,
                      bbox=BEHIND_WORDS)  # fmt: skip
    for way in r.ways:
        _bubble(axes, way, ends, place)
    for name, height in parts:
        axes.text(*place[name], f"{name}\n{height:.0f} mm", ha="center", va="center", fontsize=9,
                  zorder=4, bbox={"facecolor": "white", "edgecolor": INK, "pad": 3})  # fmt: skip
    lines = {f"bubble from the {part}": style for part, style in FROM.items()}
    key(axes, {**lines, "gets out": OUT, "stopped here": STOP}, ncols=4, loc="upper center", fontsize=9,
        bbox_to_anchor=(0.5, -0.02), frameon=False)  # fmt: skip
    return axes


def _bubble(axes: Any, way: Any, ends: Any, place: Any) -> None:
    """Draw one bubble's way up to the air, or to the cross where it is stopped."""
    steps = [ends(*pair) for pair in pairwise(way.path or way.tried)]
    if way.part not in place or None in steps:  # through a part that has no room here
        return
    beside = BESIDE * (way.part == "pot")
    line = [place[way.part], *(end for _, end in steps)]
    if not steps:
        line.append((line[0][0], line[0][1] + 1e-6))
    elif not way.is_open:
        (x0, y0), (x1, y1) = line[-2:]
        share = 0.75 if y1 < y0 else 0.5  # held in the dip, or where something can shut
        line[-1] = (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
    x, y = zip(*line, strict=True)
    x = tuple(value + beside for value in x)
    axes.plot(x, y, zorder=2, label=way.part, **FROM[way.part])
    axes.plot([x[-1] if steps else x[-1] + 0.4], [y[-1]], zorder=6,
              **OUT if way.is_open else STOP)  # fmt: skip


def plumbing_html(r: Sketch) -> str:
    """Return the sketch as a picture with its words below."""
    figure = Figure(figsize=(7.4, 3.4))
    draw_plumbing(figure, r)
    buffer = io.StringIO()
    with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "plumbing"}):
        figure.savefig(buffer, format="svg", metadata={"Date": None})
    picture = base64.b64encode(buffer.getvalue().encode()).decode()
    words = html.escape(r.words)
    return (f'<figure style="margin:0"><img alt="{words}" style="max-width:100%;background:#fff" '
            f'src="data:image/svg+xml;base64,{picture}"><figcaption style="line-height:1.4">'
            f"<strong>The way of a bubble.</strong> {words}</figcaption></figure>")  # fmt: skip
