"""Read the lessons as text: which there are, what they say, which of their lines are solutions."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from autograde.cells import BEGIN, END
from autograde.lesson import lesson_folders, load

LESSONS = [path.name for path in lesson_folders()]
SHORTEST_TELLING = 12  # letters; a shorter solution line, such as watts = 1, tells nothing


@cache
def text_of(lesson: str) -> str:
    """All text cells of a lesson, one below the other."""
    return "\n".join(cell.source for cell in load(lesson).cells if cell.kind == "text")


def solution_lines(text: str) -> Iterator[str]:
    """The lines of a lesson or of a cell that stand between the marks of a solution."""
    inside = False
    for line in map(str.strip, text.splitlines()):
        if line in (BEGIN, END):
            inside = line == BEGIN
        elif inside and len(line) >= SHORTEST_TELLING:
            yield line
