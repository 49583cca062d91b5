"""What must hold wherever and whenever the sun is: identities, limits, shapes, ways of writing."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlib import sun

UTC = dt.UTC


# --- properties --------------------------------------------------------------------------------
latitudes = st.floats(-89.9, 89.9)
declinations = st.floats(-23.45, 23.45)
hour_angles = st.floats(-179.9, 179.9)


@given(latitudes, declinations, hour_angles)
def test_tracking_means_the_least_incidence(lat, d, w):
    angles = sun.trough_angles(lat, d, w)
    tilt, facing = abs(angles.tilt_to_south_deg), 180 if angles.tilt_to_south_deg >= 0 else 0
    assert sun.incidence_deg(lat, d, w, tilt, facing) == pytest.approx(
        angles.incidence_deg, abs=1e-6
    )
    for nudged in (tilt - 0.5, tilt + 0.5):
        if 0 <= nudged <= 180:
            worse = sun.incidence_deg(lat, d, w, nudged, facing)
            assert worse >= angles.incidence_deg - 1e-9


@given(latitudes, declinations, hour_angles)
def test_north_and_south_are_mirror_images(lat, d, w):
    north, south = sun.trough_angles(lat, d, w), sun.trough_angles(-lat, -d, w)
    if lat != 0:
        gap = (north.tilt_deg - south.tilt_deg + 180) % 360 - 180
        assert gap == pytest.approx(0, abs=1e-6)
    assert south.incidence_deg == pytest.approx(north.incidence_deg, abs=1e-6)
    assert sun.day_length_h(lat, d) == pytest.approx(sun.day_length_h(-lat, -d))
    assert sun.east_west_drift_deg(-d, w) == pytest.approx(-sun.east_west_drift_deg(d, w))


@given(latitudes, declinations, st.floats(-89, 89))
def test_drift_does_not_depend_on_latitude(lat, d, w):
    closed = sun.east_west_drift_deg(d, w)
    assert sun.axis_drift_deg(lat, d, w) == pytest.approx(closed, abs=1e-6)
    needed = sun.trough_angles(lat, d, w)
    assert needed.incidence_deg == pytest.approx(
        np.degrees(np.arcsin(np.cos(np.radians(d)) * abs(np.sin(np.radians(w))))), abs=1e-6
    )
    noon = sun.noon_tilt_deg(lat, d)
    toward_pole = closed if lat >= 0 else -closed
    assert sun.aim_error_deg(lat, d, w, noon) == pytest.approx(-toward_pole, abs=1e-6)


@given(st.floats(-23.45, 23.45).filter(lambda d: abs(d) > 0.01), st.floats(0.05, 10))
def test_hours_in_focus_ends_where_the_drift_is_used_up(d, tolerance):
    for biased, swing in ((False, tolerance), (True, 2 * tolerance)):
        hours = sun.hours_in_focus(d, tolerance, biased=biased)
        assert abs(sun.east_west_drift_deg(d, 15 * hours)) == pytest.approx(swing, abs=1e-6)
    assert sun.hours_in_focus(d, tolerance) == sun.hours_in_focus(-d, tolerance)


@given(latitudes, declinations)
def test_the_sun_is_on_the_horizon_at_both_ends_of_the_day(lat, d):
    hours = sun.day_length_h(lat, d)
    if 0 < hours < 24:
        for w in (-7.5 * hours, 7.5 * hours):
            assert sun.incidence_deg(lat, d, w, 0, 0) == pytest.approx(90, abs=1e-4)


@given(
    st.datetimes(dt.datetime(1950, 1, 1), dt.datetime(2050, 12, 31)),
    st.floats(-90, 90),
    st.floats(-180, 180),
    st.integers(-12, 14),
)
def test_position_is_the_same_instant_in_every_clock(naive, lat, lon, offset):
    when = naive.replace(tzinfo=UTC)
    elsewhere = when.astimezone(dt.timezone(dt.timedelta(hours=offset)))
    here, there = sun.position(when, lat, lon), sun.position(elsewhere.isoformat(), lat, lon)
    assert here == there == sun.position(np.datetime64(naive), lat, lon)
    assert abs(here.elevation_deg) <= 90 and 0 <= here.azimuth_deg < 360
    assert abs(here.declination_deg) <= 23.45 and abs(here.hour_angle_deg) <= 180


# --- scalars, columns, tables ------------------------------------------------------------------
def test_every_function_broadcasts():
    lat, d, w = np.array([[38.0], [-34.0]]), np.array([0.0, 10.0, -20.0]), np.float64(30.0)
    calls = {
        "incidence": lambda a, b, c: sun.incidence_deg(a, b, c, 30, 180),
        "tilt": lambda a, b, c: sun.trough_angles(a, b, c).tilt_deg,
        "profile": lambda a, b, c: sun.profile_angle_deg(a, b, c),
        "drift": lambda a, b, c: sun.axis_drift_deg(a, b, c, 5),
        "error": lambda a, b, c: sun.aim_error_deg(a, b, c, 20),
        "day": lambda a, b, c: sun.day_length_h(a, b),
        "noon tilt": lambda a, b, c: sun.noon_tilt_deg(a, b),
    }
    for name, call in calls.items():
        table = call(lat, d, w)
        assert table.shape == (2, 3), name
        for r in range(2):
            for c in range(3):
                one = call(float(lat[r, 0]), float(d[c]), 30.0)
                assert isinstance(one, float), name
                assert one == pytest.approx(table[r, c], abs=1e-12), name
    when = np.array(["2026-06-21T12:00", "2026-12-21T12:00"], "M8[m]")
    table = sun.position(when, lat, -4.5)
    assert table.elevation_deg.shape == table.declination_deg.shape == (2, 2)
    one = sun.position(when[1], -34.0, -4.5)
    assert one.elevation_deg == table.elevation_deg[1, 1]
    assert isinstance(one.declination_deg, float)
    for function, column in (
        (lambda x: sun.air_mass(x), np.array([0, 30, 90, 120.0])),
        (lambda x: sun.clear_sky_beam(x, 300), np.array([1, 2, 5, np.inf])),
        (lambda x: sun.hours_in_focus(x, 1.0), np.array([0.0, 11, -23])),
        (lambda x: sun.days_until_drift("2026-03-20", x), np.array([1.0, 2, 10])),
        (lambda x: sun.east_west_drift_deg(x, 15), np.array([0.0, 11, -23])),
        (lambda x: sun.nudge_interval_min(x), np.array([1.0, 2.0])),
        (lambda x: sun.declination_one_line_deg(x), np.array([1, 100, 365])),
        (lambda x: sun.regional_clear_sky_beam(6, x), np.array([-5.0, 10, 90])),
    ):
        kept = column.copy()
        row, table = function(column), function(column[:, None])
        assert table.shape == (len(column), 1)
        np.testing.assert_array_equal(table[:, 0], row)
        np.testing.assert_array_equal([function(float(x)) for x in column], row)
        np.testing.assert_array_equal(column, kept)


def test_a_year_by_the_minute_comes_in_one_call():
    when = np.arange("2026-01-01", "2027-01-01", dtype="M8[m]")
    s = sun.position(when, 38.0, -4.5)
    assert s.elevation_deg.shape == (525_600,)
    assert s.elevation_deg.max() == pytest.approx(90 - 38 + 23.44, abs=0.02)
    up = (s.elevation_deg > 0).mean() * 24
    assert up == pytest.approx(12, abs=0.1)  # every place has half a year of sun


# --- poles, limits, words ----------------------------------------------------------------------
def test_at_the_pole_the_sun_circles_at_its_declination():
    when = np.arange("2026-06-21", "2026-06-22", dtype="M8[h]")
    for pole in (90, -90):
        s = sun.position(when, pole, 0)
        np.testing.assert_allclose(s.elevation_deg, np.sign(pole) * s.declination_deg, atol=1e-9)
        assert np.all(np.isfinite(s.azimuth_deg))
    assert sun.day_length_h([90, 90, -90, -90], [10, -10, 10, -10]) == pytest.approx([24, 0, 0, 24])
    assert sun.day_length_h(0, [-23, 0, 23]) == pytest.approx(12)


def test_days_in_words():
    assert sun.day_in_words(80, -20).startswith("Polar night")
    assert sun.day_in_words(-80, -20).startswith("Midnight sun")
    assert "14 h 50 min" in sun.day_in_words(40, 23.35)  # textbook example: 14.83 h
    assert "73.3° high" in sun.day_in_words(40, 23.3)
    assert sun.trough_angles(80, -20, 0).sun_is_up is False
    assert sun.trough_angles(38, -20, 0).sun_is_up is True


def test_no_beam_from_below_the_horizon():
    assert sun.air_mass(90.1) == np.inf
    assert sun.clear_sky_beam(np.inf, elevation=2000) == 0
    assert sun.regional_clear_sky_beam(6, [0, -1]) == pytest.approx([0, 0])


@given(st.floats(-65, 65), declinations, st.floats(-80, 80), st.floats(100, 260))
def test_profile_angle_is_the_textbook_one(lat, d, w, facing):
    """tan(profile) = tan(height)/cos(azimuth - facing), Duffie & Beckman 1.6.12, sun in front."""
    height = 90 - sun.incidence_deg(lat, d, w, 0, 0)
    east, north = (90 - sun.incidence_deg(lat, d, w, 90, side) for side in (90, 0))
    azimuth = np.degrees(np.arctan2(np.sin(np.radians(east)), np.sin(np.radians(north))))
    ahead = np.cos(np.radians(azimuth - facing))
    if height > 1 and ahead > 0.05:
        profile = np.degrees(np.arctan(np.tan(np.radians(height)) / ahead))
        assert sun.profile_angle_deg(lat, d, w, facing) == pytest.approx(profile, abs=1e-6)


def test_instants_and_dates_may_come_in_many_ways():
    moment = dt.datetime(2026, 6, 21, 12, tzinfo=UTC)
    ways = ["2026-06-21T12:00+00:00", moment, np.datetime64("2026-06-21T12:00")]
    assert np.ptp(sun.julian_date(ways)) == 0 and sun.julian_date(ways).shape == (3,)
    days = ["2026-06-21", dt.date(2026, 6, 21), moment, np.datetime64("2026-06-21")]
    noons = sun.solar_noon(days, 0.0)
    assert noons.shape == (4,) and len(set(noons.tolist())) == 1
    assert sun.declination_deg(["2026-06-21"]) == sun.declination_deg(moment)
    assert moment.astimezone(sun.Zone(5.5)).tzname() == "UTC+5.5 h"


def test_textbook_azimuth_habit():
    assert sun.west_of_south_deg([180, 270, 90, 0]) == pytest.approx([0, 90, -90, -180])
