"""Water and steam against IAPWS-95, the published tables, limits and independent formulas."""

import iapws
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlib import geometry, reference, water
from tests.refusals import refused

BAR = 1e5
INDUSTRIAL = 3e-4  # IF97 against IAPWS-95, densities and pressures
HEAT_CAPACITY = 1.2e-3  # the same for specific heat, up to 250 °C
STEAM = 5e-4  # auxiliary equation for steam
LATENT = 2e-4
SHEET_DIGIT = 0.06  # bar and bar/K printed with one digit after the point

liquid_c = st.floats(0.5, 300)


# --- against IAPWS-95 (CoolProp) and IF97 (iapws) ------------------------------------------------
@pytest.mark.parametrize("temp_c", [0.02, 18, 37, 55, 74, 99.97, 121, 180, 250, 300])
def test_boiling_curve_agrees_with_iapws_95(temp_c):
    def saturated(name, vapour_share):
        return PropsSI(name, "T", temp_c + 273.15, "Q", vapour_share, "Water")

    pressure = saturated("P", 0)
    assert water.saturation_pressure(temp_c) == pytest.approx(pressure, rel=INDUSTRIAL)
    assert water.boiling_point_c(max(pressure, 700)) == pytest.approx(
        PropsSI("T", "P", max(pressure, 700), "Q", 0, "Water") - 273.15, abs=0.02
    )
    assert water.density(temp_c) == pytest.approx(saturated("D", 0), rel=INDUSTRIAL)
    assert water.specific_heat(temp_c) == pytest.approx(saturated("C", 0), rel=HEAT_CAPACITY)
    assert water.steam_density(max(pressure, 700)) == pytest.approx(
        PropsSI("D", "P", max(pressure, 700), "Q", 1, "Water"), rel=STEAM
    )
    latent = saturated("H", 1) - saturated("H", 0)
    assert water.latent_heat(temp_c) == pytest.approx(latent, rel=LATENT)


@pytest.mark.parametrize("temp_c", [5, 20, 80, 150, 300])
@pytest.mark.parametrize("pressure", [10e6, 60e6, 99e6])
def test_pressed_water_agrees_with_iapws_95(temp_c, pressure):
    state = ("T", temp_c + 273.15, "P", pressure, "Water")
    assert water.density(temp_c, pressure) == pytest.approx(PropsSI("D", *state), rel=INDUSTRIAL)
    assert water.specific_heat(temp_c, pressure) == pytest.approx(PropsSI("C", *state), rel=3e-3)


@pytest.mark.parametrize("temp_k, pressure", [(300, 3e6), (300, 80e6), (500, 3e6)])
def test_formulation_is_the_published_one(temp_k, pressure):
    """States of IAPWS R7-97 table 5, evaluated by the iapws package."""
    state = iapws.IAPWS97(T=temp_k, P=pressure / 1e6)
    temp_c = temp_k - 273.15
    assert water.density(temp_c, pressure) == pytest.approx(state.rho, rel=1e-8)
    assert water.specific_heat(temp_c, pressure) == pytest.approx(state.cp * 1e3, rel=1e-8)


def test_published_digits_of_the_formulation():
    """IAPWS R7-97 tables 5, 35 and 36, from memory."""
    assert 1 / water.density(26.85, 3e6) == pytest.approx(0.100215168e-2, rel=1e-8)
    assert 1 / water.density(26.85, 80e6) == pytest.approx(0.971180894e-3, rel=1e-8)
    assert water.specific_heat(226.85, 3e6) == pytest.approx(4655.80682, rel=1e-8)
    assert water.saturation_pressure(226.85) == pytest.approx(2.63889776e6, rel=1e-8)
    assert water.boiling_point_c(1e6) + 273.15 == pytest.approx(453.035632, rel=1e-8)


