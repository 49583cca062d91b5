"""The whole heater: a published table through whole designs, the demo, levers, other sites."""

from dataclasses import fields, replace

import numpy as np
import pytest

from solarlib import heat, optics
from solarlib.design import DesignError, HeaterDesign, demo, evaluate
from solarlib.design.entries import limits
from solarlib.evidence import rows
from tests.published_heaters import EQUINOX_SESSION_C, ONE_CHANGE

DEMO = demo()
TABLE = 0.02  # relative: the whole-heater table was made by two codes that differ by 1 %
TRACED = 0.004  # of 200,000 rays: three and a half standard deviations
BAND = 0.05  # relative: percentiles of two independent samplings


# --- the published table -----------------------------------------------------------------------
def heater_of(i):
    """The row's heater; the demo base case fills in what a row does not change."""
    glass = {"cover": "glass tube", "cover_transmittance": i.tau} if hasattr(i, "glass") else {}
    return HeaterDesign(
        aperture_width=i.W_m,
        trough_length=i.L_m,
        focal_length=i.f_m,
        tube_diameter=i.D_m,
        tube_wall=i.wall_m,
        tube_length=i.L_tube_m,
        beam_noon=i.DNI_W_m2,
        usual_incidence_deg=i.incidence_deg,
        reflectance_used=i.rho,
        reflectance_clean=max(0.85, i.rho),
        absorptance=i.alpha,
        emittance=i.eps,
        slope_error_mrad=i.slope_mrad,
        usual_misaim_deg=i.misaim_deg,
        tube_dy=i.dy_mm / 1000,
        air_c=i.Ta_C,
        site_wind=i.wind_m_s,
        shelter=1.0,
        elevation=i.altitude_m,
        water_mass=i.pot_water_kg,
        pot_volume=max(0.008, i.pot_water_kg / 1000),
        pot_heat_capacity=i.pot_heat_capacity_J_K,
        pot_loss=i.pot_UA_W_K,
        start_c=i.pot_start_C,
        **glass,
    )


def pipe_minutes(i):
    e = evaluate(heater_of(i))
    run = heat.warm_up(e.pipe_only, e.absorbed, i.Ta_C, 7200, target_c=90.0)
    return run.seconds_to_target / 60


def dry_middle_c(i):
    """Per lit metre, square to the sun; the design's own dry pipe takes the same road."""
    d = heater_of(i)
    return evaluate(d).dry_pipe_c[0] if i.wind_m_s == 0 else evaluate(d).dry_pipe_c[1]


def kelvin_per_minute(heater, e, temp):
    return heater.heating_rate(e.absorbed, temp) * 60


ADAPTERS = {
    "water in the 1.40 m tube": lambda i: 1000 * heater_of(i).tube_water,
    "heat capacity, tube only": lambda i: evaluate(heater_of(i)).pipe_only.heat_capacity,
    "heat capacity, 6.0 kg water + tube + pot": lambda i: evaluate(heater_of(i)).heater.heat_capacity,
    "initial heating rate, tube only": lambda i: kelvin_per_minute(
        (e := evaluate(heater_of(i))).pipe_only, e, i.Ta_C
    ),
    "initial heating rate, pot at 18 C": lambda i: kelvin_per_minute(
        (e := evaluate(heater_of(i))).heater, e, i.pot_start_C
    ),
    "absorbed power": lambda i: evaluate(heater_of(i)).absorbed,
    "tube-only plateau temperature (lumped, 1.40 m loses)": lambda i: (
        e := evaluate(heater_of(i))
    ).pipe_only.plateau_c(e.absorbed),
    "tube-only minutes from air temperature to 90 C": pipe_minutes,
    "power surplus at the local boiling point": lambda i: evaluate(heater_of(i)).surplus_at_boiling,
    "6 L pot, minutes 18 to 55 C": lambda i: evaluate(heater_of(i)).seconds_to_target / 60,
    "6 L pot, temperature after 120 min from 18 C": lambda i: evaluate(heater_of(i)).warm_up.at(7200),
    "6 L pot, plateau temperature": lambda i: evaluate(heater_of(i)).plateau_c,
    "dry pipe, mid-length temperature (per-metre balance)": dry_middle_c,
    "optical efficiency product 0.82 x 0.92 x 0.90 x 618/640": lambda i: (
        DEMO.reflectance_used * DEMO.absorptance * 0.90 * (1 - 1 / evaluate(DEMO).width_ratio)
    ),
}
SYSTEM = {row.id: row for row in rows("system")}


