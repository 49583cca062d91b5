"""The build pack is read back as a stranger would: lengths with a PDF library, words as text.

Outside authority: a published Monte-Carlo table for the cost of a stretched print.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import re
from datetime import date

import numpy as np
import pytest

from solarlib import geometry
from solarlib.design import HeaterDesign, demo, evaluate
from solarlib.pack import build, drawing, paper, sheets, stock
from solarlib.pack.facts import Facts, fingerprint
from tests import ROOT
from tests.pdf_reading import (
    DAY,
    border_corner,
    opened,
    outside_border,
    straight,
    strokes,
    words_of,
)


# --- the whole pack -------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def facts():
    return Facts.of(evaluate(demo()), DAY, "ilvane-07")


@pytest.fixture(scope="module", params=["a4", "letter"])
def whole(request, facts):
    return opened(build.pdf(facts, request.param))


def test_every_page_has_identity_bars_and_border(whole):
    assert len(whole) >= 20
    for number, page in enumerate(whole, 1):
        border_corner(page)
        assert straight(page, 200.0, 0) == 1, f"page {number}"
        assert straight(page, 150.0, 1) == 1, f"page {number}"
        text = " ".join(page.get_text().split())
        for phrase in ("ilvane-07 · version", "1 Mar 2026", "design ", f"page {number} of "
                       f"{len(whole)}", "200 mm across", "20 mm"):  # fmt: skip
            assert phrase in text, f"{phrase} on page {number}"
        assert "NOT CLEARED" not in text
    assert outside_border(whole) == []


def test_fonts_are_embedded_and_words_come_out(whole):
    for page in whole:
        for _, kind, form, name, *_ in page.get_fonts():
            assert kind != "n/a" and form in ("Type0", "TrueType") and "DejaVu" in name
    text = words_of(whole)
    for phrase in ("Supervised, attended, cleaning water only.", "checked items complete",
                   "Before you saw", "Half rib", "End bracket", "Rib table", "Cut list",
                   "film side up", "Assembly check card", "Re-tilt calendar 2026",
                   "Set on the day", "Warm-up", "MIRROR HEATER: HAZARDS", "SHUT DOWN AND STORE",
                   "Heating test", "Parts and prices", "What I changed and why", "In charge:",
                   "Emergency:", "Look-back", "this way up", "5–95 %"):  # fmt: skip
        assert phrase in text, phrase


def test_no_page_calls_anything_safe(whole):
    assert not re.search(r"\b(un)?safe(ly|ty)?\b", words_of(whole), re.IGNORECASE)


def test_cards_are_large_and_nothing_is_tiny(whole):
    for page in whole:
        spans = [s for b in page.get_text("dict")["blocks"] for q in b.get("lines", ())
                 for s in q["spans"] if s["text"].strip()]  # fmt: skip
        assert min(s["size"] for s in spans) >= 6.9
        if "MIRROR HEATER" in page.get_text() or "Assembly check card" in page.get_text():
            letters = sum(len(s["text"]) for s in spans if s["size"] >= 13.9)
            assert letters > 0.6 * sum(len(s["text"]) for s in spans)


def test_numbers_of_the_cover_are_the_evaluation_s(facts, whole):
    e, d, text = facts.evaluation, facts.design, words_of(whole)
    for phrase in (
        f"depth of the curve {e.depth * 1000:.1f} mm",
        f"rim angle {e.rim_angle_deg:.1f}°",
        f"sheet width, with trim {(e.sheet_width + 2 * d.edge_trim) * 1000:.1f} mm",
        f"opening area {e.area:.3f} m²",
        f"light caught in use {100 * e.share_caught:.1f} %",
        f"optical efficiency {100 * e.optical_efficiency:.1f} %",
        f"{e.absorbed:.0f} W",
        f"{e.band.median / 60:.1f} min (5–95 %: {e.band.soonest / 60:.1f}–{e.band.latest / 60:.1f}",
        f"at worst {e.dry_worst_c:.0f} °C",
        f"Dry pipe up to {e.dry_worst_c:.0f} °C",
        f"wind force at {d.stow_wind:g} m/s {e.wind_force:.0f} N",
        f"light slides past the end {e.overhang_needed * 1000:.0f} mm",
        f"pipe grows dry by {e.pipe_growth * 1000:.1f} mm",
    ):
        assert phrase in text, phrase
    for one in e.constraints:
        assert " ".join(f"{one.id} {one.name}: {one.reason}".split()) in text


def test_every_number_of_pages_and_cards_is_the_evaluation_s(facts, whole):
    """Tables against the evaluation; what is left over must stand in the design or be a ruler."""
    e, d, text = facts.evaluation, facts.design, words_of(whole)
    points = geometry.rib_table(e.parabola, step=0.020)
    for x, y, slope, r in zip(points.x, points.height, points.slope_deg, points.focal_distance,
                              strict=True):  # fmt: skip
        for value in (f"{1000 * x:.1f}", f"{1000 * y:.1f}", f"{slope:.2f}", f"{1000 * r:.1f}"):
            assert value in text
    for part in e.cut_list:
        sizes = [f"{1000 * size:.0f}" for size in (part.length, part.width) if size]
        assert f"{part.name} {part.count} {' × '.join(sizes)}".strip() in text, part.name
    along = [f"{1000 * x + 450:.0f}" for x in e.screws.along]
    assert f"from the left end: {', '.join(along)} mm" in text
    for at, soon, middle, late in ((900 * k, *v) for k, v in enumerate(zip(*(
            np.interp(900.0 * np.arange(9), e.band.time, course)
            for course in (e.band.low_c, e.band.median_c, e.band.high_c)), strict=True))):  # fmt: skip
        assert all(f"{value:.1f}" in text for value in (soon, middle, late)), at
    for phrase in (
        f"wood, hose {np.ceil(1000 * e.wood_distance):.0f} mm, skin "
        f"{np.ceil(1000 * e.skin_distance):.0f} mm",
        f"{e.wind_force:.0f} N at {d.stow_wind:.0f} m/s",
        f"Target {d.target_c:g} °C after {e.band.median / 60:.1f} min, 5–95 %: "
        f"{e.band.soonest / 60:.1f} to {e.band.latest / 60:.1f} min",
        f"Stop at {d.stop_c:.0f} °C", f"the sheet grows about {1000 * e.sheet_growth:.1f} mm",
        f"wood and hose stay away {np.ceil(1000 * e.wood_distance):.0f} mm",
        f"steam if it boils {60_000 * e.steam:.2g} g/min",
        f"sag of the pipe {1000 * e.pipe_sag:.2f} mm",
        f"focus above the rims {1000 * e.focus_above_rim:.2f} mm",
        f"dry pipe, still air {e.dry_pipe_c[0]:.0f} °C",
        f"ballast to stand it {np.ceil(e.ballast_needed):.0f} kg",
    ):
        assert phrase in text, phrase


def test_record_of_the_design_is_on_every_page_and_in_the_change_log():
    changes = (("2026-05-01", "pipe 22 to 28 mm", "the thin one misses light"),)
    design = dataclasses.replace(demo(), learner="pim-03", version="7", changes=changes)
    document = opened(build.pdf(Facts.of(evaluate(design), DAY), "a4"))
    assert all("pim-03 · version 7" in page.get_text() for page in document)
    assert "2026-05-01 pipe 22 to 28 mm the thin one misses light" in words_of(document)
    assert Facts.of(evaluate(design), DAY, "ilvane-07").identity.learner == "ilvane-07"
    assert fingerprint(design) == fingerprint(demo())


def test_a_design_that_never_gets_warm_says_so_on_the_cover():
    design = dataclasses.replace(demo(), water_mass=20.0, pot_volume=0.03, tube_diameter=0.012)
    facts = Facts.of(evaluate(design), DAY)
    e = facts.evaluation
    assert np.isinf(e.band.latest)
    shown = dict(facts.key_numbers)["18 to 55 °C"]
    assert shown.endswith("–never)") and "limit" not in shown


def test_calendar_pages_print_the_evaluation_s_lines(facts, whole):
    text = words_of(whole)
    lines = facts.evaluation.calendar(2026)
    assert len(lines) == len(facts.calendar_table().rows)
    for one in lines:
        first, last = (f"{day.day} {day:%b}" for day in (one.first, one.last))
        assert f"{first} {last} {one.days} {one.tilt_deg:.1f} S" in text


def test_session_is_never_longer_than_the_overhang_allows(facts):
    """The demo's pipe reaches as far as the light slides in 2 h; the equinox would hold 5 h."""
    minutes = [int(row[7]) for row in facts.calendar_table().rows]
    assert max(minutes) == 120
    assert min(minutes) == pytest.approx(82, abs=1)  # solstice, 0.7°: 1.37 h (published)


