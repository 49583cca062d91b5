"""Check a whole notebook from a fresh process, or one answer from the command line.

In: a notebook's path, or an exercise id and a text. Out: one line per exercise
and the exit code, 0 when all are right. The notebook's code runs in this process
from top to bottom, so an answer that only held in a stale kernel shows up here.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from autograde import log
from autograde.asking import NOT_GIVEN, ask
from autograde.borrowed import borrows
from autograde.cells import WRITE_HERE
from autograde.check import CourseError, answer, card_of, earlier_numbers
from autograde.lesson import LessonError, exercise
from autograde.outdoors import SIGNED, sign
from autograde.verdict import heading
from solarlib.commands import CommandError, cannot
from solarlib.files import why

_CHECK = re.compile(r"""^\s*check\(\s*["']([\w.]+)["']""", re.MULTILINE)
_TEXT_ANSWER = re.compile(r"answer\s+([\w.]+)\s*:(.+)", re.IGNORECASE)  # of one stripped line


@dataclass(frozen=True)
class Line:
    """What one check of the notebook gave."""

    exercise: str
    credit: float | None
    points: float
    text: str


def text_answers(sources: Sequence[str]) -> dict[str, str]:
    """Return the answers that text cells hold in lines like ``answer depth: 150.6 mm``."""
    found = {}
    for source in sources:
        for line in source.splitlines():
            match = _TEXT_ANSWER.fullmatch(line.strip())
            if match and match[2].strip():
                found[match[1].rpartition(".")[2]] = match[2].strip()
    return found


def try_notebook(path: Path) -> Iterator[Line]:
    """Run a notebook's cells in order and judge each check in its place."""
    try:
        cells = json.loads(Path(path).read_text(encoding="utf-8-sig"))["cells"]
        sources = [(c["cell_type"], "".join(c["source"])) for c in cells]
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise LessonError(f"{path} cannot be read as a notebook ({why(error)}); name one that "
                          "Jupyter can open.") from None  # fmt: skip
    written = text_answers([text for kind, text in sources if kind == "markdown"])
    written |= _written_cells(cells)
    space: dict[str, Any] = {"__name__": "__main__"}
    for place, (kind, source) in enumerate(sources, start=1):
        if kind != "code":
            continue
        asked = _CHECK.findall(source)
        if not asked:
            trouble = _run(source, space, f"<cell {place}>")
            if trouble:
                yield Line("", 0.0, 0.0, f"✗ Cell {place} stopped with {trouble}")
        for full_id in asked:
            try:
                lesson, record = exercise(full_id)
            except LessonError as error:
                yield Line(full_id, 0.0, 0.0, f"○ {error}")
                continue
            yield _line(lesson, record, space, written)


def _written_cells(cells: list[dict[str, Any]]) -> dict[str, str]:
    """Return what stands in the cells that are answered in words (name -> text)."""
    found = {}
    for cell in cells:
        name = cell.get("metadata", {}).get("nbgrader", {}).get("grade_id", "")
        _, mark, short = str(name).partition("-write-")
        text = "".join(cell["source"])
        if mark and text.strip() != WRITE_HERE:
            found[short] = text
    return found


def _line(lesson: Any, record: Any, space: dict[str, Any], written: dict[str, str]) -> Line:
    full_id, earlier = lesson.id(record), earlier_numbers(lesson, space)
    try:
        card = card_of(lesson)
    except CourseError as error:
        raise LessonError(str(error)) from None
    last = log.last(full_id)
    for value in (NOT_GIVEN, written.get(record.name, ""), last.answer if last else ""):
        values, given = ask(lesson, record, value, space, card, seed=0)
        verdict = record.judge(values, card, earlier)
        if not verdict.empty:
            break
    if record.kind == "function" and verdict.credit and borrows(given):
        verdict = record.borrowed()
    words = f"{heading(verdict.credit, verdict.empty)}: {full_id}. {verdict.says}"
    return Line(full_id, verdict.credit, record.points if record.marked else 0.0, words)


def _run(source: str, space: dict[str, Any], name: str) -> str:
    """Run one cell; return what stopped it, "" when it ran."""
    import linecache

    if re.search(r"^\s*[%!]|^\s*\w+\?", source, re.MULTILINE):
        from IPython.core.inputtransformer2 import TransformerManager

        space.setdefault("get_ipython", lambda: None)
        source = TransformerManager().transform_cell(source)
    # so that inspect finds the source of functions written in the cell
    linecache.cache[name] = (len(source), None, source.splitlines(True), name)
    try:
        with contextlib.redirect_stdout(io.StringIO()):
            exec(compile(source, name, "exec"), space)
    except BaseException as error:  # a learner's cell may raise anything, SystemExit too
        if isinstance(error, KeyboardInterrupt):
            raise
        return f"{type(error).__name__}: {error}"[:300]
    return ""


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde try NOTEBOOK`; exit code 0 only when every answer is right."""
    if len(argv) != 1:
        raise CommandError("Name one notebook, like: python -m autograde try 01_parabola.ipynb")
    path = Path(argv[0]).resolve()
    before = os.getcwd()
    os.environ["AUTOGRADE_MARKING"] = "1"  # explorers and predictions stay quiet
    got = most = 0.0
    try:
        if path.is_file():
            os.chdir(path.parent)
        lines = []
        for line in try_notebook(path):
            print(line.text)
            got, most = got + (line.credit or 0.0) * line.points, most + line.points
            lines.append(line)
    finally:
        os.chdir(before)
        del os.environ["AUTOGRADE_MARKING"]
    print(f"{got:g} of {most:g} points.")
    return 0 if lines and all(line.credit in (1.0, None) for line in lines) else 1


def main_answer(argv: Sequence[str]) -> int:
    """Run `python -m autograde answer ID "TEXT"` (or @FILE); exit code 0 when it is recorded."""
    if len(argv) != 2:
        raise CommandError('Give an exercise and an answer, like: answer parabola.depth "150.6 mm"')
    from solarlib import heating_test

    exercise_id, text = argv[0], os.fsencode(argv[1]).decode("utf-8", "replace")  # in any locale
    if text.startswith("@"):
        text = heating_test.read_text(text[1:])
    if exercise_id == SIGNED:
        before = log.history(SIGNED)
        said = sign(text)
        if len(log.history(SIGNED)) == len(before):
            return cannot(said)
        print(said)
        return 0
    result = answer(exercise_id, text)
    if result.slip == "trouble":
        return cannot(result.verdict.says)
    print(result.text)
    return 0
