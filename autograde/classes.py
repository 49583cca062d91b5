"""A class is made and work handed out: from a roster to a bundle for each learner.

In: a roster (CSV), and dates until when work is due. Out: a course folder with a secret
that stays with the instructor, and one bundle (zip) for each learner with numbers of
their own and a note on how to begin. The command for a person's points is here too.
"""

from __future__ import annotations

import csv
import io
import os
import secrets
import shutil
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from autograde import due
from autograde.course import SECRET, MarkingError, safe_name
from autograde.intake import READ_ME
from autograde.log import LOG_FILE
from autograde.numbers import CARD_FILE
from solarlib.commands import CommandError, Words
from solarlib.files import why, write_whole

ROSTER = "roster.csv"


@dataclass(frozen=True)
class Learner:
    """One line of the roster: an id (may be a pseudonym), a name and an e-mail, both optional."""

    id: str
    name: str = ""
    email: str = ""


def read_roster(path: Path) -> list[Learner]:
    """Read a roster; the header names `id`, and may name `name` and `email`.

    Raises
    ------
    MarkingError : no such file, no id column, an id that is missing, unusable or stands twice; the
        message names the line.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise MarkingError(f"The roster {path} cannot be read ({why(error)}); save it as CSV in "
                           "UTF-8.") from None  # fmt: skip
    first = text.splitlines()[0] if text.strip() else ""
    rows = csv.reader(text.splitlines(), delimiter=";" if ";" in first else ",")
    head = [word.strip().lower() for word in next(rows, [])]
    if head.count("id") != 1:
        raise MarkingError(f"The roster {path} has no column “id”, or two; its first line must be "
                           "like id,name,email.")  # fmt: skip
    found: dict[str, Learner] = {}
    for number, row in _numbered(rows, path):
        if len(row) > len(head) and any(row[len(head) :]):
            raise MarkingError(f"{path}, line {number}: {len(row)} cells under {len(head)} headings; "
                               "put a name that holds a comma between quotes.")  # fmt: skip
        cells = dict(zip(head, (cell.strip() for cell in row), strict=False))
        if not any(cells.values()):
            continue
        who = cells.get("id", "")
        if not who or safe_name(who) != who:
            shown = repr(who) if len(who) <= 60 else f"{who[:40]}… ({len(who)} letters)"
            raise MarkingError(f"{path}, line {number}: the id {shown} cannot be used; take up to 80 "
                               "letters, digits, spaces, points and hyphens.")  # fmt: skip
        if who.casefold() in map(str.casefold, found):  # one folder on many machines
            raise MarkingError(f"{path}, line {number}: the id {who} stands twice; give each "
                               "learner an id of their own.")  # fmt: skip
        found[who] = Learner(who, cells.get("name", ""), cells.get("email", ""))
    if not found:
        raise MarkingError(f"The roster {path} names nobody; write one line for each learner.")
    return list(found.values())


def _numbered(rows: Iterator[list[str]], path: Path) -> Iterator[tuple[int, list[str]]]:
    """Yield line numbers and cells; a line that is no line of a table is named."""
    number = 1
    try:
        for number, row in enumerate(rows, start=2):
            yield number, row
    except csv.Error:
        raise MarkingError(f"{path}, line {number + 1}: this cannot be a line of a roster; give one "
                           "line to each learner.") from None  # fmt: skip


def make_class(
    folder: Path, roster: Path, lessons: Sequence[str] = (), until: str | None = None
) -> list[str]:
    """Make a course folder for a roster: notebooks, the secret, a bundle for each learner.

    A secret that is there already is kept, so that a class can grow without new numbers.
    until : when the lessons are due, None to leave that as it is.
    """
    from autograde import build
    from autograde.lesson import lesson_folders

    learners = read_roster(roster)
    if until is not None:
        due.read_moment(until)  # before anything is written
    report = build.course(folder, lessons)
    if until is not None:
        report.append(due.set_due(folder, lessons or [p.name for p in lesson_folders()], until))
    if roster.resolve() != (folder / ROSTER).resolve():
        shutil.copyfile(roster, folder / ROSTER)
    report.append(_keep_secret(folder / SECRET))
    for learner in learners:
        _bundle(folder, learner)
    many = "1 bundle is" if len(learners) == 1 else f"{len(learners)} bundles are"
    report.append(f"{many} in {folder / 'bundles'}: hand each learner theirs.")
    return report


def _keep_secret(path: Path) -> str:
    if path.is_file() and path.read_text(encoding="utf-8").strip():
        return f"{path.name}: yours is kept."
    unfinished = path.with_name(f".{path.name}.unfinished")  # an empty secret would be everybody's
    unfinished.unlink(missing_ok=True)
    try:
        descriptor = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w") as file:
            file.write(secrets.token_hex(32) + "\n")
        os.replace(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)
    return f"{path.name}: written. It decides everybody's numbers: keep it, show it to nobody."


def _bundle(folder: Path, learner: Learner) -> Path:
    """Write a learner's zip: released notebooks, their data, the card of own numbers, a note."""
    from autograde.lesson import load
    from autograde.numbers import as_text

    secret = (folder / SECRET).read_text(encoding="utf-8").strip()
    target = folder / "bundles" / f"{learner.id}.zip"
    packed = io.BytesIO()
    released = sorted((folder / "release").glob("*/*.ipynb"))
    cards = {}
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as bundle:
        for notebook in released:
            key = load(notebook.parent.name).key
            cards[key.slug] = key.draw(learner.id, secret)
            for file in sorted(notebook.parent.iterdir()):
                bundle.write(file, file.name)
        bundle.writestr(CARD_FILE, as_text(learner.id, cards))
        names = [notebook.stem for notebook in released]
        bundle.writestr(READ_ME, _note(learner, names, due.read_due(folder)))
    write_whole(target, packed.getvalue())
    return target


