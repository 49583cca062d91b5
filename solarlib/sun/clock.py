"""Which instant is meant, and what does the clock on the wall show?

In: instants (aware datetimes, ISO texts with an offset, numpy datetimes in UTC)
and dates. Out: numpy datetimes in UTC, days for the sun formulas, minutes after
midnight for people. An instant without a time zone is refused, never guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, within

EPOCH = np.datetime64("2000-01-01T12:00:00", "us")  # Julian date 2451545.0


def latitude(value: ArrayLike) -> NDArray:
    """Return a checked latitude [deg]."""
    return within("latitude", value, -90, 90, "deg", "degrees north, negative in the south")


def longitude(value: ArrayLike) -> NDArray:
    """Return a checked longitude [deg]."""
    return within("longitude", value, -180, 180, "deg", "degrees east, negative in the west")


# --- instants and dates ------------------------------------------------------------------------
def _one_instant(when: Any) -> np.datetime64:
    if isinstance(when, str):
        try:
            when = datetime.fromisoformat(when.strip())
        except ValueError:
            raise ValueError(
                f"“{when}” is not an instant; write it like 2026-06-21T12:00+00:00."
            ) from None
    if isinstance(when, np.datetime64):
        return when.astype("datetime64[us]")
    if not isinstance(when, datetime):
        raise ValueError(
            f"{when!r} is not an instant; give date, clock time and offset from UTC, "
            "like 2026-06-21T12:00+00:00."
        )
    if when.utcoffset() is None:
        raise ValueError(
            f"The time {when} has no time zone; add the offset from UTC, "
            f"like {when.isoformat(timespec='minutes')}+00:00."
        )
    return np.datetime64(when.astimezone(UTC).replace(tzinfo=None), "us")


def as_utc(when: Any) -> Any:
    """Return instants as numpy datetimes in UTC [µs].

    Parameters
    ----------
    when : an aware datetime, an ISO text with offset ("2026-06-21T12:00+02:00"), a numpy
        datetime or array of them (UTC), or a sequence of any of these.

    Raises
    ------
    ValueError : no time zone, no clock time, not an instant at all.
    """
    array = np.asarray(when) if not isinstance(when, (str, datetime)) else np.asarray(when, object)
    if array.dtype.kind == "M":
        instants = array.astype("datetime64[us]")
    else:
        objects = array.astype(object)
        instants = np.array([_one_instant(one) for one in objects.flat], dtype="datetime64[us]")
        instants = instants.reshape(array.shape)
    if np.isnat(instants).any():
        raise ValueError("An instant is missing (NaT); fill or drop it before asking for the sun.")
    return instants[()]


def days_since_2000(when: Any) -> Array:
    """Return days since 2000-01-01 12:00 UTC, the n of the sun formulas [d]."""
    return plain((as_utc(when) - EPOCH) / np.timedelta64(1, "D"))


def julian_date(when: Any) -> Array:
    """Return the Julian date: 2451545.0 + days since 2000-01-01 12:00 UTC.

    Parameters
    ----------
    when : aware datetime, ISO text with offset, or numpy datetimes in UTC; any shape.

    Returns
    -------
    [d], same shape.

    Raises
    ------
    ValueError : an instant without time zone, or none at all.

    Valid for: UTC, without leap seconds.

    Example
    -------
    >>> round(julian_date("2003-10-17T12:30:30-07:00"), 6)
    2452930.312847

    Source: definition; the instant is the worked example of NREL/TP-560-34302.
    """
    return 2451545.0 + days_since_2000(when)


def _one_date(day: Any) -> np.datetime64:
    if isinstance(day, datetime):
        day = day.date()
    if isinstance(day, str):
        try:
            day = date.fromisoformat(day.strip())
        except ValueError:
            raise ValueError(f"“{day}” is not a date; write it like 2026-06-21.") from None
    if isinstance(day, np.datetime64):
        return day.astype("datetime64[D]")
    if not isinstance(day, date):
        raise ValueError(f"{day!r} is not a date; write it like 2026-06-21.")
    return np.datetime64(day, "D")


def as_dates(days: Any) -> Any:
    """Return calendar dates as numpy dates: from date, datetime, "2026-06-21" or arrays of them."""
    array = np.asarray(days) if not isinstance(days, (str, date)) else np.asarray(days, object)
    if array.dtype.kind == "M":
        dates = array.astype("datetime64[D]")
    else:
        dates = np.array([_one_date(one) for one in array.astype(object).flat], "datetime64[D]")
        dates = dates.reshape(array.shape)
    if np.isnat(dates).any():
        raise ValueError("A date is missing (NaT); fill or drop it before asking for the sun.")
    return dates[()]


def is_date(when: Any) -> bool:
    """Say whether plain calendar dates (without a clock time) were given."""
    if isinstance(when, str):
        return len(when.strip()) == 10
    if isinstance(when, (np.datetime64, np.ndarray)) and when.dtype.kind == "M":
        return when.dtype == "datetime64[D]"
    if isinstance(when, (list, tuple, np.ndarray)):
        return len(when) > 0 and all(is_date(one) for one in np.ravel(np.asarray(when, object)))
    return isinstance(when, date) and not isinstance(when, datetime)


# --- the clock on the wall ---------------------------------------------------------------------
# name -> ((month, which Sunday) it starts, (month, which Sunday) it ends); -1 is the last Sunday
SUMMER_TIME_RULES = {
    "none": None,
    "Europe": ((3, -1), (10, -1)),
    "North America": ((3, 2), (11, 1)),
    "south-east Australia": ((10, 1), (4, 1)),
    "New Zealand": ((9, -1), (4, 1)),
}


def _sunday(year: int, month: int, which: int) -> datetime:
    """Return 02:00 on the n-th (or last, -1) Sunday of a month."""
    if which > 0:
        first = datetime(year, month, 1, 2)
        return first + timedelta(days=(6 - first.weekday()) % 7 + 7 * (which - 1))
    last = datetime(year + month // 12, month % 12 + 1, 1, 2) - timedelta(days=1)
    return last - timedelta(days=(last.weekday() + 1) % 7)


@dataclass(frozen=True)
class Zone(tzinfo):
    """The legal clock of a place: a standard offset from UTC and a summer-time rule.

    Summer time begins and ends at 02:00 standard time. Some countries change an hour earlier
    or later; that touches only the small hours of two Sundays a year, when no sun shines.
    Any other `tzinfo`, such as `zoneinfo.ZoneInfo`, works in its place.

    Parameters
    ----------
    utc_offset_h : standard time minus UTC [h], positive in the east.
    summer_time : one of the names in SUMMER_TIME_RULES.

    Raises
    ------
    ValueError : an offset outside -12 to 14 h, an unknown summer-time rule.

    Example
    -------
    >>> noon = datetime(2026, 7, 1, 12, tzinfo=UTC)
    >>> noon.astimezone(Zone(1, "Europe")).strftime("%H:%M")
    '14:00'

    Source: the rules in force in 2026; the tests compare with the time-zone database 2010-2030.
    """

    utc_offset_h: float = 0.0
    summer_time: str = "none"

    def __post_init__(self) -> None:
        within("offset from UTC", self.utc_offset_h, -12, 14, "h", "positive in the east")
        if self.summer_time not in SUMMER_TIME_RULES:
            names = ", ".join(SUMMER_TIME_RULES)
            raise ValueError(f"Summer time “{self.summer_time}” is not known; use one of {names}.")

    def dst(self, dt: datetime | None) -> timedelta:
        rule = SUMMER_TIME_RULES[self.summer_time]
        if rule is None or dt is None:
            return timedelta(0)
        start, end = (_sunday(dt.year, *change) for change in rule)
        now = dt.replace(tzinfo=None)
        inside = start <= now < end if start < end else not end <= now < start
        return timedelta(hours=1 if inside else 0)

    def utcoffset(self, dt: datetime | None) -> timedelta:
        return timedelta(hours=self.utc_offset_h) + self.dst(dt)

    def tzname(self, dt: datetime | None) -> str:
        hours = self.utcoffset(dt) / timedelta(hours=1)
        return f"UTC{hours:+g} h"


def clock_minutes(when: datetime, zone: tzinfo) -> float:
    """Return what the clock shows at an instant, in minutes after midnight.

    Parameters
    ----------
    when : an aware datetime, or an ISO text with offset.
    zone : the clock, such as Zone(1, "Europe").

    Returns
    -------
    [min], 0 to 1440, a single number.

    Raises
    ------
    ValueError : an instant without time zone.

    Valid for: one instant at a time.

    Example
    -------
    >>> clock_minutes(datetime(2026, 2, 11, 12, 32, tzinfo=UTC), UTC)
    752.0

    Source: definition.
    """
    local = as_utc(when).astype(datetime).replace(tzinfo=UTC).astimezone(zone)
    return local.hour * 60 + local.minute + local.second / 60 + local.microsecond / 6e7


def solar_time_h(
    clock_h: ArrayLike, longitude_from_meridian_deg: ArrayLike, equation_of_time_min: ArrayLike
) -> Array:
    """Turn standard clock time into solar time: t_sol = t + 4 min x (lon - meridian) + EoT.

    Parameters
    ----------
    clock_h : standard time [h]; take the summer-time hour off first.
    longitude_from_meridian_deg : place minus zone meridian [deg], positive to the east.
    equation_of_time_min : sundial minus clock [min]. All broadcastable.

    Returns
    -------
    solar time [h], broadcast shape. 12 is the sun's highest point.

    Raises
    ------
    ValueError : a clock outside 0 to 24 h, a longitude beyond ±180 deg, more than ±20 min of EoT.

    Valid for: any place; near midnight the answer may leave 0 to 24.

    Example
    -------
    >>> round(solar_time_h(10.5, 0.6, -13.5), 2)  # 10:19
    10.31

    Source: Duffie & Beckman, Solar Engineering of Thermal Processes, example 1.5.1.
    """
    clock = within("clock time", clock_h, 0, 24, "h", "standard time in hours")
    hint = "place minus zone meridian, degrees east"
    east = within("longitude from the meridian", longitude_from_meridian_deg, -180, 180, "deg", hint)
    ahead = within("equation of time", equation_of_time_min, -20, 20, "min", "sundial minus clock")
    return plain(clock + east / 15 + ahead / 60)
