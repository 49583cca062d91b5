"""What carries heat off a pipe: air, wind, glow and glass, against published correlations."""

from dataclasses import replace

import ht
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlib import heat
from solarlib.geometry import Pipe
from solarlib.heat import Cover, Heater, Pot
from tests.refusals import refused

REAL_AIR = 0.015  # conductivity, viscosity, Prandtl number against real-gas air, 280-400 K

TUBE = Heater(0.022, 0.0009, 1.40, 0.90, air_c=22, wind=0.9)

surface_c = st.floats(-10, 300)
air_c = st.floats(-10, 45)
wind = st.floats(0, 15)
emittance = st.floats(0.02, 1)


# --- air and Nusselt numbers -------------------------------------------------------------------
@pytest.mark.parametrize("temp_k", [280, 310, 340, 370, 400])
def test_air_is_real_air(temp_k):
    air = heat.air_properties(temp_k - 273.15)
    at = ("T", temp_k, "P", 101325, "Air")
    assert air.conductivity == pytest.approx(PropsSI("L", *at), rel=REAL_AIR)
    assert air.density == pytest.approx(PropsSI("D", *at), rel=REAL_AIR)
    viscosity = PropsSI("V", *at) / PropsSI("D", *at)
    assert air.viscosity == pytest.approx(viscosity, rel=REAL_AIR)
    assert air.prandtl == pytest.approx(PropsSI("Prandtl", *at), rel=REAL_AIR)


@given(st.floats(1, 1e12), st.floats(0.6, 10))
def test_natural_convection_agrees_with_a_formula_library(rayleigh, prandtl):
    theirs = ht.Nu_horizontal_cylinder_Churchill_Chu(prandtl, rayleigh / prandtl)
    assert heat.nusselt_natural(rayleigh, prandtl) == pytest.approx(theirs, rel=1e-9)


@given(st.floats(1, 1e6), st.floats(0.6, 10))
def test_wind_agrees_with_a_formula_library(reynolds, prandtl):
    theirs = ht.Nu_cylinder_Churchill_Bernstein(reynolds, prandtl)
    assert heat.nusselt_forced(reynolds, prandtl) == pytest.approx(theirs, rel=1e-9)


@given(st.floats(1e3, 1.99e5))
def test_second_opinion_agrees_with_a_formula_library(reynolds):
    theirs = ht.Nu_cylinder_Zukauskas(reynolds, 0.707, 0.69)
    ours = heat.nusselt_forced_second_opinion(reynolds, 0.707, 0.69)
    assert ours == pytest.approx(theirs, rel=1e-9)


def test_second_opinion_keeps_silent_outside_its_range():
    assert np.isnan(heat.nusselt_forced_second_opinion([500, 3e5], 0.7, 0.7)).all()


def test_other_correlations_lie_within_the_stated_spread():
    """At Re 6071 other authors find -1 to +32 %: convection is the least certain part."""
    ours = heat.nusselt_forced(6071, 0.7)
    others = [
        ht.Nu_cylinder_Zukauskas(6071, 0.7),
        ht.Nu_cylinder_Sanitjai_Goldstein(6071, 0.7),
        ht.Nu_cylinder_Fand(6071, 0.7),
        ht.Nu_cylinder_McAdams(6071, 0.7),
    ]
    assert all(0.98 < other / ours < 1.33 for other in others)


def test_hot_pipe_in_a_room():
    """Incropera ex. 9.4 (from memory): 0.1 m pipe, 165 °C, room 23 °C: 322 + 441 W/m."""
    coefficient = heat.natural_convection(0.1, 165, 23)
    assert coefficient == pytest.approx(7.2, rel=0.015)
    carried = heat.convection_per_metre(0.1, coefficient, 165 - 23)
    assert carried == pytest.approx(322, rel=0.015)


def test_gap_between_two_tubes():
    """Incropera ex. 9.5 (from memory): 0.1 / 0.12 m, 120 / 35 °C: 100.4 W/m."""
    assert heat.annulus_convection_per_metre(0.1, 0.12, 120, 35) == pytest.approx(100.4, rel=0.015)


