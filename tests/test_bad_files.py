"""Files that are damaged, foreign or huge: designs, logs, notebooks, rosters, cards of numbers.

Every entry of a table is one file and the words by which the sentence must name what is wrong. No
file is changed by being read.
"""

from __future__ import annotations

import contextlib
import json

import pytest

from autograde import plain, trial
from autograde.check import answer
from autograde.intake import take_in
from autograde.lesson import load
from solarlib import heating_test
from solarlib.design import HeaterDesign
from tests.refusals import LESSON, MARKING, faults, refused, said_by, table, tree

# --- designs -----------------------------------------------------------------------------------
DESIGNS: dict[str, tuple[str | bytes, list[str]]] = {
    # what the file holds -> what must be named
    "not TOML": ("a letter to a friend", ["my.toml"]),
    "half a table": ("[trough", ["my.toml"]),
    "half a text": ('[site]\nname = "The Lad', ["my.toml"]),
    "no value": ("[trough]\nfocal_length =", ["my.toml"]),
    "an entry twice": ("[trough]\nfocal_length = 170\nfocal_length = 180", ["my.toml"]),
    "a group twice": ("[trough]\n[trough]", ["trough"]),
    "JSON": ('{"trough": {"focal_length": 170}}', ["my.toml"]),
    "unknown group": ("[through]\nfocal_length = 170", ["through", "trough"]),
    "unknown entry": ("[trough]\nfocal_lenght = 170", ["focal_lenght", "focal_length"]),
    "entry without a group": ("focal_length = 170", ["focal_length"]),
    "entry in another group": ("[pipe]\nfocal_length = 170", ["focal_length", "[trough]"]),
    "group as a number": ("trough = 3", ["trough"]),
    "group as a list": ("[[trough]]\nfocal_length = 170", ["trough"]),
    "nested": ("[trough.focal_length]\nmm = 170", ["focal_length"]),
    "yes for a number": ("[trough]\nfocal_length = true", ["focal_length", "True"]),
    "a number for yes": ("[trough]\non_roof = 0", ["on_roof", "0"]),
    "a word for yes": ('[trough]\non_roof = "no"', ["on_roof", "no"]),
    "a list for a number": ("[trough]\nfocal_length = [170]", ["focal_length", "170"]),
    "a date for a number": ("[trough]\nfocal_length = 2026-01-01", ["focal_length", "2026"]),
    "an empty number": ('[trough]\nfocal_length = ""', ["focal_length"]),
    "a word for a number": ('[trough]\nfocal_length = "long"', ["focal_length", "long"]),
    "nan": ("[trough]\nfocal_length = nan", ["focal_length", "nan", "90"]),
    "inf": ("[trough]\nfocal_length = inf", ["focal_length", "inf", "90"]),
    "negative": ("[trough]\nfocal_length = -170", ["focal_length", "-170", "90"]),
    "zero": ("[trough]\nfocal_length = 0", ["focal_length", "90"]),
    "metres": ("[trough]\nfocal_length = 0.17", ["focal_length", "0.17", "mm"]),
    "400 digits": (f"[trough]\nfocal_length = {'9' * 400}", ["focal_length"]),
    "5000 digits": (f"[trough]\nfocal_length = {'9' * 5000}", ["my.toml"]),
    "1e999": ("[trough]\nfocal_length = 1e999", ["focal_length"]),
    "a mass": ('[trough]\nfocal_length = "17 kg"', ["focal_length", "17 kg"]),
    "half a rib": ("[ribs]\nrib_count = 3.5", ["rib_count", "3.5"]),
    "a million ribs": ("[ribs]\nrib_count = 1000000", ["rib_count", "20"]),
    "unknown axis": ('[trough]\naxis = "north"', ["axis", "north", "east-west"]),
    "axis a list": ('[trough]\naxis = ["east-west"]', ["axis", "east-west"]),
    "paper": ('[paper]\npaper = "a3"', ["paper", "a3", "letter"]),
    "month 13": ("[site]\nmonths = [4, 13]", ["months", "13"]),
    "no months": ("[site]\nmonths = []", ["months"]),
    "months in words": ('[site]\nmonths = ["May"]', ["months", "May"]),
    "months by the million": (f"[site]\nmonths = [{'13,' * 5000}]", ["months"]),
    "a long name": (f'[site]\nname = "{"n" * 400}"', ["name", "300"]),
    "a name as a number": ("[site]\nname = 7", ["name"]),
    "prices in words": ('[paper]\nprices = { pipe = "dear" }', ["prices", "pipe", "dear"]),
    "prices negative": ("[paper]\nprices = { pipe = -1 }", ["prices", "pipe", "-1"]),
    "prices nan": ("[paper]\nprices = { pipe = nan }", ["prices", "pipe", "nan"]),
    "prices a list": ("[paper]\nprices = [1, 2]", ["prices"]),
    "plumbing in words": ('[plumbing]\nplumbing = "pipes"', ["plumbing"]),
    "plumbing without links": ("[plumbing]\nplumbing = { heights = {} }", ["plumbing", "links"]),
    "plumbing to nowhere": ('[plumbing]\nplumbing = { heights = { pipe = "1 m" }, '
                            'links = ["pipe - attic"] }', ["plumbing", "attic"]),
    "plumbing of no height": ("[plumbing]\nplumbing = { heights = { pipe = true }, links = [] }",
                              ["plumbing", "pipe"]),
    "plumbing at nan": ('[plumbing]\nplumbing = { heights = { pipe = nan }, '
                        'links = ["pipe - open air"] }', ["pipe", "nan"]),
    "plumbing of numbers": ("[plumbing]\nplumbing = { heights = { pipe = 1 }, links = [3] }",
                            ["3"]),
    "colder at the end": ('[need]\nstart_c = "30 °C"\ntarget_c = "86 °F"', ["target_c", "35"]),
    "no bore": ('[pipe]\ntube_wall = "3 mm"\ntube_diameter = "6 mm"', ["tube_"]),
    "pipe too short": ('[pipe]\ntube_length = "500 mm"', ["tube_length", "trough_length"]),
    "nested deep": ("x = " + "[" * 50_000, ["my.toml"]),
    "a dotted bomb": (".".join(["a"] * 20_000) + " = 1", ["my.toml"]),
    "a big file": ("# " + "x" * 300_000, ["my.toml", "large"]),
    "Windows letters": ('[site]\nname = "Kühl"'.encode("cp1252"), ["my.toml", "UTF-8"]),
    "UTF-16": ('[site]\nname = "The Ladle"'.encode("utf-16"), ["my.toml", "UTF-8"]),
    "binary": (bytes(range(256)), ["my.toml", "not a text file"]),
    "zero bytes": (b"\0" * 100, ["my.toml"]),
    "two marks": (b"\xef\xbb\xbf\xef\xbb\xbf[site]\n", ["my.toml"]),
    "a zip": (b"PK\x03\x04" + bytes(60), ["my.toml"]),
}  # fmt: skip


