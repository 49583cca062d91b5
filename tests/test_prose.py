"""What the texts of the lessons say: each number in them is worked out again, options are listed,
and no text gives a permission.

A row names a lesson, the words as they stand in it, and what `solarlib` says; the tolerance is the
rounding of the printed digits. `solarlib` itself is held against outside values in its own tests.
Where the text has a number from a table or from practice, its home is `solarlib.reference`.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import replace
from functools import lru_cache
from inspect import signature

import numpy as np
import pytest

from autograde import lesson
from autograde.key import Choice, Function, Number, Order
from solarlib import geometry, hazards, heat, heating_test, optics, reference, sun, units, water
from solarlib.design import demo, evaluate
from tests.lesson_reading import LESSONS, text_of

LADLE = geometry.Parabola(0.170, 0.640)
PIPE = geometry.Pipe(0.022, 0.0009)
BLACK, SELECTIVE = 0.90, 0.10


def flowing(markdown):
    return re.sub(r"\s+", " ", re.sub(r"[*`]|^>", "", markdown, flags=re.M))


@lru_cache
def text(number):
    return flowing(text_of(next(name for name in LESSONS if name.startswith(number))))


@lru_cache
def ladle(**changed):
    return evaluate(replace(demo(), **changed))


def caught(tube_dy):
    return 100 * float(optics.intercept_factor(LADLE, 0.022, slope_error_mrad=5, tube_dy=tube_dy))


def print_catches(across, down):
    """What the Ladle's pipe still catches, left in its place over a stretched print [%]."""
    found = optics.print_loss(LADLE, across, down, 0.022, slope_error_mrad=demo().slope_error_mrad)
    return 100 * float(found.pipe_left)


def into_the_water():
    """Watts that end up in the Ladle's water, on average over its usual warm-up."""
    d, time = ladle().design, ladle().levers[0].base
    return d.water_mass * 4186 * (d.target_c - d.start_c) / time


def stretched(across, down):
    """How far the focus of a stretched print of the Ladle moves [m]."""
    return float(geometry.printed_focal_length(0.170, across, down)) - 0.170


def settings(band_deg):
    return len(sun.retilt_calendar(38.0, -4.5, 2026, band_deg))


def cooled(lid, lagging):
    pot = heat.Pot(lid=lid, insulation=lagging)
    return heat.cooling_curve(pot, 60, [3 * 3600], 20, wind=0.5)[0]


def breaks_even(wind):
    """Warmest water [°C] at which the bare pipe still gives as much as one in a glass tube."""
    share = optics.intercept_factor(LADLE, 0.022, slope_error_mrad=8, misaim_deg=1)

    def useful(water_c, cover):
        through = cover.transmittance if cover else 1.0
        gained = optics.pipe_power(LADLE, 0.022, 0.9, 1.4, 820, 0.82, 0.92, share,
                                   incidence_deg=10, transmittance=through).total  # fmt: skip
        return gained - 1.4 * heat.loss_per_metre(0.022, water_c, 22, wind, BLACK, cover=cover)

    temps = np.arange(23, 95, 0.5)
    better = [useful(t, heat.Cover()) > useful(t, None) for t in temps]
    return float(temps[better.index(True)])


def circle_meets_the_pipe():
    """Widest opening [mm] at which a circle of the Ladle's bend still meets a 22 mm pipe.

    The ray that comes down at x = R sin a leaves at 2a and crosses the axis R(1 - 1/(2 cos a))
    above the vertex (plane geometry); the pipe's middle is R/2 up.
    """
    angle = np.radians(np.arange(0.0, 60.0, 0.01))
    beside = np.sin(2 * angle) * 0.340 * (0.5 / np.cos(angle) - 0.5)
    return 2000 * 0.340 * np.sin(angle[np.argmax(beside > 0.011)])


def lever(name):
    """Minutes that a tenth more of an input, or less where that helps, changes the time."""
    found = next(one for one in ladle().levers if one.name == name)
    return (min(found.below, found.above) - found.base) / 60


def copper_pipe_kg():
    return float(PIPE.copper_per_metre) * 1.40


