"""Every number of the evaluation is printed, with its unit, and read back from the PDF.

The physics behind each is held against outside values in the tests of its own module; here a
printed number must be the evaluation's, to the last digit that is printed.
"""

from __future__ import annotations

import re
from dataclasses import fields, replace
from functools import cached_property

import numpy as np
import pytest

from solarlib.design import Evaluation, demo, evaluate
from solarlib.design.evaluation import LOSS_TEMPERATURES_C
from solarlib.pack import build
from solarlib.pack.facts import Facts
from tests.pdf_reading import DAY, opened, outside_border, strokes

SOUTH = replace(
    demo(), latitude_deg=-34.0, show_units="mm and inches", aperture_width=0.55, focal_length=0.15,
    tube_diameter=0.028, site_wind=3.0, elevation=1500.0, water_mass=9.0, pot_volume=0.012,
    start_c=12.0, target_c=45.0, latest_time=5400.0, usual_incidence_deg=25.0, name="Tarrowin",
    prices=(("rib", 4.5), ("pot", 20.0)),
)  # fmt: skip
DESIGNS = {"demo": (demo(), "a4"), "south": (SOUTH, "letter")}

# what is printed -> its value in the printed unit, the unit
PRINTED = {
    "edge slope": (lambda e: e.edge_slope_deg, "°"),
    "tightest bend": (lambda e: 1000 * e.bend_radius, "mm"),
    "thickest sheet": (lambda e: 1000 * e.thickest_sheet, "mm"),
    "rim to focus": (lambda e: 1000 * e.rim_distance, "mm"),
    "mean way to focus": (lambda e: 1000 * e.mean_focal_distance, "mm"),
    "sheet off the curve": (lambda e: 1000 * e.sheet_line.largest_gap, "mm"),
    "edge error": (lambda e: e.sheet_line.edge_slope_error_deg, "°"),
    "sheet error, rms": (lambda e: e.sheet_line.rms_slope_error_deg, "°"),
    "opening to pipe": (lambda e: e.width_ratio, ""),
    "area ratio": (lambda e: e.area_ratio, ""),
    "acceptance angle": (lambda e: e.acceptance_deg, "°"),
    "aim without loss": (lambda e: e.no_loss_aim_deg, "°"),
    "° slant": (lambda e: e.cosine, ""),
    "light on the pipe's length": (lambda e: 100 * e.end_share, "%"),
    "by way of the mirror": (lambda e: e.power.reflected, "W"),
    "straight from the sun": (lambda e: e.power.direct, "W"),
    "a setting lasts": (lambda e: e.minutes_in_band, "min"),
    "largest slant": (lambda e: e.session_incidence_deg, "°"),
    "water comes to rest at": (lambda e: e.plateau_c, "°C"),
    "water boils at": (lambda e: e.boiling_c, "°C"),
    "surplus at boiling": (lambda e: e.surplus_at_boiling, "W"),
    "steam volume": (lambda e: 60_000 * e.steam_volume, "L/min"),
    "energy needed": (lambda e: e.energy_needed / 1000, "kJ"),
    "energy of a day": (lambda e: e.bands["session_energy"][1] / 1000, "kJ"),
    "sheet grows": (lambda e: 1000 * e.sheet_growth, "mm"),
    "wind moment": (lambda e: e.wind_moment, "N·m"),
    "sheets of the template": (lambda e: e.template_pages, ""),
    "cost": (lambda e: e.cost, ""),
}
# read back by another test of the pack, on the cover or a page of its own
ELSEWHERE = {
    "parabola", "depth", "rim_angle_deg", "sheet_width", "focus_above_rim", "area", "beam",
    "share_caught", "share_at_budget", "absorbed", "optical_efficiency", "steam", "dry_worst_c",
    "pipe_growth", "pipe_sag", "overhang_needed", "skin_distance", "wood_distance", "wind_force",
    "ballast_needed", "band", "warm_up", "constraints", "gates_open", "screws", "cut_list",
    "seconds_to_target", "session_energy", "incidence_deg", "heater", "pipe_only",
}  # fmt: skip
INPUTS = {"design", "when", "seed"}


@pytest.fixture(scope="module", params=DESIGNS)
def pack(request):
    design, size = DESIGNS[request.param]
    facts = Facts.of(evaluate(design), DAY, "ilvane-07")
    document = opened(build.pdf(facts, size))
    pages = [page for page in document if "All numbers" in page.get_text()]
    return facts.evaluation, document, pages, request.param


def text_of(pages):
    return " ".join(" ".join(page.get_text() for page in pages).replace("−", "-").split())


def same(printed, value):
    """Equal to the last digit printed."""
    digits = len(printed.partition(".")[2])
    return abs(float(printed) - value) <= 0.5 * 10.0**-digits * (1 + 1e-9) + 1e-12


