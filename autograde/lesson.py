"""Lessons as folders: where they lie, what they hold, and whether text and key fit together.

In: a lesson folder ``lessons/NN_slug`` with ``lesson.py`` (its text, which `autograde.cells`
reads) and ``key.py`` (the answer key). Out: a `Source` with its cells and its `Lesson`, or a
`LessonError` that names file and line. Notebooks are made from it by `autograde.build`.
"""

from __future__ import annotations

import importlib.util
import re
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from autograde.cells import Cell, LessonError, read_cells
from autograde.key import Exercise, Lesson, OwnData, Prediction, ShortText

_PREDICT = re.compile(r"""predict\(\s*["']([\w.]+)["']""")
_HEADING = re.compile(r"###? (.*)")
_FOLDER = re.compile(r"(\d\d)_([a-z][a-z0-9_]*)$")


@dataclass(frozen=True)
class Source:
    """A lesson read from its folder: the cells and the key."""

    folder: Path
    cells: tuple[Cell, ...]
    key: Lesson
    data: tuple[Path, ...] = field(default=())

    @property
    def slug(self) -> str:
        """Short name of the lesson, such as "parabola"."""
        return self.key.slug

    @property
    def name(self) -> str:
        """Folder and notebook name, such as "01_parabola"."""
        return self.folder.name

    def heading(self, exercise: str) -> str:
        """Return the numbered heading over an exercise, such as “8 In your own words”, or ""."""
        found = ""
        for cell in self.cells:
            asks = cell.kind in ("answer", "write", "check")
            if asks and cell.name.rpartition(".")[2] == exercise:
                return found
            for line in cell.source.splitlines() if cell.kind == "text" else ():
                if match := _HEADING.match(line):
                    # an exercise without a number of its own has none, whatever stands above it
                    found = match[1].strip() if match[1][:1].isdigit() else ""
        return found


# --- where lessons lie --------------------------------------------------------------------------
def lessons_folder() -> Path:
    """Return the folder of the lessons: packed beside this module, or at the repository's top."""
    here = Path(__file__).resolve().parent
    for folder in (here / "lessons", here.parent / "lessons"):
        if folder.is_dir():
            return folder
    raise LessonError("No folder “lessons” is found; install the course again.")


def lesson_folders(root: Path | None = None) -> list[Path]:
    """Return the folders of all lessons that have a text, in order."""
    root = lessons_folder() if root is None else Path(root)
    return sorted(
        p for p in root.iterdir() if _FOLDER.match(p.name) and (p / "lesson.py").is_file()
    )


def find(slug: str, root: Path | None = None) -> Path:
    """Return the folder of a lesson by slug ("parabola"), name ("01_parabola") or number ("01")."""
    folders = lesson_folders(root)
    for folder in folders:
        match = _FOLDER.match(folder.name)
        short = match[2] if match else ""
        # "start" is short for the folder 00_start_here
        if match and (slug in (folder.name, match[1], short) or short.startswith(f"{slug}_")):
            return folder
    known = ", ".join(p.name[3:] for p in folders)
    raise LessonError(f"There is no lesson “{slug}”; the lessons are {known}.")


@lru_cache(maxsize=64)
def _load_key(path: Path, changed_ns: int) -> Lesson:
    spec = importlib.util.spec_from_file_location(f"_lesson_key_{path.parent.name}", path)
    if spec is None or spec.loader is None:
        raise LessonError(f"{path}: cannot be loaded as Python.")
    module = importlib.util.module_from_spec(spec)
    try:
        spec.loader.exec_module(module)
    except Exception as error:
        raise LessonError(f"{path}: {type(error).__name__}: {error}") from error
    lesson = getattr(module, "LESSON", None)
    if not isinstance(lesson, Lesson):
        raise LessonError(f"{path}: holds no LESSON = Lesson(...).")
    return lesson


def load_key(slug: str, root: Path | None = None) -> Lesson:
    """Return the answer key of a lesson (see `find` for the names it takes)."""
    path = find(slug, root) / "key.py"
    if not path.is_file():
        raise LessonError(f"{path}: is missing; write the lesson's answer key there.")
    return _load_key(path, path.stat().st_mtime_ns)


