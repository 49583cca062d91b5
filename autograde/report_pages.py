"""Pages about a marked class: one for the instructor, one of feedback for each learner.

In: a `ClassReport`. Out: ``marks/LESSON.html`` (which exercise went wrong how, with pictures and
words) and ``feedback-pages/LEARNER/LESSON.html``. Ids stand on them, no names; hidden inputs are
shown nowhere, and nothing a learner wrote can run.
"""

from __future__ import annotations

import base64
import html
import io
from collections import Counter
from pathlib import Path
from statistics import median
from typing import Any

from autograde import rubric
from autograde.report import BOUNDARIES, NEAR, ClassReport
from solarlib.files import write_whole

_MOST_SLIPS = 3  # columns of known slips in the map
_STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:60em;margin:2em auto;padding:0 1em;color:#1a1a1a;"
    "background:#fff}table{border-collapse:collapse}th,td{border:1px solid #767676;"
    "padding:.2em .6em;text-align:left;vertical-align:top}img{max-width:100%}figure{margin:1em 0}"
    "caption{text-align:left;font-weight:bold}"
    ".told{white-space:pre-line}"
)


def write_page(report: ClassReport) -> Path:
    """Write the page for the instructor."""
    by_lot, near = report.second_reading()
    bounds = ", ".join(f"{b:g}" for b in BOUNDARIES)
    parts = [f"<p>{len(report.marks)} of {len(report.roster)} learners handed in marked work.</p>",
             "<h2>Points</h2>", _picture(*_distribution(report)),
             "<h2>Which exercise went wrong how</h2>", _picture(*_heat_map(report)),
             _map_table(report), "<h2>What to say tomorrow</h2>", _slips(report),
             "<h2>Time needed</h2>", f"<p>{_e(report.time_needed())}</p>",
             _criteria(report), "<h2>For a second reader</h2>",
             f"<p>A tenth by lot: {_e(', '.join(by_lot))}.</p><p>Within {NEAR:g} points of {bounds} "
             f"percent: {_e(', '.join(near) or 'nobody')}.</p>",
             "<h2>To look at</h2>", _likenesses(report)]  # fmt: skip
    page = _page(f"{report.source.key.title}: the class", "".join(parts))
    return _write(report.folder / "marks" / f"{report.lesson}.html", page)


def write_feedback(report: ClassReport) -> list[Path]:
    """Write a page of feedback for each learner."""
    made = []
    for who in report.marks:
        items = [_feedback(row) for row in report.rows(who)]
        page = _page(f"{report.source.key.title}: feedback for {who}", "".join(items))
        made.append(_write(report.folder / "feedback-pages" / who / f"{report.lesson}.html", page))
    return made


def _feedback(row: dict[str, Any]) -> str:
    if not row["points"]:
        got = "Without points."
    elif row["given"] is None:
        got = f"A person gives up to {row['points']:g} points for this."
    else:
        got = f"{row['given']:g} of {row['points']:g} points."
        got += f" A person may add up to {row['open']:g}." if row["open"] else ""
    why = f"<p>From a person: {_e(row['reason'])}</p>" if row["reason"] else ""
    title = f"<h2>{_e(row['title'] or row['exercise'])}</h2><p><strong>{_e(got)}</strong></p>"
    if not row["design"]:
        return f'{title}<p class=told>{_e(row["text"])}</p>{why}'
    return title + _design(row) + why


