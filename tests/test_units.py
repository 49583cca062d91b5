"""What people type, and what comes back: exact conversions, round trips, clear refusals."""

import math
import subprocess
import sys

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from solarlib.units import (
    KINDS,
    UnitError,
    base_unit,
    from_base,
    parse,
    show,
    show_both,
    show_inches,
    to_base,
)

# Conversion factors by definition: inch 25.4 mm, pound 0.45359237 kg, US cup 236.5882365 mL, knot
# 1852 m/h, mile 1609.344 m (NIST SP 811, appendix B); Btu_IT 1055.056 J (same).
READINGS = [
    ("150.6 mm", "mm", 0.1506),
    ("150,6", "mm", 0.1506),
    ("0,150 m", "mm", 0.150),
    ("15.06cm", "mm", 0.1506),
    ("5 15/16 in", "mm", (5 + 15 / 16) * 0.0254),
    ('6"', "mm", 0.1524),
    ("6 in.", "mm", 0.1524),
    ("½ in", "mm", 0.0127),
    ("5 ft 6 in", "m", 66 * 0.0254),
    ("5' 6\"", "m", 66 * 0.0254),
    ("5'6\"", "m", 66 * 0.0254),
    ("−5 ft 6 in", "m", -66 * 0.0254),
    ("1 000,5 mm", "mm", 1.0005),
    ("1,000.5 mm", "mm", 1.0005),
    ("6,250,000.0 mm", "m", 6250),
    ("0.576 m²", "m2", 0.576),
    ("5760 cm^2", "m2", 0.576),
    ("2 cups", "L", 2 * 236.5882365e-6),
    ("6 L", "L", 0.006),
    ("13 lb", "kg", 13 * 0.45359237),
    ("1 h 10 min", "min", 4200),
    ("70", "min", 4200),
    ("2.3 × 10^3 W", "W", 2300),
    ("2.3x10^3 W", "W", 2300),
    ("1.5e-3 kW", "W", 1.5),
    ("1200 BTU/h", "W", 1200 * 1055.056 / 3600),
    ("850 W/m²", "W/m2", 850),
    ("0.85 kW/m2", "W/m2", 850),
    ("30 W/(m²·K)", "W/m2K", 30),
    ("30 W/m2K", "W/m2K", 30),
    ("30 W/m^2/K", "W/m2K", 30),
    ("1.2 W/K", "W/K", 1.2),
    ("0.26 kWh", "MJ", 936_000),
    ("55 °C", "degC", 55),
    ("55 deg C", "degC", 55),
    ("131 F", "degC", 55),
    ("328.15 K", "degC", 55),
    ("−5", "degC", -5),
    ("40 °C", "K", 40),
    ("72 °F", "K", 40),
    ("17.3 °F/min", "K/min", 17.3 / 1.8 / 60),
    ("8 mrad", "deg", math.degrees(0.008)),
    ("1.97°", "mrad", 1.97),
    ("14 %", "1", 0.14),
    ("14", "%", 0.14),
    ("14", "1", 14),
    ("29 suns", "suns", 29),
    ("29x", "suns", 29),
    ("1 bar", "Pa", 1e5),
    ("15 psi", "bar", 15 * 6894.757),
    ("198 N", "N", 198),
    ("83 N m", "N m", 83),
    ("12 kn", "m/s", 12 * 1852 / 3600),
    ("10 mph", "m/s", 4.4704),
    ("7.2 g/min", "g/min", 0.0072 / 60),
    ("12 L/min", "L/min", 0.012 / 60),
    ("12:04", "clock", 724),
    ("1:04 pm", "clock", 784),
    ("12:30 am", "clock", 30),
]


@pytest.mark.parametrize(("text", "expects", "value"), READINGS)
def test_reads_what_people_write(text, expects, value):
    reading = parse(text, expects)
    assert reading.value == pytest.approx(value, rel=1e-6, abs=1e-9)
    assert reading.text == text


def test_says_whether_a_unit_was_given():
    assert parse("150.6", "mm").unit is None
    assert parse("150.6 mm", "in").unit == "mm"
    assert parse("5 ft 6 in", "m").unit == "ft in"


