"""A design file filled in by hand: what is typed, what is refused, and what gets to disk."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from datetime import date
from functools import partial

import pytest

from autograde import lesson, log, marks
from autograde.check import answer
from autograde.form import answer_form
from autograde.intake import take_in
from autograde.runner.job import Outcome, Result
from solarlib import explorers, pack, units
from solarlib.design import DesignError, HeaterDesign, demo, evaluate, typed
from solarlib.design.draft import Draft, rewritten
from solarlib.design.variation import ENTRIES
from tests import bench
from tests.picture_reading import whole

DAY = date(2026, 5, 1)
MINE = """\
# Pim's trough: do not touch
[trough]
focal_length = "6 11/16 in"   # from the old rib
aperture_width = 640

[pipe]  # copper
tube_diameter = "22 mm"
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "pim's trough ü.toml"
    path.write_text(MINE, encoding="utf-8")
    return path


# --- one entry -----------------------------------------------------------------------------------
@pytest.mark.parametrize("one", fields(HeaterDesign), ids=lambda one: one.name)
def test_every_entry_reads_back_what_it_shows(one):
    value = one.metadata["demo"]
    again = typed.read(one, typed.shown(one, value))
    assert again == (pytest.approx(value, rel=1e-9) if isinstance(value, float) else value)
    assert typed.allowed(one) or one.metadata["kind"] in ("choice", "flag")
    if one.default is None and one.metadata["kind"] != "text":
        assert typed.read(one, typed.shown(one, None)) is None


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("focal_length", "17 kg", "is a mass; a length is asked for"),
        ("focal_length", "1700", "1700 mm; it must lie within 90 to 500 mm"),
        ("focal_length", "", "is empty; give 90 to 500 mm"),
        ("focal_length", "nan", "focal_length"),
        ("rib_count", "2.5", "whole number"),
        ("months", "May", "list the months by number"),
        ("months", "13", "list months by number"),
        ("on_roof", "perhaps", "answer yes or no"),
        ("plumbing", "pipe 800", "is no part and no link"),
        ("plumbing", "pipe: 8 kg", "is a mass"),
        ("plumbing", "pipe: 80 cm\npipe - attic: vent", "which is no part"),
        ("plumbing", "pipe: 80 cm\npipe: 90 cm", "names pipe again; name each part once"),
        ("prices", "rib, four", "cannot be read"),
        ("changes", "today | a pipe", "date | what | why"),
        ("mirror", "x" * 301, "at most 300 letters"),
        ("target_c", "12 °C", "must lie within 35 to 60"),
    ],
)
def test_a_bad_entry_gets_a_sentence_and_nothing_is_written(tmp_path, name, text, said):
    draft = Draft(tmp_path / "new.toml")
    draft.type(name, text)
    assert said in draft.problems[name] and draft.problems[name][-1] in ".?"
    assert "\n" not in draft.problems[name]
    assert draft.save().startswith("Nothing is written: mend")
    assert list(tmp_path.iterdir()) == []


def test_units_of_the_bench_are_read():
    for name, text, value in (("focal_length", "7 1/2 in", 0.1905), ("latest_time", "2 h", 7200),
                              ("start_c", "64,4 °F", 18.0), ("shelter", "60 %", 0.6),
                              ("tube_dy", "−3 mm", -0.003)):  # fmt: skip
        assert typed.read(ENTRIES[name], text) == pytest.approx(value)


# --- the draft and its file ----------------------------------------------------------------------
def test_a_new_design_states_nothing_that_decides_a_hazard(tmp_path):
    draft = Draft(tmp_path / "new.toml")
    assert draft.is_new and draft.design == HeaterDesign()
    assert len(evaluate(draft.design).gates_open) == 4


def test_comments_and_spellings_stay(file):
    draft = Draft(file)
    draft.type("tube_diameter", "15 mm")
    draft.type("on_roof", "no")
    assert draft.save() == f"{file.name} is written, 2 changed entries."
    text = file.read_text(encoding="utf-8")
    kept = [line for line in MINE.splitlines() if "tube_diameter" not in line]
    assert [line for line in kept if line not in text] == []
    assert HeaterDesign.from_toml(file) == draft.design
    assert draft.design.tube_diameter == 0.015 and draft.design.on_roof is False


@pytest.mark.parametrize("text", [
    "", "trough.focal_length = 170\n", "trough = {focal_length = 170}\n",
    "[plumbing]\n[plumbing.plumbing]\nlinks = ['pipe - open air', 'pot - open air']\n"
    "[plumbing.plumbing.heights]\npipe = 800\npot = 900\n",
])  # fmt: skip
def test_unusual_spellings_of_toml_are_kept(text):
    changed = replace(HeaterDesign.from_text(text), focal_length=0.2, stop_c=58.0, bar_across=0.2)
    assert HeaterDesign.from_text(rewritten(text, changed)) == changed
    assert HeaterDesign.from_text(rewritten(text, demo())) == demo()