def test_warm_up_table_is_the_evaluation_s_band(facts, whole):
    band, text = facts.evaluation.band, words_of(whole)
    times = np.arange(0, band.time[-1] + 1, 900.0)
    for label, course in (("5 %", band.low_c), ("middle", band.median_c), ("95 %", band.high_c)):
        row = " ".join(f"{v:.1f}" for v in np.interp(times, band.time, course))
        assert f"{label} °C {row}" in text


def test_files_beside_the_pdf_say_the_same(facts, whole):
    files, text = build.side_files(facts), words_of(whole)
    for name in ("rib_table.csv", "cut_list.csv", "warm_up.csv"):
        rows = list(csv.reader(io.StringIO(files[name].decode("utf-8"))))
        assert rows[0][0].startswith("# The Ladle, ilvane-07, version 1, 2026-03-01, design ")
        for row in rows[2:]:
            for cell in row:
                assert cell.lstrip("'").replace("-", "−") in text or cell in text, (name, cell)
    assert {"half_rib.svg", "end_bracket.svg", "rim_strip.svg", "rib_strip.svg"} <= set(files)


def test_strips_show_the_screws_true_to_size(facts, whole):
    """Piece after piece, less the overlap, the crosses stand where the evaluation says."""
    d, along = facts.design, np.asarray(facts.evaluation.screws.along) * 1000
    want = along + d.trough_length * 500
    page = next(p for p in whole if "Rim strip, along the trough, piece 1" in p.get_text())
    corner = border_corner(page)
    lines = [q - corner for q in strokes(page) if len(q) == 2]
    upright = [q for q in lines if abs(np.ptp(q[:, 1]) - 7.0) < 0.01 and np.ptp(q[:, 0]) < 0.01]
    found = set()
    tops = sorted({round(float(q[:, 1].mean()), 1) for q in upright})
    for piece, top in enumerate(tops):
        for q in upright:
            if round(float(q[:, 1].mean()), 1) == top:
                x = q[0, 0] - paper.BODY[0] + piece * (sheets.PIECE - paper.OVERLAP)
                found.add(round(float(x), 1))
    for place in want:
        assert min(abs(place - x) for x in found) < 0.1, place


