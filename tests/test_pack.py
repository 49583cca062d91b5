"""The build pack is read back as a stranger would: lengths with a PDF library, words as text.

Outside authorities: the parabola y = x²/(4f) by plain arithmetic; ISO 216 and
ANSI Y14.1 paper sizes; PyEphem and pvlib's SPA for the calendar; a Monte-Carlo
table for the cost of a stretched print.
"""

from __future__ import annotations

import csv
import io
import itertools
from datetime import date, datetime, timedelta
from xml.etree import ElementTree

import ephem
import numpy as np
import pymupdf
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlib import geometry, sun
from solarlib.pack import drawing, paper, tables, templates, tilepage
from solarlib.pack.files import CONTENTS, write_files
from solarlib.pack.nesting import Piece, nest

POINT = 25.4 / 72  # mm
BAR_TOLERANCE = 0.05  # mm, course.md G5 style: template lengths
SEAM_TOLERANCE = 0.1  # mm
LADLE = geometry.Parabola(focal_length=0.170, aperture_width=0.640)
DAY = date(2026, 3, 1)
SIZES_MM = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}  # ISO 216; 11 x 8.5 in


def identity(learner: str = "ilvane-07", gates: int = 0) -> paper.Identity:
    return paper.Identity(learner, "The Ladle", "3", "3f2a91c4", DAY, gates)


def opened(content: bytes) -> pymupdf.Document:
    return pymupdf.open(stream=content, filetype="pdf")


def template_pdf(piece: drawing.Drawing, size: str = "a4") -> tuple[bytes, list[drawing.Tile]]:
    cut = drawing.tiles(piece, paper.WINDOW, paper.OVERLAP)
    pages = paper.Paper(size, identity(), len(cut))
    for tile in cut:
        tilepage.tile_page(pages, tile, "a note")
    return pages.bytes(), cut


def strokes(page: pymupdf.Page) -> list[np.ndarray]:
    """Every stroked line of a page as points [mm from the top left of the sheet]."""
    found = []
    for path in page.get_drawings():
        points: list[tuple[float, float]] = []
        for item in path["items"]:
            if item[0] == "l":
                if not points or np.hypot(*(np.array(points[-1]) - item[1])) > 1e-3:
                    points.append(tuple(item[1]))
                points.append(tuple(item[2]))
            elif item[0] == "re":
                r = item[1]
                points += [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1), (r.x0, r.y0)]
        if path.get("closePath") and points:
            points.append(points[0])
        if points:
            found.append(np.array(points) * POINT)
    return found


def border_corner(page: pymupdf.Page) -> np.ndarray:
    """Top left of the border on the sheet [mm], found by its stated size."""
    for points in strokes(page):
        size = np.ptp(points, axis=0)
        if np.allclose(size, (254.0, 186.0), atol=BAR_TOLERANCE) and len(points) == 5:
            return points.min(axis=0)
    raise AssertionError("no border of 254 x 186 mm on this page")


def straight(page: pymupdf.Page, length: float, axis: int) -> int:
    """How many straight lines of a length [mm] run along an axis (0 across, 1 down)."""
    count = 0
    for points in strokes(page):
        size = np.ptp(points, axis=0)
        count += abs(size[axis] - length) < BAR_TOLERANCE and size[1 - axis] < 0.01
    return count


# --- every page -----------------------------------------------------------------------------------
@pytest.mark.parametrize("size", ["a4", "letter"])
def test_template_pages_carry_bars_square_and_border_of_true_size(size: str) -> None:
    content, cut = template_pdf(templates.half_rib(LADLE), size)
    document = opened(content)
    assert len(document) == len(cut) == 2  # course: a half rib needs 2 landscape tiles
    reader = pypdf.PdfReader(io.BytesIO(content))
    for page, other in zip(document, reader.pages, strict=True):
        box = [float(v) * POINT for v in other.mediabox]
        assert box == pytest.approx([0, 0, *SIZES_MM[size]], abs=0.01)
        corner = border_corner(page)
        margins = corner, np.array(SIZES_MM[size]) - corner - (254.0, 186.0)
        assert min(np.min(m) for m in margins) > 11.9
        assert straight(page, 200.0, 0) == 1
        assert straight(page, 150.0, 1) == 1
        squares = [p for p in strokes(page) if np.allclose(np.ptp(p, axis=0), 20.0, atol=0.05)]
        assert len(squares) == 1
        words = page.get_text()
        for phrase in ("200 mm across", "150 mm down", "20 mm", "border 254 × 186 mm", "this way",
                       "ilvane-07", "version 3", "1 Mar 2026", "7 in", "sheet"):  # fmt: skip
            assert phrase in words, phrase


def curve_on_sheet(page: pymupdf.Page) -> np.ndarray:
    """The saw line: the polyline with the most points that bends smoothly."""
    return max(strokes(page), key=len)


