"""Intake: whatever was handed in becomes our own frame with the learner's answers, and notes."""

from __future__ import annotations

import json
import random

import pytest

from autograde.intake import _harmless, take_in
from autograde.log import append
from tests import bench


@pytest.fixture
def course(tmp_path):
    return bench.course(tmp_path)


@pytest.fixture
def take(course):
    """Hand work in and take it in again."""

    def taken(work):
        return take_in(work.hand_in(course, "ana"), course.source)

    return taken


def kept(intake, kind="extra"):
    return [cell.source for cell in intake.cells if cell.kind == kind]


# --- honest work comes through as it is -----------------------------------------------------------
@pytest.mark.parametrize("solved", [False, True])
def test_honest_work_needs_no_note(course, take, solved):
    work = bench.Work(course.source, solved)
    intake = take(work)
    assert intake.notes == () and intake.readable
    assert [c.source for c in intake.cells] == ["".join(c["source"]) for c in work.cells]
    assert [c.name for c in intake.cells if c.touched] == (
        ["half", "double", "area", "lid", "why"] if solved else []
    )


def test_cells_of_ones_own_stay_in_their_place(course, take):
    work = bench.Work(course.source).code("a = 1", "check-half").text("note", "check-half")
    sources = [cell.source for cell in take(work).cells]
    at = sources.index('check("bench.half", half)')
    assert sources[at - 3 : at] == ['half = ""', "a = 1", "note"]


def test_a_cell_that_was_moved_counts_by_its_name(course, take):
    work = bench.Work(course.source, True)
    work.cells.append(work.cells.pop(work.cells.index(work.cell("answer-half"))))
    ids = [cell.id for cell in take(work).cells]
    assert ids.index("bench-answer-half") < ids.index("bench-check-half")


def test_a_cell_is_found_by_its_id_when_its_metadata_is_gone(course, take):
    work = bench.Work(course.source).answer("half", 'half = "1 mm"')
    work.cell("answer-half")["metadata"] = {}
    assert 'half = "1 mm"' in kept(take(work), "answer")


def test_of_two_copies_the_one_with_an_answer_counts(course, take):
    work = bench.Work(course.source)
    copy = json.loads(json.dumps(work.cell("answer-half")))
    work.cells.append({**copy, "id": "copied", "source": 'half = "1 mm"'})
    intake = take(work)
    assert kept(intake, "answer")[0] == 'half = "1 mm"'
    assert any("more than once" in note for note in intake.notes)


def test_of_two_answers_the_first_counts_and_the_other_stays_as_an_extra_cell(course, take):
    work = bench.Work(course.source).answer("half", 'half = "1 mm"')
    copy = json.loads(json.dumps(work.cell("answer-half")))
    work.cells.append({**copy, "id": "copied", "source": 'half = "2 mm"'})
    intake = take(work)
    assert kept(intake, "answer")[0] == 'half = "1 mm"' and kept(intake) == ['half = "2 mm"']


def test_an_answer_cell_turned_into_text_can_still_hold_the_answer(course, take):
    work = bench.Work(course.source)
    cell = work.cell("answer-half")
    cell.update(cell_type="markdown", source="answer half: 250 mm")
    del cell["outputs"], cell["execution_count"]
    intake = take(work)
    assert intake.written == {"half": "250 mm"}
    assert any("another kind of cell" in note for note in intake.notes)


def test_the_source_may_be_a_list_of_lines(course, take):
    work = bench.Work(course.source).answer("half", ["half = ", '"1 mm"'])
    assert 'half = "1 mm"' in kept(take(work), "answer")


def test_nothing_on_the_learners_side_is_changed(course):
    folder = bench.Work(course.source, True).hand_in(course, "ana")
    before = {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()}
    take_in(folder, course.source)
    assert {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()} == before


# --- the log ---------------------------------------------------------------------------------------
def test_the_last_entry_of_the_log_is_the_answer(course, take, tmp_path):
    """Written by the program the learner uses, read by ours."""
    append("bench.half", "1 mm", 0.0, None, tmp_path)
    append("bench.half", "250 mm", 1.0, None, tmp_path)
    append("bench.half", None, 0.0, "empty", tmp_path)
    append("other.half", "7 mm", 1.0, None, tmp_path)
    append("bench.why", "Rain.", None, None, tmp_path)
    work = bench.Work(course.source)
    work.files["answers.jsonl"] = (tmp_path / "answers.jsonl").read_bytes()
    intake = take(work)
    assert intake.logged == {"half": "250 mm", "why": "Rain."}
    assert kept(intake, "write") == ["Rain."], "a person must see it"
    assert intake.notes == ("The text of why comes from the log of attempts.",)


def test_a_log_alone_is_enough(course):
    folder = course.folder / "submitted" / "ana" / bench.NAME
    folder.mkdir(parents=True)
    append("bench.half", "250 mm", 1.0, None, folder)
    intake = take_in(folder, course.source)
    assert intake.logged == {"half": "250 mm"} and not intake.readable
    assert any("there is none" in note for note in intake.notes)