def test_ring_conducts_as_a_formula_library_says():
    """ht.conduction: resistance of one metre of a hollow cylinder."""
    for inner, outer, k in ((0.022, 0.062, 0.04), (0.036, 0.040, 1.1)):
        resistance = ht.conduction.R_cylinder(Di=inner, Do=outer, k=k, L=1.0)
        found = heat.annulus_conduction_per_metre(inner, outer, k, 50.0)
        assert found == pytest.approx(50.0 / resistance)
    with pytest.raises(ValueError, match="must be wider"):
        heat.annulus_conduction_per_metre(0.04, 0.04, 1.1, 50.0)


def test_air_in_a_gap_never_conducts_less_than_still_air():
    assert heat.annulus_conductivity_ratio([0.0, 1.0, 10.0], 0.7) == pytest.approx([1, 1, 1])
    # Incropera ex. 9.5 (from memory): Ra_c 171.4 gives 1.143; the fourth root beyond
    ratio = heat.annulus_conductivity_ratio([171.4, 16 * 171.4], 0.70)
    assert ratio == pytest.approx([1.143, 2 * 1.143], abs=0.001)


def test_flat_plate_rule_fails_on_a_pipe():
    """The trap: 5.7 + 3.8 V at 1 m/s is 9.5; the pipe has 22.5."""
    assert heat.forced_convection(0.022, 90, 25, 1.0) > 2.3 * (5.7 + 3.8 * 1.0)


def test_radius_for_diameter_is_41_percent_too_much():
    ratio = heat.forced_convection(0.011, 90, 25, 1.0) / heat.forced_convection(0.022, 90, 25, 1.0)
    assert ratio == pytest.approx(1.41, abs=0.01)


@given(surface_c, air_c, wind)
def test_blend_lies_between_the_larger_part_and_their_sum(hot, cold, speed):
    still = heat.natural_convection(0.022, hot, cold)
    forced = heat.forced_convection(0.022, hot, cold, speed)
    both = heat.convection(0.022, hot, cold, speed)
    assert max(still, forced) * (1 - 1e-12) <= both <= 2**0.25 * max(still, forced) * (1 + 1e-12)


def test_convection_limits():
    """No difference: Nu = 0.36. No wind: Nu = 0.3. Thin air carries less."""
    air = heat.air_properties(20)
    least = heat.natural_convection(0.022, 20, 20) * 0.022 / air.conductivity
    assert least == pytest.approx(0.36, abs=1e-9)
    assert heat.nusselt_forced(0, 0.7) == 0.3
    assert heat.convection(0.022, 90, 25, 1.0, 70000) < heat.convection(0.022, 90, 25, 1.0)


@given(st.floats(1, 150), air_c)
def test_natural_convection_is_alike_for_cold_and_hot_pipes_at_the_same_film(rise, film):
    hot = heat.natural_convection(0.022, min(film + rise / 2, 60), max(film - rise / 2, -50))
    cold = heat.natural_convection(0.022, max(film - rise / 2, -50), min(film + rise / 2, 60))
    assert hot == pytest.approx(cold, rel=1e-12)


# --- radiation and sky -------------------------------------------------------------------------
@given(surface_c, surface_c, emittance)
def test_radiation_is_mutual(one, other, eps):
    there = heat.radiation_per_metre(0.022, one, other, eps)
    assert there == pytest.approx(-heat.radiation_per_metre(0.022, other, one, eps), abs=1e-9)


@given(air_c)
def test_sky_is_colder_than_the_air(temp_c):
    sky = heat.sky_temperature_c(temp_c)
    assert sky < heat.trough_surroundings_c(temp_c) < temp_c


def test_celsius_in_the_fourth_power_is_a_hundred_times_too_small():
    right = heat.radiation_per_metre(1 / np.pi, 90, 25, 0.9)
    trap = 0.9 * 5.670374419e-8 * (90**4 - 25**4)
    assert right == pytest.approx(484, abs=1) and trap == pytest.approx(3.3, abs=0.05)


# --- loss --------------------------------------------------------------------------------------
def test_loss_table_of_the_demo_tube():
    """W/m at 22 °C air: rows still, 0.35, 0.9, 1, 2, 3 m/s; recomputed with real-gas air."""
    table = {
        32: (10.0, 15.7, 21.3, 22.1, 28.8, 34.1),
        62: (40.3, 58.0, 79.8, 83.0, 109.6, 130.7),
        100: (89.5, 118.7, 159.9, 166.2, 217.4, 258.1),
    }
    speeds = np.array([0, 0.35, 0.9, 1, 2, 3])
    for temp_c, row in table.items():
        assert heat.loss_per_metre(0.022, temp_c, 22, speeds, 0.9) == pytest.approx(row, abs=0.11)
    tarnished = (69.8, 99.1, 140.3, 146.5, 197.8, 238.4)
    assert heat.loss_per_metre(0.022, 100, 22, speeds, 0.5) == pytest.approx(tarnished, abs=0.11)


