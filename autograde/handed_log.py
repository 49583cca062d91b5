"""What the log of attempts tells that a learner handed in: last answers, and minutes spent.

In: the bytes of ``answers.jsonl``, written by a learner's computer and so not believed. Out: plain
data under limits. Nothing in it gives points: a credit written there is not read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from autograde import plain
from autograde.log import LOG_FILE

PAUSE_MIN = 30.0  # between two tries; a longer one is not counted as work
_MOST_LINES = 20_000


@dataclass(frozen=True)
class Try:
    """One line: lesson and short name of the exercise, the answer, when; given: not left empty."""

    lesson: str
    name: str
    answer: Any
    given: bool
    moment: datetime | None


def tries(raw: bytes, notes: list[str]) -> list[Try]:
    """Return the tries of a log, oldest first; lines that cannot be read are counted in a note."""
    found = []
    damaged = 0
    for line in raw.splitlines()[-_MOST_LINES:]:
        if not line.strip():
            continue
        try:
            entry = plain.read(line)
            lesson, _, name = entry["exercise"].partition(".")
            found.append(Try(lesson, name, plain.accept(entry["answer"]),
                             entry.get("slip") != "empty", _moment(entry)))  # fmt: skip
        except (plain.PlainError, KeyError, TypeError, AttributeError):
            damaged += 1
    if damaged:
        notes.append(f"{damaged} lines of {LOG_FILE} cannot be read and were passed over.")
    return found


def _moment(entry: Mapping[str, Any]) -> datetime | None:
    try:
        moment = datetime.fromisoformat(entry["time"]).replace(tzinfo=None)
    except (KeyError, TypeError, ValueError):
        return None
    return moment if 2000 <= moment.year < 2200 else None


def last_answers(found: Sequence[Try], slug: str) -> dict[str, Any]:
    """Return the last answer to each exercise of a lesson: short name -> answer."""
    return {one.name: one.answer for one in found if one.given and one.lesson == slug}


def minutes(found: Sequence[Try], slug: str) -> dict[str, float]:
    """Return the minutes between each try and the one before, summed by exercise of a lesson.

    A pause of more than half an hour is no work, and neither is a clock that was put back.
    """
    timed = [(one, one.moment) for one in found if one.moment is not None]
    spent: dict[str, float] = {}
    for (_, before), (one, moment) in pairwise(timed):
        gap = (moment - before).total_seconds() / 60
        if one.lesson == slug and 0 <= gap <= PAUSE_MIN:
            spent[one.name] = spent.get(one.name, 0.0) + gap
    return {name: round(gap, 2) for name, gap in spent.items()}
