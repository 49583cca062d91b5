"""Write the pages of the paper edition, and print workbooks where a browser can."""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from autograde.lesson import LessonError, lesson_folders, load, load_key
from autograde.numbers import load as load_cards
from autograde.paper.edition import Edition, title_of
from autograde.paper.page import page
from autograde.paper.text import escape, heading, to_html
from solarlib.commands import CommandError, Refusal, Words
from solarlib.files import write_whole

TEACHERS = "for-teachers"
COURSE = "The Ladle course on paper"
_BROWSERS = ("chromium", "chromium-browser", "google-chrome")
_PRINT_S = 120


class PrintError(Refusal):
    """A page cannot be made a PDF."""


def write(
    folder: Path, lessons: Sequence[str] = (), numbers: Path | None = None, size: str = "A4"
) -> list[Path]:
    """Write the pages of some lessons (all when none is named); return the paths of the workbooks.

    A page that was changed by hand since it was written is kept under another name.

    Parameters
    ----------
    numbers : a learner's numbers.json; without it the demo trough's numbers are printed.
    size : of the paper, A4 or Letter.

    Raises
    ------
    Refusal, OSError : nothing of the user's is changed.
    """
    from solarlib.pack.files import write_files

    folder = Path(folder)
    _refuse_foreign(folder)
    try:
        cards = load_cards(numbers) if numbers else {}
    except ValueError as error:
        raise Refusal(str(error)) from None
    sources = [load(name) for name in lessons] or [load(p.name) for p in lesson_folders()]
    pages, teachers = {}, {}
    for source in sources:
        card = cards.get(source.slug) or source.key.demo()
        made = Edition(source, card)
        pages[f"{source.name}.html"] = made.lesson().encode()
        pages[f"{source.name}-workbook.html"] = made.workbook(size).encode()
        teachers[f"{source.name}.html"] = made.teacher(size).encode()
    for path in leaflets():
        words = path.read_text(encoding="utf-8")
        pages[f"{path.stem}.html"] = page(heading(words), to_html(words), size=size).encode()
    pages["index.html"] = _index(folder, pages).encode()
    for line in [*write_files(folder, pages), *write_files(folder / TEACHERS, teachers)]:
        print(line)
    return [folder / f"{source.name}-workbook.html" for source in sources]


def write_class(
    folder: Path, course: Path, lessons: Sequence[str] = (), size: str = "A4"
) -> list[Path]:
    """Write a workbook with own numbers for each learner of a class; return the paths.

    They go to ``FOLDER/LEARNER/``; the answers for each card lie apart, in ``for-teachers/LEARNER/``.

    Parameters
    ----------
    course : the class's folder, with its roster and its secret.

    Raises
    ------
    Refusal, OSError : nothing of the user's is changed.
    """
    from autograde.classes import ROSTER, read_roster
    from autograde.course import open_course, safe_name
    from solarlib.pack.files import write_files

    folder = Path(folder)
    _refuse_foreign(folder)
    learners = read_roster(Path(course) / ROSTER)
    names = list(lessons) or [p.name for p in lesson_folders()]
    courses = [open_course(course, name) for name in names]
    written = []
    for learner in learners:
        made = [Edition(one.source, one.card(learner.id), learner.id) for one in courses]
        name = safe_name(learner.id)
        pages = {f"{one.source.name}-workbook.html": one.workbook(size).encode() for one in made}
        answers = {f"{one.source.name}.html": one.teacher(size).encode() for one in made}
        for line in [*write_files(folder / name, pages),
                     *write_files(folder / TEACHERS / name, answers)]:  # fmt: skip
            print(line)
        written += [folder / name / page for page in pages]
    return written


