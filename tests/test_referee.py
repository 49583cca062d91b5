"""What a sceptic asked: odd but possible designs, and what the lessons say without a number's home.

Each answer comes from a sum that does not use the course's own function for it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from math import acos, asin, atan, cos, degrees, log, pi, radians, sin, tan

import pytest

from autograde import lesson
from solarlib import heat, reference
from solarlib.design import demo, evaluate
from solarlib.design.plumbing import Plumbing
from tests.test_prose import text

LEAN_DEG = 23.44  # the Earth's axis; on 21 December the sun is so far south
DEGREE = 0.2  # the design looks at three days of a month, not at the solstice alone


@pytest.mark.parametrize("latitude_deg", [46.0, 55.0, 60.0])
def test_a_session_longer_than_the_day_ends_with_the_sun_on_the_horizon(latitude_deg):
    # Duffie & Beckman, Solar Engineering of Thermal Processes, equation 1.6.10 (from memory):
    # cos(w at sunset) = −tan(latitude) tan(declination). Along east-west the light slants by
    # sin(slant) = cos(declination) sin(w).
    sunset = acos(tan(radians(latitude_deg)) * tan(radians(LEAN_DEG)))
    lowest = degrees(asin(cos(radians(LEAN_DEG)) * sin(sunset)))
    # the declination of 1 December, −21.8°, has the longest day of the three
    first = acos(tan(radians(latitude_deg)) * tan(radians(21.8)))
    longest = degrees(asin(cos(radians(21.8)) * sin(first)))
    e = evaluate(replace(demo(), latitude_deg=latitude_deg, months=(12,), session_half_h=5.0))
    assert lowest < longest
    assert e.session_incidence_deg == pytest.approx(longest, abs=DEGREE)
    assert e.overhang_needed == pytest.approx(0.3206 * tan(radians(longest)), rel=0.02)


def test_a_session_within_the_day_is_not_touched_by_sunset():
    # two hours from noon at the equinox: 30° along an east-west axis
    e = evaluate(replace(demo(), months=(3,), session_half_h=2.0))
    assert e.session_incidence_deg == pytest.approx(30, abs=DEGREE)


# --- a north-south axis -------------------------------------------------------------------------
@pytest.mark.parametrize("latitude_deg", [30.0, 46.0, 60.0])
def test_a_level_north_south_axis_has_to_be_nudged_more_often_under_a_low_sun(latitude_deg):
    # tan(tilt) = east/up of the sun's direction, differentiated at noon: the trough turns by
    # cos(declination)/sin(noon height) for each degree of hour angle; 15° an hour
    rate = (
        15 * cos(radians(LEAN_DEG)) / sin(radians(90 - latitude_deg - LEAN_DEG))
    )  # the lowest day
    e = evaluate(replace(demo(), axis="north-south", latitude_deg=latitude_deg, months=(12,),
                         aim_session_deg=0.7))  # fmt: skip
    assert e.minutes_in_band == pytest.approx(60 * 1.4 / rate, rel=0.02)


# --- what the lessons say -----------------------------------------------------------------------
def test_from_ten_metres_a_perfect_rim_is_seen_at_the_edge_of_the_pipe():
    """A ray from an eye that is not far off leaves the perfect mirror turned by the same angle."""
    assert "From 10 m a perfect rim strip is seen 10 mm beside the focus" in text("02")
    assert "Stand 30 m away or more" in text("02")
    rim, depth, from_focus = 0.320, 0.1506, 0.3206  # the Ladle, closed form of lesson 01 [m]

    def beside(distance):
        return 1000 * from_focus * sin(atan(rim / (distance - depth)))

    assert beside(10) == pytest.approx(10, abs=0.5) and beside(10) > 0.9 * 11
    assert beside(30) < 11 / 3


@pytest.mark.parametrize("wind", [0.0, 0.9, 1.5])
def test_two_bare_hoses_lose_at_least_as_much_as_the_pipe(wind):
    # silicone hose of 22 mm bore and 3 mm wall, 0.2 W/(m·K): common practice, no source.
    # Conduction through a ring in series with the air's film (any heat-transfer textbook).
    assert "Two bare hoses of 1.2 m lose at least as much as the pipe" in text("04")
    water, air, bore, outside = 50.0, 22.0, 0.022, 0.028
    wall = log(outside / bore) / (2 * pi * 0.2)
    film = (water - air) / heat.loss_per_metre(outside, water, air, wind, 0.9)  # a little generous
    hoses = 2 * 1.2 * (water - air) / (wall + film)
    assert hoses > 1.4 * heat.loss_per_metre(0.022, water, air, wind, 0.9)


def test_the_hint_on_trapped_air_keeps_to_the_gas_law():
    # ideal gas at constant volume: p2/p1 = T2/T1; the exercise warms it by 10 °C
    closed = next(one for one in lesson.load_key("06_hazards") if one.name == "closed_valves")
    like_air = next(slip for slip in closed.slips if slip.name == "like air")
    told = re.search(r"less than (\w+ \w+ of a bar|\w+ bar)", closed.tell(like_air.hint, None))[1]
    gained = 1.013 * (303.15 / 293.15 - 1)
    assert gained < {"a tenth of a bar": 0.1}[told]


def test_numbers_of_the_hazards_that_have_no_row_elsewhere():
    assert "Blisters come in about half that time" in text("06")
    for _, second, third in reference.SCALD_BY_DEGREE[-3:]:
        assert 0.4 < second / third < 0.65
    assert "almost three times as wide" in text("06")
    ratio = reference.WOOD_IGNITION_FLUX.value / reference.SKIN_LONG_FLUX.value
    assert 2.5 < ratio < 3
    assert "with the 2.3 of a long shell it is over 100 kg" in text("06")
    push = 0.5 * 1.225 * 20**2 * 2.3 * 0.576  # drag equation
    assert 100 < 1.5 * push * 0.75 / (0.35 * 9.80665) < 110
    assert "others at 183 to 227 °C" in text("06")
    others = [value.value for name, value in reference.JOINT_LIMIT_C.items()
              if "solder" in name and "antimony" not in name]  # fmt: skip
    assert (min(others), max(others)) == (183, 227)


# --- hoses --------------------------------------------------------------------------------------
@pytest.mark.parametrize("joint", ["tin-antimony solder", "brazed", "none"])
def test_a_hose_has_to_stand_boiling_water(joint):
    """Water boils at 100 °C at sea level: a hose good for less fails in the very first fault."""

    def item(rating_c, length=1.2):
        d = replace(demo(), joint=joint, hose="garden hose", hose_rating_c=rating_c,
                    hose_length=length)  # fmt: skip
        return next(one for one in evaluate(d).constraints if one.id == "C9")

    for too_weak in (40.0, 60.0, 100.0):
        assert item(too_weak).met is False
        assert "garden hose" in item(too_weak).reason and item(too_weak).change
    assert item(200.0).met is True
    assert item(40.0, length=0.0).met is True  # no hose


# --- plumbing -----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("links", "met"),
    [
        (["pipe - hose: joint", "hose - pot", "pot - open air"], True),
        (["pot - hose", "hose - pipe", "open air - pot: vent"], True),  # named the other way round
        (["pipe - open air", "hose - open air", "pot - open air"], False),  # only vents
        (["pipe - hose", "hose - open air", "pot - open air"], False),
    ],
)
def test_a_pipe_that_is_not_joined_to_its_pot_boils_dry(links, met):
    """The pipe alone holds 0.45 kg: 1 kW/m² on the Ladle boils that away while the pot stays cold."""
    parts = {"pipe": 0.8, "hose": 1.0, "pot": 1.25}
    d = replace(demo(), plumbing=Plumbing.from_words(parts, links))
    item = next(one for one in evaluate(d).constraints if one.id == "C10")
    assert item.met is met
    assert met or ("not joined" in item.reason and item.change)


def test_how_far_wind_raises_the_loss_is_what_lesson_04_says():
    # film of Churchill & Bernstein 1977 and Churchill & Chu 1975 through the course, which
    # tests/test_heat.py holds against a library; here only the words of the key
    pipe_loss = next(one for one in lesson.load_key("04_heat_loss") if one.name == "pipe_loss")
    assert "In still air U is half of that" in pipe_loss.after[0]
    assert "3 m/s at the pipe it is two thirds more" in pipe_loss.after[0]
    still, breeze, wind = (heat.loss_per_metre(0.022, 60, 20, v, 0.9) for v in (0.0, 0.9, 3.0))
    assert still / breeze == pytest.approx(0.5, abs=0.05)
    assert wind / breeze == pytest.approx(1 + 2 / 3, abs=0.05)