# --- files, names, times -------------------------------------------------------------------------------
def test_data_files_are_kept_and_programs_are_not(course, take):
    work = bench.Work(course.source)
    work.files = {
        "my.csv": b"1",
        "my.toml": b"a = 1",
        "run.py": b"",
        "x.exe": b"",
        ".hidden.csv": b"",
    }
    intake = take(work)
    assert intake.files == {"my.csv": b"1", "my.toml": b"a = 1"}
    assert any("run.py, x.exe" in note for note in intake.notes)


@pytest.mark.parametrize(("text", "kept"), [
    ("2026-05-01 10:00:00 UTC", "2026-05-01 10:00:00 UTC"),
    ("2026-05-01T12:00:00+02:00", "2026-05-01 10:00:00 UTC"),
    ("2026-05-01 10:00:00.123456", "2026-05-01 10:00:00 UTC"),
    ("tomorrow?", ""), ("9" * 5000, ""), ("", ""), ("\xff\xfe", ""),
])  # fmt: skip
def test_times(course, take, text, kept):
    work = bench.Work(course.source)
    work.files["timestamp.txt"] = text.encode("latin-1")
    intake = take(work)
    assert intake.timestamp == kept
    assert bool(kept or not text) == (not any("time" in note for note in intake.notes))


@pytest.mark.parametrize("name", ["01_bench (1).ipynb", "my work.ipynb", "01_bench-Copy1.ipynb"])
def test_another_file_name(course, name):
    folder = bench.Work(course.source, True).hand_in(course, "ana")
    (folder / "01_bench.ipynb").rename(folder / name)
    intake = take_in(folder, course.source)
    assert intake.readable and any(name in note for note in intake.notes)


def test_the_name_of_what_was_expected_and_found_is_said(course):
    folder = bench.Work(course.source, True).hand_in(course, "ana")
    (folder / "01_bench.ipynb").rename(folder / "a.ipynb")
    (folder / "b.ipynb").write_text("{}")
    intake = take_in(folder, course.source)
    (note,) = intake.notes
    assert "Expected a notebook called 01_bench.ipynb" in note and "a.ipynb, b.ipynb" in note


# --- text cells ------------------------------------------------------------------------------------------
@pytest.mark.parametrize("text", [
    "x < y and y > z", "a <b> c".replace("<b>", "< b >"), "**bold** and `code`", "y = x²/(4f)",
    "[a page](https://example.org)", "1. one\n2. two", "> quoted", "a & b", "ratio 3:4, data: none",
])  # fmt: skip
def test_harmless_text_stays_as_it_is(text):
    assert _harmless(text) == text


@pytest.mark.parametrize("text", [
    "[a](javascript:alert(1))", "[a](JaVaScRiPt:alert(1))", "[a](java\nscript:alert(1))",
    "[a](&#106;avascript:alert(1))", "[a](%6Aavascript:alert(1))", "[a](java\\script:alert(1))",
    "[a](vbscript:x)", "[a](data:text/html,x)", "[a](data:image/svg+xml,x)", "[a]: javascript:x",
    "[a](\u200bjavascript:x)", "[a](javascript&colon;x)", "[a](javascript&#x3a;x)",
])  # fmt: skip
def test_a_link_that_runs_something_is_shown_as_words(text):
    assert _harmless(text).startswith("```\n")


def test_a_tag_is_shown_as_words():
    assert _harmless("a <script> b </b> <!-- c") == "a &lt;script> b &lt;/b> &lt;!-- c"


# --- any bytes at all --------------------------------------------------------------------------------
def test_fifteen_hundred_broken_notebooks_raise_nothing(course):
    rng = random.Random(20260502)
    good = json.dumps(bench.Work(course.source, True).nb).encode()
    folder = course.folder / "submitted" / "ana" / bench.NAME
    folder.mkdir(parents=True)
    readable = 0
    for _ in range(1500):
        data = bytearray(good)
        for _ in range(rng.randint(1, 8)):
            at = rng.randrange(len(data))
            if rng.random() < 0.5:
                data[at : at + rng.randint(0, 30)] = bytes(rng.randrange(256) for _ in range(3))
            else:
                word = rng.choice(
                    [b'"source"', b'"metadata"', b'"nbgrader"', b'"grade_id"', b'"id"']
                )
                place = data.find(word, at)
                if place >= 0:
                    colon = data.find(b":", place) + 1
                    data[colon:colon] = rng.choice(
                        [b'[],"x":', b'3,"x":', b'null,"x":', b'{},"x":']
                    )
        (folder / "01_bench.ipynb").write_bytes(data)
        intake = take_in(folder, course.source)
        readable += intake.readable
        ids = [cell.id for cell in intake.cells if cell.kind != "extra"]
        assert ids == [c["id"] for c in bench.Work(course.source).cells]
    assert 200 < readable < 1400