# --- closed vessels ----------------------------------------------------------------------------
@settings(max_examples=25)
@given(start=st.floats(5, 60), rise=st.floats(0.5, 30), vessel=st.sampled_from(["rigid", "copper"]))
def test_trapped_water_fills_its_vessel(start, rise, vessel):
    """Density by IAPWS-95 at the pressure found = mass / volume of the vessel by hand."""
    pressure = water.trapped_pressure(start, start + rise, vessel)
    if not np.isfinite(pressure) or pressure < 0.2e6:
        return
    before = PropsSI("D", "T", start + 273.15, "P", 101325, "Water")
    after = PropsSI("D", "T", start + rise + 273.15, "P", pressure, "Water")
    grown = 1.0
    if vessel == "copper":
        radius_to_wall = 0.0101 / 0.0009
        hoop = radius_to_wall / 117e9 * (1 - 0.34 / 2) * (pressure - 101325)
        along = radius_to_wall / 117e9 * (0.5 - 0.34) * (pressure - 101325)
        grown = (1 + 2 * hoop + along) * (1 + 3 * 16.8e-6 * rise)
    assert before / after == pytest.approx(grown, rel=5e-5)


@pytest.mark.parametrize("rise", [10, 20, 40])
def test_a_copper_tube_gives_way_by_hookes_law(rise):
    """What the water gains in volume is what warmth and Hooke's law for plane stress give the tube.

    Thin wall, closed ends: hoop stress p r/t, along the tube half of it, E 117 GPa, nu 0.34
    (Timoshenko, from memory). Water by our own equation, which is held against IAPWS-95 above.
    """
    pressure = water.trapped_pressure(20, 20 + rise, "copper")
    hoop = 0.0101 / 0.0009 * (pressure - 101325)
    around, along = (hoop - 0.34 * hoop / 2) / 117e9, (hoop / 2 - 0.34 * hoop) / 117e9
    tube = (1 + 2 * around + along) * (1 + 3 * 16.8e-6 * rise)
    grown = water.density(20, 101325) / water.density(20 + rise, pressure)
    assert grown - 1 == pytest.approx(tube - 1, rel=1e-6)


def test_trapped_water_table_of_the_trade_sizes():
    """Bar per kelvin for three vessels; copper pipe passes 51 bar after +9 K and +14 K."""
    expected = {20: (4.5, 3.4, 2.5), 50: (10.4, 9.2, 6.6), 70: (12.9, 11.8, 8.5)}
    for temp_c, slopes in expected.items():
        for vessel, slope in zip(("rigid", "expanding", "copper"), slopes, strict=True):
            found = water.trapped_pressure_slope(temp_c, vessel) / BAR
            assert found == pytest.approx(slope, abs=SHEET_DIGIT + 0.02)
    working = reference.TUBES["22 x 0.9"].working_pressure
    for vessel, rise in (("rigid", 9), ("copper", 14)):
        assert water.trapped_pressure(20, 20 + rise - 1, vessel) < working
        assert water.trapped_pressure(20, 20 + rise, vessel) > working


def test_a_vessel_that_gives_way_holds_less_pressure():
    rigid, expanding, copper = (
        water.trapped_pressure(20, [25, 40, 60], v) for v in ("rigid", "expanding", "copper")
    )
    assert np.all(rigid > expanding) and np.all(expanding > copper)
    thick = water.trapped_pressure(20, 40, "copper", diameter=0.022, wall=0.002)
    assert thick > water.trapped_pressure(20, 40, "copper", diameter=0.022, wall=0.0009)


def test_cooling_a_closed_vessel_leaves_only_steam():
    assert water.trapped_pressure(80, 20) == pytest.approx(water.saturation_pressure(20), rel=1e-6)


def test_air_cushion_follows_the_gas_law():
    """A nearly empty vessel: dry air heated at constant volume, plus steam."""
    dry = (101325 - water.saturation_pressure(20)) * (100 + 273.15) / 293.15
    expected = dry + water.saturation_pressure(100)
    assert water.trapped_pressure(20, 100, fill=1e-4) == pytest.approx(expected, rel=1e-3)


