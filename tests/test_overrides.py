"""A design in the class's day: marked by criteria in nbgrader's gradebook, best of all versions,
with the points that are left to a person.

The points follow from the rubric's own table (100 points of the rubric are 20 of the exercise, ten
of them a person's); what the rubric asks is checked in its own tests. Nothing is run here: the
values that a learner's cells would give are told.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from dataclasses import replace

import pytest

from autograde import classes, marking, overrides, report, rubric
from autograde.__main__ import main
from autograde.course import MarkingError
from autograde.gradebook import Gradebook, GradebookError
from autograde.lesson import load
from autograde.marking import mark_class
from solarlib.design import demo
from tests import bench
from tests.bench import SHUT
from tests.refusals import MARKING, said_by

DEMO = demo()
CELL = "capstone-check-design_file"
FULL = 18.0  # of 20: 90 of 100 points are the machine's


@pytest.fixture
def course(tmp_path):
    made = bench.class_of(tmp_path, load("07_capstone"))
    (made.folder / classes.ROSTER).write_text("id\nL1\n")
    return made


def hand_in(course, text, learner="L1"):
    """Mark one design, in place of whatever was there before; return the line."""
    folder = course.folder / "submitted" / learner / course.source.name
    with contextlib.suppress(FileNotFoundError):
        for path in folder.iterdir():
            path.unlink()
        folder.rmdir()
    work = bench.Work(course.source).answer("design_file", f"# {hash(text)}")
    work.hand_in(course, learner)
    return mark(course, text, learner)


def mark(course, text, learner="L1"):
    engine = bench.Told({learner: {"design_file": text}})
    return {line.learner: line for line in mark_class(course, Gradebook(course.folder), engine)}[learner]


def design(**changes):
    return replace(DEMO, **changes).to_toml()


def grade(course, cell=CELL):
    """What nbgrader's own gradebook says: (machine, person, waits for a person)."""
    with contextlib.closing(sqlite3.connect(course.folder / "gradebook.db")) as base:
        return base.execute(
            "select g.auto_score, g.manual_score, g.needs_manual_grade from grade g "
            "join base_cell b on b.id = g.cell_id where b.name = ?", (cell,)).fetchone()  # fmt: skip


def give(course, what, points, reason="looked at it"):
    return overrides.override(course.folder, "07", "L1", what, points, reason)


def row(course):
    found = report.ClassReport(course.folder, "07").rows("L1")
    return next(r for r in found if r["exercise"] == "capstone.design_file")


# --- the machine's part ---------------------------------------------------------------------------
def test_the_demos_design_gets_all_the_machine_can_give_and_the_rest_waits(course):
    line = hand_in(course, design(name="mine", water_mass=5.0))
    assert grade(course) == (FULL, None, 1)
    assert "20 of 33" not in line.text and "wait for a reader" in line.text
    (one,) = [m for m in line.marks.marks if m.design]
    assert (one.score, one.waits, len(one.design.criteria)) == (FULL, 2.0, 14)
    # of the points that are decided: 12 of other exercises, 2 of a text with nothing to read in it,
    # and 20 less the 2 that wait
    assert report.ClassReport(course.folder, "07").percent("L1") == 100 * FULL / 32


def test_each_item_lost_costs_its_points_and_says_why(course):
    hand_in(course, design(rib_count=2))  # too far apart: 2 of the 8 points of R2
    assert grade(course)[0] == pytest.approx(20 * 88 / 100)
    path = report_pages(course)
    assert "R2" in path and "6 of 8" in path and "apart; add ribs" in path


def report_pages(course):
    assert report.main([str(course.folder), "07"]) == 0
    page = course.folder / "feedback-pages" / "L1" / "07_capstone.html"
    return page.read_text(encoding="utf-8")


def test_the_demos_own_file_unchanged_is_told_to_the_instructor_only(course):
    line = hand_in(course, DEMO.to_toml())
    assert "The design is the demo's, unchanged." in line.text
    assert "unchanged" not in report_pages(course)
    assert "unchanged" not in hand_in(course, design(water_mass=5.0)).text


def test_an_open_gate_caps_the_points_until_the_instructor_says_otherwise(course, monkeypatch):
    hand_in(course, design(plumbing=SHUT))
    assert grade(course)[0] == pytest.approx(20 * 59 / 100)
    assert "NOT CLEARED: 1 item" in report_pages(course)
    monkeypatch.setattr(marking, "_engine", lambda options: bench.Told({}))
    for cap, share in (("70", 0.70), ("none", 0.88)):
        assert marking.main([str(course.folder), "07", "--cap", cap]) == 0
        assert grade(course)[0] == pytest.approx(20 * share)
    assert marking.main([str(course.folder), "07"]) == 0  # it is kept
    assert grade(course)[0] == pytest.approx(20 * 0.88)
    assert said_by(MARKING, ["grade", str(course.folder), "07", "--cap", "lots"]) == (
        2, "'lots' is no cap; give a percentage from 0 to 100, or “none”.")  # fmt: skip


# --- handing in again -----------------------------------------------------------------------------
def test_handing_in_again_keeps_the_best_of_each_criterion(course):
    hand_in(course, design(rib_count=2))
    hand_in(course, design(bar_across=0.198))
    assert grade(course)[0] == FULL, "each version lost another criterion"
    reasons = {c["id"]: c["reason"] for c in row(course)["design"]["criteria"]}
    assert "kept from an earlier version" in reasons["R12"]
    mark(course, "never asked")  # marked again: stored results, the same versions
    assert grade(course)[0] == FULL


