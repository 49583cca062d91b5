"""The link to nbgrader: its gradebook, its converter, its formgrader; nothing of it is patched.

In: clean notebooks and marks. Out: nbgrader's database filled by nbgrader's own converter,
notebooks in ``autograded/`` that show every mark in words, and a table (CSV). Two
preprocessors do our part; `config_text` names them to nbgrader, so that the button of its
formgrader takes the same way as our command.
"""

from __future__ import annotations

import contextlib
import csv
import logging
import os
import shutil
import sys
import warnings
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from autograde.build import cell_id, notebook, write_notebook
from autograde.intake import Intake
from autograde.lesson import Source
from autograde.marks import Marks

AREA = "marking"  # our own folder in a course folder
CLEAN = f"{AREA}/clean"
URL_VARIABLE = "AUTOGRADE_GRADEBOOK"
COURSE = "default_course"  # the name under which nbgrader files marks that name no course


class GradebookError(RuntimeError):
    """The gradebook cannot be used; the message is one sentence."""


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


# --- notebooks -----------------------------------------------------------------------------------
def clean_notebook(intake: Intake, source: Source) -> Any:
    """Return the clean notebook of a submission (nbformat), with our metadata and checksums."""
    from nbgrader.utils import compute_checksum

    released = notebook(source)
    ours = {cell["id"]: cell for cell in _as_nbformat(released).cells}
    cells: list[dict[str, Any]] = []
    for cell in intake.cells:
        kind = "markdown" if cell.is_markdown else "code"
        one: dict[str, Any] = {
            "id": cell.id,
            "cell_type": kind,
            "metadata": {},
            "source": cell.source,
        }
        if kind == "code":
            one |= {"execution_count": None, "outputs": []}
        if cell.id in ours:
            mark = {"checksum": compute_checksum(ours[cell.id]), "cell_type": kind}
            metadata = ours[cell.id].metadata
            one["metadata"] = {**metadata, "nbgrader": {**metadata.nbgrader, **mark}}
        cells.append(one)
    return _as_nbformat({**released, "cells": cells})


