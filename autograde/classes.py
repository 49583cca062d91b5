"""The class's day round the marking: make a class, hand out, collect, override.

In: a roster (CSV) and what learners hand in. Out: a course folder with a secret
that stays with the instructor, one bundle (zip) for each learner with numbers of
their own, and submissions in nbgrader's layout. Nothing handed in is ever lost:
earlier work moves to ``submitted-earlier/``.
"""

from __future__ import annotations

import csv
import datetime
import json
import os
import secrets
import shutil
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from autograde.marking import SECRET, MarkingError, safe_name

ROSTER = "roster.csv"
OVERRIDES = "overrides.jsonl"


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
        raise MarkingError(f"The roster {path} cannot be read ({error}); save it as CSV in "
                           "UTF-8.") from None  # fmt: skip
    first = text.splitlines()[0] if text.strip() else ""
    rows = list(csv.reader(text.splitlines(), delimiter=";" if ";" in first else ","))
    head = [word.strip().lower() for word in rows[0]] if rows else []
    if "id" not in head:
        raise MarkingError(f"The roster {path} has no column “id”; its first line must be like "
                           "id,name,email.")  # fmt: skip
    found: dict[str, Learner] = {}
    for number, row in enumerate(rows[1:], start=2):
        cells = dict(zip(head, (cell.strip() for cell in row), strict=False))
        if not any(cells.values()):
            continue
        who = cells.get("id", "")
        if not who or safe_name(who) != who:
            raise MarkingError(f"{path}, line {number}: the id {who!r} cannot be used; take letters, "
                               "digits, spaces, points and hyphens.")  # fmt: skip
        if who in found:
            raise MarkingError(f"{path}, line {number}: the id {who} stands twice; give each "
                               "learner an id of their own.")  # fmt: skip
        found[who] = Learner(who, cells.get("name", ""), cells.get("email", ""))
    if not found:
        raise MarkingError(f"The roster {path} names nobody; write one line for each learner.")
    return list(found.values())


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
    if path.is_file():
        return f"{path.name}: yours is kept."
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w") as file:
        file.write(secrets.token_hex(32) + "\n")
    return f"{path.name}: written. It decides everybody's numbers: keep it, show it to nobody."


def _bundle(folder: Path, learner: Learner) -> Path:
    """Write a learner's zip: released notebooks, their data, and the card of own numbers."""
    from autograde.lesson import load
    from autograde.numbers import save

    secret = (folder / SECRET).read_text(encoding="utf-8").strip()
    target = folder / "bundles" / f"{learner.id}.zip"
    target.parent.mkdir(exist_ok=True)
    unfinished = target.with_name(f".{target.name}.unfinished")
    released = sorted((folder / "release").glob("*/*.ipynb"))
    cards = {}
    with zipfile.ZipFile(unfinished, "w", zipfile.ZIP_DEFLATED) as bundle:
        for notebook in released:
            key = load(notebook.parent.name).key
            cards[key.slug] = key.draw(learner.id, secret)
            for file in sorted(notebook.parent.iterdir()):
                bundle.write(file, file.name)
        card = folder / "bundles" / ".card.json"
        save(card, learner.id, cards)
        bundle.write(card, "numbers.json")
        card.unlink()
    os.replace(unfinished, target)
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
    now = datetime.datetime.now().strftime("%Y-%m-%dT%H-%M-%S-%f")
    for old in (home / lesson, home / f"{lesson}.zip"):
        if old.exists():
            earlier = folder / "submitted-earlier" / who
            earlier.mkdir(parents=True, exist_ok=True)
            os.replace(old, earlier / f"{now} {old.name}")
    if path.suffix == ".zip":
        shutil.copyfile(path, home / f"{lesson}.zip")
    else:
        inner = path / lesson if (path / lesson).is_dir() else path
        shutil.copytree(inner, home / lesson, symlinks=True)  # links are refused when marking
    return f"{who}: taken from {path.name}."


# --- overrides -----------------------------------------------------------------------------------
def override(
    folder: Path, lesson: str, learner: str, exercise: str, points: float, reason: str
) -> str:
    """Give an exercise other points than the machine did, with a reason; survives re-marking.

    Raises
    ------
    MarkingError : no reason, points outside 0..of, or a learner or exercise without a mark.
    """
    from autograde.gradebook import Gradebook
    from autograde.lesson import load

    name = load(lesson).name
    if not reason.strip():
        raise MarkingError("An override needs a reason; say in a few words why.")
    mark = next((m for m in read_marks(folder, name).get(learner, {}).get("marks", [])
                 if m["exercise"].rpartition(".")[2] == exercise.rpartition(".")[2]), None)  # fmt: skip
    if mark is None:
        raise MarkingError(f"{learner} has no mark for {exercise} in {name}; mark the class first.")
    if not 0 <= points <= mark["points"]:
        raise MarkingError(f"{points:g} points cannot be given; {exercise} has 0 to "
                           f"{mark['points']:g}.")  # fmt: skip
    entry = {"time": datetime.datetime.now().astimezone().isoformat(timespec="seconds"),
             "lesson": name, "learner": learner, "exercise": mark["exercise"],
             "points": points, "before": mark["score"], "reason": reason}  # fmt: skip
    path = folder / "marking" / OVERRIDES
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(entry, ensure_ascii=False) + "\n")
    Gradebook(folder).give(learner, name, mark["cell"], points, reason)
    was = "no points" if mark["score"] is None else f"{mark['score']:g}"
    return f"{learner}, {mark['exercise']}: {points:g} of {mark['points']:g} points instead of {was}."


def read_overrides(folder: Path, lesson: str) -> dict[tuple[str, str], dict[str, Any]]:
    """Return the latest override of each learner and exercise."""
    path = folder / "marking" / OVERRIDES
    lines = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
    entries = [json.loads(line) for line in lines if line.strip()]
    return {(e["learner"], e["exercise"]): e for e in entries if e["lesson"] == lesson}


def read_marks(folder: Path, lesson: str) -> dict[str, dict[str, Any]]:
    """Return the recorded marks of a lesson: learner -> marks, notes, seconds."""
    found = {}
    for path in sorted((folder / "marking" / "marks" / lesson).glob("*.json")):
        try:
            data = json.loads(path.read_text(encoding="utf-8"))
            found[data["learner"]] = data
        except (OSError, ValueError, KeyError):
            continue  # half written by a stopped run; marking writes it again
    return found


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
    except (MarkingError, LessonError, GradebookError, OSError) as error:
        return _cannot(str(error))
    return 0


def _cannot(sentence: str) -> int:
    print(sentence)
    return 2