def test_a_file_changed_elsewhere_is_not_written_over(file):
    draft = Draft(file)
    draft.type("tube_diameter", "15 mm")
    file.write_text(MINE + "# Ilvane was here\n", encoding="utf-8")
    there = file.read_bytes()
    assert "was changed outside this form" in draft.save()
    assert file.read_bytes() == there
    other = file.with_name("mine.toml")
    assert draft.save_as(other).startswith("mine.toml is written")
    assert HeaterDesign.from_toml(other).tube_diameter == 0.015
    assert "exists already" in draft.save_as(file)
    assert file.read_bytes() == there


def test_a_file_that_appears_or_goes_meanwhile_is_noticed(tmp_path):
    draft = Draft(tmp_path / "new.toml")
    (tmp_path / "new.toml").write_text(MINE)
    assert "has appeared meanwhile" in draft.save()
    draft.open(tmp_path / "new.toml")
    (tmp_path / "new.toml").unlink()
    draft.type("tube_diameter", "15 mm")
    assert "is gone" in draft.save()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"[trough\n", b"\xff\xfe\x00", b"[trough]\nfocal = 1\n"])
def test_a_file_that_cannot_be_read_is_left_alone(tmp_path, content):
    path = tmp_path / "broken.toml"
    path.write_bytes(content)
    draft = Draft(path)
    assert "Nothing is written to it" in draft.blocked and "broken.toml" in draft.blocked
    draft.type("tube_diameter", "15 mm")
    assert draft.save() == draft.blocked and path.read_bytes() == content


@pytest.mark.parametrize("name", ["notes.txt", "nowhere/a.toml", "", "folder.toml"])
def test_names_that_are_no_design_file_are_refused(tmp_path, name):
    (tmp_path / "folder.toml").mkdir()
    draft = Draft(tmp_path / name)
    assert draft.blocked.endswith(".") and draft.save() == draft.blocked
    assert [p.name for p in tmp_path.iterdir()] == ["folder.toml"]


def test_two_entries_that_cannot_be_together_wait_for_each_other(tmp_path):
    draft = Draft(tmp_path / "new.toml")
    draft.type("trough_length", "1.6 m")
    assert "the pipe must reach both ends" in draft.problems["trough_length"]
    draft.type("tube_length", "2.1 m")
    assert draft.problems == {} and draft.design.trough_length == 1.6
    with pytest.raises(DesignError):  # what the draft held back
        replace(draft.design, tube_length=1.0)


def test_a_reason_goes_to_the_change_log(file):
    draft = Draft(file)
    draft.save("nothing changed, so no line")
    draft.type("tube_diameter", "28 mm")
    draft.save("the thin one misses light", today=DAY)
    row = HeaterDesign.from_toml(file).changes
    assert row == (("2026-05-01", "tube_diameter 22 mm to 28 mm", "the thin one misses light"),)


# --- the form without a browser ------------------------------------------------------------------
def words(wires):
    return re.sub(r"<[^>]+>", " ", wires.status.value)


def test_every_input_has_a_named_field_with_its_range(form):
    wires = form.wires
    assert set(wires.fields) == set(ENTRIES)
    for name, one in ENTRIES.items():
        field = wires.fields[name]
        assert field.description.startswith(one.metadata["words"]) and field.tooltip
        beside = wires.beside[name].value
        assert f"<code>{name}</code>" in beside
        if one.metadata["kind"] == "number":
            assert typed.range_text(one) in beside
            unit = units.label(one.metadata["unit"])
            assert not unit or field.description.endswith(f" ({unit})")
    names = [widget.description for widget in (wires.read, wires.save, wires.helps, wires.pack)]
    assert all(names) and len(set(names)) == 4
    assert wires.hand_in not in wires.box.children[1].children, "nobody takes it in here"


def test_one_group_is_shown_at_a_time(form):
    wires = form.wires
    for group in wires.boxes:
        wires.group.value = group
        assert [n for n, box in wires.boxes.items() if box.layout.display != "none"] == [group]
    assert wires.box.layout.display is None


