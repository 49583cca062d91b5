"""Marking a class: two stages, one line a learner, stopped and started at any moment."""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import random
import shutil
import sqlite3
import time

import pytest

from autograde import course as course_folder
from autograde import log, marking
from autograde.course import SECRET, Course, MarkingError, alone, safe_name
from autograde.gradebook import Gradebook
from autograde.marking import mark_class
from autograde.marks import judge, make_job
from autograde.runner import sandbox
from autograde.runner.job import Limits, Outcome, Result
from autograde.runner.pool import Pool
from autograde.runner.worker import WorkerError
from tests import bench
from tests.bench import NEEDS_SANDBOX
from tests.refusals import MARKING, said_by


@pytest.fixture
def course(tmp_path):
    return bench.course(tmp_path)


@pytest.fixture(scope="module")
def pool():
    return bench.warm()


@pytest.fixture(scope="module")
def marked_once(tmp_path_factory, pool):
    """A class of five, marked; tests take copies of it."""
    root = tmp_path_factory.mktemp("once")
    course = bench.course(root)
    hand_in_five(course)
    return root, mark(course, pool)


@pytest.fixture
def marked(marked_once, tmp_path):
    """A marked class of one's own."""
    shutil.copytree(marked_once[0], tmp_path, dirs_exist_ok=True)
    return bench.course(tmp_path)


def mark(course, engine):
    return {line.learner: line for line in mark_class(course, Gradebook(course.folder), engine)}


def hand_in_five(course):
    """Right, half right, untouched, an endless loop, a damaged file."""
    bench.Work(course.source, True).hand_in(course, "right")
    half = bench.Work(course.source).answer("half", 'half = "25 cm"')
    half.answer("area", "def area(a, b):\n    return b * a").hand_in(course, "half right")
    bench.Work(course.source).hand_in(course, "untouched")
    loop = bench.Work(course.source, True).answer("double", "while True:\n    pass")
    loop.hand_in(course, "loop")
    damaged = bench.Work(course.source, True)
    damaged.raw = json.dumps(damaged.nb).encode()[:3000]
    damaged.hand_in(course, "damaged")


SCORES = {"right": 5.0, "half right": 3.0, "untouched": 0.0, "loop": 4.0, "damaged": 0.0}


def scores(course):
    with contextlib.closing(sqlite3.connect(course.folder / "gradebook.db")) as base:
        return sorted(base.execute(
            "select s.student_id, b.name, g.auto_score, g.manual_score, g.needs_manual_grade "
            "from grade g join base_cell b on b.id = g.cell_id "
            "join submitted_notebook n on n.id = g.notebook_id "
            "join submitted_assignment s on s.id = n.assignment_id"))  # fmt: skip


class Nobody:
    """An engine that must not be needed."""

    def run(self, jobs):
        assert not list(jobs), "something was run again"
        yield from ()


# --- the thread --------------------------------------------------------------------------------------
@NEEDS_SANDBOX
def test_five_submissions_from_folder_to_gradebook(marked_once, marked):
    _, lines = marked_once
    assert {name: line.marks.got for name, line in lines.items()} == SCORES
    assert lines["right"].text == "right: 5 of 5 points, 2 more wait for a reader."
    assert "damaged and cannot be read" in lines["damaged"].text
    double = next(m for m in lines["loop"].marks.marks if m.exercise == "bench.double")
    assert double.credit == 0 and "loop without an end" in double.text
    by_learner = {}
    for learner, _, auto, _, waits in scores(marked):
        by_learner[learner] = by_learner.get(learner, 0) + (auto or 0)
        assert waits in (0, 1)
    assert by_learner == SCORES


@NEEDS_SANDBOX
def test_marking_again_runs_and_changes_nothing(marked):
    before = scores(marked)
    files = {p: p.stat().st_mtime_ns for p in (marked.folder / "autograded").rglob("*.ipynb")}
    lines = mark(marked, Nobody())
    assert scores(marked) == before
    assert {p: p.stat().st_mtime_ns for p in files} == files
    assert lines["right"].text == "right: 5 of 5 points, 2 more wait for a reader, as before."


def with_another_key(tmp_path):
    """The same lesson with another answer to one exercise."""
    key = tmp_path / "lessons" / bench.NAME / "key.py"
    key.write_text(bench.KEY.replace('answer="b"', 'answer="a"'))
    os.utime(key, ns=(1, 1))
    return bench.course(tmp_path)


def lid(course):
    return {who: auto for who, cell, auto, *_ in scores(course) if cell == "bench-check-lid"}


