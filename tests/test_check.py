"""What a learner meets: the check in plain Python, in Jupyter and under nbgrader; log and guesses.

nbgrader's own functions (`determine_grade`, `Validator`) judge what our check cells give it.
"""

from __future__ import annotations

import json
import sys

import nbformat
import pytest
from nbgrader.utils import determine_grade

import autograde
from autograde import build, lesson, log, trial
from autograde.check import CheckError, CourseError, answer, check, predict
from autograde.numbers import save
from autograde.verdict import heading

pytestmark = pytest.mark.usefixtures("workspace")


def lines_of(folder):
    return (folder / log.LOG_FILE).read_text().splitlines()


# --- in plain Python ------------------------------------------------------------------------------
def test_a_right_answer(capsys):
    result = check("parabola.depth", "150.6 mm")
    assert result.right and result.credit == 1.0
    out = capsys.readouterr().out
    assert out.startswith("✓ Right: parabola.depth") and "2 of 2 points. Last saved " in out


def test_three_wrong_tries_climb_the_ladder():
    said = [check("parabola.depth", "602 mm").says for _ in range(4)]
    assert "Where does x start?" in said[0]
    assert "You put in the full width" in said[1] and "640 mm" in said[1]
    assert "150.6 mm" in said[2] and said[3] == said[2]
    assert check("parabola.depth", "150.6 mm").right
    assert check("parabola.depth", "602 mm").says == said[0]  # right in between: from the start


def test_what_cannot_be_read_does_not_climb_the_ladder():
    unread = [check("parabola.depth", "about so deep").says for _ in range(4)]
    assert len(set(unread)) == 1 and "150.6 mm" not in unread[0]
    first = check("parabola.depth", "602 mm").says
    assert "Where does x start?" in first
    assert check("parabola.depth", "about so deep").says == unread[0]
    assert "You put in the full width" in check("parabola.depth", "602 mm").says


def test_every_try_is_one_line_and_empty_ones_are_none(workspace):
    check("parabola.depth", "")
    check("parabola.depth", "abc")
    check("parabola.depth", "150.6 mm")
    entries = [json.loads(line) for line in lines_of(workspace)]
    assert [(e["answer"], e["credit"]) for e in entries] == [("abc", 0.0), ("150.6 mm", 1.0)]


def test_an_empty_answer_recalls_the_last_one():
    check("parabola.depth", "150.6 mm")
    result = check("parabola.depth", "")
    assert "On record is your answer of" in result.says and "150.6 mm" in result.says
    assert result.right and result.heading == "✓ Right"


def test_a_recalled_answer_is_judged_and_leaves_no_trace(workspace):
    check("parabola.depth", "602 mm")
    wrong = check("parabola.depth", "")
    assert wrong.credit < 1 and wrong.verdict.says in wrong.says  # its nudge, not its hint
    assert len(lines_of(workspace)) == 1
    assert answer("parabola.depth", "").verdict.empty  # an empty box is an empty answer


@pytest.mark.parametrize(
    "value",
    [
        None,
        "",
        3,
        -0.0,
        float("nan"),
        [],
        {},
        object(),
        print,
        "x" * 10**6,
        10**5000,
        b"150 mm",
        {"a": [1]},
        lambda: 1,
        TimeoutError("x"),
        "‮",
        "\ud800",
        True,
        1j,
    ],
    ids=lambda v: str(type(v)),
)
@pytest.mark.parametrize(
    "name",
    [
        "parabola.depth",
        "parabola.rib_height",
        "parabola.short_bar",
        "parabola.why_datum",
        "start.rules",
        "start.bars",
    ],
)
def test_bad_answers_get_words_never_an_exception(name, value, capsys):
    result = check(name, value)
    assert result.credit != 1.0 and result.says
    assert "Traceback" not in capsys.readouterr().out


@pytest.mark.parametrize("name", ["parabola.dept", "parabol.depth", "depth", "", "a.b.c", 3])
def test_unknown_ids_get_words(name):
    result = check(name, "1 mm")
    assert result.heading == "○ Not checked" and result.says.endswith((".", "”."))


def test_the_value_is_read_from_the_caller_when_left_out():
    space = {"check": check, "depth": "150.6 mm"}
    exec('result = check("parabola.depth")\nother = check("parabola.thickest")', space)
    assert space["result"].right
    assert "has no value yet" in space["other"].says


def test_carried_error_from_the_log_and_from_the_notebook():
    check("start.opening_area", "0.7 m2")
    assert check("start.power_in", "595 W").slip == "carried"  # 0.7 × 850
    space = {"check": check, "opening_area": "0.5 m2", "power_in": "425 W"}
    exec('result = check("start.power_in", power_in)', space)
    assert space["result"].slip == "carried"