def test_print_table_agrees_with_the_ray_traced_one(facts):
    """Published Monte-Carlo shares at 8 mrad, pipe left / moved; the true print catches 0.9945."""
    published = {  # bars measured (mm): shares caught, focal length (mm)
        (194, 145.5): (0.966, 0.996, 164.90),
        (194, 150): (0.811, 0.996, 159.95),
        (206, 150): (0.803, 0.993, 180.35),
        (198, 150): (0.984, 0.995, 166.62),
        (200, 147): (0.982, 0.994, 173.47),
    }
    rows = {tuple(map(float, row[:2])): tuple(map(float, row[2:])) for row in
            facts.print_table.rows}  # fmt: skip
    for bars, (left, moved, focal) in published.items():
        got = rows[bars]
        assert got[0] == pytest.approx(focal, abs=0.06)
        assert got[1] == pytest.approx(100 * (1 - left / 0.9945), abs=0.2)
        assert got[2] == pytest.approx(max(100 * (1 - moved / 0.9945), 0), abs=0.2)


def verdict(across, down):
    design = dataclasses.replace(demo(), bar_across=across, bar_down=down)
    return Facts.of(evaluate(design), DAY).print_verdict


@pytest.mark.parametrize("target", [40.0, 55.0, 60.0])
def test_hazard_card_says_which_burn_its_times_are(target):
    """antiscald.com: 55 °C 17 s and 60 °C 3 s to a blister, 60 °C 5 s to a deep burn, as lesson 06
    and the scald clock say."""
    design = dataclasses.replace(demo(), target_c=target)
    document = opened(build.pdf(Facts.of(evaluate(design), DAY), "letter"))
    (card,) = (page for page in document if "MIRROR HEATER: HAZARDS" in page.get_text())
    text = " ".join(card.get_text().split())
    times = dict(re.findall(r"(\d+) °C in ([^,;]+)", text))
    known = {"45": "2 h", "49": "8 min", "55": "17 s", "60": "3 s"}  # second degree, adult
    assert "Water blisters skin: " in text and "60" in times and set(times) <= set(known)
    assert all(time == known[temp] for temp, time in times.items())
    assert "deep burn at 60 °C: 5 s" in text and "antiscald.com" in text
    lesson = (ROOT / "lessons" / "06_hazards" / "lesson.py").read_text(encoding="utf-8")
    assert re.search("60 °C [a-z ]+ five seconds", lesson) and "deep burn" in lesson


