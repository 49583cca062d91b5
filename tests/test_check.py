"""What a learner meets: the check in plain Python, in Jupyter and under nbgrader; the log; forms;
predictions; the progress table; the fresh-notebook cell; the commands.

nbgrader's own functions (`determine_grade`, `Validator`) judge what our check cells give it.
"""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta

import nbformat
import pytest
from nbgrader.utils import determine_grade

import autograde
from autograde import __main__, build, lesson, log, own_file, trial
from autograde.check import CheckError, CourseError, answer, check, predict
from autograde.numbers import save
from autograde.progress import judge_freshness, progress
from autograde.verdict import heading


@pytest.fixture(autouse=True)
def workspace(tmp_path, monkeypatch):
    """Each test has a workspace of its own and none of the marking modes."""
    for name in ("AUTOGRADE_MARKING", "NBGRADER_EXECUTION", "JPY_SESSION_NAME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("AUTOGRADE_WORKSPACE", str(tmp_path))
    return tmp_path


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
    monkeypatch.setattr(sys.modules["autograde.check"], "TIME_LIMIT_S", 0.2)
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
    assert answer("parabola.rib_height", "x_mm ** (").slip == "error"
    assert answer("parabola.rib_height", "").verdict.empty


# --- the log --------------------------------------------------------------------------------------
WRITER = """
import sys
from pathlib import Path
from autograde import log
for number in range(200):
    log.append("a." + sys.argv[2], "ä" * 50 + str(number), 0.0, None, Path(sys.argv[1]))
"""


def test_two_processes_lose_and_mix_nothing(workspace):
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, workspace, who]) for who in "xy"]
    assert [writer.wait() for writer in writers] == [0, 0]
    for who in "xy":
        numbers = [e.answer.strip("ä") for e in log.history(f"a.{who}", workspace)]
        assert numbers == [str(n) for n in range(200)]


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


# --- Jupyter --------------------------------------------------------------------------------------
def test_html_says_it_in_words_and_with_a_sign():
    signs = set()
    for credit, empty in ((1.0, False), (0.5, False), (0.0, False), (None, False), (0.0, True)):
        signs.add(heading(credit, empty))
    assert len(signs) == 5 and {s[0] for s in signs} == set("✓◐✗○")
    html = check("parabola.depth", "<b>602</b> mm")._repr_html_()
    assert 'role="status"' in html and "Not yet" in html and "<b>602" not in html


def widget(exercise_id):
    from autograde import form

    results = []
    return form.answer_form(exercise_id, results.append), results


def test_forms_answer_without_python():
    box, results = widget("parabola.depth")
    text, button = box.children
    assert text.description and button.tooltip
    text.value = "602 mm"
    button.click()
    text.value = "150.6 mm"
    button.click()
    assert [r.credit for r in results] == [0.0, 1.0]

    box, results = widget("start.stale")
    radio, button = box.children
    button.click()
    radio.value = "b"
    button.click()
    assert [r.heading for r in results] == ["○ No answer yet", "✓ Right"]

    box, results = widget("start.rules")
    boxes, button = box.children
    for letter in range(4):
        boxes.children[letter].value = True
    button.click()
    assert results[0].right

    box, results = widget("parabola.rib_height")
    rule, button = box.children
    rule.value = "x_mm**2 / (4*f_mm)"
    button.click()
    assert results[0].right


LOG = "time (min);water (°C);wind (m/s);sun (W/m2)\n" + "".join(
    f"{5 * k};{18 + 2 * k},0;1;800\n" for k in range(9)
)


def upload(box, name, content):
    """Choose a file in the form as the browser hands it over."""
    fields, button = box.children
    file = {"name": name, "type": "text/csv", "size": len(content), "content": memoryview(content),
            "last_modified": datetime.now(UTC)}  # fmt: skip
    fields.children[0].value = ({**file},)
    return fields.children[1].value, fields.children[2].value, button


