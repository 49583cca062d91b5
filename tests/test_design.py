"""The whole heater: published table, files, checked items, plumbing, band and levers."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlib import heat
from solarlib.design import (
    GROUPS,
    DesignError,
    HeaterDesign,
    Link,
    Plumbing,
    PlumbingError,
    demo,
    evaluate,
    ways_out,
)
from solarlib.design.entries import limits, range_text
from solarlib.design.nearest import apply
from solarlib.design.plumbing import AIR
from solarlib.evidence import rows

DEMO = demo()
TABLE = 0.02  # relative: the whole-heater table was made by two codes that differ by 1 %
BAND = 0.05  # relative: percentiles of two independent samplings


# --- the published table -----------------------------------------------------------------------
def _design(i):
    """The row's heater; the demo base case fills in what a row does not change."""
    glass = {"cover": "glass tube", "cover_transmittance": i.tau} if hasattr(i, "glass") else {}
    return HeaterDesign(
        aperture_width=i.W_m,
        trough_length=i.L_m,
        focal_length=i.f_m,
        tube_diameter=i.D_m,
        tube_wall=i.wall_m,
        tube_length=i.L_tube_m,
        beam_noon=i.DNI_W_m2,
        usual_incidence_deg=i.incidence_deg,
        reflectance_used=i.rho,
        reflectance_clean=max(0.85, i.rho),
        absorptance=i.alpha,
        emittance=i.eps,
        slope_error_mrad=i.slope_mrad,
        usual_misaim_deg=i.misaim_deg,
        tube_dy=i.dy_mm / 1000,
        air_c=i.Ta_C,
        site_wind=i.wind_m_s,
        shelter=1.0,
        elevation=i.altitude_m,
        water_mass=i.pot_water_kg,
        pot_volume=max(0.008, i.pot_water_kg / 1000),
        pot_heat_capacity=i.pot_heat_capacity_J_K,
        pot_loss=i.pot_UA_W_K,
        start_c=i.pot_start_C,
        **glass,
    )


def _tube_minutes(i):
    e = evaluate(_design(i))
    run = heat.warm_up(e.pipe_only, e.absorbed, i.Ta_C, 7200, target_c=90.0)
    return run.seconds_to_target / 60


def _dry(i):
    """Per lit metre, square to the sun; the design's own dry pipe takes the same road."""
    d = _design(i)
    return evaluate(d).dry_pipe_c[0] if i.wind_m_s == 0 else evaluate(d).dry_pipe_c[1]


def _rate(heater, e, temp):
    return heater.heating_rate(e.absorbed, temp) * 60


ADAPTERS = {
    "water in the 1.40 m tube": lambda i: 1000 * _design(i).tube_water,
    "heat capacity, tube only": lambda i: evaluate(_design(i)).pipe_only.heat_capacity,
    "heat capacity, 6.0 kg water + tube + pot": lambda i: evaluate(_design(i)).heater.heat_capacity,
    "initial heating rate, tube only": lambda i: _rate(
        (e := evaluate(_design(i))).pipe_only, e, i.Ta_C
    ),
    "initial heating rate, pot at 18 C": lambda i: _rate(
        (e := evaluate(_design(i))).heater, e, i.pot_start_C
    ),
    "absorbed power": lambda i: evaluate(_design(i)).absorbed,
    "tube-only plateau temperature (lumped, 1.40 m loses)": lambda i: (
        e := evaluate(_design(i))
    ).pipe_only.plateau_c(e.absorbed),
    "tube-only minutes from air temperature to 90 C": _tube_minutes,
    "power surplus at the local boiling point": lambda i: evaluate(_design(i)).surplus_at_boiling,
    "6 L pot, minutes 18 to 55 C": lambda i: evaluate(_design(i)).seconds_to_target / 60,
    "6 L pot, temperature after 120 min from 18 C": lambda i: evaluate(_design(i)).warm_up.at(7200),
    "6 L pot, plateau temperature": lambda i: evaluate(_design(i)).plateau_c,
    "dry pipe, mid-length temperature (per-metre balance)": _dry,
    "optical efficiency product 0.82 x 0.92 x 0.90 x 618/640": lambda i: (
        DEMO.reflectance_used * DEMO.absorptance * 0.90 * (1 - 1 / evaluate(DEMO).width_ratio)
    ),
}
SYSTEM = {row.id: row for row in rows("system")}


