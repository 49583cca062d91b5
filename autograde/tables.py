"""Tables as a spreadsheet or an LMS opens them: CSV in which no cell can run.

In: rows of numbers and texts. Out: a file, written whole or not at all. "not graded" is another
thing than 0.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from solarlib.files import write_whole

NOT_GRADED = "not graded"


def in_a_table(value: Any) -> Any:
    """Return a value as a spreadsheet shows it and never runs it."""
    if not isinstance(value, str):
        return value
    text = "".join(c if c.isprintable() else " " for c in value)
    return f"'{text}" if text.lstrip().startswith(("=", "+", "-", "@", "|", "%")) else text


def write_table(path: Path, rows: Iterable[Sequence[Any]]) -> Path:
    """Write rows as CSV, with the mark by which a spreadsheet knows UTF-8; return where."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows([in_a_table(value) for value in row] for row in rows)
    write_whole(path, text.getvalue().encode("utf-8-sig"))
    return path
