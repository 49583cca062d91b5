"""From sun to warm water: the whole heater, its course in time, its band, and the pot that cools."""

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from solarlib import evidence, heat, optics, reference, water
from solarlib.evidence import system
from solarlib.heat import Heater, Pot
from tests.published_heaters import EQUINOX_SESSION_C, ONE_CHANGE

SYSTEM = 0.02  # whole-heater figures against separate code
SOLVER = 2e-4  # our steps against a library's solver
MINUTE, HOUR = 60.0, 3600.0

TUBE = Heater(0.022, 0.0009, 1.40, 0.90, air_c=22, wind=0.9)
POT = replace(TUBE, water_mass=6.0, pot_heat_capacity=750, pot_loss=1.2)
POWER = 350.0


# --- whole heater ------------------------------------------------------------------------------
def demo_with(**inputs):
    """The demo heater's inputs with one of them changed."""
    base = evidence.row("sys-006").inputs
    return type(base)(**{**vars(base), **inputs})


# what is compared without the slack of a printed digit
SEPARATELY_CODED = (
    "dirty", "1.5 deg", "30 mrad", "15 mm off", "45 deg", "selective", "oxidised", "1.5 m/s",
    "warm air", "28 mm pipe", "15 mm pipe",
)  # fmt: skip


@pytest.mark.parametrize("name", SEPARATELY_CODED)
def test_one_change_at_a_time(name):
    inputs, power, _, plateau, minutes, surplus, pot_minutes, after, pot_plateau = ONE_CHANGE[name]
    i = demo_with(**inputs)
    absorbed, tube, pot = system.absorbed(i), system.tube(i), system.pot(i)
    assert absorbed == pytest.approx(power, rel=SYSTEM)
    assert tube.plateau_c(absorbed) == pytest.approx(plateau, rel=SYSTEM)
    quick = heat.warm_up(tube, absorbed, i.Ta_C, 2 * HOUR, 90)
    assert quick.seconds_to_target / MINUTE == pytest.approx(minutes, rel=SYSTEM)
    assert tube.surplus(absorbed) == pytest.approx(surplus, abs=SYSTEM * absorbed)
    slow = heat.warm_up(pot, absorbed, 18, 4 * HOUR, 55)
    assert slow.seconds_to_target / MINUTE == pytest.approx(pot_minutes, rel=SYSTEM)
    assert slow.at(2 * HOUR) == pytest.approx(after, rel=SYSTEM)
    assert pot.plateau_c(absorbed) == pytest.approx(pot_plateau, rel=SYSTEM)


def test_changes_of_pot_and_pipe():
    """Pot loss 0.6 / 2.4 W/K, water 3 / 12 kg, only 0.90 m loses, wall 10 K above the water."""

    def pot_minutes(**changes):
        run = heat.warm_up(replace(POT, **changes), POWER, 18, 4 * HOUR, 55)
        return run.seconds_to_target / MINUTE

    assert pot_minutes(pot_loss=0.6) == pytest.approx(55, rel=SYSTEM)
    assert pot_minutes(pot_loss=2.4) == pytest.approx(62, rel=SYSTEM)
    assert pot_minutes(water_mass=3.0) == pytest.approx(30, rel=SYSTEM)
    assert pot_minutes(water_mass=12.0) == pytest.approx(111, rel=SYSTEM)
    assert replace(TUBE, losing_length=0.9).plateau_c(POWER) == pytest.approx(191, rel=SYSTEM)
    assert replace(TUBE, wall_excess=10.0).plateau_c(POWER) == pytest.approx(129, rel=SYSTEM)
    assert pot_minutes(wall_excess=10.0) == pytest.approx(63, rel=SYSTEM)


def test_efficiency_falls_as_the_water_warms():
    """0.765 of the light on the opening at 18 °C, 0.46 at 55 °C."""
    light = 820 * 0.640 * 0.900
    assert POT.surplus(349.9, 18) / light == pytest.approx(0.765, abs=0.005)
    assert POT.surplus(349.9, 55) == pytest.approx(218, abs=1)


def test_pot_through_two_hours():
    """In separate code; incidence falls from 15° to 0 and rises again."""
    i = demo_with()
    p, caught, _ = system.trough(i)

    def absorbed(seconds):
        slant = abs(seconds / HOUR - 1) * 15
        return optics.pipe_power(
            p, 0.022, 0.9, 1.4, 820, 0.82, 0.92, caught, incidence_deg=slant
        ).total

    run = heat.warm_up(POT, absorbed, 18, 2 * HOUR, 55)
    assert run.at(np.arange(1, 9) * 900) == pytest.approx(EQUINOX_SESSION_C, abs=0.3)
    assert run.seconds_to_target / MINUTE == pytest.approx(56, abs=0.6)


