"""Marks a class: python -m autograde grade COURSE_FOLDER LESSON.

In: a course folder with ``submitted/LEARNER/LESSON/``. Out: nbgrader's gradebook, notebooks
with marks in words, a table (CSV), and one line a learner. Two stages: whatever must be
run is run in sandboxes and its result stored under the hash of the work; then one process
compares with the key and writes the gradebook. So marking can be stopped at any moment and
started again, and after a change of the key nothing is run a second time.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import hmac
import json
import os
import re
import secrets
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from autograde.gradebook import AREA, Gradebook, GradebookError, clean_notebook, without_password
from autograde.intake import Intake, take_in
from autograde.key import Numbers
from autograde.lesson import LessonError, Source, load
from autograde.marks import Marks, as_data, judge, make_job
from autograde.runner import sandbox
from autograde.runner.job import Job, Limits, ReplyError, Result, accept_result, decode
from autograde.runner.pool import Pool, checked, default_workers
from autograde.runner.worker import Worker, WorkerError

SECRET = "secret.txt"  # in the course folder; decides the class's numbers and hidden cases
NO_WALLS = "--run-learners-code-without-a-sandbox"


class MarkingError(RuntimeError):
    """Marking cannot begin or go on; the message is one sentence."""


# --- a course folder -------------------------------------------------------------------------------
@dataclass(frozen=True)
class Course:
    """A course folder and one lesson of it."""

    folder: Path
    source: Source
    limits: Limits = field(default_factory=Limits)

    @property
    def area(self) -> Path:
        """Our own folder in it."""
        return self.folder / AREA

    def submissions(self) -> dict[str, Path]:
        """Return what was handed in: safe id of the learner -> folder or zip.

        Raises
        ------
        MarkingError : nothing is there; the message says what was expected and what was found.
        """
        root, lesson = self.folder / "submitted", self.source.name
        found: dict[str, Path] = {}
        entries = sorted(root.iterdir()) if root.is_dir() else []
        for entry in entries:
            if entry.is_symlink() or not entry.is_dir():
                continue
            for path in (entry / lesson, entry / f"{lesson}.zip"):
                if path.exists() or path.is_symlink():
                    found.setdefault(safe_name(entry.name), path)
        if not found:
            there = ", ".join(e.name for e in entries[:5]) or "nothing"
            raise MarkingError(f"Expected work in {root}/LEARNER/{lesson}/{lesson}.ipynb; in {root} "
                               f"there is {there}.")  # fmt: skip
        return found

    def secret(self) -> str:
        """Return the instructor's secret, "" when the class has the demo numbers."""
        with contextlib.suppress(OSError):
            return (self.folder / SECRET).read_text(encoding="utf-8").strip()
        return ""

    def card(self, learner: str) -> Numbers:
        """Return the learner's card of numbers: drawn with the secret, else the demo's."""
        secret = self.secret()
        key = self.source.key
        return key.draw(learner, secret) if secret else key.demo()

    def seed(self, learner: str) -> str:
        """Return what decides the learner's hidden cases; always the same in this folder."""
        salt = self.secret() or _kept(self.area / "salt.txt", lambda: secrets.token_hex(16))
        words = f"{learner}\0{self.source.slug}"
        return hmac.new(salt.encode(), words.encode("utf-8", "replace"), hashlib.sha256).hexdigest()


def open_course(folder: str | Path, lesson: str, limits: Limits | None = None) -> Course:
    """Return a course folder and a lesson of it, or raise what is wrong with either."""
    path = Path(folder).resolve()
    if not path.is_dir():
        raise MarkingError(
            f"There is no folder {folder}; make one with “python -m autograde build”."
        )
    return Course(path, load(lesson), limits or Limits())


def safe_name(name: str) -> str:
    """Return a learner's id that is harmless in pages, tables and paths, from a folder's name."""
    kept = re.sub(r"[^\w .@-]", "_", name).strip()
    kept = f"_{kept[1:]}" if kept[:1] in "-@." else kept or "_"
    if kept == name and len(name) <= 80:
        return name
    return f"{kept[:80]}~{hashlib.sha256(name.encode('utf-8', 'replace')).hexdigest()[:6]}"


