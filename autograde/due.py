"""When work is due, and how late something came: told to people, never punished by a machine.

In: a date in words, or the table ``due.csv`` of a class's folder (``lesson,due``; an instructor may
write it by hand). Out: moments with their time zone. A date without a time means the end of that
day on this machine's clock. nbgrader's database keeps the same date.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from autograde.lesson import find
from solarlib.commands import Refusal
from solarlib.files import why, write_whole

FILE = "due.csv"
NONE = "none"
_YEARS = range(2000, 2200)


class DueError(Refusal):
    """A due date, or the table of them, cannot be read; the message is one sentence."""


def read_moment(text: str) -> datetime | None:
    """Read a due date, None for “none”; DueError, in one sentence, for anything else."""
    word = text.strip()
    if word.lower() == NONE:
        return None
    try:
        moment = datetime.fromisoformat(word)
        if moment.year not in _YEARS:
            raise ValueError
        if len(word) <= len("2026-12-01"):
            moment = moment.replace(hour=23, minute=59, second=59)
        return moment.astimezone() if moment.tzinfo is None else moment
    except (ValueError, OverflowError, OSError):
        shown = word if len(word) <= 60 else f"{word[:40]}…"
        raise DueError(
            f"“{shown}” is no due date; write year-month-day from 2000 to 2199, like 2026-12-01, "
            "with a time if you like, as in 2026-12-01T16:00, or none."
        ) from None


def read_due(folder: Path) -> dict[str, datetime | None]:
    """Return the due dates of a class: name of the lesson -> moment; None where it was taken away.

    Raises
    ------
    DueError : the table cannot be read; the message names the line.
    """
    path = folder / FILE
    if not path.is_file():
        return {}
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise DueError(f"{path} cannot be read ({why(error)}); save it as CSV in UTF-8, or "
                           "delete it.") from None  # fmt: skip
    found: dict[str, datetime | None] = {}
    for number, line in enumerate(lines, start=1):
        lesson, _, due = line.replace(";", ",").partition(",")
        if not line.strip() or (number == 1 and lesson.strip().lower() == "lesson"):
            continue
        try:
            found[find(lesson.strip()).name] = read_moment(due)
        except Refusal as error:
            raise DueError(f"{path}, line {number}: {error}") from None
    return found


def set_due(folder: Path, lessons: Sequence[str], text: str) -> str:
    """Write down when lessons are due, the others stay; return what was done, in words."""
    moment = read_moment(text)
    names = [find(lesson).name for lesson in lessons]
    table = {**read_due(folder), **dict.fromkeys(names, moment)}
    rows = [["lesson", "due"], *([name, in_words(due) if due else NONE]
                                 for name, due in sorted(table.items()))]  # fmt: skip
    text_of_table = io.StringIO(newline="")
    csv.writer(text_of_table).writerows(rows)
    write_whole(folder / FILE, text_of_table.getvalue().encode())
    until = f"due {in_words(moment)}" if moment else "due at no fixed time"
    return f"{', '.join(names)}: {until}, as {FILE} says."


def in_words(moment: datetime) -> str:
    """Write a moment as people and this module read it, by this machine's clock."""
    return f"{moment.astimezone():%Y-%m-%d %H:%M}"


def late_in_words(seconds: float) -> str:
    """Say how late something came, "" when it did not."""
    if seconds <= 0:
        return ""
    hours, minutes = divmod(max(1, round(seconds / 60)), 60)
    days, hours = divmod(hours, 24)
    if days:
        return f"{days} d {hours} h"
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"