def write_marks(nb: Any, marks: Marks) -> None:
    """Put outputs, marks in words and scores into a clean notebook."""
    import nbformat

    shown = {mark.cell: mark for mark in marks.marks if mark.text}
    for count, cell in enumerate(nb.cells, start=1):
        if cell.cell_type != "code":
            continue
        outputs = [nbformat.from_dict(o) for o in marks.outputs.get(cell.id, ())]
        if cell.id in shown:
            mark = shown[cell.id]
            outputs = [nbformat.v4.new_output("stream", name="stdout", text=mark.text + "\n")]
            if cell.metadata.nbgrader.get("grade"):
                score = mark.score if mark.score is not None else 0.0
                plain = {"text/plain": repr(float(score))}
                outputs.append(
                    nbformat.v4.new_output("execute_result", plain, execution_count=count)
                )
        elif cell.metadata.get("nbgrader", {}).get("grade"):
            raise GradebookError(f"The marked cell {cell.id} got no mark.")
        cell.outputs, cell.execution_count = outputs, count
    if marks.notes:
        lines = "\n".join(f"- {note}" for note in marks.notes)
        text = f"**Notes of the marking program**\n\n{lines}"
        nb.cells.insert(0, nbformat.v4.new_markdown_cell(text, id="notes-of-the-marking"))


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
            raise GradebookError(f"{path} cannot be read ({type(error).__name__}: {error}); mend it, "
                                 "or delete it and build the course again.") from None  # fmt: skip

    @contextlib.contextmanager
    def _open(self) -> Iterator[Any]:
        from nbgrader.api import Gradebook as Database
        from sqlalchemy.exc import SQLAlchemyError

        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                with Database(self.url, self._course.course_id) as database:
                    yield database
        except (SQLAlchemyError, ImportError) as error:
            words = str(error).splitlines()[0]
            raise GradebookError(f"The gradebook {without_password(self.url)} cannot be used "
                                 f"({words}).") from None  # fmt: skip

    def prepare(self, source: Source) -> None:
        """Make the database, and the lesson's marked cells in it, where they are missing."""
        self._create()
        from nbgrader.preprocessors import ComputeChecksums, SaveCells

        nb = _as_nbformat(notebook(source))
        resources = {"nbgrader": {"notebook": source.name, "assignment": source.name,
                                  "db_url": self.url}}  # fmt: skip
        with self._open() as database:
            database.update_or_create_assignment(source.name)
        nb, resources = ComputeChecksums().preprocess(nb, resources)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                SaveCells().preprocess(nb, resources)
            except RuntimeError:
                raise GradebookError(
                    f"The marked cells of {source.name} are not the same as when this class was "
                    "first marked; build the lesson as it was, or mark in a new course folder."
                ) from None

    def _create(self) -> None:
        """Make a new SQLite file whole or not at all, whenever we are stopped."""
        prefix = "sqlite:///"
        path = Path(self.url.removeprefix(prefix))
        if not self.url.startswith(prefix) or path.exists():
            with self._open():
                return
        from nbgrader.api import Gradebook as Database

        unfinished = path.with_name(path.name + ".unfinished")
        unfinished.unlink(missing_ok=True)
        try:
            Database(f"{prefix}{unfinished}", self._course.course_id).close()
            os.replace(unfinished, path)
        except Exception as error:
            raise GradebookError(f"The gradebook {path} cannot be made "
                                 f"({str(error).splitlines()[0]}).") from None  # fmt: skip

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
        with _quietly(self._folder / AREA / "nbgrader.log"):
            record(self._course, self._config, learner, lesson, source, marks)

    def give(self, learner: str, lesson: str, cell: str, points: float, reason: str) -> None:
        """Set the points a person gives for one cell, with the reason as its comment.

        nbgrader keeps them apart from the machine's points, so marking again changes nothing.
        """
        with self._open() as database:
            grade = database.find_grade(cell, lesson, lesson, learner)
            grade.manual_score = points
            grade.needs_manual_grade = False
            for note in grade.notebook.comments:
                if note.name == cell:
                    note.manual_comment = reason
            database.db.commit()

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
        rows = self._rows(source, notes)
        path = self._folder / "marks" / f"{source.name}.csv"
        path.parent.mkdir(exist_ok=True)
        unfinished = path.with_name(f".{path.name}.unfinished")
        with unfinished.open("w", encoding="utf-8-sig", newline="") as file:
            csv.writer(file).writerows([[in_a_table(value) for value in row] for row in rows])
        os.replace(unfinished, path)
        return path

    def _rows(self, source: Source, notes: Mapping[str, Sequence[str]]) -> list[list[Any]]:
        cells = [cell_id(source.slug, cell) for cell in source.cells if cell.points]
        rows: list[list[Any]] = []
        with self._open() as database:
            for one in database.assignment_submissions(source.name):
                grades = {g.cell.name: g for nb in one.notebooks for g in nb.grades}
                points = [grades[cell].score if cell in grades else "" for cell in cells]
                waits = sum(bool(grade.needs_manual_grade) for grade in grades.values())
                late = one.late_submission_penalty or 0.0
                rows.append([one.student.id, *points, waits, late, one.score - late, one.max_score,
                             " ".join(notes.get(one.student.id, ()))])  # fmt: skip
        head = ["learner", *cells, "waiting for a reader", "late", "points", "of", "notes"]
        return [head, *sorted(rows)]


def _as_nbformat(data: dict[str, Any]) -> Any:
    import nbformat

    return nbformat.from_dict({**data, "cells": [
        {**cell, "source": "".join(cell["source"])} for cell in data["cells"]]})  # fmt: skip


def without_password(url: str) -> str:
    """Return a database's URL as it may be shown."""
    before, at, after = url.rpartition("@")
    scheme, mark, user = before.partition("://")
    return f"{scheme}{mark}{user.partition(':')[0]}@{after}" if at else url


def in_a_table(value: Any) -> Any:
    """Return a value as a spreadsheet shows it and never runs it."""
    if not isinstance(value, str):
        return value
    text = "".join(c if c.isprintable() else " " for c in value)
    return f"'{text}" if text.lstrip().startswith(("=", "+", "-", "@", "|", "%")) else text


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
