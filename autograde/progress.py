"""Where a learner stands: the progress table, and whether the open notebook is fresh.

In: the log of attempts and the lessons' keys; for `fresh`, the saved notebook
and what this kernel has run. Out: tables and sentences in words.
"""

from __future__ import annotations

import html
import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from autograde import log

if TYPE_CHECKING:
    from autograde.lesson import Source


# --- progress -----------------------------------------------------------------------------------
@dataclass(frozen=True)
class Row:
    """One lesson: its heading, exercises right / tried / in all, points, time of the last try."""

    lesson: str
    right: int
    tried: int
    count: int
    points: float
    most: float
    last: str
    next_step: str
    name: str  # of its notebook, such as "01_parabola"

    @property
    def complete(self) -> bool:
        """Whether every exercise that a machine marks is right."""
        return self.right == self.count


@dataclass(frozen=True)
class Progress:
    """The progress table; shows itself as HTML in Jupyter, as text elsewhere."""

    rows: tuple[Row, ...]
    file: str

    _HEAD = ("lesson", "right", "points", "last try", "next")

    def _cells(self) -> list[tuple[str, ...]]:
        return [
            (
                r.lesson,
                f"{r.right} of {r.count}",
                f"{r.points:g} of {r.most:g}",
                r.last[:16].replace("T", " ") or "not yet",
                r.next_step,
            )
            for r in self.rows
        ]

    @property
    def going_on(self) -> Row | None:
        """The lesson to go on with: the one tried last, else the first incomplete one after it."""
        tried = [(row.last, k) for k, row in enumerate(self.rows) if row.last]
        at = max(tried)[1] if tried else 0
        later = [*self.rows[at:], *self.rows[:at]]
        return next((row for row in later if not row.complete), None)

    @property
    def sentence(self) -> str:
        """The table in one sentence."""
        tried = sum(r.tried for r in self.rows)
        if not tried:
            return "No answers yet. Every answer you check is kept; run this again to see them here."
        right, count = sum(r.right for r in self.rows), sum(r.count for r in self.rows)
        points, most = sum(r.points for r in self.rows), sum(r.most for r in self.rows)
        return (
            f"{right} of {count} exercises are right, {tried} are tried, "
            f"{points:g} of {most:g} points. All tries are kept in {self.file}."
        )

    def __repr__(self) -> str:
        table = [self._HEAD, *self._cells()]
        wide = [max(len(row[i]) for row in table) for i in range(len(self._HEAD))]
        lines = ["  ".join(f"{c:<{w}}" for c, w in zip(row, wide, strict=True)) for row in table]
        return "\n".join([self.sentence, *(line.rstrip() for line in lines)])

    def _repr_html_(self) -> str:
        head = "".join(f'<th scope="col">{h}</th>' for h in self._HEAD)
        body = "".join(
            f'<tr><th scope="row" style="text-align:left">{html.escape(first)}</th>'
            + "".join(f"<td>{html.escape(c)}</td>" for c in rest)
            + "</tr>"
            for first, *rest in self._cells()
        )
        return (
            f'<table><caption style="text-align:left">{html.escape(self.sentence)}</caption>'
            f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
        )


def progress(folder: Path | None = None) -> Progress:
    """Return the progress table from the log of attempts."""
    from autograde.lesson import LessonError, lesson_folders, load

    best: dict[str, float] = {}
    last: dict[str, log.Entry] = {}
    for entry in log.read(folder):
        if entry.slip != "empty":
            best[entry.exercise] = max(entry.credit or 0.0, best.get(entry.exercise, 0.0))
            last[entry.exercise] = entry
    rows = []
    for path in lesson_folders():
        try:
            rows.append(_row(load(path.name), best, last))
        except LessonError:
            continue  # a lesson without a readable key has nothing to count
    place = (folder or log.workspace()) / log.LOG_FILE
    return Progress(tuple(rows), str(place))


