"""What a teacher reads about a marked class: who made which slip, what counts, what is alike.

Twelve invented learners of lesson 01, each with numbers of their own. Nothing is run: the values
that their cells would give are told; what a slip is stands in the lesson's key. The gradebook is
nbgrader's own, and so are its export and its feedback.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from autograde import classes, overrides, report
from autograde.course import SECRET, open_course
from autograde.gradebook import Gradebook
from autograde.lesson import load
from autograde.marking import mark_class
from autograde.report_pages import write_page
from solarlib import units
from tests import bench

LESSON = "01_parabola"
HONEST = [f"P{n:02d}" for n in range(1, 9)]  # pseudonyms
COPIED, FROM, ALONE = "P09", "P02", "P10"
TEXT = "A short answer, in words of my own, on why one edge is the one that all is measured from. "


def right(course, learner):
    """The right values for a learner's own numbers."""
    card = course.card(learner)
    key = course.source.key
    named = {record.name: record.solution(card) for record in key if record.kind == "number"}
    return {**named, "short_bar": "a", "rib_height": 0.0}


def millimetres(value):
    return units.show(value, "mm", 8)


def values_of(course):
    """What each learner's cells give."""
    given = {who: right(course, who) for who in HONEST}
    depth = course.source.key.exercise("depth")
    for who in HONEST[:3]:  # a known slip, made by three
        given[who]["depth"] = millimetres(depth.slips[0].wrong(course.card(who)))
    given["P04"]["sheet"] = "1.234 m"  # wrong, and nobody's
    given["P05"] = {"depth": right(course, "P05")["depth"]}
    # somebody hands in another's values, who has other numbers
    given[COPIED] = {**right(course, COPIED),
                     **{name: right(course, FROM)[name] for name in ("old_focal_length", "sheet")}}
    given[ALONE] = {}
    return given


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    root = tmp_path_factory.mktemp("class")
    course = bench.class_of(root, load(LESSON))
    (course.folder / SECRET).write_text("a secret of this class")
    (course.folder / classes.ROSTER).write_text(
        "id,name\n" + "".join(f"{who},Name of {who}\n" for who in (*HONEST, COPIED, ALONE, "P11"))
    )
    given = values_of(course)
    for n, who in enumerate(given):
        work = bench.Work(course.source)
        if given[who]:
            work.code(f"# {who}")
            work.answer("rib_height", "def rib_height(x_mm, f_mm):\n    return 0.0 * x_mm")
        if who in ("P06", "P07"):
            work.cell("answer-why_datum" if any("answer-why_datum" in c["id"] for c in work.cells)
                      else "write-why_datum")["source"] = TEXT * 3  # fmt: skip
        if who in ("P01", "P02"):
            work.files["answers.jsonl"] = log(minutes=(0, 4 + n, 10 + n, 200))
        work.hand_in(course, who)
    same = course.folder / "submitted"
    shutil.copy(same / "P08" / LESSON / f"{LESSON}.ipynb", same / "P03" / LESSON)
    list(mark_class(course, Gradebook(course.folder), bench.Told(given)))
    overrides.override(course.folder, LESSON, "P05", "sheet", 2, "measured it on paper")
    assert report.main([str(course.folder), LESSON]) == 0
    return course


def log(minutes):
    lines = []
    for minute, name in zip(minutes, ("depth", "depth", "sheet", "thickest"), strict=True):
        time = f"2026-05-01T{10 + minute // 60:02d}:{minute % 60:02d}:00"
        lines.append(json.dumps({"time": time, "exercise": f"parabola.{name}", "answer": "1 mm",
                                 "credit": 0, "slip": None}))  # fmt: skip
    return "\n".join(lines).encode()


@pytest.fixture(scope="module")
def found(marked):
    return report.ClassReport(marked.folder, LESSON)


@pytest.fixture(scope="module")
def page(marked):
    return (marked.folder / "marks" / f"{LESSON}.html").read_text(encoding="utf-8")


# --- who did what -----------------------------------------------------------------------------------
def test_the_slip_of_three_learners_comes_first_with_the_part_that_answers_it(found, page):
    (top, count), *_ = found.slips().most_common(1)
    assert (top, count) == (("parabola.depth", "full width"), 3)
    assert "Depth of the rib: full width (3 learners)" in page
    assert found.parts("parabola.depth") == ["The idea: one curve, one focus",
                                             "Explore: curve and focus"]  # fmt: skip
    told = "Where does x start? Answered in the lesson by “The idea: one curve, one focus” and “Explore"
    assert told in page
    headings = {line[3:] for c in load(LESSON).cells for line in c.source.splitlines()
                if line.startswith("## ")}  # fmt: skip
    assert {part for name, _ in found.exercises() for part in found.parts(name)} <= headings
    assert "use half of" not in page, "a hint that names a learner's number is not for the class"


