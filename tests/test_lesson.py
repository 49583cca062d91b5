"""Texts into notebooks: cells, fixed ids, clear errors with file and line, no solution handed out.

The notebooks are checked with nbformat's own schema, read back by nbgrader's own functions, and
the text goes through jupytext and back (outside references for the three formats).
"""

from __future__ import annotations

import json

import jupytext
import nbformat
import pytest
from nbgrader import utils as nbgrader_utils
from nbgrader.preprocessors import ClearSolutions

from autograde import build, lesson
from autograde.cells import LessonError, read_cells, released
from tests.lesson_reading import LESSONS

KEY = """
from autograde.key import *
LESSON = Lesson("tiny", 1, "Tiny", [
    Number(name="depth", points=2, unit="mm", answer=lambda n: 0.15,
           tolerance=Within(0.5, "mm", "test")),
    ShortText(name="why", points=3, points_looked_for=[KeyPoint("a", ("because",), "Because.")]),
    Prediction(name="guess", question="?", options={"a": "x", "b": "y"}),
])
"""
TEXT = """\
# %% [markdown]
# # Tiny
#
# A text.

# %%
from autograde import check, predict

# %% predict="tiny.guess"
predict("tiny.guess")

# %% answer="depth"
### START depth = ""
### BEGIN SOLUTION
depth = "150 mm"
### END SOLUTION

# %% check="tiny.depth" points=2
check("tiny.depth", depth)

# %% [markdown]
# Why?

# %% write="why" points=3
# Because.
"""


@pytest.fixture
def course(tmp_path):
    """A lessons folder with one tiny lesson; returns a function to change its text or key."""
    root = tmp_path / "lessons"
    folder = root / "01_tiny"
    folder.mkdir(parents=True)

    def write(text=TEXT, key=KEY):
        (folder / "lesson.py").write_text(text, encoding="utf-8")
        (folder / "key.py").write_text(key, encoding="utf-8")
        return root

    write()
    return write


def cell(nb, name):
    return next(c for c in nb["cells"] if c["id"] == name)


# --- cells and notebooks ------------------------------------------------------------------------
def test_kinds_names_and_lines(course):
    cells = lesson.load("tiny", course()).cells
    assert [c.kind for c in cells] == [
        "text",
        "code",
        "predict",
        "answer",
        "check",
        "text",
        "write",
    ]
    assert [c.name for c in cells][3:5] == ["depth", "tiny.depth"]
    assert cells[3].line == 12  # counted in TEXT above
    assert cells[0].source == "# Tiny\n\nA text."


@pytest.mark.parametrize("solved", [True, False])
def test_notebook_is_valid_and_nbgrader_reads_it(course, solved):
    made = build.notebook(lesson.load("tiny", course()), solved)
    nb = nbformat.from_dict(made)
    nbformat.validate(nb)
    kinds = {
        c["id"]: (
            nbgrader_utils.is_grade(c),
            nbgrader_utils.is_solution(c),
            nbgrader_utils.is_locked(c),
        )
        for c in nb.cells
    }
    assert kinds["tiny-answer-depth"] == (False, True, False)
    assert kinds["tiny-check-depth"] == (True, False, True)
    assert kinds["tiny-write-why"] == (True, True, False)
    assert kinds["tiny-text-01"] == (False, False, True)
    assert cell(nb, "tiny-check-depth").metadata.nbgrader.points == 2


def test_release_has_the_start_line_and_source_the_solution(course):
    source = lesson.load("tiny", course())
    text = {
        s: "".join(cell(build.notebook(source, s), "tiny-answer-depth")["source"])
        for s in (True, False)
    }
    assert text[False] == 'depth = ""'
    assert 'depth = "150 mm"' in text[True] and "START" not in text[True]
    written = cell(build.notebook(source, False), "tiny-write-why")["source"]
    assert "Because" not in "".join(written)


def test_start_lines_keep_their_indentation():
    text = (
        "def f(x):\n    ### START y = 0  # change only this line\n    ### BEGIN SOLUTION\n"
        "    y = x\n    ### END SOLUTION\n    return y"
    )
    assert released(text) == "def f(x):\n    y = 0  # change only this line\n    return y"