def test_nothing_warmed_nothing_gained():
    assert water.trapped_pressure(20, 20) == pytest.approx(101325, rel=1e-3)
    assert water.trapped_pressure(20, 20, fill=0.7) == pytest.approx(101325, rel=1e-6)


def test_beyond_the_equation_is_infinite_never_missing():
    assert water.trapped_pressure(20, 300) == np.inf


@settings(max_examples=30)
@given(end=st.floats(21, 140), more=st.floats(0.5, 20), fill=st.floats(0.1, 1))
def test_trapped_pressure_rises_with_warmth(end, more, fill):
    colder, warmer = water.trapped_pressure(20, [end, end + more], fill=fill)
    assert warmer > colder or colder == np.inf


def test_fuller_is_worse():
    filled = water.trapped_pressure(20, 120, fill=[0.5, 0.8, 0.9, 0.95, 1.0])
    assert np.all(np.diff(filled) > 0)


# --- limits and identities ---------------------------------------------------------------------
@given(liquid_c)
def test_boiling_point_undoes_saturation_pressure(temp_c):
    pressure = water.saturation_pressure(temp_c)
    if pressure >= 700:
        assert water.boiling_point_c(pressure) == pytest.approx(temp_c, abs=1e-6)


def test_water_is_densest_at_four_degrees():
    temp_c = np.linspace(0, 10, 1001)
    assert temp_c[np.argmax(water.density(temp_c, 101325))] == pytest.approx(3.98, abs=0.05)


def test_standard_atmosphere_from_its_definition():
    """ISO 2533: 288.15 K and 6.5 K/km less; p = p0 (T/T0)^(g/(R L)), R 287.05287 J/kgK."""
    z = np.array([-400, 500, 1609, 4000, 9000.0])
    wanted = 101325 * (1 - 0.0065 * z / 288.15) ** (9.80665 / (287.05287 * 0.0065))
    assert water.standard_pressure(z) == pytest.approx(wanted, rel=1e-6)


def test_standard_atmosphere_is_hydrostatic():
    """dp/dz = -p g/(R T) with 288.15 K at sea level."""
    slope = (water.standard_pressure(1.0) - water.standard_pressure(-1.0)) / 2
    assert slope == pytest.approx(-101325 * 9.80665 / (287.05 * 288.15), rel=1e-3)
    assert water.boiling_point_c(water.standard_pressure(300)) == pytest.approx(99.0, abs=0.1)


def test_weather_report_pressure_is_not_the_pressure_at_the_site():
    """At 1609 m water boils at 94.6 °C; taking the report at its word gives 100.0."""
    report = 101325
    site = water.station_pressure(report, 1609)
    assert site == pytest.approx(water.standard_pressure(1609), rel=1e-9)
    assert water.boiling_point_c(site) == pytest.approx(94.62, abs=0.01)
    assert water.boiling_point_c(report) == pytest.approx(99.97, abs=0.01)
    assert water.station_pressure(102000, 0) == pytest.approx(102000)


def test_gauge_taken_for_absolute():
    assert water.boiling_point_c(101325 + 1e5) - water.boiling_point_c(1e5) == pytest.approx(
        20.8, abs=0.1
    )


def test_steam_is_not_an_ideal_gas_at_freezing():
    """The trap: 22.4 L/mol (0 °C) gives 1192 litres a litre; at 100 °C it is 1604."""
    assert 22.4 / 18.015 * water.density(99.97) == pytest.approx(1192, rel=2e-3)
    ideal_at_boiling = 8.314462 * 373.12 / 101325 / 0.018015 * water.density(99.97)
    assert water.steam_to_water_ratio() == pytest.approx(ideal_at_boiling, rel=0.02)