@table(DESIGNS)
def test_designs(case, tmp_path):
    content, names = case
    path = tmp_path / "my.toml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    before = path.read_bytes()
    refused(lambda: HeaterDesign.from_toml(path), *names)
    assert path.read_bytes() == before


# --- learners' logs ----------------------------------------------------------------------------
HEAD = "time (min),water (°C),sun (W/m2)\n"
LOGS: dict[str, tuple[str | bytes, str]] = {
    # what the file holds -> the words of the problem that must be told
    "empty": ("", "no table"),
    "blank lines": ("\n \n\t\n", "no table"),
    "a mark only": (b"\xef\xbb\xbf", "no table"),
    "comments only": ("# a\n# b\n", "no table"),
    "header only": (HEAD, "no rows"),
    "no header": ("0,18,800\n5,20,800\n", "no usable time column"),
    "no water": ("time (min),sun (W/m2)\n0,800\n", "no usable water column"),
    "a letter": ("Dear friend, I measured at noon.\nIt was warm.\n", "no usable"),
    "no units": ("time,water,sun\n0,18,800\n5,20,800\n", "no unit in the header"),
    "wrong unit": ("time (min),water (kg)\n0,6\n", "the unit cannot be used"),
    "unknown unit": ("time (min),water (smoot)\n0,6\n", "smoot"),
    "mixed units": (HEAD + "0,18 °C,800\n5,70 °F,800\n", "unit of its own"),
    "mixed decimals": (HEAD.replace(",", ";") + "0;18,5;800\n5;19.5;800\n6;20,500;1\n", "20,500"),
    "binary": (bytes(range(256)) * 8, "no usable"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(200), "no usable"),
    "UTF-16 without a mark": (HEAD.encode("utf-16-le"), "no rows"),
    "half a letter": (HEAD.encode() + b"0,18,800\n5,\xff\xfe,800\n", "Line 3"),
    "time twice": (HEAD + "0,18,800\n5,20,800\n5,21,800\n", "not later than the row before"),
    "backwards": (HEAD + "0,18,800\n10,20,800\n5,21,800\n", "not later than the row before"),
    "clock backwards": ("time,water (°C)\n12:00,18\n11:00,20\n", "not later"),
    "summer time ends": ("time,water (°C)\n02:55,18\n02:05,18\n", "not later"),
    "across midnight": ("time,water (°C)\n23:55,18\n00:05,18\n", "not later"),
    "two days": ("time,water (°C)\n2026-06-20 23:55,18\n2026-06-21 00:05,18\n", "another day"),
    "minutes past the hour": ("time,water (°C)\n11:75,18\n", "not a clock time"),
    "clock then minutes": ("time,water (°C)\n11:00,18\n15,20\n", "unlike the rows above"),
    "negative time": (HEAD + "-5,18,800\n", "outside 0 to 48 h"),
    "a year of minutes": (HEAD + "525600,18,800\n", "outside 0 to 48 h"),
    "time nan": (HEAD + "nan,18,800\n", "no time is written"),
    "time infinite": (HEAD + "1e999,18,800\n", "1e999"),
    "ragged, long": (HEAD + "0,18,800\n5,20,800,7,8\n", "5 cells under 3 headings"),
    "ragged, short": (HEAD + "0,18,800\n5\n", "counted as a gap"),
    "decimal commas": ("time (min),water (°C)\n0,18,5\n", "semicolons"),
    "an open quote": (HEAD + '0,"18,800\n5,20,800\n', "Line 2"),
    "boiling": (HEAD + "0,180,800\n", "outside 0 to 105"),
    "sun of a star": (HEAD + "0,18,80000\n", "outside 0 to 1400"),
    "words": (HEAD + "0,warm,bright\n", "warm"),
    "a formula": (HEAD + "0,=A1+1,800\n", "=A1+1"),
    "a script": (HEAD + "0,<script>alert(1)</script>,800\n", "<script>"),
    "10^400": (HEAD + "0,1" + "0" * 400 + ",800\n", "too long"),
    "a header twice": ("time (min),water (°C),water (°C)\n0,18,19\n", "two water columns"),
    "unknown column": ("time (min),water (°C),tilt\n0,18,3\n", "not known here"),
    "1000 columns": ("time (min),water (°C)" + ",x" * 1000 + "\n0,18\n", "1002 headings"),
    "5000 columns": ("time (min),water (°C)" + ",x" * 5000 + "\n0,18\n", "too long to be read"),
    "brackets without an end": ("(" * 200_000 + "\n0,18\n", "too long to be read"),
    "a mile of spaces": ("time" + " " * 200_000 + "a,water\n0,18\n", "too long to be read"),
    "one long line": ("time (min),water (°C)\n0," + "1" * 100_000 + "\n", "too long"),
    "a million rows": (HEAD + "0,18,800\n" * 1_000_000, "larger than 2 MB"),
    "20 002 rows": ("time (min),water (°C)\n" + "1,2\n" * 20_002, "first 20000 of 20002"),
    "no header, no words": ("18.0,22\n19.0,22\n", "not known here"),
    "time without a unit": ("time,water (°C)\n0,18\n", "minutes are assumed"),
    "unused column": ("time (min),water (°C),tilt\n0,18,30\n", "nothing in it is used"),
    "empty column": ("time (min),water (°C),wind (m/s)\n0,18,\n5,19,\n10,20,\n",
                     "empty in all rows"),
    "one o'clock": ("time,water (°C)\n12:55,18\n1:05,19\n", "write 13:05"),
    "61 minutes": ("time,water (°C)\n25:61,18\n", "not a clock time"),
}  # fmt: skip