def _design(row: dict[str, Any]) -> str:
    """Show a design's criteria, each with its reason; gates first."""
    marked = rubric.from_data(row["design"])
    if marked.trouble:
        return f"<p>{_e(marked.trouble)}</p>"
    human = row["human"]
    share = sum(human.values()) if human else None
    gates = "".join(f"<li>{_e(gate)}</li>" for gate in marked.gates)
    lines = "".join(
        f"<tr><td>{_e(c.id)}</td><td>{_e(c.title)}</td><td>{c.got:g} of {c.automatic:g}</td>"
        f"<td>{_of_person(c, human)}</td><td>{_e(c.reason)}</td></tr>"
        for c in marked.criteria
    )
    return (
        f"<p>{_e(marked.clearance)}. Next: {_e(marked.ladder(share, row['cap']))}.</p>"
        + (f"<p>Open gates:</p><ul>{gates}</ul>" if gates else "")
        + "<table><caption>The criteria</caption><thead><tr><th scope=col>no.</th>"
        "<th scope=col>criterion</th><th scope=col>by "
        "machine</th><th scope=col>by a person</th><th scope=col>why</th></tr></thead><tbody>"
        + lines + "</tbody></table><p>100 points of the rubric are "
        f"{row['points']:g} points of this exercise.</p>"
    )  # fmt: skip


def _of_person(criterion: rubric.Criterion, human: dict[str, float]) -> str:
    if not criterion.human:
        return "none"
    if criterion.id in human:
        return f"{human[criterion.id]:g} of {criterion.human:g}"
    return f"open, up to {criterion.human:g}"


# --- parts of the instructor's page ----------------------------------------------------------------
def _slips(report: ClassReport) -> str:
    names, found = dict(report.exercises()), []
    for (exercise, slip), count in report.slips().most_common(3):
        record = report.source.key.exercise(exercise)
        made = next((s for s in record.slips if s.name == slip), None)
        # a text that names a learner's own number is not for a whole class
        told = next((text for text in (made.hint, made.nudge) if isinstance(text, str)
                     and text and "{" not in text), "") if made else ""  # fmt: skip
        many = "learner" if count == 1 else "learners"
        parts = " and ".join(f"“{part}”" for part in report.parts(exercise))
        found.append(f"<h3>{_e(names.get(exercise, exercise))}: {_e(slip)} ({count} {many})</h3>"
                     f"<p>{_e(told)} Answered in the lesson by {_e(parts)}.</p>")  # fmt: skip
    return "".join(found) or "<p>No known slip was made.</p>"


def _criteria(report: ClassReport) -> str:
    """Show what a rubric's criteria brought, worst first."""
    shares: dict[tuple[str, str], list[float]] = {}
    for who in report.marks:
        for row in report.rows(who):
            for c in rubric.from_data(row["design"]).criteria if row["design"] else ():
                shares.setdefault((c.id, c.title), []).append(100 * c.got / c.automatic)
    if not shares:
        return ""
    worst = sorted(shares.items(), key=lambda item: sum(item[1]) / len(item[1]))
    lines = "".join(f"<tr><td>{_e(i)}</td><td>{_e(t)}</td><td>{median(s):.0f} %</td>"
                    f"<td>{sum(x >= 100 for x in s)} of {len(s)}</td></tr>"
                    for (i, t), s in worst)  # fmt: skip
    return ("<h2>The rubric</h2><table><caption>All criteria, worst first</caption>"
            "<thead><tr><th scope=col>no.</th><th scope=col>criterion</th>"
            "<th scope=col>middle learner</th><th scope=col>full</th></tr></thead><tbody>"
            f"{lines}</tbody></table>")  # fmt: skip


def _likenesses(report: ClassReport) -> str:
    found = report.likenesses()
    first = ("<p>These are hints for a person, no finding. People who learn together make the same "
             "slips, and a value can be like another by chance. Talk with them first.</p>")  # fmt: skip
    if not found:
        return "<p>Nothing stands out.</p>"
    return first + "<ul>" + "".join(f"<li>{_e(one.says)}</li>" for one in found) + "</ul>"


