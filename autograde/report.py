"""What the class did, as numbers: what counts for each exercise, and tables for an LMS.

In: the recorded marks of a lesson, what persons gave, and the roster. Out: `ClassReport`, from
which ``report_pages`` makes pages; ``marks/LESSON points.csv`` (a line a learner) and
``marks/LESSON exercises.csv`` (a column an exercise). "not graded" is another thing than 0.
"""

from __future__ import annotations

import csv
import hashlib
import io
import random
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from typing import Any

from autograde.classes import ROSTER, Learner, read_roster
from autograde.course import Course, MarkingError, open_course
from autograde.gradebook import NOT_GRADED, Gradebook, GradebookError, in_a_table
from autograde.likeness import Likeness, likenesses
from autograde.overrides import counted, read_marks, read_overrides
from solarlib.files import about_file, write_whole

BOUNDARIES = (50.0, 70.0, 85.0)  # percent; work this near one is read by a second person
NEAR = 2.0
SAMPLE = 0.10
_BLANK = {"design": None, "credit": None, "waits": 0.0, "cap": None, "text": ""}  # of old records
NO_SLIP = ("empty", "carried", "missing points")  # in the place of a slip, but none


class ClassReport:
    """The marks of one lesson with what persons gave, and what they say about the class."""

    def __init__(self, folder: Path, lesson: str):
        course = open_course(folder, lesson)
        # as it was called, for messages; submissions are found under either
        self.course = Course(folder, course.source, course.limits)
        self.folder, self.source, self.lesson = folder, course.source, course.source.name
        self.marks = read_marks(folder, self.lesson)
        if not self.marks:
            raise MarkingError(f"{self.lesson} is not marked yet; run: python -m autograde grade "
                               f"{folder} {self.lesson}")  # fmt: skip
        roster = folder / ROSTER
        listed = read_roster(roster) if roster.is_file() else []
        known = {learner.id for learner in listed}
        self.roster = [*listed, *(Learner(who) for who in self.marks if who not in known)]
        self.overrides = read_overrides(folder, self.lesson)
        self._by_hand = Gradebook(course.folder).by_hand(self.lesson)
        self._rows: dict[str, list[dict[str, Any]]] = {}

    def rows(self, learner: str) -> list[dict[str, Any]]:
        """Return a learner's marks; `given` is what counts, None while a person must decide."""
        if learner not in self._rows:
            entries = self.overrides.get(learner, {})
            by_hand = self._by_hand.get(learner, {})
            found = []
            for mark in self.marks.get(learner, {}).get("marks", []):
                now = counted(mark, entries, by_hand.get(mark["cell"]))
                found.append({**_BLANK, **mark, "given": now.points, "reason": now.reason, "open": now.waits,
                              "human": _of_criteria(mark, entries)})  # fmt: skip
            self._rows[learner] = found
        return self._rows[learner]

    def percent(self, learner: str) -> float | None:
        """Return the share of the points that are decided [%], None when there are none."""
        rows = [row for row in self.rows(learner) if row["given"] is not None]
        most = sum(row["points"] - row["open"] for row in rows)
        return 100 * sum(row["given"] for row in rows) / most if most else None

    def exercises(self) -> list[tuple[str, str]]:
        """Return (id, title) of every exercise with points, in the lesson's order."""
        first = max(self.marks.values(), key=lambda data: len(data["marks"]))
        return [(m["exercise"], m["title"] or m["exercise"]) for m in first["marks"] if m["points"]]

    def slips(self) -> Counter[tuple[str, str]]:
        """Count recognised slips: (exercise, slip) -> learners."""
        return Counter((row["exercise"], row["slip"]) for who in self.marks
                       for row in self.rows(who) if row["slip"] and row["slip"] not in NO_SLIP)  # fmt: skip

    def parts(self, exercise: str) -> list[str]:
        """Return the headings of the lesson that an exercise builds on: the idea, what explores it."""
        short, found = exercise.rpartition(".")[2], list[str]()
        for cell in self.source.cells:
            if cell.kind in ("answer", "write", "check") and cell.name.rpartition(".")[2] == short:
                break
            for line in cell.source.splitlines() if cell.kind == "text" else ():
                heading = line.removeprefix("## ").strip()
                if not line.startswith("## ") or heading.startswith(("Exercises", "Predict")):
                    continue
                # a new idea begins anew; what explores it belongs to it
                found = [*found, heading] if heading.startswith("Explore") else [heading]
        return found

    def second_reading(self) -> tuple[list[str], list[str]]:
        """Return whom a second person reads: a tenth by lot, and all near a boundary.

        The lot depends on nothing but lesson and ids, so that it falls the same every time.
        """
        names = sorted(self.marks)
        lot = random.Random(hashlib.sha256("\0".join([self.lesson, *names]).encode()).hexdigest())
        chosen = lot.sample(names, max(1, round(SAMPLE * len(names))))
        near = [name for name in names if (percent := self.percent(name)) is not None
                and any(abs(percent - b) <= NEAR for b in BOUNDARIES)]  # fmt: skip
        return sorted(chosen), near

    def likenesses(self) -> list[Likeness]:
        """Return what learners' work has in common, for a person to look at; never a verdict."""
        worked = {who: data for who, data in self.marks.items()
                  if any(mark["slip"] != "empty" for mark in data["marks"])}  # fmt: skip
        return likenesses(self.course, worked)

    def minutes(self) -> dict[str, dict[str, float]]:
        """Return what the logs that came along say: learner -> exercise -> minutes."""
        return {who: data["minutes"] for who, data in self.marks.items() if data.get("minutes")}

    def time_needed(self) -> str:
        """Say how long the lesson took, as far as anybody knows."""
        known = self.minutes()
        if not known:
            return ("Not known: no log of attempts (answers.jsonl) with times was handed in with "
                    "the notebooks.")  # fmt: skip
        totals = [sum(spent.values()) for spent in known.values()]
        single: dict[str, list[float]] = {}
        for spent in known.values():
            for name, minutes in spent.items():
                single.setdefault(name, []).append(minutes)
        titles = {name.rpartition(".")[2]: title for name, title in self.exercises()}
        longest = sorted(single, key=lambda name: -median(single[name]))[:3]
        told = ", ".join(f"{titles.get(n, n)} {median(single[n]):.0f} min" for n in longest)
        missing = len(self.marks) - len(known)
        return (f"By the logs of {len(known)} learners, half of them needed {median(totals):.0f} min "
                f"or less ({min(totals):.0f} to {max(totals):.0f} min) between the first and the last "
                f"try; longer pauses are left out. Longest: {told}. "
                f"Not known for {missing} of {len(self.marks)}.")  # fmt: skip