def test_loss_of_the_whole_pipe_40_k_above_the_air():
    for speed, watts in ((0, 56), (1, 116), (3, 183)):
        found = 1.40 * heat.loss_per_metre(0.022, 62, 22, speed, 0.9)
        assert found == pytest.approx(watts, abs=0.6)


@given(st.floats(30, 250), st.floats(0.1, 50), air_c, wind, emittance)
def test_loss_rises_with_temperature_wind_and_emittance(temp_c, more, cold, speed, eps):
    def loss(temp_c=temp_c + 20, speed=speed, eps=eps):
        return heat.loss_per_metre(0.022, temp_c, cold, speed, eps)

    assert loss(temp_c=temp_c + 20 + more) > loss()
    assert loss(speed=speed + more / 10) > loss()
    assert loss(eps=min(eps + 0.05, 1.0)) >= loss()


def test_pipe_as_warm_as_everything_loses_nothing():
    for cover in (None, Cover()):
        found = heat.loss_per_metre(0.022, 22, 22, 1.0, 0.9, surroundings_c=22, cover=cover)
        assert found == pytest.approx(0, abs=1e-6)


@settings(max_examples=40)
@given(st.floats(40, 300), air_c, wind, emittance)
def test_glass_passes_on_what_it_gets(temp_c, cold, speed, eps):
    """Heat across the gap, by the public formulas at the glass temperature found = heat lost."""
    cover = Cover()
    parts = heat.loss_parts(0.022, temp_c, cold, speed, eps, cover=cover)
    carried = heat.annulus_convection_per_metre(0.022, 0.036, temp_c, parts.outer_c)
    resistance = 1 / eps + (1 / 0.88 - 1) * 0.022 / 0.036
    radiated = heat.radiation_per_metre(0.022, temp_c, parts.outer_c, 1.0) / resistance
    assert carried + radiated == pytest.approx(parts.total, rel=1e-5, abs=1e-4)
    assert cold - 30 < parts.outer_c < max(temp_c, cold)


def test_glass_keeps_wind_off():
    bare = heat.loss_per_metre(0.022, 80, 22, [0.9, 3.0], 0.9)
    covered = heat.loss_per_metre(0.022, 80, 22, [0.9, 3.0], 0.9, cover=Cover())
    assert np.all(covered < bare / 2)
    assert covered[1] / covered[0] < 1.1 < bare[1] / bare[0]


def test_glass_breaks_even_with_the_bare_pipe():
    """10 % of the light against the loss: 72, 51, 40, 33, 31 °C for 0 to 3 m/s."""
    for speed, expected in ((0, 72), (0.35, 51), (0.9, 40), (2, 33), (3, 31)):
        bare = replace(TUBE, wind=speed)
        covered = replace(bare, cover=Cover())
        temps = np.linspace(22, 100, 781)
        gain = covered.surplus(315.0, temps) - bare.surplus(350.0, temps)
        assert temps[np.argmax(gain > 0)] == pytest.approx(expected, abs=1.5)


def test_wind_at_the_pipe_is_not_the_forecast():
    assert heat.wind_at_tube(1.5) == pytest.approx(0.9)


def test_wall_is_warmer_than_the_water():
    """Wall minus water: about 2 K at 1 kW/m², 5 at 3, 6 at 4, 7.5 at 5, 9 at 6."""
    table = heat.wall_excess([1000, 3000, 4000, 5000, 6000])
    assert table == pytest.approx([2, 5, 6, 7.5, 9], abs=0.7)


