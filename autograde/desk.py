"""The marking desk: what waits for a reader, on one static page, with the command to copy.

In: a `ClassReport`. Out: ``marks/LESSON to read.html``. For each written answer the learner's text,
the key points that the check sees and does not see, and the `override` command; for a design, the
criteria that a rubric leaves to a person. Only ids stand there, and nothing a learner wrote can run.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from autograde import rubric
from autograde.html_page import e, link, write_page
from autograde.key import ShortText
from autograde.mark_words import key_points
from autograde.report import ClassReport

_WHY = "read by a person"  # stands in the command until somebody writes a better reason


def desk_name(report: ClassReport) -> str:
    """Return the name of the page, beside the page of the class."""
    return f"{report.lesson} to read.html"


def write_desk(report: ClassReport) -> Path:
    """Write the page with everything that waits for a reader."""
    items = list(_items(report))
    count = len(items)
    first = (f"<p>{count} {'answer waits' if count == 1 else 'answers wait'} for a reader. Copy the line "
             "below a text into a terminal, where you give the other commands, and put your points "
             "and your reason in it. The line as it stands gives full points. Then make this page "
             f"anew with: <code>{e(_report(report))}</code></p>")  # fmt: skip
    body = first + "".join(items) if items else "<p>Nothing waits for a reader.</p>"
    back = f"<p>{link(f'{report.lesson}.html', 'The page of the class')}</p>"
    title = f"{report.source.key.title}: to read and mark"
    return write_page(report.folder / "marks" / desk_name(report), title, body + back)


def waiting(report: ClassReport, learner: str) -> list[dict[str, Any]]:
    """Return a learner's marks in which points wait for a person."""
    return [row for row in report.rows(learner) if row["open"]]


def _items(report: ClassReport) -> Iterator[str]:
    """Yield the waiting answers, one exercise after the other, so that they are read alike."""
    for exercise, title in report.exercises():
        head = report.numbered(exercise) or title
        for who in sorted(report.marks):
            for row in waiting(report, who):
                if row["exercise"] == exercise:
                    shown = _criteria if row["design"] else _text
                    yield (f"<h2>{e(who)}: {e(head)}</h2><p>“{e(title)}” Up to {row['open']:g} of "
                           f"{row['points']:g} points.</p>{shown(report, who, row)}")  # fmt: skip


def _text(report: ClassReport, who: str, row: Mapping[str, Any]) -> str:
    short, text = row["exercise"].rpartition(".")[2], row["answer"]
    record, points = report.source.key.exercise(short), ""
    if isinstance(record, ShortText) and text:
        seen, missing = key_points(record, text, report.course.card(who))
        points = (f"<p>Key points that the check sees: {_listed(seen)}. Not seen: {_listed(missing)}. "
                  "It looks for words only.</p>")  # fmt: skip
    shown = f"<pre>{e(text)}</pre>" if text else (
        "<p>The text was not kept when this was marked; mark the lesson again to see it here.</p>")
    return shown + points + _command(report, who, short, row["points"])


def _listed(points: list[str]) -> str:
    return "; ".join(f"“{e(point)}”" for point in points) or "none"


def _criteria(report: ClassReport, who: str, row: Mapping[str, Any]) -> str:
    """Show the criteria of a design that wait, each with its command."""
    return "".join(
        f"<h3>{e(c.id)} {e(c.title)}</h3><p>Up to {c.human:g} of the rubric's 100 points.</p>"
        + _command(report, who, c.id, c.human)
        for c in rubric.from_data(row["design"]).criteria if c.human and c.id not in row["human"]
    )  # fmt: skip


def _command(report: ClassReport, who: str, what: str, points: float) -> str:
    words = ["python", "-m", "autograde", "override", str(report.folder), report.lesson, who, what,
             f"{points:g}"]  # fmt: skip
    return f'<pre><code>{e(shlex.join(words))} "{e(_WHY)}"</code></pre>'


def _report(report: ClassReport) -> str:
    return shlex.join(["python", "-m", "autograde", "report", str(report.folder), report.lesson])
