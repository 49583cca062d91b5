"""When do I touch the trough again, and what do I set?

In: the place, the year, how far the noon aim may be off. Out: a list of settings
without a gap, with dates, tilt, direction, the clock time of solar noon and how
long the trough may be left alone on each side of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain, within
from solarlib.sun.clock import Zone, clock_minutes, latitude, longitude
from solarlib.sun.day import day_length_h, noon_days, solar_noon
from solarlib.sun.drift import hours_in_focus
from solarlib.sun.position import almanac, days_of
from solarlib.sun.trough import noon_tilt_deg
from solarlib.units import show


@dataclass(frozen=True)
class AimBudget:
    """How the allowed aim error is shared out: common practice of this course, no source.

    date_deg between two settings of the calendar, session_deg while the sun drifts round noon,
    setting_deg for hand and eye [deg, to each side].
    """

    date_deg: float = 0.5
    session_deg: float = 0.7
    setting_deg: float = 0.3

    def __post_init__(self) -> None:
        for name in ("date_deg", "session_deg", "setting_deg"):
            share = name.removesuffix("_deg") + " share"
            within(share, getattr(self, name), 0, 10, "deg", "to each side of perfect aim")

    @property
    def total_deg(self) -> float:
        """The sum of the shares [deg]: errors of aim are not random, so they add up."""
        return self.date_deg + self.session_deg + self.setting_deg

    def holds(self, band_deg: float) -> bool:
        """Say whether a calendar of this band [deg] stays inside the date's share."""
        return band_deg <= self.date_deg + 1e-9


@dataclass(frozen=True)
class TiltSetting:
    """One line of the calendar: set this tilt on the first day, leave it to the last.

    tilt_deg from looking straight up, never negative, toward `direction` ("south", "north",
    "level", or "none" in the polar night, when tilt_deg is nan); error_first_deg and
    error_last_deg are the noon tilt needed minus the one set, positive toward the equator;
    largest_error_deg over all days of the line; noon_first_min and noon_last_min the clock at
    solar noon [minutes after midnight]; hours_each_side a noon-aimed trough stays within the
    session's share on the worst day, hours_each_side_biased when it is set bias_deg further
    toward the equator (negative: toward the pole).
    """

    first: date
    last: date
    tilt_deg: float
    direction: str
    error_first_deg: float
    error_last_deg: float
    largest_error_deg: float
    noon_first_min: float
    noon_last_min: float
    hours_each_side: float
    hours_each_side_biased: float
    bias_deg: float

    @property
    def days(self) -> int:
        """How many days the line covers."""
        return (self.last - self.first).days + 1

    def __str__(self) -> str:
        span = f"{self.first:%d %b} to {self.last:%d %b}"
        if self.direction == "none":
            return f"{span}: the sun stays below the horizon; keep the trough covered."
        return (
            f"{span}: {self.tilt_deg:.1f}° to the {self.direction}, at most "
            f"{self.largest_error_deg:.2f}° off at noon ({show(self.noon_first_min, 'clock')} on "
            f"the first day, {show(self.noon_last_min, 'clock')} on the last)."
        ).replace("to the level", "(straight up)")


def days_until_drift(start_date: Any, drift_deg: ArrayLike) -> Array:
    """Return how many days pass until the noon tilt has moved by an angle, either way.

    |declination(t) - declination(start)| = drift

    Parameters
    ----------
    start_date : a date (its 12:00 UTC is meant) or an instant. drift_deg : [deg], any shape.

    Returns
    -------
    [d], shape of drift_deg.

    Raises
    ------
    ValueError : a drift that the sun doesn't make within a year from that date.

    Valid for: 1950-2050; a start near a solstice lets the tilt go and come back.

    Example
    -------
    >>> round(days_until_drift("2026-03-20", 1.0), 1)
    2.5

    Source: declination as in `position`, hour by hour.
    """
    drift = within("drift", drift_deg, 0, 47, "deg", "the noon tilt moves 46.9° in half a year")
    hours = np.arange(0, 366 * 24 + 1)
    declination = np.degrees(almanac(days_of(start_date) + hours / 24)[0])
    moved = np.maximum.accumulate(np.abs(declination - declination[0]))
    if np.any(drift > moved[-1]):
        raise ValueError(
            f"From {start_date} the noon tilt moves by {moved[-1]:.1f}° at most, "
            f"not by {np.max(drift):g}°; ask for less."
        )
    after = np.clip(np.searchsorted(moved, drift), 1, None)  # first hour at or past the drift
    share = (drift - moved[after - 1]) / (moved[after] - moved[after - 1])
    return plain((hours[after - 1] + share) / 24)