def test_a_file_is_uploaded_kept_and_checked_row_by_row(workspace, monkeypatch):
    monkeypatch.chdir(workspace)
    box, results = widget("heating_test.own_file")
    assert box.children[0].children[0].accept == ".csv,.txt,.tsv"
    damaged = LOG.replace("22,0", "warm").encode("cp1252")
    told, text, button = upload(box, "my test.csv", damaged)
    assert "Kept as “my test.csv”" in told and 'role="status"' in told and "22" not in text
    button.click()
    assert "Line 4, water (°C): “warm” cannot be read" in results[0].says
    assert (workspace / "my test.csv").read_bytes() == damaged
    told, text, button = upload(box, "my test.csv", LOG.encode())
    assert "It is left as it was; yours is kept as “my test-2.csv”" in told
    button.click()
    assert results[1].right, results[1].says
    told, _, _ = upload(box, "my test.csv", damaged)
    assert "lies beside the notebook already" in told
    assert sorted(p.name for p in workspace.glob("*.csv")) == ["my test-2.csv", "my test.csv"]
    assert (workspace / "my test.csv").read_bytes() == damaged


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../etc/passwd", "passwd.csv"),
        ("C:\\Users\\me\\log.CSV", "log.CSV"),
        (".bashrc", "bashrc.csv"),
        ("numbers.json", "numbers.json.csv"),
        ("a:b*c?.txt", "abc.txt"),
        ("\u202elog.csv\n", "log.csv"),
        ("", "my_file.csv"),
        (".csv", "csv.csv"),
        ("ü" * 300 + ".tsv", "ü" * 60 + ".tsv"),
    ],
)
def test_an_uploaded_name_is_a_plain_one(sent, kept, tmp_path):
    taken = own_file.take_in(sent, b"x", ".csv,.txt,.tsv", tmp_path)
    assert taken.path == tmp_path / kept and taken.path.read_bytes() == b"x"


def test_an_upload_that_cannot_be_kept_is_said(tmp_path):
    (tmp_path / "log.csv").mkdir()
    assert own_file.take_in("log.csv", b"x", ".csv", tmp_path).path == tmp_path / "log-2.csv"
    nowhere = own_file.take_in("log.csv", b"x", ".csv", tmp_path / "no such folder")
    assert nowhere.path is None and nowhere.text == "x" and "could not be kept" in nowhere.says
    empty = own_file.take_in("log.csv", b" \n", ".csv", tmp_path)
    assert empty.path is None and "is empty; choose" in empty.says
    long = own_file.take_in("log.csv", b"x" * 60_000, ".csv", tmp_path)
    assert long.path is None and not long.text and "60000" in long.says and "50000" in long.says
    assert [p.name for p in tmp_path.glob("log-*")] == ["log-2.csv"]


def test_a_file_named_in_the_notebook_is_one_sentence_when_it_is_missing(tmp_path):
    from solarlib import heating_test

    with pytest.raises(heating_test.LogFileError, match=r"nowhere\.csv.* cannot be read") as caught:
        heating_test.read_text("nowhere.csv")
    assert caught.value._render_traceback_() == [str(caught.value)]  # all that Jupyter shows
    path = tmp_path / "log.csv"
    path.write_bytes("wasser °C".encode("utf-16"))
    assert heating_test.read_text(path) == "wasser °C"


def test_the_order_form(monkeypatch):
    from autograde.key import Lesson, Order

    record = Order(name="row", points=1, items={"a": "1", "b": "2"}, answer=("b", "a"))
    key = Lesson("tiny", 1, "Tiny", [record])
    monkeypatch.setattr("autograde.lesson.exercise", lambda full_id: (key, record))
    box, results = widget("tiny.row")
    menus, button = box.children
    menus.children[0].value, menus.children[1].value = "b", "a"
    button.click()
    assert results[0].right


