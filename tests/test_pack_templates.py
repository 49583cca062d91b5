"""The templates come out of the printer true to size, on both papers, sheet after sheet.

Outside authorities: the parabola y = x²/(4f) by plain arithmetic; ISO 216 and
ANSI Y14.1 paper sizes.
"""

from __future__ import annotations

import io
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pypdf
import pytest

from solarlib import geometry
from solarlib.design import demo, evaluate
from solarlib.pack import drawing, paper, templates, tilepage
from tests.pdf_reading import (
    BAR_TOLERANCE,
    DAY,
    POINT,
    border_corner,
    opened,
    outside_border,
    straight,
    strokes,
)

SEAM_TOLERANCE = 0.1  # mm
LADLE = geometry.Parabola(focal_length=0.170, aperture_width=0.640)
SIZES_MM = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}  # ISO 216; 11 x 8.5 in


def identity(learner="ilvane-07", gates=0):
    return paper.Identity(learner, "The Ladle", "3", "3f2a91c4", DAY, gates)


def template_pdf(piece, size="a4"):
    cut = drawing.tiles(piece, paper.WINDOW, paper.OVERLAP)
    pages = paper.Paper(size, identity(), len(cut))
    for tile in cut:
        tilepage.tile_page(pages, tile, "a note")
    return pages.bytes(), cut


# --- every page -----------------------------------------------------------------------------------
@pytest.mark.parametrize("size", ["a4", "letter"])
def test_template_pages_carry_bars_square_and_border_of_true_size(size):
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


def curve_on_sheet(page):
    """The saw line: the polyline with the most points that bends smoothly."""
    return max(strokes(page), key=len)


def test_saw_line_is_the_parabola_on_both_papers():
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


@pytest.mark.parametrize("backing", [0.0, 0.006])
def test_full_rib_is_the_half_rib_and_its_mirror_image(backing):
    half, full = templates.half_rib(LADLE, backing=backing), templates.full_rib(LADLE, backing=backing)
    curve = np.array(full.lines()[0].points)
    assert np.allclose(curve[::-1] * (-1, 1), curve)
    right = np.array([point for point in half.lines()[0].points if point[0] >= 0])
    assert np.allclose(curve[curve[:, 0] > 0], right)
    assert (full.width, full.height) == pytest.approx((660.0, half.height), abs=0.001)
    holes = sorted(one.x for one in full.shapes if isinstance(one, drawing.Circle))
    assert holes == [-160.0, -40.0, 40.0, 160.0]
    content, cut = template_pdf(full)
    assert len(cut) == 3  # course: a full rib needs 3 landscape tiles
    if backing:
        return
    for page, tile in zip(opened(content), cut, strict=True):
        sheet = curve_on_sheet(page) - border_corner(page)
        x, y = sheet[:, 0] + tile.left, paper.WINDOW[1] + tile.bottom - sheet[:, 1]
        assert np.abs(y - x**2 / (4 * 170.0)).max() < BAR_TOLERANCE


def test_saw_line_under_a_backing_is_the_parallel_curve():
    """A 6 mm backing: every sawn point lies 6 mm (square to the mirror) off the parabola."""
    piece = templates.half_rib(LADLE, backing=0.006)
    x, y = np.array(piece.lines()[0].points).T
    dense = np.linspace(-330, 330, 200_001)
    for px, py in list(zip(x, y, strict=True))[::20]:
        # the rib is measured from its own lowest point, 6 mm under the mirror's vertex
        gap = np.hypot(dense - px, dense**2 / 680.0 - (py - 6.0)).min()
        assert gap == pytest.approx(6.0, abs=0.01)


def test_wood_reaches_under_the_rim_of_a_backed_mirror():
    """Edge slope 43.26°: 6 mm under the mirror's rim lies 6 sin(43.26°) = 4.11 mm farther out."""
    x = np.array(templates.half_rib(LADLE, backing=0.006).lines()[0].points)[:, 0]
    assert x.max() == pytest.approx(320.0 + 4.11, abs=0.01)


