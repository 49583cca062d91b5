"""Due dates: set by an instructor, kept by nbgrader, told on the pages, and they cost no points.

How late something is comes from nbgrader's own database, and is held against plain subtraction.
"""

from __future__ import annotations

import csv
import os
import zipfile
from datetime import UTC, datetime, timedelta

import pytest

from autograde import classes, due, report
from autograde.__main__ import main
from autograde.gradebook import Gradebook
from autograde.lesson import load
from autograde.marking import mark_class
from tests import bench
from tests.refusals import MARKING, faults, said_by, tree

LESSON = "01_parabola"
DUE = "2026-12-01T16:00+01:00"
CAME = datetime(2026, 12, 1, 17, 30, tzinfo=UTC)  # 15:00 UTC is the end, so 2.5 h late


@pytest.fixture
def course(tmp_path):
    made = bench.class_of(tmp_path, load(LESSON))
    (made.folder / classes.ROSTER).write_text("id\nL01\nL02\nL03\n")
    return made


def hand_in(course, who, came=None, changed=None):
    work = bench.Work(course.source).code(f"# {who}")
    if came:
        work.files["timestamp.txt"] = f"{came:%Y-%m-%d %H:%M:%S} UTC".encode()
    folder = work.hand_in(course, who)
    for path in folder.iterdir():
        if changed:
            os.utime(path, (changed.timestamp(),) * 2)


def mark(course):
    return {line.learner: line for line in mark_class(course, Gradebook(course.folder), bench.Told({}))}


def in_nbgrader(course, who):
    from nbgrader.api import Gradebook as Database

    with Database(Gradebook(course.folder).url) as book:
        one = book.find_submission(LESSON, who)
        return one.total_seconds_late, one.late_submission_penalty, one.timestamp, one.score


def page(course, *parts):
    assert report.main([str(course.folder), LESSON]) == 0
    return course.folder.joinpath(*(parts or ("marks", f"{LESSON}.html"))).read_text("utf-8")


def late_column(course, word=" points"):
    path = course.folder / "marks" / f"{LESSON}{word}.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    at = rows[0].index("hours late")
    return {row[0]: row[at] for row in rows[1:]}


def test_late_work_is_told_and_keeps_its_points(course):
    due.set_due(course.folder, ["parabola"], DUE)
    hand_in(course, "L01", CAME - timedelta(hours=3))
    hand_in(course, "L02", CAME)
    mark(course)
    assert in_nbgrader(course, "L01")[0] == 0
    assert in_nbgrader(course, "L02")[:2] == (2.5 * 3600, 0.0)
    shown = page(course)
    assert "2 h 30 min" in shown and shown.count("2 h 30 min") == 1 and "Due 2026-12-0" in shown
    theirs = page(course, "feedback-pages", "L02", f"{LESSON}.html")
    assert "2 h 30 min late; that costs no points here" in theirs
    assert late_column(course) == {"L01": "0.0", "L02": "2.5", "L03": "0.0"}
    Gradebook(course.folder).write_table(course.source, {})
    assert late_column(course, "") == {"L01": "0.0", "L02": "2.5"}
    points = report.ClassReport(course.folder, LESSON).sums
    assert points("L01") == points("L02")


def test_a_due_date_that_is_moved_or_taken_away_counts_without_marking_again(course):
    due.set_due(course.folder, ["01"], DUE)
    hand_in(course, "L02", CAME)
    mark(course)
    due.set_due(course.folder, ["01"], "2026-12-01T18:00+00:00")
    assert "2 h 30 min" not in page(course) and late_column(course)["L02"] == "0.0"
    due.set_due(course.folder, ["01"], "2026-12-01T17:29:00+00:00")
    assert "1 min" in page(course)
    due.set_due(course.folder, ["01"], "none")
    assert "No due date is set." in page(course) and in_nbgrader(course, "L02")[0] == 0


def test_a_date_set_in_nbgrader_stays_where_the_class_names_none(course):
    hand_in(course, "L02", CAME)
    mark(course)
    with Gradebook(course.folder)._open() as base:  # as formgrader does it
        base.update_or_create_assignment(LESSON, duedate="2026-12-01 15:00:00 UTC")
    mark(course)
    assert "2 h 30 min" in page(course)


