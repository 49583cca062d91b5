"""The build pack is read back as a stranger would: lengths with a PDF library, words as text.

Outside authorities: PyEphem for the calendar; published points of the rib table; a
published Monte-Carlo table for the cost of a stretched print.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import itertools
import os
import re
import signal
import subprocess
import sys
from datetime import date, datetime, timedelta
from pathlib import Path

import ephem
import numpy as np
import pymupdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlib import geometry, pack, sun
from solarlib.design import HeaterDesign, demo, evaluate
from solarlib.pack import build, drawing, paper, sheets, stock, tables
from solarlib.pack.facts import Facts, fingerprint
from solarlib.pack.files import CONTENTS, write_files
from solarlib.pack.nesting import Piece, nest
from tests.pdf_reading import (
    DAY,
    border_corner,
    opened,
    outside_border,
    straight,
    strokes,
    words_of,
)

LADLE = geometry.Parabola(focal_length=0.170, aperture_width=0.640)


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
def test_files_changed_by_hand_are_kept(tmp_path: Path) -> None:
    assert write_files(tmp_path, {"a.csv": b"one", "b.pdf": b"two"}) == []
    (tmp_path / "a.csv").write_text("my own prices")
    kept = write_files(tmp_path, {"a.csv": b"three", "b.pdf": b"four"})
    assert len(kept) == 1 and "a.kept-1.csv" in kept[0]
    assert (tmp_path / "a.kept-1.csv").read_text() == "my own prices"
    assert (tmp_path / "a.csv").read_bytes() == b"three"
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "a.csv", "a.kept-1.csv", "b.pdf", CONTENTS]  # fmt: skip


KILLED = """
import os, sys, time
from pathlib import Path
from solarlib.pack import files
real, name = getattr(os, sys.argv[2]), sys.argv[2]
def slow(*args):
    done = real(*args)
    print("now", flush=True)
    time.sleep(60)
    return done
