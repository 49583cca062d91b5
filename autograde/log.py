"""The log of attempts: one line per try in ``answers.jsonl``, only ever added to.

In: an exercise id, the answer as plain data, the verdict. Out: the history and
the last answer of an exercise. Widgets and cell outputs get lost; this file does
not, and two notebooks may write to it at the same time.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from autograde.numbers import CARD_FILE

LOG_FILE = "answers.jsonl"
NO_TRY = ("empty", "unreadable")  # a slip of the keyboard is no wrong answer
_LEVELS = 3  # how far above a notebook its workspace may lie


@dataclass(frozen=True)
class Entry:
    """One try: when (local ISO time), which exercise, the answer as plain data, what it got."""

    time: str
    exercise: str
    answer: Any
    credit: float | None
    slip: str | None

    @property
    def clock(self) -> str:
        """Return the clock time, such as "14:02"."""
        return self.time[11:16]


def workspace() -> Path:
    """Return the learner's workspace: where the log or the card lies, at or above this folder.

    The environment variable AUTOGRADE_WORKSPACE decides when it is set; without
    any trace of a workspace it is the current folder.
    """
    named = os.environ.get("AUTOGRADE_WORKSPACE")
    if named:
        return Path(named)
    here = Path.cwd()
    for folder in (here, *list(here.parents)[:_LEVELS]):
        if (folder / LOG_FILE).is_file() or (folder / CARD_FILE).is_file():
            return folder
    return here


def append(
    exercise: str,
    answer: Any,
    credit: float | None,
    slip: str | None,
    folder: Path | None = None,
) -> Entry:
    """Add one try to the log and return it; OSError when the folder cannot be written."""
    entry = Entry(datetime.now().isoformat(timespec="seconds"), exercise, answer, credit, slip)
    line = json.dumps(vars(entry), ensure_ascii=True, allow_nan=False)
    path = (folder or workspace()) / LOG_FILE
    from solarlib.files import append_line

    append_line(path, line)
    return entry


def read(folder: Path | None = None) -> list[Entry]:
    """Return all tries, oldest first; a damaged line is passed over, nothing is changed."""
    path = (folder or workspace()) / LOG_FILE
    try:
        state = path.stat()
        return list(_read(path, state.st_size, state.st_mtime_ns))
    except OSError:
        return []


@lru_cache(maxsize=4)
def _read(path: Path, size: int, changed_ns: int) -> tuple[Entry, ...]:
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    return tuple(entry for line in lines if (entry := _entry(line)))


def _entry(line: str) -> Entry | None:
    try:
        data = json.loads(line)
        credit = data["credit"]
        if not (credit is None or isinstance(credit, int | float)):
            return None
        slip = data["slip"] if isinstance(data["slip"], str) else None
        return Entry(str(data["time"]), str(data["exercise"]), data["answer"], credit, slip)
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def history(exercise: str, folder: Path | None = None) -> list[Entry]:
    """Return the tries of one exercise, oldest first."""
    return [entry for entry in read(folder) if entry.exercise == exercise]


def misses(exercise: str, folder: Path | None = None) -> list[Entry]:
    """Return the wrong tries since the last right one (or since the start), oldest first."""
    found: list[Entry] = []
    for entry in history(exercise, folder):
        if entry.slip not in NO_TRY:
            found = [] if entry.credit == 1.0 else [*found, entry]
    return found


def last(exercise: str, folder: Path | None = None) -> Entry | None:
    """Return the last answer given to an exercise, None without one."""
    tries = [entry for entry in history(exercise, folder) if entry.slip != "empty"]
    return tries[-1] if tries else None
