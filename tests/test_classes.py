"""A newcomer instructor's day, by the README's commands: a class of six, from roster to table."""

from __future__ import annotations

import csv
import json
import shutil
import zipfile

import pytest

from autograde import classes, collecting
from autograde.runner import sandbox
from tests import audit, lab, run

ROSTER = (
    "id,name,email\nL01,Ann,a@x.invalid\nL02,=1+1,b@x.invalid\nL03,<script>alert(1)</script>,\n"
    "L04,Dor,\nL05,Eve,\nL06,Fay,\n"
)
LESSON = "01_parabola"


def hand_in(folder, who, solved, **answers):
    """Hand in solved work with some of its answer cells changed."""
    data = json.loads(solved.read_text(encoding="utf-8"))
    changed = {f"parabola-answer-{name}": text for name, text in answers.items()}
    for cell in data["cells"]:
        cell["source"] = changed.get(cell["id"], cell["source"])
    (folder / "in" / who / f"{LESSON}.ipynb").write_text(json.dumps(data), encoding="utf-8")


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    """Make the class, let five hand in, mark, override, mark again, report."""
    if words := sandbox.why_not():
        pytest.skip(words)
    folder = tmp_path_factory.mktemp("a teacher")
    (folder / "roster.csv").write_text(ROSTER, encoding="utf-8")
    said = {"class": run("autograde", "class", "class", "roster.csv", LESSON, "--due", "2026-12-01",
                         cwd=folder)}  # fmt: skip
    for who in ("L01", "L02", "L03", "L04", "L06"):
        with zipfile.ZipFile(folder / "class" / "bundles" / f"{who}.zip") as bundle:
            bundle.extractall(folder / "in" / who)
    solved = folder / "class" / "source" / LESSON / f"{LESSON}.ipynb"
    shutil.copy(solved, folder / "in" / "L01")
    (folder / "in" / "L01" / "glossary.md").write_text("as handed out with another lesson")
    hand_in(folder, "L03", solved, depth="while True: pass")
    hand_in(folder, "L06", solved, sheet='sheet = "1 mm"', thickest='thickest = "5 mm"',
            short_bar='short_bar = ""', printed_focal_length="printed_focal_length = 5")  # fmt: skip
    (folder / "in" / "L04" / f"{LESSON}.ipynb").write_text('{"cells": [')
    said["collect"] = run("autograde", "collect", "class", "parabola", "in", cwd=folder)
    grade = ("autograde", "grade", "class", "parabola", "--cell-seconds", "2")
    said["grade"] = run(*grade, cwd=folder)
    said["override"] = run("autograde", "override", "class", "parabola", "L02", "depth", "1",
                           "drew it on paper", cwd=folder)  # fmt: skip
    said["read"] = run("autograde", "override", "class", "parabola", "L01", "why_datum", "2",
                       "all three points", cwd=folder)  # fmt: skip
    said["again"] = run(*grade[:4], "L02", *grade[4:], cwd=folder)
    said["report"] = run("autograde", "report", "class", "parabola", cwd=folder)
    said["all"] = run("autograde", "report", "class", cwd=folder)
    return folder / "class", said


def table(folder, word):
    with (folder / "marks" / f"{LESSON} {word}.csv").open(encoding="utf-8-sig", newline="") as file:
        return {row[0]: row for row in csv.reader(file)}


def test_every_step_works_and_says_so(day):
    _, said = day
    for name, done in said.items():
        assert done.returncode == 0, (name, done.stdout, done.stderr)
        assert "Traceback" not in done.stdout + done.stderr, name


def test_answers_get_what_they_deserve(day):
    folder, _ = day
    points = table(folder, "points")
    assert points["L01"][3:7] == ["16.0", "16", "100.0", "0.0"]  # 2 of them from a reader
    assert float(points["L02"][3]) == 1.0  # the override only
    # right: depth 2, the old rib 2, the function 3; wrong: sheet 2, bend 2, choice 1, print 2
    assert points["L06"][3] == "7.0"
    assert points["L05"][3] == "not graded" and points["L05"][5] == "not graded"
    # the endless loop costs its own exercise, and nobody else anything
    single = table(folder, "exercises")
    assert float(single["L03"][1]) == 0.0 and float(points["L03"][3]) == 12.0


def test_the_damaged_file_is_told_in_words(day):
    _, said = day
    assert "L04: 0 of 14 points. The notebook file is damaged" in said["grade"].stdout
    assert "Nothing yet from L05." in said["collect"].stdout
    assert "ignored" not in said["grade"].stdout  # what the bundles hold is nobody's mistake


def test_an_override_survives_marking_again(day):
    folder, said = day
    assert "L02:" in said["again"].stdout and "L01:" not in said["again"].stdout
    assert float(table(folder, "exercises")["L02"][1]) == 1.0
    from nbgrader.api import Gradebook

    with Gradebook(f"sqlite:///{folder / 'gradebook.db'}") as book:
        assert book.find_submission(LESSON, "L02").score == 1.0
        assert book.find_submission(LESSON, "L01").score == 16.0
        assert book.find_submission(LESSON, "L06").score == 7.0


def test_pages_run_no_script_and_tables_no_formula(day):
    folder, _ = day
    page = (folder / "marks" / f"{LESSON}.html").read_text(encoding="utf-8")
    assert "<script" not in page and page.count("<img alt=") == 2
    assert table(folder, "points")["L02"][1] == "'=1+1"
    feedback = (folder / "feedback-pages" / "L02" / f"{LESSON}.html").read_text(encoding="utf-8")
    assert "drew it on paper" in feedback


@pytest.mark.browser
@lab.NEEDS_CHROMIUM
def test_pages_keep_nobody_out(day, chromium):
    folder, _ = day
    page, tables = chromium.new_page(), 0
    for path in (folder / "marks" / f"{LESSON}.html",
                 folder / "feedback-pages" / "L02" / f"{LESSON}.html"):  # fmt: skip
        page.goto(path.as_uri())
        assert audit.findings(page) == []
        assert page.locator("table").count() == page.locator("table > caption").count()
        tables += page.locator("table").count()
    assert tables


def test_bundles_hold_no_solution_no_key_and_different_numbers(day):
    folder, _ = day
    cards = set()
    for path in sorted((folder / "bundles").glob("*.zip")):
        with zipfile.ZipFile(path) as bundle:
            texts = {name: bundle.read(name).decode() for name in bundle.namelist()}
        assert set(texts) == {f"{LESSON}.ipynb", "numbers.json", "READ_ME_FIRST.txt"}
        assert "BEGIN SOLUTION" not in texts[f"{LESSON}.ipynb"]
        assert (folder / "secret.txt").read_text().strip() not in "".join(texts.values())
        cards.add(json.dumps(json.loads(texts["numbers.json"])["numbers"]))
    assert len(cards) > 1
    assert (folder / "secret.txt").stat().st_mode & 0o077 == 0


def test_handing_in_again_keeps_the_earlier_work(day, tmp_path):
    folder, _ = day
    copy = tmp_path / "class"
    shutil.copytree(folder, copy)
    before = (copy / "submitted" / "L04" / LESSON / f"{LESSON}.ipynb").read_bytes()
    collecting.collect(copy, "parabola", [folder.parent / "in" / "L04"])
    earlier = list((copy / "submitted-earlier" / "L04").rglob("*.ipynb"))
    assert [path.read_bytes() for path in earlier] == [before]


def test_semicolons_and_a_byte_order_mark_are_fine(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("\ufeffID;Name\nL1;Ann\n", encoding="utf-8")
    assert classes.read_roster(path) == [classes.Learner("L1", "Ann")]