NUMBERS = [  # lesson, the words, what it should be, half of the last digit (or the reason)
    ("00", "almost 500 W", lambda: 0.576 * 850, 490, 10),
    ("00", "about a quarter of a kettle", lambda: 0.576 * 850 / 2000, 0.25, 0.01),
    ("00", "about 270 W", lambda: into_the_water(), 270, 5),
    ("00", "a seventh of a kettle", lambda: 2000 / into_the_water(), 7, 0.5),
    ("01", "up to about 250 mm of opening", circle_meets_the_pipe, 260, 10),
    ("01", "for the Ladle by 13 %", lambda: 100 * (LADLE.sheet_width / 0.640 - 1), 13, 0.5),
    ("01", "it is 85 mm short", lambda: 1000 * (LADLE.sheet_width - 0.640), 85, 0.5),
    ("01", "The Ladle has 86.5°", lambda: LADLE.rim_angle_deg, 86.5, 0.05),
    ("01", "f is a quarter of the width",
     lambda: geometry.Parabola(0.160, 0.640).rim_angle_deg, 90, 0.01),
    ("01", "move the focus by 5 mm", lambda: -1000 * stretched(0.97, 0.97), 5, 0.5),
    ("01", "it moves 10 mm", lambda: -1000 * stretched(0.97, 1.0), 10, 0.5),
    ("01", "still catches 97 %", lambda: print_catches(0.97, 0.97), 97, 0.5),
    ("01", "the pipe catches 81 %", lambda: print_catches(0.97, 1.0), 81, 0.5),
    ("01", "0.7 mm: forget it", lambda: 1000 * geometry.backing_offset(LADLE, 0.001), 0.7, 0.05),
    ("01", "backing shifts it by 4 mm", lambda: 1000 * geometry.backing_offset(LADLE, 0.006), 4,
     0.5),
    ("01", "0.9 m of acrylic by about 3 mm for 50 degrees",
     lambda: 1000 * geometry.expansion(0.9, 50), 3, 0.5),
    ("01", "80 to 100 mm along the rim", lambda: 1000 * reference.SCREW_PITCH_RIM.value, 90, 10),
    ("01", "120 to 150 mm along a rib", lambda: 1000 * reference.SCREW_PITCH_RIB.value, 135, 15),
    ("02", "285 ÷ 47.1 = 6.05 suns", lambda: optics.concentration_unshaded(0.300, 0.015), 6.05,
     0.005),
    ("02", "5 mm too high still catches 99 %", lambda: caught(0.005), 99, 0.5),
    ("02", "10 mm 87 %", lambda: caught(0.010), 87, 0.5),
    ("02", "15 mm only 52 %", lambda: caught(0.015), 52, 0.5),
    ("02", "sags 0.2 mm over 0.9 m", lambda: 1000 * PIPE.sag(0.9), 0.2, 0.05),
    ("02", "0.6 mm over 1.2 m", lambda: 1000 * PIPE.sag(1.2), 0.6, 0.05),
    ("02", "4.5 mm over 2 m", lambda: 1000 * PIPE.sag(2.0), 4.5, 0.05),
    ("02", "85 % for a clean mirror",
     lambda: 100 * reference.REFLECTANCE["second-surface mirror, clean"].value, 85, 0.5),
    ("02", "82 % in use", lambda: 100 * reference.REFLECTANCE["second-surface mirror, in use"].value,
     82, 0.5),
    ("03", "on 10 May: the declination is about +17.7°",
     lambda: sun.declination_deg(datetime.date(2026, 5, 10)), 17.7, 0.05),
    ("03", "50 − 17.7 = 32.3°", lambda: sun.noon_tilt_deg(50, 17.7), 32.3, 0.05),
    ("03", "axis leans by 23.4°", lambda: sun.declination_deg(datetime.date(2026, 6, 21)), 23.4,
     0.05),
    ("03", "almost 0.4° a day",
     lambda: 1 / sun.days_until_drift(datetime.date(2026, 3, 21), 1.0), 0.39, 0.01),
    ("03", "needs 43 settings", lambda: settings(1.0), 43, 0),
    ("03", "83 if only half a degree", lambda: settings(0.5), 83, 0),
    ("03", "29 if one and a half", lambda: settings(1.5), 29, 0),
    ("03", "a quarter of the light is gone", lambda: 1 - float(optics.end_effect(
        LADLE, 0.022, 0.9, incidence_deg=30)) * np.cos(np.radians(30)), 0.25, 0.005),
    ("03", "only 5° wrong drives the trough out of its budget within the hour",
     lambda: abs(sun.axis_drift_deg(38.0, 0.0, 15.0, axis_turned_deg=5)) > 0.7, True, 0),
    ("04", "3. Loss: 25 × 0.0471 × 30 = 35 W", lambda: 25 * np.pi * 0.015 * 30, 35, 0.5),
    ("04", "472 W is the sun at 820 W/m²", lambda: 0.576 * 820, 472, 0.5),
    ("04", "takes up only a quarter of the light",
     lambda: reference.COATINGS["bright copper"].absorptance.value, 0.25, 0.005),
    ("04", "flat black paint 92 %",
     lambda: 100 * reference.COATINGS["flat black paint"].absorptance.value, 92, 0.5),
    ("04", "costs a tenth of the light", lambda: reference.GLASS_TRANSMITTANCE.value, 0.9, 0.005),
    ("04", "above about 40 °C in a light breeze", lambda: breaks_even(0.9), 40, 1),
    ("04", "above 70 °C in still air", lambda: breaks_even(0.0), 72, 2),
    ("04", "From 18 to 55 °C it saves no time", lambda: (
        ladle(cover="glass tube").seconds_to_target / ladle().seconds_to_target), 1, 0.02),
    ("04", "about three quarters of a kilogram", copper_pipe_kg, 0.75, 0.02),
    ("04", "one of water 4186 J", lambda: reference.WATER_SPECIFIC_HEAT.value, 4186, 0.5),
    ("04", "copper takes up 385 J", lambda: reference.COPPER_SPECIFIC_HEAT.value, 385, 0.5),
    ("05", "Power: 209 W", lambda: heating_test.useful_power(5.0, 20.0, 26.0, 600), 209, 0.5),
    ("05", "Efficiency: 0.52", lambda: heating_test.efficiency(209, 800, 0.50), 0.52, 0.005),
    ("05", "√(9 + 16) = 5 %", lambda: 100 * heating_test.combine(0.03, 0.04), 5, 0.01),
    ("05", "half a square metre gets 400 to 500 W", lambda: 0.5 * 900, 450, 50),
    ("05", "counts a quarter of what it counts over 5", lambda: 5 / 20, 0.25, 0),
    ("06", "252 s × 0.203 = 51 s", lambda: hazards.scald_time_s(54), 51, 0.5),
    ("06", "would have said 86 s", lambda: np.interp(54, [51, 55], [252, 30]), 86, 0.5),
    ("06", "ten minutes become five seconds",
     lambda: hazards.scald_time_s(49) / hazards.scald_time_s(60), 120, 0.01),
    ("06", "touches it to about 43 °C", lambda: hazards.contact_temperature_c("pine", 80), 43, 0.5),
    ("06", "Copper at 80 °C warms it to about 79 °C",
     lambda: hazards.contact_temperature_c("copper", 80), 79, 0.5),
    ("06", "about three bar", lambda: (
        hazards.trapped_water_pressure(20, 30, "copper", diameter=0.022, wall=0.0009) / 1e6), 3.4,
     0.4),
    ("06", "more than nine times the heat", lambda: (
        hazards.steam_heat(0.001) / hazards.water_heat(0.001)), 9.5, 0.2),
    ("06", "that is 2 260 000 joules", lambda: water.latent_heat(100.0) / 1e6, 2.26, 0.005),
    ("06", "weighs 0.6 kg", lambda: water.steam_density(), 0.6, 0.05),
    ("06", "begins to melt at 232 °C",
     lambda: reference.JOINT_LIMIT_C["tin-antimony solder"].value, 232, 0.5),
    ("06", "15 to 20 mm of air", lambda: 1000 * reference.WOOD_GAP.low, 15, 0.01),
    ("06", "stays at 77 °C for long", lambda: reference.WOOD_LONG_CONTACT_C.value, 77, 0.5),
    ("06", "4.3 kW/m² lit wood", lambda: reference.WOOD_IGNITION_FLUX.value / 1000, 4.3, 0.05),
    ("06", "Above 8 m/s of wind", lambda: reference.STOW_ABOVE_WIND.value, 8, 0),
    ("06", "one and a half times", lambda: reference.OVERTURNING_MARGIN.value, 1.5, 0),
    ("06", "that is about 65 kg",
     lambda: hazards.ballast_mass(hazards.wind_force(20, 0.576), 0.75, 0.35), 65, 0.5),
    ("07", "5 kg × 4.186 kJ × 32 = 670 kJ", lambda: water.warming_energy(5, 18, 50) / 1000, 670,
     2),
    ("07", "670 ÷ 3600 = 0.19 kWh", lambda: 670 / 3600, 0.19, 0.005),
    ("07", "grows by 2 mm up to 95 °C", lambda: 1000 * geometry.copper_growth(1.40, 10, 95), 2, 0.5),
    ("07", "by 6 mm when it is dry in still air",
     lambda: 1000 * geometry.copper_growth(1.40, 10, 245), 6, 0.5),
    ("07", "2000 invented days", lambda: signature(heat.warm_up_band).parameters["samples"].default, 2000, 0),
    ("07", "saves 6 minutes", lambda: -lever("reflectance_used"), 6, 0.5),
    ("07", "minutes of 57", lambda: ladle().seconds_to_target / 60, 57, 0.5),
    ("07", "finer by a tenth saves less than one", lambda: -lever("slope_error_mrad"), 0.5, 0.49),
    ("07", "only 65 % needs 75 minutes", lambda: ladle(reflectance_used=0.65).seconds_to_target / 60,
     75, 0.5),
    ("07", "from 52 to", lambda: ladle(site_wind=0.0).seconds_to_target / 60, 52, 0.5),
    ("07", "to 60 minutes", lambda: ladle(site_wind=3.0).seconds_to_target / 60, 60, 0.5),
]  # fmt: skip


