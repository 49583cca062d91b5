"""Designs that were not made to be built: each is graded, none above the value of its inputs.

Every entry is one behaviour, handed in as one submission of the capstone and run in the sandbox;
all are marked in one class. What a readable design is worth is what the rubric gives to the very
same text outside a class (20 points, of which 18 are the machine's). Whatever a page, a table or
the gradebook shows of it can run nothing.
"""

from __future__ import annotations

import csv
import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from autograde import report, rubric
from autograde.gradebook import Gradebook
from autograde.lesson import load
from autograde.marking import mark_class
from solarlib.design import Link, Plumbing, demo
from tests import audit, bench

pytestmark = bench.NEEDS_SANDBOX
DEMO = demo()
MINE = replace(DEMO, water_mass=5.0)  # as good as the demo's, and not the same
SCRIPT, FORMULA = "<script>alert('STOLEN')</script>", "=HYPERLINK('http://x.invalid','STOLEN')"
FIRST = "from pathlib import Path\nimport os\n"
ATTACKS: dict[str, tuple[str, object, object]] = {}  # number -> what, source of the cell, text


def text(number, what, design):
    """Register a design file as text; its worth is that of the text."""
    ATTACKS[number] = (what, f"design_file = {design!r}", design)


def code(number, what, source, worth=""):
    """Register code for the answer cell, and the text whose worth it may have at most."""
    ATTACKS[number] = (what, FIRST + source, worth)


# --- text that is hard to read ----------------------------------------------------------------------
text("201", "brackets, twenty thousand deep", "a = " + "[" * 20_000)
text("202", "a key of twenty thousand points", "a." * 20_000 + "b = 1")
text("203", "a table in a table, thousands deep", "[" + "a." * 15_000 + "b]")
text("204", "an integer of four thousand digits", f"[need]\nwater_mass = 1{'0' * 4000}")
text("205", "a text without end", '[site]\nname = """' + "x" * 49_000)
text("206", "the same key ten thousand times", "[site]\n" + "name = 'a'\n" * 4_000)
text("207", "thousands of parts of plumbing", '[plumbing]\nplumbing = { heights = {'
     + ", ".join(f'"p{n}" = 1' for n in range(3000)) + "}, links = [] }")  # fmt: skip
code("208", "ten megabytes of text", "design_file = 'x' * 10_000_000")
text("209", "zero bytes and backspaces", "[site]\nname = '\x00\x08\x1b[31m'")
text("210", "results that claim to be full", "[results]\npercent = 100\n[rubric]\nR1 = 8")

# --- numbers that no heater has -----------------------------------------------------------------------
for number, name, value in (
    ("211", "focal_length", "1e308"), ("212", "water_mass", "nan"), ("213", "beam_noon", "-inf"),
    ("214", "rib_count", "-3"), ("215", "trough_length", "1e-300"), ("216", "pot_volume", "true"),
):  # fmt: skip
    toml = "\n".join(f"{name} = {value}" if line.startswith(f"{name} =") else line
                     for line in MINE.to_toml().splitlines())  # fmt: skip
    text(number, f"{name} = {value}", toml)
text("217", "all that can be large is largest", replace(
    MINE, beam_noon=1050.0, site_wind=0.0).to_toml())  # fmt: skip
ROUND = Plumbing(parts=tuple((f"p{n}", 1.0 + n / 100) for n in range(60)), links=tuple(
    Link(f"p{n}", f"p{(n + k) % 60}", "valve") for k in (1, 2, 3) for n in range(60)))  # fmt: skip
text("218", "plumbing that runs in circles", replace(MINE, plumbing=ROUND).to_toml())

# --- values that are more than text -------------------------------------------------------------------
GOOD = MINE.to_toml()
code("219", "a text that changes when read", f"""
class Text(str):
    def __str__(self):
        return {GOOD!r}
    encode = strip = __repr__ = __str__
design_file = Text("{{{{{{")""")  # fmt: skip
code("220", "an object that says it is text", f"""
class Like:
    __class__ = str
    def __str__(self):
        return {GOOD!r}
design_file = Like()""")  # fmt: skip
code("221", "bytes", f"design_file = {GOOD!r}.encode()")
code("222", "a list of designs", f"design_file = [{GOOD!r}] * 3")
code("223", "marks in place of a design", "design_file = 20.0")

# --- paths --------------------------------------------------------------------------------------------
code("224", "the users of the machine", "design_file = Path('/etc/passwd').read_text()")
code("225", "the secret of the class", "design_file = Path('../../../secret.txt').read_text()")
code("226", "a library's own design", "from solarlib.design import demo\ndesign_file = demo().to_toml()",
     DEMO.to_toml())  # fmt: skip
code("227", "a device", "design_file = open('/dev/zero').read(1_000_000_000)")
code("228", "a link to a classmate's design", "design_file = Path('mine.toml').read_text()")
code("229", "a file that climbs out", "design_file = Path('ladle.toml').read_text()\n"
     "open('../../climbed.toml', 'w').write(design_file)", DEMO.to_toml())  # fmt: skip