@pytest.mark.parametrize("number", [n for n, row in SYSTEM.items() if row.quantity in ADAPTERS])
def test_published_rows_through_a_whole_design(number):
    row = SYSTEM[number]
    value = float(ADAPTERS[row.quantity](row.inputs))
    assert value == pytest.approx(row.expected, abs=row.tolerance), row.source


def test_only_measured_efficiencies_are_left_to_another_test():
    left = {row.quantity for row in SYSTEM.values()} - set(ADAPTERS)
    assert all(quantity.startswith(("combined relative", "useful power")) for quantity in left)
    assert set(ADAPTERS) <= {row.quantity for row in SYSTEM.values()}


# One change at a time from the base case: power W, pipe alone (K/min at the start, plateau C,
# minutes to 90 C), surplus W at boiling, pot (minutes 18-55 C, C after 2 h, plateau C). Two
# independent codes, recomputed; None where the table gives nothing.
ONE_CHANGE = {
    "base": ({}, 350, 9.6, 139, 10.1, 126, 57, 79, 108),
    "clean": ({"rho": 0.85}, 362, 9.9, 142, 9.6, 138, 54, 81, 110),
    "dirty": ({"rho": 0.65}, 282, 7.7, 118, 14.6, 58, 75, 68, 92),
    "best mirror": ({"rho": 0.92}, 390, 10.7, 150, 8.7, 166, 50, 86, 117),
    "good": ({"slope_mrad": 5, "misaim_deg": 0}, 362, 9.9, 142, 9.7, 138, 54, 81, 110),
    "12 mrad": ({"slope_mrad": 12}, 329, 9.0, 132, 11.2, 105, 61, 76, 103),
    "30 mrad": ({"slope_mrad": 30}, 222, 6.1, 99, 26, -2, 107, 58, 77),
    "1.5 deg": ({"misaim_deg": 1.5}, 332, 9.1, 133, 11.0, 108, 61, 76, 103),
    "4 deg": ({"misaim_deg": 4}, 82, 2.2, 51, np.inf, -142, np.inf, 34, 42),
    "5 mm off": ({"dy_mm": 5}, 330, 9.1, 133, 11.1, 106, 61, 76, 103),
    "15 mm off": ({"dy_mm": 15}, 216, 5.9, 97, 28, -8, 111, 57, 76),
    "square": ({"incidence_deg": 0}, 355, 9.8, 140, 9.9, 132, 56, 80, 109),
    # at 45 deg the table's codes leave out slope errors along the trough: 1.5 % more light than
    # rays find, which near boiling is 4 % of the tube's time; that entry is not compared
    "45 deg": ({"incidence_deg": 45}, 250, 6.8, 108, None, 26, 89, 62, 84),
    "fresh paint": ({"alpha": 0.95}, 361, 9.9, 142, 9.7, 138, 54, 81, 110),
    "dull": ({"alpha": 0.40, "eps": 0.20}, 152, 4.2, 90, np.inf, -24, 185, 48, 66),
    "bright": ({"alpha": 0.25, "eps": 0.05}, 95, 2.6, 67, np.inf, -70, np.inf, 38, 51),
    "selective": ({"eps": 0.10}, 350, 9.7, 182, 9.1, 181, 54, 83, 126),
    "0.35 m/s": ({"wind_m_s": 0.35}, 350, 9.6, 167, 9.0, 184, 54, 84, 124),
    "1.5 m/s": ({"wind_m_s": 1.5}, 350, 9.6, 121, 11.5, 79, 59, 75, 97),
    "warm air": ({"Ta_C": 35}, 350, 9.6, 149, 7.5, 161, 48, 87, 119),
    "little loss": ({"pot_UA_W_K": 0.6}, 350, None, None, None, None, 55, 83, 121),
    "much loss": ({"pot_UA_W_K": 2.4}, 350, None, None, None, None, 62, 72, 89),
    "3 kg": ({"pot_water_kg": 3}, 350, None, None, None, None, 30, 98, 108),
    "12 kg": ({"pot_water_kg": 12}, 350, None, None, None, None, 111, 57, 108),
    "15 mm pipe": ({"D_m": 0.015, "wall_m": 0.0007}, 305, 18.2, 151, 5.1, 130, 64, 75, 110),
    "28 mm pipe": ({"D_m": 0.028}, 362, 6.1, 126, 17.2, 100, 56, 78, 101),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_CHANGE)
