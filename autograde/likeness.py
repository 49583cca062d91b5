"""Hints of copying, for a person to look at: what two learners' work has in common, never a verdict.

In: what was handed in and the recorded marks of a class whose learners have numbers of their own.
Out: sentences with ids. Three likenesses are looked for: a wrong answer that would be right, or a
known slip, with another learner's numbers; the same long text; the same file, byte for byte.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from autograde.course import Course
from autograde.key import Number, Numbers
from autograde.key.number import several

_LONG_TEXT = " letters, "  # how a long text's hash stands in the record (`marks`)


@dataclass(frozen=True)
class Likeness:
    """One thing in common. learners : the ids it is about. kind : "values", "text" or "file"."""

    kind: str
    learners: tuple[str, ...]
    says: str


def likenesses(course: Course, marks: Mapping[str, Mapping[str, Any]]) -> list[Likeness]:
    """Return all likenesses of the marked work of a lesson, those with most in common first."""
    found = [*_values(course, marks), *_texts(marks), *_files(course, sorted(marks))]
    return sorted(found, key=lambda one: ("file", "text", "values").index(one.kind))


# --- a value that belongs to somebody else's numbers ----------------------------------------------
@dataclass(frozen=True)
class _Target:
    """What a learner's own numbers give: the answer (slip "") or a slip."""

    learner: str
    slip: str
    value: float


def _values(course: Course, marks: Mapping[str, Mapping[str, Any]]) -> Iterator[Likeness]:
    """Yield a sentence for each learner who has values of somebody else's numbers."""
    key = course.source.key
    if not course.secret():
        return  # everybody has the same numbers: an equal value says nothing
    cards = {learner: course.card(learner) for learner in marks}
    pairs: dict[tuple[str, str], list[str]] = defaultdict(list)
    for record in key:
        if not isinstance(record, Number):
            continue
        strange = {who: reading for who, data in marks.items()
                   if (reading := _unexplained(record, key.id(record), data)) is not None}  # fmt: skip
        targets = _targets(record, cards) if strange else []
        for who, reading in strange.items():
            mine = [t.value for t in targets if t.learner == who]
            for target in targets:
                if target.learner == who or not record.tolerance.near(reading, target.value):
                    continue
                if any(record.tolerance.near(reading, value) for value in mine):
                    continue
                what = f"the slip “{target.slip}” gives" if target.slip else "is right"
                pairs[who, target.learner].append(f"{record.title or record.name} ({what})")
    for who in sorted({who for who, _ in pairs}):
        others = {other: frozenset(same) for (one, other), same in pairs.items() if one == who}
        for same in sorted(set(others.values()), key=lambda found: (-len(found), sorted(found))):
            if any(same < larger for larger in others.values()):
                continue  # somebody else's numbers explain more
            whose = sorted(other for other, found in others.items() if found == same)
            numbers = " or ".join(f"{other}'s" for other in whose)
            many = "One such value can be chance" if len(same) == 1 else f"{len(same)} such values"
            yield Likeness("values", (who, *whose), f"{who}: wrong with {who}'s own numbers, but what "
                           f"{numbers} numbers give: {'; '.join(sorted(same))}. {many}.")  # fmt: skip


def _unexplained(record: Number, exercise: str, data: Mapping[str, Any]) -> float | None:
    """Return a wrong number that the learner's own numbers do not explain, else None."""
    for mark in data["marks"]:
        if mark["exercise"] == exercise:
            wrong = mark["credit"] == 0 and mark["slip"] is None and mark.get("given") is not None
            return record.reading(mark["given"]) if wrong else None
    return None


def _targets(record: Number, cards: Mapping[str, Numbers]) -> list[_Target]:
    found = []
    for learner, card in cards.items():
        found.append(_Target(learner, "", float(record.answer(card))))
        for slip in record.slips:
            found += [_Target(learner, slip.name, float(w)) for w in several(slip.wrong(card))]
    return found


# --- the same text, the same file ----------------------------------------------------------------
def _texts(marks: Mapping[str, Mapping[str, Any]]) -> Iterator[Likeness]:
    """Yield who gave the same long text; spaces and capitals make no difference."""
    same: dict[tuple[str, str], list[str]] = defaultdict(list)
    titles = {}
    for who, data in marks.items():
        for mark in data["marks"]:
            given = mark.get("given")
            if isinstance(given, str) and _LONG_TEXT in given:
                same[mark["exercise"], given].append(who)
                titles[mark["exercise"]] = mark["title"] or mark["exercise"]
    for (exercise, _), learners in same.items():
        if len(learners) > 1:
            yield Likeness("text", tuple(sorted(learners)), f"{', '.join(sorted(learners))} gave the "
                           f"same long text for “{titles[exercise]}”.")  # fmt: skip


def _files(course: Course, learners: Sequence[str]) -> Iterator[Likeness]:
    """Yield who handed in the same file."""
    same: dict[str, list[str]] = defaultdict(list)
    for who in learners:
        for path in _handed_in(course, who):
            same[hashlib.sha256(path.read_bytes()).hexdigest()].append(who)
    for names in same.values():
        if len(set(names)) > 1:
            alike = tuple(sorted(set(names)))
            yield Likeness("file", alike, f"{', '.join(alike)} handed in the same file, byte for byte.")


def _handed_in(course: Course, learner: str) -> Iterator[Path]:
    """Yield a learner's notebook, or the zip it came in."""
    lesson = course.source.name
    home = course.folder / "submitted" / learner
    for path in (home / lesson / f"{lesson}.ipynb", home / f"{lesson}.zip"):
        if path.is_file() and not path.is_symlink():
            yield path
