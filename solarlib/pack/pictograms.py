"""Small pictures of our own for the cards; each always stands beside its words.

In: a name. Out: shapes in a square of 10 by 10, x to the right and y up, for
`paper` to scale. Black lines only, so that a copier does them no harm.
"""

from __future__ import annotations

import numpy as np

from solarlib.pack.drawing import Circle, Drawing, Line, Shape, box, line

_BAR = Line(((0.8, 0.8), (9.2, 9.2)), "cut")  # struck through: not allowed


def _wave(x: float, low: float, high: float, swing: float = 0.5) -> Line:
    y = np.linspace(low, high, 17)
    return line(x + swing * np.sin(4 * np.pi * (y - low) / (high - low)), y, "cut")


def _arc(x: float, y: float, radius: float, start_deg: float, end_deg: float) -> Line:
    turn = np.radians(np.linspace(start_deg, end_deg, 25))
    return line(x + radius * np.cos(turn), y + radius * np.sin(turn), "cut")


def _trough(bottom: float, deep: float, up: bool = True) -> Line:
    x = np.linspace(-4.5, 4.5, 31)
    y = deep * (x / 4.5) ** 2
    return line(5 + x, bottom + y if up else bottom + deep - y, "cut")


def _arrow(x0: float, y0: float, x1: float, y1: float) -> list[Shape]:
    along = np.array([x1 - x0, y1 - y0]) / np.hypot(x1 - x0, y1 - y0)
    side = np.array([-along[1], along[0]])
    tip = np.array([x1, y1])
    left, right = tip - 1.6 * along + 0.8 * side, tip - 1.6 * along - 0.8 * side
    corners = [tip, left, right]
    return [
        Line(((x0, y0), (x1, y1)), "cut"),
        line([c[0] for c in corners], [c[1] for c in corners], "solid", closed=True),
    ]


def _drop(x: float, y: float, size: float = 1.0) -> Line:
    turn = np.linspace(-0.5 * np.pi, 1.5 * np.pi, 33)
    taper = np.clip((1 + np.sin(turn)) / 2, 0, 1) ** 2
    xs = x + size * np.cos(turn) * (1 - 0.75 * taper)
    return line(xs, y + size * np.sin(turn) * (1 + 0.9 * taper), "solid", closed=True)


def _eyes() -> list[Shape]:
    x = np.linspace(-4.5, 4.5, 31)
    lid = 2.6 * (1 - (x / 4.5) ** 2)
    pupil = np.linspace(0, 2 * np.pi, 25)
    return [
        line(5 + x, 5 + lid, "cut"),
        line(5 + x, 5 - lid, "cut"),
        line(5 + 1.2 * np.cos(pupil), 5 + 1.2 * np.sin(pupil), "solid", closed=True),
        _BAR,
    ]


def _hot_pipe() -> list[Shape]:
    return [box(0.5, 1.0, 9.0, 2.4), *(_wave(x, 4.3, 9.2) for x in (2.5, 5.0, 7.5))]


def _scald() -> list[Shape]:
    cup = Line(((1.5, 5.2), (2.2, 0.8), (7.8, 0.8), (8.5, 5.2)), "cut")
    level = Line(((1.8, 4.0), (8.2, 4.0)), "mark")
    return [cup, level, *(_wave(x, 5.4, 9.4, 0.4) for x in (3.2, 5.0, 6.8))]


def _beam() -> list[Shape]:
    rays = [Line(((x, 0.9 + 0.08 * (x - 5) ** 2), (5.0, 6.2)), "mark") for x in (1, 3, 5, 7, 9)]
    return [_trough(0.8, 1.8), *rays, Circle(5.0, 6.2, 2.6, "dashed"), Circle(5.0, 6.2, 0.7)]


def _steam() -> list[Shape]:
    valve = Line(((2.2, 2.6), (2.2, 6.4), (7.8, 2.6), (7.8, 6.4)), "cut", closed=True)
    pipes = [Line(((0.3, 4.5), (2.2, 4.5)), "cut"), Line(((7.8, 4.5), (9.7, 4.5)), "cut")]
    handle = [Line(((5.0, 4.5), (5.0, 7.8)), "cut"), Line(((3.4, 7.8), (6.6, 7.8)), "cut")]
    return [valve, *pipes, *handle, _BAR]


def _fire() -> list[Shape]:
    outer = [(5, 9.6), (6.6, 7), (7.9, 5.2), (8, 3), (6.8, 1.1), (5, 0.5), (3.2, 1.1), (2, 3),
             (2.4, 5), (3.3, 6.2), (3.9, 4.9), (4.4, 7)]  # fmt: skip
    inner = [(5, 4.6), (6.1, 3), (6, 1.7), (5, 1.1), (4, 1.7), (3.9, 3)]
    return [Line(tuple(outer), "cut", closed=True), Line(tuple(inner), "solid", closed=True)]