def test_nbgrader_finds_the_same_solution_region(course):
    """The markers mean the same to nbgrader: its own preprocessor removes what ours removes."""
    made = build.notebook(lesson.load("tiny", course()), solved=True)
    nb = nbformat.reads(json.dumps(made), 4)
    stripped, _ = ClearSolutions(code_stub={"python": ""}).preprocess_cell(
        cell(nb, "tiny-answer-depth"), {"language": "python"}, 1
    )
    assert "150 mm" not in stripped.source


def test_building_twice_gives_the_same_bytes(course, tmp_path):
    source = lesson.load("tiny", course())
    for name in ("a", "b"):
        build.write_notebook(build.notebook(source), tmp_path / f"{name}.ipynb")
    first = (tmp_path / "a.ipynb").read_bytes()
    assert first == (tmp_path / "b.ipynb").read_bytes()
    assert nbformat.writes(nbformat.reads(first.decode(), 4)) + "\n" == first.decode()


def test_ids_do_not_move_when_a_text_is_added_elsewhere(course):
    """Ids of named cells come from lesson and name alone."""
    before = {c["id"] for c in build.notebook(lesson.load("tiny", course()))["cells"]}
    more = TEXT.replace("# %%\nfrom", "# %% [markdown]\n# More.\n\n# %%\nfrom", 1)
    after = {c["id"] for c in build.notebook(lesson.load("tiny", course(more)))["cells"]}
    assert before < after


def test_an_explorer_that_is_missing_is_noted_not_fatal(course):
    text = TEXT + '\n# %% explorer="not_yet"\nexplorers.explore_not_yet()\n'
    source = lesson.load("tiny", course(text))
    assert "not_yet" in build.notes(source)[0]
    made = cell(build.notebook(source), "tiny-explore-not_yet")
    assert made["outputs"] == [] and made["metadata"]["jupyter"]["source_hidden"]


def test_an_explorer_brings_its_still_picture(course):
    text = TEXT + '\n# %% explorer="suns_share"\nexplorers.explore_suns_share()\n'
    made = cell(build.notebook(lesson.load("tiny", course(text))), "tiny-explore-suns_share")
    (output,) = made["outputs"]
    assert "<img alt=" in "".join(output["data"]["text/html"])
    assert "W" in "".join(output["data"]["text/plain"])


# --- jupytext ------------------------------------------------------------------------------------
@pytest.mark.parametrize("path", LESSONS)
def test_text_survives_a_jupytext_round_trip(path):
    text = (lesson.find(path) / "lesson.py").read_text(encoding="utf-8")
    again = jupytext.writes(jupytext.reads(text, fmt="py:percent"), fmt="py:percent")
    before, after = (
        [(c.kind, c.name, c.source, c.points) for c in read_cells(t)] for t in (text, again)
    )
    assert before == after


# --- errors name file and line --------------------------------------------------------------------
def broken(old, new, key=KEY):
    assert old in TEXT
    return TEXT.replace(old, new, 1), key


