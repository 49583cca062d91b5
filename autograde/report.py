"""What the class did, as numbers: what counts for each exercise, and tables for an LMS.

In: the recorded marks of a lesson, what persons gave, and the roster. Out: `ClassReport`, from
which other modules make pages; ``marks/LESSON points.csv`` (a line a learner) and
``marks/LESSON exercises.csv`` (a column an exercise). "not graded" is another thing than 0.
"""

from __future__ import annotations

import hashlib
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from typing import Any

from autograde.classes import ROSTER, Learner, read_roster
from autograde.course import Course, MarkingError, open_course
from autograde.due import in_words
from autograde.gradebook import Gradebook, Times
from autograde.likeness import Likeness, likenesses
from autograde.mark_words import left_to_a_person
from autograde.overrides import cells_with_points, counted, read_marks, read_overrides
from autograde.tables import NOT_GRADED, write_table
from solarlib.commands import CommandError

BOUNDARIES = (50.0, 70.0, 85.0)  # percent; work this near one is read by a second person
NEAR = 2.0
SAMPLE = 0.10
_BLANK = {"design": None, "credit": None, "waits": 0.0, "cap": None, "text": "",
          "answer": ""}  # of old records  # fmt: skip
NO_SLIP = ("empty", "carried", "missing points")  # in the place of a slip, but none


@dataclass(frozen=True)
class Sums:
    """What a learner has: points of the program's part and of a person's part, with what is open.

    got, of : where the program marks. given, by_person : where only a person can.
    open : points that still wait for a reader. unwritten : for which there is nothing to read.
    """

    got: float
    of: float
    given: float
    by_person: float
    open: float
    unwritten: float

    @property
    def total(self) -> float:
        """All points given so far."""
        return round(self.got + self.given, 4)

    @property
    def told(self) -> str:
        """The points in words, with the same “of” for everybody in a class."""
        words = f"{self.got:g} of {self.of:g} points for what the program marks"
        if not self.by_person:
            return f"{words}."
        read = f"{self.given:g} of {self.by_person:g} from a reader"
        if self.unwritten == self.by_person and not self.given:
            return f"{words}; nothing was written for a reader."
        if not self.open:
            return f"{words}, {read}: {self.total:g} of {self.of + self.by_person:g} points together."
        decided = self.by_person - self.open
        read = f"{read}, and {self.open:g} still wait" if decided else f"{self.open:g} wait for a reader"
        return f"{words}; {read}."


class ClassReport:
    """The marks of one lesson with what persons gave, and what they say about the class."""

    def __init__(self, folder: Path, lesson: str, gradebook: Gradebook | None = None):
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
        gradebook = gradebook or Gradebook(course.folder)
        self._by_hand = gradebook.by_hand(self.lesson)
        self._times = gradebook.times(self.lesson)
        self._cells = cells_with_points(self.source)
        self._rows: dict[str, list[dict[str, Any]]] = {}

    def rows(self, learner: str) -> list[dict[str, Any]]:
        """Return a learner's marks; `given` is what counts, None while a person must decide."""
        if learner not in self._rows:
            entries = self.overrides.get(learner, {})
            by_hand = self._by_hand.get(learner, {})
            found = []
            for mark in self.marks.get(learner, {}).get("marks", []):
                cell = self._cells.get(mark["exercise"], mark["cell"])
                now = counted(mark, entries, by_hand.get(cell))
                found.append({**_BLANK, **mark, "given": now.points, "reason": now.reason, "open": now.waits,
                              "human": _of_criteria(mark, entries)})  # fmt: skip
            self._rows[learner] = found
        return self._rows[learner]

    def percent(self, learner: str) -> float | None:
        """Return the share of the points that are decided [%], None when there are none."""
        rows = [row for row in self.rows(learner) if row["given"] is not None]
        most = sum(row["points"] - row["open"] for row in rows)
        return 100 * sum(row["given"] for row in rows) / most if most else None

    def sums(self, learner: str) -> Sums:
        """Return a learner's points, the program's part and a person's part apart."""
        got = of = given = by_person = still_open = unwritten = 0.0
        for row in self.rows(learner):
            human = left_to_a_person(self.source.key.exercise(row["exercise"]))
            now = row["given"] or 0.0
            from_program = min(now, row["points"] - human)
            got, of = got + from_program, of + row["points"] - human
            given, by_person = given + now - from_program, by_person + human
            still_open += row["open"]
            unwritten += human if row["slip"] == "empty" else 0.0
        return Sums(*(round(n, 4) for n in (got, of, given, by_person, still_open, unwritten)))

    def handed_in(self, learner: str) -> Times:
        """Return when a learner handed in, as far as anybody knows, and how late."""
        return self._times.get(learner, Times())

    def missing(self) -> list[str]:
        """Return who is on the roster and has no marked work."""
        return [learner.id for learner in self.roster if learner.id not in self.marks]

    def numbered(self, exercise: str) -> str:
        """Return the heading of an exercise in the lesson, such as “8 In your own words”."""
        return self.source.heading(exercise.rpartition(".")[2])

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