@table(LOGS)
def test_logs(case, tmp_path):
    content, words = case
    path = tmp_path / "my log.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    before = path.read_bytes()
    log = heating_test.read_log(path)
    told = [str(problem) for problem in log.problems]
    assert any(words in line for line in told), told[:5]
    for line in told[:50]:
        assert not faults(line), line[:600]
        assert line.startswith(("Line ", "The file"))
    assert path.read_bytes() == before


# --- texts that keep a careless reader busy for hours -----------------------------------------------
BUSY = {
    "blank lines": "\n" * 200_000, "spaces": "answer depth: 1" + " " * 200_000 + "x",
    "half a link": "data:" * 50_000, "half a script": "javascript" + " " * 200_000,
    "tags without an end": "<a " * 60_000, "quotes": '"' + '\\"' * 100_000,
    "brackets": "[" * 200_000, "entities": "&amp;" * 40_000, "per cent": "%25" * 60_000,
}  # fmt: skip


@pytest.mark.timeout(120)
@table(BUSY)
def test_one_text_keeps_nobody_waiting(case, tmp_path):
    """A class is marked in one process: what one learner hands in must not stop it."""
    path = tmp_path / f"{LESSON}.ipynb"
    cells = [{"cell_type": kind, "source": case, "metadata": {}} for kind in ("markdown", "code")]
    path.write_text(json.dumps({"cells": cells, "metadata": {}, "nbformat": 4}), encoding="utf-8")
    assert take_in(tmp_path, load(LESSON)).cells
    path.write_text('{"cells": ["' + case, encoding="utf-8")  # a file cut off in the middle
    assert take_in(tmp_path, load(LESSON)).notes
    with contextlib.suppress(plain.PlainError):
        plain.read(b'["' + case.encode())
    assert trial.text_answers([case, "answer depth: 150.6 mm"])["depth"] == "150.6 mm"
    with contextlib.suppress(ValueError):
        HeaterDesign.from_text(case)


