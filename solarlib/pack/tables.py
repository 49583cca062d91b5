"""The tables of the pack, as rows of words: once for the page, once for the CSV file.

In: the parabola, the design's calendar, its warm-up. Out: heads and rows that the
pages and the CSV files share, so that they cannot disagree.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import ArrayLike

from solarlib import geometry, sun, units
from solarlib.pack.ink import MONTHS, day_text


@dataclass(frozen=True)
class Table:
    """A head and rows of words; `align` holds l or r for each column."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str

    def csv(self, note: str) -> str:
        """The table as comma-separated text; `note` becomes its first line.

        A cell that a spreadsheet would run as a formula gets an apostrophe in front.
        """
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow([plain_cell(f"# {note}")])
        for row in (self.head, *self.rows):
            writer.writerow([plain_cell(cell.replace("−", "-")) for cell in row])
        return out.getvalue()


def plain_cell(text: str) -> str:
    """Return a cell that no spreadsheet takes for a formula; numbers stay numbers."""
    risky = text[:1] in ("=", "+", "-", "@", "\t", "\r")
    return f"'{text}" if risky and not _is_number(text) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def mm(length: float, decimals: int = 1) -> str:
    """A length [m] in millimetres, as digits."""
    return f"{length * 1000:.{decimals}f}".replace("-", "−")


def inches(length: float) -> str:
    """A length [m] in inches to the nearest 1/32, without the unit."""
    return units.show_inches(length).removesuffix(" in")


def rib_rows(p: geometry.Parabola, backing: float) -> Table:
    """The points of half a rib every 20 mm and at the rim, in millimetres and inches."""
    points = geometry.rib_table(p, step=0.020, backing=backing)
    rows = [
        (mm(x), inches(x), mm(y), inches(y), f"{slope:.2f}", mm(r), mm(cut), mm(cut - y, 2))
        for x, y, slope, r, cut in zip(
            points.x,
            points.height,
            points.slope_deg,
            points.focal_distance,
            points.cut_height,
            strict=True,
        )
    ]
    head = ("x mm", "x in", "mirror y mm", "y in", "slope °", "to focus mm", "saw y mm")
    return Table((*head, "offset mm"), tuple(rows), "r" * 8)


def _clock(minutes: float) -> str:
    return units.show(minutes, "clock")


def _toward_equator_deg(one: sun.TiltSetting, latitude_deg: float) -> float:
    """The tilt set, positive toward the equator [deg]."""
    pole = "south" if latitude_deg < 0 else "north"
    return -one.tilt_deg if one.direction == pole else one.tilt_deg


def tilt_text(toward_equator_deg: float, latitude_deg: float) -> str:
    """Write a tilt as 14.6 S: degrees from looking straight up, and toward which side."""
    equator, pole = ("N", "S") if latitude_deg < 0 else ("S", "N")
    size = f"{abs(toward_equator_deg):.1f}"
    if size == "0.0":
        return "0.0 up"
    return f"{size} {equator if toward_equator_deg > 0 else pole}"


CALENDAR_HEAD = ("from", "to", "days", "noon tilt °", "session tilt °", "solar noon, clock",
                 "session, clock", "± min", "pin mm", "set on")  # fmt: skip


def calendar_rows(
    lines: Sequence[sun.TiltSetting],
    latitude_deg: float,
    longest_h: float = 6.0,
    pin: float = 0.100,
    full_dates: bool = False,
) -> Table:
    """The lines of the re-tilt calendar.

    Parameters
    ----------
    lines : from `sun.retilt_calendar`. longest_h : each side of noon [h], however long the sun
        stays in focus: what the pipe's overhang is made for. pin : length of the aim pin [m].
    full_dates : dates with their year, for the CSV file.
    """
    rows = []
    for one in lines:
        first, last = (
            (day.isoformat() if full_dates else day_text(day)[:-5]) for day in (one.first, one.last)
        )
        span = (first, last, str(one.days))
        if one.direction == "none":
            rows.append((*span, "no sun", *["–"] * 5, ""))
            continue
        noon_tilt = _toward_equator_deg(one, latitude_deg)
        half = min(one.hours_each_side_biased, longest_h) * 60
        shown = list(dict.fromkeys((_clock(one.noon_first_min), _clock(one.noon_last_min))))
        # when the clock changes within the line, the window is that of its first day
        changes = abs(one.noon_last_min - one.noon_first_min) > 30
        noons = [one.noon_first_min] if changes else [one.noon_first_min, one.noon_last_min]
        window = f"{_clock(max(noons) - half)}–{_clock(min(noons) + half)}{' †' if changes else ''}"
        most = np.radians(abs(one.bias_deg) + one.largest_error_deg)
        rows.append(
            (
                *span,
                tilt_text(noon_tilt, latitude_deg),
                tilt_text(noon_tilt + one.bias_deg, latitude_deg),
                "–".join(shown),
                window,
                f"{half:.0f}",
                f"{pin * 1000 * np.tan(most):.1f}",
                "",
            )
        )
    return Table(CALENDAR_HEAD, tuple(rows), "llrrrrrrrl")


def on_the_day_rows(latitude_deg: float, longitude_deg: float, year: int) -> Table:
    """Noon tilts for six days of every month, for a trough that is set on the day of use."""
    days = (1, 6, 11, 16, 21, 26)
    rows = []
    for month in range(1, 13):
        noons = [sun.solar_noon(date(year, month, day), longitude_deg) for day in days]
        needed = sun.noon_tilt_deg(latitude_deg, sun.declination_deg(noons))
        rows.append((MONTHS[month - 1], *(tilt_text(float(t), latitude_deg) for t in needed)))
    return Table(("", *(f"day {day}" for day in days)), tuple(rows), "l" + "r" * len(days))


def hourly_rows(latitude_deg: float, longitude_deg: float, year: int) -> Table:
    """Tilts of a north-south trough through the day, on the 21st of every month."""
    hours = np.arange(-4, 5)
    rows = []
    for month in range(1, 13):
        noon = sun.solar_noon(date(year, month, 21), longitude_deg)
        angles = sun.trough_angles(
            latitude_deg, sun.declination_deg(noon), 15.0 * hours, axis="north-south"
        )
        cells = []
        for tilt, lit in zip(angles.tilt_deg, angles.sun_is_up, strict=True):
            side = "W" if tilt > 0 else "E"
            up = abs(tilt) < 0.05
            cells.append(("0.0 up" if up else f"{abs(tilt):.1f} {side}") if lit else "–")
        rows.append((MONTHS[month - 1], *cells))
    head = ("21st", *(f"{h:+d} h".replace("-", "−") if h else "noon" for h in hours))
    return Table(head, tuple(rows), "l" + "r" * len(hours))


def warm_up_rows(
    seconds: ArrayLike, low_c: ArrayLike, median_c: ArrayLike, high_c: ArrayLike
) -> Table:
    """Water temperatures every 15 minutes: the early, middle and late course of the band."""
    time = np.asarray(seconds, float)
    minutes = np.arange(0, time[-1] / 60 + 1e-6, 15)
    courses = [np.asarray(course, float) for course in (low_c, median_c, high_c)]
    columns = [np.interp(minutes * 60, time, course) for course in courses]
    rows = [
        (f"{m:.0f}", *(f"{value:.1f}" for value in values), "")
        for m, *values in zip(minutes, *columns, strict=True)
    ]
    return Table(("min", "5 % °C", "middle °C", "95 % °C", "yours °C"), tuple(rows), "rrrrl")