@pytest.mark.parametrize(("number", "words", "found", "says", "rounding"), NUMBERS,
                         ids=[f"{row[0]}: {row[1]}" for row in NUMBERS])  # fmt: skip
def test_a_number_of_the_text_is_right(number, words, found, says, rounding):
    assert words in text(number), "the text has changed: work its number out again"
    assert float(found()) == pytest.approx(float(says), abs=rounding + 1e-9)


def test_a_lid_beats_a_second_layer_of_lagging():
    assert "The lid beats the second layer" in text("04")
    open_once, open_twice = cooled(False, 0.020), cooled(False, 0.040)
    assert cooled(True, 0.0) > open_twice > open_once
    assert cooled(True, 0.020) - open_once > 10 * (open_twice - open_once)


# --- a learner without a form or on paper -------------------------------------------------------
@pytest.mark.parametrize("folder", LESSONS)
def test_options_are_listed_in_the_text(folder):
    """Who types into a text cell or works on paper sees no buttons."""
    told = text(folder[:2]).lower()
    for record in lesson.load_key(folder):
        if isinstance(record, Choice | Order):
            options = record.items if isinstance(record, Order) else record.options
            for letter, words in options.items():
                assert f"- {letter}: {flowing(words).lower()}" in told, (record.name, letter)


