"""The marking desk and the pages of a class of five: what waits is shown, read, marked, and counted.

Invented learners of lesson 01. Nothing is run: the values that their cells would give are told. What
counts in the end is looked up in nbgrader's own database.
"""

from __future__ import annotations

import csv
import html
import json
import re
import shlex
import shutil

import pytest

from autograde import classes, marking, plain, report
from autograde.__main__ import main
from autograde.course import Course
from autograde.gradebook import Gradebook
from autograde.lesson import load
from autograde.marking import mark_class
from tests import audit, bench, lab

LESSON, CELL = "01_parabola", "parabola-write-why_datum"
TEXT = 'Else the trough is twisted & "crooked". <script>alert(1)</script> {aperture_width}\n\nMore.'
ROSTER = "id,name\nL01,Ann\nL 02,Beno\nL03,Cara\nL04,Dor\nL05,Eve\n"
UNDEFINED = plain.Fault("NameError", "name 'why_datum' is not defined")


def values(course):
    card = course.card("L01")
    right = {r.name: r.solution(card) for r in course.source.key if r.kind == "number"}
    untouched = {"why_datum": UNDEFINED, "rib_height": 0.0}
    return {"L01": {**untouched, **right, "short_bar": "a"},
            "L 02": {**untouched, "depth": "12 kg", "sheet": "<b>wide</b>", "short_bar": "c"},
            "L03": untouched, "L04": untouched}  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    course = bench.class_of(tmp_path_factory.mktemp("desk"), load(LESSON))
    (course.folder / classes.ROSTER).write_text(ROSTER)
    for who, told in values(course).items():
        work = bench.Work(course.source)
        if who in ("L01", "L 02"):
            work.cell("write-why_datum")["source"] = TEXT if who == "L01" else "I do not know."
            work.code(f"# {who}, {len(told)}")
        if who == "L04":
            work.raw = b'{"cells": ['
        work.hand_in(course, who)
    list(mark_class(course, Gradebook(course.folder), bench.Told(values(course))))
    return course


@pytest.fixture
def course(made, tmp_path, monkeypatch):
    shutil.copytree(made.folder, tmp_path / "class")
    monkeypatch.chdir(tmp_path)
    return Course(tmp_path / "class", made.source, made.limits)


def pages(course):
    assert main(["report", "class", LESSON]) == 0
    home = course.folder
    theirs = [home / "feedback-pages" / who / f"{LESSON}.html" for who in ("L01", "L 02", "L04")]
    found = [home / "marks" / f"{LESSON}.html", home / "marks" / f"{LESSON} to read.html", *theirs]
    return [path.read_text(encoding="utf-8") for path in found]


def by_nbgrader(course, who, cell=CELL):
    with Gradebook(course.folder)._open() as base:
        one = base.find_grade(cell, LESSON, LESSON, who)
        comment = base.find_comment(cell, LESSON, LESSON, who) if "-write-" in cell else None
        return one.score, bool(one.needs_manual_grade), comment and comment.comment


def table(course, name):
    with (course.folder / "marks" / name).open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    return {row[0]: dict(zip(rows[0], row, strict=True)) for row in rows[1:]}


# --- a person's points for a written answer ------------------------------------------------------
def test_the_command_marks_a_written_answer_everywhere(course, capsys):
    assert by_nbgrader(course, "L01") == (0.0, True, None)
    assert main(["override", "class", LESSON, "L01", "why_datum", "1.5", "one", "point", "of", "two"]) == 0
    assert "L01, parabola.why_datum: 1.5 of 2 points instead of no points." in capsys.readouterr().out
    assert by_nbgrader(course, "L01") == (1.5, False, "one point of two")
    for name, column in ((f"{LESSON} exercises.csv", "parabola.why_datum"), (f"{LESSON}.csv", CELL)):
        assert table(course, name)["L01"][column] == "1.5", name
    assert table(course, f"{LESSON} points.csv")["L01"]["still open"] == "0.0"
    _, _, theirs, *_ = pages(course)
    assert "1.5 of 2 points." in theirs and "From a person: one point of two" in theirs


def test_points_of_formgrader_for_a_written_answer_count_and_stay(course):
    with Gradebook(course.folder)._open() as base:
        grade = base.find_grade(CELL, LESSON, LESSON, "L01")
        grade.manual_score, grade.needs_manual_grade = 0.5, False
        base.db.commit()
    found = report.ClassReport(course.folder, LESSON)
    assert (found.sums("L01").given, found.sums("L01").open) == (0.5, 0)
    assert "L01:" not in pages(course)[1], "nobody has to read it again"
    lines = {n.learner: n.text for n in mark_class(course, Gradebook(course.folder), bench.Told({}))}
    assert by_nbgrader(course, "L01")[:2] == (0.5, False) and "wait" not in lines["L01"]