setattr(os, name, slow)
files.write_files(Path(sys.argv[1]), {"build_pack.pdf": b"new" * 100_000, "rib_table.csv": b"new"})
"""


@pytest.mark.parametrize("moment", ["fsync", "replace"])
def test_a_killed_run_leaves_whole_files(tmp_path: Path, moment: str) -> None:
    """SIGKILL while the first file is being written, and between two moves."""
    old = {"build_pack.pdf": b"old pdf", "rib_table.csv": b"old table"}
    write_files(tmp_path, old)
    run = subprocess.Popen([sys.executable, "-c", KILLED, str(tmp_path), moment],
                           stdout=subprocess.PIPE)  # fmt: skip
    assert run.stdout is not None and run.stdout.readline().strip() == b"now"
    run.send_signal(signal.SIGKILL)
    run.wait()
    run.stdout.close()
    new = {"build_pack.pdf": b"new" * 100_000, "rib_table.csv": b"new"}
    for name in old:
        assert (tmp_path / name).read_bytes() in (old[name], new[name])
    if moment == "fsync":
        assert (tmp_path / "build_pack.pdf").read_bytes() == old["build_pack.pdf"]
    left = list(tmp_path.glob(".making-*"))
    assert len(left) == 1
    os.utime(left[0], (0, 0))
    write_files(tmp_path, new)  # a later run works and sweeps up
    assert {p.name for p in tmp_path.iterdir()} == {*new, CONTENTS}


@pytest.mark.parametrize("moment", ["Drawing", "Writing"])
def test_a_killed_command_leaves_the_good_pack_alone(tmp_path: Path, moment: str) -> None:
    """SIGKILL to the whole command, at each step it tells of: the pack before stays, each byte."""
    (tmp_path / "mine.toml").write_text(demo().to_toml(), encoding="utf-8")
    write_files(tmp_path / "mine-pack", {build.PDF: b"%PDF the good one", "rib_table.csv": b"good"})
    before = {p.name: p.read_bytes() for p in (tmp_path / "mine-pack").iterdir()}
    words = [sys.executable, "-m", "solarlib", "pack", "mine.toml"]
    with subprocess.Popen(words, cwd=tmp_path, stdout=subprocess.PIPE, text=True) as run:
        assert run.stdout is not None
        for line in run.stdout:
            if line.startswith(moment):
                run.kill()
    assert run.returncode == -signal.SIGKILL
    after = {p.name: p.read_bytes() for p in (tmp_path / "mine-pack").iterdir() if p.is_file()}
    # “Writing” may have come as far as the first moves: then a file is the whole new one
    for name, content in before.items():
        whole = after[name].startswith(b"%PDF-") and after[name].rstrip().endswith(b"%%EOF")
        assert after[name] == content or (moment == "Writing" and (name != build.PDF or whole))
    if moment != "Writing":
        assert after == before


# --- the whole pack -------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts.of(evaluate(demo()), DAY, "ilvane-07")


@pytest.fixture(scope="module", params=["a4", "letter"])
def whole(request: pytest.FixtureRequest, facts: Facts) -> pymupdf.Document:
    return opened(build.pdf(facts, request.param))


def test_every_page_has_identity_bars_and_border(whole: pymupdf.Document) -> None:
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


def test_fonts_are_embedded_and_words_come_out(whole: pymupdf.Document) -> None:
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


def test_no_page_calls_anything_safe(whole: pymupdf.Document) -> None:
    assert not re.search(r"\b(un)?safe(ly|ty)?\b", words_of(whole), re.IGNORECASE)


def test_cards_are_large_and_nothing_is_tiny(whole: pymupdf.Document) -> None:
    for page in whole:
        spans = [s for b in page.get_text("dict")["blocks"] for q in b.get("lines", ())
                 for s in q["spans"] if s["text"].strip()]  # fmt: skip
        assert min(s["size"] for s in spans) >= 6.9
        if "MIRROR HEATER" in page.get_text() or "Assembly check card" in page.get_text():
            letters = sum(len(s["text"]) for s in spans if s["size"] >= 13.9)
            assert letters > 0.6 * sum(len(s["text"]) for s in spans)


def test_numbers_of_the_cover_are_the_evaluation_s(facts: Facts, whole: pymupdf.Document) -> None:
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


def test_every_number_of_pages_and_cards_is_the_evaluation_s(
    facts: Facts, whole: pymupdf.Document
) -> None:
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


def test_record_of_the_design_is_on_every_page_and_in_the_change_log() -> None:
    changes = (("2026-05-01", "pipe 22 to 28 mm", "the thin one misses light"),)
    design = dataclasses.replace(demo(), learner="pim-03", version="7", changes=changes)
    document = opened(build.pdf(Facts.of(evaluate(design), DAY), "a4"))
    assert all("pim-03 · version 7" in page.get_text() for page in document)
    assert "2026-05-01 pipe 22 to 28 mm the thin one misses light" in words_of(document)
    assert Facts.of(evaluate(design), DAY, "ilvane-07").identity.learner == "ilvane-07"
    assert fingerprint(design) == fingerprint(demo())


def test_a_design_that_never_gets_warm_says_so_on_the_cover() -> None:
    design = dataclasses.replace(demo(), water_mass=20.0, pot_volume=0.03, tube_diameter=0.012)
    facts = Facts.of(evaluate(design), DAY)
    e = facts.evaluation
    assert np.isinf(e.band.latest)
    shown = dict(facts.key_numbers)["18 to 55 °C"]
    assert shown.endswith("–never)") and "limit" not in shown


def test_calendar_pages_print_the_evaluation_s_lines(facts: Facts, whole: pymupdf.Document) -> None:
    text = words_of(whole)
    lines = facts.evaluation.calendar(2026)
    assert len(lines) == len(facts.calendar_table().rows)
    for one in lines:
        first, last = (f"{day.day} {day:%b}" for day in (one.first, one.last))
        assert f"{first} {last} {one.days} {one.tilt_deg:.1f} S" in text


def test_session_is_never_longer_than_the_overhang_allows(facts: Facts) -> None:
    """The demo's pipe reaches as far as the light slides in 2 h; the equinox would hold 5 h."""
    minutes = [int(row[7]) for row in facts.calendar_table().rows]
    assert max(minutes) == 120
    assert min(minutes) == pytest.approx(82, abs=1)  # solstice, 0.7°: 1.37 h (published)


