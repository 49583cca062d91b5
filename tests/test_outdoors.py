"""The soft lock before work outdoors: when it opens, who opens it, and that it promises nothing."""

from __future__ import annotations

import sys
from datetime import date, datetime, timedelta

import pytest

import autograde
from autograde import build, lesson, log
from autograde.check import check
from tests.refusals import MARKING, said_by

pytestmark = pytest.mark.usefixtures("workspace")
STEPS = ("Weigh the water.", "Stop at 60 °C.")


def complete(slug, leave=()):
    key = lesson.load_key(slug)
    for record in key:
        if record.name not in leave:
            log.append(key.id(record), "x", 1.0 if record.marked else None, None)


def test_outdoor_steps_unfold_when_the_work_before_is_complete():
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


def test_an_adult_in_charge_opens_outdoor_steps_for_a_day(monkeypatch):
    lock = autograde.outdoors(*STEPS, first=("hazards",))
    code, said = said_by(MARKING, ["answer", "outdoors.signed", " "])
    assert code == 2 and "1 to 12 letters; there are 0" in said
    assert not lock.state()[0] and "outdoors.signed" in repr(lock)
    assert MARKING(["answer", "outdoors.signed", "M. T."]) == 0
    assert said_by(MARKING, ["answer", "outdoors.signed", "x" * 13])[0] == 2
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
