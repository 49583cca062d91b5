"""How do the rectangles of the cut list lie on the stock?

In: rectangles with counts, a board's width, the saw kerf. Out: where each one
lies, in rows across the board, and how much board that takes. A plain shelf
layout: not the tightest, but one that can be sawn with straight cuts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Piece:
    """A rectangle to saw `count` times: length along the board's grain, width across [m]."""

    name: str
    length: float
    width: float
    count: int = 1


@dataclass(frozen=True)
class Placed:
    """One rectangle on the board, its lower left corner at (x, y) [m]."""

    name: str
    x: float
    y: float
    length: float
    width: float


@dataclass(frozen=True)
class Nest:
    """A board with everything placed; board_length and board_width [m]; `missing` did not fit."""

    board_length: float
    board_width: float
    placed: tuple[Placed, ...]
    missing: tuple[str, ...]

    @property
    def used_width(self) -> float:
        """How much of the board's width is used [m]."""
        return max((one.y + one.width for one in self.placed), default=0.0)


def nest(pieces: Sequence[Piece], board_length: float, board_width: float, kerf: float) -> Nest:
    """Lay rectangles in rows along a board, the widest first.

    Parameters
    ----------
    board_length, board_width, kerf : [m]; the kerf is kept free between neighbours.

    Returns
    -------
    Nest : pieces keep their grain direction; what finds no place is named in `missing`.
    """
    rows: list[list[float]] = []  # start across, width, used length of every row
    placed, missing = [], []
    singles = [piece for piece in pieces for _ in range(piece.count)]
    for piece in sorted(singles, key=lambda one: (-one.width, -one.length, one.name)):
        if piece.length > board_length + 1e-9:
            missing.append(piece.name)
            continue
        for row in rows:
            fits_along = row[2] + piece.length <= board_length + 1e-9
            if fits_along and piece.width <= row[1] + 1e-9:
                break
        else:
            start = rows[-1][0] + rows[-1][1] + kerf if rows else 0.0
            if start + piece.width > board_width + 1e-9:
                missing.append(piece.name)
                continue
            row = [start, piece.width, 0.0]
            rows.append(row)
        placed.append(Placed(piece.name, row[2], row[0], piece.length, piece.width))
        row[2] += piece.length + kerf
    return Nest(board_length, board_width, tuple(placed), tuple(missing))