def test_one_change_at_a_time(name):
    change, *table = ONE_CHANGE[name]
    base = SYSTEM["sys-001"].inputs
    inputs = type(base)(**{**vars(base), **change})
    e = evaluate(_design(inputs))
    tube = heat.warm_up(e.pipe_only, e.absorbed, inputs.Ta_C, 7200, target_c=90.0)
    found = (
        e.absorbed,
        _rate(e.pipe_only, e, inputs.Ta_C),
        e.pipe_only.plateau_c(e.absorbed),
        tube.seconds_to_target / 60,
        e.surplus_at_boiling,
        e.seconds_to_target / 60,
        e.warm_up.at(7200),
        e.plateau_c,
    )
    for value, expected in zip(found, table, strict=True):
        if expected is None:
            continue
        rounding = 0.5 if isinstance(expected, int) else 0.05  # half of the last printed digit
        # a surplus is a difference of two large powers: 2 % of the power that comes in
        size = e.absorbed if expected == table[4] else abs(expected)
        if expected == np.inf:
            assert value > 12_000 / 60
        else:
            assert value == pytest.approx(expected, abs=TABLE * size + rounding)


def test_band_of_a_day_in_may_as_published():
    """Sun 10 %, optics 10 %, site wind 0.5-4 m/s: median 57.5, 5-95 % 44-82 min (recomputed)."""
    band = evaluate(DEMO).band
    minutes = np.array([band.soonest, band.median, band.latest]) / 60
    assert minutes == pytest.approx(np.array([44, 57.5, 82]), rel=BAND)
    again = evaluate(DEMO, seed=0).band
    assert again.median == band.median
    assert evaluate(DEMO, seed=1).band.median != band.median


def test_a_session_at_the_equinox_as_published():
    """Start an hour before noon on 20 March, beam about 820 W/m2: temperatures after 15, 30 ..
    120 min and minutes to 55 C (recomputed with a constant beam; ours follows the clear sky)."""
    e = evaluate(DEMO, "2026-03-20")
    table = [29.6, 39.8, 48.9, 56.9, 63.8, 69.8, 74.9, 79.2]
    found = e.warm_up.at(900.0 * np.arange(1, 9))
    assert found == pytest.approx(np.array(table), abs=0.35)
    assert e.seconds_to_target / 60 == pytest.approx(56, abs=1)
    # an instant says the same as the date's own start
    from solarlib import sun

    start = sun.solar_noon("2026-03-20", DEMO.longitude_deg)
    at_noon = evaluate(DEMO, start)
    assert at_noon.incidence_deg == pytest.approx(0, abs=0.01)
    assert at_noon.beam == pytest.approx(820, abs=1)


def test_energy_adds_up():
    e = evaluate(DEMO)
    assert abs(e.warm_up.imbalance) < 0.001
    for state in e.heat_balance:
        assert state["absorbed"] == pytest.approx(state["lost"] + state["useful"])
    assert e.energy_needed == pytest.approx(0.929e6, rel=0.001)  # published, c 4186


def test_course_numbers_of_the_demo():
    """Numbers the course prints, each a closed form or published beside the physics."""
    e = evaluate(DEMO)
    assert e.depth == pytest.approx(0.1506, abs=5e-5)
    assert e.sheet_width == pytest.approx(0.7248, abs=5e-5)
    assert e.area_ratio == pytest.approx(8.94, abs=0.005)
    assert e.overhang_needed == pytest.approx(0.185, abs=5e-4)
    assert e.wood_distance == pytest.approx(0.057, abs=5e-4)
    assert e.wind_force == pytest.approx(198, abs=0.5)
    assert e.ballast_needed == pytest.approx(65, abs=0.5)
    assert e.minutes_in_band / 2 == pytest.approx(82, abs=0.5)
    assert e.optical_efficiency == pytest.approx(0.74, abs=0.005)
    assert e.sheet_growth == pytest.approx(0.0032, abs=6e-5)
    assert e.dry_worst_c == pytest.approx(288, abs=8)
    assert len(e.calendar(2026)) == 83  # lines at ±0.5 deg
    assert e.noon_tilts(2026)[5][1] == pytest.approx(14.6, abs=0.05)
    assert e.template_pages == 2


def test_loss_table_has_three_winds_and_grows_with_wind_and_heat():
    table = evaluate(DEMO).loss_table
    assert table.shape == (3, 5)
    assert np.all(np.diff(table, axis=0) > 0) and np.all(np.diff(table, axis=1) > 0)


