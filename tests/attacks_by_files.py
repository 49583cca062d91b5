"""Attacks by what is handed in: a changed notebook, no notebook, text cells, a log, a zip."""

from __future__ import annotations

import io
import json
import os
import stat
import zipfile

from tests import bench
from tests.attacks import attack, filed, log, named, raw, zipped


# --- a notebook that is not as it was handed out -----------------------------------------------------
@attack("26", "a marked cell removed", 5, says="was missing")
def _(scene, learner):
    work = scene.work(True)
    work.cells.remove(work.cell("check-half"))
    work.hand_in(scene.course, learner)


@attack("27", "a marked cell twice", 5, says="more than once")
def _(scene, learner):
    work = scene.work(True)
    work.cells.append(json.loads(json.dumps(work.cell("check-half"))))
    work.hand_in(scene.course, learner)


@attack("28", "a marked cell changed", 0, says="was changed")
def _(scene, learner):
    work = scene.work()
    work.cell("check-half")["source"] = "5.0"
    work.hand_in(scene.course, learner)


@attack("51", "a marked cell turned into text", 5, says="was changed")
def _(scene, learner):
    work = scene.work(True)
    cell = work.cell("check-half")
    cell["cell_type"] = "markdown"
    del cell["outputs"], cell["execution_count"]
    work.hand_in(scene.course, learner)


@attack("29", "a thousand points", 0)
def _(scene, learner):
    work = scene.work()
    work.cell("check-half")["metadata"]["nbgrader"]["points"] = 1000
    work.hand_in(scene.course, learner)


@attack("30", "no points", 5)
def _(scene, learner):
    work = scene.work(True)
    del work.cell("check-half")["metadata"]["nbgrader"]["points"]
    work.hand_in(scene.course, learner)


@attack("53", "a marked cell of one's own", 0, says="not of this lesson")
def _(scene, learner):
    work = scene.work().code("50.0")
    grading = json.loads(json.dumps(work.cell("check-half")["metadata"]["nbgrader"]))
    work.cells[2]["metadata"]["nbgrader"] = {**grading, "grade_id": "mine", "points": 50}
    work.hand_in(scene.course, learner)


@attack("67", "names of two cells swapped", 0)
def _(scene, learner):
    work = scene.work()
    work.answer("half", 'half = "1000 mm"').answer("double", 'double = "250 mm"')
    work.hand_in(scene.course, learner)


@attack("68", "all marked cells removed", 5, says="was missing")
def _(scene, learner):
    work = scene.work(True)
    work.nb["cells"] = [c for c in work.cells if "-check-" not in c["id"]]
    work.hand_in(scene.course, learner)


@attack("44", "a tag that skips the checks", 0, says="Tags")
def _(scene, learner):
    work = scene.work()
    for cell in work.cells:
        cell["metadata"]["tags"] = ["skip-execution"]
    work.hand_in(scene.course, learner)


