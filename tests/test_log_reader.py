"""The reader of a learner's log: what people write, what they get wrong, and mangled files."""

import csv
import io
import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solarlib import heating_test as test
from solarlib.heating_test import parse_log


def says(log):
    return [str(problem) for problem in log.problems]


# --- the reader: what people write -------------------------------------------------------------
PLAIN = "time (min),water (°C),air (°C),wind (m/s),sun (W/m2),remark\n0,18.0,22,1.5,820,clear\n"


def test_a_plain_file_has_no_problems():
    log = parse_log(PLAIN + "15,27.4,22,1.5,820,\n")
    assert log.problems == () and log.columns == ("time", "water", "air", "wind", "sun", "remark")
    first, last = log.readings
    assert (first.row, first.time_s, first.water_c, first.remark) == (2, 0, 18.0, "clear")
    assert (last.row, last.time_s, last.sun, last.wind) == (3, 900, 820, 1.5)


@pytest.mark.parametrize(
    "text",
    [
        "time (min);water (°C)\n0;18,0\n15;27,4\n",
        "time (min)\twater (°C)\n0\t18,0\n15\t27,4\n",
        "time (min)|water (°C)\n0|18.0\n15|27.4\n",
        'time (min),water (°C)\n0,"18,0"\n15,"27,4"\n',
        '"time (min)","water (°C)"\r\n"0","18.0"\r\n"15","27.4"\r\n',
        "\ufefftime (min),water (degC)\n0,18.0\n15,27.4\n",
        "# my test\n\ntime (min),water [°C]\n# start\n0,18.0\n\n15,27.4\n\n",
        "time in min;water in °C\n0;18.0\n15;27.4",
        "time_min,water_c\n0,18.0\n15,27.4\n",
        "time (s),water (°F)\n0,64.4\n900,81.32\n",
        "elapsed (h);pot (°C)\n0;18\n0,25;27,4\n",
        "water (°C),time (min)\n18.0,0\n27.4,15\n",
        "time (clock),water (°C)\n11:30,18.0\n11:45,27.4\n",
        "time,water (°C)\n11:30:00,18.0\n11:45:00,27.4\n",
        "time,water (°C)\n11:50 am,18.0\n12:05 pm,27.4\n",
        "time,water (°C)\n2026-06-20T11:30:00+01:00,18.0\n2026-06-20T11:45:00+01:00,27.4\n",
        "time;water (°C)\n20.06.2026 11:30;18,0\n20.06.2026 11:45;27,4\n",
        "time (min),water (K)\n0,291.15\n15,300.55\n",
        "time (min), water (°C)\r0, 18.0\r15, 27.4\r",
    ],
)
def test_dialects_mean_the_same(text):
    log = parse_log(text)
    assert says(log) == []
    np.testing.assert_allclose(log.values("water_c"), [18.0, 27.4], atol=1e-9)
    assert np.diff(log.values("time_s")) == pytest.approx(900)
    assert parse_log(text.encode("utf-8")) == log