def retilt_calendar(
    latitude_deg: float,
    longitude_deg: float,
    year: int,
    band_deg: float,
    zone: tzinfo | None = None,
    session_deg: float = 0.7,
) -> tuple[TiltSetting, ...]:
    """List the settings of a year so that the noon aim is never off by more than a band.

    From 1 January each line is stretched for as long as the noon tilts of its days fit into
    twice the band; the tilt set is their middle.

    Parameters
    ----------
    latitude_deg, longitude_deg : the place [deg], north and east positive.
    year : 1950 to 2050. band_deg : largest error of the noon aim [deg], to each side.
    zone : the clock of the place; left out, whole hours of longitude without summer time.
    session_deg : the session's share of the aim budget [deg], for the hours beside noon.

    Returns
    -------
    lines without gap or overlap from 1 January to 31 December.

    Raises
    ------
    ValueError : a place off the globe, a year or band outside the limits.

    Valid for: a level axis along east-west. Another first day shifts all lines by some days.

    Example
    -------
    >>> len(retilt_calendar(38.0, -4.5, 2026, band_deg=1.0))
    43

    Source: the counts 83 / 43 / 29 for ±0.5 / 1.0 / 1.5° were recomputed with the full
    position algorithm.
    """
    lat, lon = float(latitude(latitude_deg)), float(longitude(longitude_deg))
    band = float(within("band", band_deg, 0.05, 10, "deg", "the date's share of the aim budget"))
    session = float(within("session share", session_deg, 0, 10, "deg", "0.7 is usual here"))
    number = float(within("year", year, 1950, 2050, "", "the sun formula is checked for these"))
    if number != int(number):
        raise ValueError(f"year is {year}; give a whole year, like 2026.")
    year = int(number)
    clock = zone or Zone(round(lon / 15))

    dates = np.arange(f"{year}-01-01", f"{year + 1}-01-01", dtype="datetime64[D]")
    noon_shift = _noon_shift(dates[0].item(), lon, clock)
    declination = np.degrees(almanac(noon_days(dates + noon_shift, lon))[0])
    tilt = np.asarray(noon_tilt_deg(lat, declination))
    sun_is_up = 90 - np.abs(lat - declination) > 0

    lines, start = [], 0
    for end in _line_ends(tilt, sun_is_up, 2 * band):
        span = slice(start, end)
        lines.append(
            _line(dates[span].tolist(), lat, lon, declination[span], tilt[span], clock, session)
        )
        start = end
    return tuple(lines)


def _noon_shift(day: date, lon: float, clock: tzinfo) -> np.timedelta64:
    """Days from the clock's date at solar noon to the sun's own date; 0 but at the date line."""
    shown = solar_noon(day, lon).astimezone(clock).date()
    return np.timedelta64((day - shown).days, "D")


def _line_ends(tilt: np.ndarray, sun_is_up: np.ndarray, width: float) -> list[int]:
    """Cut the days into runs whose tilts fit into a width and that don't mix night and day."""
    ends, start = [], 0
    low = high = tilt[0]
    for i in range(1, len(tilt)):
        low, high = min(low, tilt[i]), max(high, tilt[i])
        lit = bool(sun_is_up[i])
        if lit != sun_is_up[start] or (lit and high - low > width):
            ends.append(i)
            start, low, high = i, tilt[i], tilt[i]
    return [*ends, len(tilt)]


def _line(
    days: list[date],
    lat: float,
    lon: float,
    declination: np.ndarray,
    tilt: np.ndarray,
    clock: tzinfo,
    session: float,
) -> TiltSetting:
    def noon(day: date) -> float:
        shown: datetime = solar_noon(day, lon, clock)
        return clock_minutes(shown, clock)

    noons = {"noon_first_min": noon(days[0]), "noon_last_min": noon(days[-1])}
    if abs(lat - declination[0]) >= 90:
        unknown = float("nan")
        return TiltSetting(
            days[0], days[-1], unknown, "none", unknown, unknown, unknown, **noons,
            hours_each_side=0.0, hours_each_side_biased=0.0, bias_deg=0.0,
        )  # fmt: skip
    setting = float(tilt.max() + tilt.min()) / 2
    equator, pole = ("north", "south") if lat < 0 else ("south", "north")
    direction = "level" if round(abs(setting), 6) == 0 else equator if setting > 0 else pole
    half_day = np.asarray(day_length_h(lat, declination)) / 2
    aimed = np.minimum(hours_in_focus(declination, session), half_day)
    biased = np.minimum(hours_in_focus(declination, session, biased=True), half_day)
    summer = float(np.sign(declination.mean())) * (-1 if lat < 0 else 1)
    return TiltSetting(
        first=days[0],
        last=days[-1],
        tilt_deg=abs(setting),
        direction=direction,
        error_first_deg=float(tilt[0]) - setting,
        error_last_deg=float(tilt[-1]) - setting,
        largest_error_deg=float(np.abs(tilt - setting).max()),
        **noons,
        hours_each_side=float(aimed.min()),
        hours_each_side_biased=float(biased.min()),
        bias_deg=-summer * session,  # in summer the sun drifts toward the pole
    )