def test_a_wrong_field_says_so_beside_itself_and_the_board_stays(form):
    wires, before = form.wires, form.shown
    wires.fields["tube_diameter"].value = "8 kg"
    assert 'role="alert"' in wires.beside["tube_diameter"].value
    assert "is a mass" in wires.beside["tube_diameter"].value
    assert "Nothing is written" in words(wires) and wires.group.value == "pipe"
    assert form.shown == before
    wires.save.click()
    assert not form.draft.path.exists()
    wires.fields["tube_diameter"].value = "15 mm"
    assert "alert" not in wires.beside["tube_diameter"].value
    assert form.shown != before and "not met: C4" in words(wires)
    wires.save.click()
    assert HeaterDesign.from_toml(form.draft.path).tube_diameter == 0.015


def test_what_would_help_is_tried_and_can_be_pressed(form):
    wires = form.wires
    for name, text in (("tube_diameter", "15 mm"), ("stop_c", "80"), ("delivery", "ladle")):
        wires.fields[name].value = text
    wires.helps.click()
    told = [re.sub(r"<[^>]+>", "", row.children[1].value) for row in wires.offers.children]
    assert "With “water at which it is covered” 60 °C instead of 80 °C this gate would be met." \
        in told  # fmt: skip
    assert any("“outside diameter” 22 mm instead of 15 mm" in line for line in told)
    assert not any("attended" in line or "not stated" in line for line in told)
    wires.offers.children[0].children[0].click()
    assert wires.fields["stop_c"].value == "60 °C" and wires.offers.children == ()
    assert form.draft.design.stop_c == 60.0 and not form.draft.path.exists()


def said_in(widget):
    """Yield what a widget and those in it say."""
    for trait in ("value", "description", "tooltip", "placeholder"):
        yield str(getattr(widget, trait, ""))
    for child in getattr(widget, "children", ()):
        yield from said_in(child)


def test_the_demo_s_file_is_complete_and_never_called_safe(tmp_path):
    path = tmp_path / "ladle.toml"
    path.write_text(demo().to_toml(), encoding="utf-8")
    form = explorers.design_form(path)
    form.refresh()
    wires = form._controls().wires
    wires.helps.click()
    assert "checked items complete, not a permission to build" in words(wires)
    shown = form.shown["text/html"] + "".join(said_in(wires.box))
    assert not re.search(r"\b(un)?safe(ly|ty)?\b", re.sub(r"base64,[^\"]*", "", shown), re.I)


def test_the_pack_is_made_from_the_saved_file_only(form):
    wires = form.wires
    wires.fields["learner"].value = "pim-03"
    wires.pack.click()
    assert "Save the design first" in words(wires)
    wires.save.click()
    wires.pack.click()
    assert "not a permission to build" in words(wires)
    assert (form.draft.path.parent / "my-pack" / "build_pack.pdf").stat().st_size > 100_000


def test_the_pack_is_linked_from_the_notebook_s_folder(form, monkeypatch, tmp_path):
    """The link is a plain output, because JupyterLab does not follow those in other widgets."""
    wires = form.wires
    monkeypatch.setattr(pack, "write_pack", lambda design, folder, *_, **__: ["a.csv", "b ü.pdf"])
    wires.save.click()
    wires.pack.click()
    assert "open it from there" in wires.pack_link.outputs[0]["data"]["text/html"]
    monkeypatch.chdir(tmp_path)
    wires.pack.click()
    (output,) = wires.pack_link.outputs
    assert 'href="my-pack/b%20%C3%BC.pdf"' in output["data"]["text/html"]
    assert output["output_type"] == "display_data"
    wires.fields["learner"].value = "pim-03"
    wires.pack.click()
    assert wires.pack_link.outputs == (), "the old one is not what the form shows"


def test_board_and_table_say_each_state_in_words_and_in_one_order(form):
    form.wires.fields["tube_diameter"].value = "15 mm"  # met, not met, not known: all three
    with whole(form):
        board = [text.get_text() for text in form._axes[0].texts]
    legend, *rows = board
    assert legend == "✓ met, ✗ not met, ? not known; the gates come first"
    words, drawn = rows[::2], [re.match(r"C\d+a?", name)[0] for name in rows[1::2]]
    state = {True: "met", False: "not met", None: "not known"}
    met = {one.id: one.met for one in form.items}
    assert set(met.values()) == {True, False, None}
    assert words == [state[met[number]] for number in drawn]
    table = [row for row in form.scene.table(form.result()) if re.match(r"C\d", row[0])]
    assert [label.split()[0] for label, _ in table] == drawn
    assert drawn[:4] == ["C10", "C11", "C12", "C13"] and len(drawn) == len(met)
    sign = {True: "✓ met. ", False: "✗ not met. ", None: "? not known. "}
    assert all(told.startswith(sign[met[label.split()[0]]]) for label, told in table)
    assert form.scene.title == explorers.explore_design_board().scene.title == "Design board"