def test_linear_extrapolation_is_far_too_quick():
    """Tube at 2 m/s to 99.7 °C: 18.4 min, not 8.1; more water changes the time only."""
    tube = replace(TUBE, wind=2.0)
    run = heat.warm_up(tube, POWER, 22, HOUR, 99.7)
    assert run.seconds_to_target / MINUTE == pytest.approx(18.4, rel=SYSTEM)
    straight = (99.7 - 22) / tube.heating_rate(POWER, 22) / MINUTE
    assert straight == pytest.approx(8.1, rel=SYSTEM)
    plateaus = [replace(POT, water_mass=kg).plateau_c(POWER) for kg in (3, 6, 12)]
    assert plateaus == pytest.approx([plateaus[0]] * 3)


def test_a_bare_copper_set_of_another_size():
    """Common practice, no source: 54 W warm 0.12 L at about 0.092 K/s and settle near 98 °C."""
    tube = Heater(0.015, 0.0007, 0.82, 0.5, air_c=25, wind=0.25, water_mass=0.12)
    assert tube.heat_capacity == pytest.approx(586, rel=0.01)
    assert tube.heating_rate(54, 25) == pytest.approx(0.092, abs=0.002)
    assert tube.plateau_c(54) == pytest.approx(98, abs=2)


# --- warm-up in time ---------------------------------------------------------------------------
def test_warm_up_agrees_with_a_library_solver():
    for heater, start, hours in ((TUBE, 22, 0.2), (POT, 18, 3)):
        ours = heat.warm_up(heater, POWER, start, hours * HOUR, 60)
        theirs = solve_ivp(
            lambda t, y, h=heater: [h.heating_rate(POWER, float(y[0]))],
            (0, hours * HOUR), [start], rtol=1e-9, atol=1e-9, t_eval=ours.time,
            events=lambda t, y: y[0] - 60,
        )  # fmt: skip
        assert ours.temp_c == pytest.approx(theirs.y[0], rel=SOLVER)
        assert ours.seconds_to_target == pytest.approx(theirs.t_events[0][0], rel=SOLVER)


@settings(max_examples=25)
@given(st.floats(100, 600), st.floats(5, 30), st.floats(0, 4), st.floats(25, 60))
def test_time_to_target_agrees_with_quadrature(power, start, speed, target):
    """For constant power and weather, t = int C/(Q - loss) dT."""
    assume(start < target)
    heater = replace(POT, wind=speed)
    run = heat.warm_up(heater, power, start, 8 * HOUR, target)
    if heater.plateau_c(power) < target + 1:
        return
    seconds = quad(lambda t: 1 / heater.heating_rate(power, t), start, target, epsrel=1e-8)[0]
    if seconds < 8 * HOUR:
        assert run.seconds_to_target == pytest.approx(seconds, rel=1e-3)
    else:
        assert run.seconds_to_target == np.inf


def test_no_joule_is_missing():
    """Energies by integrating the public loss along the curve found, not by the step's own sums."""
    for heater, power, hours in ((POT, 350, 3), (POT, 900, 6), (TUBE, 350, 2), (TUBE, 200, 2)):
        run = heat.warm_up(heater, power, 20, hours * HOUR, longest_step=5)
        lost = np.trapezoid(heater.loss(run.temp_c), run.time)
        assert run.lost == pytest.approx(lost, rel=1e-3)
        assert run.absorbed == pytest.approx(power * hours * HOUR)
        stored = heater.dry_heat_capacity + 4186 * run.water_left[-1]
        assert run.stored == pytest.approx(stored * (run.temp_c[-1] - 20))
        boiled = run.water_left[0] - run.water_left[-1]
        carried = water.latent_heat(heater.boiling_c) + 4186 * (heater.boiling_c - 20)
        assert run.boiled == pytest.approx(boiled * carried, abs=1e-6)
        assert power * hours * HOUR - lost == pytest.approx(
            run.stored + run.boiled, abs=1e-3 * power * hours * HOUR
        )
        assert abs(run.imbalance) < 1e-3


def test_tube_boils_and_runs_dry():
    """448 g boiled by 126 W: 2.23 h after boiling starts, by m h_fg / surplus."""
    run = heat.warm_up(TUBE, POWER, 22, 4 * HOUR, 90)
    boiling = quad(lambda t: 1 / TUBE.heating_rate(POWER, t), 22, TUBE.boiling_c)[0]
    assert run.seconds_to_boiling == pytest.approx(boiling, rel=1e-3)
    surplus = TUBE.surplus(POWER)
    drying = TUBE.water * water.latent_heat(TUBE.boiling_c) / surplus
    assert (run.seconds_to_dry - run.seconds_to_boiling) == pytest.approx(drying, rel=1e-3)
    assert drying / HOUR == pytest.approx(2.23, abs=0.02)
    after = run.time > run.seconds_to_dry
    assert np.isnan(run.temp_c[after]).all() and (run.water_left[after] == 0).all()
    assert np.nanmax(run.temp_c) == pytest.approx(TUBE.boiling_c)
    assert run.water_left[-1] == 0 and np.isnan(run.at(4 * HOUR))