def test_cut_list_of_the_demo():
    """Counts of the course's first draft: common practice, no source."""
    parts = {part.name: part for part in evaluate(DEMO).cut_list}
    assert parts["rib"].count == 4 and parts["rim screw"].count == 22
    assert parts["rib screw"].count == 24
    assert parts["mirror sheet"].width == pytest.approx(0.745, abs=5e-4)
    priced = replace(DEMO, prices=(("rib", 3.5), ("pipe", 12.0), ("gold", 9.0)))
    assert evaluate(priced).cost == 4 * 3.5 + 12.0


# --- levers ------------------------------------------------------------------------------------
def test_levers_agree_with_changing_the_input_by_hand():
    """Every number of a design is moved; most change nothing, and the levers say so."""
    e = evaluate(DEMO)
    levers = {lever.name: lever for lever in e.levers}
    numbers = {one.name: one for one in fields(HeaterDesign) if one.metadata["kind"] == "number"}
    assert set(levers) == {n for n, one in numbers.items() if n != "rib_count"}
    for name, lever in levers.items():
        low, high = limits(numbers[name])
        for factor, found in ((0.9, lever.below), (1.1, lever.above)):
            value = min(max(getattr(DEMO, name) * factor, low), high)
            change = {name: value}
            if name == "trough_length":  # the pipe sticks out as before
                change["tube_length"] = DEMO.tube_length + value - DEMO.trough_length
            if name == "reflectance_used":
                change["reflectance_clean"] = max(DEMO.reflectance_clean, value)
            try:
                changed = evaluate(replace(DEMO, **change))
            except DesignError:
                assert found == lever.base
                continue
            assert changed.seconds_to_target == pytest.approx(found, rel=1e-4), name
    effects = [lever.effect for lever in e.levers]
    assert effects == sorted(effects, reverse=True)
    assert levers["reflectance_used"].above < levers["reflectance_used"].base


def test_sun_and_a_clean_mirror_beat_a_finer_curve():
    """What the course tells: reflectance 6 to 8 minutes, surface about 0.8, wind about 0.5 (its
    part F8, from a model of its own; a tenth of a minute of agreement is all that is claimed)."""
    minutes = {lever.name: [abs(t - lever.base) / 60 for t in (lever.below, lever.above)]
               for lever in evaluate(DEMO).levers}  # fmt: skip
    assert 5.5 < min(minutes["reflectance_used"]) < max(minutes["reflectance_used"]) < 8.5
    assert 0.6 < min(minutes["slope_error_mrad"]) < max(minutes["slope_error_mrad"]) < 1.0
    assert 0.3 < min(minutes["site_wind"]) < max(minutes["site_wind"]) < 0.65


# --- what would help -------------------------------------------------------------------------------
HELPLESS = {"beam_noon": 400.0, "usual_incidence_deg": 80.0, "slope_error_mrad": 60.0}
OPEN = [
    ({"stock_width": 0.5}, "C1", ("stock_width", 0.745)),  # 724.8 + 2 × 10 mm, rounded up
    ({"sheet_thickness": 0.002}, "C2", ("sheet_thickness", 0.34 / 330)),
    ({"focal_length": 0.3}, "C3", ("focal_length", 0.160 / np.tan(np.radians(30)))),
    ({"calendar_band_deg": 1.0}, "C6", ("calendar_band_deg", 0.5)),
    ({"slot_clearance": 0.001}, "C8", None),
    ({"tube_length": 0.9}, "C9a", ("tube_length", 1.271)),  # 900 + 2 × 185.1 mm
    ({"stop_c": 80.0}, "C13", ("stop_c", 60.0)),
    ({"stored_indoors": False}, "C14", ("ballast", 66.0)),
    ({"left_after_drain": 1e-3}, "C15", ("left_after_drain", 50e-6)),
    ({"water_mass": 20.0, "pot_volume": 0.03}, "C7", None),
    ({"stop_c": 40.0}, "C7", ("stop_c", 55.0)),
    ({"cover_cloth": "none", "wood_gap": 0.0}, "C11", None),
    ({"on_roof": True, "use": "drinking"}, "C12", None),
]  # fmt: skip
NEAR = 0.03  # relative: the search halves its steps and rounds to a tidy number on the good side


@pytest.mark.parametrize(("change", "item", "nearest"), OPEN)
def test_every_change_named_meets_its_item_and_names_what_it_spoils(change, item, nearest):
    e = evaluate(replace(DEMO, **change))
    found = e.what_if(item)
    assert found
    met = {one.id for one in e.constraints if one.met}
    for one in found:
        after = {c.id: c.met for c in evaluate(apply(e.design, one.entries)).constraints}
        assert after[item] is True
        assert set(one.breaks) == {name for name in met if after[name] is not True}
        assert one.sentence.startswith("With ") and one.sentence.endswith(".")
        assert "nan" not in one.sentence and "safe" not in one.sentence
    if nearest:
        values = dict(entry for one in found for entry in one.entries)
        assert values[nearest[0]] == pytest.approx(nearest[1], rel=NEAR)


