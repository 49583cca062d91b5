"""Work is taken in: whose is it, is it of this lesson, and where is it kept?

In: folders or zips with a learner's id in their name, or a folder full of them. Out: submissions in
nbgrader's layout, and a sentence for each. Work of another lesson is not taken. Nothing handed in is
ever lost: what lies with the instructor stays there, earlier work moves to ``submitted-earlier/``.
"""

from __future__ import annotations

import datetime
import os
import re
import shutil
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from autograde.classes import ROSTER, read_roster
from autograde.course import MarkingError
from autograde.handed_in import gather, shown
from autograde.intake import cells_of
from autograde.lesson import lesson_folders, load, load_key
from solarlib.commands import CommandError, cannot


@dataclass
class Collected:
    """Sentences about what was taken, and about what was not and what to do with it."""

    taken: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    owners: dict[str, str] = field(default_factory=dict)  # learner -> where the work came from


def collect(folder: Path, lesson: str, sources: Sequence[Path]) -> Collected:
    """Take work into ``submitted/LEARNER/LESSON``, from folders or zips with an id in their name.

    A source is one learner's folder or zip, or a folder full of them. What was handed in before
    moves to ``submitted-earlier/`` with the time in its name.
    """
    name = load(lesson).name
    known = [learner.id for learner in read_roster(folder / ROSTER)]
    found = Collected()
    for source in sources:
        if not source.exists():
            raise MarkingError(f"There is nothing at {source}; name a folder or a zip.")
        inside = sorted(source.iterdir()) if source.is_dir() else []
        # somebody's own folder, or a folder of many, whatever that one is called
        many = not _exact(source, known) and (
            any(_whose(path, known) for path in inside) or not _whose(source, known)
        )
        if many and source.is_dir():
            for path in inside:
                if _whose(path, known):
                    _take_one(folder, name, path, known, found)
                else:
                    found.taken.append(f"{path.name}: not on the roster, left where it is.")
        else:
            _take_one(folder, name, source, known, found)
    missing = sorted(w for w in known if not (folder / "submitted" / w / name).exists()
                     and not (folder / "submitted" / w / f"{name}.zip").exists())  # fmt: skip
    if missing:
        found.taken.append(f"Nothing yet from {', '.join(missing)}.")
    return found


# --- whose is it? --------------------------------------------------------------------------------
def _exact(path: Path, known: Collection[str]) -> str:
    return next((name for name in (path.stem, path.name) if name in known), "")


def _whose(path: Path, known: Collection[str]) -> list[str]:
    """Return the ids that stand in the name of a folder or a zip, as words of their own."""
    if path.suffix.lower() != ".zip" and not path.is_dir():
        return []
    if exact := _exact(path, known):
        return [exact]
    name = path.name
    for lesson in lesson_folders():  # the 01 of a lesson is nobody's id
        name = name.replace(lesson.name, "_")
    places = {who: [m.span() for m in re.finditer(rf"(?<![^\W_]){re.escape(who)}(?![^\W_])", name,
                                                  re.IGNORECASE)] for who in known}  # fmt: skip
    spans = [span for several in places.values() for span in several]
    # “L1-b” is not L1 as well
    return sorted(who for who, own in places.items() if any(
        not any(a <= start and end <= b and (a, b) != (start, end) for a, b in spans)
        for start, end in own))  # fmt: skip


# --- is it of this lesson? -----------------------------------------------------------------------
def lessons_in(files: Mapping[str, bytes]) -> list[str]:
    """Return the lessons whose notebooks these are: by their cells, else by the file's name."""
    slugs = {load_key(path.name).slug: path.name for path in lesson_folders()}
    found = set()
    for name, raw in files.items():
        if not name.endswith(".ipynb") or name.startswith("."):
            continue
        votes = [lesson for cell in cells_of(raw, []) or () for given in cell["names"]
                 if (lesson := slugs.get(given.partition("-")[0]))]  # fmt: skip
        named = [lesson for lesson in slugs.values() if name.startswith(lesson)]
        if votes or named:
            found.add(max(set(votes), key=votes.count) if votes else named[0])
    return sorted(found)


# --- where is it kept? ---------------------------------------------------------------------------
def _take_one(
    folder: Path, lesson: str, path: Path, known: Collection[str], found: Collected
) -> None:
    owners = _whose(path, known)
    if len(owners) != 1:
        whose = f"holds the ids {' and '.join(owners)}" if owners else "holds no id of the roster"
        found.refused.append(f"{path.name} was left where it is, because its name {whose}; give it "
                             "the id of one learner.")  # fmt: skip
        return
    (who,) = owners
    inner = path / lesson if (path / lesson).is_dir() else path
    there = lessons_in(gather(inner, []))
    if there and lesson not in there:
        found.refused.append(f"{path.name} was left where it is, because it holds {' and '.join(there)} "
                             f"and not {lesson}; give the command with {there[0]}, or ask {who} for the "
                             "other notebook.")  # fmt: skip
        return
    if who in found.owners:
        found.refused.append(f"{path.name} was left where it is, because the work of {who} was just "
                             f"taken from {found.owners[who]}; keep one of the two.")  # fmt: skip
        return
    _take(folder, lesson, who, inner)
    found.owners[who] = path.name
    read = "" if who in (path.stem, path.name) else f", whose name holds the id {who}"
    found.taken.append(f"{who}: taken from {shown(path.name)}{read}.")


def _take(folder: Path, lesson: str, who: str, path: Path) -> None:
    home = folder / "submitted" / who
    home.mkdir(parents=True, exist_ok=True)
    zipped = path.suffix.lower() == ".zip"
    final = home / (f"{lesson}.zip" if zipped else lesson)
    unfinished = home / f".{final.name}.unfinished"  # a full disk must not leave half of a work
    try:
        if zipped:
            shutil.copy2(path, unfinished)  # with its date, for whoever asks when it came
        else:
            shutil.rmtree(unfinished, ignore_errors=True)
            shutil.copytree(path, unfinished, symlinks=True)  # links are refused when marking
        _move_earlier(folder, lesson, who)
        os.replace(unfinished, final)
    except OSError:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise


def _move_earlier(folder: Path, lesson: str, who: str) -> None:
    """Move what somebody handed in before out of the way; nothing handed in is ever lost."""
    home = folder / "submitted" / who
    now = datetime.datetime.now()
    for old in (home / lesson, home / f"{lesson}.zip"):
        if old.exists():
            earlier = folder / "submitted-earlier" / who
            earlier.mkdir(parents=True, exist_ok=True)
            while (kept := earlier / f"{now:%Y-%m-%dT%H-%M-%S-%f} {old.name}").exists():
                now += datetime.timedelta(microseconds=1)  # a clock set back says a time twice
            os.replace(old, kept)


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde collect FOLDER LESSON SOURCE ...`; 2 when something was not taken."""
    if len(argv) < 3:
        raise CommandError("Name the class, the lesson and where the work lies: collect FOLDER "
                           "LESSON SOURCE")  # fmt: skip
    found = collect(Path(argv[0]), argv[1], [Path(a) for a in argv[2:]])
    for line in found.taken:
        print(line)
    return max([0, *map(cannot, found.refused)])