def test_a_saved_notebook_has_a_sentence_where_a_form_was():
    from autograde import form

    bundle = {form.WIDGET: {"model_id": "x"}, "text/plain": "VBox(...)"}
    content = {
        "cells": [
            {
                "cell_type": "code",
                "outputs": [
                    {"output_type": "display_data", "data": {"text/html": "<p>✓</p>"}},
                    {"output_type": "display_data", "data": bundle},
                    {"output_type": "stream", "text": "x"},
                ],
            },
            {"cell_type": "markdown"},
        ]
    }
    form.before_saving({"type": "notebook", "content": content}, path="x", contents_manager=None)
    outputs = content["cells"][0]["outputs"]
    assert outputs[0]["data"] == {"text/html": "<p>✓</p>"}
    assert outputs[1]["data"] == {"text/plain": form.COME_BACK}
    form.before_saving({"type": "file", "content": "x"})


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


# --- before work outdoors -------------------------------------------------------------------------
STEPS = ("Weigh the water.", "Stop at 60 °C.")


def complete(slug, leave=()):
    key = lesson.load_key(slug)
    for record in key:
        if record.name not in leave:
            log.append(key.id(record), "x", 1.0 if record.marked else None, None)


def test_outdoor_steps_unfold_when_the_work_before_is_complete(capsys):
    lock = autograde.outdoors(*STEPS, first=("start.rules", "hazards"))
    page = lock._repr_html_()
    count = sum(1 for record in lesson.load_key("hazards") if record.marked and record.points)
    assert "<details><summary>The steps, only to read ahead" in page and "○ Not open yet" in page
    assert "lesson 00, Start here: The standing rules." in page and f"0 of {count} exercises" in page
    complete("hazards", leave=("shutdown",))
    check("start.rules", "a, b, c, d")
    words = f"{count - 1} of {count} exercises are right; next is “The end of a session”"
    assert words in repr(lock)
    assert "start.rules" not in repr(lock) and "standing rules" not in repr(lock)
    check("hazards.shutdown", "b, e, d, f, c, a")  # half right is not complete
    assert not lock.state()[0]
    check("hazards.shutdown", "b, e, d, a, f, c")
    assert "<details open>" in lock._repr_html_() and lock.state()[2] == []
    assert "1. Weigh the water." in repr(lock) and "no permission" in repr(lock)


def test_an_adult_in_charge_opens_outdoor_steps_for_a_day(monkeypatch, capsys):
    lock = autograde.outdoors(*STEPS, first=("hazards",))
    assert __main__.main(["answer", "outdoors.signed", " "]) == 2
    assert "1 to 12 letters; there are 0" in capsys.readouterr().out
    assert not lock.state()[0] and "outdoors.signed" in repr(lock)
    assert __main__.main(["answer", "outdoors.signed", "M. T."]) == 0
    assert __main__.main(["answer", "outdoors.signed", "x" * 13]) == 2
    is_open, says, items = lock.state()
    assert is_open and "by M. T." in says and len(items) == 1  # what is missing stays in sight
    tomorrow = datetime.now() + timedelta(days=1)

    class Tomorrow(date):
        @classmethod
        def today(cls):
            return tomorrow.date()

    monkeypatch.setattr(sys.modules["autograde.outdoors"], "date", Tomorrow)
    assert not lock.state()[0]


def test_outdoor_steps_never_promise_and_wait_for_what_is_unknown(monkeypatch):
    lock = autograde.outdoors(*STEPS, first=("nothing.here",))
    told = repr(lock)
    complete("hazards")
    for words in (told, lock.still(), repr(autograde.outdoors(*STEPS, first=("hazards",)))):
        assert "safe" not in words.lower() and "Weigh the water." in words
    assert "no lesson" in told and not lock.state()[0]
    monkeypatch.setenv("AUTOGRADE_MARKING", "1")
    assert autograde.outdoors(*STEPS, first=("hazards",)) is None


def test_the_box_of_the_adult_in_charge(monkeypatch):
    import IPython.display

    shown = []

    class Handle:
        def update(self, bundle, raw):
            shown.append(bundle)

    def display(thing, **how):
        shown.append(thing)
        return Handle()

    monkeypatch.setattr(IPython.display, "display", display)
    autograde.outdoors(*STEPS, first=("hazards",))._ipython_display_()
    first, box = shown
    (initials, button), told = box.children[0].children, box.children[1]
    button.click()
    assert "<details>" in first["text/html"] and "there are 0" in told.value
    initials.value = "MT"
    button.click()
    assert "MT has signed for today" in told.value and "<details open>" in shown[-1]["text/html"]