def test_a_class_is_checked_with_its_own_numbers(workspace):
    key = lesson.load_key("parabola")
    card = key.draw("pim", "secret")
    save(workspace / "numbers.json", "pim", {"parabola": card})
    assert dict(autograde.numbers("parabola")) == dict(card)
    answer_text = key.exercise("depth").solution(card)
    assert check("parabola.depth", answer_text).right
    assert check("start.opening_area", "0.576 m2").right  # a lesson the file does not hold


def test_a_damaged_card_is_said_in_one_sentence(workspace):
    (workspace / "numbers.json").write_text("{")
    assert "copy it again" in check("parabola.depth", "1 mm").says
    with pytest.raises(CourseError, match="copy it again"):
        autograde.numbers("parabola")
    (workspace / "numbers.json").unlink()
    with pytest.raises(CourseError, match="There is no lesson “nothing”"):
        autograde.numbers("nothing")
    assert CourseError("words")._render_traceback_() == ["words"]  # all that Jupyter shows


def test_a_log_that_cannot_be_written_is_said(workspace, monkeypatch):
    (workspace / log.LOG_FILE).mkdir()
    result = check("parabola.depth", "150.6 mm")
    assert result.right and result.saved.startswith("Not saved")


# --- functions ------------------------------------------------------------------------------------
def run_function(source):
    """Define a function as a notebook cell would and check it."""
    space = {"check": check}
    name = f"<cell {hash(source)}>"
    trial._run(source, space, name)
    exec('result = check("start.power", power)', space)
    return space["result"]


def test_functions():
    assert run_function("def power(area, sun):\n    return area * sun").right
    assert run_function("def power(area, sun):\n    print(area * sun)").slip == "prints"
    assert run_function("def power(area, sun):\n    return 490").slip == "constant"
    assert "NameError" in run_function("def power(area, sun):\n    return aera * sun").verdict.says
    assert run_function("def power(area):\n    return area").slip == "error"
    assert run_function("power = 3").slip == "error"
    result = run_function("def power(area, sun):\n    raise SystemExit")
    assert result.slip == "error" and result.credit == 0


def test_a_function_that_prints_does_not_flood(capsys):
    run_function("def power(area, sun):\n    print('x' * 10000)\n    return area * sun")
    assert len(capsys.readouterr().out) < 1000


def test_a_function_as_handed_out_is_no_try(workspace):
    result = run_function(lesson.handed_out("start", "power"))
    assert result.verdict.empty and not (workspace / log.LOG_FILE).exists()


def test_an_endless_function_is_stopped(monkeypatch):
    monkeypatch.setattr(sys.modules["autograde.asking"], "TIME_LIMIT_S", 0.2)
    loop = (
        "def power(area, sun):\n    while True:\n        try:\n            while True: pass\n"
        "        except Exception:\n            pass"
    )
    result = run_function(loop)
    assert result.credit == 0 and "without an end" in result.says


def test_a_function_that_leans_on_the_library_is_refused():
    source = (
        "from solarlib import geometry\ndef rib_height(x_mm, f_mm):\n"
        "    return 1000 * geometry.Parabola(f_mm / 1000, 2.0).height(x_mm / 1000)"
    )
    space = {"check": check}
    trial._run(source, space, "<cell lean>")
    exec('result = check("parabola.rib_height", rib_height)', space)
    assert space["result"].slip == "borrowed"
    listed = source.replace("(x_mm / 1000)", "(__import__('numpy').array(x_mm) / 1000)")
    trial._run(listed, space, "<cell lean 2>")
    exec('result = check("parabola.rib_height", rib_height)', space)
    assert space["result"].slip == "borrowed" and "yourself" in space["result"].says


def test_a_rule_typed_as_text_is_a_function():
    assert answer("parabola.rib_height", "x_mm² / (4·f_mm)").right
    assert answer("parabola.rib_height", "x_mm * abs(x_mm) / (4 * f_mm)").slip == "sign kept"
    assert answer("parabola.rib_height", "x_mm ** (").slip == "unreadable"
    assert answer("parabola.rib_height", "").verdict.empty


# --- the log --------------------------------------------------------------------------------------
def test_damaged_lines_are_passed_over_and_kept(workspace):
    path = workspace / log.LOG_FILE
    damage = (
        '{"time": "x"}\nnot json\n[1]\n{"time":1,"exercise":"e","answer":1,"credit":"1","slip":0}'
    )
    path.write_text(damage)  # the last line has no end: a process died while writing it
    check("parabola.depth", "150.6 mm")
    assert [e.exercise for e in log.read()] == ["parabola.depth"]
    assert path.read_text().startswith(damage + "\n")


def test_the_workspace_is_found_above_the_notebook(tmp_path, monkeypatch):
    monkeypatch.delenv("AUTOGRADE_WORKSPACE")
    inside = tmp_path / "a" / "b"
    inside.mkdir(parents=True)
    monkeypatch.chdir(inside)
    assert log.workspace() == inside
    (tmp_path / log.LOG_FILE).touch()
    assert log.workspace() == tmp_path