def test_a_design_beyond_help_is_told_so_in_words():
    e = evaluate(replace(DEMO, **HELPLESS))
    reason = next(one.reason for one in e.constraints if one.id == "C7")
    assert "never reached: the water comes to rest at" in reason
    assert e.what_if("C7") == () and e.what_if("C1") == ()  # nothing found; nothing to mend
    with pytest.raises(ValueError, match="There is no item"):
        e.what_if("C99")


@pytest.mark.parametrize(("links", "words"), [
    (["pot - open air: valve"], "open instead of “valve”"),
    ([], "an open vent on pot"),
])  # fmt: skip
def test_plumbing_is_mended_by_one_thing(links, words):
    plumbing = Plumbing.from_words({"pipe": 0.8, "pot": 1.2}, ["pipe - pot: joint", *links])
    found = evaluate(replace(DEMO, plumbing=plumbing)).what_if("C10")
    assert any(words in one.sentence for one in found)


def test_a_pipe_off_the_focus_is_judged_by_its_worse_side():
    """To one side a shifted pipe mends an aim error, to the other it makes it worse."""
    shifted = evaluate(replace(DEMO, tube_dx=-0.004))
    mirrored = evaluate(replace(DEMO, tube_dx=0.004))
    assert shifted.share_at_budget == pytest.approx(mirrored.share_at_budget)
    assert shifted.share_at_budget < evaluate(DEMO).share_at_budget


def test_bands_are_seeded_and_hold_the_middle():
    e = evaluate(DEMO)
    for name, value in (("session_energy", e.session_energy), ("final_c", e.warm_up.at(7200)),
                        ("seconds_to_target", e.seconds_to_target)):  # fmt: skip
        low, middle, high = e.bands[name]
        assert low <= middle <= high and low <= value <= high, name
    assert evaluate(DEMO).bands == e.bands != evaluate(DEMO, seed=1).bands


def test_brackets_are_cut_for_their_pipe():
    """Pipe + 2 × 18 mm air + 2 × 15 mm of moving, 16 mm of wood above, 30 mm of foot below."""
    for diameter, wall in ((0.022, 0.0009), (0.028, 0.0009), (0.042, 0.002)):
        parts = {p.name: p for p in
                 evaluate(replace(DEMO, tube_diameter=diameter, tube_wall=wall)).cut_list}  # fmt: skip
        opening = diameter + 0.036
        assert parts["end bracket"].width == pytest.approx(opening + 4 * 0.015)
        assert parts["end bracket"].length == pytest.approx(
            0.030 + 0.170 + opening / 2 + 0.015 + 0.016)  # fmt: skip


def test_rim_screws_keep_off_the_sawn_ends():
    for length in (0.5, 0.9, 2.0):
        d = replace(DEMO, trough_length=length, tube_length=length + 0.5)
        along = evaluate(d).screws.along
        assert along[-1] == pytest.approx(length / 2 - 0.015) and along[0] == -along[-1]


# --- entries and files ---------------------------------------------------------------------------
def test_every_entry_says_what_it_is():
    for one in fields(HeaterDesign):
        assert one.metadata["group"] in GROUPS
        assert one.metadata["words"]
        if one.metadata["kind"] == "number":
            low, high = limits(one)
            assert low <= one.metadata["demo"] <= high, range_text(one)


def test_a_design_survives_its_file(tmp_path):
    changed = replace(
        DEMO, name='Pim\'s "second" trough \\ ⚙', aperture_width=0.0254 * 25, tube_dy=-0.0031,
        prices=(("rib", 3.15), ("pipe", 12.0)), months=(1, 12), bar_across=None,
        plumbing=Plumbing((("pipe", 0.5), ("pot", 1.0)), (Link("pipe", "pot"), Link("pot", AIR))),
    )  # fmt: skip
    for design in (DEMO, HeaterDesign(), changed):
        file = tmp_path / "design.toml"
        file.write_text(design.to_toml(), encoding="utf-8")
        again = HeaterDesign.from_toml(file)
        for one in fields(HeaterDesign):
            value = getattr(design, one.name)
            if isinstance(value, float):
                value = pytest.approx(value, rel=1e-9, abs=1e-12)
            assert getattr(again, one.name) == value, one.name


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_any_number_survives_its_file(data):
    numbers = [one for one in fields(HeaterDesign) if one.metadata["kind"] == "number"]
    one = data.draw(st.sampled_from(numbers))
    low, high = limits(one)
    value = data.draw(st.floats(low, high))
    try:
        design = replace(DEMO, **{one.name: value})
    except DesignError:
        return
    again = HeaterDesign.from_text(design.to_toml())
    assert getattr(again, one.name) == pytest.approx(getattr(design, one.name), rel=1e-8, abs=1e-9)