def test_saw_line_is_the_parabola_on_both_papers() -> None:
    for size in SIZES_MM:
        content, cut = template_pdf(templates.half_rib(LADLE), size)
        for page, tile in zip(opened(content), cut, strict=True):
            sheet = curve_on_sheet(page) - border_corner(page)
            x = sheet[:, 0] + tile.left
            y = paper.WINDOW[1] + tile.bottom - sheet[:, 1]
            assert len(x) > 100
            assert x.max() == pytest.approx(320.0, abs=BAR_TOLERANCE)
            assert y.max() == pytest.approx(150.59, abs=BAR_TOLERANCE)  # 640²/(16·170)
            assert np.abs(y - x**2 / (4 * 170.0)).max() < BAR_TOLERANCE


def test_saw_line_under_a_backing_is_the_parallel_curve() -> None:
    """A 6 mm backing: every sawn point lies 6 mm (square to the mirror) off the parabola."""
    piece = templates.half_rib(LADLE, backing=0.006)
    x, y = np.array(piece.lines()[0].points).T
    dense = np.linspace(-330, 330, 200_001)
    for px, py in list(zip(x, y, strict=True))[::20]:
        # the rib is measured from its own lowest point, 6 mm under the mirror's vertex
        gap = np.hypot(dense - px, dense**2 / 680.0 - (py - 6.0)).min()
        assert gap == pytest.approx(6.0, abs=0.01)