def test_measured_bars_become_a_focal_length():
    assert "Not measured yet" in verdict(None, None)
    assert "Not measured yet" in verdict(0.200, None)
    good = verdict(0.200, 0.150)
    assert "170.0 mm above the vertex" in good and "Inside the pass limits" in good
    bad = verdict(0.194, 0.150)  # f sx²/sy = 159.95 mm
    assert "159.9 mm above the vertex" in bad or "160.0 mm above the vertex" in bad
    assert "nearer" in bad and "OUTSIDE" in bad and "10.05 mm" in bad
    assert "farther" in verdict(0.200, 0.147)


# --- gates ----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("change", "count"),
    [({"on_roof": True}, 1), ({"delivery": "tap", "cover_cloth": "none"}, 2)],
)
def test_open_gates_are_marked_on_every_page(change, count):
    design = dataclasses.replace(demo(), **change)
    document = opened(build.pdf(Facts.of(evaluate(design), DAY, "pim"), "a4"))
    for page in document:
        assert f"NOT CLEARED: {count} item" in page.get_text()
    assert "checked items complete" not in words_of(document)
    assert words_of(document).count("NOT MET") == count


def test_a_design_that_states_nothing_is_not_cleared():
    document = opened(build.pdf(Facts.of(evaluate(HeaterDesign()), DAY), "letter"))
    text = words_of(document)
    assert all("NOT CLEARED: 4 items" in page.get_text() for page in document)
    assert "NOT KNOWN" in text and "no learner id" in text
    assert outside_border(document) == []


@pytest.mark.parametrize("paper_size", ["a4", "letter"])
def test_a_blank_smaller_than_the_rib_is_never_printed_without_saying_so(paper_size):
    """Opening 700 mm: the rib takes 700 + 2 × 10 mm by 700²/(16·170) + 30 = 210.15 mm."""
    design = dataclasses.replace(demo(), aperture_width=0.7)
    document = opened(build.pdf(Facts.of(evaluate(design), DAY), paper_size))
    told = 0
    for page in document:
        text = " ".join(page.get_text().split())
        if "660 × 190" in text:
            assert "TOO SMALL: the rib needs 720 × 211 mm" in text, f"page {page.number + 1}"
            told += 1
    assert told == 3  # cut list, nesting, prices
    text = words_of(document)
    assert "C17 rib blank large enough: The rib takes 720 mm by 210.1" in text
    assert "Not met: C1, C11, C17" in " ".join(document[0].get_text().split())
    table = build.side_files(Facts.of(evaluate(design), DAY))["cut_list.csv"].decode()
    assert "TOO SMALL: the rib needs 720 × 211 mm" in table
    assert outside_border(document) == []


