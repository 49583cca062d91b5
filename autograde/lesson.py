"""Lessons as text: where they lie, how a text is read into cells, and what is wrong with it.

In: a lesson folder ``lessons/NN_slug`` with ``lesson.py`` (py:percent, solved)
and ``key.py`` (the answer key). Out: a `Source` with its cells and its `Lesson`,
or a `LessonError` that names file and line. Notebooks are made from it by
`autograde.build`.
"""

from __future__ import annotations

import importlib.util
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from autograde.key import Exercise, Lesson, OwnData, Prediction, ShortText

BEGIN, END, START = "### BEGIN SOLUTION", "### END SOLUTION", "### START"
LEFT_OUT = "### SOLUTION LEFT OUT"  # what the texts of an installed course have instead
WRITE_HERE = "*Write your answer here.*"  # what a text answer's cell says before
# cell option -> the kind of cell it makes; "name" and "points" go with others
KINDS = ("answer", "check", "write", "predict", "explorer")
_OPTION = re.compile(r'\s*(\w+)=("[^"]*"|[\w.+-]+)')
_HEADER = re.compile(r"#\s*%%(?P<rest>.*)$")
_PREDICT = re.compile(r"""predict\(\s*["']([\w.]+)["']""")
_FOLDER = re.compile(r"(\d\d)_([a-z][a-z0-9_]*)$")


class LessonError(ValueError):
    """Something is wrong with a lesson's text or key; the message names file and line."""


@dataclass(frozen=True)
class Cell:
    """One cell of a lesson.

    kind : text, code, answer, check, write, predict or explorer.
    name : short name of the exercise, or the cell's own name.
    source : the solved text. points : of a check or write cell. line : of its header, from 1.
    """

    kind: str
    name: str
    source: str
    points: float = 0.0
    line: int = 0

    @property
    def is_markdown(self) -> bool:
        """Whether the notebook shows it as text."""
        return self.kind in ("text", "write")

    @property
    def released(self) -> str:
        """The source as a learner gets it: START lines instead of the solution."""
        if self.kind == "write":
            return WRITE_HERE
        return released(self.source) if self.kind == "answer" else self.source

    @property
    def solved(self) -> str:
        """The source without START lines, as it runs when solved; as handed out if left out."""
        if LEFT_OUT in self.source:
            return self.released
        lines = self.source.splitlines()
        return "\n".join(line for line in lines if not line.lstrip().startswith(START))


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


def released(source: str) -> str:
    """Replace the part between the solution markers by its START lines."""
    lines, inside = [], False
    for line in source.splitlines():
        word = line.strip()
        indent = line[: len(line) - len(line.lstrip())]
        if word == BEGIN:
            inside = True
        elif word == END:
            inside = False
        elif word == LEFT_OUT:
            continue
        elif word.startswith(START):
            lines.append((indent + word[len(START) :].removeprefix(" ")).rstrip())
        elif not inside:
            lines.append(line)
    return "\n".join(lines)


def without_solutions(text: str) -> str:
    """Return a whole lesson text with its solutions and model answers left out, for the wheel."""
    lines, inside, model = [], False, False
    for line in text.splitlines():
        word = line.strip()
        if header := _HEADER.match(line):
            model = "write" in _options(header["rest"].replace("[markdown]", ""), "lesson.py")
            lines += [line, f"# {WRITE_HERE}", ""] if model else [line]
        elif word == BEGIN:
            inside = True
            lines.append(line.replace(BEGIN, LEFT_OUT))
        elif word == END:
            inside = False
        elif not inside and not model:
            lines.append(line)
    return "\n".join(lines) + "\n"


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


