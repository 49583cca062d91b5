"""All marked lessons of a class beside each other: who has how many points, and what is open.

In: a class's folder. Out: ``marks/all lessons.html`` and ``marks/all lessons.csv``, a line a learner
and a column a lesson. "not handed in" and "not graded" are other things than 0 points.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from autograde.classes import Learner
from autograde.course import MarkingError
from autograde.due import late_in_words
from autograde.gradebook import AREA
from autograde.html_page import e, link, table, write_page
from autograde.lesson import lesson_folders
from autograde.report import ClassReport
from autograde.tables import NOT_GRADED, write_table

_NAME = "all lessons"


def marked_lessons(folder: Path) -> list[ClassReport]:
    """Return a report of every lesson of a class that is marked, in the course's order.

    Raises
    ------
    MarkingError : no lesson is marked yet.
    """
    marks = folder / AREA / "marks"
    found = [ClassReport(folder, path.name) for path in lesson_folders()
             if any((marks / path.name).glob("*.json"))]  # fmt: skip
    if not found:
        raise MarkingError(f"No lesson of {folder} is marked yet; run: python -m autograde grade "
                           f"{folder} LESSON")  # fmt: skip
    return found


def write_all(folder: Path) -> tuple[Path, Path]:
    """Write the page and the table over all marked lessons; return where they are."""
    reports = marked_lessons(folder)
    roster = {learner.id: learner for one in reports for learner in one.roster}
    learners = list(roster.values())
    home = folder / "marks"
    return _page(home / f"{_NAME}.html", reports, learners), write_table(
        home / f"{_NAME}.csv", _rows(reports, learners)
    )


def _most(report: ClassReport) -> float:
    """Return the points of a lesson, also of one that nobody wrote anything for."""
    return sum(cell.points for cell in report.source.cells)


def _rows(reports: list[ClassReport], learners: list[Learner]) -> list[list[Any]]:
    names, most = [one.lesson for one in reports], [_most(one) for one in reports]
    rows: list[list[Any]] = [["id", "name", "email", *names, "points", "of", "still open"],
                             ["points possible", "", "", *most, sum(most), sum(most), ""]]  # fmt: skip
    for learner in learners:
        sums = [one.sums(learner.id) if learner.id in one.marks else None for one in reports]
        rows.append([learner.id, learner.name, learner.email,
                     *(NOT_GRADED if s is None else s.total for s in sums),
                     round(sum(s.total for s in sums if s), 4), sum(most),
                     round(sum(s.open for s in sums if s), 4)])  # fmt: skip
    return rows


def _page(path: Path, reports: list[ClassReport], learners: list[Learner]) -> Path:
    heads = ["learner", *(f"{one.lesson}, of {_most(one):g}" for one in reports),
             f"together, of {sum(map(_most, reports)):g}", "waits for a reader"]  # fmt: skip
    rows = []
    for learner in learners:
        sums = [one.sums(learner.id) for one in reports]
        rows.append([e(learner.id), *(_cell(one, learner.id) for one in reports),
                     f"{sum(s.total for s in sums):g}", f"{sum(s.open for s in sums):g}"])  # fmt: skip
    pages = ", ".join(link(f"{one.lesson}.html", one.source.key.title) for one in reports
                      if (path.parent / f"{one.lesson}.html").is_file())  # fmt: skip
    body = ("<p>Points that are given so far, by the program and by readers. Work that is not handed in "
            "counts as no points in the sum.</p>"
            + table("Every learner, every marked lesson", heads, rows)
            + (f"<p>Pages of single lessons: {pages}.</p>" if pages else ""))  # fmt: skip
    return write_page(path, "All marked lessons: the class", body)


def _cell(report: ClassReport, who: str) -> str:
    if who not in report.marks:
        return "not handed in"
    sums, late = report.sums(who), late_in_words(report.handed_in(who).seconds_late)
    parts = [f"{sums.total:g}", *([f"{sums.open:g} wait"] if sums.open else []),
             *([f"{late} late"] if late else [])]  # fmt: skip
    return e(", ".join(parts))
