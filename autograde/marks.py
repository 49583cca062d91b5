"""From a clean submission to a job, and from its result to marks.

In: an `Intake`, the lesson's key, the learner's card. Out: the `Job` that asks in place what
the key asks, and, once its result is there, a `Marks` with one `Mark` for every exercise.
The comparison happens here, with the key; nothing of it was ever in the learner's process.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from autograde import mark_words, plain, rubric
from autograde.borrowed import leans_on_solarlib, source_of
from autograde.intake import Cell, Intake
from autograde.key import Exercise, Function, Lesson, Prediction, Verdict
from autograde.key.record import UNTOUCHED
from autograde.numbers import Numbers
from autograde.runner.job import Job, Limits, Outcome, Result, Step

_QUIET = ("check", "predict", "explorer")  # cells that are not run


@dataclass(frozen=True)
class Mark:
    """What one exercise got. credit : share of the points, None when a person decides.

    cell : the cell that shows it. place : where the answer was found, "cell", "text" or "log".
    text : words for the learner. given : the answer, to compare; a long one as its hash.
    answer : the same for people. by_person : points of a full answer that no machine gives.
    design : its criteria, where a rubric marked it; some of their points wait for a person.
    cap : percent at most while a gate is open.
    """

    cell: str
    exercise: str
    title: str
    points: float
    credit: float | None
    slip: str | None
    text: str
    place: str = "cell"
    given: Any = None
    design: rubric.Marked | None = None
    cap: float | None = rubric.GATE_CAP
    answer: str = ""
    by_person: float = 0.0

    @property
    def score(self) -> float | None:
        """Points got by machine, None when a person decides."""
        if self.credit is None:
            return None
        return min(round(self.credit * self.points, 4), self.points)

    @property
    def waits(self) -> float:
        """Points that a person gives."""
        if self.credit is None:
            return self.points
        if self.design is None or self.design.trouble:
            return 0.0
        return self.points * sum(c.human for c in self.design.criteria) / 100


@dataclass(frozen=True)
class Marks:
    """All marks of one submission, what its cells put out, and notes for the instructor.

    versions : answers that still count when others follow them. minutes : what the log that
    came along says each exercise took; empty without one.
    """

    marks: tuple[Mark, ...]
    outputs: Mapping[str, tuple[dict[str, Any], ...]]
    notes: tuple[str, ...] = ()
    seconds: float = 0.0
    versions: Mapping[str, str] = field(default_factory=dict)
    minutes: Mapping[str, float] = field(default_factory=dict)

    @property
    def got(self) -> float:
        """Points given by machine."""
        return sum(mark.score or 0.0 for mark in self.marks)

    @property
    def most(self) -> float:
        """Points that a machine could give; the same for everybody, whatever was handed in."""
        return sum(mark.points - mark.by_person for mark in self.marks if mark.points)


@dataclass(frozen=True)
class Past:
    """What was handed in before and still counts: short name -> texts, oldest first.

    cap : percent at most for a design while a gate is open, None for no such limit.
    """

    versions: Mapping[str, Sequence[str]] = field(default_factory=dict)
    cap: float | None = rubric.GATE_CAP


def asked(cells: Sequence[Cell], key: Lesson) -> dict[str, Exercise]:
    """Return the exercises that check cells ask for: cell id -> record, marked ones only."""
    found = {}
    for cell in cells:
        if cell.kind == "check":
            record = key.exercise(cell.name)
            if not isinstance(record, Prediction):
                found[cell.id] = record
    return found


def make_job(intake: Intake, key: Lesson, card: Numbers, seed: str, limits: Limits) -> Job:
    """Return the job: every code cell in order, and in the place of a check what it asks."""
    steps: list[Step] = []
    records = asked(intake.cells, key)
    for cell in intake.cells:
        if cell.id in records:
            record = records[cell.id]
            asks = tuple(record.asks(card, seed))
            steps.append(Step(cell.id, asks=asks))
            steps += [Step(cell.id, asks=asks, define=source)
                      for source in _typed(intake, record).values()]  # fmt: skip
        elif not cell.is_markdown and cell.kind not in _QUIET:
            steps.append(Step(cell.id, run=cell.source))
    files = {name: base64.b64encode(data).decode() for name, data in sorted(intake.files.items())}
    return Job(tuple(steps), {key.slug: card.as_dict()}, files, limits)


def _typed(intake: Intake, record: Exercise) -> dict[str, str]:
    """Return the sources of a function that was answered as text: place -> source."""
    if not isinstance(record, Function):
        return {}
    given = {"text": intake.written.get(record.name), "log": intake.logged.get(record.name)}
    start = next((cell.source for cell in intake.cells if cell.kind == "answer"
                  and cell.name == record.name and not cell.touched), "")  # fmt: skip
    return {place: record.from_text(text, start) for place, text in given.items()
            if isinstance(text, str) and text.strip()}  # fmt: skip


def judge(
    intake: Intake, key: Lesson, card: Numbers, seed: str, job: Job, result: Result,
    past: Past | None = None,
) -> Marks:  # fmt: skip
    """Compare what came back with the key."""
    past = past or Past()
    outcomes: dict[str, list[Outcome]] = {}
    for step, outcome in zip(job.steps, result.outcomes, strict=True):
        outcomes.setdefault(step.cell, []).append(outcome)
    earlier: dict[str, Any] = {}
    marks, notes = [], list(intake.notes)
    versions: dict[str, str] = {}
    records = asked(intake.cells, key)
    stopped = _stopped(intake, outcomes)
    for cell_id, record in records.items():
        places = _places(intake, record, outcomes[cell_id])
        mark, value = _mark(intake, key, record, card, seed, places, earlier)
        if record.keeps_versions:
            mark = _with_past(mark, record, card, value, past)
            if isinstance(value, str) and mark.design and not rubric.mark(value).trouble:
                versions[record.name] = value
                if rubric.is_demo(value):
                    notes.append("The design is the demo's, unchanged.")
        why = stopped.get(record.name, "") if mark.slip == "empty" else ""
        read = "" if mark.slip == "empty" else mark_words.as_read(intake, record, mark.place, value)
        marks.append(replace(mark, cell=cell_id, text=mark.text + why, answer=read,
                             given=mark_words.compared(value)))  # fmt: skip
        if type(value) in (str, int, float):
            earlier[record.name] = value
    checked = {record.name for record in records.values()}
    for cell in intake.cells:
        if cell.kind == "write" and cell.name not in checked:
            record = key.exercise(cell.name)
            credit, slip = (None, None) if cell.touched else (0.0, "empty")
            read = mark_words.as_read(intake, record, "cell", cell.source if cell.touched else "")
            marks.append(Mark(cell.id, key.id(record), record.title, record.points, credit, slip, "",
                              answer=read, by_person=record.points))  # fmt: skip
    for cell in intake.cells:
        for outcome in outcomes.get(cell.id, []):
            if outcome.left_out:
                notes.append(f"{cell.id}: left out, because it {outcome.left_out}.")
    outputs = {cell: tuple(o for one in several for o in _outputs(one))
               for cell, several in outcomes.items()}  # fmt: skip
    return Marks(tuple(marks), outputs, tuple(dict.fromkeys(notes)), result.seconds, versions,
                 intake.minutes)  # fmt: skip


def _with_past(mark: Mark, record: Exercise, card: Numbers, value: Any, past: Past) -> Mark:
    """Return the mark of a design: the best of each criterion, a person's points still open."""
    before = [text for text in past.versions.get(record.name, ()) if text != value]
    verdict = record.judge_after(before, past.cap, [value], card)
    if verdict.design is None:
        return mark
    credit = verdict.design.percent(human=0, cap=past.cap) / 100
    text = mark_words.told(record, verdict, value, card) + mark_words.FROM[mark.place]
    return replace(mark, credit=credit, slip=verdict.slip, design=verdict.design, cap=past.cap,
                   text=text)  # fmt: skip


