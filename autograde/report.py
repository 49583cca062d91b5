"""What the class did: a page for the instructor, feedback for each learner, tables for an LMS.

In: the recorded marks of a lesson, overrides and the roster. Out: ``marks/LESSON.html`` (which
exercise went wrong how, with pictures and words), ``marks/LESSON points.csv`` (a line a learner)
and ``marks/LESSON exercises.csv``, and one feedback page a learner. Hidden inputs are shown nowhere.
"""

from __future__ import annotations

import base64
import csv
import hashlib
import html
import io
import os
import random
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from autograde.classes import ROSTER, Learner, read_marks, read_overrides, read_roster
from autograde.gradebook import in_a_table
from autograde.marking import MarkingError

NOT_GRADED = "not graded"
BOUNDARIES = (50.0, 70.0, 85.0)  # percent; work this near one is read by a second person
NEAR = 2.0
SAMPLE = 0.10
_STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:60em;margin:2em auto;padding:0 1em;color:#1a1a1a;"
    "background:#fff}table{border-collapse:collapse}th,td{border:1px solid #767676;"
    "padding:.2em .6em;text-align:left}img{max-width:100%}"
)


class ClassReport:
    """The marks of one lesson with overrides applied, and what they say about the class."""

    def __init__(self, folder: Path, lesson: str):
        from autograde.lesson import load

        self.folder, self.source = folder, load(lesson)
        self.lesson = self.source.name
        self.marks = read_marks(folder, self.lesson)
        if not self.marks:
            raise MarkingError(f"{self.lesson} is not marked yet; run: python -m autograde grade "
                               f"{folder} {self.lesson}")  # fmt: skip
        roster = folder / ROSTER
        self.roster = read_roster(roster) if roster.is_file() else [Learner(w) for w in self.marks]
        self.overrides = read_overrides(folder, self.lesson)

    def rows(self, learner: str) -> list[dict[str, Any]]:
        """Return a learner's marks; `given` is what counts, None while a person must decide."""
        found = []
        for mark in self.marks.get(learner, {}).get("marks", []):
            entry = self.overrides.get((learner, mark["exercise"]))
            found.append({**mark, "given": entry["points"] if entry else mark["score"],
                          "reason": entry["reason"] if entry else ""})  # fmt: skip
        return found

    def percent(self, learner: str) -> float | None:
        """Return the share of the points that are decided [%], None when there are none."""
        rows = [row for row in self.rows(learner) if row["given"] is not None]
        most = sum(row["points"] for row in rows)
        return 100 * sum(row["given"] for row in rows) / most if most else None

    def exercises(self) -> list[tuple[str, str]]:
        """Return (id, title) of every exercise that was marked, in the lesson's order."""
        first = next(iter(self.marks.values()))
        return [(mark["exercise"], mark["title"]) for mark in first["marks"]]

    def slips(self) -> Counter[tuple[str, str]]:
        """Count recognised slips: (exercise, slip) -> learners."""
        return Counter((row["exercise"], row["slip"]) for who in self.marks
                       for row in self.rows(who) if row["slip"] and row["slip"] != "empty")  # fmt: skip

    def second_reading(self) -> list[str]:
        """Return whom a second person reads: a tenth by lot, and all near a boundary."""
        names = sorted(self.marks)
        lot = random.Random(hashlib.sha256("\0".join([self.lesson, *names]).encode()).hexdigest())
        chosen = set(lot.sample(names, max(1, round(SAMPLE * len(names)))))
        for name in names:
            percent = self.percent(name)
            if percent is not None and any(abs(percent - b) <= NEAR for b in BOUNDARIES):
                chosen.add(name)
        return sorted(chosen)

    def likenesses(self) -> list[str]:
        """Return sentences on equal files, for a person to look at; never a verdict."""
        same: dict[str, list[str]] = {}
        for who in sorted(self.marks):
            path = self.folder / "submitted" / who / self.lesson / f"{self.lesson}.ipynb"
            if path.is_file() and not path.is_symlink():
                same.setdefault(hashlib.sha256(path.read_bytes()).hexdigest(), []).append(who)
        return [f"{', '.join(names)} handed in the same file, byte for byte."
                for names in same.values() if len(names) > 1]  # fmt: skip


