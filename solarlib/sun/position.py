"""Where is the sun at this instant, and how long is the day?

In: instant and place. Out: the sun's height and direction, its declination, the
equation of time, solar noon, the length of the day.

Low-precision formula of the Astronomical Almanac; within 0.01° in declination
and 0.02° in height of the full algorithm for 1950-2050, which tests hold. The
popular one-line declination, kept here to compare with, is up to 1.2° wrong:
most of the aim budget of a trough.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, within
from solarlib.sun.clock import EPOCH, as_dates, days_since_2000, is_date, latitude, longitude

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
    """Return the sun's declination [deg]; a plain date means 12:00 UTC of that day.

    Example
    -------
    >>> round(declination_deg("2026-06-21"), 2)
    23.44
    """
    return plain(np.degrees(almanac(days_of(when))[0]))


def equation_of_time_min(when: Any) -> Array:
    """Return sundial minus clock [min]; a plain date means 12:00 UTC of that day."""
    return plain(almanac(days_of(when))[1])


def declination_one_line_deg(day_of_year: ArrayLike) -> Array:
    """Return the popular one-line declination, 23.45 sin(360 (284 + n)/365) [deg].

    Up to 1.2° wrong in early March and mid-October; to compare with, not to aim by.

    Source: P. I. Cooper, as in Duffie & Beckman, equation 1.6.1a.
    """
    hint = "1 is 1 January"
    n = within("day of the year", day_of_year, 1, 366, "", hint)
    return plain(23.45 * np.sin(np.radians(360 * (284 + n) / 365)))


def west_of_south_deg(azimuth_deg: ArrayLike) -> Array:
    """Turn azimuth from north into the textbook habit: 0 is south, west positive [deg]."""
    return plain(wrap180(np.asarray(azimuth_deg, float) - 180))


# --- noon and the length of the day ------------------------------------------------------------
def noon_days(dates: Any, longitude_deg: ArrayLike) -> NDArray:
    """Return the instant of solar noon in days since 2000-01-01 12:00 UTC, broadcast shape."""
    start = (dates - np.datetime64("2000-01-01")) / np.timedelta64(1, "D")
    mean_noon = start - longitude(longitude_deg) / 360
    noon = mean_noon
    for _ in range(2):  # the equation of time moves by at most 0.5 min a day: two steps are ample
        noon = mean_noon - almanac(np.asarray(noon))[1] / 1440
    return np.asarray(noon)


def solar_noon(date: Any, longitude_deg: ArrayLike, zone: tzinfo | None = None) -> Any:
    """Find the instant when the sun is highest: 12:00 - lon/15 - EoT/60 in UTC hours.

    Parameters
    ----------
    date : calendar date at the place: date, "2026-10-15", or numpy dates of any shape.
    longitude_deg : east positive [deg], broadcast with `date`.
    zone : the clock to show the answer in, such as Zone(1, "Europe"); one date only.

    Returns
    -------
    an aware datetime in UTC (or in `zone`); for arrays, numpy datetimes in UTC.

    Example
    -------
    >>> solar_noon("2026-10-15", -4.5).strftime("%H:%M:%S")
    '12:03:45'
    """
    dates = as_dates(date)
    micros = np.round(noon_days(dates, longitude_deg) * 86400e6).astype("timedelta64[us]")
    instants = EPOCH + micros
    if instants.ndim:
        if zone is not None:
            raise ValueError("A clock can show one date at a time; leave `zone` out for arrays.")
        return instants
    noon = datetime.fromisoformat(str(instants)).replace(tzinfo=UTC)
    if zone is None:
        return noon
    shown = noon.astimezone(zone)
    # clocks near the date line count the day differently from the sun
    off_by = int((dates - np.datetime64(shown.date())).astype(int))
    if off_by:
        other_day = dates + np.timedelta64(off_by, "D")
        shown = solar_noon(other_day, longitude_deg).astimezone(zone)
    return shown


def day_length_h(latitude_deg: ArrayLike, declination_deg: ArrayLike) -> Array:
    """Return how long the sun's centre is above the true horizon: (2/15) acos(-tan p tan d).

    Parameters
    ----------
    latitude_deg, declination_deg : [deg], broadcastable.

    Returns
    -------
    [h], broadcast shape: 0 in the polar night, 24 under the midnight sun.

    Source: Duffie & Beckman, equation 1.6.11 (from memory).
    """
    p, d = np.radians(latitude(latitude_deg)), np.radians(checked_declination(declination_deg))
    ratio = -np.sin(p) * np.sin(d) / np.maximum(np.cos(p) * np.cos(d), 1e-12)
    return plain(np.degrees(np.arccos(np.clip(ratio, -1, 1))) * 2 / 15)


def day_in_words(latitude_deg: float, declination_deg: float) -> str:
    """Say in a sentence how long the sun is up, polar night and midnight sun included.

    Example
    -------
    >>> day_in_words(38, 0)
    'The sun is up for 12 h 0 min and stands 52.0° high at noon.'
    """
    hours = day_length_h(float(latitude_deg), float(declination_deg))
    height = 90 - abs(latitude_deg - declination_deg)
    if hours == 0:
        return f"Polar night: the sun stays below the horizon, {max(-height, 0):.1f}° at noon."
    if hours == 24:
        lowest = abs(latitude_deg + declination_deg) - 90
        return (
            f"Midnight sun: it never sets, {height:.1f}° high at noon "
            f"and {max(lowest, 0):.1f}° at midnight."
        )
    length = timedelta(minutes=round(hours * 60))
    whole, minutes = divmod(length // timedelta(minutes=1), 60)
    return f"The sun is up for {whole} h {minutes} min and stands {height:.1f}° high at noon."