def test_warm_up_table_is_the_evaluation_s_band(facts: Facts, whole: pymupdf.Document) -> None:
    band, text = facts.evaluation.band, words_of(whole)
    times = np.arange(0, band.time[-1] + 1, 900.0)
    for label, course in (("5 %", band.low_c), ("middle", band.median_c), ("95 %", band.high_c)):
        row = " ".join(f"{v:.1f}" for v in np.interp(times, band.time, course))
        assert f"{label} °C {row}" in text


def test_files_beside_the_pdf_say_the_same(facts: Facts, whole: pymupdf.Document) -> None:
    files, text = build.side_files(facts), words_of(whole)
    for name in ("rib_table.csv", "cut_list.csv", "warm_up.csv"):
        rows = list(csv.reader(io.StringIO(files[name].decode("utf-8"))))
        assert rows[0][0].startswith("# The Ladle, ilvane-07, version 1, 2026-03-01, design ")
        for row in rows[2:]:
            for cell in row:
                assert cell.lstrip("'").replace("-", "−") in text or cell in text, (name, cell)
    assert {"half_rib.svg", "end_bracket.svg", "rim_strip.svg", "rib_strip.svg"} <= set(files)


def test_strips_show_the_screws_true_to_size(facts: Facts, whole: pymupdf.Document) -> None:
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


def test_print_table_agrees_with_the_ray_traced_one(facts: Facts) -> None:
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


def verdict(across: float | None, down: float | None) -> str:
    design = dataclasses.replace(demo(), bar_across=across, bar_down=down)
    return Facts.of(evaluate(design), DAY).print_verdict


def test_measured_bars_become_a_focal_length() -> None:
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
def test_open_gates_are_marked_on_every_page(change: dict, count: int) -> None:
    design = dataclasses.replace(demo(), **change)
    document = opened(build.pdf(Facts.of(evaluate(design), DAY, "pim"), "a4"))
    for page in document:
        assert f"NOT CLEARED: {count} item" in page.get_text()
    assert "checked items complete" not in words_of(document)
    assert words_of(document).count("NOT MET") == count


def test_a_design_that_states_nothing_is_not_cleared() -> None:
    document = opened(build.pdf(Facts.of(evaluate(HeaterDesign()), DAY), "letter"))
    text = words_of(document)
    assert all("NOT CLEARED: 4 items" in page.get_text() for page in document)
    assert "NOT KNOWN" in text and "no learner id" in text
    assert outside_border(document) == []


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
def test_extreme_designs_stay_on_their_pages(change: dict) -> None:
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
def test_pages_printed_are_the_pages_the_evaluation_counts(width: float, focal: float) -> None:
    design = dataclasses.replace(demo(), aperture_width=width, focal_length=focal)
    e = evaluate(design)
    rib = Facts.of(e, DAY).templates[0][0]
    assert len(drawing.tiles(rib, paper.WINDOW, paper.OVERLAP)) == e.template_pages


def test_southern_troughs_look_north() -> None:
    """Tarrowin Spit, 34° S: 10.6° to the north on 21 December, by 34 - 23.44."""
    design = dataclasses.replace(demo(), latitude_deg=-34.0)
    facts = Facts.of(evaluate(design), DAY)
    december = facts.on_the_day_table.rows[11]
    assert december[5] == "10.6 N"
    assert facts.site.startswith("34.0° S")
    assert all(" N" in row[3] for row in facts.calendar_table().rows)


def test_prices_add_up(facts: Facts) -> None:
    design = dataclasses.replace(demo(), prices=(("rib", 4.5), ("pot", 20.0), ("varnish", 7.25)))
    table = stock.parts_table(evaluate(design))
    assert sum(float(row[5]) for row in table.rows if row[5]) == 4 * 4.5 + 20 + 7.25
    document = opened(build.pdf(Facts.of(evaluate(design), DAY), "a4"))
    assert "45.25" in words_of(document)