def test_files_of_other_programs(tmp_path):
    text = "time (min);water (°C);remark\n0;18,0;klar – gut\n15;27,4;Bö\n"
    wanted = parse_log(text).values("water_c")
    for coding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        path = tmp_path / f"{coding}.csv"
        path.write_bytes(text.encode(coding))
        before = path.read_bytes()
        log = test.read_log(path)
        np.testing.assert_array_equal(log.values("water_c"), wanted)
        assert log.problems == () and "Bö" in log.readings[1].remark
        assert path.read_bytes() == before
        assert test.read_text(path) == text
    with pytest.raises(ValueError, match=r"nowhere\.csv.*cannot be read") as refused:
        test.read_log(tmp_path / "nowhere.csv")
    assert refused.value._render_traceback_() == [str(refused.value)], "no traceback in a notebook"
    with pytest.raises(ValueError, match="cannot be read"):
        test.read_log(tmp_path)


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("5,,22,1,800,", "water (°C)", "counted as a gap"),
        ("5,n/a,22,1,800,", "water (°C)", "counted as a gap"),
        ("5,warm,22,1,800,", "water (°C)", "“warm"),
        ("5,178,22,1,800,", "water (°C)", "outside 0 to 105 °C"),
        ("5,68 °F,22,1,800,", "water (°C)", "read as 20.0 °C"),
        ("5,68F,22,1,800,", "water (°C)", "read as 20.0 °C"),
        ("5,20 mm,22,1,800,", "water (°C)", "a length"),
        ("5,20,22,1,8000,", "sun (W/m2)", "outside 0 to 1400"),
        ("5,20,22,-1,800,", "wind (m/s)", "outside 0 to 40"),
        ("5,20,22,3.6 km/h,800,", "wind (m/s)", "read as 1.0 m/s"),
        ("5,20,22,1,,", "sun (W/m2)", "counted as a gap"),
        (",20,22,1,800,", "time (min)", "no time is written"),
        ("0,20,22,1,800,", "time (min)", "not later than the row before"),
        ("11:30,20,22,1,800,", "time (min)", "unlike the rows above"),
        ("soon,20,22,1,800,", "time (min)", "“soon"),
        ("5,20,5,22,1,800,,", "", "8 cells under 6 headings"),
        ("5,20,22,1,800,fine,extra", "", "decimal commas need semicolons"),
    ],
)
def test_every_problem_names_its_line_and_column(row, column, words):
    log = parse_log(PLAIN + row + "\n10,30,22,1,800,\n")
    assert len(log.readings) == 3, "the row stays in the log"
    found = [p for p in log.problems if p.row == 3]
    assert len(found) == len(log.problems) == 1
    assert found[0].column == column and words in found[0].says
    assert str(found[0]).startswith("Line 3") and str(found[0]).endswith(".")


def test_wind_in_beaufort():
    # WMO scale: force 3 is 3.4 to 5.4 m/s, force 5 is 8.0 to 10.7 m/s
    log = parse_log("time (min),water (°C),wind (Bft)\n0,18,3\n5,20,5\n")
    light, fresh = log.values("wind")
    assert 3.4 < light < 5.4 and 8.0 < fresh < 10.7
    assert log.problems == ()


def test_each_force_of_wind_has_the_speed_that_goes_with_it():
    """WMO, code table 1100, speeds equivalent to forces 1 to 11, to a tenth (from memory)."""
    speeds = (0.8, 2.4, 4.3, 6.7, 9.3, 12.3, 15.5, 18.9, 22.6, 26.4, 30.5)
    rows = "".join(f"{5 * force},18,{force}\n" for force in range(1, 12))
    log = parse_log("time (min),water (°C),wind (Bft)\n" + rows)
    np.testing.assert_allclose(log.values("wind"), speeds, atol=0.05)


def test_decimal_commas_with_three_digits():
    log = parse_log("time (min);water (°C)\n0;18,0\n5;21,125\n")
    assert log.values("water_c").tolist() == [18.0, 21.125] and log.problems == ()
    # without a hint of decimal commas the same cell may mean thousands: said, not guessed
    log = parse_log("time (min);water (°C);sun (W/m2)\n0;18.5;1,013\n")
    assert math.isnan(log.values("sun")[0]) and "may mean" in says(log)[0]