# --- pictures ------------------------------------------------------------------------------------
def _distribution(report: ClassReport) -> tuple[Any, str]:
    from matplotlib.figure import Figure
    from matplotlib.ticker import MaxNLocator

    percents = [p for p in (report.percent(who) for who in report.marks) if p is not None]
    figure = Figure(figsize=(7, 2.6))
    axes = figure.add_axes((0.10, 0.20, 0.87, 0.74))
    counts, _, _ = axes.hist(percents, bins=range(0, 101, 10), color="#bbbbbb", edgecolor="#1a1a1a")
    axes.set_xlabel("percent of the decided points")
    axes.set_ylabel("learners")
    axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    said = ", ".join(f"{int(n)} from {10 * k} to {10 * k + 10}" for k, n in enumerate(counts) if n)
    return figure, f"Learners by percent of the decided points: {said or 'none'}."


def _mapped(report: ClassReport) -> list[tuple[str, list[tuple[str, int]]]]:
    """Return for each exercise the fields of the map: (what, how many learners)."""
    found = []
    for name, title in report.exercises():
        rows = [row for who in report.marks for row in report.rows(who) if row["exercise"] == name]
        slips = Counter(row["slip"] for row in rows if row["slip"] and _kind(row) == "slip")
        kinds = Counter(_kind(row) for row in rows)
        known = [(str(slip), count) for slip, count in slips.most_common(_MOST_SLIPS)]
        rest = sum(slips.values()) - sum(count for _, count in known)
        found.append((title, [("right", kinds["right"]),
                              *known, *[("", 0)] * (_MOST_SLIPS - len(known)),
                              ("another way", kinds["other"] + rest), ("no answer", kinds["empty"]),
                              ("a person marks", kinds["person"])]))  # fmt: skip
    return found


def _kind(row: dict[str, Any]) -> str:
    if row["slip"] == "empty":
        return "empty"
    if row["credit"] is None:
        return "person"
    if row["credit"] == 1 or (row["design"] and row["score"] >= row["points"] - row["waits"] - 1e-9):
        return "right"
    return "slip" if row["slip"] else "other"


_COLUMNS = ("right", *(f"slip {n + 1}" for n in range(_MOST_SLIPS)), "wrong in\nanother way",
            "no answer", "a person\nmarks")  # fmt: skip


def _heat_map(report: ClassReport) -> tuple[Any, str]:
    from matplotlib.figure import Figure

    mapped = _mapped(report)
    counts = [[count for _, count in fields] for _, fields in mapped]
    figure = Figure(figsize=(9, 1.1 + 0.42 * len(mapped)))
    axes = figure.add_axes((0.24, 0.02, 0.75, 0.96 - 0.55 / (1.1 + 0.42 * len(mapped))))
    most = max(1, len(report.marks))
    axes.imshow(counts, cmap="Greys", vmin=0, vmax=2.0 * most, aspect="auto")
    for y, (_, fields) in enumerate(mapped):
        for x, (what, count) in enumerate(fields):
            if count:
                words = f"{count}\n{what[:22]}" if 1 <= x <= _MOST_SLIPS else str(count)
                axes.text(x, y, words, ha="center", va="center", fontsize=7)
    axes.set_yticks(range(len(mapped)), [title[:34] for title, _ in mapped], fontsize=8)
    axes.set_xticks(range(len(_COLUMNS)), _COLUMNS, fontsize=8)
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    hard = min(mapped, key=lambda item: item[1][0][1])
    return figure, (f"Learners by exercise and what they did: the darker, the more. Fewest right "
                    f"answers: {hard[0]}, {hard[1][0][1]} of {len(report.marks)}.")  # fmt: skip


def _map_table(report: ClassReport) -> str:
    """The same map as words."""
    lines = ""
    for title, fields in _mapped(report):
        told = "; ".join(f"{what} {count}" for what, count in fields if count)
        lines += f"<tr><td>{_e(title)}</td><td>{_e(told or 'nothing')}</td></tr>"
    return ("<table><caption>The same in words</caption><thead><tr><th scope=col>exercise</th>"
            "<th scope=col>what learners did, and how "
            f"many</th></tr></thead><tbody>{lines}</tbody></table>")  # fmt: skip


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


def _write(path: Path, text: str) -> Path:
    write_whole(path, text.encode())
    return path
