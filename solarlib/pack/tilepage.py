"""One page of a template: the part of the piece it shows, and how the pages fit together.

In: a tile of a drawing. Out: a page with the piece at true size, crosses to lay on
those of the neighbour pages, a map of the pages, an arrow for "this way up", and
the bars and the square where they hide least of the piece.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from solarlib.pack.drawing import Circle, Label, Line, Shape, Tile, seam_crosses
from solarlib.pack.paper import BAR_ACROSS, BAR_DOWN, OVERLAP, RULER, SQUARE, WINDOW, Paper

Box = tuple[float, float, float, float]  # left, top, width, height on the page
INFO = (74.0, 31.0)  # room for title, map and arrow


def tile_page(paper: Paper, tile: Tile, note: str = "") -> None:
    """Draw one page of a template.

    Parameters
    ----------
    note : one short sentence for whoever tapes and saws.
    """
    paper.new_page(rulers=False)
    paper.tile(tile)
    crosses = []
    for x, y, name in seam_crosses(tile, WINDOW, OVERLAP):
        at = x - tile.left, WINDOW[1] + tile.bottom - y
        left = at[0] < WINDOW[0] - 25
        crosses.append((at[0] - 7 - (0 if left else 15), at[1] - 7, 29.0, 14.0))
        paper.line([(at[0] - 4, at[1]), (at[0] + 4, at[1])], "mark")
        paper.line([(at[0], at[1] - 4), (at[0], at[1] + 4)], "mark")
        paper.circle(*at, 2.0, "mark")
        paper.words(at[0] + (5 if left else -5), at[1] - 1.5, name, 8,
                    align="left" if left else "right")  # fmt: skip
    bands = _overlaps(tile)
    for x, y, width, height in bands:
        inner = x + width if x == 0 else x, y + height if y == 0 else y
        ends = [(inner[0], y), (inner[0], y + height)] if width < height else [
            (x, inner[1]), (x + width, inner[1])]  # fmt: skip
        paper.line(ends, "dotted")
    sizes = [(BAR_ACROSS + 1, RULER), (RULER, BAR_DOWN + 1), INFO, (SQUARE, SQUARE)]
    across, down, info, square = best_places(tile, sizes, crosses + bands)
    paper.bar_across(*across[:2])
    paper.bar_down(*down[:2])
    paper.square(*square[:2])
    _info(paper, tile, info[0], info[1], note)


def _overlaps(tile: Tile) -> list[Box]:
    """The bands along the edges that a neighbour shows, too."""
    across, down = WINDOW
    bands = [
        (tile.has(-1, 0), (0.0, 0.0, OVERLAP, down)),
        (tile.has(1, 0), (across - OVERLAP, 0.0, OVERLAP, down)),
        (tile.has(0, -1), (0.0, 0.0, across, OVERLAP)),
        (tile.has(0, 1), (0.0, down - OVERLAP, across, OVERLAP)),
    ]
    return [band for shared, band in bands if shared]


def _info(paper: Paper, tile: Tile, x: float, y: float, note: str) -> None:
    """Title, arrow and map of the pages, this one filled."""
    paper.words(x, y + 4, tile.drawing.title, 11, bold=True, within=INFO[0])
    names = " ".join(tile.names)
    text = f"sheet {tile.name} of {len(tile.names)}: {names}" if len(tile.names) > 1 else "one sheet"
    paper.words(x, y + 9.5, text, 10, bold=True, within=INFO[0])
    paper.line([(x + 3, y + 29), (x + 3, y + 13)], "cut")
    paper.filled([(x + 3, y + 11), (x + 0.6, y + 16), (x + 5.4, y + 16)])
    paper.paragraph(x + 8, y + 13, 14, "this way up", 9)
    cell = min(9.0, 27.0 / tile.columns, 17.0 / tile.rows)
    for column, row in tile.printed:
        left, top = x + 25 + column * cell * 1.0, y + 12 + row * cell * 0.72
        corners = [(left, top), (left + cell, top), (left + cell, top + cell * 0.72),
                   (left, top + cell * 0.72)]  # fmt: skip
        if (row, column) == (tile.row, tile.column):
            paper.filled(corners, 120)
        paper.line(corners, "fine", closed=True)
    right = x + 25 + max(tile.columns * cell, 10) + 3
    paper.paragraph(right, y + 11, x + INFO[0] - right, note, 8)


def _dots(tile: Tile, shapes: Sequence[Shape]) -> NDArray:
    """Points on the page, about one a millimetre, along some shapes of a tile, (n, 2)."""
    runs = []
    for shape in shapes:
        if isinstance(shape, Line):
            points = np.asarray([*shape.points, *(shape.points[:1] if shape.closed else ())])
        elif isinstance(shape, Circle):
            turn = np.linspace(0, 2 * np.pi, 13)
            points = np.c_[np.cos(turn), np.sin(turn)] * shape.radius + (shape.x, shape.y)
        else:  # about as wide and as high as its letters: there and back again
            reach = len(shape.text) * shape.size_pt * 0.6 * 25.4 / 72
            start = {"start": 0.0, "middle": -reach / 2, "end": -reach}[shape.anchor]
            angle = np.radians(shape.turned_deg)
            along, up = (np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))
            high = shape.size_pt * 0.8 * 25.4 / 72
            corners = ((start, -1.0), (start + reach, -1.0), (start + reach, high), (start, high))
            points = np.array([shape.x, shape.y]) + np.array(corners) @ np.array([along, up])
        for start, end in itertools.pairwise(points):
            pieces = max(int(np.hypot(*(end - start))), 1)
            runs.append(start + np.linspace(0, 1, pieces + 1)[:, None] * (end - start))
    dots = np.concatenate(runs)
    return np.c_[dots[:, 0] - tile.left, WINDOW[1] + tile.bottom - dots[:, 1]]


def best_places(
    tile: Tile, sizes: Sequence[tuple[float, float]], taken: Sequence[Box]
) -> list[Box]:
    """Find, for one box after the other, the place where it covers least of a tile.

    sizes : (width, height) [mm] of the boxes; the first two, long bars, are tried in both orders.
    taken : boxes that must stay free.
    """
    ground = _ground(tile)
    for left, top, width, height in taken:
        _cells(ground, left, top, width, height)[:] += _TAKEN
    tried = []
    for order in ((0, 1), (1, 0)):
        marked, places, covered = ground.copy(), dict[int, Box](), 0.0
        for number in (*order, *range(2, len(sizes))):
            box, cost = _best_place(marked, *sizes[number])
            places[number], covered = box, covered + cost
            _cells(marked, *box)[:] += _TAKEN
        tried.append((covered, places))
    places = min(tried, key=lambda one: one[0])[1]
    return [places[number] for number in range(len(sizes))]


_TAKEN = 1000.0  # covering one square millimetre of another box costs more than any line
_WEIGHT = {Line: 1.0, Circle: 5.0, Label: 5.0}  # a bar may cross a line, hardly a hole or words


def _ground(tile: Tile) -> NDArray:
    """What lies on each square millimetre of the page's window, weighted; rows run down."""
    across, down = (int(size) for size in WINDOW)
    ground = np.zeros((down, across))
    for shape in tile.drawing.shapes:
        dots = np.floor(_dots(tile, (shape,))).astype(int)
        seen = dots[((dots >= 0) & (dots < (across, down))).all(axis=1)]
        np.add.at(ground, (seen[:, 1], seen[:, 0]), _WEIGHT[type(shape)])
    return ground


def _cells(ground: NDArray, left: float, top: float, width: float, height: float) -> NDArray:
    """The square millimetres that a box touches, with 1 mm round it."""
    rows = slice(max(int(top) - 1, 0), int(np.ceil(top + height)) + 1)
    return ground[rows, max(int(left) - 1, 0) : int(np.ceil(left + width)) + 1]


def _best_place(ground: NDArray, width: float, height: float) -> tuple[Box, float]:
    """Where a box covers least, and how much it covers there."""
    wide, high = int(np.ceil(width)) + 2, int(np.ceil(height)) + 2  # 1 mm round it
    sums = np.pad(ground, ((1, 0), (1, 0))).cumsum(0).cumsum(1)
    cost = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
    cost = cost[1:-1, 1:-1]  # 2 mm from the border at least
    row, column = np.unravel_index(np.argmin(cost), cost.shape)
    return (float(column + 2), float(row + 2), width, height), float(cost[row, column])