def damage(text, chance):
    """Damage a good file the way programs, people and disks do."""
    choice = chance.choice
    lines = text.split("\n")
    for _ in range(chance.randint(1, 6)):
        k = chance.randrange(len(lines))
        kind = chance.randrange(14)
        if kind == 0:
            lines[k] = lines[k].replace(",", choice([";", "\t", "|", " ", ",,", ""]))
        elif kind == 1:
            lines[k] = lines[k].replace(".", ",")
        elif kind == 2:
            lines[k] = lines[k][: chance.randrange(len(lines[k]) + 1)]
        elif kind == 3:
            lines[k] = lines[k] + choice(['"', '"""', "'", ",", ";;;", "\0", "\x1a", "\t"])
        elif kind == 4:
            lines.insert(k, choice(["", "#", "# note", ",,,,,", "total,,,,", "NaN,NaN", "---"]))
        elif kind == 5:
            del lines[k]
        elif kind == 6:
            chance.shuffle(lines)
        elif kind == 7:
            cells = lines[k].split(",")
            cells[chance.randrange(len(cells))] = choice(
                ["", "1e999", "-1e308", "inf", "nan", "∞", "²", "１２", "0x1f", "1_000", "=A1+1",
                 "5 15/16 in", "1/0", "--5", "°", "°F", "9" * 400, "1e", "ten", "١٢", "12:99", "😀",
                 "−5", "+3", "1.2.3", "5%", "()", "[", "\\", "1,2,3", "1 h 10 min", "t" * 5000]
            )  # fmt: skip
            lines[k] = ",".join(cells)
        elif kind == 8:
            lines[k] = lines[k][::-1]
        elif kind == 9:
            lines[k] = lines[k].upper()
        elif kind == 10:
            lines[k] = "".join(chr(chance.randrange(1, 0x2FF)) for _ in range(40))
        elif kind == 11:
            lines[k] = lines[k] + lines[k]
        elif kind == 12:
            lines[0], lines[k] = lines[k], lines[0]
        else:
            lines[k] = lines[k].replace("°", choice(["", "?", "\ufffd", "º", "Â°"]))
    mangled = choice(["\n", "\r\n", "\r"]).join(lines)
    raw = mangled.encode(choice(["utf-8", "utf-8-sig", "utf-16", "utf-16-le"]), "replace")
    if chance.random() < 0.3:
        raw = bytearray(raw)
        for _ in range(chance.randint(1, 30)):
            raw[chance.randrange(len(raw))] = chance.randrange(256)
    if chance.random() < 0.1:
        raw = raw[: chance.randrange(len(raw))]
    return bytes(raw)


@pytest.mark.parametrize("seed", range(400))
def test_a_mangled_file_never_ends_in_a_traceback(seed):
    chance = random.Random(seed)
    log = parse_log(damage(test.simulate_log(seed), chance))
    for problem in log.problems:
        assert problem.says and "\n" not in str(problem) and "Traceback" not in str(problem)
    for reading in log.readings:
        assert all(
            math.isnan(v) or math.isfinite(v)
            for v in (reading.time_s, reading.water_c, reading.sun)
        )
    # what is missing from a row has a problem that names the row or its whole column
    flagged = {p.row for p in log.problems}
    for reading in log.readings:
        if math.isnan(reading.water_c) or math.isnan(reading.time_s):
            assert reading.row in flagged
    # and the rest of the chain copes with it
    test.suspects(log)
    test.checklist(log)
    intervals = test.intervals(log)
    assert all(bool(i.why) == math.isnan(i.efficiency) for i in intervals)
    test.predicted_curve(log, 0.7, 6)
    try:
        test.fit_losses(intervals)
    except ValueError as refused:
        assert "intervals" in str(refused)


@settings(max_examples=150)
@given(st.text() | st.binary())
def test_any_text_at_all(content):
    log = parse_log(content)
    assert log.problems


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(1, 99).map(lambda v: round(v, 2)), st.floats(-20, 45)),
        min_size=1, max_size=30,
    ),
    st.sampled_from([",", ";", "\t"]),
    st.booleans(),
)  # fmt: skip
def test_what_was_written_is_what_is_read(rows, separator, comma):
    """A table written by the csv module comes back, whatever the separator and decimal mark."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["time (min)", "water (°C)", "air (°C)"])
    for k, (water, air) in enumerate(rows):
        cells = [str(5 * k), f"{water:.2f}", f"{air:.1f}"]
        writer.writerow([cell.replace(".", ",") if comma else cell for cell in cells])
    log = parse_log(out.getvalue())
    assert log.problems == ()
    np.testing.assert_allclose(log.values("water_c"), [w for w, _ in rows], atol=0.00501)
    np.testing.assert_allclose(log.values("air_c"), [a for _, a in rows], atol=0.0501)


def test_a_log_is_shown_as_a_table():
    clock = parse_log("time,water (°F),sun (W/m2),remark\n11:55,68,800,clear\n12:00,,,\n")
    assert str(clock).splitlines() == ["  time   water    sun  remark", " 11:55    20.0    800  clear",
                                       " 12:00       –      –"]  # fmt: skip
    since = parse_log("time (min);water (°C)\n0;18,5\n2,5;19\n")
    assert [line.split() for line in str(since).splitlines()[1:]] == [["0.0", "18.5", "–"],
                                                                       ["2.5", "19.0", "–"]]  # fmt: skip