ANSWER = '# %% answer="depth"'
ANSWER_CELL = ANSWER + "\n" + "".join(TEXT.partition(ANSWER)[2].splitlines(True)[1:5])
CASES = {
    "duplicate": (
        *broken(
            "# %% [markdown]\n# Why?",
            f"{ANSWER_CELL}\n# %% [markdown]\n# Why?",
        ),
        "stands already in line 12",
        ":21:",
    ),
    "unknown option": (*broken("points=2", "marks=2"), "unknown option “marks”", ":18:"),
    "missing points": (*broken(" points=2", ""), "has no points", ":18:"),
    "missing points of a text": (*broken(" points=3", ""), "has no points", ":24:"),
    "absurd points": (*broken("points=2", "points=-1"), "must be a number above 0", ":18:"),
    "other points than the key": (*broken("points=2", "points=5"), "the key gives 2", ":18:"),
    "no markers": (*broken("### END SOLUTION\n", ""), "do not pair up", ":14:"),
    "no solution": (
        *broken('### BEGIN SOLUTION\ndepth = "150 mm"\n### END SOLUTION\n', ""),
        "needs ### BEGIN",
        ":12:",
    ),
    "check without key": (
        *broken('check="tiny.depth"', 'check="tiny.dept"'),
        "no key record",
        ":18:",
    ),
    "other check called": (*broken('check("tiny.depth"', 'check("tiny.dept"'), "must call", ":18:"),
    "text without a question": (*broken("# %% [markdown]\n# Why?\n\n", ""), "question", ":21:"),
    "marker outside": (
        *broken("# A text.", "# A text.\n\n# %%\n### BEGIN SOLUTION"),
        "outside",
        ":7:",
    ),
    "two kinds": (*broken(ANSWER, ANSWER + ' check="tiny.depth"'), "cannot be both", ":12:"),
    "garbage": (*broken(ANSWER, ANSWER + " points="), "cannot read", ":12:"),
    "text before": ("x = 1\n" + TEXT, KEY, "before the first cell", ":1:"),
    "bad name": (*broken(ANSWER, '# %% answer="dep th"'), "may hold letters", ":12:"),
}


@pytest.mark.parametrize(("text", "key", "words", "place"), CASES.values(), ids=CASES)
def test_errors_name_file_and_line(course, text, key, words, place):
    with pytest.raises(LessonError) as caught:
        lesson.load("tiny", course(text, key))
    assert words in str(caught.value)
    assert f"lesson.py{place}" in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("key", "words"),
    [
        (KEY.replace('"guess"', '"guess2"'), "no key record"),
        (
            KEY.replace(
                "Prediction(", 'Choice(name="x", options={"a": "b"}, answer="a"), Prediction('
            ),
            "no cell of the lesson asks for “tiny.x”",
        ),
        ("LESSON = 3", "no LESSON"),
        ("1/0", "ZeroDivisionError"),
        (KEY.replace('name="why"', 'name="depth"'), "stands twice"),
    ],
)
def test_errors_of_the_key(course, key, words):
    with pytest.raises(LessonError, match=words):
        lesson.load("tiny", course(TEXT, key))


def test_unknown_lesson_names_the_known_ones(course):
    with pytest.raises(LessonError, match="the lessons are tiny"):
        lesson.load("parabel", course())
    with pytest.raises(LessonError, match=r"write it like “parabola\.depth”"):
        lesson.exercise("depth")


# --- the course folder ----------------------------------------------------------------------------
def test_course_folder_and_what_it_keeps(course, tmp_path):
    root = course()
    (root / "01_tiny" / "data.csv").write_text("a,b\n")
    folder = tmp_path / "class"
    build.course(folder, root=root)
    names = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
    assert names == {
        "nbgrader_config.py",
        *(
            f"{variant}/01_tiny/{name}"
            for variant in ("source", "release")
            for name in ("01_tiny.ipynb", "data.csv")
        ),
    }
    (folder / "nbgrader_config.py").write_text("# mine")
    mine = folder / "release" / "01_tiny" / "note.txt"
    mine.write_text("mine")
    report = build.course(folder, root=root)
    assert (folder / "nbgrader_config.py").read_text() == "# mine" and mine.read_text() == "mine"
    assert any("yours is kept" in line for line in report)


def test_no_solution_key_or_text_in_any_released_file(course, tmp_path):
    folder = tmp_path / "class"
    build.course(folder, root=course())
    for path in (folder / "release").rglob("*"):
        assert path.suffix in ("", ".ipynb"), path
        if path.is_file():
            text = path.read_text(encoding="utf-8")
            for secret in ("150 mm", "Because", "SOLUTION", "lambda", "LESSON"):
                assert secret not in text
    solved = json.loads((folder / "source" / "01_tiny" / "01_tiny.ipynb").read_text())
    assert "150 mm" in json.dumps(solved)  # the search would have found it


def test_the_lesson_texts_are_no_place_to_build(course):
    root = course()
    with pytest.raises(LessonError, match="folder of its own"):
        build.course(root / "class", root=root)