def test_numbers_may_carry_any_unit():
    text = """
    [trough]
    aperture_width = "25 3/16 in"
    focal_length = 170
    [mirror]
    reflectance_used = "82 %"
    slope_error_mrad = "0.4583662 deg"
    [need]
    latest_time = "2 h"
    start_c = "64.4 °F"
    [plumbing]
    left_after_drain = 0.02e3
    """
    d = HeaterDesign.from_text(text)
    assert d.aperture_width == pytest.approx(0.0254 * (25 + 3 / 16))
    assert d.focal_length == 0.170
    assert d.reflectance_used == 0.82
    assert d.slope_error_mrad == pytest.approx(8.0, rel=1e-6)
    assert d.latest_time == 7200
    assert d.start_c == pytest.approx(18.0)
    assert d.left_after_drain == pytest.approx(20e-6)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[trough]\nfocal_lenght = 170", "did you mean focal_length"),
        ("[tough]", "did you mean trough"),
        ("[need]\nfocal_length = 170", r"belongs under \[trough\]"),
        ('[trough]\nfocal_length = "5 kg"', "focal_length: .*is a mass; a length is asked for"),
        ("[trough]\nfocal_length = 1700", r"focal_length .* is 1700 mm; .*90 to 500 mm"),
        ("[trough]\nfocal_length = true", "focal_length .* is True; give a number"),
        ("[trough]\nfocal_length = nan", "focal_length .* is nan mm"),
        ("[trough]\nfocal_length = [1]", "give a number"),
        ('[pipe]\ncover = "glas"', "cover is 'glas'; use one of “none”"),
        ("[control]\nattended_only = 1", "attended_only is 1; write true or false"),
        ("[ribs]\nrib_count = 3.5", "rib_count is 3.5; give a whole number"),
        ("[site]\nmonths = [13]", "list months by number"),
        ("[paper]\nprices = { rib = 'cheap' }", "price of “rib”"),
        ("[paper]\nprices = 3", "write parts and prices"),
        ('[need]\nstart_c = "30 °C"\ntarget_c = "35 °C"\n[site]\nname = 3', "name must be text"),
        ("[pipe]\ntube_length = 800", "shorter than trough_length"),
        ("[pipe]\ntube_wall = 3\ntube_diameter = 8\n[trough]", None),
        ('[pipe]\ncover = "glass tube"\ncover_inner = 20', "cover_inner is 20 mm"),
        ("[mirror]\nreflectance_used = 0.9", "never cleaner"),
        ("[need]\nwater_mass = 20", "does not fit"),
        ("trough = 3", "put its entries under"),
        ("[trough", "not readable as TOML"),
        ("[plumbing]\nplumbing = 3", "heights"),
        ("[plumbing]\nplumbing = {heights = {pot = 'high'}, links = []}", "cannot be read"),
        ("[plumbing]\nplumbing = {heights = {pot = 1}, links = ['pot']}", "is no link"),
        ("[plumbing]\nplumbing = {heights = {pot = 1}, links = ['pot - tank']}", "no part"),
    ],
)
def test_a_bad_file_gets_one_clear_sentence(text, words):
    if words is None:  # thick wall, thin pipe: a bore of 2 mm is odd but possible
        assert HeaterDesign.from_text(text).pipe.bore == pytest.approx(0.002)
        return
    with pytest.raises(DesignError, match=words) as error:
        HeaterDesign.from_text(text, "my-heater.toml")
    assert "my-heater.toml" in str(error.value)
    assert "\n" not in str(error.value).rstrip() or "TOML" in str(error.value)


def test_missing_and_foreign_files_are_refused_kindly(tmp_path):
    with pytest.raises(DesignError, match="no file"):
        HeaterDesign.from_toml(tmp_path / "nothing.toml")
    picture = tmp_path / "picture.toml"
    picture.write_bytes(b"\x89PNG\xff\xfe")
    with pytest.raises(DesignError, match="not a text file"):
        HeaterDesign.from_toml(picture)
    with pytest.raises(DesignError, match="is not a file"):
        HeaterDesign.from_toml(tmp_path)
    huge = tmp_path / "huge.toml"
    huge.write_text("#" * 300_000)
    with pytest.raises(DesignError, match="too large"):
        HeaterDesign.from_toml(huge)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=80))