def test_straight_pieces_of_the_saw_line_stay_on_the_curve() -> None:
    for focal in (0.090, 0.170, 0.500):
        p = geometry.Parabola(focal, 0.900)
        x, y = np.array(templates.half_rib(p).lines()[0].points).T
        middle_x, middle_y = (x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2
        assert np.abs(middle_y - middle_x**2 / (4000 * focal)).max() < BAR_TOLERANCE


@pytest.mark.parametrize(
    "p", [LADLE, geometry.Parabola(0.090, 0.900), geometry.Parabola(0.3, 0.3)]
)
def test_tiles_join_cross_on_cross(p: geometry.Parabola) -> None:
    """Lay neighbours' crosses on each other: the saw line then runs on within 0.1 mm."""
    content, cut = template_pdf(templates.half_rib(p))
    document = opened(content)
    crosses: dict[str, list[tuple[int, np.ndarray]]] = {}
    for number, (page, tile) in enumerate(zip(document, cut, strict=True)):
        corner = border_corner(page)
        lines = [q - corner for q in strokes(page) if len(q) == 2]
        for x, y, name in drawing.seam_crosses(tile, paper.WINDOW, paper.OVERLAP):
            at = np.array([x - tile.left, paper.WINDOW[1] + tile.bottom - y])
            near = [q for q in lines if np.abs(q.mean(axis=0) - at).max() < 0.05
                    and abs(np.hypot(*(q[1] - q[0])) - 8) < 0.05]  # fmt: skip
            assert len(near) == 2, f"cross {name} is not drawn on page {number + 1}"
            assert name in page.get_text()
            crosses.setdefault(name, []).append((number, near[0].mean(axis=0)))
    assert all(len(pair) == 2 for pair in crosses.values())
    by_seam: dict[str, list[str]] = {}
    for name in crosses:
        by_seam.setdefault(name.split(".")[0], []).append(name)
    assert all(len(names) == 2 for names in by_seam.values())
    for (a, at_a), (b, at_b) in crosses.values():
        curve_a = curve_on_sheet(document[a]) - border_corner(document[a]) - at_a
        curve_b = curve_on_sheet(document[b]) - border_corner(document[b]) - at_b
        assert np.abs(curve_a - curve_b).max() < SEAM_TOLERANCE


def test_every_point_of_a_piece_is_on_some_sheet() -> None:
    for p in (LADLE, geometry.Parabola(0.090, 0.900), geometry.Parabola(0.5, 0.3)):
        for piece in (templates.half_rib(p), templates.bracket(p, 0.022, 0.018)):
            cut = drawing.tiles(piece, paper.WINDOW, paper.OVERLAP)
            points = np.concatenate([np.array(one.points) for one in piece.lines()])
            shown = np.zeros(len(points), bool)
            for tile in cut:
                low = np.array([tile.left, tile.bottom])
                shown |= ((points >= low) & (points <= low + paper.WINDOW)).all(axis=1)
            assert shown.all(), piece.name


# --- SVG and DXF ----------------------------------------------------------------------------------
def svg_lines(text: str) -> tuple[float, float, list[np.ndarray]]:
    root = ElementTree.fromstring(text)
    width, height = (float(root.attrib[k].removesuffix("mm")) for k in ("width", "height"))
    assert root.attrib["viewBox"] == f"0 0 {width:.4f} {height:.4f}"
    lines = []
    for one in root.iter():
        if one.tag.endswith(("polyline", "polygon")):
            lines.append(np.array([[float(v) for v in q.split(",")]
                                   for q in one.attrib["points"].split()]))  # fmt: skip
    return width, height, lines


def test_svg_and_pdf_have_the_same_coordinates() -> None:
    piece = templates.half_rib(LADLE)
    width, height, lines = svg_lines(drawing.svg(piece))
    assert (width, height) == pytest.approx((345.0, 180.588), abs=0.001)
    curve = max(lines, key=len)
    content, cut = template_pdf(piece)
    for page, tile in zip(opened(content), cut, strict=True):
        sheet = curve_on_sheet(page) - border_corner(page)
        on_piece = np.c_[sheet[:, 0] + tile.left, paper.WINDOW[1] + tile.bottom - sheet[:, 1]]
        from_svg = np.c_[curve[:, 0] + piece.left, height - curve[:, 1] + piece.bottom]
        assert np.abs(on_piece - from_svg).max() < 0.02


def test_dxf_has_the_same_coordinates_in_millimetres() -> None:
    ezdxf = pytest.importorskip("ezdxf")
    piece = templates.bracket(LADLE, 0.022, 0.018)
    document = ezdxf.read(io.StringIO(drawing.dxf(piece).decode("utf-8")))
    assert document.header["$INSUNITS"] == 4
    found = [np.array(q.get_points("xy")) for q in document.modelspace().query("LWPOLYLINE")]
    for one, want in zip(found, piece.lines(), strict=True):
        assert np.abs(one - np.array(want.points)).max() < 1e-6
    assert drawing.dxf(piece) == drawing.dxf(piece)


def test_svg_survives_a_hostile_note() -> None:
    text = drawing.svg(templates.half_rib(LADLE), note="</desc><script>x</script>&\"'")
    root = ElementTree.fromstring(text)
    assert not [one for one in root.iter() if one.tag.endswith("script")]


# --- the bracket ----------------------------------------------------------------------------------
def test_bracket_holds_pipe_at_focus_and_leaves_the_gap_when_moved() -> None:
    """Pipe 22 mm, 18 mm air, ±15 mm: the wood stays 18 mm off the pipe wherever it is set."""
    piece = templates.bracket(LADLE, 0.022, 0.018)
    opening = np.array(piece.lines()[1].points)
    for shift in (-15.0, 0.0, 15.0):
        gap = np.hypot(opening[:, 0], opening[:, 1] - 170.0 - shift).min() - 11.0
        assert gap >= 18.0 - 0.01
    assert piece.top + 30.0 == pytest.approx(260.0, abs=0.5)  # course cut list: 120 x 260
    assert np.ptp(np.array(piece.lines()[0].points)[:, 0]) == pytest.approx(118.0, abs=2.5)


# --- tables ---------------------------------------------------------------------------------------
def test_rib_table_has_the_published_points() -> None:
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


def test_rib_table_inches_are_the_nearest_thirty_second() -> None:
    for row in tables.rib_rows(LADLE, backing=0.0).rows:
        for metric, imperial in ((row[0], row[1]), (row[2], row[3])):
            whole = 0.0
            for part in imperial.split():
                top, _, bottom = part.partition("/")
                whole += float(top) / float(bottom or 1)
            assert abs(float(metric) / 25.4 - whole) <= 1 / 64 + 0.05 / 25.4 + 1e-9
            assert (whole * 32) % 1 == 0


def test_spreadsheet_formulas_are_disarmed() -> None:
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


def noon_by_ephem(latitude: float, longitude: float, day: date, offset: int) -> tuple[float, float]:
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
def test_calendar_agrees_with_pyephem(place: tuple[float, float, int], year: int) -> None:
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
        exact = line.tilt_deg * (1 if line.direction == {"N": "north", "S": "south"}[equator] else -1)
        assert exact == pytest.approx(middle, abs=TILT_TOLERANCE)
        assert tilt == pytest.approx(middle, abs=TILT_TOLERANCE + PRINTED)
        assert max(abs(one - exact) for one in needed) <= band + TILT_TOLERANCE
        shown = [int(t[:2]) * 60 + int(t[3:]) for t in row[5].split("–")]
        assert shown[0] == pytest.approx(true[0][0], abs=NOON_TOLERANCE)
        assert shown[-1] == pytest.approx(true[-1][0], abs=NOON_TOLERANCE)
    assert tomorrow == date(year + 1, 1, 1)


# --- nesting --------------------------------------------------------------------------------------
@given(
    st.lists(
        st.tuples(st.floats(0.02, 1.0), st.floats(0.02, 0.6), st.integers(1, 4)), max_size=6
    ),
    st.floats(0.0, 0.005),
)
def test_nothing_overlaps_on_the_board(sizes: list[tuple[float, float, int]], kerf: float) -> None:
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


# --- files ----------------------------------------------------------------------------------------
def test_files_changed_by_hand_are_kept(tmp_path) -> None:
    assert write_files(tmp_path, {"a.csv": b"one", "b.pdf": b"two"}) == []
    (tmp_path / "a.csv").write_text("my own prices")
    kept = write_files(tmp_path, {"a.csv": b"three", "b.pdf": b"four"})
    assert len(kept) == 1 and "a.kept-1.csv" in kept[0]
    assert (tmp_path / "a.kept-1.csv").read_text() == "my own prices"
    assert (tmp_path / "a.csv").read_bytes() == b"three"
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "a.csv", "a.kept-1.csv", "b.pdf", CONTENTS]  # fmt: skip
