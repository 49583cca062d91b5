"""Designs as files: what survives, what may be written, what is refused, random ones too."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlib.design import GROUPS, DesignError, HeaterDesign, Link, Plumbing, demo, evaluate
from solarlib.design.entries import limits, range_text
from solarlib.design.plumbing import AIR

DEMO = demo()


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
    with pytest.raises(DesignError, match=words) as error:
        HeaterDesign.from_text(text, "my-heater.toml")
    assert "my-heater.toml" in str(error.value)
    assert "\n" not in str(error.value).rstrip() or "TOML" in str(error.value)


def test_a_thick_wall_round_a_bore_of_2_mm_is_odd_but_possible():
    design = HeaterDesign.from_text("[pipe]\ntube_wall = 3\ntube_diameter = 8\n[trough]")
    assert design.pipe.bore == pytest.approx(0.002)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=80))
def test_any_text_gives_a_design_or_a_clear_error(text):
    try:
        HeaterDesign.from_text(text)
    except DesignError as error:
        assert str(error)


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
