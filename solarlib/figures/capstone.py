"""Pictures of lesson 07: the board of checked items, and what matters most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from solarlib.figures.ink import HATCHES, INK, PALE, SECOND, SHADES, number, patches

BOARD_ROWS = 22  # how many checked items the picture has room for, with a line of legend
STATES = {  # met -> its sign, the word beside it, and the mark drawn for the sign
    True: ("✓", "met", "$✓$"),
    False: ("✗", "not met", "X"),
    None: ("?", "not known", "$?$"),
}
LEGEND = f"{', '.join(f'{sign} {word}' for sign, word, _ in STATES.values())}; the gates come first"
LEVERS = 17  # how many inputs the picture has room for
MOVED: dict[str, dict[str, Any]] = {
    "a tenth less": {"facecolor": SHADES[0], "hatch": HATCHES[0]},
    "a tenth more": {"facecolor": SHADES[2], "hatch": HATCHES[1]},
}


@dataclass(frozen=True)
class Item:
    """One checked item: its id, kind and name; met is None when it cannot be told; what was found
    and what would help."""

    id: str
    kind: str
    name: str
    met: bool | None
    reason: str
    change: str


@dataclass(frozen=True)
class DesignBoard:
    """The items of a design, its warm-up [min, °C] and its key numbers in display units."""

    items: Sequence[Item]
    minutes: NDArray
    water_c: NDArray
    target_c: float
    minutes_to_target: float
    numbers: Sequence[tuple[str, str]]


def gates_first(items: Sequence[Item]) -> list[Item]:
    """Return the items in the order of picture, words and table."""
    return sorted(items, key=lambda item: item.kind != "gate")


def frame_design_board(figure: Figure) -> Any:
    """Draw the axes: the items at the left, the warm-up at the right."""
    board = figure.add_axes((0.01, 0.02, 0.55, 0.96))
    board.set_xlim(0, 1)
    board.set_ylim(BOARD_ROWS, 0)
    board.axis("off")
    board.text(0.0, 0.6, LEGEND, va="center", fontsize=9.5)
    warm = figure.add_axes((0.64, 0.13, 0.335, 0.84))
    warm.set_xlim(0, 240)
    warm.set_xticks(range(0, 241, 60))
    warm.set_ylim(10, 110)
    warm.set_xlabel("minutes in usual sun")
    warm.set_ylabel("water, °C")
    return board, warm


def paint_design_board(axes: Any, r: DesignBoard) -> list[Any]:
    """Draw sign, word and name of each item, gates first, and the warm-up up to the target."""
    board, warm = axes
    made: list[Any] = []
    items = gates_first(r.items)
    step = (BOARD_ROWS - 1.5) / max(len(items), 1)
    for row, item in enumerate(items):
        y = 2 + row * step
        _, word, marker = STATES[item.met]
        made += board.plot([0.02], [y], marker=marker, markersize=9, color=INK, markeredgecolor=INK,
                           markeredgewidth=0.5, clip_on=False)  # fmt: skip
        words = {"va": "center", "fontsize": 9.5, "fontweight": "normal" if item.met else "bold"}
        made.append(board.text(0.055, y, word, **words))
        gate = " (gate)" if item.kind == "gate" else ""
        made.append(board.text(0.255, y, f"{item.id}  {item.name}{gate}", **words))
    made += warm.plot(r.minutes, r.water_c, **SECOND)
    made += warm.plot([0, 240], [r.target_c, r.target_c], color=PALE, linewidth=1)
    made.append(warm.text(236, r.target_c + 1, "target", ha="right", fontsize=9))
    if np.isfinite(r.minutes_to_target) and r.minutes_to_target <= 240:
        made += warm.plot([r.minutes_to_target], [r.target_c], marker="o", color=INK, markersize=8)
    return made


def describe_design_board(r: DesignBoard) -> str:
    """Say which items are open and when the water is warm."""
    items = gates_first(r.items)
    missed = [f"{i.id} {i.name}" for i in items if i.met is False]
    unknown = [i.id for i in items if i.met is None]
    met = sum(i.met is True for i in r.items)
    when = (f"The water reaches {r.target_c:.0f} degrees after about {r.minutes_to_target:.0f} "
            "minutes" if np.isfinite(r.minutes_to_target) else
            f"The water does not reach {r.target_c:.0f} degrees")  # fmt: skip
    verb = "is" if len(missed) == 1 else "are"
    told = f"; {', '.join(missed[:4])} {verb} not met" if missed else ""
    if len(missed) > 4:
        told += f", and {len(missed) - 4} more"
    asked = f"; {', '.join(unknown)} cannot be told yet" if unknown else ""
    return (
        f"Of {len(r.items)} checked items {met} are met{told}{asked}. {when} in usual sun. Items "
        "that are met are checked items complete, never a permission to build."
    )


def table_design_board(r: DesignBoard) -> list[tuple[str, str]]:
    """List the key numbers, and what would help the items that are not met."""
    helps = [(f"{i.id} {i.name}", i.change)
             for i in gates_first(r.items) if i.met is False and i.change]  # fmt: skip
    return [*r.numbers, *helps]


def table_own_design(r: DesignBoard) -> list[tuple[str, str]]:
    """List every item with its state and the reason, gates first, then the key numbers."""
    rows = []
    for i in gates_first(r.items):
        sign, word, _ = STATES[i.met]
        change = "" if i.met is None else i.change
        rows.append((f"{i.id} {i.name} ({i.kind})", f"{sign} {word}. {i.reason} {change}".strip()))
    return [*rows, *r.numbers]


@dataclass(frozen=True)
class WhatMattersMost:
    """Minutes to the target, and how a tenth less or more of each input moves them (inf: never).

    names: the inputs in words, largest effect first; less, more: change in minutes (n,).
    idle: inputs that change nothing.
    """

    minutes: float
    names: Sequence[str]
    less: NDArray
    more: NDArray
    idle: Sequence[str]


def frame_what_matters_most(figure: Figure) -> Any:
    """Draw the axes: bars of minutes to both sides."""
    axes = figure.add_axes((0.40, 0.14, 0.57, 0.76))
    axes.set_xlim(-20, 20)
    axes.set_ylim(LEVERS - 0.4, -0.6)
    axes.set_yticks([])
    axes.set_xlabel("change of the time to the target, minutes")
    axes.axvline(0, color=INK, linewidth=0.8)
    patches(axes, MOVED, ncols=2, loc="lower center", fontsize=9, bbox_to_anchor=(0.5, 1.0),
            frameon=False)  # fmt: skip
    return axes


def paint_what_matters_most(axes: Any, r: WhatMattersMost) -> list[Any]:
    """Draw two bars for each input: a tenth less above, a tenth more below."""
    rows = np.arange(len(r.names[:LEVERS]))
    made: list[Any] = []
    for k, (change, style) in enumerate(zip((r.less, r.more), MOVED.values(), strict=True)):
        width = np.clip(np.nan_to_num(change[:LEVERS]), -20, 20)
        made += [axes.add_artist(Rectangle((0, row + (k - 1) * 0.36), change, 0.36, edgecolor=INK,
                                           **style))
                 for row, change in zip(rows, width, strict=True)]  # fmt: skip
    for row, name in enumerate(r.names[:LEVERS]):
        made.append(axes.text(-20.6, row, name, ha="right", va="center", fontsize=9))
    return made


def describe_what_matters_most(r: WhatMattersMost) -> str:
    """Say the time and the three largest levers."""
    first = []
    for name, less, more in list(zip(r.names, r.less, r.more, strict=True))[:3]:
        moves = [abs(change) for change in (less, more) if np.isfinite(change)]
        size = f"{max(moves):.0f} minutes" if len(moves) == 2 else "never warm"
        first.append(f"{name} ({size})")
    when = (f"The water is warm after about {r.minutes:.0f} minutes" if np.isfinite(r.minutes)
            else "The water does not get warm")  # fmt: skip
    return (
        f"{when}. One input at a time is made a "
        f"tenth smaller and a tenth larger. Most moves: {'; '.join(first)}. Of {len(r.names)} "
        f"inputs that move the time at all, {r.names[-1]} moves it least; {len(r.idle)} more move "
        "nothing."
    )


def table_what_matters_most(r: WhatMattersMost) -> list[tuple[str, str]]:
    """List the change of each input, largest first."""

    def told(change: float) -> str:
        return f"{change:+z.1f} min" if np.isfinite(change) else "never warm"

    return [
        ("time to the target", number(r.minutes, "min") if np.isfinite(r.minutes) else "never"),
        *((name, f"a tenth less {told(less)}, a tenth more {told(more)}")
          for name, less, more in zip(r.names, r.less, r.more, strict=True)),
        ("no change in usual sun", f"{len(r.idle)} inputs, such as {'; '.join(r.idle[:5])}"),
    ]  # fmt: skip