def test_sun_that_goes_away():
    """Boils, then cools when the power stops; water that left as steam does not come back."""
    run = heat.warm_up(
        TUBE, lambda t: 350.0 if t < HOUR else 0.0, 22, 2 * HOUR, 90, longest_step=10
    )
    left = run.water_left
    assert np.all(np.diff(left) <= 0) and left[-1] == left[len(left) // 2 + 3] < TUBE.water
    assert run.temp_c[-1] < 60
    assert run.seconds_to_target < run.seconds_to_boiling < HOUR
    assert run.seconds_to_dry == np.inf


def test_dark_heater_cools_to_its_surroundings():
    run = heat.warm_up(replace(TUBE, surroundings_c=22), 0.0, 80, 8 * HOUR)
    assert np.all(np.diff(run.temp_c) <= 1e-9)
    assert run.temp_c[-1] == pytest.approx(22, abs=0.1)


def test_constant_loss_has_the_textbook_answer():
    """t = (C/UA) ln[(Q - UA(T0 - Ta))/(Q - UA(T1 - Ta))], with a pipe that loses almost nothing."""
    heater = replace(POT, losing_length=1e-9, pot_loss=3.0)
    run = heat.warm_up(heater, 300, 22, 4 * HOUR, 70)
    exact = heater.heat_capacity / 3.0 * np.log(300 / (300 - 3.0 * 48))
    assert run.seconds_to_target == pytest.approx(exact, rel=1e-5)


def test_target_out_of_reach_is_never():
    weak = heat.warm_up(replace(TUBE, wind=3.0), POWER, 22, 2 * HOUR, 99)
    assert weak.seconds_to_target == np.inf and weak.seconds_to_boiling == np.inf
    hopeless = heat.warm_up(TUBE, POWER, 22, HOUR, 120)
    assert hopeless.seconds_to_target == np.inf
    there = heat.warm_up(TUBE, POWER, 60, HOUR, 50)
    assert there.seconds_to_target == 0


def test_many_heaters_at_once():
    speeds = np.array([0.0, 0.9, 3.0])
    many = heat.warm_up(replace(TUBE, wind=speeds), POWER, 22, HOUR, 80)
    column = heat.warm_up(replace(TUBE, wind=speeds[:, None]), POWER, 22, HOUR, 80)
    each = [
        heat.warm_up(replace(TUBE, wind=one), POWER, 22, HOUR, 80).seconds_to_target
        for one in speeds
    ]
    assert many.seconds_to_target == pytest.approx(each, rel=1e-3)
    assert column.seconds_to_target.shape == (3, 1) and column.temp_c.shape[1:] == (3, 1)
    powers = heat.warm_up(TUBE, np.array([[200.0, 350.0]]), 22, HOUR, 80)
    assert powers.seconds_to_target.shape == (1, 2)
    assert isinstance(heat.warm_up(TUBE, POWER, 22, HOUR, 80).seconds_to_target, float)


# --- the band ----------------------------------------------------------------------------------
def test_band_of_a_real_day():
    """Sun and optics +-10 %, wind 0.5-4 m/s at the site: 44-82 min around 57.5."""
    band = heat.warm_up_band(POT, 349.9, 18, 4 * HOUR, 55)
    sampling = 0.03
    assert band.soonest / MINUTE == pytest.approx(44, rel=sampling)
    assert band.median / MINUTE == pytest.approx(57.5, rel=sampling)
    assert band.latest / MINUTE == pytest.approx(82, rel=sampling)
    assert band.reaching > 0.99
    assert np.all(band.low_c <= band.median_c) and np.all(band.median_c <= band.high_c)
    single = heat.warm_up(POT, 349.9, 18, 4 * HOUR, 55)
    inside = (
        np.interp(single.time, band.time, band.low_c),
        np.interp(single.time, band.time, band.high_c),
    )
    assert np.all(single.temp_c >= inside[0]) and np.all(single.temp_c <= inside[1])


def test_band_repeats_and_narrows():
    one, two = (heat.warm_up_band(POT, 350, 18, 2 * HOUR, 55, 200, seed=4) for _ in range(2))
    assert one.median == two.median and np.array_equal(one.high_c, two.high_c)
    sure = heat.warm_up_band(
        POT,
        350,
        18,
        2 * HOUR,
        55,
        200,
        sun_error=0,
        optics_error=0,
        site_wind=(1.5, 1.5001, 1.5002),
    )
    assert sure.latest == pytest.approx(sure.soonest, rel=1e-3)
    assert sure.median == pytest.approx(
        heat.warm_up(POT, 350, 18, 2 * HOUR, 55).seconds_to_target, rel=1e-3
    )


def test_band_says_when_the_target_is_out_of_reach():
    band = heat.warm_up_band(POT, 90, 18, 4 * HOUR, 55, 200)
    assert band.reaching < 0.05 and band.latest == np.inf


# --- the pot -----------------------------------------------------------------------------------
def test_the_lid_beats_the_second_layer():
    def cooled(**kind):
        return heat.cooling_curve(Pot(**kind), 80, [2 * HOUR], 20)[0]

    bare = cooled(lid=False)
    assert cooled(lid=True) - bare > cooled(lid=False, insulation=0.06) - bare
    assert cooled(lid=True, insulation=0.02) > cooled(lid=True)


def test_lidded_pot_cools_exponentially():
    pot = Pot(insulation=0.01)
    coefficient = pot.loss(80, 20) / 60
    times = np.array([0, 1, 3, 6, 12]) * HOUR
    exact = 20 + 60 * np.exp(-times * coefficient / pot.total_heat_capacity)
    assert heat.cooling_curve(pot, 80, times, 20) == pytest.approx(exact, abs=0.02)
    half = heat.half_life(pot.total_heat_capacity, coefficient)
    assert heat.cooling_curve(pot, 80, [half], 20)[0] == pytest.approx(50, abs=0.02)
    told = heat.loss_from_cooling(pot.total_heat_capacity, 80, 50, 20, half)
    assert told == pytest.approx(coefficient, rel=1e-9)


def test_open_water_agrees_with_a_library_solver():
    pot = Pot(lid=False)
    theirs = solve_ivp(
        lambda t, y: [-pot.loss(float(y[0]), 20) / pot.total_heat_capacity],
        (0, 4 * HOUR), [80], rtol=1e-9, t_eval=[HOUR, 4 * HOUR],
    )  # fmt: skip
    ours = heat.cooling_curve(pot, 80, [HOUR, 4 * HOUR], 20)
    assert ours == pytest.approx(theirs.y[0], abs=0.02)


def test_open_water_loses_vapour_as_in_a_solar_still():
    """Dunkle 1961: 0.016273 W/m2 per W/m2K of convection and pascal of vapour (from memory).

    Convection over flat water: 2.8 + 3.0 V, Watmuff et al. 1977 (from memory).
    """
    pressure = water.saturation_pressure(30)
    for speed in (0.0, 2.0):
        dry, moist = (Pot(lid=False).loss(30, 30, speed, humidity) for humidity in (0.5, 1.0))
        evaporated = (dry - moist) / Pot().opening
        still = 0.016273 * (2.8 + 3.0 * speed) * 0.5 * pressure
        assert evaporated == pytest.approx(still, rel=0.02)
        assert moist == pytest.approx(0, abs=1e-9)


def test_vapour_is_as_much_lighter_than_air_as_its_molecules():
    """Ideal gas: equal pressures hold masses in the ratio of the molar masses, here CoolProp's.

    What evaporates carries h/(c_p Le^(2/3)) of it, Le^(2/3) 0.91 (from memory).
    """
    dry, moist = (Pot(lid=False).loss(30, 30, 1.0, humidity) for humidity in (0.4, 0.6))
    lighter = PropsSI("molemass", "Water") / PropsSI("molemass", "Air")
    film, steam = 2.8 + 3.0 * 1.0, 0.2 * water.saturation_pressure(30) / 101325
    heat_capacity = reference.AIR_SPECIFIC_HEAT.value * 0.91
    wanted = film * lighter * steam * water.latent_heat(30) / heat_capacity
    assert (dry - moist) / Pot().opening == pytest.approx(wanted, rel=1e-3)


def test_evaporation_is_of_the_size_of_a_pool_rule():
    """ASHRAE, from memory: 0.089 kW/m2 per kPa over still water; rules differ by a factor of 2."""
    dry, moist = (Pot(lid=False).loss(30, 30, 0.0, humidity) for humidity in (0.5, 1.0))
    rule = 89.0 * 0.5 * water.saturation_pressure(30) / 1000
    assert 0.45 < (dry - moist) / Pot().opening / rule < 1.5


def test_pot_default_is_near_the_course_default():
    """1.2 W/K is the course's lidded pot in still air, 0.6 to 2.4 plausible."""
    assert 0.6 < Pot().loss(60, 20) / 40 < 2.4


def test_cooling_stops_where_evaporation_balances():
    """Dry air cools open water below the air, towards the wet-bulb temperature."""
    last = heat.cooling_curve(Pot(lid=False), 40, [200 * HOUR], 20, humidity=0.3)[0]
    assert 8 < last < 20