def test_the_line_of_the_desk_works_as_it_stands(course, capsys):
    desk = pages(course)[1]
    assert desk.count("<h2>") == 2 and "L03" not in desk and "L05" not in desk
    lines = [html.unescape(line) for line in re.findall(r"<pre><code>(.*?)</code></pre>", desk)]
    for line in lines:
        words = shlex.split(line)
        assert words[:4] == ["python", "-m", "autograde", "override"] and main(words[3:]) == 0
    assert by_nbgrader(course, "L 02")[:2] == by_nbgrader(course, "L01")[:2] == (2.0, False)
    assert "Nothing waits for a reader." in pages(course)[1]


def test_the_desk_shows_the_text_as_words_and_what_the_check_sees(course):
    desk = pages(course)[1]
    assert html.escape(TEXT) in desk and "<script" not in desk
    record = course.source.key.exercise("why_datum")
    twist, *others = [point.text.rstrip(".") for point in record.points_looked_for]
    seen, _, missing = desk.partition("<h2>L01")[2].partition("Not seen:")
    assert twist in seen and all(other in missing for other in others)
    assert "1 of 3" in record.judge([TEXT], course.card("L01")).says
    assert "8 In your own words" in desk and "Up to 2 of 2 points" in desk


# --- no answer is no slip --------------------------------------------------------------------------
def test_a_function_as_it_was_handed_out_is_no_answer(course):
    found = report.ClassReport(course.folder, LESSON)
    for who in ("L01", "L03", "L04"):
        (row,) = [r for r in found.rows(who) if r["exercise"] == "parabola.rib_height"]
        assert (row["slip"], row["given"]) == ("empty", 0), who
        assert "○ No answer yet" in row["text"] and "as it was handed out" in row["text"]
    assert not [name for name, _ in found.slips() if name == "parabola.rib_height"]
    assert "A rule for the rib&#x27;s height</th><td>no answer 4</td>" in pages(course)[0]


@pytest.mark.parametrize("source", ["def rib_height(x_mm, f_mm):\n    return 0.0 * x_mm",
                                    "rib_height = lambda x, f: 0.0"])  # fmt: skip
def test_a_function_written_anywhere_is_an_answer(made, tmp_path, source):
    course = bench.class_of(tmp_path, made.source)
    bench.Work(course.source).code(source, "check-rib_height").hand_in(course, "L01")
    told = bench.Told({"L01": {"rib_height": 0.0}})
    (line,) = mark_class(course, Gradebook(course.folder), told)
    (rule,) = [m for m in line.marks.marks if m.exercise == "parabola.rib_height"]
    assert rule.slip != "empty" and "✗ Not yet" in rule.text


# --- the page of the class -------------------------------------------------------------------------
def row_of(page, who):
    (row,) = re.findall(rf"<tr><th scope=row>(?:<a[^>]*>)?{who}(?:</a>)?</th>(.*?)</tr>", page)
    return re.findall("<td>(.*?)</td>", row)


def test_every_learner_of_the_roster_has_a_row(course):
    page = pages(course)[0]
    why = "Why one centre line and one focus mark?"
    assert row_of(page, "L01")[2:5] == ["11 of 14", "", f"{why} (2)"]
    assert row_of(page, "L03")[2:5] == ["0 of 14", "0 of 2", ""] and why in row_of(page, "L03")[5]
    assert row_of(page, "L05")[0] == "not handed in"
    assert "4 of 5 learners handed in marked work. Not handed in: L05." in page
    assert row_of(page, "L 02")[4] == f"{why} (2)"


def test_the_page_says_what_could_not_be_read(course):
    page = pages(course)[0]
    assert "Depth of the rib: could not be read as an answer (1 learner)" in page
    assert "Given: “12 kg”." in page and "Given: “&lt;b&gt;wide&lt;/b&gt;”." in page


def test_an_exercise_that_a_person_marks_is_never_the_one_with_fewest_right_answers(course):
    (hard,) = set(re.findall(r"Fewest right answers: ([^,]*), \d of 4\.", pages(course)[0]))
    assert hard == "A rule for the rib&#x27;s height"


# --- feedback ------------------------------------------------------------------------------------------
def test_everybodys_points_are_of_the_same_and_nothing_asks_for_a_run(course):
    *_, first, second, damaged = pages(course)
    assert "<strong>11 of 14 points for what the program marks; 2 wait for a reader.</strong>" in first
    assert "0 of 14 points for what the program marks; nothing was written for a reader." in damaged
    assert "No notebook could be read" in damaged and "No notebook could be read" not in second
    lines = {n.learner: n.text for n in mark_class(course, Gradebook(course.folder), bench.Told({}))}
    assert all("of 14 points" in line for line in lines.values()), lines
    for text in (first, second, damaged):
        assert "Run the cell" not in text and "run the cell" not in text
        assert re.search(r"Learner L ?0\d, lesson 01_parabola, marked \d{4}-\d\d-\d\d \d\d:\d\d\.", text)


def test_the_learners_own_answer_stands_beside_the_verdict(course):
    *_, first, second, damaged = pages(course)
    assert "Your answer: “12 kg”" in second and "Your answer: “&lt;b&gt;wide&lt;/b&gt;”" in second
    options = course.source.key.exercise("short_bar").options
    assert f"Your answer: “c: {html.escape(options['c'])}”" in second
    assert f"<pre>{html.escape(TEXT)}</pre>" in first and "Your answer" not in damaged
    headings = re.findall("<h2>(.*?)</h2>", first)
    assert headings[0] == "1 How deep is your rib?" and headings[-1] == "8 In your own words"
    assert [int(h.split()[0]) for h in headings] == list(range(1, 9))


