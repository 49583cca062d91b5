"""The link to nbgrader: its gradebook, its converter, its formgrader; nothing of it is patched.

In: clean notebooks and marks. Out: nbgrader's database filled by nbgrader's own converter,
notebooks in ``autograded/`` that show every mark in words, and a table (CSV). Two
preprocessors do our part; `config_text` names them to nbgrader, so that the button of its
formgrader takes the same way as our command.
"""

from __future__ import annotations

import contextlib
import logging
import os
import shutil
import sys
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from autograde.build import cell_id, notebook, write_notebook
from autograde.due import read_due
from autograde.intake import Intake
from autograde.lesson import Source
from autograde.marks import Marks
from autograde.notebooks import GradebookError, as_nbformat
from autograde.tables import NOT_GRADED, write_table

if TYPE_CHECKING:
    from autograde.overrides import Counted

AREA = "marking"  # our own folder in a course folder
CLEAN = f"{AREA}/clean"
URL_VARIABLE = "AUTOGRADE_GRADEBOOK"
_SQLITE = "sqlite:///"
COURSE = "default_course"  # the name under which nbgrader files marks that name no course


def config_text() -> str:
    """Return the nbgrader_config.py of a course folder."""
    return f'''\
"""nbgrader's settings for this course folder; nbgrader and its formgrader read them here."""

import os
from pathlib import Path

c = get_config()  # noqa: F821
c.CourseDirectory.root = str(Path(__file__).resolve().parent)
c.CourseDirectory.course_id = "{COURSE}"
if os.environ.get("{URL_VARIABLE}"):
    c.CourseDirectory.db_url = os.environ["{URL_VARIABLE}"]

# learners' code runs in a sandbox, and what it gives is compared with the key outside of it
c.Autograde.exporter_class = "autograde.gradebook.AnyNotebook"
c.Autograde.sanitize_preprocessors = ["autograde.gradebook.CleanCells"]
c.Autograde.autograde_preprocessors = [
    "autograde.gradebook.MarkCells",
    "nbconvert.preprocessors.ClearMetadataPreprocessor",
    "nbgrader.preprocessors.SaveAutoGrades",
    "nbgrader.preprocessors.AssignLatePenalties",
    "nbgrader.preprocessors.CheckCellMetadata",
]
c.HTMLExporter.sanitize_html = True
'''


