"""A lesson's text cut into cells, and back into what a learner gets.

In: a text in the py:percent form, solved, with its cells' options. Out: `Cell` after `Cell`,
each with the source a solver and a learner see, or a `LessonError` that names file and line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from solarlib.commands import Refusal

BEGIN, END, START = "### BEGIN SOLUTION", "### END SOLUTION", "### START"
LEFT_OUT = "### SOLUTION LEFT OUT"  # what the texts of an installed course have instead
WRITE_HERE = "*Write your answer here.*"  # what a text answer's cell says before
# cell option -> the kind of cell it makes; "name" and "points" go with others
KINDS = ("answer", "check", "write", "predict", "explorer")
_OPTION = re.compile(r'\s*(\w+)=("[^"]*"|[\w.+-]+)')
_HEADER = re.compile(r"#\s*%%(?P<rest>.*)$")


class LessonError(Refusal, ValueError):
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
