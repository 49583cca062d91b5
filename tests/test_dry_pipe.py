"""How hot does an empty pipe get, and how soon: tables, a boundary-value solver, quadrature."""


import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp

from solarlib import geometry, heat, optics
from solarlib.geometry import Parabola, Pipe
from solarlib.heat import Cover

air_c = st.floats(-10, 45)
wind = st.floats(0, 15)
emittance = st.floats(0.02, 1)


# --- dry pipe ----------------------------------------------------------------------------------
DRY_SPEEDS = np.array([0, 0.35, 0.9, 2, 3])
DRY_CASES = {
    "usual": (800, 0.82, 0.92, 0.90, 8, (245, 223, 190, 155, 136)),
    "worst": (1000, 0.85, 0.95, 0.90, 5, (288, 268, 233, 194, 172)),
    "tarnished": (820, 0.82, 0.64, 0.50, 8, (240, 209, 168, 130, 112)),
    "tarnished, worst": (1000, 0.85, 0.64, 0.50, 5, (277, 246, 201, 157, 135)),
    "selective": (800, 0.82, 0.92, 0.10, 8, (415, 352, 264, 191, 160)),
}


def power_per_metre(beam, reflectance, absorptance, slope_mrad):
    p = Parabola(0.170, 0.640)
    caught = optics.intercept_factor(p, 0.022, slope_mrad)
    return optics.pipe_power(p, 0.022, 1.0, 1.0, beam, reflectance, absorptance, caught).total


@pytest.mark.parametrize("case", DRY_CASES)
def test_dry_pipe_table(case):
    *light, eps, slope_mrad, expected = DRY_CASES[case]
    power = power_per_metre(*light, slope_mrad)
    assert heat.dry_pipe_c(power, 0.022, 22, DRY_SPEEDS, eps) == pytest.approx(expected, abs=2.5)


def test_dry_pipe_under_glass():
    power = 0.9 * power_per_metre(820, 0.82, 0.92, 8)
    found = heat.dry_pipe_c(power, 0.022, 22, DRY_SPEEDS, 0.9, cover=Cover())
    assert found == pytest.approx((320, 314, 303, 293, 288), abs=1.5)


@settings(max_examples=40)
@given(st.floats(1, 600), air_c, wind, emittance)
def test_dry_pipe_loses_what_it_gets(power, cold, speed, eps):
    temp_c = heat.dry_pipe_c(power, 0.022, cold, speed, eps)
    assert heat.loss_per_metre(0.022, temp_c, cold, speed, eps) == pytest.approx(power, rel=1e-4)


def test_dry_pipe_limits():
    dark = heat.dry_pipe_c(0, 0.022, 22, 0.5, 0.9, surroundings_c=22)
    assert dark == pytest.approx(22, abs=1e-3)
    assert heat.dry_pipe_c(90_000, 0.022, 22, 0.5, 0.9) == np.inf


def test_lumping_the_dry_pipe_is_30_to_100_k_too_cold():
    """The trap: 245 °C at the hot middle, 191 °C if the power is spread over 1.40 m."""
    per_metre, p = power_per_metre(800, 0.82, 0.92, 8), Parabola(0.170, 0.640)
    caught = optics.intercept_factor(p, 0.022, 8)
    whole = optics.pipe_power(p, 0.022, 0.9, 1.4, 800, 0.82, 0.92, caught).total
    middle = heat.dry_pipe_c(per_metre, 0.022, 22, 0.0, 0.9)
    lumped = heat.dry_pipe_c(whole / 1.4, 0.022, 22, 0.0, 0.9)
    assert middle == pytest.approx(245, abs=2) and lumped == pytest.approx(191, abs=2)


def test_dry_pipe_profile_agrees_with_a_boundary_value_solver():
    """Worst case, still air: middle 287, 0.30 m out 273, mirror's end 191, pipe's end 85 °C."""
    pipe, power = Pipe(0.022, 0.0009), power_per_metre(1000, 0.85, 0.95, 5)
    direct = 1000 * 0.95 * 0.022
    ours = heat.dry_pipe_profile(power, pipe, 0.9, 1.4, 22, 0.0, 0.9, direct_per_metre=direct)
    metal = 339 * np.pi / 4 * (0.022**2 - 0.0202**2)

    def slope(s, y):  # both stretches at once, each from 0 to 1: the light ends between them
        lost = heat.loss_per_metre(0.022, np.clip(y[::2], -50, 1000), 22, 0.0, 0.9)
        bent = (lost - np.array([[power], [direct]])) / metal
        return np.vstack([0.45 * y[1], 0.45 * bent[0], 0.25 * y[3], 0.25 * bent[1]])

    def ends(a, b):
        return np.array([a[1], b[0] - a[2], b[1] - a[3], b[3]])

    mesh = np.linspace(0, 1, 100)
    start = np.outer([200.0, 0.0, 100.0, 0.0], np.ones(100))
    theirs = solve_bvp(slope, ends, mesh, start, tol=1e-6)
    assert theirs.success
    places = np.array([0, 0.15, 0.30, 0.40, 0.45])
    assert ours.at(places) == pytest.approx(theirs.sol(places / 0.45)[0], abs=0.1)
    places = np.array([0.45, 0.50, 0.60, 0.70])
    assert ours.at(places) == pytest.approx(theirs.sol((places - 0.45) / 0.25)[2], abs=0.1)
    sheet = {0: 287, 0.30: 273, 0.45: 191, 0.70: 85}
    assert ours.at(list(sheet)) == pytest.approx(list(sheet.values()), abs=1.0)
    assert ours.mean_c == pytest.approx(215, abs=1.0)
    assert ours.peak_c == pytest.approx(ours.at(0)) and ours.end_c == pytest.approx(ours.at(0.7))


def test_dry_pipe_lit_all_along_has_no_cool_ends():
    pipe = Pipe(0.022, 0.0009)
    everywhere = heat.dry_pipe_profile(387, pipe, 1.4, 1.4, 22, 0.0, 0.9)
    middle = heat.dry_pipe_c(387, 0.022, 22, 0.0, 0.9)
    assert everywhere.temp_c == pytest.approx(np.full(401, middle), abs=0.05)
    assert geometry.copper_growth(1.40, 10, everywhere.mean_c) > 0


def test_seconds_until_solder_melts():
    """183 °C from 100 °C in 77 s (usual) or 48 s (worst); 227 °C in 3 min or 87 s, still air."""
    pipe = Pipe(0.022, 0.0009)
    usual, worst = power_per_metre(800, 0.82, 0.92, 8), power_per_metre(1000, 0.85, 0.95, 5)
    found = heat.dry_seconds([usual, worst], pipe, 100, [[183], [227]], 22, 0.0, 0.9)
    assert found == pytest.approx(np.array([[77, 48], [177, 87]]), abs=1.0)
    assert heat.dry_seconds(usual, pipe, 100, 300, 22, 0.0, 0.9) == np.inf

    def slowness(temp_c):
        net = usual - heat.loss_per_metre(0.022, temp_c, 22, 0.0, 0.9)
        return pipe.copper_per_metre * 385 / net

    assert found[0, 0] == pytest.approx(quad(slowness, 100, 183)[0], rel=1e-6)
