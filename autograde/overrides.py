"""Points that a person gives, with a reason: kept apart from the machine's, so that they last.

In: who, what, how many points, why. Out: a line in ``marking/overrides.jsonl``, the same points in
nbgrader's gradebook, and what counts in the end. A whole exercise can be given other points; for
a design, the few points of a criterion that a rubric leaves to a person.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from autograde import rubric
from autograde.build import cell_id
from autograde.course import MarkingError
from autograde.gradebook import AREA, Gradebook
from autograde.lesson import Source, load
from solarlib.files import append_line

FILE = "overrides.jsonl"

Entries = Mapping[tuple[str, str], Mapping[str, Any]]  # (exercise, criterion or "") -> entry


@dataclass(frozen=True)
class Counted:
    """What counts for one exercise. points : None while a person has to decide.

    reason : of a person, "" without one. waits : points that a person may still give.
    """

    points: float | None
    reason: str = ""
    waits: float = 0.0


def counted(mark: Mapping[str, Any], entries: Entries, by_hand: float | None = None) -> Counted:
    """Return what counts for a recorded mark of one learner.

    by_hand : points that a person gave in formgrader, None without any.
    """
    whole = entries.get((mark["exercise"], ""))
    if whole is not None:
        return Counted(whole["points"], whole["reason"])
    if mark.get("design"):
        given = _with_criteria(mark, entries)
        if given is not None:
            return given
    if by_hand is not None:
        return Counted(by_hand, "given in formgrader" if by_hand != mark["score"] else "")
    return Counted(mark["score"], "", mark.get("waits", 0.0))


def _with_criteria(mark: Mapping[str, Any], entries: Entries) -> Counted | None:
    """Return the points of a design with those of a person added, None without any of them."""
    marked = rubric.from_data(mark["design"])
    given = {c.id: entry for c in marked.criteria
             if c.human and (entry := entries.get((mark["exercise"], c.id)))}  # fmt: skip
    if not given or marked.trouble:
        return None
    human = sum(min(given[c.id]["points"], c.human) for c in marked.criteria if c.id in given)
    open_yet = sum(c.human for c in marked.criteria if c.id not in given)
    points = round(marked.percent(human, mark["cap"]) * mark["points"] / 100, 4)
    reason = " ".join(f"{name}: {entry['points']:g}, {entry['reason']}."
                      for name, entry in given.items())  # fmt: skip
    return Counted(points, reason, round(open_yet * mark["points"] / 100, 4))


def cells_with_points(source: Source) -> dict[str, str]:
    """Return exercise -> the cell under which nbgrader keeps its points.

    That of a written answer is the learner's own text cell, while its check only says what it sees.
    """
    return {source.key.id(source.key.exercise(cell.name)): cell_id(source.slug, cell)
            for cell in source.cells if cell.points and cell.kind in ("check", "write")}  # fmt: skip


def read_overrides(folder: Path, lesson: str) -> dict[str, dict[tuple[str, str], dict[str, Any]]]:
    """Return the latest override of everything: learner -> (exercise, criterion or "") -> entry."""
    path = folder / AREA / FILE
    lines = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
    found: dict[str, dict[tuple[str, str], dict[str, Any]]] = {}
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            entry = json.loads(line)
            if entry["lesson"] == lesson:
                key = (entry["exercise"], entry.get("criterion", ""))
                found.setdefault(entry["learner"], {})[key] = {
                    **entry, "points": float(entry["points"]), "reason": str(entry["reason"])
                }  # fmt: skip
        except (ValueError, KeyError, TypeError):
            raise MarkingError(
                f"{path}, line {number} cannot be read; put it right or delete it, no other is lost."
            ) from None
    return found


def read_marks(folder: Path, lesson: str) -> dict[str, dict[str, Any]]:
    """Return the recorded marks of a lesson: learner -> marks, notes, seconds."""
    found = {}
    for path in sorted((folder / AREA / "marks" / lesson).glob("*.json")):
        try:
            data = json.loads(path.read_text(encoding="utf-8"))
            found[data["learner"]] = data
        except (OSError, ValueError, KeyError):
            continue  # half written by a stopped run; marking writes it again
    return found


def override(
    folder: Path, lesson: str, learner: str, exercise: str, points: float, reason: str
) -> str:
    """Give an exercise, or a design's criterion, points by hand; they survive marking again.

    exercise : such as "depth" or "parabola.depth"; "R7" for the person's points of a criterion.

    Raises
    ------
    MarkingError : no reason, points outside 0..of, or a learner or exercise without a mark.
    """
    source = load(lesson)
    name = source.name
    if not reason.strip():
        raise MarkingError("An override needs a reason; say in a few words why.")
    marks = read_marks(folder, name).get(learner, {}).get("marks", [])
    mark, criterion = _found(marks, exercise)
    if mark is None:
        there = ", ".join(m["exercise"].rpartition(".")[2] for m in marks)
        what = f"use one of {there}" if there else "mark the class first, or check the id"
        raise MarkingError(f"{learner} has no mark for {exercise} in {name}; {what}.")
    most = criterion.human if criterion else mark["points"]
    if not most:
        raise MarkingError(f"{exercise} leaves no points to a person; give the whole exercise "
                           f"{mark['exercise']} other points.")  # fmt: skip
    if not 0 <= points <= most:
        raise MarkingError(f"{points:g} points cannot be given; {exercise} has 0 to {most:g}.")
    before = counted(mark, read_overrides(folder, name).get(learner, {}))
    entry = {"time": datetime.datetime.now().astimezone().isoformat(timespec="seconds"),
             "lesson": name, "learner": learner, "exercise": mark["exercise"],
             "criterion": criterion.id if criterion else "",
             "points": points, "before": before.points, "reason": reason}  # fmt: skip
    gradebook = Gradebook(folder)
    cell = cells_with_points(source).get(mark["exercise"], mark["cell"])
    gradebook.has(learner, name, cell)  # before anything is written down
    append_line(folder / AREA / FILE, json.dumps(entry, ensure_ascii=False))
    now = counted(mark, read_overrides(folder, name)[learner])
    gradebook.settle(learner, name, {cell: now})
    was = "no points" if before.points is None else f"{before.points:g}"
    given = f" {criterion.id} gets {points:g} of {most:g} from a person:" if criterion else ""
    return (f"{learner}, {mark['exercise']}:{given} {now.points:g} of {mark['points']:g} points "
            f"instead of {was}.")  # fmt: skip


def _found(marks: Any, exercise: str) -> tuple[Any, rubric.Criterion | None]:
    """Return the mark of an exercise, or of the design with a criterion of that name, and it."""
    short = exercise.rpartition(".")[2]
    for mark in marks:
        if mark["exercise"].rpartition(".")[2] == short:
            return mark, None
        if mark.get("design"):
            for criterion in rubric.from_data(mark["design"]).criteria:
                if criterion.id == short.upper():
                    return mark, criterion
    return None, None