def _stopped(intake: Intake, outcomes: Mapping[str, Sequence[Outcome]]) -> dict[str, str]:
    """Say of answer cells that did not get to their end what stopped them."""
    found = {}
    for cell in intake.cells:
        if cell.kind == "answer":
            for outcome in outcomes.get(cell.id, ()):
                for output in outcome.outputs:
                    if output["output_type"] == "error":
                        words = f"{output['ename']}: {output['evalue'][:200]}"
                        found[cell.name] = f" Its cell stopped with {words}."
    return found


def _outputs(outcome: Outcome) -> tuple[dict[str, Any], ...]:
    if not outcome.left_out:
        return outcome.outputs
    words = f"This cell was left out while marking, because it {outcome.left_out}."
    return ({"output_type": "stream", "name": "stderr", "text": words + "\n"},)


def _places(intake: Intake, record: Exercise, outcomes: Sequence[Outcome]) -> dict[str, Outcome]:
    """Return where an answer may stand, in the order in which the places count."""
    places = {"cell": outcomes[0]}
    if isinstance(record, Function):
        typed = dict(zip(_typed(intake, record), outcomes[1:], strict=True))
        written = any(c.kind == "answer" and c.name == record.name and c.touched
                      for c in intake.cells)  # fmt: skip
        # a function as it was handed out gives results too, but is no answer
        return {**places, **typed} if written else {**typed, **places}
    for cell in intake.cells:
        if cell.kind == "write" and cell.name == record.name and cell.touched:
            places = {"cell": Outcome(values=(cell.source,))}
    for place, given in (("text", intake.written), ("log", intake.logged)):
        if record.name in given:
            places[place] = Outcome(values=(given[record.name],))
    return places


