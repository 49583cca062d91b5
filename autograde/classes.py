"""The class's day round the marking: make a class, hand out, collect; the commands for it.

In: a roster (CSV) and what learners hand in. Out: a course folder with a secret
that stays with the instructor, one bundle (zip) for each learner with numbers of
their own, and submissions in nbgrader's layout. Nothing handed in is ever lost:
earlier work moves to ``submitted-earlier/``.
"""

from __future__ import annotations

import csv
import datetime
import io
import os
import secrets
import shutil
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from autograde.course import SECRET, MarkingError, safe_name
from autograde.numbers import CARD_FILE
from solarlib.files import about_file, why, write_whole

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


def make_class(folder: Path, roster: Path, lessons: Sequence[str] = ()) -> list[str]:
    """Make a course folder for a roster: notebooks, the secret, a bundle for each learner.

    A secret that is there already is kept, so that a class can grow without new numbers.
    """
    from autograde import build

    learners = read_roster(roster)
    report = build.course(folder, lessons)
    if roster.resolve() != (folder / ROSTER).resolve():
        shutil.copyfile(roster, folder / ROSTER)
    report.append(_keep_secret(folder / SECRET))
    for learner in learners:
        _bundle(folder, learner)
    report.append(f"{len(learners)} bundles are in {folder / 'bundles'}: hand each learner theirs.")
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
    """Write a learner's zip: released notebooks, their data, and the card of own numbers."""
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
    write_whole(target, packed.getvalue())
    return target


def collect(folder: Path, lesson: str, sources: Sequence[Path]) -> list[str]:
    """Take work into ``submitted/LEARNER/LESSON``, from folders or zips named after the learner.

    A source is one learner's folder or zip, or a folder full of them. What was handed in before
    moves to ``submitted-earlier/`` with the time in its name.
    """
    from autograde.lesson import load

    name = load(lesson).name
    known = {learner.id for learner in read_roster(folder / ROSTER)}
    report = []
    for source in sources:
        if not source.exists():
            raise MarkingError(f"There is nothing at {source}; name a folder or a zip.")
        one = source.stem in known or source.name in known
        for path in [source] if one else sorted(source.iterdir()) if source.is_dir() else []:
            who = path.stem if path.suffix == ".zip" else path.name
            if who not in known:
                report.append(f"{path.name}: not on the roster, left where it is.")
                continue
            report.append(_take(folder, name, who, path))
        if not one and source.is_file():
            report.append(f"{source.name}: not on the roster, left where it is.")
    missing = sorted(w for w in known if not (folder / "submitted" / w / name).exists()
                     and not (folder / "submitted" / w / f"{name}.zip").exists())  # fmt: skip
    if missing:
        report.append(f"Nothing yet from {', '.join(missing)}.")
    return report


def _take(folder: Path, lesson: str, who: str, path: Path) -> str:
    home = folder / "submitted" / who
    home.mkdir(parents=True, exist_ok=True)
    final = home / (f"{lesson}.zip" if path.suffix == ".zip" else lesson)
    unfinished = home / f".{final.name}.unfinished"  # a full disk must not leave half of a work
    try:
        if path.suffix == ".zip":
            shutil.copyfile(path, unfinished)
        else:
            inner = path / lesson if (path / lesson).is_dir() else path
            shutil.rmtree(unfinished, ignore_errors=True)
            shutil.copytree(inner, unfinished, symlinks=True)  # links are refused when marking
        _move_earlier(folder, lesson, who)
        os.replace(unfinished, final)
    except OSError:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise
    return f"{who}: taken from {path.name}."


def _move_earlier(folder: Path, lesson: str, who: str) -> None:
    """Move what somebody handed in before out of the way; nothing handed in is ever lost."""
    home = folder / "submitted" / who
    now = datetime.datetime.now().strftime("%Y-%m-%dT%H-%M-%S-%f")
    for old in (home / lesson, home / f"{lesson}.zip"):
        if old.exists():
            earlier = folder / "submitted-earlier" / who
            earlier.mkdir(parents=True, exist_ok=True)
            os.replace(old, earlier / f"{now} {old.name}")


# --- the commands --------------------------------------------------------------------------------
def main_class(argv: Sequence[str]) -> int:
    """Run `python -m autograde class FOLDER ROSTER [LESSON ...]`."""
    if len(argv) < 2:
        return _cannot("Name a folder for the class and a roster: class FOLDER ROSTER.csv")
    return _told(lambda: make_class(Path(argv[0]), Path(argv[1]), list(argv[2:])))


def main_collect(argv: Sequence[str]) -> int:
    """Run `python -m autograde collect FOLDER LESSON SOURCE ...`."""
    if len(argv) < 3:
        return _cannot("Name the class, the lesson and where the work lies: collect FOLDER LESSON "
                       "SOURCE")  # fmt: skip
    return _told(lambda: collect(Path(argv[0]), argv[1], [Path(a) for a in argv[2:]]))


def main_override(argv: Sequence[str]) -> int:
    """Run `python -m autograde override FOLDER LESSON LEARNER EXERCISE POINTS REASON`."""
    if len(argv) < 6:
        return _cannot("Say who, what, how many and why: override FOLDER LESSON LEARNER EXERCISE "
                       "POINTS \"REASON\"")  # fmt: skip
    from autograde.overrides import override

    try:
        points = float(argv[4].replace(",", "."))
    except ValueError:
        return _cannot(f"{argv[4]!r} is no number of points; write one like 1.5.")
    return _told(lambda: [override(Path(argv[0]), argv[1], argv[2], argv[3], points,
                                   " ".join(argv[5:]))])  # fmt: skip


def _told(work: Any) -> int:
    """Print what was done; a trouble is one sentence and the exit code 2."""
    from autograde.gradebook import GradebookError
    from autograde.lesson import LessonError

    try:
        for line in work():
            print(line)
    except (MarkingError, LessonError, GradebookError) as error:
        return _cannot(str(error))
    except OSError as error:
        return _cannot(about_file(error))
    return 0


def _cannot(sentence: str) -> int:
    print(sentence)
    return 2