# --- rosters and cards -------------------------------------------------------------------------
ROSTERS: dict[str, tuple[str | bytes, list[str]]] = {
    "empty": ("", ["no column “id”"]),
    "blank": ("\n\n", ["id"]),
    "no id": ("name,email\nAnn,a@x.invalid\n", ["no column “id”"]),
    "no header": ("L1,Ann,a@x.invalid\n", ["id,name,email"]),
    "header only": ("id,name\n", ["nobody"]),
    "id empty": ("id,name\nL1,Ann\n,Bob\n", ["line 3"]),
    "id twice": ("id,name\nL1,Ann\nL1,Bob\n", ["line 3", "L1", "twice"]),
    "id twice but for capitals": ("id,name\nl1,Ann\nL1,Bob\n", ["line 3", "L1"]),
    "header twice": ("id,name,id\nL1,Ann,L2\n", ["id"]),
    "path up": ("id\n../secret\n", ["line 2", "../secret"]),
    "absolute path": ("id\n/etc/passwd\n", ["line 2", "/etc/passwd"]),
    "backslash": ("id\nC:\\x\n", ["line 2"]),
    "dot": ("id\n.\n", ["line 2"]),
    "dots": ("id\n..\n", ["line 2"]),
    "hidden": ("id\n.secret\n", ["line 2", ".secret"]),
    "formula": ("id\n=1+1\n", ["line 2", "=1+1"]),
    "minus": ("id\n-x\n", ["line 2", "-x"]),
    "script": ("id\n<script>\n", ["line 2", "<script>"]),
    "zero byte": ("id\nL\x001\n", ["line 2"]),
    "right to left": ("id\nL\u202e1\n", ["line 2"]),
    "emoji": ("id\n📏\n", ["line 2"]),
    "long": ("id\n" + "n" * 300 + "\n", ["line 2"]),
    "open quote": ('id,name\n"L1,Ann\nL2,Bob\n', ["line 2"]),
    "a huge cell": ("id,name\nL1," + "n" * 200_000 + "\n", ["line 2"]),
    "extra cells": ("id,name\nL1,Ann,x,y\n", ["line 2"]),
    "Windows letters": ("id,name\nL1,Jürgen\n".encode("cp1252"), ["UTF-8"]),
    "UTF-16": ("id,name\nL1,Ann\n".encode("utf-16"), ["UTF-8"]),
    "binary": (bytes(range(256)), ["UTF-8"]),
    "a zip": (b"PK\x03\x04" + bytes(60), ["id"]),
}  # fmt: skip


@table(ROSTERS)
def test_rosters(case, tmp_path):
    content, names = case
    path = tmp_path / "roster.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    before = tree(tmp_path)
    code, said = said_by(MARKING, ["class", str(tmp_path / "class"), str(path), LESSON])
    assert code == 2, said
    assert not faults(said, "roster.csv", *names), said[:600]
    assert tree(tmp_path) == before, "a class was begun"


CARDS: dict[str, bytes] = {
    "empty": b"", "half": b'{"numbers": {', "a list": b"[1, 2]", "a text": b'"numbers"',
    "no numbers": b"{}", "null": b'{"numbers": null}', "numbers a list": b'{"numbers": [1]}',
    "a number for a card": b'{"numbers": {"parabola": 3}}',
    "words for numbers": b'{"numbers": {"parabola": {"focal_length": ["x", "mm", "f"]}}}',
    "nan for a number": b'{"numbers": {"parabola": {"focal_length": [NaN, "mm", "f"]}}}',
    "too few entries": b'{"numbers": {"parabola": {"focal_length": [0.17]}}}',
    "a number missing": b'{"numbers": {"parabola": {"focal_length": [0.17, "mm", "f"]}}}',
    "10^400": b'{"numbers": {"parabola": {"focal_length": [1' + b"0" * 400 + b', "mm", "f"]}}}',
    "deep": b'{"numbers": ' + b"[" * 100_000,
    "binary": bytes(range(256)), "UTF-16": '{"numbers": {}}'.encode("utf-16"),
}  # fmt: skip


@table(CARDS)
def test_cards_of_own_numbers(case, workspace):
    """A damaged card is told; it is never taken for the learner's mistake."""
    path = workspace / "numbers.json"
    path.write_bytes(case)
    result = answer("parabola.depth", "150.6 mm")
    assert result.slip == "trouble" and result.heading == "○ Not checked"
    assert not faults(result.says, "numbers.json"), result.says
    assert path.read_bytes() == case and not (workspace / "answers.jsonl").exists()