def _mark(
    intake: Intake, key: Lesson, record: Exercise, card: Numbers, seed: str,
    places: Mapping[str, Outcome], earlier: Mapping[str, Any],
) -> tuple[Mark, Any]:  # fmt: skip
    """Judge one exercise by the first place that holds an answer."""
    readings = key.earlier(earlier)
    judged = {place: _judged(record, outcome, card, readings, seed)
              for place, outcome in places.items()}  # fmt: skip
    if _as_handed_out(intake, record) and not judged["cell"].credit and not places["cell"].left_out:
        untouched = [plain.Fault(UNTOUCHED)] * len(record.asks(card, seed))
        judged["cell"] = record.judge(untouched, card, readings, seed)
    place = next((p for p, verdict in judged.items() if not verdict.empty), "cell")
    verdict, values = judged[place], places[place].values
    if isinstance(record, Function) and verdict.credit:
        code = [cell.source for cell in intake.cells if not cell.is_markdown]
        source = _typed(intake, record).get(place) or source_of(code, record.name)
        if leans_on_solarlib(source):
            verdict = record.borrowed()
    value = values[0] if values else None
    # there is nothing to read in a text that was left empty
    credit = 0.0 if verdict.empty else verdict.credit
    mark = Mark("", key.id(record), record.title, record.points, credit if record.points else None,
                verdict.slip, mark_words.told(record, verdict, value, card) + mark_words.FROM[place],
                place, by_person=mark_words.left_to_a_person(record))  # fmt: skip
    return mark, value


def _as_handed_out(intake: Intake, record: Exercise) -> bool:
    """Tell whether a function to write is still the one of the lesson: nobody's answer, no slip."""
    own = re.compile(rf"^\s*(?:def\s+{record.name}\b|{record.name}\s*[=:])", re.MULTILINE)
    return isinstance(record, Function) and not any(
        cell.touched if cell.name == record.name else own.search(cell.source)
        for cell in intake.cells if cell.kind in ("answer", "extra") and not cell.is_markdown
    )  # fmt: skip


def _judged(
    record: Exercise, outcome: Outcome, card: Numbers, earlier: Mapping[str, float], seed: str
) -> Verdict:
    credit = 0.0 if record.points else None
    if outcome.left_out:
        return Verdict(credit, "left out", f"Not marked: asking for “{record.name}” "
                       f"{outcome.left_out}.")  # fmt: skip
    try:
        return record.judge(list(outcome.values), card, earlier, seed)
    except Exception as error:  # a fault of the key must not stop the class
        says = f"The key has a fault here ({type(error).__name__}: {error}); tell whoever wrote it."
        return Verdict(credit, "key fault", says)


def as_data(marks: Marks) -> dict[str, Any]:
    """Return marks as plain data, for the record that reports are made from."""
    return {
        "marks": [{**vars(mark), "score": mark.score, "waits": mark.waits,
                   "design": rubric.as_data(mark.design) if mark.design else None}
                  for mark in marks.marks],
        "notes": list(marks.notes),
        "seconds": marks.seconds,
        "minutes": dict(marks.minutes),
    }