def _refuse_foreign(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise LessonError(f"{folder} is a file; name a folder for the pages.")
    if (folder / "lesson.py").exists() or any(folder.glob("[0-9][0-9]_*/lesson.py")):
        raise LessonError(f"{folder} holds lesson texts; name a folder of its own, such as pages.")


def leaflets() -> list[Path]:
    """Return the texts that lie beside the lessons, such as the glossary."""
    return [path for folder in lesson_folders() for path in sorted(folder.glob("*.md"))
            if path.name != "teacher.md"]  # fmt: skip


def _index(folder: Path, pages: Mapping[str, bytes]) -> str:
    """Return the page that leads to all lessons of the folder, those of earlier runs too."""
    rows = []
    for path in lesson_folders():
        name = f"{path.name}.html"
        if name in pages or (folder / name).is_file():
            title = title_of(load_key(path.name))
            rows.append(f'<li><a href="{name}">{escape(title)}</a>, or <a href="{path.name}'
                        f'-workbook.html">the workbook of {escape(title)} to print</a></li>')  # fmt: skip
    rows += [f'<li><a href="{path.stem}.html">{escape(heading(path.read_text("utf-8")))}</a></li>'
             for path in leaflets()]  # fmt: skip
    words = ("Each lesson comes as a page to read and as a workbook to print and fill in. The "
             "teacher's pages, with answers, lie apart in the folder for-teachers.")  # fmt: skip
    return page(COURSE, f"<h1>{COURSE}</h1>\n<p>{words}</p>\n<ul>{''.join(rows)}</ul>\n")


def browser() -> str | None:
    """Return the program that prints pages to PDF, None when there is none."""
    return next((found for name in _BROWSERS if (found := shutil.which(name))), None)


def print_pdf(html: Path, program: str) -> Path:
    """Print a page to a PDF beside it, in a browser that keeps nothing and reaches no network.

    Raises
    ------
    PrintError : the browser could not print; an earlier PDF is unchanged.
    """
    target = html.with_suffix(".pdf")
    with tempfile.TemporaryDirectory(prefix="paper-") as scratch:
        made = Path(scratch) / "made.pdf"
        words = [program, "--headless", "--disable-gpu", "--no-pdf-header-footer",
                 "--host-resolver-rules=MAP * ~NOTFOUND", f"--user-data-dir={scratch}/profile",
                 f"--print-to-pdf={made}", html.resolve().as_uri()]  # fmt: skip
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            words.insert(1, "--no-sandbox")  # Chromium's own refuses to start for root
        try:
            done = subprocess.run(words, capture_output=True, text=True, timeout=_PRINT_S)
        except subprocess.TimeoutExpired as error:
            raise PrintError(f"{html.name} was not printed within {_PRINT_S} s; print it from any "
                             "browser.") from error  # fmt: skip
        if done.returncode or not made.is_file():
            last = (done.stderr.strip().splitlines() or ["it gave no reason"])[-1]
            raise PrintError(f"{html.name} could not be printed ({last}); print it from any "
                             "browser.")  # fmt: skip
        write_whole(target, made.read_bytes())
    return target


def _read(argv: Sequence[str]) -> argparse.Namespace:
    parser = Words(prog="python -m autograde paper",
                   description="Write lessons as pages to read and as workbooks to print.")  # fmt: skip
    parser.add_argument("folder", type=Path, help="where the pages go, such as pages")
    parser.add_argument("lessons", nargs="*", help="such as 01 or parabola; default: all")
    parser.add_argument("--numbers", type=Path, metavar="numbers.json",
                        help="a learner's card; default: the demo trough's numbers")  # fmt: skip
    parser.add_argument("--class", type=Path, metavar="CLASS", dest="course",
                        help="a class's folder: a workbook with own numbers for each learner")  # fmt: skip
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4")
    parser.add_argument("--pdf", action="store_true", help="print the workbooks, with Chromium")
    return parser.parse_args(argv)


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde paper FOLDER [LESSON ...]`; return the exit code."""
    asked = _read(argv)
    size = {"a4": "A4", "letter": "Letter"}[asked.paper]
    if asked.course and asked.numbers:
        raise CommandError("--class draws everybody's numbers; leave out --numbers.")
    if asked.course:
        workbooks = write_class(asked.folder, asked.course, asked.lessons, size)
    else:
        workbooks = write(asked.folder, asked.lessons, asked.numbers, size)
    if asked.pdf:
        _print_all(workbooks)
    if asked.course:
        print(f"Workbooks: {len(workbooks)}, in {asked.folder.resolve()}, a folder for each learner; "
              f"the answers for each card are in {TEACHERS}/.")  # fmt: skip
        return 0
    print(f"{len(workbooks)} lessons are in {asked.folder.resolve()}: open index.html. "
          f"The teacher's pages are in {TEACHERS}/.")  # fmt: skip
    return 0


def _print_all(workbooks: Sequence[Path]) -> None:
    program = browser()
    if program is None:
        print("No Chromium is found, so no PDF is made; open a workbook in any browser and print it.")
        return
    for path in workbooks:
        print(f"{print_pdf(path, program).name}: printed.")
