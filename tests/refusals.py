"""How bad input is tried out, and what a refusal must be like: one rule for every sentence.

In: a command or a call. Out: what it said, and what is wrong with that. Used by the tests of bad
input.
"""

from __future__ import annotations

import contextlib
import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import autograde.__main__
import solarlib.__main__

COURSE, MARKING = solarlib.__main__.main, autograde.__main__.main
LESSON = "01_parabola"

LONGEST = 400  # letters; a sentence that is longer is read by nobody
LEAKS = re.compile(
    r"Traceback|\b[A-Z]\w*(Error|Exception|Warning)\b|\[Errno|<class|object at 0x|NoneType|dtype|"
    r"positional|keyword argument|broadcast|unsupported|has no attribute|subscriptable|usage:|"
    r"site-packages|\bcodec\b|int\(\)|float\(\)"
)
NEXT = re.compile(  # says what is allowed, or what to do next
    r"\b(give|write|use|take|choose|pick|check|must|needs?|name|save|add|run|make|expected|like|say|"
    r"asked for|leave|send|copy|mean|between|belongs|see|mend|delete|wait|one of|try|did you|look|"
    r"keep|print|put|fill|ask for|swap|close|start (colder|warmer)|has 0 to|it has|would that be|"
    r"(the|its) (parts|lessons) are|read as|is used|"
    r"mark the class|assumed|counted as a gap|not used|cannot be used|nothing in it is used)\b",
    re.IGNORECASE,
)


def faults(said: str, *names: str) -> list[str]:
    """Return what is wrong with a refusal: the rule that every sentence here must keep."""
    said = said.strip()
    found = [] if said else ["says nothing"]
    if leak := LEAKS.search(said):
        found.append(f"leaks “{leak[0]}”")
    if len(said.splitlines()) > 1:
        found.append("more than one line")
    if len(said) > LONGEST:
        found.append(f"{len(said)} letters long")
    if not re.search(r"[.?][”)]?$|(like|run|example): \S.*$|: [a-z]+ [A-Z].*$", said):  # to be copied
        found.append("no sentence")
    if not NEXT.search(said):
        found.append("no word on what is allowed or what to do")
    return found + [f"does not name {name!r}" for name in names if name not in said]


def refused(call: Callable[[], Any], *names: str, longest: int = LONGEST) -> None:
    """Hold that a call is refused in one sentence."""
    with pytest.raises(ValueError) as error:
        call()
    said = str(error.value)
    assert not faults(said, *names) and len(said) < longest, said[:600]


def table(cases: dict[str, Any]) -> Any:
    """Turn a dict of cases into pytest's parameters, each with its name."""
    return pytest.mark.parametrize("case", [pytest.param(v, id=k) for k, v in cases.items()])


def tree(folder: Path) -> dict[str, bytes | None]:
    """Return every file below a folder with its bytes."""
    return {str(p.relative_to(folder)): p.read_bytes() if p.is_file() else None
            for p in sorted(folder.rglob("*"))}  # fmt: skip


def said_by(main: Callable[[list[str]], int], words: list[str]) -> tuple[int, str]:
    """Run a command in this process; return its exit code and its last words."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main(words)
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else 1
    said = err.getvalue().strip()
    return code, said or (out.getvalue().strip().splitlines() or [""])[-1]
