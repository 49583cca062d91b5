"""When to touch the trough: clocks against the zone database, calendars against the sun itself."""

import datetime as dt
import itertools
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from solarlib import sun

UTC = dt.UTC


# --- clocks ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("place", "offset", "rule"),
    [
        ("Europe/Madrid", 1, "Europe"),
        ("Europe/Athens", 2, "Europe"),
        ("America/New_York", -5, "North America"),
        ("America/Los_Angeles", -8, "North America"),
        ("Australia/Sydney", 10, "south-east Australia"),
        ("Pacific/Auckland", 12, "New Zealand"),
        ("Africa/Johannesburg", 2, "none"),
    ],
)
def test_summer_time_against_the_zone_database(place, offset, rule):
    ours, theirs = sun.Zone(offset, rule), ZoneInfo(place)
    for year in range(2010, 2031):
        for day in range(0, 365):
            noon = dt.datetime(year, 1, 1, 12, tzinfo=theirs) + dt.timedelta(days=day)
            shown = noon.astimezone(UTC).astimezone(ours)
            assert (shown.hour, shown.minute) == (12, 0), noon


def test_the_clock_at_noon():
    # 15 October at the demo site: sundial 14.3 min ahead, 4.5 deg west of the zone meridian
    standard = sun.solar_noon("2026-10-15", -4.5, sun.Zone(0))
    summer = sun.solar_noon("2026-10-15", -4.5, sun.Zone(0, "Europe"))
    assert (standard.hour, standard.minute + round(standard.second / 60)) == (12, 4)
    assert (summer.hour, summer.minute + round(summer.second / 60)) == (13, 4)
    eot = sun.equation_of_time_min(standard)
    clock_h = sun.clock_minutes(standard, sun.Zone(0)) / 60
    assert sun.solar_time_h(clock_h, -4.5, eot) == pytest.approx(12, abs=1e-4)


def test_noon_falls_on_the_date_asked_for_near_the_date_line():
    for lon, zone in ((-172, sun.Zone(13)), (-171, sun.Zone(14)), (179.9, sun.Zone(-11))):
        for day in ("2026-01-01", "2026-12-31", "2028-02-29"):
            assert sun.solar_noon(day, lon, zone).date() == dt.date.fromisoformat(day)


def test_a_zone_can_be_copied_and_pickled():
    import copy
    import pickle

    zone = sun.Zone(1, "Europe")
    assert copy.deepcopy(zone) == pickle.loads(pickle.dumps(zone)) == zone


# --- the calendar ------------------------------------------------------------------------------
@pytest.mark.parametrize("year", [2025, 2026, 2027, 2028, 2000, 1950, 2050])
@pytest.mark.parametrize("place", [(38.0, -4.5), (-34.0, 18.4), (5.0, 100.0), (64.0, -21.0)])
def test_calendar_has_no_gap_and_keeps_its_band(year, place):
    lat, lon = place
    for band in (0.5, 1.0, 1.5):
        lines = sun.retilt_calendar(lat, lon, year, band)
        assert lines[0].first == dt.date(year, 1, 1) and lines[-1].last == dt.date(year, 12, 31)
        for before, after in itertools.pairwise(lines):
            assert after.first - before.last == dt.timedelta(days=1)
        assert sum(line.days for line in lines) == 366 if year % 4 == 0 else 365
        for line in lines:
            sign = 1 if line.direction == ("north" if lat < 0 else "south") else -1
            day = line.first
            while day <= line.last:  # each day's noon sun, found again from the full position
                s = sun.position(sun.solar_noon(day, lon), lat, lon)
                needed = sun.trough_angles(lat, s.declination_deg, s.hour_angle_deg).tilt_deg
                assert abs(needed - sign * line.tilt_deg) <= band + 1e-6
                day += dt.timedelta(days=max(1, line.days // 3))
            assert line.largest_error_deg <= band + 1e-9
            ends = max(abs(line.error_first_deg), abs(line.error_last_deg))
            assert line.largest_error_deg >= ends - 1e-9


def test_calendar_of_the_demo_site():
    # sheet: 43 lines at +-1 deg, the shortest 6 days, the longest 36
    lines = sun.retilt_calendar(38.0, -4.5, 2026, 1.0, zone=sun.Zone(0, "Europe"))
    assert len(lines) == 43
    assert (min(line.days for line in lines), max(line.days for line in lines)) == (6, 36)
    assert {line.direction for line in lines} == {"south"}
    june = next(line for line in lines if line.first <= dt.date(2026, 6, 21) <= line.last)
    assert june.tilt_deg == pytest.approx(15.5, abs=0.1)
    assert june.hours_each_side * 60 == pytest.approx(58.6, abs=1)  # 0.98 h
    assert june.hours_each_side_biased * 60 == pytest.approx(82, abs=1)
    assert june.bias_deg == -0.7  # in June the sun drifts toward the pole
    assert 13 * 60 + 15 < june.noon_first_min < june.noon_last_min < 13 * 60 + 26
    assert str(june).startswith("10 Jun to 15 Jul: 15.5° to the south")
    counts = [len(sun.retilt_calendar(38.0, 0, y, b)) for y in (2027, 2028) for b in (0.5, 1, 1.5)]
    assert counts == [83, 43, 29] * 2


def test_calendar_on_the_other_side_of_the_globe():
    lines = sun.retilt_calendar(-34.0, 18.4, 2026, 1.0)
    assert {line.direction for line in lines} == {"north"}
    december = lines[-1]
    assert december.tilt_deg == pytest.approx(34 - 23, abs=0.6)
    assert december.bias_deg == -0.7


def test_calendar_in_the_tropics_turns_over_and_at_the_pole_says_night():
    directions = [line.direction for line in sun.retilt_calendar(10.0, 0.0, 2026, 1.0)]
    assert directions[0] == "south" and "north" in directions and directions[-1] == "south"
    lines = sun.retilt_calendar(80.0, 0.0, 2026, 1.0)
    night = [line for line in lines if line.direction == "none"]
    assert night and all("below the horizon" in str(line) for line in night)
    assert all(np.isnan(line.tilt_deg) for line in night)
    assert lines[0].first == dt.date(2026, 1, 1) and lines[-1].last == dt.date(2026, 12, 31)


def test_the_aim_budget_adds_up():
    budget = sun.AimBudget()
    assert budget.total_deg == pytest.approx(1.5)
    assert budget.holds(0.5) and not budget.holds(1.0)