def test_straight_pieces_of_the_saw_line_stay_on_the_curve():
    for focal in (0.090, 0.170, 0.500):
        p = geometry.Parabola(focal, 0.900)
        x, y = np.array(templates.half_rib(p).lines()[0].points).T
        middle_x, middle_y = (x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2
        assert np.abs(middle_y - middle_x**2 / (4000 * focal)).max() < BAR_TOLERANCE


@pytest.mark.parametrize("p", [LADLE, geometry.Parabola(0.090, 0.900), geometry.Parabola(0.3, 0.3)])
def test_tiles_join_cross_on_cross(p):
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


WIDE = geometry.Parabola(0.170, 0.700)  # 720 × 210 mm of rib on sheets of 254 × 181 mm
DEEP = geometry.Parabola(0.090, 0.900)


@pytest.mark.parametrize("p", [LADLE, WIDE, DEEP, geometry.Parabola(0.5, 0.3)])
@pytest.mark.parametrize("backing", [0.0, 0.012])
def test_all_that_is_sawn_or_drilled_is_on_some_sheet(p, backing):
    pieces = (templates.half_rib(p, backing), templates.full_rib(p, backing),
              templates.bracket(p, 0.022, 0.018), templates.bracket(p, 0.042, 0.1))  # fmt: skip
    for piece in pieces:
        cut = drawing.tiles(piece, paper.WINDOW, paper.OVERLAP)
        holes = [(one.x, one.y) for one in piece.shapes
                 if isinstance(one, drawing.Circle) and one.stroke == "cut"]  # fmt: skip
        lines = [piece.lines()[0]] if "rib" in piece.name else [
            one for one in piece.lines() if one.stroke == "cut"]  # fmt: skip
        points = np.concatenate([holes, *(np.array(one.points) for one in lines)])
        shown = np.zeros(len(points), bool)
        for tile in cut:
            inside = points - (tile.left, tile.bottom)
            shown |= ((inside > -1e-6) & (inside < np.array(paper.WINDOW) + 1e-6)).all(axis=1)
        assert shown.all(), piece.name


def test_a_sheet_without_anything_to_saw_is_not_printed():
    """Opening 700 mm: columns part at x = 233 or more, where the curve is 233²/680 = 80 mm high,
    and rows at a height of about 10 mm. So the lower right sheet would show a straight edge only.
    """
    content, cut = template_pdf(templates.half_rib(WIDE))
    assert [tile.name for tile in cut] == ["A1", "B1", "A2"]
    document = opened(content)
    for tile, page in zip(cut, document, strict=True):
        assert f"sheet {tile.name} of 3: A1 B1 A2" in " ".join(page.get_text().split())
    assert "end: square down to the lower edge" in document[1].get_text()


def test_the_sheet_under_the_ring_plate_is_not_printed():
    """30 mm of air: wood 142 mm wide and a plate 130 mm wide beside it need two columns; below
    the plate, 52 mm high at the focus, there is nothing."""
    piece = templates.bracket(LADLE, 0.022, 0.030)
    assert piece.width == pytest.approx(142 + 6 + 130)
    cut = drawing.tiles(piece, paper.WINDOW, paper.OVERLAP)
    assert (cut[0].columns, cut[0].rows) == (2, 2)
    assert [tile.name for tile in cut] == ["A1", "B1", "A2"]


@pytest.mark.parametrize("p", [WIDE, DEEP, geometry.Parabola(0.17, 0.9)])
@pytest.mark.parametrize("make", [templates.half_rib, templates.full_rib])
def test_every_sheet_printed_has_something_to_saw_and_hangs_together(p, make):
    piece = make(p)
    content, cut = template_pdf(piece)
    document = opened(content)
    assert len(cut) < cut[0].columns * cut[0].rows or (make is templates.full_rib and p is WIDE)
    for page, tile in zip(document, cut, strict=True):
        curve = curve_on_sheet(page) - border_corner(page)
        holes = [(s.x - tile.left, paper.WINDOW[1] + tile.bottom - s.y) for s in piece.shapes
                 if isinstance(s, drawing.Circle)]  # fmt: skip
        seen = [(0 <= x <= 254) & (0 <= y <= 181) for x, y in [*curve, *holes]]
        assert any(seen), tile.name
    reached, more = {cut[0].name}, True
    seams = [{t.name for t in cut if name in
              {n for *_, n in drawing.seam_crosses(t, paper.WINDOW, paper.OVERLAP)}}
             for t in cut for *_, name in drawing.seam_crosses(t, paper.WINDOW, paper.OVERLAP)]  # fmt: skip
    while more:  # from one sheet over its seams to the next
        more = [seam - reached for seam in seams if seam & reached and seam - reached]
        reached |= set().union(*more)
    assert reached == {tile.name for tile in cut}


@pytest.mark.parametrize("p", [LADLE, WIDE, DEEP])
def test_the_focus_is_told_on_a_sheet_that_is_printed(p):
    """A deep rib has its focus in the air, perhaps on a sheet that nobody prints."""
    piece = templates.half_rib(p)
    content, _ = template_pdf(piece)
    above = 1000 * float(p.focal_length)
    shown = {"above the vertex": above, "above rim height": above - 1000 * float(p.depth)}
    text = " ".join(" ".join(page.get_text() for page in opened(content)).split())
    assert any(f"FOCUS: on the centre line, {mm:.1f} mm {words}" in text
               for words, mm in shown.items())  # fmt: skip


# --- SVG and DXF ----------------------------------------------------------------------------------
def svg_lines(text):
    root = ElementTree.fromstring(text)
    width, height = (float(root.attrib[k].removesuffix("mm")) for k in ("width", "height"))
    assert root.attrib["viewBox"] == f"0 0 {width:.4f} {height:.4f}"
    lines = []
    for one in root.iter():
        if one.tag.endswith(("polyline", "polygon")):
            lines.append(np.array([[float(v) for v in q.split(",")]
                                   for q in one.attrib["points"].split()]))  # fmt: skip
    return width, height, lines


def test_svg_and_pdf_have_the_same_coordinates():
    piece = templates.half_rib(LADLE)
    width, height, lines = svg_lines(drawing.svg(piece))
    assert (width, height) == pytest.approx((340.0, 180.588), abs=0.001)
    curve = max(lines, key=len)
    content, cut = template_pdf(piece)
    for page, tile in zip(opened(content), cut, strict=True):
        sheet = curve_on_sheet(page) - border_corner(page)
        on_piece = np.c_[sheet[:, 0] + tile.left, paper.WINDOW[1] + tile.bottom - sheet[:, 1]]
        from_svg = np.c_[curve[:, 0] + piece.left, height - curve[:, 1] + piece.bottom]
        assert np.abs(on_piece - from_svg).max() < 0.02


def test_dxf_has_the_same_coordinates_in_millimetres():
    ezdxf = pytest.importorskip("ezdxf")
    piece = templates.bracket(LADLE, 0.022, 0.018)
    document = ezdxf.read(io.StringIO(drawing.dxf(piece).decode("utf-8")))
    assert document.header["$INSUNITS"] == 4
    found = [np.array(q.get_points("xy")) for q in document.modelspace().query("LWPOLYLINE")]
    for one, want in zip(found, piece.lines(), strict=True):
        assert np.abs(one - np.array(want.points)).max() < 1e-6
    assert drawing.dxf(piece) == drawing.dxf(piece)


def test_svg_survives_a_hostile_note():
    text = drawing.svg(templates.half_rib(LADLE), note="</desc><script>x</script>&\"'")
    root = ElementTree.fromstring(text)
    assert not [one for one in root.iter() if one.tag.endswith("script")]


# --- the bracket ----------------------------------------------------------------------------------
@pytest.mark.parametrize(("diameter", "gap"), [(0.008, 0.0), (0.022, 0.018), (0.042, 0.1)])
def test_bracket_is_drawn_as_the_cut_list_says(diameter, gap):
    design = replace(demo(), tube_diameter=diameter, tube_wall=0.0006, wood_gap=gap)
    parts = {part.name: part for part in evaluate(design).cut_list}
    piece = templates.bracket(LADLE, diameter, gap)
    boxes = [np.ptp(np.array(one.points), axis=0) for one in piece.lines() if len(one.points) == 4]
    for name, size in (("end bracket", boxes[0]), ("ring plate", boxes[1])):
        part = sorted((parts[name].length * 1000, parts[name].width * 1000))
        assert sorted(size) == pytest.approx(part, abs=0.01), name


def test_bracket_holds_pipe_at_focus_and_leaves_the_gap_when_moved():
    """Pipe 22 mm, 18 mm air, ±15 mm: the wood stays 18 mm off the pipe wherever it is set."""
    piece = templates.bracket(LADLE, 0.022, 0.018)
    opening = np.array(piece.lines()[1].points)
    for shift in (-15.0, 0.0, 15.0):
        gap = np.hypot(opening[:, 0], opening[:, 1] - 170.0 - shift).min() - 11.0
        assert gap >= 18.0 - 0.01
    assert piece.top + 30.0 == pytest.approx(260.0, abs=0.5)  # course cut list: 120 x 260
    assert np.ptp(np.array(piece.lines()[0].points)[:, 0]) == pytest.approx(118.0, abs=2.5)


# --- names that people type ---------------------------------------------------------------------
HOSTILE = [
    "x" * 300, "{nb}", "a\nb\tc\x00d", "</text><script>", "=HYPERLINK(1)", "../../etc", "名前 🚀",
    "עברית abc", "%s %n \\", "\u202egnp.exe", "**bold** __u__", "",
]  # fmt: skip


@pytest.mark.parametrize("learner", HOSTILE)
def test_hostile_names_only_print_as_words(learner):
    who = paper.Identity(learner, learner or "t", learner or "1", "00000000", DAY, 1)
    pages = paper.Paper("a4", who, 2)
    pages.new_page()
    pages.new_page()
    document = opened(pages.bytes())
    assert len(document) == 2
    assert outside_border(document) == []
    text = document[1].get_text()
    assert "page 2 of 2" in text and "NOT CLEARED: 1 item" in text
    assert "design 00000000" in text or len(learner) > 100
    line = [b for b in document[1].get_text("words") if b[1] > (12 + 181) / POINT]
    assert len({round(b[3]) for b in line}) == 1  # all on one line