def by_this_clock(moment: datetime | None) -> str:
    """Write a moment of the gradebook, which is UTC, by this machine's clock; "" for none."""
    return in_words(moment.replace(tzinfo=UTC)) if moment else ""


def write_tables(report: ClassReport) -> list[Path]:
    """Write a table of points and one of exercises, as an LMS imports them."""
    points: list[list[Any]] = [["id", "name", "email", "points", "of", "percent of the decided points",
                                "still open", "handed in", "hours late"]]  # fmt: skip
    names = [name for name, _ in report.exercises()]
    most = {m["exercise"]: m["points"] for data in report.marks.values() for m in data["marks"]}
    single: list[list[Any]] = [["id", *names], ["points possible", *(most[n] for n in names)]]
    for learner in report.roster:
        rows = report.rows(learner.id)
        given = {row["exercise"]: row["given"] for row in rows}
        percent, times = report.percent(learner.id), report.handed_in(learner.id)
        points.append([learner.id, learner.name, learner.email,
                       NOT_GRADED if percent is None else
                       round(sum(row["given"] or 0 for row in rows), 4), sum(most.values()),
                       NOT_GRADED if percent is None else round(percent, 1),
                       round(sum(row["open"] for row in rows), 4),
                       by_this_clock(times.handed_in), round(times.seconds_late / 3600, 2)])  # fmt: skip
        single.append([learner.id, *(NOT_GRADED if given.get(n) is None else given[n]
                                     for n in names)])  # fmt: skip
    home = report.folder / "marks"
    return [write_table(home / f"{report.lesson} {word}.csv", table)
            for word, table in (("points", points), ("exercises", single))]  # fmt: skip


def renew(folder: Path, lesson: str, learner: str) -> str:
    """Write tables and a learner's page anew after a person gave points; say so in one sentence."""
    from autograde.feedback_pages import write_feedback

    report = ClassReport(folder, lesson)
    notes = {who: data["notes"] for who, data in report.marks.items()}
    tables = [Gradebook(report.course.folder).write_table(report.source, notes), *write_tables(report)]
    write_feedback(report, [learner])
    return (f"New too: {', '.join(table.name for table in tables)} and the feedback page of "
            f"{learner}. The pages of the class are as they were until the next report.")  # fmt: skip


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde report FOLDER [LESSON]`."""
    if not 1 <= len(argv) <= 2:
        raise CommandError("Name the class, and a lesson or none for all: report FOLDER [LESSON]")
    if len(argv) == 1:
        from autograde.all_lessons import write_all

        page, table = write_all(Path(argv[0]))
        print(f"All marked lessons: {page}. Table: {table}.")
        return 0
    from autograde.desk import write_desk
    from autograde.feedback_pages import write_feedback
    from autograde.report_pages import write_page

    report = ClassReport(Path(argv[0]), argv[1])
    tables = write_tables(report)
    page, desk, pages = write_page(report), write_desk(report), write_feedback(report)
    print(f"The class: {page}. To read and mark: {desk}. Tables: {', '.join(map(str, tables))}. "
          f"Feedback: {len(pages)} pages in {report.folder / 'feedback-pages'}.")  # fmt: skip
    return 0
