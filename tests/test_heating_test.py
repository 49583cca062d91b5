"""A heating test worked out: by hand, by Monte Carlo, by scipy, and known answers found again."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import solve_ivp

from solarlib import heating_test as test
from solarlib.heating_test import Instruments, Setup, parse_log
from tests.refusals import refused

PLAIN = "time (min),water (°C),air (°C),wind (m/s),sun (W/m2),remark\n0,18.0,22,1.5,820,clear\n"


# --- power and efficiency ----------------------------------------------------------------------
def test_power_of_the_worked_example():
    # 6.0 kg from 18.0 to 27.4 °C in 15 min: 262 W, 0.555 of 820 W/m2 x 0.576 m2
    log = parse_log("time (min),water (°C),air (°C),sun (W/m2)\n0,18.0,22,820\n15,27.4,22,820\n")
    (one,) = test.intervals(log, Setup(other_heat_capacity=0))
    assert one.power == pytest.approx(6 * 4186 * 9.4 / 900) == pytest.approx(262, abs=0.5)
    assert one.efficiency == pytest.approx(0.555, abs=0.001)
    assert one.rows == (2, 3) and one.why == ""
    # pot and pipe take part: 26 153 J/K in all
    assert Setup().heat_capacity == pytest.approx(26_153, abs=1)


def test_nothing_is_divided_across_a_gap():
    log = parse_log(
        "time (min),water (°C),air (°C),sun (W/m2)\n0,18,22,820\n5,20,22,820\n10,,22,820\n"
        "15,24,22,820\n20,26,22,\n25,28,22,0\n50,30,22,800\n55,31,22,800\n"
    )
    why = [interval.why for interval in test.intervals(log)]
    assert why[0] == "" and why[-1] == ""
    assert why[1] == why[2] == "a water temperature is missing"
    assert "no sun reading" in why[3] and "no sun reading" in why[4]
    assert why[5] == "a gap of 25 min"
    powers = [interval.power for interval in test.intervals(log)]
    assert math.isnan(powers[1]) and math.isfinite(powers[3])
    assert test.intervals(log, without={3})[0].why == "line 3 is left out"
    assert "hardly any sun" in test.intervals(parse_log(
        "time (min),water (°C),sun (W/m2)\n0,18,20\n5,19,20\n"))[0].why  # fmt: skip


def test_suspects_of_the_simulated_log():
    for seed in range(1, 9):
        log = parse_log(test.simulate_log(seed))
        by_column = {p.column: p for p in test.suspects(log)}
        assert set(by_column) == {"water", "sun"} and len(test.suspects(log)) == 2
        assert "a cloud" in by_column["sun"].says and "sensor in the sun" in by_column["water"].says
        assert len([p for p in log.problems if "unit of its own" in p.says]) == 1
        assert len([p for p in log.problems if "counted as a gap" in p.says]) == 1
        assert test.suspects(parse_log(test.simulate_log(seed, faults=False))) == ()


def test_fahrenheit_without_a_unit_is_pointed_at_not_converted():
    rows = [(0, 18), (5, 20), (10, 71.6), (15, 24), (20, 26)]
    text = "time (min),water (°C)\n" + "".join(f"{t},{w}\n" for t, w in rows)
    log = parse_log(text)
    (problem,) = test.suspects(log)
    assert problem.row == 4 and "perhaps °F: it would be 22.0 °C" in problem.says
    assert log.readings[2].water_c == 71.6


def test_checklist():
    good = test.checklist(parse_log(test.simulate_log(3)))
    assert all(passed for passed, _ in good) and len(good) == 6
    bad = test.checklist(parse_log("time (min),water (°C),sun (W/m2)\n0,18,800\n5,60,800\n"))
    failed = [sentence for passed, sentence in bad if not passed]
    assert len(failed) == 3  # rows, wind, more heat than light
    assert "2 rows" in failed[0] and "wind" in failed[1] and "more than 100 %" in failed[2]
    assert not any(passed for passed, _ in test.checklist(parse_log("")))


# --- uncertainty -------------------------------------------------------------------------------
def test_uncertainty_table():
    # 0.5 K per reading, mass 1.5 %, area 1 %, C 2 %; sun 20 / 10 / 5 %; rise 5 / 10 / 20 K
    table = [[24.6, 17.5, 15.2], [21.4, 12.5, 9.1], [20.5, 10.9, 6.7]]
    for rise, row in zip((5, 10, 20), table, strict=True):
        for sun, percent in zip((0.20, 0.10, 0.05), row, strict=True):
            ours = 100 * test.efficiency_uncertainty(rise, Instruments(sun=sun))
            assert ours == pytest.approx(percent, abs=0.05)


def test_uncertainty_against_monte_carlo():
    chance, many = np.random.default_rng(1), 400_000
    rise, instruments = 10.0, Instruments()
    warm = rise + chance.normal(0, 0.5, many) - chance.normal(0, 0.5, many)
    factors = [chance.normal(1, u, many) for u in (0.015, 0.02)]
    divisors = [chance.normal(1, u, many) for u in (0.10, 0.01)]
    values = warm * factors[0] * factors[1] / divisors[0] / divisors[1]
    spread = (np.quantile(values, 0.8413) - np.quantile(values, 0.1587)) / 2 / np.median(values)
    assert test.efficiency_uncertainty(rise, instruments) == pytest.approx(spread, rel=0.02)


@given(st.floats(0.5, 60), st.floats(0, 0.5), st.floats(0.01, 5))
def test_shares_add_up_and_point_at_the_worst(rise, sun, temperature):
    instruments = Instruments(temperature=temperature, sun=sun)
    shares = test.variance_shares(rise, instruments)
    assert sum(shares.values()) == pytest.approx(1)
    total = test.efficiency_uncertainty(rise, instruments)
    assert shares["sun"] == pytest.approx((sun / total) ** 2)
    assert total >= max(sun, math.sqrt(2) * temperature / rise)


def test_the_thermometer_is_the_small_slice():
    shares = test.variance_shares(20, Instruments(sun=0.2))
    assert shares["thermometer"] < 0.05 and shares["sun"] > 0.9


# --- the fit -----------------------------------------------------------------------------------
@settings(max_examples=30, deadline=None)
@given(st.floats(0.4, 0.85), st.floats(2, 15), st.integers(0, 10_000))
def test_the_fit_finds_what_was_put_in(e0, loss, seed):
    text = test.simulate_log(
        seed, optical_efficiency=e0, loss=loss, minutes=240, step_min=4, stop_c=90, noise_c=0,
        faults=False,
    )  # fmt: skip
    fit = test.fit_losses(test.intervals(parse_log(text)))
    # readings are written with one decimal: 0.03 K rms of rounding in some 3 K steps
    assert fit.optical_efficiency == pytest.approx(e0, abs=0.03)
    assert fit.loss == pytest.approx(loss, abs=1.5)


def test_the_fit_against_scipy_and_its_limits_hold():
    inside = 0
    for seed in range(150):
        text = test.simulate_log(seed, faults=False, noise_c=0.2)
        intervals = test.intervals(parse_log(text))
        fit = test.fit_losses(intervals)
        x, y = test.fit_points(intervals).T
        theirs = stats.linregress(x, y)
        assert fit.slope == pytest.approx(theirs.slope) and fit.loss == -fit.slope
        assert fit.intercept == pytest.approx(theirs.intercept)
        assert fit.loss_error == pytest.approx(theirs.stderr)
        assert fit.optical_efficiency_error == pytest.approx(theirs.intercept_stderr)
        inside += fit.loss_limits[0] <= 6.5 <= fit.loss_limits[1]
    # Neighbouring intervals share a reading, so their errors cancel in part and the limits are
    # wider than they need be: at least 95 % of the tests must hold the truth.
    assert inside >= 0.95 * 150


def test_limits_are_95_percent_of_student_t():
    fit = test.fit_losses(test.intervals(parse_log(test.simulate_log(seed=3, faults=False))))
    reach = stats.t.ppf(0.975, fit.points - 2)
    for limits, error in ((fit.loss_limits, fit.loss_error),
                          (fit.optical_efficiency_limits, fit.optical_efficiency_error)):  # fmt: skip
        assert np.ptp(limits) / 2 == pytest.approx(reach * error, rel=1e-6)


def test_a_short_test_does_not_pin_the_loss_down():
    short = parse_log(test.simulate_log(4, minutes=20, faults=False))
    long = parse_log(test.simulate_log(4, minutes=180, stop_c=90, faults=False))
    loose, tight = (test.fit_losses(test.intervals(log)) for log in (short, long))
    width = [fit.loss_limits[1] - fit.loss_limits[0] for fit in (loose, tight)]
    assert width[0] > 4 * width[1]
    assert "hardly pinned down" in str(loose) and "hardly pinned down" not in str(tight)


def test_leaving_out_the_suspects_helps():
    log = parse_log(test.simulate_log(7))
    rows = {problem.row for problem in test.suspects(log)}
    all_rows = test.fit_losses(test.intervals(log))
    fewer = test.fit_losses(test.intervals(log, without=rows))
    assert fewer.scatter < all_rows.scatter / 3
    assert fewer.optical_efficiency_limits[0] < 0.74 < fewer.optical_efficiency_limits[1]


def test_too_little_to_fit():
    text = "time (min),water (°C),air (°C),sun (W/m2)\n0,18,22,820\n5,20,22,820\n10,22,22,820\n"
    with pytest.raises(ValueError, match="2 intervals have power"):
        test.fit_losses(test.intervals(parse_log(text)))
    flat = "time (min),water (°C),air (°C),sun (W/m2)\n" + "".join(
        f"{5 * k},20,22,800\n" for k in range(6)
    )
    with pytest.raises(ValueError, match="same temperature above the air"):
        test.fit_losses(test.intervals(parse_log(flat)))


def test_predicted_curve_against_an_ode_solver():
    log = parse_log(test.simulate_log(2, faults=False, minutes=120, stop_c=90))
    setup, e0, loss = Setup(), 0.7, 7.0
    time, sun, air = (log.values(name) for name in ("time_s", "sun", "air_c"))

    def rate(t, temp):
        k = min(int(np.searchsorted(time, t, side="right")) - 1, len(time) - 2)
        light, around = (sun[k] + sun[k + 1]) / 2, (air[k] + air[k + 1]) / 2
        return setup.aperture_area * (e0 * light - loss * (temp - around)) / setup.heat_capacity

    start = log.values("water_c")[0]
    theirs = solve_ivp(rate, (time[0], time[-1]), [start], t_eval=time, max_step=30, rtol=1e-8)
    ours = test.predicted_curve(log, e0, loss)
    np.testing.assert_allclose(ours, theirs.y[0], atol=0.02)
    # no loss: straight sum of the light
    gained = test.predicted_curve(log, e0, 0)[-1] - start
    light = np.sum(np.diff(time) * (sun[:-1] + sun[1:]) / 2) * setup.aperture_area
    assert gained == pytest.approx(e0 * light / setup.heat_capacity)


def test_agreement():
    # lesson: band 43-58 °C at 60 min, measured 47 ± 1 °C
    agrees = test.agreement(43, 58, 47, 1)
    assert agrees.verdict == "agrees" and "proves little" in agrees.sentence
    assert test.agreement(43, 58, 44, 1).verdict == "borderline"
    assert test.agreement(43, 58, 40, 1).verdict == "disagrees"
    assert "above" in test.agreement(43, 58, 62, 1).sentence
    assert "proves little" not in test.agreement(43, 58, 50, 3).sentence
    with pytest.raises(ValueError, match="give the low end first"):
        test.agreement(58, 43, 47, 1)
    with pytest.raises(ValueError, match="measurement is nan"):
        test.agreement(43, 58, math.nan, 1)


# --- the simulator -----------------------------------------------------------------------------
def test_a_simulated_log_says_so_and_repeats():
    text = test.simulate_log(5)
    first, *_ = text.split("\n")
    assert first.startswith("#") and "SIMULATED" in first and "nobody measured this" in first
    assert text == test.simulate_log(5) != test.simulate_log(6)
    assert parse_log(text).simulated and not parse_log(PLAIN).simulated
    water = parse_log(test.simulate_log(5, faults=False)).values("water_c")
    assert 58 < water[-1] < 63, "the course stops at 60 °C"
    assert len(water) >= 16


# --- shapes and bad input ----------------------------------------------------------------------
def test_formulas_broadcast():
    column = np.array([20.0, 25.0, 40.0])
    for function in (
        lambda x: test.useful_power(6.0, 18.0, x, 900),
        lambda x: test.efficiency(10 * x, 820, 0.576),
        lambda x: test.efficiency_uncertainty(x),
        lambda x: test.combine(x, 0.1),
    ):
        kept = column.copy()
        row, table = function(column), function(column[:, None])
        assert table.shape == (3, 1) and isinstance(function(25.0), float)
        np.testing.assert_array_equal(table[:, 0], row)
        np.testing.assert_allclose([function(float(x)) for x in column], row)
        np.testing.assert_array_equal(column, kept)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: test.useful_power(0, 18, 27, 900), "water mass is 0 kg"),
        (lambda: test.useful_power(6, 18, 270, 900), "end temperature is 270"),
        (lambda: test.useful_power(6, 18, 27, 0), "duration is 0 s"),
        (lambda: test.efficiency(262, 0, 0.576), "beam is 0 W/m2"),
        (lambda: test.efficiency_uncertainty(0), "rise is 0 K"),
        (lambda: test.combine(-0.1), "uncertainty is -0.1"),
        (lambda: Instruments(sun=20), "sun uncertainty is 20"),
        (lambda: Setup(water_mass=-6), "water mass is -6 kg"),
        (lambda: test.predicted_curve(parse_log(PLAIN), 74, 6), "optical efficiency is 74"),
        (lambda: test.simulate_log(step_min=0), "step is 0 min"),
    ],
)
def test_bad_input_is_refused_in_words(call, words):
    refused(call, words)