def test_without_a_timestamp_the_date_of_the_files_counts(course):
    due.set_due(course.folder, ["01"], DUE)
    hand_in(course, "L01", changed=CAME)
    mark(course)
    assert in_nbgrader(course, "L01")[0] == 2.5 * 3600
    assert in_nbgrader(course, "L01")[2] == CAME.replace(tzinfo=None)


def test_a_date_alone_means_the_end_of_that_day_here(monkeypatch):
    moment = due.read_moment("2026-12-01")
    local = moment.astimezone()
    assert (local.date().isoformat(), local.hour, local.minute) == ("2026-12-01", 23, 59)
    assert due.read_moment("2026-12-01T16:00").astimezone().hour == 16
    assert due.read_moment(DUE).astimezone(UTC) == datetime(2026, 12, 1, 15, tzinfo=UTC)


@pytest.mark.parametrize("text", ["1.12.2026", "2026-13-01", "2026-02-30", "tomorrow", "", "1066-10-14",
                                  "2999-01-01", "2026-12-01T25:00", "n" * 300])  # fmt: skip
def test_a_bad_date_gets_one_sentence_and_nothing_is_written(tmp_path, monkeypatch, text):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "roster.csv").write_text("id\nL1\n")
    before = tree(tmp_path)
    words = ["class", "class", "roster.csv", LESSON, f"--due={text}"]
    code, said = said_by(MARKING, words)
    assert code == 2 and not faults(said, text[:20], "2026-12-01"), said
    assert tree(tmp_path) == before


@pytest.mark.parametrize(("table", "says"), [
    ("lesson;due\n01;2026-12-01\nparabola;soon\n", "line 3"), ("01,\n", "line 1"),
    ("algebra,2026-12-01\n", "line 1"), ("01_parabola\n", "line 1"),
])  # fmt: skip
def test_a_line_of_the_table_that_cannot_be_read_is_named(course, table, says):
    (course.folder / due.FILE).write_text(table)
    with pytest.raises(due.DueError) as error:
        due.read_due(course.folder)
    assert not faults(str(error.value), due.FILE, says)


def test_a_table_written_by_hand_is_read_and_other_lessons_stay(course):
    (course.folder / due.FILE).write_text("\ufefflesson;due\r\n01;2026-12-01T16:00\r\n\r\nsun;none\r\n")
    due.set_due(course.folder, ["06"], "2026-12-09")
    dates = due.read_due(course.folder)
    assert dates["03_sun"] is None and sorted(dates) == ["01_parabola", "03_sun", "06_hazards"]
    assert due.in_words(dates["01_parabola"]) == "2026-12-01 16:00"


def test_the_command_sets_it_and_the_bundle_tells_it(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "roster.csv").write_text("id,name\nL1,Ann Other\n")
    assert main(["class", "class", "roster.csv", "01", "02", "--due", "2026-12-01"]) == 0
    assert main(["class", "class", "roster.csv", "--due", "2026-12-08T12:00", "02"]) == 0
    with zipfile.ZipFile(tmp_path / "class" / "bundles" / "L1.zip") as bundle:
        note = bundle.read("READ_ME_FIRST.txt").decode()
    assert "01_parabola.ipynb   2026-12-01 23:59" in note
    assert "02_concentration.ipynb   2026-12-08 12:00" in note
    for word in ("How to begin", "solarlib learn", "L1.zip", "answers.jsonl", "Whom to ask", "instructor"):
        assert word in note
    assert "Ann" not in note
    assert main(["class", "class", "roster.csv", "02", "--due", "none"]) == 0
    with zipfile.ZipFile(tmp_path / "class" / "bundles" / "L1.zip") as bundle:
        assert "02_concentration.ipynb   ask your instructor" in bundle.read("READ_ME_FIRST.txt").decode()


@pytest.mark.parametrize(("seconds", "words"), [
    (-5, ""), (0, ""), (5, "1 min"), (60 * 59, "59 min"), (3600, "1 h 0 min"), (86400 * 3 + 7200, "3 d 2 h"),
])  # fmt: skip
def test_lateness_in_words(seconds, words):
    assert due.late_in_words(seconds) == words