def test_hot_water_let_out_of_the_demo_tube():
    """8 g of the 0.449 L tube flash; 14 L of steam, often quoted, takes 1 kg a litre at 110 °C."""
    litres = geometry.Pipe(0.022, 0.0009).water_volume_per_metre * 1.40 * 1000
    mass = litres * water.density(110) / 1000
    enthalpy = PropsSI("H", "T", 383.15, "Q", 0, "Water")
    flashed = mass * PropsSI("Q", "P", 101325, "H", enthalpy, "Water")
    steam = mass * water.flash_fraction(110)
    assert steam == pytest.approx(flashed, rel=1e-3)
    assert steam == pytest.approx(0.008, abs=0.0005)
    assert steam / water.steam_density() * 1000 == pytest.approx(13.4, abs=0.1)
    assert litres * water.volume_growth(20, 90) * 1000 == pytest.approx(15, abs=0.5)
    assert water.flash_fraction(90) == 0


def test_no_surplus_boils_nothing():
    assert water.boil_off(-50) == 0
    assert water.boil_off([0, 126]) * 3600 == pytest.approx([0, 0.201], abs=0.001)


def test_pressure_slope_is_zero_where_water_shrinks():
    assert water.trapped_pressure_slope(1.0) == 0


# --- shapes and refusals -----------------------------------------------------------------------
FUNCTIONS = [
    (water.standard_pressure, [0, 500, 1609]),
    (water.boiling_point_c, [7e4, 1e5, 2e5]),
    (water.saturation_pressure, [20, 60, 100]),
    (water.latent_heat, [20, 60, 100]),
    (water.density, [20, 60, 100]),
    (water.specific_heat, [20, 60, 100]),
    (water.steam_density, [7e4, 1e5, 2e5]),
    (water.steam_to_water_ratio, [7e4, 1e5, 2e5]),
    (water.boil_off, [0, 100, 270]),
    (water.flash_fraction, [90, 110, 120]),
    (lambda t: water.trapped_pressure(20, t), [21, 25, 30]),
    (lambda t: water.trapped_pressure_slope(t), [20, 25, 30]),
    (lambda t: water.station_pressure(101325, t), [0, 500, 1609]),
    (lambda t: water.volume_growth(20, t), [21, 25, 30]),
    (lambda t: water.thermosyphon_pressure(20, t, 0.6), [21, 25, 30]),
    (lambda t: water.warming_energy(6, 18, t), [21, 25, 30]),
]


@pytest.mark.parametrize("function, values", FUNCTIONS)
def test_shapes(function, values):
    given = np.array(values, float)
    each = [function(value) for value in values]
    assert all(isinstance(one, float) for one in each)
    assert function(given) == pytest.approx(each, rel=1e-9)
    assert function(given[:, None]).shape == (3, 1)
    assert np.array_equal(given, np.array(values, float))


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: water.density(-1), "0 and 350 °C"),
        (lambda: water.density("hot"), "'hot'"),
        (lambda: water.density(np.nan), "nan °C"),
        (lambda: water.density(150, 101325), "steam"),
        (lambda: water.boiling_point_c(14.7), "absolute pressure in pascals"),
        (lambda: water.standard_pressure(20000), "-500 and 11000 m"),
        (lambda: water.station_pressure(1013, 0), "85000 and 110000 Pa"),
        (lambda: water.trapped_pressure(20, 30, "steel"), "rigid, expanding, copper"),
        (lambda: water.trapped_pressure(20, 30, fill=0), "share of the vessel"),
        (lambda: water.trapped_pressure(20, 30, "copper", wall=0.02), "no bore"),
        (lambda: water.trapped_pressure(110, 120), "lower temperature"),
        (lambda: water.warming_energy(0, 20, 30), "water mass is 0 kg"),
        (lambda: water.thermosyphon_pressure(20, 30, -1), "height is -1 m"),
    ],
)
def test_bad_input_is_refused_in_words(call, words):
    refused(call, words)
