"""The instructor's page about a marked lesson: who has what, and which exercise went wrong how.

In: a `ClassReport`. Out: ``marks/LESSON.html``, with pictures and the same in words. Ids stand on it,
no names; hidden inputs are shown nowhere, and nothing a learner wrote can run.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from statistics import median
from typing import Any

from autograde import rubric
from autograde.desk import desk_name, waiting
from autograde.due import late_in_words
from autograde.html_page import e, link, picture, table
from autograde.html_page import write_page as write
from autograde.report import BOUNDARIES, NEAR, ClassReport, by_this_clock

_MOST_SLIPS = 3  # columns of known slips in the map
_SHOWN = 5  # answers that could not be read, on the page
# slips that every kind of exercise can have; the others stand in the lesson's key
_IN_WORDS = {
    "unreadable": "could not be read as an answer",
    "unit": "right but for the unit",
    "error": "the code stopped with an error",
    "left out": "the code came to no end",
    "borrowed": "the function calls the course's library",
    "key fault": "the key has a fault; tell whoever wrote the lesson",
}


def write_page(report: ClassReport) -> Path:
    """Write the page for the instructor."""
    by_lot, near = report.second_reading()
    bounds = ", ".join(f"{b:g}" for b in BOUNDARIES)
    absent = report.missing()
    not_yet = f" Not handed in: {', '.join(absent)}." if absent else ""
    due = {by_this_clock(report.handed_in(who).due) for who in report.marks} - {""}
    not_yet += f" Due {', '.join(sorted(due))}." if due else " No due date is set."
    parts = [f"<p>{len(report.marks)} of {len(report.roster)} learners handed in marked work."
             f"{e(not_yet)}</p>", "<h2>Learners</h2>", _learners(report),
             "<h2>Points</h2>", picture(*_distribution(report)),
             "<h2>Which exercise went wrong how</h2>", picture(*_heat_map(report)),
             _map_table(report), "<h2>What to say tomorrow</h2>", _slips(report),
             "<h2>Time needed</h2>", f"<p>{e(report.time_needed())}</p>",
             _criteria(report), "<h2>For a second reader</h2>",
             f"<p>A tenth by lot: {e(', '.join(by_lot))}.</p><p>Within {NEAR:g} points of {bounds} "
             f"percent: {e(', '.join(near) or 'nobody')}.</p>",
             "<h2>To look at</h2>", _likenesses(report)]  # fmt: skip
    path = report.folder / "marks" / f"{report.lesson}.html"
    return write(path, f"{report.source.key.title}: the class", "".join(parts))


# --- who has what ----------------------------------------------------------------------------------
def _learners(report: ClassReport) -> str:
    """Show each learner of the roster: handed in, late, points, what waits and what is missing."""
    titles = dict(report.exercises())
    rows = [_learner(report, learner.id, titles) for learner in report.roster]
    heads = ("learner", "handed in", "late", "points: the program's part", "a reader's part",
             "waits for a reader", "without an answer")  # fmt: skip
    wait = sum(bool(waiting(report, who)) for who in report.marks)
    desk = "" if not wait else (f"<p>{link(desk_name(report), 'To read and mark')}: the texts of "
                                f"{wait} {'learner' if wait == 1 else 'learners'}.</p>")  # fmt: skip
    times = ("<p>The times are those of timestamp.txt where the work holds one, else of the files, which "
             "copying can change. Lateness is told here and costs nothing by itself.</p>")  # fmt: skip
    return table("Every learner of the roster", heads, rows) + desk + times


def _learner(report: ClassReport, who: str, titles: dict[str, str]) -> list[str]:
    if who not in report.marks:
        return [e(who), "not handed in", *[""] * 5]
    sums, times = report.sums(who), report.handed_in(who)
    page = link(f"../feedback-pages/{who}/{report.lesson}.html", who)
    empty = [titles[row["exercise"]] for row in report.rows(who)
             if row["slip"] == "empty" and row["exercise"] in titles]  # fmt: skip
    waits = [f"{titles.get(row['exercise'], row['exercise'])} ({row['open']:g})"
             for row in waiting(report, who)]  # fmt: skip
    person = f"{sums.given:g} of {sums.by_person:g}" if sums.by_person > sums.open else ""
    on_time = "no" if times.due and times.handed_in else ""
    came = by_this_clock(times.handed_in) or "yes"
    return [page, f"<span class=whole>{e(came)}</span>",
            f"<span class=whole>{e(late_in_words(times.seconds_late) or on_time)}</span>",
            f"{sums.got:g} of {sums.of:g}", person, e("; ".join(waits)), e("; ".join(empty))]  # fmt: skip


# --- what went wrong how ---------------------------------------------------------------------------
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
        name = slip if made else _IN_WORDS.get(slip, slip)
        told = told or _given(report, exercise, slip)
        found.append(f"<h3>{e(names.get(exercise, exercise))}: {e(name)} ({count} {many})</h3>"
                     f"<p>{e(told)} Answered in the lesson by {e(parts)}.</p>")  # fmt: skip
    return "".join(found) or "<p>No known slip was made.</p>"


def _given(report: ClassReport, exercise: str, slip: str) -> str:
    """Say what learners gave where a slip has no words of its own, without saying who."""
    answers = [" ".join(str(row["answer"] or row.get("given") or "").split()) for who in report.marks
               for row in report.rows(who) if (row["exercise"], row["slip"]) == (exercise, slip)]  # fmt: skip
    shown = [f"“{text[:60]}…”" if len(text) > 60 else f"“{text}”" for text in dict.fromkeys(answers) if text]
    more = f" and {len(shown) - _SHOWN} others" if len(shown) > _SHOWN else ""
    return f"Given: {', '.join(shown[:_SHOWN])}{more}." if shown else ""


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
    lines = [(e(i), e(t), f"{median(s):.0f} %", f"{sum(x >= 100 for x in s)} of {len(s)}")
             for (i, t), s in worst]  # fmt: skip
    heads = ("no.", "criterion", "middle learner", "full")
    return "<h2>The rubric</h2>" + table("All criteria, worst first", heads, lines)


def _likenesses(report: ClassReport) -> str:
    found = report.likenesses()
    first = ("<p>These are hints for a person, no finding. People who learn together make the same "
             "slips, and a value can be like another by chance. Talk with them first.</p>")  # fmt: skip
    if not found:
        return "<p>Nothing stands out.</p>"
    return first + "<ul>" + "".join(f"<li>{e(one.says)}</li>" for one in found) + "</ul>"


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
    by_machine = [(fields[0][1], title) for (name, _), (title, fields)
                  in zip(report.exercises(), mapped, strict=True)
                  if report.source.key.exercise(name).marked]  # fmt: skip
    few, title = min(by_machine, key=lambda one: one[0], default=(0, ""))
    hard = f" Fewest right answers: {title}, {few} of {len(report.marks)}." if title else ""
    return figure, f"Learners by exercise and what they did: the darker, the more.{hard}"


def _map_table(report: ClassReport) -> str:
    """The same map as words."""
    lines = []
    for title, fields in _mapped(report):
        told = "; ".join(f"{what} {count}" for what, count in fields if count)
        lines.append((e(title), e(told or "nothing")))
    return table("The same in words", ("exercise", "what learners did, and how many"), lines)