# --- what nbgrader calls -------------------------------------------------------------------------
def __getattr__(name: str) -> Any:
    """Make the classes that nbgrader loads when they are asked for: its import takes a second."""
    if name in ("AnyNotebook", "CleanCells", "MarkCells"):
        from autograde import preprocessors

        return getattr(preprocessors, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


@dataclass(frozen=True)
class Times:
    """When something was handed in and was due (UTC, None when nobody knows), and how late [s]."""

    handed_in: datetime | None = None
    due: datetime | None = None
    seconds_late: float = 0.0


# --- nbgrader's database and converter -----------------------------------------------------------
class Gradebook:
    """The gradebook of a course folder. url : of another database than its gradebook.db."""

    def __init__(self, folder: Path, url: str = ""):
        from nbgrader.coursedir import CourseDirectory

        self._folder = folder
        # nbgrader calls a program of its own environment by its bare name
        os.environ["PATH"] = (
            f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', '')}"
        )
        self._config = self._read_config()
        self._config.CourseDirectory.root = str(folder)
        self._config.CourseDirectory.submitted_directory = CLEAN
        if "course_id" not in self._config.CourseDirectory:
            self._config.CourseDirectory.course_id = COURSE
        if url:
            self._config.CourseDirectory.db_url = url
        self._course = CourseDirectory(config=self._config)

    @property
    def url(self) -> str:
        """Where the database is."""
        return str(self._course.db_url)

    def _read_config(self) -> Any:
        from traitlets.config.loader import Config, PyFileConfigLoader

        path = self._folder / "nbgrader_config.py"
        if not path.is_file():
            return Config()
        try:
            return PyFileConfigLoader(path.name, str(self._folder)).load_config()
        except Exception as error:  # the instructor's own file may do anything
            words = f"{type(error).__name__}: {error}"
            if isinstance(error, SyntaxError):
                words = f"line {error.lineno}: {error.msg}"
            raise GradebookError(f"{path} cannot be read ({words}); mend it, or delete it and build "
                                 "the course again.") from None  # fmt: skip

    @contextlib.contextmanager
    def _open(self) -> Iterator[Any]:
        from nbgrader.api import Gradebook as Database

        with self._in_words(), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Database(self.url, self._course.course_id) as database:
                yield database

    @contextlib.contextmanager
    def _in_words(self) -> Iterator[None]:
        """Turn what the database says into one sentence: a full disk, no server, a torn file."""
        from sqlalchemy.exc import SQLAlchemyError

        try:
            yield
        except (SQLAlchemyError, ImportError) as error:
            words = str(getattr(error, "orig", None) or error).splitlines()[0]
            raise GradebookError(f"The gradebook {without_password(self.url)} cannot be used "
                                 f"({words}); check the file, or the URL.") from None  # fmt: skip

    def prepare(self, source: Source) -> None:
        """Make the database, and the lesson's marked cells in it, where they are missing."""
        self._create()
        from nbgrader.preprocessors import ComputeChecksums, SaveCells

        nb = as_nbformat(notebook(source))
        resources = {"nbgrader": {"notebook": source.name, "assignment": source.name,
                                  "db_url": self.url}}  # fmt: skip
        with self._open() as database:
            database.update_or_create_assignment(source.name, **self._due(source.name))
        nb, resources = ComputeChecksums().preprocess(nb, resources)
        with self._in_words(), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                SaveCells().preprocess(nb, resources)
            except RuntimeError:
                raise GradebookError(
                    f"The marked cells of {source.name} are not the same as when this class was "
                    "first marked; build the lesson as it was, or mark in a new course folder."
                ) from None

    def _due(self, lesson: str) -> dict[str, Any]:
        """Return the class's due date as nbgrader takes it; nothing where the class names none."""
        dates = read_due(self._folder)
        return {"duedate": dates[lesson]} if lesson in dates else {}

    def times(self, lesson: str) -> dict[str, Times]:
        """Return when each learner handed a lesson in, and how late, by the due date of now."""
        from nbgrader.api import MissingEntry

        if not self._there():
            return {}
        with self._open() as database:
            try:
                database.find_assignment(lesson)
            except MissingEntry:
                return {}
            if due := self._due(lesson):  # it may have been moved since the marking
                database.update_or_create_assignment(lesson, **due)
            return {one.student.id: Times(one.timestamp, one.duedate, one.total_seconds_late)
                    for one in database.assignment_submissions(lesson)}  # fmt: skip

    def _there(self) -> bool:
        """Tell whether there is a gradebook; a server is taken to have one."""
        return not self.url.startswith(_SQLITE) or Path(self.url.removeprefix(_SQLITE)).exists()

    def _create(self) -> None:
        """Make a new SQLite file whole or not at all, whenever we are stopped."""
        path = Path(self.url.removeprefix(_SQLITE))
        if self._there():
            with self._open():
                return
        from nbgrader.api import Gradebook as Database

        unfinished = path.with_name(path.name + ".unfinished")
        unfinished.unlink(missing_ok=True)
        try:
            Database(f"{_SQLITE}{unfinished}", self._course.course_id).close()
            os.replace(unfinished, path)
        except Exception as error:
            words = str(getattr(error, "orig", None) or error).splitlines()[0]
            raise GradebookError(f"The gradebook {path} cannot be made ({words}); check the folder "
                                 "and the free space.") from None  # fmt: skip
        finally:
            unfinished.unlink(missing_ok=True)

    def scores(self, lesson: str) -> dict[str, dict[str, float | None]]:
        """Return what the machine gave so far: learner -> cell -> points."""
        from nbgrader.api import Grade

        found: dict[str, dict[str, float | None]] = {}
        with self._open() as database:
            for grade in database.db.query(Grade).all():
                if grade.notebook.assignment.name == lesson:
                    mine = found.setdefault(grade.notebook.student.id, {})
                    mine[grade.cell.name] = grade.auto_score
        return found

    def record(self, learner: str, lesson: str, nb: Any, marks: Marks) -> None:
        """Let nbgrader's converter take a clean notebook and its marks into the gradebook."""
        from autograde.preprocessors import record

        source = self._folder / CLEAN / learner / lesson / f"{lesson}.ipynb"
        with self._in_words(), _quietly(self._folder / AREA / "nbgrader.log"):
            record(self._course, self._config, learner, lesson, source, marks)

    def has(self, learner: str, lesson: str, cell: str) -> None:
        """Raise GradebookError where the gradebook knows no mark of a learner for a cell."""
        from nbgrader.api import Grade

        found = []
        if self._there():
            with self._open() as database:
                found = [g for g in database.db.query(Grade).all()
                         if _is(g, learner, lesson) and g.cell.name == cell]  # fmt: skip
        if not found:
            raise GradebookError(
                f"The gradebook {without_password(self.url)} holds no mark of {learner} for {cell}; "
                f"mark the class first, or name another gradebook in {URL_VARIABLE}."
            )

    def settle(self, learner: str, lesson: str, counted: Mapping[str, Counted]) -> None:
        """Set what a person gave, cell by cell, with the reason as the comment of its answer cell.

        nbgrader keeps it apart from the machine's points, so marking again changes nothing. Where
        points still wait for a person, nbgrader's formgrader says so.
        """
        with self._open() as database:
            submission = database.find_submission_notebook(lesson, lesson, learner)
            for grade in submission.grades:
                now = counted.get(grade.cell.name)
                if now is None:
                    continue
                if now.reason:
                    grade.manual_score = now.points
                if now.reason or grade.manual_score is None:  # else formgrader settled it
                    grade.needs_manual_grade = now.waits > 0 or now.points is None
            for note in submission.comments:  # only cells that a learner fills have one
                now = counted.get(note.name) or counted.get(note.name.replace("-answer-", "-check-"))
                if now is not None and now.reason:
                    note.manual_comment = now.reason
            database.db.commit()

    def by_hand(self, lesson: str) -> dict[str, dict[str, float]]:
        """Return the points that persons gave: learner -> cell -> points."""
        from nbgrader.api import Grade

        found: dict[str, dict[str, float]] = {}
        if not self._there():
            return found
        with self._open() as database:
            for grade in database.db.query(Grade).all():
                given = grade.manual_score is not None or grade.extra_credit
                if given and grade.notebook.assignment.name == lesson:
                    found.setdefault(grade.notebook.student.id, {})[grade.cell.name] = grade.score
        return found

    def write_clean(self, learner: str, lesson: str, intake: Intake, nb: Any) -> None:
        """Write a clean submission where the converter looks for it."""
        folder = self._folder / CLEAN / learner / lesson
        shutil.rmtree(folder, ignore_errors=True)
        write_notebook(nb, folder / f"{lesson}.ipynb")
        for name, data in intake.files.items():
            (folder / name).write_bytes(data)
        if intake.timestamp:
            (folder / "timestamp.txt").write_text(intake.timestamp, encoding="utf-8")

    def write_table(self, source: Source, notes: Mapping[str, Sequence[str]]) -> Path:
        """Write marks as CSV, from the gradebook, so that a person's changes count; return where."""
        path = self._folder / "marks" / f"{source.name}.csv"
        return write_table(path, self._rows(source, notes))

    def _rows(self, source: Source, notes: Mapping[str, Sequence[str]]) -> list[list[Any]]:
        cells = [cell_id(source.slug, cell) for cell in source.cells if cell.points]
        rows: list[list[Any]] = []
        with self._open() as database:
            for one in database.assignment_submissions(source.name):
                grades = {g.cell.name: g for nb in one.notebooks for g in nb.grades}
                points = [_points(grades.get(cell)) for cell in cells]
                waits = sum(bool(grade.needs_manual_grade) for grade in grades.values())
                late = round(one.total_seconds_late / 3600, 2)
                got = one.score - (one.late_submission_penalty or 0.0)  # a penalty is a person's
                rows.append([one.student.id, *points, waits, late, got, one.max_score,
                             " ".join(notes.get(one.student.id, ()))])  # fmt: skip
        head = ["learner", *cells, "waiting for a reader", "hours late", "points", "of", "notes"]
        return [head, *sorted(rows)]


def _is(grade: Any, learner: str, lesson: str) -> bool:
    return grade.notebook.student.id == learner and grade.notebook.assignment.name == lesson


def _points(grade: Any) -> Any:
    """Return the points of nbgrader's grade, words where nobody has given any."""
    if grade is None or (grade.auto_score is None and grade.manual_score is None):
        return NOT_GRADED
    return grade.score


def without_password(url: str) -> str:
    """Return a database's URL as it may be shown."""
    before, at, after = url.rpartition("@")
    scheme, mark, user = before.partition("://")
    return f"{scheme}{mark}{user.partition(':')[0]}@{after}" if at else url


@contextlib.contextmanager
def _quietly(path: Path) -> Iterator[None]:
    """Send what nbgrader says to a file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handler = logging.FileHandler(path, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    logger = logging.getLogger("traitlets")
    before, level = logger.propagate, logger.level
    logger.addHandler(handler)
    logger.propagate = False
    logger.setLevel(logging.INFO)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logger.removeHandler(handler)
        logger.propagate = before
        logger.setLevel(level)
        handler.close()
