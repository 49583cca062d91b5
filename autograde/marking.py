"""Marks a class: python -m autograde grade COURSE_FOLDER LESSON.

In: a course folder with ``submitted/LEARNER/LESSON/``. Out: nbgrader's gradebook, notebooks
with marks in words, a table (CSV), and one line a learner. Two stages: whatever must be
run is run in sandboxes and its result stored under the hash of the work; then one process
compares with the key and writes the gradebook. So marking can be stopped at any moment and
started again, and after a change of the key nothing is run a second time.
"""

from __future__ import annotations

import argparse
import datetime
import hashlib
import json
import shlex
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from tqdm import tqdm

from autograde.course import (
    Course,
    MarkingError,
    Store,
    alone,
    chosen,
    open_course,
    safe_name,
)
from autograde.gradebook import Gradebook, GradebookError, without_password
from autograde.handed_in import last_changed
from autograde.intake import Intake, take_in
from autograde.key import Numbers
from autograde.marks import Marks, Past, as_data, judge, make_job
from autograde.notebooks import clean_notebook
from autograde.overrides import (
    Counted,
    cells_with_points,
    counted,
    read_marks,
    read_overrides,
)
from autograde.runner import sandbox
from autograde.runner.job import Job, Limits, ReplyError, Result
from autograde.runner.pool import Pool, checked, default_workers
from autograde.runner.worker import Worker, WorkerError
from solarlib.commands import CommandError, Refusal, Words
from solarlib.files import why, write_whole

NO_WALLS = "--run-learners-code-without-a-sandbox"


# --- one learner -------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Work:
    """One submission on its way. past : earlier versions that still count."""

    learner: str
    intake: Intake
    card: Numbers
    seed: str
    job: Job
    past: Past = field(default_factory=Past)

    def judged(self, course: Course, result: Result) -> Marks:
        """Compare a result with the key, and keep what counts at the next marking too."""
        marks = judge(self.intake, course.source.key, self.card, self.seed, self.job, result,
                      self.past)  # fmt: skip
        course.keep(self.learner, marks.versions)
        return marks


def prepare(course: Course, learner: str, path: Path) -> Work:
    """Take in one submission and say what has to be run."""
    intake = take_in(path, course.source)
    if not intake.timestamp:
        intake = replace(intake, timestamp=last_changed(path))
    card, seed = course.card(learner), course.seed(learner)
    job = make_job(intake, course.source.key, card, seed, course.limits)
    return Work(learner, intake, card, seed, job, course.past(learner))


def clean(folder: Path, lesson: str, learner: str) -> Any:
    """Return the clean notebook of one submission, for nbgrader."""
    course = open_course(folder, lesson)
    return clean_notebook(take_in(_find(course, learner), course.source), course.source)


def mark_one(folder: Path, lesson: str, learner: str) -> Marks:
    """Mark one submission now, in a sandbox, for nbgrader's formgrader."""
    course = open_course(folder, lesson)
    work = prepare(course, learner, _find(course, learner))
    store = Store(course.area / "results")
    result = store.get(work.job)
    if result is None:
        if words := sandbox.why_not():
            raise MarkingError(words)
        with Worker(sandbox.sandboxed()) as worker:
            data = worker.run(work.job)
        result = checked(data, work.job)
        store.put(work.job, data)
    return work.judged(course, result)


def _find(course: Course, learner: str) -> Path:
    found = course.submissions()
    if safe_name(learner) in found:
        return found[safe_name(learner)]
    raise MarkingError(f"There is no work of {learner} for {course.source.name}.")


# --- the class ---------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Line:
    """What became of one learner's work. trouble : why it is not marked, "" when it is.

    before : points at the last marking, None at the first. waits : points that no person gave yet.
    """

    learner: str
    marks: Marks | None
    renewed: bool = True
    trouble: str = ""
    before: float | None = None
    waits: float = 0.0

    @property
    def text(self) -> str:
        """One line in words."""
        if self.marks is None:
            return f"{self.learner}: not marked, {self.trouble}"
        got, lower = f"{self.marks.got:g}", ""
        if self.before is not None and abs(self.before - self.marks.got) > 1e-9:
            got = f"{self.before:g} → {got}"
            lower = " This is LOWER than before: look at it." if self.before > self.marks.got else ""
        parts = [f"{self.learner}: {got} of {self.marks.most:g} points"]
        if self.waits:
            parts.append(f", {self.waits:g} more wait for a reader")
        parts.append(f"{'' if self.renewed else ', as before'}.{lower}")
        parts += [f" {note}" for note in self.marks.notes]
        return "".join(parts)