@pytest.mark.parametrize("name", ["sun", "heating_test"])
def test_outdoor_steps_are_in_the_built_notebook_whatever_is_on_record(name):
    complete("hazards")
    made = build.notebook(lesson.load(name))
    cell = next(c for c in made["cells"] if "".join(c["source"]).startswith("outdoors("))
    page = "".join(cell["outputs"][0]["data"]["text/html"])
    assert "<details><summary>" in page and page.count("<li>") >= 3
    assert cell["metadata"]["jupyter"] == {"source_hidden": True}


# --- progress, fresh, commands --------------------------------------------------------------------
def test_progress_counts_the_best_try():
    assert "No answers yet" in repr(progress())
    check("start.opening_area", "0.576 m2")
    check("start.opening_area", "3 m2")
    check("start.power_in", "490")
    row = next(r for r in progress().rows if r.lesson.startswith("00"))
    assert (row.right, row.tried, row.points) == (1, 2, 3.0)  # 2 and half of 2
    assert row.next_step == "Power through the opening"
    html = progress()._repr_html_()
    assert '<th scope="row"' in html and "1 of 5" in html


def cell(source, count):
    return {"source": source, "execution_count": count}


@pytest.mark.parametrize(
    ("cells", "ran", "ok", "words"),
    [
        ([cell("a=1", 1), cell("b=a", 2)], ["", "a=1", "b=a"], True, "2 code cells ran in order"),
        ([cell("a=1", 2), cell("b=a", 1)], ["", "b=a", "a=1"], False, "ran before a cell above"),
        ([cell("a=2", 1), cell("b=a", 2)], ["", "a=1", "b=a"], False, "changed after it ran"),
        ([cell("a=1", None), cell("b=a", 1)], ["", "b=a"], False, "has not run"),
        ([cell("a=1", 7), cell("b=a", 8)], [""], True, "0 code cells ran"),  # kernel restarted
        ([cell("a=1", 1), cell("b=a", None)], ["", "a=1"], True, "1 below"),
        ([cell("fresh()", 9), cell("a=1", 1)], ["", "a=1"], True, "1 code cells"),
    ],
)
def test_fresh(cells, ran, ok, words):
    found = judge_freshness(cells, ran)
    assert found.ok == ok and words in repr(found)
    assert ok or "Restart Kernel" in repr(found)


def test_answer_command(capsys):
    assert __main__.main(["answer", "parabola.depth", "602 mm"]) == 0
    assert __main__.main(["answer", "parabola.depth", "5 15/16 in"]) == 0
    assert __main__.main(["answer", "parabola.dept", "1"]) == 2
    assert __main__.main(["answer", "parabola.depth"]) == 2
    assert __main__.main(["answer", "start.bars", "@/no/such/file"]) == 2
    out = capsys.readouterr().out
    assert "✗ Not yet" in out and "✓ Right" in out and "Traceback" not in out
    assert len(log.history("parabola.depth")) == 2


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("parabola.depth", "15,06 cm", "✓ Right"),
        ("parabola.depth", "150.6 kg", "The digits are right, the unit is not"),
        ("parabola.depth", "150.6", "Say the unit too"),
        ("parabola.depth", "150.6123456 mm", "✓ Right"),
        ("parabola.depth", "151 mm", "✓ Right"),
        ("start.stale", "B", "✓ Right"),
        ("start.rules", "a b c and d", "✓ Right"),
        ("hazards.shutdown", "b e d a f c", "✓ Right"),
        ("hazards.shutdown", "bedafc", "✓ Right"),
        ("hazards.shutdown", "b, e, d, f, c, a", "◐ Partly right"),
        ("hazards.shutdown", "b, e", "Write every letter once"),
        ("sun.solar_noon", "12:04", "✓ Right"),
        ("start.power", "area * sun", "✓ Right"),
        ("hazards.visitor_rule", "Stay behind the tape; the cover stays on; call Maruk.",
         "3 of 3 key points seen. A person reads"),
        ("heating_test.weak_part", "c", "○ Noted"),
        ("start.bars", "200 mm, 150 mm", "✓ Right"),
    ],
)  # fmt: skip
def test_every_kind_of_answer_at_the_command_line_and_in_a_text_cell(
    name, text, words, tmp_path, capsys
):
    assert __main__.main(["answer", name, text]) == 0
    assert words in capsys.readouterr().out
    (tmp_path / log.LOG_FILE).unlink()
    short = name.partition(".")[2]
    path = notebook_at(
        tmp_path / "n.ipynb",
        ("code", f'from autograde import check\n{short} = ""'),
        ("markdown", f"answer {short}: {text}"),
        ("code", f'check("{name}", {short})'),
    )
    __main__.main(["try", path])
    assert words in capsys.readouterr().out