def test_gates_are_those_of_the_latest_version(course):
    hand_in(course, design(plumbing=SHUT))
    hand_in(course, design(water_mass=5.0))
    assert grade(course)[0] == FULL
    line = hand_in(course, design(plumbing=SHUT))
    assert grade(course)[0] == pytest.approx(20 * 59 / 100)
    assert ": 18 → 11.8 of " in line.text and "This is LOWER than before: look at it." in line.text


def test_a_later_file_that_cannot_be_read_costs_nothing(course):
    hand_in(course, design(water_mass=5.0))
    for text in ("{{{", "", "x" * 45_000):
        hand_in(course, text)
        assert grade(course)[0] == FULL
    assert "The version before counts." in row(course)["text"]


def test_versions_are_judged_anew_so_a_milder_or_stricter_rubric_counts_for_all(course, monkeypatch):
    hand_in(course, design(rib_count=2))
    hand_in(course, design(bar_across=0.198))
    kept = json.loads((course.area / "versions" / "07_capstone" / "L1.json").read_text())
    assert [len(texts) for texts in kept.values()] == [2]
    # a stricter rubric in which nobody gets R1
    real = rubric._marked
    monkeypatch.setattr(rubric, "_marked", lambda text: replace(real(text), criteria=tuple(
        replace(c, got=0.0) if c.id == "R1" else c for c in real(text).criteria)))  # fmt: skip
    mark(course, "never asked")
    assert grade(course)[0] == pytest.approx(FULL - 20 * 8 / 100)


# --- the person's part ----------------------------------------------------------------------------
def test_a_person_gives_the_points_of_criteria_with_a_reason(course):
    hand_in(course, design(water_mass=5.0))
    for criterion, points in (("R7", 2), ("R8", 1), ("R10", 2), ("R13", 2)):
        said = give(course, criterion, points, f"reason of {criterion}")
    assert said.startswith("L1, capstone.design_file: R13 gets 2 of 2 from a person: 19.4 of 20")
    assert grade(course) == (FULL, 19.4, 1), "R14 is still open"
    give(course, "r14", 0, "no visitor would understand it")
    assert grade(course) == (FULL, 19.4, 0)
    page = report_pages(course)
    assert "reason of R8" in page and "1 of 2" in page and "no visitor would" in page
    assert row(course)["given"] == 19.4 and row(course)["open"] == 0


def test_the_command_gives_the_points_of_a_criterion(course, capsys):
    hand_in(course, design(water_mass=5.0))
    words = ["override", str(course.folder), "07_capstone", "L1", "R7", "2", "sensible reasons"]
    assert main(words) == 0
    assert "R7 gets 2 of 2 from a person" in capsys.readouterr().out


def test_a_persons_points_survive_marking_again_and_a_better_version(course):
    hand_in(course, design(rib_count=2))
    give(course, "R7", 2)
    assert grade(course)[1] == pytest.approx(20 * 90 / 100)
    hand_in(course, design(bar_across=0.198))
    assert grade(course) == (FULL, pytest.approx(20 * 92 / 100), 1)
    # even where the gradebook is lost and made anew
    (course.folder / "gradebook.db").write_bytes(bench.empty_gradebook())
    mark(course, "never asked")
    assert grade(course) == (FULL, pytest.approx(20 * 92 / 100), 1)


def test_a_persons_points_lift_no_gate(course):
    hand_in(course, design(plumbing=SHUT))
    give(course, "R7", 2)
    assert grade(course)[1] == pytest.approx(20 * 59 / 100)


def test_other_points_for_the_whole_design_count_more_than_criteria(course):
    hand_in(course, design(rib_count=2))
    give(course, "R7", 2)
    give(course, "design_file", 11, "saw the drawing")
    assert grade(course) == (pytest.approx(17.6), 11, 0)
    hand_in(course, design(water_mass=5.0))
    assert grade(course) == (FULL, 11, 0)


@pytest.mark.parametrize(("what", "points", "reason", "says"), [
    ("R7", 2.5, "why", "R7 has 0 to 2"), ("R1", 1, "why", "R1 leaves no points to a person"),
    ("R15", 1, "why", "no mark for R15"), ("R7", -1, "why", "-1 points cannot be given"),
    ("R7", 1, " ", "needs a reason"), ("R7", float("nan"), "why", "nan points cannot be given"),
])  # fmt: skip
def test_points_that_cannot_be_given_get_one_sentence(course, what, points, reason, says):
    hand_in(course, design(water_mass=5.0))
    with pytest.raises(MarkingError, match=says):
        give(course, what, points, reason)
    assert not (course.area / overrides.FILE).exists()


def test_a_gradebook_elsewhere_is_not_mixed_up_with_a_new_one(course):
    hand_in(course, design(water_mass=5.0))
    (course.folder / "gradebook.db").unlink()
    with pytest.raises(GradebookError, match="holds no mark of L1"):
        give(course, "R7", 1)
    assert not (course.folder / "gradebook.db").exists()
    assert not (course.area / overrides.FILE).exists()


def test_a_damaged_line_of_overrides_is_named(course):
    hand_in(course, design(water_mass=5.0))
    (course.area / overrides.FILE).write_text('{"lesson": "07_capstone"}\n')
    with pytest.raises(MarkingError, match=r"overrides\.jsonl, line 1 cannot be read"):
        report.ClassReport(course.folder, "07")