@pytest.mark.parametrize("number", [n for n, row in SYSTEM.items() if row.quantity in ADAPTERS])
def test_published_rows_through_a_whole_design(number):
    row = SYSTEM[number]
    value = float(ADAPTERS[row.quantity](row.inputs))
    assert value == pytest.approx(row.expected, abs=row.tolerance), row.source


def test_only_measured_efficiencies_are_left_to_another_test():
    left = {row.quantity for row in SYSTEM.values()} - set(ADAPTERS)
    assert all(quantity.startswith(("combined relative", "useful power")) for quantity in left)
    assert set(ADAPTERS) <= {row.quantity for row in SYSTEM.values()}


@pytest.mark.parametrize("name", ONE_CHANGE)
def test_one_change_at_a_time(name):
    change, *table = ONE_CHANGE[name]
    base = SYSTEM["sys-001"].inputs
    inputs = type(base)(**{**vars(base), **change})
    e = evaluate(heater_of(inputs))
    tube = heat.warm_up(e.pipe_only, e.absorbed, inputs.Ta_C, 7200, target_c=90.0)
    found = {
        "power": e.absorbed,
        "K/min": kelvin_per_minute(e.pipe_only, e, inputs.Ta_C),
        "pipe's plateau": e.pipe_only.plateau_c(e.absorbed),
        "pipe's minutes": tube.seconds_to_target / 60,
        "surplus": e.surplus_at_boiling,
        "pot's minutes": e.seconds_to_target / 60,
        "pot after 2 h": e.warm_up.at(7200),
        "pot's plateau": e.plateau_c,
    }
    for (what, value), expected in zip(found.items(), table, strict=True):
        if expected is None or (name, what) == ("45 deg", "pipe's minutes"):
            # at 45 deg the table's codes leave out slope errors along the trough: 1.5 % more light
            # than rays find, which near boiling is 4 % of the pipe's time
            continue
        rounding = 0.5 if isinstance(expected, int) else 0.05  # half of the last printed digit
        # a surplus is a difference of two large powers: 2 % of the power that comes in
        size = e.absorbed if what == "surplus" else abs(expected)
        if expected == np.inf:
            assert value > 12_000 / 60, what
        else:
            assert value == pytest.approx(expected, abs=TABLE * size + rounding), what


def test_band_of_a_day_in_may_as_published():
    """Sun 10 %, optics 10 %, site wind 0.5-4 m/s: median 57.5, 5-95 % 44-82 min (recomputed)."""
    band = evaluate(DEMO).band
    minutes = np.array([band.soonest, band.median, band.latest]) / 60
    assert minutes == pytest.approx(np.array([44, 57.5, 82]), rel=BAND)
    again = evaluate(DEMO, seed=0).band
    assert again.median == band.median
    assert evaluate(DEMO, seed=1).band.median != band.median


def test_a_session_at_the_equinox_as_published():
    """Start an hour before noon on 20 March; ours follows the clear sky."""
    e = evaluate(DEMO, "2026-03-20")
    found = e.warm_up.at(900.0 * np.arange(1, 9))
    assert found == pytest.approx(np.array(EQUINOX_SESSION_C), abs=0.35)
    assert e.seconds_to_target / 60 == pytest.approx(56, abs=1)
    # an instant says the same as the date's own start
    from solarlib import sun

    start = sun.solar_noon("2026-03-20", DEMO.longitude_deg)
    at_noon = evaluate(DEMO, start)
    assert at_noon.incidence_deg == pytest.approx(0, abs=0.01)
    assert at_noon.beam == pytest.approx(820, abs=1)


def test_energy_adds_up():
    e = evaluate(DEMO)
    assert abs(e.warm_up.imbalance) < 0.001
    for state in e.heat_balance:
        assert state["absorbed"] == pytest.approx(state["lost"] + state["useful"])
    assert e.energy_needed == pytest.approx(0.929e6, rel=0.001)  # published, c 4186


def test_course_numbers_of_the_demo():
    """Numbers the course prints, each a closed form or published beside the physics."""
    e = evaluate(DEMO)
    assert e.depth == pytest.approx(0.1506, abs=5e-5)
    assert e.sheet_width == pytest.approx(0.7248, abs=5e-5)
    assert e.area_ratio == pytest.approx(8.94, abs=0.005)
    assert e.overhang_needed == pytest.approx(0.185, abs=5e-4)
    assert e.wood_distance == pytest.approx(0.154, abs=5e-4)
    assert e.wind_force == pytest.approx(198, abs=0.5)
    assert e.ballast_needed == pytest.approx(65, abs=0.5)
    assert e.minutes_in_band / 2 == pytest.approx(82, abs=0.5)
    assert e.optical_efficiency == pytest.approx(0.74, abs=0.005)
    assert e.sheet_growth == pytest.approx(0.0032, abs=6e-5)
    assert e.dry_worst_c == pytest.approx(288, abs=8)
    assert len(e.calendar(2026)) == 83  # lines at ±0.5 deg
    assert e.noon_tilts(2026)[5][1] == pytest.approx(14.6, abs=0.05)
    assert e.template_pages == 2