def test_there_are_two_quiet_pages_near_the_end(pack):
    _, document, pages, _ = pack
    assert [page.number for page in pages] == [len(document) - 4, len(document) - 3]
    assert outside_border(document) == []


@pytest.mark.parametrize("name", PRINTED)
def test_a_printed_number_is_the_evaluation_s(pack, name):
    e, _, pages, which = pack
    value, unit = PRINTED[name]
    found = re.search(rf"{re.escape(name)} (-?[\d.]+) ?{re.escape(unit)}(?: |$)", text_of(pages))
    assert found, name
    assert same(found[1], value(e)), (name, found[1], value(e))
    if unit == "mm":
        inches = re.match(r" ?\(([\d /]*) in\)", text_of(pages)[found.end() - 1 :])
        assert bool(inches) == (which == "south"), name


def test_bands_are_printed_with_both_ends(pack):
    e, _, pages, _ = pack
    text = text_of(pages)
    for name, scale, unit in (("session_energy", 1000, "kJ"), ("final_c", 1, "°C")):
        low, middle, high = (value / scale for value in e.bands[name])
        places = re.findall(rf" (-?[\d.]+) {unit} \((-?[\d.]+)–(-?[\d.]+)\)", text)
        assert any(same(a, middle) and same(b, low) and same(c, high) for a, b, c in places), name


def rows_after(text, title, columns):
    """Rows of numbers after a title: every run of so many numbers in a row."""
    start = text.index(title)
    number = r"-?\d+(?:\.\d+)?|never"
    return [one.split() for one in
            re.findall(rf"(?<!\S)((?:(?:{number}) ){{{columns - 1}}}(?:{number}))(?!\S)",
                       text[start:])]  # fmt: skip


def test_losses_and_dry_pipes_are_the_evaluation_s(pack):
    e, _, pages, _ = pack
    text = text_of(pages)
    for temp in LOSS_TEMPERATURES_C:
        assert f"{temp:.0f} °C" in text
    rows = rows_after(text, "Heat lost by pipe and pot", 7)[:3]
    want = [[wind, *losses, dry] for wind, losses, dry in
            zip(e.winds, e.loss_table, e.dry_pipe_c, strict=True)]  # fmt: skip
    assert np.shape(want) == (3, 7)
    for row, values in zip(rows, want, strict=True):
        assert all(same(a, b) for a, b in zip(row, values, strict=True)), (row, values)


def test_heat_balance_is_the_evaluation_s(pack):
    e, _, pages, _ = pack
    rows = rows_after(text_of(pages), "Where the heat goes", 4)[:3]
    assert len(rows) == 3
    for row, state in zip(rows, e.heat_balance, strict=True):
        assert all(same(a, b) for a, b in zip(row, state.values(), strict=True)), row


def test_share_curve_is_printed_and_drawn(pack):
    e, _, pages, _ = pack
    misaim, share = e.share_curve
    row = next(r for r in rows_after(text_of(pages), "light caught %", 13))
    assert all(same(a, 100 * b) for a, b in zip(row, share[::5], strict=True))
    curve = max(strokes(pages[1]), key=len)
    assert len(curve) == len(misaim)
    left, width = curve[0, 0], np.ptp(curve[:, 0])
    assert curve[:, 0] == pytest.approx(left + width * misaim / 6, abs=0.02)
    drop = curve[:, 1] - curve[:, 1].min()
    assert drop == pytest.approx(drop.max() * (share.max() - share) / np.ptp(share), abs=0.02)


def test_levers_are_printed_largest_first(pack):
    e, _, pages, _ = pack
    text = text_of(pages)
    assert f"Minutes to the target, {e.levers[0].base / 60:.1f} as designed" in text
    places = []
    for lever in e.levers[:8]:
        start = text.index(f"{lever.words} ", text.index("Minutes to the target"))
        below, above = text[start + len(lever.words) :].split()[:2]
        for printed, value in ((below, lever.below), (above, lever.above)):
            assert printed == "never" if np.isinf(value) else same(printed, value / 60), lever.name
        places.append(start)
    assert places == sorted(places)


def test_no_output_of_the_evaluation_is_left_out():
    """What is neither printed here nor read back elsewhere would be worked out for nobody."""
    outputs = {one.name for one in fields(Evaluation)} | {
        name for name, one in vars(Evaluation).items() if isinstance(one, (cached_property, property))
    }  # fmt: skip
    source = {name for value, _ in PRINTED.values() for name in value.__code__.co_names}
    tables = {"winds", "loss_table", "dry_pipe_c", "heat_balance", "share_curve", "levers", "bands"}
    assert outputs - INPUTS == (source & outputs) | tables | ELSEWHERE