# --- a file that is no notebook ----------------------------------------------------------------------
raw("31", "damaged JSON", lambda data: data[: len(data) // 2], 0, says="damaged")
raw("69", "absurdly deep JSON", lambda data: b"[" * 100_000 + b"]" * 100_000, 0, says="damaged")
raw("34", "a lone surrogate", lambda data: data.replace(b"units.show(my", b"\\ud800units.show(my"),
    4)  # fmt: skip
raw("65", "a byte order mark", lambda data: b"\xef\xbb\xbf" + data)
raw("63", "another notebook format", lambda data: data.replace(b'"nbformat": 4', b'"nbformat": 9'))
raw("32", "another kernel", lambda data: data.replace(b'"python3"', b'"julia"'))
raw("66", "a large attachment", lambda data: data.replace(
    b'"id": "bench-text-01"',
    b'"id": "bench-text-01", "attachments": {"a.png": {"image/png": "' + b"A" * 20_000_000 + b'"}}'),
    says="Attached")  # fmt: skip
raw("101", "an empty file", lambda data: b"\0", 0, says="damaged")
raw("102", "a list in place of a notebook", lambda data: b"[1, 2, 3]", 0, says="damaged")
raw("103", "cells of the wrong kind", lambda data: b'{"cells": [1, null, {"source": {}}, []]}', 0)
raw("104", "five thousand cells", lambda data: data.replace(b'"cells": [', b'"cells": ['
    + b'{"cell_type": "code", "source": "1"},' * 5000), 0, says="first 400")  # fmt: skip
raw("105", "a number of a million digits", lambda data: b'{"cells": ' + b"9" * 1_000_000 + b"}", 0)


named("33", "another file name", lambda folder: (folder / "01_bench.ipynb").rename(
    folder / "work (1).ipynb"), says="was called")  # fmt: skip
named("64", "an unreadable time", lambda folder: (folder / "timestamp.txt").write_text("tomorrow?"),
      says="cannot be read as a time")  # fmt: skip
named("39", "links to the machine's folders", lambda folder: (
    (folder / "etc").symlink_to("/etc"), (folder / "users.txt").symlink_to("/etc/passwd")),
    says="is a link")  # fmt: skip
named("57", "a numpy.py of one's own", lambda folder: (folder / "numpy.py").write_text("raise"),
      says="no data")  # fmt: skip
named("106", "a pipe in place of a file", lambda folder: os.mkfifo(folder / "wait.csv"),
      says="no ordinary file")  # fmt: skip
named("107", "a file name full of tags", lambda folder: (
    folder / "<img src=x onerror=alert(1)>.py").write_text("1"), says="no data")  # fmt: skip


@attack("40", "a link to a classmate's notebook", 0, says="is a link")
def _(scene, learner):
    folder = scene.course.folder / "submitted" / learner / bench.NAME
    folder.mkdir(parents=True)
    target = scene.course.folder / "submitted" / "classmate" / bench.NAME / "01_bench.ipynb"
    (folder / "01_bench.ipynb").symlink_to(target)


@attack("108", "the folder is a link to a classmate's", 0, says="is a link")
def _(scene, learner):
    folder = scene.course.folder / "submitted" / learner
    folder.mkdir(parents=True)
    (folder / bench.NAME).symlink_to(scene.course.folder / "submitted" / "classmate" / bench.NAME)


@attack("109", "a pipe in place of the notebook", 0, says="no ordinary file")
def _(scene, learner):
    folder = scene.course.folder / "submitted" / learner / bench.NAME
    folder.mkdir(parents=True)
    os.mkfifo(folder / "01_bench.ipynb")


# --- text cells, names and tables ------------------------------------------------------------------------
SCRIPTS = (
    "<script>document.title='STOLEN'</script>",
    "<img src=x onerror=alert(1)>",
    "[a](javascript:alert(1))",
    "[a](java&#115;cript:alert(1))",
    "[a](JAVA\tSCRIPT:alert(1))",
    "[a][b]\n\n[b]: javascript:alert(1)",
    "<javascript:alert(1)>",
    "[a](data:text/html;base64,PHNjcmlwdD4=)",
    "<svg/onload=alert(1)>",
    '<a href="j&Tab;avascript:alert(1)">a</a>',
    "`` ``` ``\n\n```\n</code></pre><script>alert(1)</script>",
)


@attack("55", "scripts in text cells", 0)
def _(scene, learner):
    work = scene.work()
    for text in SCRIPTS:
        work.text(text)
    work.cell("write-why")["source"] = "\n\n".join(SCRIPTS)
    work.hand_in(scene.course, learner)


# --- the log, the card, the zip ----------------------------------------------------------------------------
filed("131", "a log that gives itself full marks", {"answers.jsonl": log(
    {"exercise": "bench.half", "answer": "1 mm", "credit": 1.0},
    {"exercise": "bench.area", "answer": "def area(a, b): return 0.0", "credit": 1.0})})  # fmt: skip
filed("132", "a log of absurd lines", {"answers.jsonl": b"[" * 50_000 + b"\n" + b"9" * 5_000 + b"\n"
      + b'{"exercise": 3, "answer": {}}\n' + log({"exercise": "bench.half", "answer": "250 mm"})}, 1,
      says="cannot be read")  # fmt: skip
filed("133", "a card of numbers of one's own", {"numbers.json": json.dumps(
    {"learner": "x", "numbers": {"bench": {"width": [0.002, "mm", "width"]}}}).encode(),
    "answers.jsonl": log({"exercise": "bench.half", "answer": "1 mm"})})  # fmt: skip


def link_in_a_zip(archive, notebook):
    info = zipfile.ZipInfo("01_bench.ipynb")
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    archive.writestr(info, "../../classmate/01_bench/01_bench.ipynb")


zipped("134", "an ordinary zip", lambda archive, notebook: archive.writestr(
    "work/01_bench.ipynb", notebook), 5, says="taken out of")  # fmt: skip
zipped("135", "a zip that climbs out", lambda archive, notebook: (
    archive.writestr("../../../../climbed.csv", "1"), archive.writestr("/tmp/climbed.csv", "1"),
    archive.writestr("..\\..\\01_bench.ipynb", notebook)), 5)  # fmt: skip
zipped("136", "a zip bomb", lambda archive, notebook: (
    archive.writestr("bomb.csv", b"0" * 300_000_000), archive.writestr("01_bench.ipynb", notebook)),
    5, says="unpacks to more")  # fmt: skip
zipped("137", "a link in a zip", link_in_a_zip, 0, says="is a link")
zipped("138", "a zip of ten thousand files", lambda archive, notebook: [
    archive.writestr(f"{number}.csv", "1") for number in range(10_000)], 0)  # fmt: skip
filed("139", "a zip that is none", {"work.zip": b"PK\x03\x04 no zip at all"})


@attack("140", "a zip with a wrong checksum", 0, says="cannot be read")
def _(scene, learner):
    folder = scene.course.folder / "submitted" / learner / bench.NAME
    folder.mkdir(parents=True)
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr("01_bench.ipynb", json.dumps(scene.work(True).nb))
    broken = data.getvalue().replace(b"bench", b"bunch", 3)
    (folder / "work.zip").write_bytes(broken.replace(b"01_bunch", b"01_bench"))