def test_an_error_is_carried_at_the_command_line(capsys):
    __main__.main(["answer", "start.opening_area", "0,7 m2"])
    __main__.main(["answer", "start.power_in", "595 W"])  # 0.7 × 850
    assert "Right with your earlier answer" in capsys.readouterr().out


def test_a_file_at_the_command_line_in_any_writing(tmp_path, capsys):
    path = tmp_path / "log.csv"
    for coding in ("utf-8-sig", "cp1252", "utf-16"):
        path.write_bytes(LOG.encode(coding))
        assert __main__.main(["answer", "heating_test.own_file", f"@{path}"]) == 0
    assert capsys.readouterr().out.count("✓ Right") == 3


def test_a_mistyped_guess_leaves_the_one_before(capsys):
    __main__.main(["answer", "heating_test.weak_part", "C"])
    __main__.main(["answer", "heating_test.weak_part", "z"])
    assert predict("heating_test.weak_part").answer == "c"


def test_unknown_command(capsys):
    assert __main__.main(["grde"]) == 2
    assert "“grde” is not a command" in capsys.readouterr().out
    assert __main__.main(["--help"]) == 0


def notebook_at(path, *sources):
    cells = [{"cell_type": kind, "source": text, "metadata": {}} for kind, text in sources]
    path.write_text(json.dumps({"cells": cells}))
    return str(path)


def test_try_uses_cell_then_text_then_log(tmp_path, capsys):
    path = notebook_at(
        tmp_path / "n.ipynb",
        ("code", 'from autograde import check\ndepth = ""\nthickest = "1.03 mm"\nshort_bar = ""'),
        ("markdown", "answer depth: 150,6 mm\nanswer thickest: 9 mm"),
        ("code", 'check("parabola.depth", depth)\n'),
        ("code", 'check("parabola.thickest", thickest)'),
        ("code", 'check("parabola.short_bar", short_bar)'),
    )
    log.append("parabola.short_bar", "a", 1.0, None)
    assert __main__.main(["try", path]) == 0
    assert capsys.readouterr().out.strip().endswith("5 of 5 points.")


def test_try_fails_on_a_wrong_answer_and_a_stopped_cell(tmp_path, capsys):
    path = notebook_at(
        tmp_path / "n.ipynb",
        ("code", "1 / 0"),
        ("code", 'depth = "602 mm"'),
        ("code", 'check("parabola.depth", depth)'),
    )
    assert __main__.main(["try", path]) == 1
    out = capsys.readouterr().out
    assert "Cell 1 stopped with ZeroDivisionError" in out and "✗ Not yet: parabola.depth" in out
    assert __main__.main(["try", str(tmp_path / "none.ipynb")]) == 2
    assert __main__.main(["try"]) == 2
    assert not (tmp_path / log.LOG_FILE).exists()


def test_import_is_light():
    heavy = ("numpy", "nbformat", "nbgrader", "pint", "solarlib", "ipywidgets", "IPython")
    code = f"import sys, autograde; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
