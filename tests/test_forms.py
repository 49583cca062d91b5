"""Answering without Python: forms, uploaded files, and what a saved notebook shows in their place."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from autograde import form, log, own_file
from autograde.check import answer

pytestmark = pytest.mark.usefixtures("workspace")


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
    (_, rule), button = box.children[0].children, box.children[1]
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


# --- coming back ---------------------------------------------------------------------------------
RECALLED = {"parabola.depth": "150.6 mm", "hazards.showers": "a", "start.rules": "a, c",
            "hazards.shutdown": "b, e, d, a, f, c",
            "heating_test.agree_why": "One line.\nAnother."}  # fmt: skip


@pytest.mark.parametrize("exercise", RECALLED)
def test_a_form_shown_again_holds_the_answer_on_record(exercise):
    given = RECALLED[exercise]
    answer(exercise, given)
    said = []
    box = form.answer_form(exercise, said.append)
    box.children[-1].click()
    assert log.last(exercise).answer == given and len(log.history(exercise)) == 2


def test_an_answer_that_is_no_option_leaves_the_form_empty():
    log.append("hazards.showers", "q", 0.0, None)
    said = []
    form.answer_form("hazards.showers", said.append).children[-1].click()
    assert said[0].verdict.empty