@pytest.mark.parametrize("folder", LESSONS)
def test_nothing_is_called_safe(folder):
    """A pass means “checked items complete”; what nobody knows is not harmless either."""
    files = [lesson.find(folder) / name for name in ("lesson.py", "key.py", "teacher.md")]
    for path in files:
        said = path.read_text(encoding="utf-8")
        assert not re.search(r"\b(is|are|be|stay|stays) safe(ly)?\b|\bsafe to\b", said.lower())


@pytest.mark.parametrize("folder", LESSONS)
def test_each_safety_part_defers_to_those_who_may_decide(folder):
    safety = text(folder[:2]).split("## Safety")[1].split("## Key points")[0].lower()
    for words in ("not a permission to build", "local", "adult"):
        assert words in safety, words


# --- for teachers -------------------------------------------------------------------------------
PARTS = ("Level", "Minutes", "Before", "Outcomes", "Key words", "Materials", "Room", "Exit ticket",
         "Homework", "Common answers", "Slide / Tweak / Code", "Answers", "Risk", "Cloudy day",
         "Files", "Curriculum")  # fmt: skip


def page(folder):
    return (lesson.find(folder) / "teacher.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("folder", LESSONS)
def test_teacher_page_has_every_part(folder):
    told = page(folder)
    assert [part for part in PARTS if f"**{part}" not in told] == []
    assert 20 <= len(told.splitlines()) <= 60, "a page"
    assert "| minutes | what happens |" in told and re.search(r"\b(low|no)\scost\b", told)
    for word in ("Starter", "lenary", "top rule", "risk_assessment.md"):
        assert word in told or (word == "top rule" and folder.startswith("00")), word


@pytest.mark.parametrize("folder", LESSONS)
def test_the_minutes_of_a_teacher_page_add_up(folder):
    told = page(folder)
    times, each = re.search(r"class (?:(\d) × )?(\d+)", told).groups()
    rows = [int(row) for row in re.findall(r"^\| (\d+) \|", told, re.M)]
    assert sum(rows) == int(times or 1) * int(each)


@pytest.mark.parametrize("folder", LESSONS)
def test_the_answers_on_a_teacher_page_are_those_of_the_key(folder):
    told = re.search(r"\*\*Answers\*\* \(demo card\)(.*?)\n\n", page(folder), re.S)[1]
    key = lesson.load_key(folder)
    for record in key:
        if isinstance(record, Number):
            answer = float(record.answer(key.demo()))
            ways = {units.show(answer, record.unit, digits) for digits in (2, 3, 4)}
            assert any(way in told for way in ways), (record.name, ways)
        elif isinstance(record, Choice | Order):
            assert f" {record.solution(key.demo())}." in told.replace("\n", " "), record.name


@pytest.mark.parametrize("folder", LESSONS)
def test_the_words_of_a_teacher_page_are_those_of_the_lesson(folder):
    listed = re.search(r"\*\*Key words\*\* (.*?)\. \*\*", page(folder), re.S)[1]
    for word in re.sub(r"\s+", " ", listed).split(", "):
        stem = re.sub(r" ?\(.*\)", "", word).lower()
        assert stem in text(folder[:2]).lower(), word


def test_the_risk_assessment_is_a_draft_that_the_school_owns():
    told = (lesson.find("06") / "risk_assessment.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1:-1] for line in told.splitlines() if line.startswith("|")]
    head, body = rows[0], rows[2:]
    assert "draft" in told.lower() and "It allows nothing" in told and told.count("______") >= 10
    assert [word.strip().split(",")[0].split(":")[0] for word in head] == [
        "hazard", "who may be hurt", "usual control", "before", "extra control here",
        "what risk is left", "who sees to it", "stop when"]  # fmt: skip
    assert len(body) >= 15
    for row in body:
        assert all(row[place].strip() for place in (0, 1, 2, 7))
        assert not any(row[place].strip() for place in (3, 4, 5, 6)), "the school fills that in"


# --- hints ----------------------------------------------------------------------------------------
BLAME = re.compile(r"\b(you forgot|careless|obvious|obviously|of course|silly|stupid|should have)\b")
MARKED = (Number, Function, Choice, Order)


@pytest.mark.parametrize("folder", LESSONS)
def test_each_exercise_helps_in_three_steps(folder):
    """A nudge that asks, a hint that names the slip, a worked step: no first word tells the answer."""
    key = lesson.load_key(folder)
    card = key.demo()
    for record in key:
        if not isinstance(record, MARKED):
            continue
        assert record.worked and len(record.slips) >= 2, record.name
        if isinstance(record, Number | Function):
            assert record.hint, record.name
        answer = record.solution(card) if isinstance(record, Number) else ""
        for slip in record.slips:
            nudge, hint = record.tell(slip.nudge, card), record.tell(slip.hint, card)
            assert nudge and hint and nudge != hint, (record.name, slip.name)
            assert not answer or answer not in nudge, (record.name, nudge)
            for told in (nudge, hint):
                assert not BLAME.search(told.lower()), told
                assert len(told.split()) <= 45, told
