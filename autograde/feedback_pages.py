"""A page of feedback for each learner: points, the own answer, and what to do about it.

In: a `ClassReport`. Out: ``feedback-pages/LEARNER/LESSON.html``. Ids stand on them, no names; hidden
inputs are shown nowhere, and nothing a learner wrote can run.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from autograde import rubric
from autograde.due import late_in_words
from autograde.html_page import e, table, write_page
from autograde.report import ClassReport, by_this_clock

_ONE_LINE = 120  # letters; a longer answer stands in a box of its own


def write_feedback(report: ClassReport, learners: Sequence[str] = ()) -> list[Path]:
    """Write a page of feedback for each learner, or for some."""
    made = []
    for who in learners or report.marks:
        items = [_feedback(report.numbered(row["exercise"]), row) for row in report.rows(who)]
        path = report.folder / "feedback-pages" / who / f"{report.lesson}.html"
        title = f"{report.source.key.title}: feedback for {who}"
        made.append(write_page(path, title, _head(report, who) + "".join(items)))
    return made


def _head(report: ClassReport, who: str) -> str:
    """Say whose page it is, what it comes to, and when that was."""
    data, times = report.marks[who], report.handed_in(who)
    marked = str(data.get("marked", ""))[:16].replace("T", " ") or "at a time that nobody noted"
    said = [f"Learner {who}, lesson {report.lesson}, marked {marked}."]
    if came := by_this_clock(times.handed_in):
        late = late_in_words(times.seconds_late)
        said.append(f"Handed in {came}, {late} late; that costs no points here." if late else
                    f"Handed in {came}.")  # fmt: skip
    if not data.get("readable", True):
        said.append("No notebook could be read in what you handed in. Talk to your instructor and "
                    "hand it in again.")  # fmt: skip
    return f"<p><strong>{e(report.sums(who).told)}</strong></p><p>{e(' '.join(said))}</p>"


def _feedback(numbered: str, row: dict[str, Any]) -> str:
    name = row["title"] or row["exercise"]
    if not row["points"]:
        got = "Without points."
    elif row["given"] is None:
        got = f"A person gives up to {row['points']:g} points for this."
    else:
        got = f"{row['given']:g} of {row['points']:g} points."
        got += f" A person may add up to {row['open']:g}." if row["open"] else ""
    if numbered and numbered.partition(" ")[2] != name:
        stop = "" if name.endswith(("?", "!", ".")) else ":"
        got = f"{name}{stop} {got}"
    why = f"<p>From a person: {e(row['reason'])}</p>" if row["reason"] else ""
    title = f"<h2>{e(numbered or name)}</h2><p><strong>{e(got)}</strong></p>"
    if not row["design"]:
        return f'{title}{_answer(row)}<p class=told>{e(row["text"])}</p>{why}'
    return title + _design(row) + why


def _answer(row: dict[str, Any]) -> str:
    """Show what the learner gave, beside what is said about it."""
    text = row["answer"]
    if not text:
        return ""
    if len(text) <= _ONE_LINE and "\n" not in text:
        return f"<p>Your answer: “{e(text)}”</p>"
    return f"<p>Your answer:</p><pre>{e(text)}</pre>"


def _design(row: dict[str, Any]) -> str:
    """Show a design's criteria, each with its reason; gates first."""
    marked = rubric.from_data(row["design"])
    if marked.trouble:
        return f"<p>{e(marked.trouble)}</p>"
    human = row["human"]
    share = sum(human.values()) if human else None
    gates = "".join(f"<li>{e(gate)}</li>" for gate in marked.gates)
    lines = [(e(c.id), e(c.title), f"{c.got:g} of {c.automatic:g}", _of_person(c, human), e(c.reason))
             for c in marked.criteria]  # fmt: skip
    return (
        f"<p>{e(marked.clearance)}. Next: {e(marked.ladder(share, row['cap']))}.</p>"
        + (f"<p>Open gates:</p><ul>{gates}</ul>" if gates else "")
        + table("The criteria", ("no.", "criterion", "by machine", "by a person", "why"), lines)
        + "<p>100 points of the rubric are "
        f"{row['points']:g} points of this exercise.</p>"
    )  # fmt: skip


def _of_person(criterion: rubric.Criterion, human: dict[str, float]) -> str:
    if not criterion.human:
        return "none"
    if criterion.id in human:
        return f"{human[criterion.id]:g} of {criterion.human:g}"
    return f"open, up to {criterion.human:g}"
