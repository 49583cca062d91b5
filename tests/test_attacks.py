"""Whatever a learner's work does: it is graded, never above the value of its answers, and
nothing is left behind.

Each entry of the table of attacks is one behaviour, handed in as one submission of the bench lesson
(5 points by machine); all of them are marked in one run, two at a time, as a class would be.
"""

from __future__ import annotations

import base64
import os
import re
import socket
import sqlite3
import threading
from pathlib import Path

import nbformat
import psutil
import pytest

from autograde.course import safe_name
from autograde.gradebook import Gradebook
from autograde.marking import mark_class
from autograde.runner import sandbox
from autograde.runner.pool import Pool
from autograde.tables import in_a_table
from tests import (
    attacks_by_code,  # noqa: F401 - fills the table
    attacks_by_files,  # noqa: F401 - fills the table
    audit,
    bench,
)
from tests.attacks import ATTACKS, Scene

pytestmark = bench.NEEDS_SANDBOX
CELL_S = 1.5

FOLDERS = ("=cmd|' C calc'!A0", "<img src=x onerror=alert(1)>", "[ab]*?", "Zoë O'Neill", "-rf",
           "{nbgrader_step}", "two\nlines")  # fmt: skip


class Listener(threading.Thread):
    """Counts who calls."""

    def __init__(self):
        super().__init__(daemon=True)
        self.calls, self._socket = 0, socket.create_server(("127.0.0.1", 0))
        self.port = self._socket.getsockname()[1]

    def run(self):
        while True:
            self._socket.accept()
            self.calls += 1


def walls():
    """Return the sandboxes that this process has running now."""
    return {p.pid for p in psutil.Process().children(recursive=True) if "bwrap" in p.name()}


class Outcome:
    """The marked class."""

    def __init__(self, course, lines, listener, before):
        self.course, self.listener, self.before = course, listener, before
        self.lines = {line.learner: line for line in lines}

    def notebook(self, learner):
        path = self.course.folder / "autograded" / learner / bench.NAME / f"{bench.NAME}.ipynb"
        return nbformat.read(path, as_version=4)

    def printed(self, learner):
        """All text that the learner's own cells put out."""
        return "\n".join(
            str(o.get("text") or o.get("evalue") or o.get("data", {}))
            for cell in self.notebook(learner).cells
            if cell.cell_type == "code" and "-check-" not in cell.id
            for o in cell.outputs
        )


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    course = bench.course(tmp_path_factory.mktemp("attacks"), cell_s=CELL_S)
    listener = Listener()
    listener.start()
    scene = Scene(course, listener.port)
    bench.Work(course.source, True).hand_in(course, "classmate")
    for number, one in ATTACKS.items():
        one.hand_in(scene, f"a{number}")
    for name in FOLDERS:
        bench.Work(course.source, True).hand_in(course, name)
    before = set(os.listdir("/tmp")), set(os.listdir(Path.home())), walls()
    lines = list(mark_class(course, Gradebook(course.folder), Pool(sandbox.sandboxed(), 2)))
    return Outcome(course, lines, listener, before)


@pytest.mark.parametrize("number", sorted(ATTACKS))
def test_graded_by_its_answers(marked, number):
    one, line = ATTACKS[number], marked.lines[f"a{number}"]
    assert line.marks is not None, line.trouble
    assert line.marks.got == one.score, [(m.exercise, m.score, m.text) for m in line.marks.marks]
    if one.says:
        assert one.says in line.text
    if one.never:
        assert not re.search(one.never, marked.printed(f"a{number}"), re.MULTILINE | re.DOTALL)


def test_the_table_is_whole():
    measured = {f"{number:02d}" for number in range(1, 79)}
    assert measured <= set(ATTACKS)
    assert len(set(ATTACKS) - measured) >= 22


def test_the_classmate_got_what_the_answers_are_worth(marked):
    assert marked.lines["classmate"].marks.got == 5


def test_the_gradebook_says_the_same_as_the_lines(marked):
    with sqlite3.connect(marked.course.folder / "gradebook.db") as base:
        rows = base.execute(
            "select s.student_id, sum(g.auto_score) from grade g "
            "join submitted_notebook n on n.id = g.notebook_id "
            "join submitted_assignment s on s.id = n.assignment_id group by s.student_id"
        ).fetchall()
    assert dict(rows) == {name: line.marks.got for name, line in marked.lines.items()}
    assert len(rows) == len(ATTACKS) + 1 + len(FOLDERS)


def test_nothing_is_left_behind(marked):
    assert marked.listener.calls == 0
    ours = {name for name in os.listdir("/tmp") if "climbed" in name or "full" in name}
    assert not ours - marked.before[0]
    assert set(os.listdir(Path.home())) <= marked.before[1]
    assert not walls() - marked.before[2]
    climbed = marked.course.folder.parent.rglob("climbed*")
    assert {p.parent.name for p in climbed} == {bench.NAME}, "only in the learner's own folder"
    for path in (marked.course.folder / "autograded").rglob("*"):
        assert not path.is_symlink()
        assert path.is_dir() or path.stat().st_size < 3_000_000, path
        assert path.is_dir() or "root:x:0" not in path.read_text(errors="replace")


def test_no_script_reaches_a_page(marked):
    from nbconvert import HTMLExporter

    for learner in ("a55", "a54", "a110", "a111", "a107"):
        page, _ = HTMLExporter().from_notebook_node(marked.notebook(learner))
        assert audit.could_run(page, 100) == [], learner


def test_learners_names_are_harmless(marked):
    found = [name for name in marked.lines if not re.fullmatch(r"a\d+|classmate", name)]
    assert len(found) == len(FOLDERS)
    for name in found:
        assert re.fullmatch(r"[\w .@~-]+", name) and name[0] not in "=+-@"
        assert marked.lines[name].marks.got == 5
    assert safe_name("Zoë O'Neill") != safe_name("Zoë O_Neill") == "Zoë O_Neill"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "|x", "\t=1", " =1", "%0A=1"])
def test_a_table_never_runs_what_it_shows(text):
    assert in_a_table(text).startswith("'")


def test_a_table_leaves_harmless_values_alone():
    assert in_a_table("Ana = Maria") == "Ana = Maria" and in_a_table(-1.5) == -1.5


def test_pictures_are_pictures(marked):
    for learner in ("a110", "a46"):
        for cell in marked.notebook(learner).cells:
            for output in cell.get("outputs", ()):
                picture = output.get("data", {}).get("image/png")
                assert picture is None or base64.b64decode(picture).startswith(b"\x89PNG")