def _note(learner: Learner, lessons: Sequence[str], dates: Mapping[str, datetime | None]) -> str:
    """Return what a learner reads first: how to begin, what to hand in, until when, whom to ask."""
    until = [f"  {lesson}.ipynb   {due.in_words(moment) if moment else 'ask your instructor'}"
             for lesson in lessons for moment in [dates.get(lesson)]]  # fmt: skip
    return "\r\n".join([
        f"Your course, for the learner with the id {learner.id}",
        "",
        "How to begin",
        "  1. Unpack this zip into a folder of your own, such as trough-course.",
        "  2. Open that folder with the course's first command, in the folder of the course:",
        "       python3 -m solarlib learn PATH-OF-YOUR-FOLDER",
        "     It adds what is missing and overwrites nothing of yours.",
        f"  3. Keep {CARD_FILE} beside the notebooks. It holds your own numbers: nobody else has them.",
        "",
        "What to hand in",
        f"  The notebook of the lesson, {LOG_FILE} from the same folder, and any file that an exercise",
        f"  asks for, packed into one zip called {learner.id}.zip. Save the notebook first.",
        "  You may hand in again: the last one counts, and the earlier ones are kept.",
        "",
        "Until when",
        *until,
        "",
        "Whom to ask",
        "  Your instructor: about the work, a date, a file that does not open, and before any work",
        "  outdoors, which the adult in charge signs for.",
        "",
    ])  # fmt: skip


# --- the commands --------------------------------------------------------------------------------
def main_class(argv: Sequence[str]) -> int:
    """Run `python -m autograde class FOLDER ROSTER [LESSON ...] [--due DATE]`."""
    if len(argv) < 2:
        raise CommandError("Name a folder for the class and a roster: class FOLDER ROSTER.csv")
    parser = Words(prog="python -m autograde class", description="Make a class from a roster.")
    parser.add_argument("folder", type=Path, help="of the class; made, or added to")
    parser.add_argument("roster", type=Path, help="a CSV whose first line is id,name,email")
    parser.add_argument("lessons", nargs="*", help="only these; without a name, all")
    parser.add_argument("--due", metavar="DATE",
                        help="when these lessons are due: 2026-12-01, or 2026-12-01T16:00, or none; "
                             f"kept in the class's {due.FILE}")  # fmt: skip
    words = parser.parse_intermixed_args(list(argv))
    return _tell(make_class(words.folder, words.roster, words.lessons, words.due))


def main_override(argv: Sequence[str]) -> int:
    """Run `python -m autograde override FOLDER LESSON LEARNER EXERCISE POINTS REASON`."""
    if len(argv) < 6:
        raise CommandError("Say who, what, how many and why: override FOLDER LESSON LEARNER "
                           "EXERCISE POINTS \"REASON\"")  # fmt: skip
    from autograde.overrides import override

    try:
        points = float(argv[4].replace(",", "."))
    except ValueError:
        raise CommandError(f"{argv[4]!r} is no number of points; write one like 1.5.") from None
    lesson, learner, exercise = argv[1:4]
    from autograde.report import renew

    # the points are given, whatever becomes of the tables
    print(override(Path(argv[0]), lesson, learner, exercise, points, " ".join(argv[5:])))
    print(renew(Path(argv[0]), lesson, learner))
    return 0


def _tell(report: Sequence[str]) -> int:
    for line in report:
        print(line)
    return 0
