"""Guess first, then look: what is seen before a guess leaves the question open, and the line after it
says what the course computes.
"""

from __future__ import annotations

import math
import re

import pytest

from autograde import lesson
from solarlib import explorers
from tests.lesson_reading import LESSONS

# where the starting picture itself would answer: a curve over every aim, day, temperature or input
ANSWERED_BY_PICTURE = {
    "sun_is_a_disc", "tilt_through_day", "better_instrument", "burn_clock", "after_you_walk_away",
    "what_matters_most",
}  # fmt: skip


def asked():
    """Explorer of each lesson -> the prediction it asks first, None without one."""
    found = {}
    for name in LESSONS:
        source = lesson.load(name)
        for cell in source.cells:
            if cell.kind == "explorer":
                asks = re.search(r'predict\("\w+\.(\w+)"\)', cell.source)
                found[cell.name] = source.key.exercise(asks[1]) if asks else None
    return found


ASKED = asked()
GUESSED = [name for name, record in ASKED.items() if record is not None]


def make(name, question=None):
    return getattr(explorers, f"explore_{name}")(question)


class Question:
    """The prediction of a lesson, with a guess on record or not."""

    def __init__(self, name, answer=None):
        record = ASKED[name]
        self.question, self.options, self.answer = record.question, record.options, answer

    @property
    def answered(self):
        return self.answer is not None


def test_every_explorer_that_asks_knows_what_comes_out():
    assert {name for name in ASKED if make(name).guess is not None} == set(GUESSED)
    assert len(GUESSED) >= 14 and len(ASKED) == len(explorers.NAMES)


@pytest.mark.parametrize("name", GUESSED)
def test_before_the_guess_neither_words_nor_table_nor_a_telling_picture(name):
    locked, opened = make(name, Question(name)), make(name)
    locked.refresh()
    result = opened.result()
    shown = [locked.still_html(), locked.still_text(), locked.shown["text/html"],
             locked.shown["text/plain"], repr(locked)]  # fmt: skip
    for page in shown:
        assert opened.scene.describe(result)[:40] not in page and "<th" not in page
        assert all(f"{label}: {value}" not in page for label, value in opened.scene.table(result))
        assert opened.guess.came_out() not in page
    has_picture = "<img" in locked.shown["text/html"]
    assert has_picture == ("<img" in locked.still_html()) == (name not in ANSWERED_BY_PICTURE)


@pytest.mark.parametrize("name", GUESSED)
def test_a_picture_shown_before_is_told_without_the_answer(name):
    """Its words serve as the picture's description for a screen reader, and hold no number that the
    question does not give."""
    words = make(name).guess.opening
    if not words:
        return  # no picture: nothing to describe
    given = {"100", "20"}  # all of it; the minutes that the question names
    assert set(re.findall(r"\d+", words)) <= given and len(words.split()) >= 10
    assert f'alt="{words}' in make(name).still_html()
    told = re.sub(r"\W+", " ", words.lower())
    for option in ASKED[name].options.values():
        assert re.sub(r"\W+", " ", option.lower()).strip() not in told


@pytest.mark.parametrize("name", GUESSED)
def test_after_the_guess_one_line_compares_it(name):
    letter, words = list(ASKED[name].options.items())[-1]
    explorer = make(name, Question(name, letter))
    said = explorer.compared()
    assert said.startswith(f"You guessed: {words}. ") and said.endswith(explorer.guess.came_out())
    assert "\n" not in said and re.search(r"\d", explorer.guess.came_out())
    explorer.refresh()
    assert "<table" in explorer.shown["text/html"]
    without = make(name, Question(name))
    without.look()
    assert without.compared() == f"No guess is kept. {explorer.guess.came_out()}"
    assert "<table" in without.shown["text/html"] and not without.locked


def numbers(name):
    return [float(n) for n in re.findall(r"\d+(?:\.\d+)?", make(name).guess.came_out())]


# what must come out, from outside of the course
def test_a_print_small_in_width_moves_the_focus_as_the_parabola_says():
    """y = x²/(4f) with x·a and y·b has f·a²/b: 170 mm becomes 164.9 mm and 159.95 mm."""
    assert numbers("printer_trap") == [round(170 - 170 * 0.97), round(170 - 170 * 0.97**2)]


def test_sixty_degrees_burn_in_the_published_five_seconds():
    """140 °F (60 °C): 5 seconds to a third-degree burn of adult skin. Source: Moritz and Henriques
    1947, as quoted in public scald tables; from memory."""
    assert make("burn_clock").guess.came_out().endswith("about 5 s.")


def test_three_hours_move_the_sun_as_spherical_astronomy_says():
    """At noon a trough needs the declination d; w later, atan(tan d / cos w). w = 45°, d = 23.44°."""
    said = make("tilt_through_day").guess.came_out()
    march, june, december = (float(n) for n in re.findall(r"([\d.]+)°", said))
    solstice = math.degrees(math.atan(math.tan(math.radians(23.44)) / math.cos(math.radians(45))))
    assert june == december == pytest.approx(solstice - 23.44, abs=0.05)
    assert march < 0.5  # one day beside the equinox, d is below 0.4° (almanac, from memory)


def test_without_widgets_nobody_is_kept_out(monkeypatch):
    """The picture alone then stays, with words and table: there is nothing to press."""
    explorer = make("burn_clock", Question("burn_clock"))
    monkeypatch.setattr(explorer, "_controls", missing)
    explorer._ipython_display_()
    assert not explorer.locked and "<table" in explorer.shown["text/html"]


def missing():
    raise ImportError("No module named 'ipywidgets'")