# --- reading a text -----------------------------------------------------------------------------
def read_cells(text: str, path: Path | str = "lesson.py") -> Iterator[Cell]:
    """Read a py:percent text into cells; raise LessonError with file and line."""
    header: tuple[int, str] | None = None
    body: list[str] = []
    anonymous: dict[str, int] = {}
    for number, line in enumerate([*text.splitlines(), "# %%"], start=1):
        match = _HEADER.match(line)
        if not match:
            body.append(line)
            continue
        if header is not None:
            yield _cell(header[0], header[1], body, path, anonymous)
        elif "".join(body).strip() and not _front_matter(body):
            raise LessonError(
                f"{path}:1: text before the first cell; start with “# %% [markdown]”."
            )
        header, body = (number, match["rest"]), []


def _front_matter(body: list[str]) -> bool:
    return body[0].startswith("# ---")  # jupytext writes its header there


def _cell(line: int, rest: str, body: list[str], path: object, anonymous: dict[str, int]) -> Cell:
    where = f"{path}:{line}"
    rest = rest.strip()
    markdown = rest.startswith("[markdown]")
    options = _options(rest.removeprefix("[markdown]"), where)
    kinds = [k for k in KINDS if k in options]
    if len(kinds) > 1:
        raise LessonError(f"{where}: one cell cannot be both {' and '.join(kinds)}.")
    kind = kinds[0] if kinds else ("text" if markdown else "code")
    source = "\n".join(body).strip("\n").rstrip()
    if kind in ("text", "write"):
        source = _uncomment(source)
    name = options.get(kind, options.get("name", ""))
    if not name:
        anonymous[kind] = anonymous.get(kind, 0) + 1
        name = f"{anonymous[kind]:02d}"
    if not re.fullmatch(r"[A-Za-z0-9_.]{1,40}", name):
        raise LessonError(f"{where}: the name “{name}” may hold letters, digits and _ only.")
    points = _points(kind, name, options, where)
    _check_markers(kind, source, line, path)
    return Cell(kind, name, source, points, line)


def _options(rest: str, where: str) -> dict[str, str]:
    options: dict[str, str] = {}
    while rest.strip():
        match = _OPTION.match(rest)
        if not match:
            raise LessonError(f'{where}: cannot read “{rest.strip()}”; options look like name="x".')
        if match[1] not in (*KINDS, "name", "points"):
            known = ", ".join((*KINDS, "name", "points"))
            raise LessonError(f"{where}: unknown option “{match[1]}”; known are {known}.")
        if match[1] in options:
            raise LessonError(f"{where}: the option “{match[1]}” stands twice.")
        options[match[1]] = match[2].strip('"')
        rest = rest[match.end() :]
    return options


def _points(kind: str, name: str, options: dict[str, str], where: str) -> float:
    if "points" not in options:
        if kind == "write":
            raise LessonError(f"{where}: {kind} cell “{name}” has no points; add points=2.")
        return 0.0
    if kind not in ("check", "write"):
        raise LessonError(f"{where}: only check and write cells have points.")
    try:
        points = float(options["points"])
    except ValueError:
        points = -1.0
    if not 0 < points <= 100:
        raise LessonError(
            f"{where}: points={options['points']} must be a number above 0, up to 100."
        )
    return points


def _check_markers(kind: str, source: str, line: int, path: object) -> None:
    found = [(n, s.strip()) for n, s in enumerate(source.splitlines(), start=line + 1)
             if s.strip() in (BEGIN, END)]  # fmt: skip
    marks = [word for _, word in found]
    if kind == "answer":
        if not marks and LEFT_OUT not in source:
            raise LessonError(f"{path}:{line}: an answer cell needs {BEGIN} and {END}.")
        if marks != [BEGIN, END] * (len(marks) // 2) or len(marks) % 2:
            raise LessonError(f"{path}:{found[-1][0]}: {BEGIN} and {END} do not pair up.")
    elif marks:
        raise LessonError(f"{path}:{found[0][0]}: a solution marker outside an answer cell.")


def _uncomment(source: str) -> str:
    return "\n".join(re.sub(r"^# ?", "", line) for line in source.splitlines())


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