@pytest.mark.parametrize(
    ("text", "expects", "words"),
    [
        ("", "mm", "Nothing is written"),
        ("   ", "mm", "Nothing is written"),
        ("two feet", "mm", "cannot be read"),
        ("nan", "mm", "cannot be read"),
        ("inf mm", "mm", "cannot be read"),
        ("1e400 mm", "mm", "not a finite number"),
        ("5 kg", "mm", "is a mass; a length is asked for, in mm"),
        ("0.15 kW", "W/m2", "is a power; a power per area is asked for"),
        ("20 deg", "1", "is an angle"),
        ("0.3", "clock", "12:04"),
        ("25:10", "clock", "not a clock time"),
        ("13:10 pm", "clock", "not a clock time"),
        ("5 blah", "mm", "“blah” is not known"),
        ("1,000 mm", "mm", "may mean 1000 or 1.000"),
        ("1.2.3 mm", "mm", "decimal point"),
        ("1,2.3,4 mm", "mm", "commas and points"),
        ("1/0 in", "mm", "divides by zero"),
        ("5 5 mm", "mm", "without a unit"),
        ("3.5 mm 2", "mm", "without a unit"),
        ("-300 °C", "degC", "absolute zero"),
        ("1" * 70, "mm", "too long"),
        ("__import__('os')", "mm", "cannot be read"),
        ("3 m**9999999", "mm", "not known"),
    ],
)
def test_refuses_in_one_clear_sentence(text, expects, words):
    with pytest.raises(UnitError, match="(?s)" + words.replace(".", r"\.")) as error:
        parse(text, expects)
    message = str(error.value)
    assert message.endswith(".") and "\n" not in message and len(message) < 200


def test_refuses_what_is_not_text_and_what_is_not_a_unit():
    with pytest.raises(UnitError, match="in quotes"):
        parse(150.6, "mm")
    with pytest.raises(UnitError, match="not a unit of this course"):
        parse("1 mm", "furlong")


@given(
    st.text(max_size=30),
    st.sampled_from([unit for _, _, units in KINDS.values() for unit in units]),
)
def test_any_text_gives_a_number_or_a_clear_error(text, expects):
    try:
        assert math.isfinite(parse(text, expects).value)
    except UnitError as error:
        assert str(error)


@given(
    value=st.floats(-1e6, 1e6),
    unit=st.sampled_from([unit for _, _, units in KINDS.values() for unit in units]),
)
def test_what_is_shown_can_be_read_back(value, unit):
    assume(unit not in ("degC", "degF", "clock") or value > -273)
    if unit == "clock":
        value = round(abs(value)) % 1440
    text = show(value, unit, digits=9)
    assert parse(text, unit).value == pytest.approx(value, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.1505882, "mm", "150.6 mm"),
        (0.576, "m2", "0.576 m²"),
        (55.0, "degC", "55 °C"),
        (0.14, "%", "14 %"),
        (1.7, "deg", "1.7°"),
        (46240.4, "suns", "46240 suns"),
        (-0.003, "mm", "−3 mm"),
        (0.0, "W", "0 W"),
        (724.4, "clock", "12:04"),
        (math.nan, "degC", "unknown"),
        (math.inf, "min", "without limit"),
        (9.999999, "W", "10 W"),
    ],
)
def test_shows_few_digits_and_no_powers_of_ten(value, unit, text):
    assert show(value, unit) == text


def test_shows_both_benches():
    assert show_both(0.1505882, "mm") == "150.6 mm (5 15/16 in)"
    assert show_both(55.0, "degC") == "55 °C (131 °F)"
    assert show_both(0.006, "L") == "6 L (25.4 cups)"
    assert show_both(350.0, "W") == "350 W"
    assert show_inches(0.0254 / 64 * 0.9) == "0 in"
    assert show_inches(-0.0127) == "−1/2 in"


@given(st.floats(-3, 3))
def test_inches_are_the_nearest_thirty_second(length):
    back = parse(show_inches(length), "m").value
    assert abs(back - length) <= 0.0254 / 64 + 1e-12


@pytest.mark.parametrize(
    ("value", "unit", "base"),
    [(150.6, "mm", 0.1506), (1, "in", 0.0254), (212, "degF", 100.0), (-40, "degF", -40.0),
     (14, "%", 0.14), (1, "bar", 1e5), (752, "clock", 752)],
)  # fmt: skip
def test_display_units_and_base_units_by_definition(value, unit, base):
    assert to_base(value, unit) == pytest.approx(base)
    assert from_base(base, unit) == pytest.approx(value)


def test_every_kind_has_one_base_and_reads_it():
    for _, base, units in KINDS.values():
        for unit in units:
            assert base_unit(unit) == base
        if base not in ("clock", "1"):
            assert parse(f"2 {base}", units[0]).value == pytest.approx(2.0)


def test_pint_is_not_imported_before_a_text_is_read():
    code = "import sys, solarlib.units; sys.exit('pint' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