# --- same input, same output ----------------------------------------------------------------------
def test_fingerprint_follows_the_design_not_the_paper() -> None:
    mark = fingerprint(demo())
    assert mark == fingerprint(demo()) and re.fullmatch("[0-9a-f]{8}", mark)
    for change in ({"focal_length": 0.171}, {"on_roof": True}, {"hose": "x"}, {"months": (1,)}):
        assert fingerprint(dataclasses.replace(demo(), **change)) != mark
    for change in ({"bar_across": 0.199}, {"paper": "letter"}, {"prices": (("rib", 1.0),)}):
        assert fingerprint(dataclasses.replace(demo(), **change)) == mark


def run_pack(folder: Path, *words: str, seed: str = "0") -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "-m", "solarlib", "pack", *words],
        cwd=folder, capture_output=True, text=True, env={**os.environ, "PYTHONHASHSEED": seed},
    )  # fmt: skip


def test_two_runs_write_the_same_bytes(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(demo().to_toml(), encoding="utf-8")
    packs = []
    for seed in ("1", "2"):
        done = run_pack(tmp_path, "mine.toml", "--date", "2026-03-01", "--out", seed, seed=seed)
        assert done.returncode == 0, done.stderr
        packs.append({p.name: p.read_bytes() for p in (tmp_path / seed).iterdir()})
    assert packs[0] == packs[1]
    assert "build_pack.pdf" in packs[0] and "checked items complete" in done.stdout.lower()
    assert all(line.endswith((".", "…")) for line in done.stdout.strip().splitlines())


# --- the command ----------------------------------------------------------------------------------
def test_bad_input_gets_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good = tmp_path / "good.toml"
    good.write_text(demo().to_toml(), encoding="utf-8")
    (tmp_path / "bad.toml").write_text("[trough]\nfocal_length = '17 kg'\n")
    (tmp_path / "broken.toml").write_text("[trough\n")
    (tmp_path / "in_the_way").write_text("mine")
    cases = [
        [], ["nowhere.toml"], [str(tmp_path / "bad.toml")], [str(tmp_path / "broken.toml")],
        [str(good), "--paper", "a3"], [str(good), "--date", "tomorrow"], [str(tmp_path)],
        [str(good), "--bars", "two", "150 mm"], [str(good), "--bars", "20 mm", "150 mm"],
        [str(good), "--bars", "nan", "150"], [str(good), "--unknown"],
        [str(good), "--out", str(tmp_path / "in_the_way")],
        [str(good), "--date", "1066-10-14"], [str(good), "--date", "2999-01-01"],
    ]  # fmt: skip
    for words in cases:
        assert pack.main(words) == 2, words
        says = capsys.readouterr().err.strip()
        assert says and "\n" not in says and "Traceback" not in says, (words, says)
        assert says.endswith((".", "?")), (words, says)
    assert (tmp_path / "in_the_way").read_text() == "mine"
    assert not (tmp_path / "good-pack").exists()


def test_the_command_says_what_would_help(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    design = dataclasses.replace(demo(), tube_diameter=0.015, frost=None, joint=None)
    (tmp_path / "mine.toml").write_text(design.to_toml(), encoding="utf-8")
    assert pack.main([str(tmp_path / "mine.toml")]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "C9, joints outlast a dry pipe, is not known. Not stated: joint." in lines
    helped = next(line for line in lines if line.startswith("C4, light caught"))
    assert "is not met. With “" in helped and "would be met" in helped
    assert all(line.endswith((".", "…")) for line in lines)


def test_bars_on_the_command_line_reach_the_page(tmp_path: Path) -> None:
    design = tmp_path / "mine.toml"
    design.write_text(demo().to_toml(), encoding="utf-8")
    before = design.read_bytes()
    words = ["--bars", "7 7/8 in", "150,3 mm", "--paper", "letter", "--learner", "pim-03"]
    assert pack.main([str(design), *words]) == 0
    document = pymupdf.open(tmp_path / "mine-pack" / "build_pack.pdf")
    text = words_of(document)
    assert "bar across measures 200.02 mm bar down measures 150.30 mm" in text
    assert all("pim-03" in page.get_text() for page in document)
    assert design.read_bytes() == before
    assert [float(v) for v in document[0].mediabox_size] == pytest.approx([792, 612], abs=0.02)