def write_tables(report: ClassReport) -> list[Path]:
    """Write a table of points and one of exercises, as an LMS imports them."""
    points: list[list[Any]] = [["id", "name", "email", "points", "of", "percent"]]
    head = [name for name, _ in report.exercises()]
    single: list[list[Any]] = [["id", *head]]
    for learner in report.roster:
        rows = report.rows(learner.id)
        given = {row["exercise"]: row["given"] for row in rows}
        percent = report.percent(learner.id)
        got = sum(row["given"] or 0 for row in rows) if rows else NOT_GRADED
        points.append([learner.id, learner.name, learner.email, got,
                       sum(row["points"] for row in rows) if rows else "",
                       NOT_GRADED if percent is None else round(percent, 1)])  # fmt: skip
        single.append([learner.id, *(NOT_GRADED if given.get(n) is None else given[n]
                                     for n in head)])  # fmt: skip
    made = []
    for word, table in (("points", points), ("exercises", single)):
        path = report.folder / "marks" / f"{report.lesson} {word}.csv"
        buffer = io.StringIO(newline="")
        csv.writer(buffer).writerows([[in_a_table(cell) for cell in row] for row in table])
        made.append(_write(path, buffer.getvalue(), "utf-8-sig"))
    return made


def write_page(report: ClassReport) -> Path:
    """Write the page for the instructor."""
    slips, names = report.slips(), dict(report.exercises())
    parts = [f"<p>{len(report.marks)} of {len(report.roster)} learners handed in marked work.</p>",
             "<h2>Points</h2>", _picture(*_distribution(report)),
             "<h2>Which exercise went wrong how</h2>", _picture(*_heat_map(report)),
             _slip_table(report, slips), "<h2>What to say tomorrow</h2>"]  # fmt: skip
    for (exercise, slip), count in slips.most_common(3):
        record = report.source.key.exercise(exercise)
        hint = next((s.hint for s in record.slips if s.name == slip and isinstance(s.hint, str)), "")
        parts.append(f"<h3>{_e(names.get(exercise, exercise))}: {_e(slip)} ({count})</h3>"
                     f"<p>{_e(hint) or 'The nudge of the exercise tells more.'} The part of the "
                     f"lesson just above this exercise answers it.</p>")  # fmt: skip
    parts.append("<h2>For a second reader</h2><p>A tenth by lot, and all within "
                 f"{NEAR:g} points of {', '.join(f'{b:g}' for b in BOUNDARIES)} percent: "
                 f"{_e(', '.join(report.second_reading()))}.</p>")  # fmt: skip
    alike = report.likenesses() or ["No two files are the same."]
    parts.append("<h2>To look at</h2><p>A likeness proves nothing; talk to the people.</p><ul>"
                 + "".join(f"<li>{_e(line)}</li>" for line in alike) + "</ul>")  # fmt: skip
    page = _page(f"{report.source.key.title}: the class", "".join(parts))
    return _write(report.folder / "marks" / f"{report.lesson}.html", page)


def write_feedback(report: ClassReport) -> list[Path]:
    """Write a page of feedback for each learner."""
    made = []
    for who in report.marks:
        items = []
        for row in report.rows(who):
            got = "a person marks this" if row["given"] is None else f"{row['given']:g}"
            why = f"<p>Changed by a person: {_e(row['reason'])}</p>" if row["reason"] else ""
            items.append(f"<h2>{_e(row['title'] or row['exercise'])}</h2><p><strong>{got} of "
                         f"{row['points']:g} points.</strong> {_e(row['text'])}</p>{why}")  # fmt: skip
        page = _page(f"{report.source.key.title}: feedback for {who}", "".join(items))
        made.append(_write(report.folder / "feedback-pages" / who / f"{report.lesson}.html", page))
    return made


