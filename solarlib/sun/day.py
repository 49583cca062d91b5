"""When is noon, how long is the day, and does the sun come up at all?

In: a date and a place. Out: the instant of solar noon, the length of the day, the
day in a sentence, polar night and midnight sun included.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain
from solarlib.sun.clock import EPOCH, as_dates, latitude, longitude
from solarlib.sun.position import almanac, checked_declination


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

    Raises
    ------
    ValueError : not a date, a longitude beyond ±180 deg, a zone for many dates at once.

    Valid for: 1950-2050, within 5 s of the transit; in spring and autumn the sun is really
    highest some 10 to 30 s beside it.

    Example
    -------
    >>> solar_noon("2026-10-15", -4.5).strftime("%H:%M:%S")
    '12:03:45'

    Source: definition of solar time; equation of time as in `position`.
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

    Raises
    ------
    ValueError : a latitude beyond ±90 deg, a declination beyond ±24 deg.

    Valid for: a flat horizon, no refraction, which adds some 6 min at 40° latitude.

    Example
    -------
    >>> round(day_length_h(40, 23.35), 2)
    14.83

    Source: Duffie & Beckman, equation 1.6.11 (from memory).
    """
    p, d = np.radians(latitude(latitude_deg)), np.radians(checked_declination(declination_deg))
    ratio = -np.sin(p) * np.sin(d) / np.maximum(np.cos(p) * np.cos(d), 1e-12)
    return plain(np.degrees(np.arccos(np.clip(ratio, -1, 1))) * 2 / 15)


def day_in_words(latitude_deg: float, declination_deg: float) -> str:
    """Say in a sentence how long the sun is up, polar night and midnight sun included.

    Parameters
    ----------
    latitude_deg, declination_deg : [deg], single numbers.

    Returns
    -------
    a sentence with the length of the day and the sun's height at noon.

    Raises
    ------
    ValueError : a latitude beyond ±90 deg, a declination beyond ±24 deg.

    Valid for: a flat horizon, no refraction.

    Example
    -------
    >>> day_in_words(38, 0)
    'The sun is up for 12 h 0 min and stands 52.0° high at noon.'

    Source: `day_length_h`; height at noon 90 - |latitude - declination|.
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