def test_points_and_signs_of_sentences_do_not_meet(course):
    for text in pages(course):
        assert not re.search(r"[?!][.:]|\.[?]|\.\.(?!\.)", re.sub("<style>.*?</style>|<[^>]+>", "", text))


# --- marking again -------------------------------------------------------------------------------------
def test_grade_renews_the_tables_and_names_changed_points(course, monkeypatch, capsys):
    name = f"{LESSON} points.csv"
    told = values(course)
    for answer, says in (("12 kg", "L 02: 0 of 14 points, 2 more"),
                         (values(course)["L01"]["depth"], "L 02: 0 → 2 of 14 points, 2 more"),
                         ("nothing", "L 02: 2 → 0 of 14 points, 2 more wait for a reader. This is "
                          "LOWER than before")):  # fmt: skip
        told["L 02"]["depth"] = answer
        shutil.rmtree(course.area / "results", ignore_errors=True)
        monkeypatch.setattr(marking, "_engine", lambda options: bench.Told(told))
        assert main(["grade", "class", LESSON]) == 0
        said = capsys.readouterr().out
        assert says in said and name in said.splitlines()[-1]
        assert float(table(course, name)["L 02"]["points"]) == (2 if "→ 2" in says else 0)


def test_after_a_persons_points_grade_says_no_more_that_they_wait(course, monkeypatch, capsys):
    assert main(["override", "class", LESSON, "L01", "why_datum", "2", "good"]) == 0
    monkeypatch.setattr(marking, "_engine", lambda options: bench.Told(values(course)))
    assert main(["grade", "class", LESSON]) == 0
    said = capsys.readouterr().out
    assert "L01: 11 of 14 points." in said, said
    assert "L 02: 0 of 14 points, 2 more wait" in said
    assert table(course, f"{LESSON} points.csv")["L01"]["points"] == "13.0"


# --- all lessons ----------------------------------------------------------------------------------------
def test_all_marked_lessons_stand_beside_each_other(course, capsys):
    other = Course(course.folder, load("06"), course.limits)
    bench.Work(other.source).answer("visitor_rule", "# a text").hand_in(other, "L03")
    told = bench.Told({"L03": {"visitor_rule": "Cover the mirror <b>always</b>."}})
    list(mark_class(other, Gradebook(other.folder), told))
    assert main(["report", "class", "06"]) == 0
    desk = (course.folder / "marks" / "06_hazards to read.html").read_text(encoding="utf-8")
    assert "Cover the mirror &lt;b&gt;always&lt;/b&gt;." in desk and "L03 visitor_rule 2" in desk
    assert main(["override", "class", "06", "L03", "visitor_rule", "1", "two lines only"]) == 0
    pages(course)
    assert main(["report", "class"]) == 0
    assert "all lessons.html" in capsys.readouterr().out
    rows = table(course, "all lessons.csv")
    assert rows["L01"] == {"id": "L01", "name": "Ann", "email": "", LESSON: "11.0",
                           "06_hazards": "not graded", "points": "11.0", "of": rows["L01"]["of"],
                           "still open": "2.0"}  # fmt: skip
    assert (rows["L03"][LESSON], rows["L03"]["06_hazards"], rows["L03"]["points"]) == ("0.0", "1.0", "1.0")
    single = [table(course, f"{name} points.csv") for name in (LESSON, "06_hazards")]
    assert float(rows["L01"]["of"]) == sum(float(one["L01"]["of"]) for one in single)
    text = (course.folder / "marks" / "all lessons.html").read_text(encoding="utf-8")
    assert row_of(text, "L05")[:2] == ["not handed in", "not handed in"]
    assert row_of(text, "L01")[0] == "11, 2 wait" and "Ann" not in text
    assert f'href="{LESSON}.html"' in text


def test_records_of_an_older_edition_still_make_pages(course):
    for path in (course.area / "marks" / LESSON).glob("*.json"):
        data = json.loads(path.read_text())
        for name in ("marked", "readable"):
            del data[name]
        for mark in data["marks"]:
            del mark["answer"], mark["by_person"]
        path.write_text(json.dumps(data))
    _, desk, first, *_ = pages(course)
    assert "mark the lesson again to see it here" in desk and "11 of 14 points" in first


@pytest.mark.browser
@lab.NEEDS_CHROMIUM
def test_the_pages_keep_nobody_out(course, chromium):
    pages(course)
    assert main(["report", "class"]) == 0
    page = chromium.new_page()
    for name in (f"{LESSON}.html", f"{LESSON} to read.html", "all lessons.html"):
        page.goto((course.folder / "marks" / name).resolve().as_uri())
        assert audit.findings(page) == [], name
    page.goto((course.folder / "marks" / f"{LESSON}.html").resolve().as_uri())
    page.get_by_role("link", name="To read and mark").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Parabola: to read and mark"
