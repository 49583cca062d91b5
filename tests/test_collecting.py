"""Work is taken in: of the right lesson only, from zips that somebody else has named, nothing lost."""

from __future__ import annotations

import json
import shutil
import zipfile

import pytest

from autograde import classes
from autograde.__main__ import main
from autograde.lesson import load
from tests import bench
from tests.refusals import faults, tree

LESSON, OTHER = "01_parabola", "03_sun"
ROSTER = "id,name\nL01,Ann\nL02,Beno\nL02-b,Bea\n01,Cas\n"


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """A class of four beside a folder for what comes in; commands are given here."""
    (tmp_path / "class").mkdir()
    (tmp_path / "class" / classes.ROSTER).write_text(ROSTER)
    (tmp_path / "in").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def collect(desk, capsys):
    """Give the command; return its exit code, its lines and what it says of a trouble."""

    def said(*words):
        code = main(["collect", "class", *map(str, words)])
        out = capsys.readouterr()
        return code, out.out.splitlines(), out.err.splitlines()

    return said


def zipped(path, lesson, name="", raw=b""):
    """Write a zip with one notebook of a lesson."""
    with zipfile.ZipFile(path, "w") as archive:
        data = raw or json.dumps(bench.Work(load(lesson)).nb).encode()
        archive.writestr(f"{name or lesson}.ipynb", data)
    return path


def handed_in(desk):
    return {str(p.relative_to(desk / "class" / "submitted")) for p in (desk / "class").rglob("0*")
            if p.name in (LESSON, OTHER, f"{LESSON}.zip", f"{OTHER}.zip")}  # fmt: skip


# --- of which lesson -----------------------------------------------------------------------------
@pytest.mark.parametrize(("name", "raw"), [("", b""), ("my homework", b""), ("", b"{damaged")])
def test_work_of_another_lesson_is_left_alone_and_named(desk, collect, name, raw):
    """By its cells where they can be read, else by the notebook's name."""
    good = zipped(desk / "in" / "L02.zip", OTHER)
    assert collect(OTHER, good)[0] == 0
    zipped(good, LESSON, name, raw)
    before = tree(desk)
    code, _, trouble = collect(OTHER, good)
    assert code == 2 and len(trouble) == 1
    assert not faults(trouble[0], "L02.zip", LESSON, OTHER), trouble
    assert tree(desk) == before, "the file stays, and what was handed in before is not touched"


def test_a_folder_of_another_lesson_is_left_too(desk, collect):
    bench_folder = desk / "in" / "L01" / LESSON
    bench_folder.mkdir(parents=True)
    (bench_folder / f"{LESSON}.ipynb").write_text(json.dumps(bench.Work(load(LESSON)).nb))
    assert collect(OTHER, "in")[0] == 2 and not handed_in(desk)
    assert collect(LESSON, "in")[0] == 0 and handed_in(desk) == {f"L01/{LESSON}"}


def test_one_wrong_lesson_keeps_nobody_else_out(desk, collect):
    zipped(desk / "in" / "L01.zip", LESSON)
    zipped(desk / "in" / "L02.zip", OTHER)
    code, lines, trouble = collect(OTHER, "in")
    assert code == 2 and "L02: taken from L02.zip." in lines and "L01.zip" in trouble[0]
    assert handed_in(desk) == {f"L02/{OTHER}.zip"}


def test_a_whole_workspace_a_damaged_file_and_a_log_alone_are_taken(desk, collect):
    """What may be of the lesson is for the marking to look at, not for the door."""
    folder = desk / "in" / "L01"
    folder.mkdir()
    for lesson in (LESSON, OTHER):
        (folder / f"{lesson}.ipynb").write_text(json.dumps(bench.Work(load(lesson)).nb))
    zipped(desk / "in" / "L02.zip", OTHER, raw=b"{damaged")
    (desk / "in" / "L02-b").mkdir()
    (desk / "in" / "L02-b" / "answers.jsonl").write_text("")
    assert collect(OTHER, "in")[0] == 0
    assert handed_in(desk) == {f"L01/{OTHER}", f"L02/{OTHER}.zip", f"L02-b/{OTHER}"}


# --- whose --------------------------------------------------------------------------------------
@pytest.mark.parametrize(("name", "who"), [
    ("Beno Tarl_123_L02.zip", "L02"), ("l02 (1).zip", "L02"), ("Bea.L02-b.zip", "L02-b"),
    (f"L02_{LESSON}.zip", "L02"),  # the 01 of the lesson is nobody's id here
    ("Cas_01.ZIP", "01"), ("Ünal—L01—late.zip", "L01"),
])  # fmt: skip
def test_the_id_is_read_in_a_name(desk, collect, name, who):
    code, lines, _ = collect(LESSON, zipped(desk / "in" / name, LESSON))
    assert code == 0 and handed_in(desk) == {f"{who}/{LESSON}.zip"}
    assert f"{who}: taken from {name}, whose name holds the id {who}." in lines


@pytest.mark.parametrize(("name", "named"), [
    ("L01 and L02.zip", ["L01", "L02"]), ("Somebody.zip", ["no id"]), ("XL021.zip", ["no id"]),
    ("L012.zip", ["no id"]), ("2026-11-26.zip", ["no id"]),
])  # fmt: skip
def test_two_ids_or_none_get_one_sentence(desk, collect, name, named):
    source = zipped(desk / "in" / name, LESSON)
    code, _, trouble = collect(LESSON, source)
    assert code == 2 and len(trouble) == 1 and not faults(trouble[0], name, *named), trouble
    assert source.exists() and not handed_in(desk)


def test_a_folder_full_of_named_zips_is_looked_through(desk, collect):
    zipped(desk / "in" / "Ann_55_L01.zip", LESSON)
    folder = desk / "in" / "Beno Tarl_123_L02"
    folder.mkdir()
    (folder / f"{LESSON}.ipynb").write_text("{}")
    (desk / "in" / "list L01 L02.txt").write_text("not work")
    code, lines, _ = collect(LESSON, "in")
    assert code == 0 and handed_in(desk) == {f"L01/{LESSON}.zip", f"L02/{LESSON}"}
    assert "list L01 L02.txt: not on the roster, left where it is." in lines
    shutil.rmtree(desk / "class" / "submitted")
    assert collect(LESSON, folder)[0] == 0 and handed_in(desk) == {f"L02/{LESSON}"}


def test_two_works_of_one_learner_do_not_push_each_other_out(desk, collect):
    zipped(desk / "in" / "L01 (1).zip", LESSON)
    zipped(desk / "in" / "L01.zip", LESSON)
    code, lines, trouble = collect(LESSON, "in")
    assert code == 2 and sum("taken from" in line for line in lines) == 1
    assert not faults(trouble[0], "L01") and not (desk / "class" / "submitted-earlier").exists()


def test_the_date_of_a_zip_comes_along(desk, collect):
    import os

    source = zipped(desk / "in" / "L01.zip", LESSON)
    os.utime(source, (1_700_000_000, 1_700_000_000))
    collect(LESSON, source)
    kept = desk / "class" / "submitted" / "L01" / f"{LESSON}.zip"
    assert kept.stat().st_mtime == 1_700_000_000
