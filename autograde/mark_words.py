"""The words of a mark: what a learner reads after the marking, and the answer as people read it.

In: a record of the key, its verdict, and the clean submission. Out: texts. They say nothing that
only makes sense in a notebook that can be run, and never the worked answer.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import Any

from autograde import plain, rubric
from autograde.borrowed import source_of
from autograde.intake import Intake
from autograde.key import Choice, Exercise, Function, Numbers, OwnData, ShortText, Verdict
from autograde.verdict import heading

_LONGEST = 200  # characters of an answer that is compared as it is
_MOST_SHOWN = 20_000  # characters of an answer that a person reads
FROM = {
    "cell": "",
    "text": " (Your answer was read from a text cell.)",
    "log": " (Your answer was read from the log of your attempts.)",
}


def left_to_a_person(record: Exercise) -> float:
    """Return the points of a full answer that no machine gives."""
    if record.keeps_versions:  # a design, which a rubric marks
        return record.points * rubric.HUMAN_POINTS / 100
    return 0.0 if record.marked else record.points


def key_points(record: ShortText, text: str, card: Numbers) -> tuple[list[str], list[str]]:
    """Return the key points that the check sees in a text, and those that it does not."""
    seen, missing = list[str](), list[str]()
    for point in record.points_looked_for:
        alone = replace(record, points_looked_for=(point,)).judge([text], card)
        (missing if alone.slip else seen).append(point.bare)
    return seen, missing


def told(record: Exercise, verdict: Verdict, value: Any, card: Numbers) -> str:
    """Return what the learner reads."""
    title = record.title or record.name
    stop = "" if title.endswith(("?", "!", ".")) else "."
    says = _says(record, verdict, value, card)
    return f"{heading(verdict.credit, verdict.empty)}: {title}{stop} {says}"


def _says(record: Exercise, verdict: Verdict, value: Any, card: Numbers) -> str:
    if verdict.empty and not record.keeps_versions:
        if isinstance(record, Function):
            return f"{record.name} is as it was handed out."
        return "Nothing was answered here."
    if isinstance(record, ShortText) and isinstance(value, str):
        seen, missing = key_points(record, value, card)
        says = (f"{len(seen)} of {len(seen) + len(missing)} key points seen by the program. A person "
                "reads and marks this text.")  # fmt: skip
        return f"{says} Have you said this? {missing[0]}." if missing else says
    if not verdict.right and verdict.hint and verdict.hint != verdict.says:
        return f"{verdict.says} {verdict.hint}"
    return verdict.says


def compared(value: Any) -> Any:
    """Return an answer as it may be kept beside the marks: short, and plain data."""
    if plain.is_number(value):
        return value
    text = value if isinstance(value, str) else ""
    if len(text) <= _LONGEST:
        return text or None
    letters = "".join(text.lower().split()).encode("utf-8", "replace")
    return f"{len(text)} letters, {hashlib.sha256(letters).hexdigest()[:16]}"


def as_read(intake: Intake, record: Exercise, place: str, value: Any) -> str:
    """Return an answer as a person reads it, "" for a whole file and where there is none."""
    if isinstance(record, OwnData) or record.keeps_versions:
        return ""
    if isinstance(record, Function):
        value = _typed(intake, record, place)
    elif isinstance(record, Choice) and isinstance(value, str):
        letter = value.strip().lower()
        value = f"{letter}: {record.options[letter]}" if letter in record.options else value
    elif isinstance(value, list | tuple) and all(isinstance(part, str) for part in value):
        value = ", ".join(value)
    elif plain.is_number(value):
        value = plain.short(value)
    text = value.strip() if isinstance(value, str) else ""
    if isinstance(record, ShortText) and place == "cell":
        text = text.replace("&lt;", "<")  # as it was typed, before the intake made its tags harmless
    more = len(text) - _MOST_SHOWN
    return text if more <= 0 else f"{text[:_MOST_SHOWN]}… and {more} letters more"


def _typed(intake: Intake, record: Function, place: str) -> Any:
    """Return what was typed for a function: its rule, its cell, or where else it was written."""
    if place != "cell":
        return (intake.written if place == "text" else intake.logged).get(record.name)
    own = [c.source for c in intake.cells if c.kind == "answer" and c.name == record.name and c.touched]
    code = [c.source for c in intake.cells if c.kind in ("answer", "extra") and not c.is_markdown]
    return own[0] if own else source_of(code, record.name)
