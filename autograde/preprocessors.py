"""The classes that nbgrader loads: clean cells, mark cells, and its own converter run once.

In: what nbgrader hands over. Out: what it saves. The work is done in `intake`, `marks` and
`marking`; these classes only carry it into nbgrader's pipeline.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import nbformat
from nbconvert.exporters import NotebookExporter
from nbconvert.preprocessors import ClearMetadataPreprocessor
from nbgrader.converters import Autograde
from nbgrader.converters.base import BaseConverter, NbGraderException
from nbgrader.preprocessors import AssignLatePenalties, SaveAutoGrades
from nbgrader.preprocessors.base import NbGraderPreprocessor

from autograde.marks import Marks
from autograde.notebooks import GradebookError, write_marks


class AnyNotebook(NotebookExporter):
    """nbconvert's exporter, which takes a file that is no notebook for an empty one."""

    def from_file(self, file_stream: Any, resources: Any = None, **options: Any) -> Any:
        """Read a notebook, whatever it is."""
        try:
            nb = nbformat.read(file_stream, as_version=4)
        except Exception:  # damaged in any way: CleanCells looks at the file itself
            nb = nbformat.v4.new_notebook()
        return self.from_notebook_node(nb, resources=resources, **options)


class CleanCells(NbGraderPreprocessor):
    """Puts the clean notebook in place of whatever was handed in."""

    def preprocess(self, nb: Any, resources: Any) -> Any:
        """Return the clean notebook."""
        from autograde import marking

        return marking.clean(_course(self), *_who(resources)), resources


class MarkCells(NbGraderPreprocessor):
    """Writes marks into the cells, for nbgrader to save: given ones, or it marks now."""

    def __init__(self, marks: Marks | None = None, **options: Any):
        super().__init__(**options)
        self._marks = marks

    def preprocess(self, nb: Any, resources: Any) -> Any:
        """Return the notebook with marks."""
        from autograde import marking

        marks = self._marks
        if marks is None:
            marks = marking.mark_one(_course(self), *_who(resources))
        write_marks(nb, marks)
        return nb, resources


def _course(preprocessor: Any) -> Path:
    return Path(preprocessor.parent.parent.coursedir.root)


def _who(resources: Any) -> tuple[str, str]:
    named = resources["nbgrader"]
    return named["assignment"], named["student"]


class _Converter(Autograde):
    """nbgrader's converter for one clean submission, wherever the course folder lies.

    Its first half, which cleans cells, has nothing left to do here and is passed over.
    """

    clean: Path

    def init_notebooks(self) -> None:
        """Name the one submission, without patterns: a path may hold brackets."""
        self.assignments = {str(self.clean.parent): [str(self.clean)]}
        self.notebooks: list[str] = []

    def convert_single_notebook(self, notebook_filename: str) -> None:
        """Take the clean notebook over and run the second half, which marks and saves."""
        target = Path(self._format_dest(self.coursedir.assignment_id, self.coursedir.student_id))
        target.mkdir(parents=True, exist_ok=True)
        copy = shutil.copy(notebook_filename, target)
        self._sanitizing = False
        self._init_preprocessors()
        try:
            BaseConverter.convert_single_notebook(self, str(copy))
        finally:
            self._sanitizing = True


def record(course: Any, config: Any, learner: str, lesson: str, clean: Path, marks: Marks) -> None:
    """Run nbgrader's converter on one clean submission."""
    course.assignment_id, course.student_id = lesson, learner
    converter = _Converter(coursedir=course, config=config)
    converter.clean = clean
    converter.force = True
    converter.exporter_class = NotebookExporter
    converter.autograde_preprocessors = [
        MarkCells(marks),
        ClearMetadataPreprocessor,
        SaveAutoGrades,
        AssignLatePenalties,
    ]
    try:
        converter.start()
    except (NbGraderException, SystemExit) as error:
        words = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise GradebookError(f"nbgrader could not record it ({words})") from None