@NEEDS_SANDBOX
def test_a_changed_key_marks_all_again_without_running_and_says_what_is_lower(marked, tmp_path):
    changed = with_another_key(tmp_path)
    lines = mark(changed, Nobody())
    assert lines["right"].marks.got == 4.0 and lid(changed)["right"] == 0.0
    assert lines["right"].text == ("right: 5 → 4 of 5 points, 2 more wait for a reader. This is LOWER "
                                   "than before: look at it.")  # fmt: skip
    assert "→" not in lines["untouched"].text


@NEEDS_SANDBOX
def test_a_changed_key_can_be_tried_on_one_learner(marked, tmp_path):
    changed = with_another_key(tmp_path)
    lines = list(mark_class(changed, Gradebook(changed.folder), Nobody(), ["right"]))
    assert [line.learner for line in lines] == ["right"]
    assert (lid(changed)["right"], lid(changed)["loop"]) == (0.0, 1.0)
    with pytest.raises(MarkingError, match="Nothing is handed in by nobody; there is work of damaged"):
        list(mark_class(changed, Gradebook(changed.folder), Nobody(), ["nobody"]))


@NEEDS_SANDBOX
def test_a_lost_gradebook_is_written_again_without_running(marked):
    before = scores(marked)
    (marked.folder / "gradebook.db").unlink()
    mark(marked, Nobody())
    assert scores(marked) == before


@NEEDS_SANDBOX
def test_new_work_of_one_learner_touches_only_that_learner(marked, pool):
    shutil.rmtree(marked.folder / "submitted" / "untouched")
    bench.Work(marked.source, True).hand_in(marked, "untouched")
    lines = mark(marked, pool)
    assert lines["untouched"].marks.got == 5.0
    assert [name for name, line in lines.items() if line.renewed] == ["untouched"]


@NEEDS_SANDBOX
def test_a_persons_points_stay(marked):
    """nbgrader keeps them; marking again must not send them back to the reader."""
    with sqlite3.connect(marked.folder / "gradebook.db") as base:
        base.execute("update grade set manual_score = 1.5, needs_manual_grade = 0 where id in "
                     "(select g.id from grade g join base_cell b on b.id = g.cell_id "
                     "where b.name = 'bench-write-why')")  # fmt: skip
    before = scores(marked)
    mark(marked, Nobody())
    assert scores(marked) == before
    table = Gradebook(marked.folder).write_table(marked.source, {})
    assert "right,1.0,1.0,2.0,1.0,1.5,0,0.0,6.5,7.0," in table.read_text(encoding="utf-8-sig")


# --- where an answer may stand --------------------------------------------------------------------------
def judged(course, work, values=()):
    """Mark one submission with given values in place of a run."""
    intake = marking.take_in(work.hand_in(course, "ana"), course.source)
    key, card = course.source.key, course.source.key.demo()
    job = make_job(intake, key, card, "seed", course.limits)
    given = dict(values)
    outcomes = [Outcome(values=tuple(given.get(ask.partition("(")[0], "") for ask in step.asks))
                for step in job.steps]  # fmt: skip
    marks = judge(intake, key, card, "seed", job, Result(tuple(outcomes)))
    return {mark.exercise.partition(".")[2]: mark for mark in marks.marks}


def with_log(course, **answers):
    work = bench.Work(course.source)
    lines = [json.dumps({"time": "t", "exercise": f"bench.{name}", "answer": answer, "credit": 0,
                         "slip": None}) for name, answer in answers.items()]  # fmt: skip
    work.files[log.LOG_FILE] = "\n".join(lines).encode()
    return work


def test_the_answer_cell_comes_first(course):
    work = with_log(course, half="1 mm").text("answer half: 2 mm")
    half = judged(course, work, {"half": "250 mm"})["half"]
    assert (half.credit, half.place) == (1.0, "cell")


def test_then_a_text_cell(course):
    half = judged(course, with_log(course, half="1 mm").text("answer half: 250 mm"))["half"]
    assert (half.credit, half.place) == (1.0, "text")
    assert "text cell" in half.text


def test_then_the_log(course):
    half = judged(course, with_log(course, half="250 mm"))["half"]
    assert (half.credit, half.place) == (1.0, "log")


@pytest.mark.parametrize(("value", "credit"), [
    ("500 mm", 0.25), ("250", 0.5), ("250 mm", 1.0), ("0.25 m", 1.0), ("", 0.0), (None, 0.0),
    ([250], 0.0), (250, 0.5), ("a lot", 0.0),
])  # fmt: skip
def test_credit_is_the_keys(course, value, credit):
    assert judged(course, bench.Work(course.source), {"half": value})["half"].credit == credit