def test_share_curve_is_the_traced_one():
    """Ray after ray against the integral, at the curve's own slant, aim errors from 0 to 6°."""
    misaim, share = evaluate(DEMO).share_curve
    assert misaim[0] == 0 and misaim[-1] == 6 and np.all(np.diff(misaim) > 0)
    for at in (0, 10, 17, 25, 40, 60):
        traced = optics.trace(
            DEMO.curve, DEMO.tube_diameter, rays=200_000, seed=at, misaim_deg=float(misaim[at]),
            slope_error_mrad=DEMO.slope_error_mrad, incidence_deg=DEMO.usual_incidence_deg,
        ).intercept_factor  # fmt: skip
        assert share[at] == pytest.approx(traced, abs=TRACED), misaim[at]


def test_share_curve_of_a_flat_mirror_is_worked_by_hand():
    """300 mm wide at f = 500 mm: all of it lies 500 to 511 mm from the pipe of 22 mm.

    11 mm / 504 mm = 21.8 mrad each side; 8 mrad of surface and the sun's 2.33 mrad spread by
    √(16² + 2.33²) = 16.2 mrad. Off by 1° = 17.5 mrad: Φ(4.3/16.2) − Φ(−39.3/16.2) =
    0.605 − 0.008 = 0.597, from a table of the normal distribution.
    """
    flat = replace(DEMO, aperture_width=0.3, focal_length=0.5, usual_incidence_deg=0.0)
    misaim, share = evaluate(flat).share_curve
    assert np.interp(1.0, misaim, share) == pytest.approx(0.597, abs=0.01)  # 500 or 511 mm: ±0.005


def test_the_sheet_lies_on_the_screws_that_are_drilled():
    for change in ({}, {"rib_pitch": 0.08}, {"aperture_width": 0.9, "focal_length": 0.12}):
        e = evaluate(replace(DEMO, **change))
        line = e.sheet_line
        assert line.screw_x == pytest.approx(e.screws.across, abs=1e-9)
        on_curve = np.interp(line.screw_x, line.x, line.y)
        assert on_curve == pytest.approx(np.asarray(e.parabola.height(line.screw_x)), abs=1e-5)


def test_free_edge_of_a_flat_sheet_is_worked_by_hand():
    """Natural cubic spline on y = x²/(4f): the edge is too straight by h k / (2 √3).

    Moments M = k (1 − rⁿ), r = −2 + √3, k = 1/(2f), so the edge's slope is off by h k/2 − h M₁/6.
    300 mm wide, f = 500 mm, nine screws: h = 37.5 mm, k = 1/m: 0.0375/3.464 rad = 0.62°.
    """
    flat = replace(DEMO, aperture_width=0.3, focal_length=0.5, rib_pitch=0.0377)
    e = evaluate(flat)
    assert len(e.screws.across) == 9
    # slopes up to 8.5°, where the spline's y'' and the sheet's curvature differ by 3 %
    assert e.sheet_line.edge_slope_error_deg == pytest.approx(0.62, rel=0.04)


def test_loss_table_has_three_winds_and_grows_with_wind_and_heat():
    table = evaluate(DEMO).loss_table
    assert table.shape == (3, 5)
    assert np.all(np.diff(table, axis=0) > 0) and np.all(np.diff(table, axis=1) > 0)


def test_cut_list_of_the_demo():
    """Counts of the course's first draft: common practice, no source."""
    parts = {part.name: part for part in evaluate(DEMO).cut_list}
    assert parts["rib"].count == 4 and parts["rim screw"].count == 22
    assert parts["rib screw"].count == 24
    assert parts["mirror sheet"].width == pytest.approx(0.745, abs=5e-4)
    priced = replace(DEMO, prices=(("rib", 3.5), ("pipe", 12.0), ("gold", 9.0)))
    assert evaluate(priced).cost == 4 * 3.5 + 12.0