def _kept(path: Path, make: Any) -> str:
    with contextlib.suppress(OSError):
        if text := path.read_text(encoding="utf-8").strip():
            return text
    _write(path, make().encode())
    return path.read_text(encoding="utf-8").strip()


def _write(path: Path, data: bytes) -> None:
    """Write a whole file or none."""
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{os.getpid()}")
    unfinished.write_bytes(data)
    os.replace(unfinished, path)


class Store:
    """Results by the hash of the work, as files; what is in it is checked like any reply."""

    def __init__(self, folder: Path):
        self._folder = folder

    def _path(self, key: str) -> Path:
        return self._folder / key[:2] / f"{key}.json"

    def get(self, job: Job) -> Result | None:
        """Return the stored result of a job, None when there is none that can be used."""
        try:
            data = decode(self._path(job.key(sandbox.version())).read_bytes(), 1 << 30)
            return accept_result(data, job, sandbox.version())
        except (OSError, ReplyError):
            return None

    def put(self, job: Job, data: Mapping[str, Any]) -> None:
        """Keep a result."""
        _write(self._path(job.key(sandbox.version())), json.dumps(data).encode())


# --- one learner -------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Work:
    """One submission on its way."""

    learner: str
    intake: Intake
    card: Numbers
    seed: str
    job: Job


def prepare(course: Course, learner: str, path: Path) -> Work:
    """Take in one submission and say what has to be run."""
    intake = take_in(path, course.source)
    card, seed = course.card(learner), course.seed(learner)
    job = make_job(intake, course.source.key, card, seed, course.limits)
    return Work(learner, intake, card, seed, job)


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
    return judge(work.intake, course.source.key, work.card, work.seed, work.job, result)


def _find(course: Course, learner: str) -> Path:
    found = course.submissions()
    if safe_name(learner) in found:
        return found[safe_name(learner)]
    raise MarkingError(f"There is no work of {learner} for {course.source.name}.")


# --- the class ---------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Line:
    """What became of one learner's work. trouble : why it is not marked, "" when it is."""

    learner: str
    marks: Marks | None
    renewed: bool = True
    trouble: str = ""

    @property
    def text(self) -> str:
        """One line in words."""
        if self.marks is None:
            return f"{self.learner}: not marked, {self.trouble}"
        waiting = sum(mark.points for mark in self.marks.marks if mark.credit is None)
        parts = [f"{self.learner}: {self.marks.got:g} of {self.marks.most:g} points"]
        if waiting:
            parts.append(f", {waiting:g} more wait for a reader")
        parts.append("." if self.renewed else ", as before.")
        parts += [f" {note}" for note in self.marks.notes]
        return "".join(parts)


def mark_class(course: Course, gradebook: Gradebook, engine: Any) -> Iterator[Line]:
    """Mark every submission; yield a line for each as it is done.

    engine : runs jobs, a `runner.pool.Pool` or a `runner.cluster.Cluster`.
    """
    gradebook.prepare(course.source)
    store = Store(course.area / "results")
    before = gradebook.scores(course.source.name)
    works = {name: prepare(course, name, path) for name, path in course.submissions().items()}
    to_run = {name: work for name, work in works.items() if store.get(work.job) is None}
    for name, work in works.items():
        if name not in to_run:
            yield _record(course, gradebook, work, store.get(work.job), before.get(name))
    for name, data in engine.run([(name, work.job) for name, work in to_run.items()]):
        try:
            result = checked(data, works[name].job)
        except (WorkerError, ReplyError) as error:
            yield Line(name, None, trouble=str(error))
            continue
        store.put(works[name].job, data)
        yield _record(course, gradebook, works[name], result, before.get(name))