def mark_class(
    course: Course, gradebook: Gradebook, engine: Any, learners: Sequence[str] = ()
) -> Iterator[Line]:
    """Mark every submission, or those of some learners; yield a line for each as it is done.

    engine : runs jobs, a `runner.pool.Pool` or a `runner.cluster.Cluster`.
    """
    gradebook.prepare(course.source)
    record = _Recorder(course, gradebook)
    store = Store(course.area / "results")
    found = chosen(course.submissions(), learners)
    works = {name: prepare(course, name, path) for name, path in found.items()}
    to_run = {name: work for name, work in works.items() if store.get(work.job) is None}
    for name, work in works.items():
        if name not in to_run:
            yield record(work, store.get(work.job))
    for name, data in engine.run([(name, work.job) for name, work in to_run.items()]):
        try:
            result = checked(data, works[name].job)
        except (WorkerError, ReplyError) as error:
            yield Line(name, None, trouble=str(error))
            continue
        store.put(works[name].job, data)
        yield record(works[name], result)


class _Recorder:
    """Compares, and writes the gradebook where it does not say the same already."""

    def __init__(self, course: Course, gradebook: Gradebook):
        self._course, self._gradebook = course, gradebook
        self._lesson = course.source.name
        self._scores, self._by_hand = gradebook.scores(self._lesson), gradebook.by_hand(self._lesson)
        self._cells = cells_with_points(course.source)
        self._overrides = read_overrides(course.folder, self._lesson)

    def __call__(self, work: Work, result: Any) -> Line:
        course, lesson, learner = self._course, self._lesson, work.learner
        marks = work.judged(course, result)
        entries = self._overrides.get(learner, {})
        nb = clean_notebook(work.intake, course.source)
        data = as_data(marks)
        by_hand = self._by_hand.get(learner, {})  # in formgrader, where it stays as it is
        waits = sum(now.waits for now in self._counted(data["marks"], entries, by_hand).values())
        handed_in = work.intake.timestamp
        mark = _fingerprint(nb, {**data, "handed in": handed_in}, list(entries.values()))
        path = course.area / "marks" / lesson / f"{learner}.json"
        old, scores = _read_record(path), self._scores.get(learner)
        there = (course.folder / "autograded" / learner / lesson / f"{lesson}.ipynb").is_file()
        if there and old.get("mark") == mark and scores is not None and _agrees(scores, marks):
            return Line(learner, marks, renewed=False, waits=waits)
        try:
            self._gradebook.write_clean(learner, lesson, work.intake, nb)
            self._gradebook.record(learner, lesson, nb, marks)
            by_person = self._counted(data["marks"], entries, {})
            if told := {cell: now for cell, now in by_person.items() if now.reason or now.waits}:
                self._gradebook.settle(learner, lesson, told)
        except (GradebookError, OSError) as error:
            words = why(error) if isinstance(error, OSError) else str(error).rstrip(".")
            return Line(learner, None, trouble=f"{words}; see {course.area / 'nbgrader.log'}.")
        now = datetime.datetime.now().astimezone().isoformat(timespec="seconds")
        data = {"mark": mark, "learner": learner, "lesson": lesson, "marked": now,
                "readable": work.intake.readable, **data}
        write_whole(path, json.dumps(data, indent=1).encode())
        return Line(learner, marks, before=_points(old), waits=waits)

    def _counted(
        self, marks: Sequence[Any], entries: Any, by_hand: Mapping[str, float]
    ) -> dict[str, Counted]:
        """Return what counts with what persons gave, by the cell that has the points."""
        cells = [self._cells.get(mark["exercise"], mark["cell"]) for mark in marks]
        return {cell: counted(mark, entries, by_hand.get(cell))
                for cell, mark in zip(cells, marks, strict=True) if mark["points"]}  # fmt: skip


