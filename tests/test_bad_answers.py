"""Answers that cannot be right: each gets one sentence that names it; oddly written ones count.

Every entry of a table is what a learner types and the words by which the sentence must name it.
"""

from __future__ import annotations

import re

from autograde.check import answer
from tests.refusals import faults, table

ANSWERS = {
    # what is typed for a length in mm -> what must be named; none of them is the right answer
    "words": ("one hundred and fifty", ["one hundred"]),
    "word and unit": ("fifteen cm", ["fifteen"]),
    "no digits": ("mm", ["mm"]),
    "unit first": ("mm 150.6", ["mm 150.6"]),
    "about": ("about 150 mm", ["about"]),
    "tilde": ("~150 mm", ["~150"]),
    "below": ("<150 mm", ["<150"]),
    "two answers": ("150 mm or 6 in", ["150 mm or"]),
    "a range": ("150-151 mm", ["150-151"]),
    "plus minus": ("150 ± 1 mm", ["150 ± 1"]),
    "question mark": ("150 mm?", ["150 mm?"]),
    "not a number": ("nan", ["nan"]),
    "not a number, unit": ("NaN mm", ["NaN"]),
    "infinite": ("inf", ["inf"]),
    "infinite in words": ("Infinity mm", ["Infinity"]),
    "infinite as a sign": ("∞ mm", ["∞"]),
    "too large": ("1e400 mm", ["1e400"]),
    "ten to the 400": ("10^400", ["10^400"]),
    "ten to the 400, written": ("1 × 10^400 mm", ["10^400"]),
    "400 digits": ("9" * 400, ["999"]),
    "a million digits": ("9" * 10**6, ["999"]),
    "a million letters": ("x" * 10**6, ["xxx"]),
    "negative": ("-150.6 mm", ["−150.6 mm"]),
    "negative, real minus": ("−150.6 mm", ["−150.6 mm"]),
    "two minus signs": ("--150 mm", ["--150"]),
    "minus at the end": ("150- mm", ["150-"]),
    "zero": ("0 mm", ["0 mm"]),
    "minus zero": ("-0.0 mm", ["0 mm"]),
    "tiny": ("1e-300 mm", ["mm"]),
    "a mass": ("0.15 kg", ["0.15 kg", "mass"]),
    "an area": ("150 mm²", ["150 mm²", "area"]),
    "a time": ("150.6 min", ["150.6 min"]),
    "an angle": ("41°", ["41°", "angle"]),
    "a temperature": ("150 °C", ["150 °C", "temperature"]),
    "a share": ("15 %", ["15 %"]),
    "metre per second": ("150 mm/s", ["150 mm/s"]),
    "a clock": ("15:06", ["15:06"]),
    "a date": ("15.06.2026", ["15.06.2026"]),
    "unknown unit": ("150 smoot", ["smoot", "mm"]),
    "two units": ("150 mm mm", ["150 mm mm"]),
    "feet and a bare 3": ("5 feet 3", ["5 feet 3", "unit"]),
    "feet and kilograms": ("5 ft 3 kg", ["5 ft 3 kg"]),
    "a thousand or one": ("1,506 mm", ["1506", "1.506"]),
    "points and commas": ("1,2.3,4 mm", ["1,2.3,4"]),
    "two points": ("150.6.0 mm", ["150.6.0"]),
    "two commas": ("150,,6 mm", ["150,,6"]),
    "by zero": ("1/0 in", ["1/0"]),
    "zero by zero": ("0/0 mm", ["0/0"]),
    "two fractions": ("1 1/2 1/2 in", ["1 1/2 1/2"]),
    "three storeys": ("1/2/3 in", ["1/2/3"]),
    "negative below": ("1/-2 in", ["1/-2"]),
    "a huge fraction": (f"{'1' * 25}/{'9' * 25} in", ["2.822 mm"]),
    "a superscript": ("15² mm", ["15²"]),
    "hexadecimal": ("0x96 mm", ["0x96"]),
    "underscores": ("1_506 mm", ["1_506"]),
    "exponent twice": ("1e5e5 mm", ["1e5e5"]),
    "an expression": ("600**2/(16*128)", ["600**2"]),
    "Python": ("__import__('os').getcwd()", ["__import__"]),
    "a pair": ("(150, 6)", ["(150, 6)"]),
    "markup": ("<b>150.6 mm</b>", ["<b>150.6"]),
    "a script": ("<script>alert(1)</script>", ["<script>"]),
    "a formula": ("=A1*2", ["=A1*2"]),
    "a template": ("{{7*7}}", ["{{7*7}}"]),
    "emoji": ("📏", ["📏"]),
    "emoji as unit": ("150 📏", ["📏"]),
    "a zero byte": ("150\x00 kg", ["150 kg"]),
    "right to left": ("\u202e150 kg", ["“150 kg”"]),
    "a new line": ("150.6\nkg", ["kg"]),
    "half a letter": ("\ud800", []),
}  # fmt: skip