def _row(source: Source, best: dict[str, float], last: dict[str, log.Entry]) -> Row:
    lesson = source.key
    marked = [e for e in lesson if e.marked and e.points]
    ids = [lesson.id(e) for e in marked]
    right = [i for i in ids if best.get(i) == 1.0]
    tried = [i for i in ids if i in best]
    times = sorted(last[lesson.id(e)].time for e in lesson if lesson.id(e) in last)
    missing = next((e for e in marked if best.get(lesson.id(e)) != 1.0), None)
    step = "all right"
    if missing:
        step = source.heading(missing.name) or missing.title or missing.name
    points = sum(best.get(lesson.id(e), 0.0) * e.points for e in marked)
    when = times[-1] if times else ""
    most = sum(e.points for e in marked)
    heading = f"{lesson.number:02d} {lesson.title}"
    return Row(heading, len(right), len(tried), len(ids), points, most, when, step, source.name)


# --- is my notebook fresh? ----------------------------------------------------------------------
@dataclass(frozen=True)
class Freshness:
    """Whether what stands in the notebook is what has run, with what to do next."""

    ok: bool
    lines: tuple[str, ...]

    def __repr__(self) -> str:
        return "\n".join(self.lines)

    def _repr_html_(self) -> str:
        return '<div role="status">' + "<br>".join(map(html.escape, self.lines)) + "</div>"


CURE = "Menu Kernel, “Restart Kernel and Run All Cells…” runs everything from the top."


def fresh(notebook: str | Path | None = None) -> Freshness:
    """Tell whether the cells that ran did so in order, as they stand, since this kernel started.

    Parameters
    ----------
    notebook : path of the notebook; found by itself in Jupyter. Save it first, because
        the saved file is what is compared.
    """
    path = Path(notebook) if notebook else _open_notebook()
    if path is None:
        return Freshness(False, ("○ I cannot find this notebook's file. " + CURE,))
    try:
        cells = json.loads(path.read_text(encoding="utf-8-sig"))["cells"]
        code = [c for c in cells if c["cell_type"] == "code" and "".join(c["source"]).strip()]
    except (OSError, ValueError, KeyError, TypeError):
        return Freshness(False, (f"○ {path.name} cannot be read; save it and run this again.",))
    return judge_freshness(code, _ran())


def judge_freshness(code: list[dict[str, Any]], ran: list[str]) -> Freshness:
    """Compare the saved code cells with what the kernel ran (`ran[k]` is what got number k)."""
    done = highest = 0
    waiting: list[str] = []
    problems: list[str] = []
    for place, cell in enumerate(code, start=1):
        source, count = "".join(cell["source"]), cell.get("execution_count") or 0
        label = f"code cell {place} (“{source.strip().splitlines()[0][:50]}”)"
        if "fresh(" in source:
            continue
        if not 0 < count < len(ran):
            waiting.append(f"{label} has not run since the start, but a cell below it has")
            continue
        problems += waiting
        waiting = []
        if ran[count].strip() != source.strip():
            problems.append(f"{label} was changed after it ran")
        if count < highest:
            problems.append(f"{label} ran before a cell above it")
        highest = max(highest, count)
        done += 1
    if problems:
        told = [f"✗ {p[0].upper()}{p[1:]}." for p in problems[:5]]
        return Freshness(False, ("✗ This notebook is not fresh.", *told, CURE))
    if not done and len(ran) > 2:
        return Freshness(False, ("○ What you ran is not in the saved notebook yet; save it (menu File, "
                                 "“Save Notebook”) and run this again.",))  # fmt: skip
    words = f"✓ Fresh: {done} code cells ran in order, {len(waiting)} below them have not run yet."
    return Freshness(True, (words,))


def _open_notebook() -> Path | None:
    named = os.environ.get("JPY_SESSION_NAME", "")
    if named.endswith(".ipynb") and Path(named).is_file():
        return Path(named)
    here = Path(Path(named).name) if named.endswith(".ipynb") else None
    if here and here.is_file():
        return here
    found = sorted(Path.cwd().glob("*.ipynb"))
    return found[0] if len(found) == 1 else None


def _ran() -> list[str]:
    """Return what this kernel has run, by its number in the square brackets."""
    try:
        from IPython import get_ipython
    except ImportError:
        return []
    shell = get_ipython()
    history = shell.user_ns.get("In", []) if shell else []
    return [str(source) for source in history]