def test_the_map_counts_every_learner_once_in_every_row(page):
    rows = re.findall(r"<tr><th scope=row>([^<]+)</th><td>([^<]+)</td></tr>", page)
    assert len(rows) >= 8
    for title, told in rows:
        assert sum(int(n) for n in re.findall(r" (\d+)(?:;|$)", told)) == 10, (title, told)
    depth = dict(rows)["Depth of the rib"]
    assert depth == "right 6; full width 3; no answer 1"


def test_pictures_come_with_words(page):
    images = re.findall(r'<img alt="([^"]+)"', page)
    assert len(images) == 2 and all(len(words) > 40 for words in images)
    assert all(f"<figcaption>{words}</figcaption>" in page for words in images)


def test_time_needed_comes_from_the_logs_and_is_not_known_without(found, page):
    # 0, 4, 10 min and a pause of hours that is left out; the second learner a minute more
    assert found.minutes() == {"P01": {"depth": 4.0, "sheet": 6.0}, "P02": {"depth": 5.0, "sheet": 6.0}}
    assert "half of them needed 10 min or less (10 to 11 min)" in page
    assert "Not known for 8 of 10." in page
    found_without = report.ClassReport(found.folder, LESSON)
    for data in found_without.marks.values():
        data["minutes"] = {}
    assert found_without.time_needed().startswith("Not known: no log of attempts")


def test_a_tenth_by_lot_is_always_the_same_and_all_near_a_boundary(found, marked, monkeypatch):
    by_lot, near = found.second_reading()
    assert len(by_lot) == 1 and by_lot == report.ClassReport(marked.folder, LESSON).second_reading()[0]
    wanted = {who for who in found.marks for bound in (50, 70, 85)
              if abs(found.percent(who) - bound) <= 2}  # fmt: skip
    assert set(near) == wanted
    monkeypatch.setattr(report.ClassReport, "percent", lambda self, who: 68.5 if who < "P03" else 66.0)
    assert found.second_reading()[1] == ["P01", "P02"]


# --- tables -------------------------------------------------------------------------------------------
def table(course, word):
    path = course.folder / "marks" / f"{LESSON} {word}.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        return {row[0]: row for row in csv.reader(file)}


def test_not_graded_is_not_nought(marked):
    points, single = table(marked, "points"), table(marked, "exercises")
    assert points["P11"][3] == points["P11"][5] == "not graded", "handed in nothing"
    assert float(points[ALONE][3]) == 0.0 and float(points[ALONE][5]) == 0.0, "handed in, all empty"
    assert set(single["P11"][1:]) == {"not graded"}
    why = single["id"].index("parabola.why_datum")
    assert single["P06"][why] == "not graded" and single["points possible"][why] == "2"
    got, of, percent, still_open = map(float, points["P06"][3:7])
    assert (of, still_open) == (16.0, 2.0)
    assert percent == pytest.approx(100 * got / 14, abs=0.05), "of the points that are decided"


def test_a_persons_points_are_in_the_tables_from_the_command_and_from_formgrader(marked, tmp_path):
    single = table(marked, "exercises")
    sheet = single["id"].index("parabola.sheet")
    assert single["P05"][sheet] == "2.0"
    copy = tmp_path / "class"
    shutil.copytree(marked.folder, copy)
    with Gradebook(copy)._open() as base:  # as formgrader does it
        grade = base.find_grade("parabola-check-sheet", LESSON, LESSON, ALONE)
        grade.manual_score = 1.5
        base.db.commit()
    rows = report.ClassReport(copy, LESSON).rows(ALONE)
    assert [r["given"] for r in rows if r["exercise"] == "parabola.sheet"] == [1.5]


def test_only_ids_stand_on_pages(marked, page):
    pages = [page, *(p.read_text() for p in (marked.folder / "feedback-pages").rglob("*.html"))]
    assert len(pages) == 11 and not [text for text in pages if "Name of" in text]
    assert table(marked, "points")["P01"][1] == "Name of P01"


# --- hints of copying ---------------------------------------------------------------------------------
def test_another_learners_values_are_hinted_at(found, page):
    values = [one for one in found.likenesses() if one.kind == "values"]
    assert [one.learners for one in values] == [(COPIED, FROM)]
    assert values[0].says == (
        "P09: wrong with P09's own numbers, but what P02's numbers give: Focal length of the old rib "
        "(is right); Width of the sheet (is right). 2 such values."
    )
    assert values[0].says.replace("'", "&#x27;") in page
    for word in ("cheat", "copied", "plagiar", "fraud", "guilty"):
        assert word not in page.lower()
    assert "These are hints for a person, no finding." in page


def test_a_slip_of_another_learners_numbers_is_a_hint_too(marked, tmp_path):
    course = copied(marked, tmp_path)
    other = course.source.key.exercise("depth").slips[0].wrong(course.card("P07"))
    rewrite(course, "P08", "depth", millimetres(other))
    values = [one for one in report.ClassReport(course.folder, LESSON).likenesses()
              if one.kind == "values" and one.learners[0] == "P08"]  # fmt: skip
    assert ("P08", "P07") in [one.learners for one in values]
    assert "the slip “full width” gives" in values[0].says and "can be chance" in values[0].says