@table(ANSWERS)
def test_answers(case):
    text, names = case
    result = answer("parabola.depth", text)
    assert not result.right
    assert not faults(result.says, *names), result.says[:600]
    assert "\x00" not in result.says and "\u202e" not in result.says and "\ud800" not in result.says
    page = result._repr_html_().lower()
    assert "<script" not in page and "<b>" not in page
    page.encode("utf-8"), result.text.encode("utf-8")  # what cannot be encoded cannot be shown


FRIENDLY = {
    # oddly written, and right all the same
    "a full stop": "150.6 mm.", "wide digits": "１５０.６ mm", "narrow space": "150.6\u202fmm",
    "a zero-width space": "150.6\u200b mm", "a byte-order mark": "\ufeff150.6 mm",
    "copied marks": "\u200e150.6 mm\u200e", "a new line": "150.6\nmm\n", "tabs": "\t150.6\tmm",
    "a comma": "150,6 mm", "a plus sign": "+150.6 mm", "an exponent": "1506e-1 mm",
    "two units": "15 cm 0.6 mm", "a fraction": "5 15/16 in",
}  # fmt: skip


@table(FRIENDLY)
def test_odd_writing_of_a_right_answer(case):
    assert answer("parabola.depth", case).right


OTHER_ANSWERS = {
    # exercise, what is typed -> what must be named
    "clock as a number": ("sun.solar_noon", "12.5", ["12.5", "12:04"]),
    "clock past midnight": ("sun.solar_noon", "24:30", ["24:30"]),
    "clock of 99 minutes": ("sun.solar_noon", "12:99", ["12:99"]),
    "clock in the afternoon": ("sun.solar_noon", "13:00 pm", ["13:00 pm"]),
    "below absolute zero": ("heat_loss.dry_temp", "-300 °C", ["-300 °C", "absolute zero"]),
    "temperature in metres": ("heat_loss.dry_temp", "200 m", ["200 m", "temperature"]),
    "letters that are none": ("parabola.short_bar", "z", ["z"]),
    "no option": ("parabola.short_bar", "the second one", ["the second one"]),
    "all options": ("parabola.short_bar", "a, b, c", ["a, b, c"]),
    "an order of numbers": ("hazards.shutdown", "1 2 3", ["1 2 3"]),
    "an order twice": ("hazards.shutdown", "a a a a", ["a a a a"]),
    "an order cut short": ("hazards.shutdown", "a", ["a"]),
    "options that are none": ("start.rules", "x, y", ["x, y"]),
    "a rule cut short": ("start.power", "area *", ["area *"]),
    "a rule of strangers": ("start.power", "area * mirror", ["mirror"]),
    "a rule that divides by zero": ("start.power", "area / 0", ["zero"]),
    "a rule in words": ("start.power", "area times sun", ["area times sun"]),
    "a rule of markup": ("start.power", "<script>", ["<script>"]),
    "bars in words": ("start.bars", "about right", []),
    "one bar": ("start.bars", "199 mm", []),
    "bars of zero": ("start.bars", "0 mm, 0 mm", []),
    "bars that are masses": ("start.bars", "199 kg, 149 kg", []),
    "bars nan": ("start.bars", "nan, nan", ["nan"]),
    "a log that is none": ("heating_test.own_file", "hello", []),
    "a log without rows": ("heating_test.own_file", "time (min),water (°C)\n", []),
    "a design that is none": ("capstone.design_file", "hello", []),
    "a design of nothing": ("capstone.design_file", "[trough]\nfocal_length = true", ["focal"]),
}


@table(OTHER_ANSWERS)
def test_other_answers(case):
    exercise, text, names = case
    result = answer(exercise, text)
    assert not result.right
    said = " ".join(result.says.split("\n"))  # a list of problems may stand on lines of its own
    if exercise == "start.power":  # Python's own word for what is wrong with one's own code stays
        said = re.sub(r"(Syntax|Name|ZeroDivision)Error", "", said)
    assert not [f for f in faults(said, *names) if "letters long" not in f], result.says[:600]