def test_a_later_answer_may_follow_from_an_earlier_slip(course):
    marks = judged(course, bench.Work(course.source), {"half": "200 mm", "double": "800 mm"})
    assert (marks["half"].credit, marks["double"].credit) == (0.0, 1.0)
    assert marks["double"].slip == "carried"


@NEEDS_SANDBOX
def test_a_function_may_come_from_the_log(course, pool):
    with_log(course, area="a × b", half="250 mm").hand_in(course, "ana")
    assert mark(course, pool)["ana"].marks.got == 3.0


@NEEDS_SANDBOX
@pytest.mark.parametrize("source", [
    "def area(a, b):\n    from solarlib import geometry\n    return a * b",
    "from solarlib import geometry as g\ndef area(a, b):\n    g.Parabola\n    return a * b",
    "def area(a, b):\n    return geometry and a * b",
])  # fmt: skip
def test_a_borrowed_function_gets_nothing(course, pool, source):
    bench.Work(course.source).answer("area", source).hand_in(course, "ana")
    area = next(m for m in mark(course, pool)["ana"].marks.marks if m.exercise == "bench.area")
    assert (area.credit, area.slip) == (0.0, "borrowed")


@NEEDS_SANDBOX
def test_a_parameter_may_be_called_like_a_module_of_the_library(course, pool):
    source = "def area(geometry, units):\n    return geometry * units"
    bench.Work(course.source).answer("area", source).hand_in(course, "ana")
    assert mark(course, pool)["ana"].marks.got == 2.0


# --- numbers of one's own, hidden cases -------------------------------------------------------------------
@NEEDS_SANDBOX
def test_with_a_secret_everybody_has_numbers_of_their_own(course, pool):
    (course.folder / SECRET).write_text("a secret of this class\n")
    widths = {}
    for name in ("ana", "ben", "cleo", "dov"):
        bench.Work(course.source, True).hand_in(course, name)
        widths[name] = course.card(name).width
    assert len(set(widths.values())) > 1
    assert {line.marks.got for line in mark(course, pool).values()} == {5.0}
    first = course.folder / "marking" / "marks" / bench.NAME / "ana.json"
    assert f"{500 * widths['ana']:g} mm" in json.loads(first.read_text())["marks"][0]["text"]


def test_hidden_cases_differ_from_learner_to_learner_and_stay(course):
    seeds = [course.seed(name) for name in ("ana", "ben", "ana")]
    assert seeds[0] == seeds[2] != seeds[1]
    asks = course.source.key.exercise("area").asks(course.card("ana"), seeds[0])
    assert asks != course.source.key.exercise("area").asks(course.card("ben"), seeds[1])
    assert asks[0] == "area(2.0, 3.0)"


def test_no_answer_goes_into_a_job(course):
    intake = marking.take_in(bench.Work(course.source).hand_in(course, "ana"), course.source)
    job = make_job(intake, course.source.key, course.card("ana"), "s", course.limits)
    text = json.dumps(job.to_data())
    for word in ("tolerance", "pencil line", "Halve it", "250", "ana", "rain"):
        assert word not in text
    assert len(text) < 4000


# --- stopped and started -----------------------------------------------------------------------------------
KILLS = int(os.environ.get("MARKING_KILLS", "5"))  # 20 is what marking is held to; few run each time


def run_once(root):
    course = Course((root / "class").resolve(), bench.lesson(root), Limits(cell_s=2.0))
    list(mark_class(course, Gradebook(course.folder), Pool(sandbox.sandboxed(), 1)))


def start(root):
    process = multiprocessing.get_context("fork").Process(target=run_once, args=(root,))
    process.start()
    return process


@NEEDS_SANDBOX
@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_killed_at_random_moments_and_resumed_gives_the_same(tmp_path):
    """Five moments by default; MARKING_KILLS=20 before the command takes twenty."""
    rng = random.Random(20260503)
    calm, rough = bench.course(tmp_path / "calm"), bench.course(tmp_path / "rough")
    for course in (calm, rough):
        hand_in_five(course)
        shutil.rmtree(course.folder / "submitted" / "loop")
        (course.folder / "gradebook.db").unlink()  # making it is a moment too
    calm.seed("ana")  # makes the salt that decides hidden cases
    shutil.copytree(calm.folder / "marking", rough.folder / "marking")
    began = time.monotonic()
    start(tmp_path / "calm").join()
    whole = time.monotonic() - began
    wanted = scores(calm)
    kills = finished = 0
    while kills < KILLS:
        process = start(tmp_path / "rough")
        process.join(rng.uniform(0.05, 1.0) * whole)
        if process.is_alive():
            process.kill()  # SIGKILL
            process.join()
            kills += 1
            continue
        assert process.exitcode == 0 and scores(rough) == wanted
        finished += 1
        for name in ("autograded", "marks", "marking/results"):
            shutil.rmtree(rough.folder / name, ignore_errors=True)
        (rough.folder / "gradebook.db").unlink()
    start(tmp_path / "rough").join()
    assert scores(rough) == wanted, f"{kills} kills, {finished} runs to the end"
    assert not list(rough.folder.rglob("*.unfinished"))