def test_any_text_gives_a_design_or_a_clear_error(text):
    try:
        HeaterDesign.from_text(text)
    except DesignError as error:
        assert str(error)


# --- checked items -----------------------------------------------------------------------------
def test_the_demo_meets_every_item_and_nothing_is_called_safe():
    e = evaluate(DEMO)
    assert [one.id for one in e.constraints if one.met is not True] == []
    assert e.gates_open == ()
    words = " ".join(f"{one.name} {one.reason} {one.change}" for one in e.constraints)
    assert "safe" not in words.lower()
    assert len({one.id for one in e.constraints}) == 17


def test_what_is_not_stated_never_passes():
    """An empty file must not inherit the demo's precautions."""
    items = {one.id: one for one in evaluate(HeaterDesign()).constraints}
    for number in ("C8", "C9", "C10", "C11", "C12", "C13", "C14", "C15", "C16"):
        assert items[number].met is None
        assert "Not stated" in items[number].reason and items[number].change
    assert len(evaluate(HeaterDesign()).gates_open) == 4


def _links(*lines):
    return Plumbing.from_words(dict(Plumbing().parts), list(lines))


BROKEN = {  # one change -> the items it breaks
    "C1": {"stock_width": 0.740},
    "C2": {"sheet_thickness": 0.0011},
    "C3": {"focal_length": 0.290, "tube_dy": 0.0},
    "C4": {"slope_error_mrad": 12.0},
    "C5": {"focal_length": 0.200},
    "C6": {"aim_session_deg": 0.9},
    "C7": {"latest_time": 3000.0},
    "C8": {"slot_clearance": 0.007},
    "C9": {"dry_out_control": " "},
    "C9a": {"tube_length": 1.25},
    "C10": {"plumbing": _links("pipe - rising hose", "rising hose - pot: valve",
                               "pot - open air", "pot - return hose")},
    "C11": {"wood_distance": 0.050},
    "C12": {"on_roof": True},
    "C13": {"stop_c": 70.0},
    "C14": {"stored_indoors": False},
    "C15": {"left_after_drain": 60e-6},
    "C16": {"bar_across": 0.194},
}  # fmt: skip


@pytest.mark.parametrize("number", BROKEN)
def test_each_item_breaks_alone_and_says_what_helps(number):
    items = {one.id: one for one in evaluate(replace(DEMO, **BROKEN[number])).constraints}
    broken = {one.id for one in items.values() if one.met is not True}
    allowed = {"C3": {"C3", "C4", "C5", "C11"}}.get(number, {number})
    assert number in broken and broken <= allowed
    item = items[number]
    assert item.met is False
    assert item.reason.endswith(".") and len(item.change) > 10
    assert item.state == "not met"


@pytest.mark.parametrize(
    ("number", "broken", "cure"),
    [
        ("C1", {"stock_width": 0.740}, {"stock_width": 0.745}),
        ("C2", {"sheet_thickness": 0.0011}, {"focal_length": 0.1815}),
        ("C8", {"slot_clearance": 0.007}, {"slot_clearance": 0.008}),
        ("C9a", {"tube_length": 1.25}, {"tube_length": 1.271}),
        ("C11", {"wood_distance": 0.050}, {"wood_distance": 0.058}),
        ("C14", {"stored_indoors": False}, {"ballast": 65.0}),
    ],
)
def test_the_change_that_is_named_does_help(number, broken, cure):
    design = replace(DEMO, **broken)
    before = {one.id: one for one in evaluate(design).constraints}[number]
    after = {one.id: one for one in evaluate(replace(design, **cure)).constraints}[number]
    assert before.met is False and after.met is True
    assert any(digit.isdigit() for digit in before.change)


def test_brazed_joints_outlast_a_dry_pipe_without_a_rule():
    items = {
        one.id: one
        for one in evaluate(replace(DEMO, joint="brazed", dry_out_control="")).constraints
    }
    assert items["C9"].met is True


def test_frost_turns_draining_into_a_hard_item():
    design = replace(DEMO, frost=True)
    kinds = {one.id: one.kind for one in evaluate(design).constraints}
    assert kinds["C15"] == "hard"