def _distribution(report: ClassReport) -> tuple[Any, str]:
    from matplotlib.figure import Figure

    percents = [p for p in (report.percent(who) for who in report.marks) if p is not None]
    figure = Figure(figsize=(7, 2.6))
    axes = figure.add_axes((0.10, 0.20, 0.87, 0.74))
    counts, _, _ = axes.hist(percents, bins=range(0, 101, 10), color="#bbbbbb", edgecolor="#1a1a1a")
    axes.set_xlabel("percent of the decided points")
    axes.set_ylabel("learners")
    said = ", ".join(f"{int(n)} from {10 * k} to {10 * k + 10}" for k, n in enumerate(counts) if n)
    return figure, f"Learners by percent of the decided points: {said or 'none'}."


def _heat_map(report: ClassReport) -> tuple[Any, str]:
    from matplotlib.figure import Figure

    names, learners = report.exercises(), sorted(report.marks)
    shares = [[next((r["given"] / r["points"] for r in report.rows(who) if r["exercise"] == name
                     and r["given"] is not None and r["points"]), float("nan"))
               for who in learners] for name, _ in names]  # fmt: skip
    figure = Figure(figsize=(7, 0.6 + 0.3 * len(names)))
    axes = figure.add_axes((0.40, 0.16, 0.58, 0.80))
    axes.imshow(shares, cmap="gray", vmin=-0.3, vmax=1, aspect="auto", interpolation="nearest")
    axes.set_yticks(range(len(names)), [title or name for name, title in names], fontsize=8)
    axes.set_xticks([])
    axes.set_xlabel("learners; light: full points, dark: none, white gap: not graded")
    hard = min(names, key=lambda n: sum(r["given"] or 0 for w in learners for r in report.rows(w)
                                        if r["exercise"] == n[0]))  # fmt: skip
    return figure, f"Share of the points by exercise and learner. Fewest points: {hard[1] or hard[0]}."


def _slip_table(report: ClassReport, slips: Counter[tuple[str, str]]) -> str:
    names = dict(report.exercises())
    rows = "".join(f"<tr><td>{_e(names.get(e, e))}</td><td>{_e(s)}</td><td>{n}</td></tr>"
                   for (e, s), n in slips.most_common())  # fmt: skip
    return ("<table><thead><tr><th scope=col>exercise</th><th scope=col>slip</th><th scope=col>"
            f"learners</th></tr></thead><tbody>{rows}</tbody></table>") if rows else (
            "<p>No known slip was made.</p>")  # fmt: skip


def _picture(figure: Any, words: str) -> str:
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=110)
    data = base64.b64encode(buffer.getvalue()).decode()
    return (f'<figure><img alt="{_e(words)}" src="data:image/png;base64,{data}">'
            f"<figcaption>{_e(words)}</figcaption></figure>")  # fmt: skip


def _page(title: str, body: str) -> str:
    return (f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{_e(title)}</title>'
            f"<style>{_STYLE}</style></head><body><main><h1>{_e(title)}</h1>{body}</main></body>"
            "</html>\n")  # fmt: skip


def _e(text: Any) -> str:
    return html.escape(str(text))


def _write(path: Path, text: str, encoding: str = "utf-8") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.unfinished")
    unfinished.write_text(text, encoding=encoding, newline="")
    os.replace(unfinished, path)
    return path


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde report FOLDER LESSON`."""
    from autograde.lesson import LessonError

    if len(argv) != 2:
        print("Name the class and the lesson: report FOLDER LESSON")
        return 2
    try:
        report = ClassReport(Path(argv[0]), argv[1])
        tables = write_tables(report)
        page, pages = write_page(report), write_feedback(report)
    except (MarkingError, LessonError, OSError) as error:
        print(error)
        return 2
    print(f"The class: {page}. Tables: {', '.join(str(t) for t in tables)}. Feedback: "
          f"{len(pages)} pages in {pages[0].parent.parent if pages else report.folder}.")  # fmt: skip
    return 0
