"""Lesson texts into notebooks, and a course folder in nbgrader's layout.

In: `Source` (a lesson read by `autograde.lesson`). Out: notebooks as plain
JSON, the same bytes every time: solved (for instructors) or released (no
solution in them), with nbgrader's metadata. Keys and hidden inputs are in none.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from autograde.cells import LEFT_OUT, Cell, LessonError
from autograde.lesson import Source, lesson_folders, load
from autograde.outdoors import Outdoors
from solarlib.commands import CommandError
from solarlib.files import write_whole

_PREFIX = {"text": "text", "code": "code", "explorer": "explore"}


def cell_id(slug: str, cell: Cell) -> str:
    """Return the fixed id of a cell, also nbgrader's name for it: "parabola-answer-depth"."""
    name = cell.name.removeprefix(f"{slug}.")
    return f"{slug}-{_PREFIX.get(cell.kind, cell.kind)}-{name}".replace(".", "_")[:64]


def notebook(source: Source, solved: bool = False) -> dict[str, Any]:
    """Return a lesson as notebook data (nbformat 4.5)."""
    return {
        "cells": [_cell(source.slug, cell, solved) for cell in source.cells],
        "metadata": {
            "kernelspec": {
                "display_name": "Python 3 (ipykernel)",
                "language": "python",
                "name": "python3",
            },
            "language_info": {"name": "python"},
        },
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def _cell(slug: str, cell: Cell, solved: bool) -> dict[str, Any]:
    name = cell_id(slug, cell)
    graded = cell.points > 0
    learner = cell.kind in ("answer", "write")
    grading: dict[str, Any] = {
        "grade": graded,
        "grade_id": name,
        "locked": not learner,
        "schema_version": 3,
        "solution": learner,
        "task": False,
    }
    if graded:
        grading["points"] = cell.points
    metadata: dict[str, Any] = {"deletable": False, "nbgrader": grading}
    if not learner:
        metadata["editable"] = False
    if cell.kind == "explorer" or cell.name == "outdoors":
        metadata["jupyter"] = {"source_hidden": True}
    text = cell.solved if solved else cell.released
    made: dict[str, Any] = {"id": name, "metadata": metadata, "source": text.splitlines(True)}
    if cell.is_markdown:
        return {"cell_type": "markdown", **made}
    outputs = _still(cell.name) if cell.kind == "explorer" else _folded(cell)
    return {"cell_type": "code", "execution_count": None, **made, "outputs": list(outputs)}


@lru_cache(maxsize=64)
def _still(name: str) -> tuple[dict[str, Any], ...]:
    """Return the still picture of an explorer as a saved output, none when it cannot be drawn."""
    explorer = _explorer(name)
    if explorer is None:
        return ()
    made = explorer()
    data = {
        "text/html": made.still_html().splitlines(True),
        "text/plain": made.still_text().splitlines(True),
    }
    return ({"data": data, "metadata": {}, "output_type": "display_data"},)


def _folded(cell: Cell) -> list[dict[str, Any]]:
    """Return the folded steps of a cell called "outdoors" as a saved output."""
    if cell.name != "outdoors":
        return []
    shown = eval(cell.source, {"outdoors": lambda *steps, first: Outdoors(steps, tuple(first))})
    data = {"text/html": shown.still().splitlines(True)}
    return [{"data": data, "metadata": {}, "output_type": "display_data"}]


def _explorer(name: str) -> Any:
    try:
        import solarlib.explorers as explorers
    except ImportError:
        return None
    return getattr(explorers, f"explore_{name}", None)


def notes(source: Source) -> list[str]:
    """Say what a lesson still lacks without being wrong: explorers that are not there."""
    return [
        f"{source.folder / 'lesson.py'}:{cell.line}: explorer “{cell.name}” is not in "
        "solarlib.explorers; its picture is left out."
        for cell in source.cells
        if cell.kind == "explorer" and _explorer(cell.name) is None
    ]


def as_bytes(data: dict[str, Any]) -> bytes:
    """Return notebook data as Jupyter itself writes it, so that rebuilding gives the same bytes."""
    return (json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode()


def write_notebook(data: dict[str, Any], path: Path) -> None:
    """Write notebook data to a file."""
    write_whole(path, as_bytes(data))


def course(folder: Path, lessons: Sequence[str] = (), root: Path | None = None) -> list[str]:
    """Make or renew a course folder; return what was done.

    It holds source/ and release/, teacher/ with a page for each lesson, nbgrader_config.py.

    Only files this function writes are replaced; an nbgrader_config.py that
    somebody changed stays, and the report says so.
    """
    folder = Path(folder).resolve()
    if (folder / "lesson.py").exists() or any(_holds_texts(p) for p in (folder, *folder.parents)):
        raise LessonError(
            f"{folder} lies inside the lesson texts; name a folder of its own, such as class."
        )
    names = list(lessons) or [path.name for path in lesson_folders(root)]
    report = []
    for name in names:
        source = load(name, root)
        report += notes(source)
        for variant, solved in (("source", True), ("release", False)):
            target = folder / variant / source.name
            write_notebook(notebook(source, solved), target / f"{source.name}.ipynb")
            for path in source.data:
                write_whole(target / path.name, path.read_bytes())
        page = source.folder / "teacher.md"
        if page.is_file():  # beside source/, not in it: nbgrader hands out what lies there
            write_whole(folder / "teacher" / f"{source.name}.md", page.read_bytes())
        report.append(f"{source.name}: built, {len(source.key.exercises)} exercises.")
        if any(LEFT_OUT in cell.source for cell in source.cells):
            report.append(f"{source.name}: source/ is as handed out; an installed course carries "
                          "no solutions, its source folder does.")  # fmt: skip
    report.append(_write_config(folder))
    return report


def _holds_texts(folder: Path) -> bool:
    return folder.name == "lessons" and any(folder.glob("[0-9][0-9]_*/key.py"))


def _write_config(folder: Path) -> str:
    from autograde.gradebook import config_text

    path, wanted = folder / "nbgrader_config.py", config_text()
    if path.is_file() and path.read_text(encoding="utf-8") != wanted:
        return f"{path.name}: yours is kept; delete it and build again to get the course's own."
    write_whole(path, wanted.encode())
    return f"{path.name}: written."


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde build [FOLDER] [LESSON ...]`; return the exit code."""
    if argv and argv[0].startswith("-"):
        raise CommandError(f"{argv[0]} is not known; name a folder, and lessons if not all are meant.")
    folder = Path(argv[0]) if argv else Path("class")
    for line in course(folder, list(argv[1:])):
        print(line)
    print(f"The course is in {folder.resolve()}: hand out release/; source/ and teacher/ "
          "are yours.")
    return 0