# --- shapes and refusals -----------------------------------------------------------------------
@pytest.mark.parametrize(
    "function",
    [
        lambda t: heat.natural_convection(0.022, t, 22),
        lambda t: heat.convection(0.022, t, 22, 1.0),
        lambda t: heat.forced_convection(0.022, t, 22, 1.0),
        lambda t: heat.radiation_per_metre(0.022, t, 22, 0.9),
        lambda t: heat.annulus_convection_per_metre(0.022, 0.036, t, 30),
        lambda t: heat.loss_per_metre(0.022, t, 22, 0.9, 0.9),
        lambda t: heat.loss_per_metre(0.022, t, 22, 0.9, 0.9, cover=Cover()),
        lambda t: heat.dry_pipe_c(4 * t, 0.022, 22, 0.9, 0.9),
        lambda t: heat.sky_temperature_c(t / 4),
        lambda t: heat.air_properties(t).viscosity,
        lambda t: TUBE.loss(t),
        lambda t: TUBE.plateau_c(3 * t),
        lambda t: Pot(lid=False).loss(t, 20),
        lambda t: heat.wall_excess(t),
        lambda t: heat.wind_at_tube(t / 20),
        lambda t: heat.dry_seconds(300 + t, Pipe(0.022, 0.0009), 40, 100, 22, 0.0, 0.9),
    ],
)
def test_shapes(function):
    given_values = np.array([40.0, 60.0, 90.0])
    each = [function(value) for value in given_values]
    assert all(isinstance(one, float) for one in each)
    assert function(given_values) == pytest.approx(each, rel=1e-6)
    assert function(given_values[:, None]).shape == (3, 1)
    assert np.array_equal(given_values, [40.0, 60.0, 90.0])


def test_inputs_broadcast_against_each_other():
    table = heat.loss_per_metre(0.022, np.array([[50.0], [80.0]]), 22, np.array([0, 1, 3]), 0.9)
    assert table.shape == (2, 3) and np.all(np.diff(table, axis=1) > 0)
    assert table[1, 2] == pytest.approx(heat.loss_per_metre(0.022, 80, 22, 3, 0.9))


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: heat.loss_per_metre(0.022, 80, 22, -1, 0.9), "wind is -1 m/s"),
        (lambda: heat.loss_per_metre(0.022, 80, 22, 1, 1.2), "emittance is 1.2"),
        (lambda: heat.loss_per_metre(-0.022, 80, 22, 1, 0.9), "diameter is -0.022 m"),
        (lambda: heat.loss_per_metre(0.022, 80, 295, 1, 0.9), "air temperature is 295 °C"),
        (lambda: heat.loss_per_metre(0.022, 80, 22, 1, 0.9, pressure=1013), "absolute"),
        (lambda: heat.loss_per_metre(0.04, 80, 22, 1, 0.9, cover=Cover()), "does not fit"),
        (lambda: Cover(0.04, 0.036), "outside must be wider"),
        (lambda: heat.annulus_convection_per_metre(0.05, 0.036, 80, 30), "wider than the pipe"),
        (lambda: heat.wind_at_tube(1.5, 60), "shelter is 60"),
        (lambda: heat.dry_pipe_c(-1, 0.022, 22, 0, 0.9), "per metre of lit pipe"),
        (
            lambda: heat.dry_pipe_profile(95_000, Pipe(0.022, 0.0009), 0.9, 1.4, 22, 0, 0.9),
            "counted per metre",
        ),
        (
            lambda: heat.dry_pipe_profile(380, Pipe(0.022, 0.0009), 1.9, 1.4, 22, 0, 0.9),
            "no longer than the pipe",
        ),
        (
            lambda: heat.dry_seconds(380, Pipe(0.022, 0.0009), 180, 100, 22, 0, 0.9),
            "swap them",
        ),
        (lambda: Heater(0.022, 0.011, 1.4, 0.9, 22, 0.9), "no bore"),
        (lambda: replace(TUBE, water_mass=0), "water mass is 0 kg"),
        (lambda: heat.warm_up(TUBE, 350, 101, 3600), "start colder"),
        (lambda: heat.warm_up(TUBE, 350, 20, 0), "duration is 0 s"),
        (lambda: heat.warm_up_band(TUBE, 350, 20, 3600, 90, sun_error=10), "0.1 for 10 %"),
        (
            lambda: heat.warm_up_band(TUBE, 350, 20, 3600, 90, site_wind=(4, 1, 0)),
            "lowest, likeliest and highest",
        ),
        (lambda: heat.cooling_curve(Pot(), 20, [3600], 25), "not warmer than the air"),
        (lambda: heat.loss_from_cooling(26000, 40, 80, 20, 3600), "no cooling"),
        (lambda: Pot(water_mass=0), "water mass is 0 kg"),
    ],
)
def test_bad_input_is_refused_in_words(call, words):
    refused(call, words)