@NEEDS_SANDBOX
def test_one_and_several_workers_give_the_same(tmp_path):
    found = []
    for count in (1, 2):
        course = bench.course(tmp_path / str(count))
        hand_in_five(course)
        (course.folder / SECRET).write_text("s")
        lines = mark(course, Pool(sandbox.sandboxed(), count))
        found.append({name: (line.marks.got, line.marks.notes) for name, line in lines.items()})
    assert found[0] == found[1]


class Broken:
    """An engine whose sandbox breaks for one learner."""

    def __init__(self, pool):
        self._pool = pool

    def run(self, jobs):
        jobs = list(jobs)
        yield jobs[0][0], WorkerError("The sandbox fell over.")
        yield from self._pool.run(jobs[1:])


@NEEDS_SANDBOX
def test_a_broken_sandbox_costs_one_learner_a_second_run_and_nobody_points(course, pool):
    hand_in_five(course)
    lines = mark(course, Broken(pool))
    (lost,) = [line for line in lines.values() if line.marks is None]
    assert lost.text == f"{lost.learner}: not marked, The sandbox fell over."
    assert lost.learner not in {row[0] for row in scores(course)}
    assert {n: line.marks.got for n, line in mark(course, pool).items()} == SCORES


@NEEDS_SANDBOX
def test_a_damaged_store_is_no_harm(marked, pool):
    stored = sorted((marked.folder / "marking" / "results").rglob("*.json"))
    for path, data in zip(stored, (b"", b"{", b"[[[", b'{"version": 1}'), strict=False):
        path.write_bytes(data)
    assert {n: line.marks.got for n, line in mark(marked, pool).items()} == SCORES


def test_two_markings_of_a_folder_keep_out_of_each_others_way(course):
    with alone(course), pytest.raises(MarkingError, match="being marked already"), alone(course):
        pass
    with alone(course):
        pass


# --- one clear sentence ----------------------------------------------------------------------------------
def test_a_wrong_folder_level_is_named(course):
    (course.folder / "submitted" / "01_bench" / "ana").mkdir(parents=True)
    with pytest.raises(MarkingError, match=r"LEARNER/01_bench/01_bench\.ipynb.*there is 01_bench"):
        course.submissions()


def test_without_a_sandbox_nothing_is_run_unless_told_to(course, monkeypatch, capsys):
    bench.Work(course.source, True).hand_in(course, "ana")
    (course.folder / "gradebook.db").unlink()
    monkeypatch.setattr(sandbox.shutil, "which", lambda name: None)
    monkeypatch.setattr(course_folder, "load", lambda name: course.source)
    code, said = said_by(MARKING, ["grade", str(course.folder), "bench"])
    assert code == 2 and "bubblewrap is not here" in said and marking.NO_WALLS in said
    assert not (course.folder / "gradebook.db").exists()
    assert marking.main([str(course.folder), "bench", marking.NO_WALLS]) == 0
    said = capsys.readouterr().out
    assert "WITHOUT a sandbox" in said and "ana: 5 of 5 points" in said


@NEEDS_SANDBOX
def test_the_command_says_a_line_a_learner_and_where_all_is(course, monkeypatch, capsys):
    hand_in_five(course)
    monkeypatch.setattr(course_folder, "load", lambda name: course.source)
    assert marking.main([str(course.folder), "bench", "--cell-seconds", "1.5"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == "Marking 5 submissions of 01_bench."
    assert sorted(line.split(" ", 1)[1].split(":")[0] for line in said[1:6]) == sorted(SCORES)
    assert "gradebook.db" in said[6] and "01_bench.csv" in said[6]


def test_names():
    assert safe_name("ana.b-c@d e") == "ana.b-c@d e"
    odd = [
        "../x",
        "a/b",
        "a\\b",
        "=1",
        "-x",
        "@x",
        ".x",
        "a\nb",
        "<b>",
        "",
        "x" * 300,
        "a'b",
        "a+b",
    ]
    made = [safe_name(name) for name in odd]
    assert len(set(made)) == len(odd)
    for name in made:
        assert "/" not in name and "\\" not in name and name[0] not in "=+-@." and len(name) < 90