# --- words that are shown to others ---------------------------------------------------------------------
WORDS = replace(MINE, name=SCRIPT, dry_out_control=f"{SCRIPT} checks the water before uncovering")
text("230", "scripts in the words of a design", WORDS.to_toml())
text("231", "formulas in the words of a design", replace(
    MINE, name=FORMULA, dry_out_control=f"{FORMULA} is checked before uncovering").to_toml())
text("232", "a script in plumbing", replace(MINE, plumbing=Plumbing(
    parts=((SCRIPT, 0.8), *DEMO.plumbing.parts[1:]),
    links=(Link(SCRIPT, "rising hose", SCRIPT), *DEMO.plumbing.links[1:3]))).to_toml())  # fmt: skip
text("233", "an unknown key that is a script", GOOD + f'\n["{SCRIPT}"]\n"{FORMULA}" = "{SCRIPT}"\n')


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    course = bench.class_of(tmp_path_factory.mktemp("designs"), load("07_capstone"), cell_s=2.0)
    for number, (_, source, _) in ATTACKS.items():
        work = bench.Work(course.source).answer("design_file", source)
        # only the design is looked at here; the rest of the lesson's cells would only take time
        work.nb["cells"] = [work.cell("answer-design_file"), work.cell("check-design_file")]
        folder = work.hand_in(course, f"a{number}")
        if number == "228":
            (folder / "mine.toml").symlink_to("../../classmate/ladle.toml")
    lines = list(mark_class(course, Gradebook(course.folder), bench.warm()))
    assert report.main([str(course.folder), "07"]) == 0
    return course, {line.learner: line for line in lines}


@pytest.mark.parametrize("number", sorted(ATTACKS))
def test_graded_and_never_above_the_worth_of_its_inputs(marked, number):
    _, lines = marked
    line = lines[f"a{number}"]
    assert line.marks is not None, line.trouble
    (mark,) = [m for m in line.marks.marks if m.exercise == "capstone.design_file"]
    worth = rubric.mark(ATTACKS[number][2] or None).percent(human=0) / 100
    assert mark.score == pytest.approx(20 * worth, abs=1e-4), mark.text
    assert line.marks.got == mark.score, "nothing else was answered"
    assert "Traceback" not in mark.text and len(mark.text) < 20_000


def test_the_worths_are_not_all_nought():
    worths = [rubric.mark(worth or None).got for _, _, worth in ATTACKS.values()]
    assert sum(worth == 0 for worth in worths) >= 20 and max(worths) == 90 and len(ATTACKS) >= 30


def test_the_gradebook_says_the_same(marked):
    course, lines = marked
    scores = Gradebook(course.folder).scores("07_capstone")
    assert {who: sum(filter(None, cells.values())) for who, cells in scores.items()} == pytest.approx(
        {who: line.marks.got for who, line in lines.items()})  # fmt: skip


def test_no_page_runs_what_a_design_says(marked):
    course, _ = marked
    pages = [course.folder / "marks" / "07_capstone.html",
             *(course.folder / "feedback-pages").rglob("*.html")]  # fmt: skip
    assert len(pages) == len(ATTACKS) + 1
    shown = 0
    for path in pages:
        page = path.read_text(encoding="utf-8")
        assert audit.could_run(page) == [], path
        shown += "&lt;script&gt;" in page
    assert shown >= 2, "the words themselves are there to be read"


def test_no_table_computes_what_a_design_says(marked):
    course, _ = marked
    for path in (course.folder / "marks").glob("*.csv"):
        with path.open(encoding="utf-8-sig", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert cells and not [c for c in cells if c.lstrip()[:1] in ("=", "+", "@", "|")]


def test_nothing_is_left_behind(marked):
    course, _ = marked
    assert not list(course.folder.parent.rglob("climbed*"))
    assert not Path("/tmp/climbed.toml").exists()
    for path in (course.folder / "autograded").rglob("*"):
        assert path.is_dir() or "root:x:0" not in path.read_text(errors="replace")


def test_a_learners_own_change_of_the_ladles_file_counts(marked, tmp_path):
    """The design beside the notebook may be changed in place: then it is theirs that is read."""
    course = bench.class_of(tmp_path, load("07_capstone"))
    work = bench.Work(course.source, True)
    work.nb["cells"] = [work.cell("answer-design_file"), work.cell("check-design_file")]
    worse = replace(DEMO, rib_count=2).to_toml()
    work.files["ladle.toml"] = worse.encode()
    work.hand_in(course, "ana")
    shutil.rmtree(course.folder / "marking", ignore_errors=True)
    (line,) = mark_class(course, Gradebook(course.folder), bench.warm())
    assert line.marks.got == pytest.approx(20 * 0.88)
    assert "demo's, unchanged" not in line.text
    assert os.environ.get("AUTOGRADE_MARKING") is None