# --- plumbing ----------------------------------------------------------------------------------
PARTS = {"pipe": 0.8, "hose": 1.0, "pot": 1.25}
GOOD = ["pipe - hose: joint", "hose - pot", "pot - open air: gap under the lid"]


def test_open_plumbing_has_a_rising_way_for_every_part():
    ways = ways_out(Plumbing.from_words(PARTS, GOOD))
    assert all(way.is_open for way in ways)
    assert ways[0].path == ("pipe", "hose", "pot", AIR)


@pytest.mark.parametrize("blocker", ["valve", "check valve", "cap", "trap", "something odd"])
def test_whatever_can_shut_is_no_way_out(blocker):
    lines = [GOOD[0], GOOD[1], f"pot - open air: {blocker}"]
    ways = ways_out(Plumbing.from_words(PARTS, lines))
    assert not any(way.is_open for way in ways)
    assert all(blocker in way.reason for way in ways)


def test_a_second_way_round_a_valve_counts():
    lines = ["pipe - hose: valve", "pipe - pot", *GOOD[1:]]
    assert all(way.is_open for way in ways_out(Plumbing.from_words(PARTS, lines)))


def test_a_dip_is_a_trap():
    heights = {"pipe": 0.8, "hose": 0.6, "pot": 1.25}
    ways = {way.part: way for way in ways_out(Plumbing.from_words(heights, GOOD))}
    assert not ways["pipe"].is_open and "lower" in ways["pipe"].reason
    assert ways["pot"].is_open


def test_a_part_without_any_link_is_found():
    ways = ways_out(Plumbing.from_words({**PARTS, "tank": 1.0}, GOOD))
    assert [way.part for way in ways if not way.is_open] == ["tank"]
    assert "no way" in ways[-1].reason


def test_plumbing_that_names_no_pot_is_not_known():
    design = replace(DEMO, plumbing=Plumbing((("pipe", 1.0),), (Link("pipe", AIR),)))
    items = {one.id: one for one in evaluate(design).constraints}
    assert items["C10"].met is None and "no pot" in items["C10"].reason


def test_impossible_plumbing_is_refused():
    with pytest.raises(PlumbingError, match="each part once"):
        Plumbing((("pipe", 1.0), ("pipe", 2.0)), ())
    with pytest.raises(PlumbingError, match="no part"):
        Plumbing((("pipe", 1.0),), (Link("pipe", "attic"),))


# --- other sites -------------------------------------------------------------------------------
def test_the_other_hemisphere_gives_the_same_heater_six_months_later():
    south = replace(DEMO, latitude_deg=-38.0)
    june, december = evaluate(DEMO, "2026-06-21"), evaluate(south, "2026-12-21")
    assert december.absorbed == pytest.approx(june.absorbed, rel=0.01)
    assert evaluate(south).noon_tilts(2026)[11][1] == pytest.approx(14.6, abs=0.1)


def test_a_night_gives_no_power_and_no_crash():
    e = evaluate(DEMO, "2026-06-21T00:00+00:00")
    assert e.absorbed == 0 and e.optical_efficiency == 0
    assert np.isinf(e.seconds_to_target)


def test_random_designs_are_worked_out_or_refused_in_one_sentence():
    dice = np.random.default_rng(5)
    worked = 0
    for _ in range(60):
        change = {}
        for one in fields(HeaterDesign):
            if one.metadata["kind"] == "number" and dice.random() < 0.3:
                low, high = limits(one)
                value = dice.choice([low, high, dice.uniform(low, high)])
                change[one.name] = round(value) if isinstance(one.metadata["demo"], int) else value
            elif one.metadata["kind"] == "choice" and dice.random() < 0.5:
                change[one.name] = str(dice.choice(one.metadata["options"]))
        try:
            design = replace(DEMO, **change)
        except DesignError as error:
            assert str(error).endswith(".")
            continue
        e = evaluate(design)
        worked += 1
        for item in e.constraints:
            assert item.reason.endswith(".") and (item.met or item.change.endswith("."))
            assert "nan" not in item.value_text + item.limit_text
    assert worked >= 10


def test_an_evaluation_cannot_be_changed():
    with pytest.raises(AttributeError):
        evaluate(DEMO).absorbed = 1.0


@pytest.mark.parametrize("digits", [400, 5000])
def test_an_absurdly_long_number_gets_a_sentence(digits):
    with pytest.raises(DesignError, match=r"too large|not readable"):
        HeaterDesign.from_text(f"[trough]\nfocal_length = {'9' * digits}\n")