def _of_criteria(mark: Any, entries: Any) -> dict[str, float]:
    """Return a person's points for criteria of a design: criterion -> points."""
    return {criterion: entry["points"] for (exercise, criterion), entry in entries.items()
            if exercise == mark["exercise"] and criterion}  # fmt: skip


def write_tables(report: ClassReport) -> list[Path]:
    """Write a table of points and one of exercises, as an LMS imports them."""
    points: list[list[Any]] = [["id", "name", "email", "points", "of",
                                "percent of the decided points", "still open"]]  # fmt: skip
    names = [name for name, _ in report.exercises()]
    most = {m["exercise"]: m["points"] for data in report.marks.values() for m in data["marks"]}
    single: list[list[Any]] = [["id", *names], ["points possible", *(most[n] for n in names)]]
    for learner in report.roster:
        rows = report.rows(learner.id)
        given = {row["exercise"]: row["given"] for row in rows}
        percent = report.percent(learner.id)
        points.append([learner.id, learner.name, learner.email,
                       NOT_GRADED if percent is None else
                       round(sum(row["given"] or 0 for row in rows), 4), sum(most.values()),
                       NOT_GRADED if percent is None else round(percent, 1),
                       round(sum(row["open"] for row in rows), 4)])  # fmt: skip
        single.append([learner.id, *(NOT_GRADED if given.get(n) is None else given[n]
                                     for n in names)])  # fmt: skip
    made = []
    for word, table in (("points", points), ("exercises", single)):
        path = report.folder / "marks" / f"{report.lesson} {word}.csv"
        buffer = io.StringIO(newline="")
        csv.writer(buffer).writerows([[in_a_table(cell) for cell in row] for row in table])
        write_whole(path, buffer.getvalue().encode("utf-8-sig"))
        made.append(path)
    return made


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde report FOLDER LESSON`."""
    from autograde.lesson import LessonError
    from autograde.report_pages import write_feedback, write_page

    if len(argv) != 2:
        print("Name the class and the lesson: report FOLDER LESSON")
        return 2
    try:
        report = ClassReport(Path(argv[0]), argv[1])
        tables = write_tables(report)
        page, pages = write_page(report), write_feedback(report)
    except (MarkingError, GradebookError, LessonError) as error:
        print(error)
        return 2
    except OSError as error:
        print(about_file(error))
        return 2
    print(f"The class: {page}. Tables: {', '.join(str(t) for t in tables)}. Feedback: "
          f"{len(pages)} pages in {report.folder / 'feedback-pages'}.")  # fmt: skip
    return 0