# --- predictions ----------------------------------------------------------------------------------
def test_a_prediction_is_recorded_and_never_marked(workspace):
    question = predict("parabola.which_curve")
    assert not question.answered and set(question.options) == {"a", "b", "c"}
    assert "pick one of a, b, c" in question.record("z").lower() and not question.answered
    assert "Noted" in question.record("b")
    assert predict("parabola.which_curve").answered  # another cell, the next day
    assert json.loads(lines_of(workspace)[0])["credit"] is None
    with pytest.raises(CourseError, match="has no exercise"):
        predict("parabola.nothing")


def test_a_prediction_unlocks_its_explorer():
    from solarlib import explorers

    question = predict("parabola.which_curve")
    explorer = explorers.explore_curve_and_focus(question=question)
    assert explorer.locked
    question.record("a")
    assert not explorer.locked


# --- marking and nbgrader -------------------------------------------------------------------------
def test_nothing_happens_while_marking(workspace, monkeypatch, capsys):
    monkeypatch.setenv("AUTOGRADE_MARKING", "1")
    assert check("parabola.depth", "602 mm") is None
    assert predict("parabola.which_curve") is None
    assert capsys.readouterr().out == "" and not (workspace / log.LOG_FILE).exists()


def stock_score(value, points, error=None):
    """Let nbgrader score a check cell whose output is this value."""
    cell = nbformat.v4.new_code_cell(
        "check()",
        metadata={
            "nbgrader": {
                "grade": True,
                "solution": False,
                "locked": True,
                "points": points,
                "grade_id": "c",
                "schema_version": 3,
                "task": False,
            }
        },
    )
    if error:
        cell.outputs = [nbformat.v4.new_output("error", ename="E", evalue=str(error), traceback=[])]
    elif value is not None:
        data = {"text/plain": repr(value)}
        cell.outputs = [nbformat.v4.new_output("execute_result", data=data, execution_count=1)]
    return determine_grade(cell)[0]


@pytest.mark.parametrize(
    ("text", "points"), [("150.6 mm", 2), ("150.6", 1), ("602 mm", 0), ("", 0), ("150.6 kg", 1)]
)
def test_stock_nbgrader_gives_the_same_points(text, points, monkeypatch, workspace):
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    assert stock_score(check("parabola.depth", text), 2) == points
    assert not (workspace / log.LOG_FILE).exists()


def test_stock_nbgrader_gives_no_points_for_an_unknown_check(monkeypatch):
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    with pytest.raises(CheckError) as caught:
        check("parabola.dept", "150.6 mm")
    assert stock_score(None, 2, caught.value) == 0


def test_validate_raises_with_the_line_in_its_message(monkeypatch):
    monkeypatch.setenv("NBGRADER_EXECUTION", "validate")
    assert check("parabola.depth", "150.6 mm") is None
    assert check("parabola.why_datum") is None  # a person marks it
    with pytest.raises(CheckError, match=r"✗ Not yet: parabola\.depth"):
        check("parabola.depth", "602 mm")


@pytest.mark.slow
@pytest.mark.parametrize("solved", [True, False])
def test_nbgrader_validates_a_whole_notebook(solved, tmp_path):
    from nbgrader.validator import Validator

    path = tmp_path / "01_parabola.ipynb"
    build.write_notebook(build.notebook(lesson.load("parabola"), solved), path)
    failed = Validator().validate(str(path)).get("failed", [])
    if solved:
        assert failed == []
    else:
        assert "○ No answer yet: parabola.depth" in json.dumps(failed, ensure_ascii=False)


def test_html_says_it_in_words_and_with_a_sign():
    signs = set()
    for credit, empty in ((1.0, False), (0.5, False), (0.0, False), (None, False), (0.0, True)):
        signs.add(heading(credit, empty))
    assert len(signs) == 5 and {s[0] for s in signs} == set("✓◐✗○")
    html = check("parabola.depth", "<b>602</b> mm")._repr_html_()
    assert 'role="status"' in html and "Not yet" in html and "<b>602" not in html


@pytest.mark.slow
def test_a_real_kernel_shows_verdict_and_form(tmp_path):
    from nbclient import NotebookClient

    nb = nbformat.v4.new_notebook()
    for source in (
        'from autograde import check, predict, fresh\ncheck("parabola.depth", "602 mm")',
        'predict("parabola.which_curve")',
        'from autograde import numbers\nnumbers("nothing")',
    ):
        nb.cells.append(nbformat.v4.new_code_cell(source))
    NotebookClient(
        nb, timeout=60, allow_errors=True, resources={"metadata": {"path": str(tmp_path)}}
    ).execute()
    first, second, third = (cell.outputs for cell in nb.cells)
    assert 'role="status"' in first[0].data["text/html"]
    assert "application/vnd.jupyter.widget-view+json" in first[1].data
    assert "Predict first" in second[0].data["text/html"]
    assert third[0].traceback == ["There is no lesson “nothing”; " + third[0].evalue.split("; ")[1]]
    assert len(lines_of(tmp_path)) == 1
