"""Where is the sun at this instant?

In: instant and place. Out: the sun's height and direction, its declination, the
equation of time.

Low-precision formula of the Astronomical Almanac; within 0.01° in declination
and 0.02° in height of the full algorithm for 1950-2050, which tests hold. The
popular one-line declination, kept here to compare with, is up to 1.2° wrong:
most of the aim budget of a trough.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, within
from solarlib.sun.clock import as_dates, days_since_2000, is_date, latitude, longitude

_VALID_DAYS = (-18262.5, 18627.5)  # 1950-01-01 to 2051-01-01, in days since 2000-01-01 12:00
MOST_DECLINATION_DEG = 24.0  # the sun reaches 23.45


def checked_declination(value: ArrayLike) -> NDArray:
    """Return a checked declination of the sun [deg]."""
    limit = MOST_DECLINATION_DEG
    hint = "the sun never leaves ±23.45°, so check the unit and the sign"
    return within("declination", value, -limit, limit, "deg", hint)


def wrap180(angle_deg: ArrayLike) -> NDArray:
    """Bring an angle into -180 (included) to 180 degrees."""
    return (np.asarray(angle_deg, float) + 180) % 360 - 180


@dataclass(frozen=True)
class SunPosition:
    """The sun as seen from one place; every field has the broadcast shape of the inputs.

    elevation_deg above the true horizon, without refraction; azimuth_deg clockwise from true
    north, 0 to 360; declination_deg; hour_angle_deg, negative before solar noon;
    equation_of_time_min, sundial minus clock; distance_au; ecliptic_longitude_deg, 0 to 360.
    """

    elevation_deg: Array
    azimuth_deg: Array
    declination_deg: Array
    hour_angle_deg: Array
    equation_of_time_min: Array
    distance_au: Array
    ecliptic_longitude_deg: Array


def almanac(days: NDArray) -> tuple[NDArray, NDArray, NDArray, NDArray]:
    """Return declination [rad], equation of time [min], distance [au], ecliptic longitude [deg]."""
    if np.any((days < _VALID_DAYS[0]) | (days > _VALID_DAYS[1])):
        warnings.warn(
            "The sun formula is checked for 1950 to 2050; outside, it may be more than 0.01° off.",
            stacklevel=3,
        )
    anomaly = np.radians(357.529 + 0.98560028 * days)
    mean_longitude = 280.459 + 0.98564736 * days
    ecliptic = mean_longitude + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly)
    along = np.radians(ecliptic)
    obliquity = np.radians(23.439 - 3.6e-7 * days)
    declination = np.arcsin(np.sin(obliquity) * np.sin(along))
    right_ascension = np.degrees(np.arctan2(np.cos(obliquity) * np.sin(along), np.cos(along)))
    equation_of_time = 4 * wrap180(mean_longitude - right_ascension)
    distance = 1.00014 - 0.01671 * np.cos(anomaly) - 0.00014 * np.cos(2 * anomaly)
    return declination, equation_of_time, distance, ecliptic % 360


def sun_vector(
    latitude_deg: ArrayLike, declination_deg: ArrayLike, hour_angle_deg: ArrayLike
) -> tuple[NDArray, NDArray, NDArray]:
    """Return the unit vector to the sun as (east, north, up), each of the broadcast shape.

    s = (-cos d sin w, sin d cos p - cos d cos w sin p, sin d sin p + cos d cos w cos p)
    """
    p, d, w = (np.radians(a) for a in (latitude_deg, declination_deg, hour_angle_deg))
    east = -np.cos(d) * np.sin(w) + 0 * p
    north = np.sin(d) * np.cos(p) - np.cos(d) * np.cos(w) * np.sin(p)
    up = np.sin(d) * np.sin(p) + np.cos(d) * np.cos(w) * np.cos(p)
    return east, north, up


def position(when: Any, latitude_deg: ArrayLike, longitude_deg: ArrayLike) -> SunPosition:
    """Find the sun.

    n = days since 2000-01-01 12:00 UTC; q = 280.459 + 0.98564736 n; g = 357.529 + 0.98560028 n;
    l = q + 1.915 sin g + 0.020 sin 2g; e = 23.439 - 3.6e-7 n; sin d = sin e sin l;
    EoT = 4 min x wrap(q - RA), RA = atan2(cos e sin l, cos l)

    Parameters
    ----------
    when : aware datetime, ISO text with offset, or numpy datetimes in UTC; any shape.
    latitude_deg, longitude_deg : north and east positive [deg], broadcast with `when`.

    Returns
    -------
    SunPosition : angles [deg], equation of time [min], distance [au].

    Raises
    ------
    ValueError : an instant without time zone; a place off the globe.

    Valid for: 1950-2050, with a warning outside; UTC stands in for the astronomers' time,
    which differs by about a minute and moves the sun by 0.001°.

    Example
    -------
    >>> sun = position("2003-10-17T12:30:30-07:00", 39.742476, -105.1786)
    >>> round(sun.elevation_deg, 2), round(sun.azimuth_deg, 2)
    (39.87, 194.34)

    Source: Approximate Solar Coordinates, Astronomical Applications Dept., US Naval
    Observatory (aa.usno.navy.mil), after the Astronomical Almanac.
    """
    days = np.asarray(days_since_2000(when))
    lat, lon = latitude(latitude_deg), longitude(longitude_deg)
    declination, equation_of_time, distance, ecliptic = almanac(days)
    hour_angle = wrap180(360 * (days - np.floor(days)) + lon + equation_of_time / 4)
    east, north, up = sun_vector(lat, np.degrees(declination), hour_angle)
    shape = np.broadcast_shapes(days.shape, lat.shape, lon.shape)

    def field(values: NDArray) -> Array:
        return plain(values if values.shape == shape else np.broadcast_to(values, shape).copy())

    return SunPosition(
        elevation_deg=field(np.degrees(np.arctan2(up, np.hypot(east, north)))),
        azimuth_deg=field(np.degrees(np.arctan2(east, north)) % 360),
        declination_deg=field(np.degrees(declination)),
        hour_angle_deg=field(hour_angle),
        equation_of_time_min=field(equation_of_time),
        distance_au=field(distance),
        ecliptic_longitude_deg=field(ecliptic),
    )


def days_of(when: Any) -> NDArray:
    """Days since 2000-01-01 12:00 UTC; a plain date stands for its noon UTC."""
    if is_date(when):
        when = as_dates(when).astype("datetime64[us]") + np.timedelta64(12, "h")
    return np.asarray(days_since_2000(when))


def declination_deg(when: Any) -> Array:
    """Return the sun's declination, its angle north of the equator.

    sin d = sin e sin l, see `position`

    Parameters
    ----------
    when : an instant as in `position`, or a plain date, which means 12:00 UTC; any shape.

    Returns
    -------
    [deg], same shape, -23.45 to 23.45.

    Raises
    ------
    ValueError : an instant without time zone, no date at all.

    Valid for: 1950-2050, within 0.01 deg.

    Example
    -------
    >>> round(declination_deg("2026-06-21"), 2)
    23.44

    Source: as `position`.
    """
    return plain(np.degrees(almanac(days_of(when))[0]))


def equation_of_time_min(when: Any) -> Array:
    """Return sundial minus clock: EoT = 4 min x wrap(q - RA), see `position`.

    Parameters
    ----------
    when : an instant as in `position`, or a plain date, which means 12:00 UTC; any shape.

    Returns
    -------
    [min], same shape, about -14.2 to 16.5.

    Raises
    ------
    ValueError : an instant without time zone, no date at all.

    Valid for: 1950-2050, within 0.06 min.

    Example
    -------
    >>> round(equation_of_time_min("2026-06-21"), 1)
    -1.8

    Source: as `position`.
    """
    return plain(almanac(days_of(when))[1])


def declination_one_line_deg(day_of_year: ArrayLike) -> Array:
    """Return the popular one-line declination, 23.45 sin(360 (284 + n)/365).

    Parameters
    ----------
    day_of_year : n, 1 on 1 January, any shape.

    Returns
    -------
    [deg], same shape.

    Raises
    ------
    ValueError : a day outside 1 to 366.

    Valid for: a comparison, not for aiming: up to 1.2° wrong in early March and mid-October.

    Example
    -------
    >>> round(declination_one_line_deg(288), 2), round(declination_deg("2025-10-15"), 2)
    (-9.6, -8.71)

    Source: P. I. Cooper, as in Duffie & Beckman, equation 1.6.1a.
    """
    hint = "1 is 1 January"
    n = within("day of the year", day_of_year, 1, 366, "", hint)
    return plain(23.45 * np.sin(np.radians(360 * (284 + n) / 365)))


def west_of_south_deg(azimuth_deg: ArrayLike) -> Array:
    """Turn azimuth from north into the textbook habit, where 0 is south and west is positive.

    wrap(azimuth - 180)

    Parameters
    ----------
    azimuth_deg : clockwise from true north [deg], any shape.

    Returns
    -------
    [deg], same shape, -180 to 180.

    Raises
    ------
    ValueError : an azimuth beyond ±360 deg.

    Valid for: true north; a compass needle shows magnetic north.

    Example
    -------
    >>> west_of_south_deg(270)
    90.0

    Source: convention of Duffie & Beckman, section 1.6.
    """
    azimuth = within("azimuth", azimuth_deg, -360, 360, "deg", "clockwise from north")
    return plain(wrap180(azimuth - 180))