def test_slips_with_ones_own_numbers_and_values_of_nobody_are_no_hint(found):
    named = {one.learners[0] for one in found.likenesses() if one.kind == "values"}
    assert named == {COPIED}, "neither the three with the same slip nor P04"


def test_equal_numbers_for_everybody_give_no_hint(marked, tmp_path):
    course = copied(marked, tmp_path)
    (course.folder / SECRET).unlink()
    assert not [one for one in report.ClassReport(course.folder, LESSON).likenesses()
                if one.kind == "values"]  # fmt: skip


def test_the_same_file_and_the_same_text_are_hinted_at(found):
    alike = {one.kind: one.learners for one in found.likenesses() if one.kind != "values"}
    assert alike["file"] == ("P03", "P08")
    assert alike["text"] == ("P06", "P07")


def copied(marked, tmp_path):
    shutil.copytree(marked.folder, tmp_path / "class")
    return open_course(tmp_path / "class", LESSON)


def rewrite(course, who, name, value):
    """Change one recorded answer, judged as the key would."""
    path = course.area / "marks" / LESSON / f"{who}.json"
    data = json.loads(path.read_text())
    verdict = course.source.key.exercise(name).judge([value], course.card(who))
    for mark in data["marks"]:
        if mark["exercise"] == f"parabola.{name}":
            mark.update(given=value, credit=verdict.credit, slip=verdict.slip)
    path.write_text(json.dumps(data))


# --- nothing hidden is shown, nothing runs --------------------------------------------------------------
def test_feedback_shows_no_hidden_input(marked):
    record = marked.source.key.exercise("rib_height")
    for who in HONEST:
        calls = record.calls(marked.card(who), marked.seed(who))
        hidden = [repr(v) for call in calls if call not in map(tuple, record.examples) for v in call
                  if len(repr(v)) > 4]  # fmt: skip
        assert hidden
        ours = (marked.folder / "feedback-pages" / who / f"{LESSON}.html").read_text()
        theirs = (marked.folder / "autograded" / who / LESSON / f"{LESSON}.ipynb").read_text()
        assert "cases are right" in ours and "cases are right" in theirs
        assert not [text for text in hidden if text in ours or text in theirs]


NBGRADER = """
import os, sys
os.environ["PATH"] = os.path.dirname(sys.executable) + os.pathsep + os.environ["PATH"]
from jupyter_core.application import NoStart
from nbgrader.apps import NbGraderApp
os.chdir(sys.argv[1])
for words in (["export"], ["generate_feedback", *sys.argv[2:]]):
    NbGraderApp.clear_instance()
    app = NbGraderApp.instance()
    app.initialize(words)
    try:
        app.start()
    except NoStart:
        pass  # the command itself is done by then
    app.subapp.__class__.clear_instance()
"""


@pytest.fixture(scope="module")
def nbgraders_own(marked):
    """Export and feedback made by nbgrader, with the configuration of the course folder."""
    words = [LESSON, "--student", "P05"]
    done = subprocess.run([sys.executable, "-c", NBGRADER, str(marked.folder), *words],
                          capture_output=True, text=True, timeout=280)  # fmt: skip
    assert done.returncode == 0, done.stderr[-3000:]
    return marked.folder


def test_nbgraders_export_says_the_same(nbgraders_own, marked):
    with (nbgraders_own / "grades.csv").open(newline="") as file:
        rows = {row["student_id"]: row for row in csv.DictReader(file)}
    points = table(marked, "points")
    assert len(rows) == 10 and "P11" not in rows
    assert {who: float(row["score"]) for who, row in rows.items()} == {
        who: float(points[who][3]) for who in rows}  # fmt: skip


def test_nbgraders_feedback_holds_the_words_and_the_reason(nbgraders_own):
    path = nbgraders_own / "feedback" / "P05" / LESSON / f"{LESSON}.html"
    text = path.read_text(encoding="utf-8")
    assert "Depth of the rib" in text and "measured it on paper" in text
    assert "BEGIN SOLUTION" not in text and "BEGIN HIDDEN TESTS" not in text


def test_a_design_or_a_name_full_of_tags_is_shown_as_words(marked, tmp_path):
    course = copied(marked, tmp_path)
    path = course.area / "marks" / LESSON / "P01.json"
    data = json.loads(path.read_text())
    for mark in data["marks"]:
        mark["slip"], mark["text"] = "<img src=x onerror=alert(1)>", "<script>alert(1)</script>"
        mark["title"] = "=HYPERLINK(1)<b>"
    path.write_text(json.dumps(data))
    found = report.ClassReport(course.folder, LESSON)
    text = Path(write_page(found)).read_text()
    report.main([str(course.folder), LESSON])
    text += (course.folder / "feedback-pages" / "P01" / f"{LESSON}.html").read_text()
    assert "<script" not in text and "<img src=x" not in text and "&lt;script" in text