def _cover() -> list[Shape]:
    cloth = Line(((0.2, 5.6), (1.4, 7.0), (8.6, 7.0), (9.8, 5.6)), "cut")
    hatch = [Line(((x, 5.2), (x + 1.2, 6.9)), "mark") for x in np.arange(1.2, 8.2, 1.2)]
    return [_trough(2.0, 3.2), cloth, Line(((0.2, 5.2), (9.8, 5.2)), "cut"), *hatch]


def _wind() -> list[Shape]:
    gusts = [Line(((0.3, y), (x, y)), "cut") for y, x in ((8.4, 7.2), (6.8, 8.6), (5.2, 6.6))]
    curls = [_arc(x, y + 0.7, 0.7, -90, 150) for y, x in ((8.4, 7.2), (6.8, 8.6))]
    return [*gusts, *curls, _trough(0.8, 2.6, up=False), Line(((0.3, 0.6), (9.7, 0.6)), "cut")]


def _no_drink() -> list[Shape]:
    glass = Line(((2.4, 8.6), (3.2, 1.0), (6.8, 1.0), (7.6, 8.6)), "cut")
    return [glass, Line(((2.7, 5.8), (7.3, 5.8)), "mark"), _BAR]


def _person() -> list[Shape]:
    body = Line(((1.8, 0.6), (2.4, 4.6), (3.8, 5.6), (6.2, 5.6), (7.6, 4.6), (8.2, 0.6)), "cut")
    return [Circle(5.0, 7.6, 1.7), body]


def _phone() -> list[Shape]:
    return [box(2.8, 0.4, 4.4, 9.2), box(3.4, 2.0, 3.2, 6.4, "mark"), Circle(5.0, 1.2, 0.4, "mark")]


def _turn_away() -> list[Shape]:
    arc = _arc(5.0, 5.0, 4.2, 200, 50)
    end = arc.points[-1]
    return [_trough(3.6, 2.4, up=False), arc, *_arrow(end[0] - 0.6, end[1] + 0.7, *end)]


def _wait() -> list[Shape]:
    hands = [Line(((5.0, 5.0), (5.0, 8.0)), "cut"), Line(((5.0, 5.0), (7.2, 5.0)), "cut")]
    return [Circle(5.0, 5.0, 4.4), *hands]


def _drain() -> list[Shape]:
    pipe = [Line(((0.4, 8.6), (6.4, 7.4), (6.4, 5.6)), "cut"),
            Line(((0.4, 6.8), (4.8, 5.9), (4.8, 5.6)), "cut")]  # fmt: skip
    return [*pipe, _drop(5.6, 3.6, 0.8), _drop(5.6, 1.0, 0.8)]


def _strap() -> list[Shape]:
    straps = [Line(((x, 0.8), (x, 6.3)), "cut") for x in (3.2, 6.8)]
    return [_trough(2.0, 4.4, up=False), *straps, Line(((0.3, 0.8), (9.7, 0.8)), "cut")]


def _log() -> list[Shape]:
    rules = [Line(((3.0, y), (7.0, y)), "mark") for y in (7.6, 6.2, 4.8, 3.4, 2.0)]
    return [box(2.0, 0.5, 6.0, 9.0), *rules]


def _frost() -> list[Shape]:
    arms: list[Shape] = []
    for angle in np.radians(np.arange(0, 180, 60) + 30):
        dx, dy = 4.4 * np.cos(angle), 4.4 * np.sin(angle)
        arms.append(Line(((5 - dx, 5 - dy), (5 + dx, 5 + dy)), "cut"))
    for angle in np.radians(np.arange(0, 360, 60) + 30):
        for side in (-0.6, 0.6):
            x, y = 5 + 2.6 * np.cos(angle), 5 + 2.6 * np.sin(angle)
            end = x + 1.4 * np.cos(angle + side), y + 1.4 * np.sin(angle + side)
            arms.append(Line(((x, y), end), "mark"))
    return arms


_PICTURES = {
    "eyes": _eyes,
    "hot pipe": _hot_pipe,
    "scald": _scald,
    "beam": _beam,
    "closed valve": _steam,
    "fire": _fire,
    "cover": _cover,
    "wind": _wind,
    "not for people": _no_drink,
    "person": _person,
    "phone": _phone,
    "turn away": _turn_away,
    "wait": _wait,
    "drain": _drain,
    "strap": _strap,
    "log": _log,
    "frost": _frost,
}


def pictogram(name: str) -> Drawing:
    """Return a picture by name, 10 by 10 units.

    Raises
    ------
    KeyError : a name that has no picture; the names are the keys of the table above.
    """
    return Drawing(name, name, tuple(_PICTURES[name]()), 0.0, 0.0, 10.0, 10.0)
