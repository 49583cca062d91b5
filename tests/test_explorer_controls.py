"""The controls of every explorer: one move, one refresh; locks, refusals, and failure in the open."""

from dataclasses import dataclass, field, replace

import ipywidgets as w
import pytest

from solarlib import explorers
from solarlib.explorers.base import Pick, Slider
from solarlib.explorers.panel import panel
from tests.picture_reading import NAMES, SLIDERS


def make(name):
    return getattr(explorers, name)()


@dataclass
class Question:
    """A prediction as `predict` hands it out."""

    question: str = "Which is more?"
    options: dict = field(default_factory=lambda: {"a": "this", "b": "that"})
    answer: str | None = None

    @property
    def answered(self):
        return self.answer is not None

    def record(self, option):
        self.answer = option
        return f"Noted: {option}."


# --- the controls ----------------------------------------------------------------------------
def widgets_of(box, kind):
    found = [box] if isinstance(box, kind) else []
    for child in getattr(box, "children", ()):
        found += widgets_of(child, kind)
    return found


@pytest.fixture
def undrawn(monkeypatch):
    """An explorer that counts its refreshes without drawing: only the wiring is looked at."""

    def build(name, question=None):
        explorer = getattr(explorers, name)(question=question)
        monkeypatch.setattr(explorer, "svg", lambda result: "<svg/>")
        return explorer

    return build


@pytest.mark.parametrize("name", NAMES)
def test_one_move_is_one_refresh_and_the_number_box_follows(name, undrawn):
    explorer = undrawn(name)
    controls = panel(explorer)
    sliders = widgets_of(controls, w.FloatSlider)
    boxes = widgets_of(controls, w.BoundedFloatText)
    names = [c.name for c in explorer.controls.values() if isinstance(c, Slider)]
    assert len(sliders) == len(boxes) == len(names)
    for control, slider, box in zip(names, sliders, boxes, strict=True):
        ends = (slider.min, slider.max) if slider.value == slider.max else (slider.max, slider.min)
        for moved, other, value in zip((slider, box), (box, slider), ends, strict=True):
            before = explorer.refreshes
            moved.value = value
            assert explorer.refreshes == before + 1
            assert other.value == explorer.values[control] == value
    for pick in widgets_of(controls, w.RadioButtons):
        before = explorer.refreshes
        pick.value = next(value for _, value in pick.options if value != pick.value)
        assert explorer.refreshes == before + 1 and pick.value in explorer.values.values()


@pytest.mark.parametrize("name", NAMES)
def test_a_preset_is_one_refresh_and_moves_the_sliders(name, undrawn):
    explorer = undrawn(name)
    controls = panel(explorer)
    *presets, reset = widgets_of(controls, w.Button)
    assert [button.description for button in presets] == list(explorer.presets)
    assert len(presets) >= 2 and reset.description == "Reset"
    for button in presets:
        before = explorer.refreshes
        button.click()
        assert explorer.refreshes == before + 1
        asked = explorer.presets[button.description]
        assert {k: explorer.values[k] for k in asked} == dict(asked)
    reset.click()
    assert explorer.values == explorer.start
    shown = [box.value for box in widgets_of(controls, w.BoundedFloatText)]
    assert shown == [c.value for c in explorer.controls.values() if isinstance(c, Slider)]


@pytest.mark.parametrize("name", NAMES)
def test_every_slider_can_be_set_to_its_start_and_its_presets(name):
    """A preset between two steps of a slider would jump when the slider is touched."""
    explorer = make(name)
    for values in (explorer.start, *explorer.presets.values()):
        for control_name, value in values.items():
            control = explorer.controls[control_name]
            if isinstance(control, Slider):
                steps = (value - control.low) / control.step
                assert control.low <= value <= control.high
                assert steps == pytest.approx(round(steps), abs=1e-6), (control_name, value)
            else:
                assert value in control.options


@pytest.mark.parametrize(("name", "slider"), SLIDERS)
def test_a_value_out_of_range_is_refused_in_one_sentence(name, slider, undrawn):
    explorer = undrawn(name)
    control = explorer.controls[slider]
    for value in (control.low - control.step, control.high + control.step, float("nan")):
        with pytest.raises(ValueError) as caught:
            explorer.set(**{slider: value})
        said = str(caught.value)
        assert control.label in said and f"{control.low:g} to {control.high:g}" in said
        assert "\n" not in said and explorer.values == explorer.start


