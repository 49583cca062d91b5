"""How it goes together: a drawing to scale, numbered parts, at most ten steps each with its check.

Outside authority: PyEphem for the tilts that the lock must hold.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import ephem
import numpy as np
import pytest

from solarlib.design import demo, evaluate
from solarlib.pack import build
from solarlib.pack.facts import Facts
from tests.pdf_reading import DAY, opened, outside_border, strokes, words_of

SCALE = 0.15  # mm on paper: the drawing's lines are read back to this
DESIGNS = {
    "demo": (demo(), "a4"),
    "wide": (replace(demo(), aperture_width=0.9, focal_length=0.25, half_base=0.5, end_shields=True,
                     rib_count=6, wind_height=1.0, trough_length=1.5, tube_length=2.2), "letter"),
    "silent": (replace(demo(), plumbing=None, wood_gap=None, half_base=1.5, wind_height=0.2,
                       latitude_deg=-34.0), "letter"),
}  # fmt: skip


@pytest.fixture(scope="module", params=DESIGNS)
def pack(request):
    design, size = DESIGNS[request.param]
    facts = Facts.of(evaluate(design), DAY, "ilvane-07")
    document = opened(build.pdf(facts, size))
    (page,) = (one for one in document if "How it goes together" in one.get_text())
    return facts, document, page


def test_drawing_is_to_scale(pack):
    """Both views by one scale: opening, mirror, pipe, height of the focus, base and stand."""
    facts, _, page = pack
    d, e = facts.design, facts.evaluation
    lines = strokes(page)
    curve = max(lines, key=len)
    scale = np.ptp(curve[:, 0]) / (1000 * d.aperture_width)  # paper / real
    assert 0.01 < scale < 0.2
    assert np.ptp(curve[:, 1]) == pytest.approx(1000 * e.depth * scale, abs=SCALE)
    vertex = curve[:, 1].max()
    ground = vertex + scale * 1000 * (d.wind_height - e.depth / 2)

    def has(across, top, bottom):
        """Some line or box of this size [m] between two heights [mm on paper]."""
        return any(
            abs(np.ptp(one[:, 0]) - 1000 * across * scale) < SCALE
            and abs(one[:, 1].min() - top) < SCALE and abs(one[:, 1].max() - bottom) < SCALE
            for one in lines
        )  # fmt: skip

    focus, pipe = vertex - 1000 * d.focal_length * scale, 500 * d.tube_diameter * scale
    assert has(d.tube_length, focus - pipe, focus + pipe)
    assert has(d.trough_length, vertex - 1000 * e.depth * scale, vertex)
    assert has(2 * d.half_base, ground, ground)


def test_every_number_in_the_drawing_is_a_part_of_the_cut_list(pack):
    facts, document, page = pack
    text = " ".join(page.get_text().split())
    parts = {part.name for part in facts.evaluation.cut_list}
    names = re.findall(r"(?<![\d.])(\d{1,2}) ([a-z ]+?), (?:\d+ ×|1 ×)", text)
    assert [int(number) for number, _ in names] == list(range(1, len(names) + 1))
    assert {name for _, name in names} <= parts
    wanted = {"rib", "mirror sheet", "pipe", "end bracket", "stand", "tilt lock", "hose", "pot",
              "cover cloth"}  # fmt: skip
    assert wanted <= {name for _, name in names}
    assert ("end shield" in {name for _, name in names}) == facts.design.end_shields
    balloons = [word[4] for word in page.get_text("words")]
    for number, _ in names:  # once in the drawing, once in the list
        assert balloons.count(number) >= 2, number
    assert outside_border(document) == []


def test_at_most_ten_steps_each_with_its_check(pack):
    facts, _, page = pack
    d, e = facts.design, facts.evaluation
    text = " ".join(page.get_text().split())
    steps = text.split("Check:")
    assert 6 <= len(steps) - 1 <= 10
    for phrase in (
        f"the {d.rib_count} blanks", f"about {1000 * d.trough_length / (d.rib_count - 1):.0f} mm",
        f"base {2000 * d.half_base:.0f} mm across", "licensed", "film", "Cover on",
        f"{1000 * d.focal_length:.1f} mm above the vertex", "no valve, no cap",
        f"This pack: {facts.identity.mark or facts.state}; not a permission to build",
    ):  # fmt: skip
        assert phrase in text, phrase
    assert not re.search(r"\bsafe", text)
    slide = next(one.limit for one in e.constraints if one.id == "C8")
    assert f"{np.ceil(2000 * slide) / 2:.1f} mm" in text
    lowest = max(word[3] for word in page.get_text("words") if word[4].startswith(("build", "pack:")))
    assert lowest < page.search_for("200 mm across")[0].y0
    # the mirror comes late, under its cover, and is uncovered last
    order = [text.index(word) for word in ("datum holes", "rails", "tilt lock tight", "Mirror sheet last",
                                           "Cover on", "signs")]  # fmt: skip
    assert order == sorted(order)


# --- stand and tilt lock in the cut list --------------------------------------------------------
@pytest.mark.parametrize("latitude", [38.0, -34.0, 10.0])
def test_tilt_lock_holds_every_noon_of_the_months_of_use(latitude):
    """Noon altitude and side of every day of the months, by PyEphem; the session's share beyond."""
    d = replace(demo(), latitude_deg=latitude)
    place, sun = ephem.Observer(), ephem.Sun()
    place.lat, place.lon, place.pressure = str(latitude), str(d.longitude_deg), 0
    tilts = []
    for n in range(365):
        day = date(2026, 1, 1) + timedelta(days=n)
        if day.month in d.months:
            place.date = day.isoformat()
            place.date = place.next_transit(sun)
            sun.compute(place)
            tilts.append((latitude - np.degrees(float(sun.dec))) * np.sign(latitude))
    least, most = min(tilts) - d.aim_session_deg, max(tilts) + d.aim_session_deg
    note = next(part.note for part in evaluate(d).cut_list if part.name == "tilt lock")
    found = re.search(r"holds any tilt from (\d+)° ([NS]) to (\d+)° ([NS])", note)
    equator = "S" if latitude > 0 else "N"
    low, high = (float(size) * (1 if side == equator else -1)
                 for size, side in (found.group(1, 2), found.group(3, 4)))  # fmt: skip
    assert low <= least + 0.02 and high >= most - 0.02  # the almanac's formula is good to 0.01°
    assert low > least - 1.02 and high < most + 1.02


def test_stand_is_as_wide_as_stated_and_the_rest_is_left_to_fill_in():
    e = evaluate(replace(demo(), half_base=0.42, wind_height=0.81))
    stand = next(part for part in e.cut_list if part.name == "stand")
    assert stand.length == pytest.approx(0.84) and stand.width == 0
    assert "810 mm" in stand.note and "your own timber: ____" in stand.note
    lock = next(part for part in e.cut_list if part.name == "tilt lock")
    assert "____" in lock.note
    text = words_of(opened(build.pdf(Facts.of(e, DAY), "a4")))
    assert "stand 1 840" in text and "your own timber: ____" in text


def test_a_trough_that_follows_the_sun_tilts_east_and_west():
    d = replace(demo(), axis="north-south", latitude_deg=0.0, months=(3,), session_half_h=2.0)
    note = next(part.note for part in evaluate(d).cut_list if part.name == "tilt lock")
    found = re.search(r"from (\d+)° E to (\d+)° W", note)
    # on the equator at the equinox the sun turns 15° an hour: 30° in 2 h, 0.7° of session share;
    # on 1 and 31 March it stands up to 8° off the equator: tan 30.2° = tan 30° / cos 8°
    assert found[1] == found[2] and 31 <= float(found[1]) <= 32