def exercise(full_id: str, root: Path | None = None) -> tuple[Lesson, Exercise]:
    """Return lesson and record of a full id such as "parabola.depth"."""
    slug, dot, name = full_id.partition(".")
    if not dot:
        raise LessonError(f"“{full_id}” is not an exercise id; write it like “parabola.depth”.")
    lesson = load_key(slug, root)
    try:
        return lesson, lesson.exercise(name)
    except KeyError as error:
        raise LessonError(str(error.args[0])) from None


def handed_out(slug: str, name: str) -> str:
    """Return the answer cell called `name` as it is handed out, "" when there is none."""
    try:
        path = find(slug) / "lesson.py"
        return _answers(path, path.stat().st_mtime_ns).get(name, "")
    except (LessonError, OSError):
        return ""  # the text is not needed to judge an answer


@lru_cache(maxsize=64)
def _answers(path: Path, changed_ns: int) -> dict[str, str]:
    cells = read_cells(path.read_text(encoding="utf-8"), path)
    return {cell.name: cell.released for cell in cells if cell.kind == "answer"}


def load(slug: str, root: Path | None = None) -> Source:
    """Read and check a whole lesson: text, key and data files."""
    folder = find(slug, root)
    text = folder / "lesson.py"
    cells = tuple(read_cells(text.read_text(encoding="utf-8"), text))
    key = load_key(folder.name, root)
    own = {"lesson.py", "key.py", "teacher.md"}
    files = (p for p in folder.iterdir() if p.is_file() and not p.name.startswith("."))
    data = tuple(sorted(p for p in files if p.name not in own))
    source = Source(folder, cells, key, data)
    check_source(source)
    return source


# --- text against key ---------------------------------------------------------------------------
def check_source(source: Source) -> None:
    """Raise LessonError where text and key do not fit together."""
    path = source.folder / "lesson.py"
    seen: dict[tuple[str, str], int] = {}
    for place, cell in enumerate(source.cells):
        where = f"{path}:{cell.line}"
        label = (cell.kind, cell.name)
        if label in seen:
            raise LessonError(
                f"{where}: {cell.kind} “{cell.name}” stands already in line {seen[label]}."
            )
        seen[label] = cell.line
        if cell.kind in ("check", "predict"):
            _check_asked(source, cell, where)
        if cell.kind == "explorer":
            for full_id in _PREDICT.findall(cell.source):
                _check_id(source, full_id, where)
                seen.setdefault(("predict", full_id), cell.line)
        if cell.kind == "write":
            if place == 0 or source.cells[place - 1].kind != "text":
                raise LessonError(f"{where}: a write cell needs its question in a text cell above.")
            _check_written(source, cell, where)
    _check_key_used(source, seen)


def _check_id(source: Source, full_id: str, where: str) -> Exercise:
    slug, _, name = full_id.partition(".")
    if slug != source.slug or name not in [e.name for e in source.key]:
        raise LessonError(f"{where}: no key record has the id “{full_id}”.")
    return source.key.exercise(name)


def _check_asked(source: Source, cell: Cell, where: str) -> None:
    record = _check_id(source, cell.name, where)
    if f'{cell.kind}("{cell.name}"' not in cell.source:
        raise LessonError(f'{where}: the cell must call {cell.kind}("{cell.name}").')
    unmarked = isinstance(record, Prediction | ShortText) or (
        isinstance(record, OwnData) and not record.points
    )
    if cell.kind == "predict" or (unmarked and not cell.points):
        return
    if not cell.points:
        raise LessonError(f"{where}: check cell “{cell.name}” has no points; add points=2.")
    if cell.points != record.points:
        raise LessonError(f"{where}: points={cell.points:g}, but the key gives {record.points:g}.")


def _check_written(source: Source, cell: Cell, where: str) -> None:
    record = next((e for e in source.key if e.name == cell.name), None)
    if not isinstance(record, ShortText):
        raise LessonError(f"{where}: no ShortText record of the key is called “{cell.name}”.")
    if cell.points != record.points:
        raise LessonError(f"{where}: points={cell.points:g}, but the key gives {record.points:g}.")


def _check_key_used(source: Source, seen: dict[tuple[str, str], int]) -> None:
    for record in source.key:
        full = source.key.id(record)
        asked = (
            ("check", full) in seen or ("predict", full) in seen or ("write", record.name) in seen
        )
        if not asked:
            raise LessonError(
                f"{source.folder / 'key.py'}: no cell of the lesson asks for “{full}”; "
                "add a check cell or delete the record."
            )