@pytest.mark.parametrize("name", NAMES)
def test_unknown_names_and_options_are_refused(name, undrawn):
    explorer = undrawn(name)
    with pytest.raises(ValueError, match="no control"):
        explorer.set(colour="green")
    for control in explorer.controls.values():
        if isinstance(control, Pick):
            with pytest.raises(ValueError, match="pick one of"):
                explorer.set(**{control.name: "something else"})
    assert explorer.values == explorer.start


# --- prediction, failure, marking ------------------------------------------------------------
def told(controls):
    return " ".join(text.value for text in widgets_of(controls, w.HTML))


MOVED = (w.FloatSlider, w.BoundedFloatText)


@pytest.mark.parametrize("name", NAMES)
def test_locked_until_the_guess_is_made(name, undrawn):
    question = Question()
    explorer = undrawn(name, question)
    controls = panel(explorer)
    guess, keep = widgets_of(controls, w.RadioButtons)[0], widgets_of(controls, w.Button)[0]
    assert not widgets_of(controls, MOVED) and question.question in told(controls)
    with pytest.raises(PermissionError, match="prediction"):
        explorer.set(**explorer.start)
    keep.click()  # nothing picked yet
    assert explorer.locked and not widgets_of(controls, MOVED) and "Pick one" in told(controls)
    guess.value = "b"
    keep.click()
    assert not explorer.locked and widgets_of(controls, MOVED)
    assert "You guessed: that." in told(controls) and question.question not in told(controls)
    explorer.set(**explorer.start)
    assert explorer.refreshes == 2  # all of it came with the guess


@pytest.mark.parametrize("name", NAMES)
def test_nobody_has_to_guess(name, undrawn):
    question = Question()
    explorer = undrawn(name, question)
    controls = panel(explorer)
    (skip,) = [b for b in widgets_of(controls, w.Button) if b.description == "Look without a guess"]
    skip.click()
    assert not explorer.locked and question.answer is None and widgets_of(controls, MOVED)
    assert "No guess is kept." in told(controls)
    assert "<table" in explorer.shown["text/html"]


def test_a_guess_made_elsewhere_opens_it(undrawn):
    question = Question()
    explorer = undrawn(NAMES[1], question)
    controls = panel(explorer)
    question.answer = "a"  # in the cell above, meanwhile
    widgets_of(controls, w.Button)[0].click()
    assert "You guessed: this." in told(controls) and widgets_of(controls, MOVED)
    again = panel(undrawn(NAMES[1], question))  # the next day
    assert "You guessed: this." in told(again) and widgets_of(again, MOVED)


def test_a_guess_that_cannot_be_kept_says_so_and_keeps_nobody_out(undrawn):
    question = Question()
    question.record = lambda option: "Your guess a could not be saved (disk full)."
    explorer = undrawn(NAMES[1], question)
    controls = panel(explorer)
    widgets_of(controls, w.RadioButtons)[0].value = "a"
    keep, skip = widgets_of(controls, w.Button)
    keep.click()
    assert explorer.locked and "could not be saved" in told(controls)
    assert skip.description in told(controls)
    skip.click()
    assert not explorer.locked and widgets_of(controls, MOVED)


@pytest.mark.parametrize("name", NAMES)
def test_a_failure_is_shown_and_raised(name):
    explorer = make(name)
    explorer.refresh()

    def fail(**values):
        raise ValueError("the pipe is 3 < 4 mm")

    working, explorer.scene = explorer.scene, replace(explorer.scene, compute=fail)
    with pytest.raises(ValueError, match="3 < 4 mm"):
        explorer.refresh()
    assert 'role="alert"' in explorer.shown["text/html"]
    assert "3 &lt; 4 mm" in explorer.shown["text/html"]
    assert "<img" not in explorer.shown["text/html"]
    assert "3 < 4 mm" in explorer.shown["text/plain"]
    explorer.scene = working
    explorer.refresh()
    assert "<img" in explorer.shown["text/html"]


@pytest.mark.parametrize("name", NAMES)
def test_silent_while_marking(name, monkeypatch, capsys):
    monkeypatch.setenv("AUTOGRADE_MARKING", "1")
    explorer = make(name)
    explorer._ipython_display_()
    assert explorer.refreshes == 0 and capsys.readouterr().out == ""
    monkeypatch.setenv("AUTOGRADE_MARKING", "0")
    explorer._ipython_display_()
    assert explorer.refreshes == 1


def test_an_unknown_explorer_is_named():
    with pytest.raises(AttributeError, match="explore_curve_and_focus"):
        _ = explorers.explore_everything