def _fingerprint(nb: Any, data: Mapping[str, Any], entries: Sequence[Any]) -> str:
    same = {name: value for name, value in data.items() if name != "seconds"}
    text = json.dumps([nb, same, entries], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _points(record: Mapping[str, Any]) -> float | None:
    """Return the machine's points of a record on file, None without one."""
    try:
        return sum(mark["score"] or 0.0 for mark in record["marks"])
    except (KeyError, TypeError):
        return None


def _agrees(before: Mapping[str, float | None], marks: Marks) -> bool:
    return all(before.get(m.cell) == m.score for m in marks.marks
               if m.score is not None and m.cell in before)  # fmt: skip


def _read_record(path: Path) -> dict[str, Any]:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        return data if isinstance(data, dict) else {}
    except (OSError, ValueError):
        return {}


# --- the command ---------------------------------------------------------------------------------------
def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde grade`; return 0 when all is marked, 1 when not."""
    options = _read(argv)
    course = open_course(options.folder, options.lesson,
                         Limits(cell_s=options.cell_seconds))  # fmt: skip
    try:
        with alone(course):
            if options.cap:
                course.set_cap(options.cap)
            return _mark(course, options)
    except KeyboardInterrupt:
        print("Stopped. What is marked is kept; start the same command again to go on.")
        return 130


def _mark(course: Course, options: argparse.Namespace) -> int:
    engine = _engine(options)
    gradebook = Gradebook(course.folder, options.gradebook)
    total, troubles = len(chosen(course.submissions(), options.learners)), dict[str, list[str]]()
    began = time.monotonic()
    print(f"Marking {total} submissions of {course.source.name}.", flush=True)
    lines = mark_class(course, gradebook, engine, options.learners)
    # the bar, with its time left, is for a person at a terminal; elsewhere the lines tell it
    with tqdm(lines, total=total, unit="learner", disable=None, leave=False) as bar:
        for count, line in enumerate(bar, start=1):
            spent = time.monotonic() - began
            left = "" if count == total else f" (about {spent / count * (total - count):.0f} s left)"
            tqdm.write(f"{count}/{total} {line.text}{left if bar.disable else ''}", sys.stdout)
            sys.stdout.flush()
            if line.marks is None:
                troubles[line.learner] = [f"not marked: {line.trouble}"]
    recorded = read_marks(course.folder, course.source.name)
    notes = {who: data["notes"] for who, data in recorded.items()} | troubles
    table = gradebook.write_table(course.source, notes)
    bad = len(troubles)
    print(f"Marked {total - bad} of {total} in {time.monotonic() - began:.1f} s. The gradebook is "
          f"{without_password(gradebook.url)}, the table {table}. {_renewed(course, gradebook)}")  # fmt: skip
    if bad:
        print(f"{bad} not marked; the reasons stand above. Start the same command again for them.")
    return 1 if bad else 0


def _renewed(course: Course, gradebook: Gradebook) -> str:
    """Write the tables of points anew, so that none of them is older than the gradebook; say so."""
    from autograde.report import ClassReport, write_tables

    pages = shlex.join(["python", "-m", "autograde", "report", str(course.folder), course.source.name])
    try:
        tables = write_tables(ClassReport(course.folder, course.source.name, gradebook))
    except Refusal as error:
        return f"The tables of points stay as they were. {error}"
    return f"New too: {', '.join(path.name for path in tables)}. For the pages, run: {pages}"


def _engine(options: argparse.Namespace) -> Any:
    if options.cluster:
        from autograde.runner.cluster import Cluster

        return Cluster(options.cluster)
    if options.no_walls:
        print("Learners' code now runs WITHOUT a sandbox: it can read and change all that you can.")
        return Pool(sandbox.unprotected(), options.workers)
    if words := sandbox.why_not():
        raise MarkingError(f"{words} If you trust every learner's code with this computer, say so: "
                           f"{NO_WALLS}")  # fmt: skip
    return Pool(sandbox.sandboxed(), options.workers)


def _read(argv: Sequence[str]) -> argparse.Namespace:
    parser = Words(prog="python -m autograde grade", description="Mark a class.")
    parser.add_argument("folder", help="the course folder")
    parser.add_argument("lesson", help="such as parabola, 01 or 01_parabola")
    parser.add_argument("learners", nargs="*", help="only these; without a name, everybody")
    parser.add_argument("--workers", type=int, default=default_workers(),
                        help="sandboxes at work at the same time (default %(default)s)")  # fmt: skip
    parser.add_argument("--cell-seconds", type=float, default=10.0,
                        help="time limit of a cell (default %(default)s)")  # fmt: skip
    parser.add_argument("--cap", default="", metavar="PERCENT",
                        help="of a design's points while a gate is open: a percentage, or none; "
                             "kept for later markings (at first 59)")  # fmt: skip
    parser.add_argument("--gradebook", default="", metavar="URL",
                        help="another database than gradebook.db, such as postgresql://...")  # fmt: skip
    parser.add_argument("--cluster", default="", metavar="ADDRESS",
                        help="run on other machines, through a dask scheduler")  # fmt: skip
    parser.add_argument(NO_WALLS, dest="no_walls", action="store_true",
                        help="where there is no sandbox: it can read and change all you can")  # fmt: skip
    options = parser.parse_args(list(argv))
    if options.workers < 1:
        raise CommandError(f"--workers is {options.workers}; give 1 or more.")
    if not 0 < options.cell_seconds <= 3600:
        raise CommandError(f"--cell-seconds is {options.cell_seconds:g}; give a time above 0, up to "
                           "3600 s.")  # fmt: skip
    return options