def test_a_pack_without_open_gates_names_what_is_not_met(tmp_path, capsys):
    """One blank too short opens no gate, and yet the checked items are not complete."""
    design = dataclasses.replace(demo(), rib_blank_length=0.6)
    build.write_pack(design, tmp_path, DAY, "a4")
    first = opened((tmp_path / build.PDF).read_bytes())[0].get_text()
    assert "Not met: C17" in first and "checked items complete" not in first
    said = capsys.readouterr().out
    assert "Not met: C17" in said and "complete" not in said.lower()
    assert "complete" not in (tmp_path / "cut_list.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize("change", [
    {}, {"rib_template": "full rib"}, {"aperture_width": 0.9, "focal_length": 0.09},
    {"aperture_width": 0.3, "focal_length": 0.5},
])  # fmt: skip
def test_the_cover_says_which_pages_make_a_rib_of_cardboard(change):
    document = opened(build.pdf(Facts.of(evaluate(dataclasses.replace(demo(), **change)), DAY), "a4"))
    first = " ".join(document[0].get_text().split())
    told = re.search(r"for a rib of cardboard only pages? (\d+)(?:–(\d+))?, at actual size", first)
    start, end = int(told[1]), int(told[2] or told[1])
    rib = [n for n, page in enumerate(document, 1) if "rib, true size" in page.get_text()]
    assert list(range(start, end + 1)) == rib
    assert "Measure both bars" in first and f"write them on page {start - 1}" in first
    assert "bar across measures" in " ".join(document[start - 2].get_text().split())


# --- hostile and extreme --------------------------------------------------------------------------
EXTREME = [
    {"aperture_width": 0.900, "focal_length": 0.090, "trough_length": 2.0, "tube_length": 3.0,
     "rib_blank_length": 0.95, "rib_blank_height": 0.7},
    {"aperture_width": 0.300, "focal_length": 0.500, "trough_length": 0.5, "tube_length": 0.6},
    {"latitude_deg": -60.0, "meridian_offset_deg": 20.0, "utc_offset_h": 12.0,
     "summer_time": "New Zealand", "calendar_band_deg": 0.1},
    {"latitude_deg": 0.0, "axis": "north-south", "calendar_band_deg": 6.0},
    {"backing": 0.012, "name": "W" * 300, "printer_margin": 0.025, "hose": "M" * 300,
     "mirror": "W" * 300, "prices": (("rib", 4.5), ("=cmd", 1.0), ("pot", 9999999.0))},
    {"water_mass": 20.0, "pot_volume": 0.040, "beam_noon": 400.0, "latest_time": 14400.0,
     "rim_pitch": 0.02, "rib_pitch": 0.02, "rib_count": 20},
]  # fmt: skip


@pytest.mark.parametrize("change", EXTREME)
def test_extreme_designs_stay_on_their_pages(change):
    facts = Facts.of(evaluate(dataclasses.replace(demo(), **change)), date(2028, 2, 29), "pim")
    document = opened(build.pdf(facts, "letter"))
    assert outside_border(document) == []
    for number, page in enumerate(document, 1):
        assert straight(page, 200.0, 0) >= 1 and straight(page, 150.0, 1) >= 1, number
        assert f"page {number} of {len(document)}" in page.get_text()
        assert "29 Feb 2028" in page.get_text()
    build.side_files(facts)


@pytest.mark.parametrize("width", [0.300, 0.450, 0.460, 0.470, 0.480, 0.490, 0.640, 0.900])
@pytest.mark.parametrize("focal", [0.090, 0.170, 0.500])
def test_pages_printed_are_the_pages_the_evaluation_counts(width, focal):
    design = dataclasses.replace(demo(), aperture_width=width, focal_length=focal)
    e = evaluate(design)
    rib = Facts.of(e, DAY).templates[0][0]
    assert len(drawing.tiles(rib, paper.WINDOW, paper.OVERLAP)) == e.template_pages


def test_southern_troughs_look_north():
    """Tarrowin Spit, 34° S: 10.6° to the north on 21 December, by 34 - 23.44."""
    design = dataclasses.replace(demo(), latitude_deg=-34.0)
    facts = Facts.of(evaluate(design), DAY)
    december = facts.on_the_day_table.rows[11]
    assert december[5] == "10.6 N"
    assert facts.site.startswith("34.0° S")
    assert all(" N" in row[3] for row in facts.calendar_table().rows)


def test_prices_add_up(facts):
    design = dataclasses.replace(demo(), prices=(("rib", 4.5), ("pot", 20.0), ("varnish", 7.25)))
    table = stock.parts_table(evaluate(design))
    assert sum(float(row[5]) for row in table.rows if row[5]) == 4 * 4.5 + 20 + 7.25
    document = opened(build.pdf(Facts.of(evaluate(design), DAY), "a4"))
    assert "45.25" in words_of(document)