# --- levers ------------------------------------------------------------------------------------
def test_levers_agree_with_changing_the_input_by_hand():
    """Every number of a design is moved; most change nothing, and the levers say so."""
    e = evaluate(DEMO)
    levers = {lever.name: lever for lever in e.levers}
    numbers = {one.name: one for one in fields(HeaterDesign) if one.metadata["kind"] == "number"}
    assert set(levers) == {n for n, one in numbers.items() if n != "rib_count"}
    for name, lever in levers.items():
        low, high = limits(numbers[name])
        for factor, found in ((0.9, lever.below), (1.1, lever.above)):
            value = min(max(getattr(DEMO, name) * factor, low), high)
            change = {name: value}
            if name == "trough_length":  # the pipe sticks out as before
                change["tube_length"] = DEMO.tube_length + value - DEMO.trough_length
            if name == "reflectance_used":
                change["reflectance_clean"] = max(DEMO.reflectance_clean, value)
            try:
                changed = evaluate(replace(DEMO, **change))
            except DesignError:
                assert found == lever.base
                continue
            assert changed.seconds_to_target == pytest.approx(found, rel=1e-4), name
    effects = [lever.effect for lever in e.levers]
    assert effects == sorted(effects, reverse=True)
    assert levers["reflectance_used"].above < levers["reflectance_used"].base


def test_sun_and_a_clean_mirror_beat_a_finer_curve():
    """What the course tells: reflectance 6 to 8 minutes, surface about 0.8, wind about 0.5 (its
    part F8, from a model of its own; a tenth of a minute of agreement is all that is claimed)."""
    minutes = {lever.name: [abs(t - lever.base) / 60 for t in (lever.below, lever.above)]
               for lever in evaluate(DEMO).levers}  # fmt: skip
    assert 5.5 < min(minutes["reflectance_used"]) < max(minutes["reflectance_used"]) < 8.5
    assert 0.6 < min(minutes["slope_error_mrad"]) < max(minutes["slope_error_mrad"]) < 1.0
    assert 0.3 < min(minutes["site_wind"]) < max(minutes["site_wind"]) < 0.65


def test_a_pipe_off_the_focus_is_judged_by_its_worse_side():
    """To one side a shifted pipe mends an aim error, to the other it makes it worse."""
    shifted = evaluate(replace(DEMO, tube_dx=-0.004))
    mirrored = evaluate(replace(DEMO, tube_dx=0.004))
    assert shifted.share_at_budget == pytest.approx(mirrored.share_at_budget)
    assert shifted.share_at_budget < evaluate(DEMO).share_at_budget


def test_bands_are_seeded_and_hold_the_middle():
    e = evaluate(DEMO)
    for name, value in (("session_energy", e.session_energy), ("final_c", e.warm_up.at(7200)),
                        ("seconds_to_target", e.seconds_to_target)):  # fmt: skip
        low, middle, high = e.bands[name]
        assert low <= middle <= high and low <= value <= high, name
    assert evaluate(DEMO).bands == e.bands != evaluate(DEMO, seed=1).bands


def test_brackets_are_cut_for_their_pipe():
    """Pipe + 2 × 18 mm air + 2 × 15 mm of moving, 16 mm of wood above, 30 mm of foot below."""
    for diameter, wall in ((0.022, 0.0009), (0.028, 0.0009), (0.042, 0.002)):
        parts = {p.name: p for p in
                 evaluate(replace(DEMO, tube_diameter=diameter, tube_wall=wall)).cut_list}  # fmt: skip
        opening = diameter + 0.036
        assert parts["end bracket"].width == pytest.approx(opening + 4 * 0.015)
        assert parts["end bracket"].length == pytest.approx(
            0.030 + 0.170 + opening / 2 + 0.015 + 0.016)  # fmt: skip


def test_rim_screws_keep_off_the_sawn_ends():
    for length in (0.5, 0.9, 2.0):
        d = replace(DEMO, trough_length=length, tube_length=length + 0.5)
        along = evaluate(d).screws.along
        assert along[-1] == pytest.approx(length / 2 - 0.015) and along[0] == -along[-1]


# --- other sites -------------------------------------------------------------------------------
def test_the_other_hemisphere_gives_the_same_heater_six_months_later():
    south = replace(DEMO, latitude_deg=-38.0)
    june, december = evaluate(DEMO, "2026-06-21"), evaluate(south, "2026-12-21")
    assert december.absorbed == pytest.approx(june.absorbed, rel=0.01)
    assert evaluate(south).noon_tilts(2026)[11][1] == pytest.approx(14.6, abs=0.1)


def test_a_night_gives_no_power_and_no_crash():
    e = evaluate(DEMO, "2026-06-21T00:00+00:00")
    assert e.absorbed == 0 and e.optical_efficiency == 0
    assert np.isinf(e.seconds_to_target)


def test_an_evaluation_cannot_be_changed():
    with pytest.raises(AttributeError):
        evaluate(DEMO).absorbed = 1.0