def _record(
    course: Course, gradebook: Gradebook, work: Work, result: Any,
    before: Mapping[str, float | None] | None,
) -> Line:  # fmt: skip
    """Compare, and write the gradebook where it does not say the same already."""
    lesson = course.source.name
    marks = judge(work.intake, course.source.key, work.card, work.seed, work.job, result)
    nb = clean_notebook(work.intake, course.source)
    mark = hashlib.sha256(json.dumps([nb, as_data(marks)], sort_keys=True).encode()).hexdigest()
    path = course.area / "marks" / lesson / f"{work.learner}.json"
    there = (course.folder / "autograded" / work.learner / lesson / f"{lesson}.ipynb").is_file()
    same = before is not None and _agrees(before, marks)
    if same and there and _mark_of(path) == mark:
        return Line(work.learner, marks, renewed=False)
    try:
        gradebook.write_clean(work.learner, lesson, work.intake, nb)
        gradebook.record(work.learner, lesson, nb, marks)
    except (GradebookError, OSError) as error:
        return Line(work.learner, None, trouble=f"{error}; see {course.area / 'nbgrader.log'}.")
    data = {"mark": mark, "learner": work.learner, "lesson": lesson, **as_data(marks)}
    _write(path, json.dumps(data, indent=1).encode())
    return Line(work.learner, marks)


def _agrees(before: Mapping[str, float | None], marks: Marks) -> bool:
    return all(before.get(m.cell) == m.score for m in marks.marks
               if m.score is not None and m.cell in before)  # fmt: skip


def _mark_of(path: Path) -> str:
    try:
        return str(json.loads(path.read_text(encoding="utf-8"))["mark"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


@contextlib.contextmanager
def alone(course: Course) -> Iterator[None]:
    """Keep a second marking of the same folder out."""
    course.area.mkdir(parents=True, exist_ok=True)
    with (course.area / "lock").open("w") as file:
        with contextlib.suppress(ImportError):
            import fcntl

            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise MarkingError(f"{course.folder} is being marked already; wait until that is "
                                   "done.") from None  # fmt: skip
        yield


# --- the command ---------------------------------------------------------------------------------------
def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde grade`; 0 when all is marked, 1 when not, 2 when it cannot begin."""
    options = _read(argv)
    try:
        course = open_course(options.folder, options.lesson,
                             Limits(cell_s=options.cell_seconds))  # fmt: skip
        with alone(course):
            return _mark(course, options)
    except (MarkingError, LessonError, GradebookError, OSError) as error:
        print(error)
        return 2


def _mark(course: Course, options: argparse.Namespace) -> int:
    engine = _engine(options)
    gradebook = Gradebook(course.folder, options.gradebook)
    total, notes, bad = len(course.submissions()), {}, 0
    began = time.monotonic()
    print(f"Marking {total} submissions of {course.source.name}.", flush=True)
    for count, line in enumerate(mark_class(course, gradebook, engine), start=1):
        spent = time.monotonic() - began
        left = "" if count == total else f" (about {spent / count * (total - count):.0f} s left)"
        print(f"{count}/{total} {line.text}{left}", flush=True)
        bad += line.marks is None
        notes[line.learner] = line.marks.notes if line.marks else (f"not marked: {line.trouble}",)
    table = gradebook.write_table(course.source, notes)
    print(f"Marked {total - bad} of {total} in {time.monotonic() - began:.1f} s. The gradebook is "
          f"{without_password(gradebook.url)}, the table {table}.")  # fmt: skip
    if bad:
        print(f"{bad} not marked; the reasons stand above. Start the same command again for them.")
    return 1 if bad else 0


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
    parser = argparse.ArgumentParser(prog="python -m autograde grade", description="Mark a class.")
    parser.add_argument("folder", help="the course folder")
    parser.add_argument("lesson", help="such as parabola, 01 or 01_parabola")
    parser.add_argument("--workers", type=int, default=default_workers(),
                        help="sandboxes at work at the same time (default %(default)s)")  # fmt: skip
    parser.add_argument("--cell-seconds", type=float, default=10.0,
                        help="time limit of a cell (default %(default)s)")  # fmt: skip
    parser.add_argument("--gradebook", default="", metavar="URL",
                        help="another database than gradebook.db, such as postgresql://...")  # fmt: skip
    parser.add_argument("--cluster", default="", metavar="ADDRESS",
                        help="run on other machines, through a dask scheduler")  # fmt: skip
    parser.add_argument(NO_WALLS, dest="no_walls", action="store_true",
                        help="where there is no sandbox: it can read and change all you can")  # fmt: skip
    return parser.parse_args(list(argv))