def test_what_is_not_stated_is_named_as_in_the_form_and_one_press_away(form):
    wires = form.wires
    told = dict(form.scene.table(form.result()))
    assert told["C12 place, mains, use (gate)"] == (
        "? not known. Not stated: “stands on a roof” (trough), “joined to the house's water” "
        "(control), “filling” (plumbing), “use” (need).")  # fmt: skip
    waiting = {name for one in form.items for name in one.missing}
    assert set(wires.to_state.buttons) == waiting and len(waiting) > 15
    sent = []
    for name in waiting:
        wires.fields[name].focus = lambda name=name: sent.append(name)
        wires.to_state.buttons[name].click()
        assert wires.group.value == ENTRIES[name].metadata["group"] and sent[-1] == name
    kept = wires.to_state.buttons["use"]
    wires.fields["site_wind"].value = "2 m/s"
    assert wires.to_state.buttons["use"] is kept, "new buttons would lose the keyboard's place"
    wires.fields["on_roof"].value = "no"
    assert set(wires.to_state.buttons) == waiting - {"on_roof"}


# --- handing in ----------------------------------------------------------------------------------
@pytest.fixture
def handing(workspace):
    """A form that hands in as the one of lesson 07 does."""
    made = explorers.design_form(
        workspace / "my.toml", hand_in=partial(answer, "capstone.design_file")
    )
    made.refresh()
    made.wires = made._controls().wires
    return made


def test_handing_in_checks_the_saved_file_as_the_exercise_does(handing, workspace):
    wires = handing.wires
    wires.hand_in.click()
    assert "Save the design first" in words(wires) and not log.read(), "nothing is saved yet"
    wires.fields["stop_c"].value = "60"
    wires.save.click()
    wires.fields["stop_c"].value = "59"
    wires.hand_in.click()
    assert "Save the design first" in words(wires) and not log.read()
    wires.save.click()
    wires.hand_in.click()
    results = []
    box, button = answer_form("capstone.design_file", results.append).children
    box.value = handing.draft.path.read_text(encoding="utf-8")
    button.click()
    by_form, by_exercise = log.read()
    assert (by_form.exercise, by_form.answer, by_form.credit, by_form.slip) == (
        by_exercise.exercise, by_exercise.answer, by_exercise.credit, by_exercise.slip)  # fmt: skip
    assert by_form.answer == box.value and 0 < by_form.credit < 0.6
    again = results[0]._repr_html_()
    cut = slice(None, again.index("Last saved"))
    assert again[cut] in wires.verdict.value and "machine points" in again


def test_what_the_form_handed_in_is_marked_in_a_class(handing, workspace, tmp_path_factory):
    """Only the log travels: the notebook's own line was never filled in."""
    for name, one in ENTRIES.items():
        handing.wires.fields[name].value = typed.shown(one, one.metadata["demo"])
    handing.wires.save.click()
    handing.wires.hand_in.click()
    course = bench.course(tmp_path_factory.mktemp("class"))
    folder = tmp_path_factory.mktemp("handed")
    (folder / log.LOG_FILE).write_bytes((workspace / log.LOG_FILE).read_bytes())
    source = lesson.load("07_capstone")
    intake = take_in(folder, source)
    key = source.key
    job = marks.make_job(intake, key, key.demo(), "seed", course.limits)
    credits = {}
    for line in ("", handing.draft.path.read_text(encoding="utf-8")):  # what the cell gives
        given = Result(tuple(
            Outcome(values=tuple(line if "design_file" in ask else "" for ask in step.asks))
            for step in job.steps))  # fmt: skip
        told = marks.judge(intake, key, key.demo(), "seed", job, given).marks
        (mark,) = (one for one in told if one.exercise == "capstone.design_file")
        credits[mark.place] = mark.credit
    assert credits["log"] == credits["cell"] >= 0.9


def test_another_name_and_reading_again(form, tmp_path):
    wires = form.wires
    wires.save.click()
    wires.fields["focal_length"].value = "180 mm"
    wires.path.value = str(tmp_path / "second.toml")
    wires.save.click()
    assert HeaterDesign.from_toml(tmp_path / "second.toml").focal_length == 0.18
    wires.path.value = str(tmp_path / "my.toml")
    wires.read.click()
    assert wires.fields["focal_length"].value == "170 mm"
    wires.path.value = str(tmp_path / "absent" / "x.toml")
    wires.read.click()
    assert "give another name" in words(wires)


def test_a_form_is_silent_while_marking(form, monkeypatch):
    monkeypatch.setenv("AUTOGRADE_MARKING", "1")
    assert form._ipython_display_() is None and form._handle is None
