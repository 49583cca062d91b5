"""Which sheets of paper does a piece need when it is printed at true size?

In: the size of a piece, that of a page's window, and the points that have to be seen.
Out: the windows that show any of them, each with its place. All in one unit, whichever.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

INSET = 0.006 / 0.254  # free paper round a piece, where there is some, as a share of the window


@dataclass(frozen=True)
class Window:
    """A page's view of a piece: columns count from the left, rows from the top, from 0.

    left, bottom : its lower left corner on the piece.
    """

    column: int
    row: int
    columns: int
    rows: int
    left: float
    bottom: float

    @property
    def place(self) -> tuple[int, int]:
        """Column and row."""
        return self.column, self.row


def tile_count(size: float, window: float, overlap: float) -> int:
    """How many windows with an overlap cover a size."""
    return max(1, math.ceil((size - overlap) / (window - overlap) - 1e-9))


def windows(
    left: float, bottom: float, width: float, height: float, view: tuple[float, float],
    overlap: float, points: ArrayLike = (),
) -> list[Window]:  # fmt: skip
    """Cut a piece into windows that overlap, top row first; what none needs to see is left out.

    Parameters
    ----------
    left, bottom, width, height : the box round the piece. view : width and height of a window.
    points : (n, 2), close together along all that must be seen; without any, all windows stay.
        A window is left out when none lies in it up to the middle of its overlaps: its
        neighbours show the rest. What is left always hangs together.
    """
    columns, rows = tile_count(width, view[0], overlap), tile_count(height, view[1], overlap)
    across, down = view[0] - overlap, view[1] - overlap
    spare_x = columns * across + overlap - width
    spare_y = rows * down + overlap - height
    inset = INSET * view[0]
    x0 = left - min(spare_x / 2, inset)
    top = bottom + height + min(spare_y / 2, inset)
    found = [Window(column, row, columns, rows, x0 + column * across, top - view[1] - row * down)
             for row in range(rows) for column in range(columns)]  # fmt: skip
    seen = np.asarray(points, float).reshape(-1, 2)
    column = np.clip((seen[:, 0] - x0 - overlap / 2) // across, 0, columns - 1).astype(int)
    row = np.clip((top - overlap / 2 - seen[:, 1]) // down, 0, rows - 1).astype(int)
    needed = {(int(c), int(r)) for c, r in zip(column, row, strict=True)}
    return [one for one in found if one.place in needed] if _connected(needed) else found


def _connected(places: Iterable[tuple[int, int]]) -> bool:
    """Tell whether the places form one group, edge to edge."""
    left = set(places)
    todo = [left.pop()] if left else []
    while todo:
        column, row = todo.pop()
        for near in ((column + 1, row), (column - 1, row), (column, row + 1), (column, row - 1)):
            if near in left:
                left.remove(near)
                todo.append(near)
    return bool(places) and not left
