"""What does the library answer to each published value, and is it close enough?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from solarlib.evidence.table import Row, rows

SUBJECTS = ("geometry", "optics", "sun", "water", "heat", "hazards", "system")


def questions(subject: str) -> tuple[dict[str, Callable[[Any], float]], dict[str, str]]:
    """Return a subject's questions, and the rows it leaves out with the reason."""
    module = import_module(f"solarlib.evidence.{subject}")
    return module.ASK, module.LEFT_OUT


@dataclass(frozen=True)
class Answer:
    """A published value beside the library's: `got` in the row's unit, None for a row left out."""

    row: Row
    got: float | None
    remark: str = ""

    @property
    def agrees(self) -> bool | None:
        """True or False; None for a row left out."""
        if self.got is None:
            return None
        return bool(abs(self.got - self.row.expected) <= self.row.tolerance)


def answer(row: Row) -> Answer:
    """Ask the library for one published value.

    Parameters
    ----------
    row : the published value.

    Returns
    -------
    Answer : what the library says, in the row's unit.

    Raises
    ------
    LookupError : nobody has written the question for this row, nor why it is left out.

    Example
    -------
    >>> from solarlib.evidence import row
    >>> answer(row("geo-001")).agrees
    True
    """
    ask, left_out = questions(row.module)
    if row.id in left_out:
        return Answer(row, None, left_out[row.id])
    question = ask.get(row.id) or ask.get(row.quantity)
    if question is None:
        raise LookupError(f"Nothing answers row {row.id}, “{row.quantity}”, of {row.module}.")
    return Answer(row, float(question(row.inputs)))


def answers() -> list[Answer]:
    """Ask for all of them, in the table's order.

    Returns
    -------
    Answer for every row.

    Raises
    ------
    LookupError : a row that nobody asks.

    Example
    -------
    >>> any(one.agrees is False for one in answers())
    False
    """
    return [answer(row) for row in rows()]
