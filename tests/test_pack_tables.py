"""Tables of the build pack and the board they are cut from.

Outside authorities: PyEphem for the calendar; published points of the rib table.
"""

from __future__ import annotations

import csv
import io
import itertools
from datetime import date, datetime, timedelta

import ephem
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlib import geometry, sun
from solarlib.pack import tables
from solarlib.pack.nesting import Piece, nest

LADLE = geometry.Parabola(focal_length=0.170, aperture_width=0.640)


# --- tables ---------------------------------------------------------------------------------------
def test_rib_table_has_the_published_points():
    """Course part B: x -> y of the demo rib in millimetres, and depth 150.6."""
    table = tables.rib_rows(LADLE, backing=0.0)
    y = {float(row[0]): float(row[2]) for row in table.rows}
    assert y == {0: 0.0, 20: 0.6, 40: 2.4, 60: 5.3, 80: 9.4, 100: 14.7, 120: 21.2, 140: 28.8,
                 160: 37.6, 180: 47.6, 200: 58.8, 220: 71.2, 240: 84.7, 260: 99.4, 280: 115.3,
                 300: 132.4, 320: 150.6}  # fmt: skip
    slope = {float(row[0]): float(row[4]) for row in table.rows}
    assert (slope[100], slope[200], slope[320]) == (16.39, 30.47, 43.26)
    focus = {float(row[0]): float(row[5]) for row in table.rows}
    assert (focus[0], focus[160], focus[320]) == (170.0, 207.6, 320.6)


def test_rib_table_inches_are_the_nearest_thirty_second():
    for row in tables.rib_rows(LADLE, backing=0.0).rows:
        for metric, imperial in ((row[0], row[1]), (row[2], row[3])):
            whole = 0.0
            for part in imperial.split():
                top, _, bottom = part.partition("/")
                whole += float(top) / float(bottom or 1)
            assert abs(float(metric) / 25.4 - whole) <= 1 / 64 + 0.05 / 25.4 + 1e-9
            assert (whole * 32) % 1 == 0


def test_spreadsheet_formulas_are_disarmed():
    table = tables.Table(("a", "b"), (("=1+1", "-3.5"), ("@x", "+cmd"), ("−2", "ok")), "ll")
    rows = list(csv.reader(io.StringIO(table.csv("note"))))
    assert rows[2:] == [["'=1+1", "-3.5"], ["'@x", "'+cmd"], ["-2", "ok"]]


PLACES = [  # latitude, longitude, zone
    (38.0, -4.5, 0), (-34.0, 18.5, 2), (0.0, 37.0, 3), (0.5, -78.0, -5), (-33.9, 151.2, 10),
    (59.9, 10.7, 1), (-54.8, -68.3, -3), (21.3, -157.9, -10), (-17.7, 178.0, 12), (35.7, 139.7, 9),
]  # fmt: skip
PRINTED = 0.05  # the tables print tenths of a degree
TILT_TOLERANCE = 0.05  # deg
NOON_TOLERANCE = 0.6  # min: printed to the minute, the formula is 0.05 min off


def noon_by_ephem(latitude, longitude, day, offset):
    """Clock minutes of the sun's transit on a date of the local clock, and the noon tilt needed."""
    place = ephem.Observer()
    place.lat, place.lon, place.pressure = str(latitude), str(longitude), 0
    midnight = datetime(day.year, day.month, day.day) - timedelta(hours=offset)
    place.date = ephem.Date(midnight)
    body = ephem.Sun()
    transit = place.next_transit(body)
    place.date = transit
    body.compute(place)
    needed = (latitude - float(np.degrees(body.dec))) * (-1 if latitude < 0 else 1)
    return (transit.datetime() - midnight) / timedelta(minutes=1), needed


@pytest.mark.parametrize("year", [2026, 2027, 2028])  # 2028 is a leap year
@pytest.mark.parametrize("place", PLACES)
def test_calendar_agrees_with_pyephem(place, year):
    latitude, longitude, offset = place
    band, equator = 0.5, "N" if latitude < 0 else "S"
    lines = sun.retilt_calendar(latitude, longitude, year, band, zone=sun.Zone(offset))
    table = tables.calendar_rows(lines, latitude, full_dates=True)
    tomorrow = date(year, 1, 1)
    for row, line in zip(table.rows, lines, strict=True):
        first, last = date.fromisoformat(row[0]), date.fromisoformat(row[1])
        assert first == tomorrow and int(row[2]) == (last - first).days + 1
        tomorrow = last + timedelta(days=1)
        days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
        true = [noon_by_ephem(latitude, longitude, day, offset) for day in days]
        needed = [tilt for _, tilt in true]
        size, side = row[3].split()
        tilt = float(size) if side in (equator, "up") else -float(size)
        middle = (max(needed) + min(needed)) / 2
        exact = line.tilt_deg * (
            1 if line.direction == {"N": "north", "S": "south"}[equator] else -1
        )
        assert exact == pytest.approx(middle, abs=TILT_TOLERANCE)
        assert tilt == pytest.approx(middle, abs=TILT_TOLERANCE + PRINTED)
        assert max(abs(one - exact) for one in needed) <= band + TILT_TOLERANCE
        shown = [int(t[:2]) * 60 + int(t[3:]) for t in row[5].split("–")]
        assert shown[0] == pytest.approx(true[0][0], abs=NOON_TOLERANCE)
        assert shown[-1] == pytest.approx(true[-1][0], abs=NOON_TOLERANCE)
    assert tomorrow == date(year + 1, 1, 1)


# --- nesting --------------------------------------------------------------------------------------
@given(
    st.lists(st.tuples(st.floats(0.02, 1.0), st.floats(0.02, 0.6), st.integers(1, 4)), max_size=6),
    st.floats(0.0, 0.005),
)
def test_nothing_overlaps_on_the_board(sizes, kerf):
    pieces = [Piece(f"p{i}", *size) for i, size in enumerate(sizes)]
    board = nest(pieces, 1.2, 0.8, kerf)
    assert len(board.placed) + len(board.missing) == sum(p.count for p in pieces)
    for one in board.placed:
        assert one.x >= 0 and one.x + one.length <= 1.2 + 1e-9
        assert one.y >= 0 and one.y + one.width <= 0.8 + 1e-9
    for a, b in itertools.combinations(board.placed, 2):
        apart_x = max(a.x, b.x) - min(a.x + a.length, b.x + b.length)
        apart_y = max(a.y, b.y) - min(a.y + a.width, b.y + b.width)
        assert max(apart_x, apart_y) >= kerf - 1e-9
