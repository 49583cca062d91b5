"""Whatever a learner's work does: it is graded, never above the value of its answers, and
nothing is left behind.

Each entry of the table is one behaviour, handed in as one submission of the bench lesson
(5 points by machine); all of them are marked in one run, two at a time, as a class would
be. The list of behaviours 01 to 78 is the course's own measurement of what breaks a
stock notebook grader; the ones from 101 on were added here.
"""

from __future__ import annotations

import base64
import io
import json
import os
import re
import socket
import sqlite3
import stat
import threading
import zipfile
from html.parser import HTMLParser
from pathlib import Path

import nbformat
import psutil
import pytest

from autograde.course import safe_name
from autograde.gradebook import Gradebook, in_a_table
from autograde.marking import mark_class
from autograde.runner import sandbox
from autograde.runner.pool import Pool
from tests import bench

pytestmark = pytest.mark.skipif(bool(sandbox.why_not()), reason=sandbox.why_not() or "-")
CELL_S = 1.5
ATTACKS: dict[str, Attack] = {}


class Attack:
    """A behaviour. hand_in(scene) puts it into submitted/; score : what its answers are worth."""

    def __init__(self, name, score, hand_in, says="", never=""):
        self.name, self.score, self.hand_in = name, score, hand_in
        self.says, self.never = says, never


class Scene:
    """Where an attack takes place: the course, a classmate's work, a listener on the network."""

    def __init__(self, course, port):
        self.course, self.port, self.source = course, port, course.source

    def work(self, solved=False):
        return bench.Work(self.source, solved)


def attack(number, name, score=0.0, says="", never=""):
    """Register a function (scene, learner) as an attack."""

    def register(hand_in):
        ATTACKS[number] = Attack(name, score, hand_in, says, never)
        return hand_in

    return register


def code(number, name, source, score=0.0, solved=None, before="", **more):
    """Register code in a cell of its own; `solved` work (by default where there is a score)."""

    def hand_in(scene, learner):
        text = source(scene) if callable(source) else source
        work = scene.work(solved if solved is not None else score > 0)
        work.code(text, before).hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, **more)


# --- code that does not end, or ends too much ----------------------------------------------------
code("01", "endless loop", "while True:\n    pass", 5)
code("02", "loop that swallows interrupts", """
def again():
    while True:
        try:
            while True:
                pass
        except BaseException:
            pass
again()""", 5, says="did not stop")  # fmt: skip
code("60", "ignores its signals", """
import signal
for number in (signal.SIGALRM, signal.SIGINT, signal.SIGTERM):
    signal.signal(number, signal.SIG_IGN)
while True:
    pass""", 5, says="did not stop")  # fmt: skip
code("52", "an exception whose words never end", """
class Endless(Exception):
    def __str__(self):
        while True:
            pass
raise Endless()""", 5)  # fmt: skip
code("03", "a thread left running", """
import threading, time
def on():
    while True:
        time.sleep(0.01)
threading.Thread(target=on, daemon=True).start()""", 5)  # fmt: skip
code("04", "detached processes", """
import subprocess, sys
for _ in range(20):
    try:
        subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"],
                         start_new_session=True)
        print("STARTED")
    except OSError as error:
        print("refused", error)""", 5, never="STARTED")  # fmt: skip
code("05", "many forks", """
import os
made = 0
for _ in range(200):
    try:
        if os.fork() == 0:
            os._exit(0)
        made += 1
    except OSError:
        pass
print("FORKS", made)""", 5, never="FORKS [1-9]")  # fmt: skip
code("06", "memory bomb", "hoard = []\nwhile True:\n    hoard.append(bytearray(10_000_000))", 5)
code("07", "fills the disk", """
for number in range(100):
    with open(f"full{number}.bin", "wb") as file:
        for _ in range(30):
            file.write(b"x" * 10_000_000)""", 5)  # fmt: skip
code("17", "SystemExit", "raise SystemExit(0)", 5)
code("18", "KeyboardInterrupt", "raise KeyboardInterrupt", 5)
code("19", "os._exit", "import os\nos._exit(0)", 5, says="ended by itself")
code("20", "exit()", "exit()", 5)
code("21", "kills its parent", "import os, signal\nos.kill(os.getppid(), signal.SIGKILL)", 5)
code("22", "kills everything", "import os, signal\nos.kill(-1, signal.SIGKILL)", 5)
code("35", "deep recursion", "def deep(n):\n    return deep(n + 1)\ndeep(0)", 5)
code("36", "crash by recursion", """
import sys
sys.setrecursionlimit(10**9)
class Down:
    def __repr__(self):
        return repr(self)
def deep(n):
    return [*map(deep, [n + 1])]
deep(0)""", 5)  # fmt: skip
code("37", "segmentation fault", "import ctypes\nctypes.string_at(0)", 5, says="ended by itself")
code("38", "sleeps at exit", "import atexit, time\natexit.register(time.sleep, 60)", 5)
code("58", "closes every file", "import os\nos.closerange(0, 256)", 5)
code("59", "takes the standard streams away", """
import sys
sys.stdout = sys.stderr = sys.stdin = sys.__stdout__ = None""", 5)  # fmt: skip
code("72", "asks for input", "input('?')", 5)
code("73", "changes the folder", "import os\nos.chdir('/')", 5)
code("74", "a task without an end", """
import asyncio
async def on():
    while True:
        await asyncio.sleep(0)
asyncio.get_event_loop().create_task(on())""", 5)  # fmt: skip
code("75", "clears the environment", "import os\nos.environ.clear()", 5)

# --- reading, writing and reaching out ------------------------------------------------------------
code("08", "reads the users of the machine", """
try:
    print("USERS", open("/etc/passwd").read())
except OSError as error:
    print(error)""", never="USERS")  # fmt: skip
code("09", "reads other work", lambda scene: f"""
import os
seen = [f for _, _, files in os.walk({str(scene.course.folder)!r}) for f in files]
print("SEEN", len(seen))""", never="SEEN [1-9]")  # fmt: skip
code("10", "runs the solutions", lambda scene: f"""
import glob
for path in glob.glob({str(scene.source.folder.parent.parent)!r} + "/**/*", recursive=True):
    exec(open(path).read())
half = "250 mm" if "LESSON" in globals() else "" """)  # fmt: skip
code("11", "writes the gradebook", lambda scene: f"""
import sqlite3
base = sqlite3.connect({str(scene.course.folder / "gradebook.db")!r})
base.execute("update grade set auto_score = 99")
base.commit()""")  # fmt: skip
code("12", "deletes the course", lambda scene: f"""
import shutil
shutil.rmtree({str(scene.course.folder)!r})""")  # fmt: skip
code("13", "calls out", lambda scene: f"""
import socket
try:
    socket.create_connection(("127.0.0.1", {scene.port}), 1).send(b"hello")
    print("CONNECTED")
except OSError as error:
    print(error)""", never="CONNECTED")  # fmt: skip
code("56", "a shell line", "!touch here; echo SHELL", never=r"^SHELL")
code("76", "memory of the parent", """
import os
try:
    open(f"/proc/{os.getppid()}/mem", "rb")
    print("OPENED")
except OSError as error:
    print(error)""", never="OPENED")  # fmt: skip
code("77", "environment of the parent", """
import os
try:
    print("OPENED", open(f"/proc/{os.getppid()}/environ").read())
except OSError as error:
    print(error)""", never="OPENED")  # fmt: skip
code("78", "leaves files for the next one", """
import os, pathlib
for place in (".ipython/profile_default/startup", "matplotlib", "ipython", "work"):
    folder = pathlib.Path.home() / place
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("00.py", "matplotlibrc", "sitecustomize.py"):
        (folder / name).write_text("half = '250 mm'")""", never="x^")  # fmt: skip

# --- making the check say what one likes ------------------------------------------------------------
code("14", "patches numpy's testing", """
import numpy.testing as t
t.assert_allclose = t.assert_almost_equal = t.assert_equal = lambda *a, **k: None""")  # fmt: skip
EQUAL = """
class Equal(float):
    __eq__ = __le__ = __ge__ = lambda self, other: True
    __sub__ = __rsub__ = lambda self, other: 0.0
    __hash__ = float.__hash__
half = double = Equal(1)
def area(a, b):
    return Equal(1)"""
code("15", "a number equal to everything", EQUAL, before="answer-lid", solved=False)
code("61", "a number with a false face", """
class Face(float):
    __repr__ = __str__ = lambda self: "250.0"
half = Face(1)""", before="check-half")  # fmt: skip
code("16", "patches the builtins", """
import builtins
for name in ("abs", "eval", "repr", "type", "isinstance", "float"):
    setattr(builtins, name, lambda *a, **k: True)""")  # fmt: skip
code("71", "patches autograde in its process", """
import autograde, autograde.plain as plain, sys
autograde.check = lambda *a: 1.0
plain.to_plain = lambda value: 1
for module in list(sys.modules.values()):
    if hasattr(module, "Child"):
        module.Child._ask = lambda self, *a: ["250 mm"]""", 1, solved=False)  # fmt: skip
code("70", "breaks the display hook", "import sys\nsys.displayhook = None", 5)
code("23", "prints results into every file", """
import os
line = b'{"step": 1, "values": ["250 mm"]}\\n5.0\\n'
for number in range(3, 64):
    try:
        os.write(number, line)
    except OSError:
        pass
print("5.0")""")  # fmt: skip
code("42", "turns later cells into nothing", """
get_ipython().input_transformers_cleanup.append(lambda lines: ["pass\\n"])""")  # fmt: skip
code("43", "replaces run_cell", "get_ipython().run_cell = lambda *a, **k: None")
code("41", "a hook that prints the tests", """
def show(info):
    print("TEST", info.raw_cell)
get_ipython().events.register("pre_run_cell", show)""", never=r"TEST.*(reference|cases)")  # fmt: skip
code("45", "searches memory for the key", """
import gc, sys
frame, texts = sys._getframe(), []
while frame:
    texts += [repr(v)[:2000] for v in frame.f_locals.values() if isinstance(v, (str, bytes, list))]
    frame = frame.f_back
texts += [repr(o)[:2000] for o in gc.get_objects() if isinstance(o, (dict, list)) and len(o) < 50]
words = ("=ecnarelot", ")0.3 ,0.2(aera")  # backwards, not to find these very words
print("FOUND", [t[:99] for t in texts if any(word[::-1] in t for word in words)])""",
     never=r"FOUND \[[^]]")  # fmt: skip
code(
    "62",
    "right, and warns",
    "import sys\nprint('careful', file=sys.stderr)",
    5,
    before="check-half",
)
for number, name, value in (
    ("47", "not a number", "float('nan')"), ("48", "a huge integer", "10**5000"),
    ("49", "a huge text", "'9' * 10_000_000"),
    ("50", "an object that unpickles badly", "__import__('pickle').dumps(print)"),
):  # fmt: skip
    code(number, name, f"half = {value}", before="check-half")
code("24", "prints without measure", "for _ in range(1000):\n    print('x' * 100_000)", 5)
code("25", "displays without measure", """
from IPython.display import display
for number in range(20_000):
    display(number)""", 5)  # fmt: skip
code("46", "many figures", """
import matplotlib.pyplot as plt
for _ in range(100):
    plt.figure(figsize=(1, 1))
plt.show()""", 5)  # fmt: skip
code("54", "a script in an output", """
from IPython.display import HTML, Javascript, display
display(HTML("<script>document.title = 'STOLEN'</script>"), Javascript("STOLEN"))""",
     never="document.title")  # fmt: skip


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
def raw(number, name, change, score=5.0, solved=True, says=""):
    """Register a change of the file's bytes."""

    def hand_in(scene, learner):
        work = scene.work(solved)
        work.raw = change(json.dumps(work.nb, ensure_ascii=False).encode())
        work.hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, says)


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


def named(number, name, change, score=5.0, says=""):
    """Register a change of the folder in which a solved notebook lies."""

    def hand_in(scene, learner):
        change(scene.work(True).hand_in(scene.course, learner))

    ATTACKS[number] = Attack(name, score, hand_in, says)


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


code("110", "a picture that is a page", """
from IPython.display import display
display({"image/png": "PHNjcmlwdD5TVE9MRU48L3NjcmlwdD4="}, raw=True)
display({"image/png": "\\"><script>STOLEN</script>"}, raw=True)""", never="STOLEN|PHNj")  # fmt: skip
code("111", "an error with a page in its words",
     "raise ValueError('<script>alert(1)</script>')")  # fmt: skip


# --- functions that know better -----------------------------------------------------------------------------
def function(number, name, source, score=0.0, **more):
    """Register the function `area` of the lesson, all else untouched."""

    def hand_in(scene, learner):
        scene.work().answer("area", source).hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, **more)


function("112", "only the shown example", """
def area(a, b):
    return {(2.0, 3.0): 6.0}.get((a, b), 0.0)""", says="")  # fmt: skip
function("113", "looks whether it is being marked", """
import os
def area(a, b):
    return 6.0 if os.environ.get("AUTOGRADE_MARKING") else a + b""")  # fmt: skip
function("114", "looks for the answer in the frames", """
import sys
def area(a, b):
    frame = sys._getframe(1)
    while frame:
        for name in ("expected", "answer", "reference", "wanted"):
            if name in frame.f_locals:
                return frame.f_locals[name]
        frame = frame.f_back
    return 0.0""")  # fmt: skip
function("115", "looks for the answer in memory", """
import gc
def area(a, b):
    near = [o for o in gc.get_objects() if callable(o) and getattr(o, "__name__", "") == "<lambda>"]
    for one in near:
        try:
            if one(2.0, 3.0) == 6.0:
                return one(a, b)
        except Exception:
            pass
    return 0.0""")  # fmt: skip
function("116", "remembers what it was asked", """
asked = []
def area(a, b):
    asked.append((a, b))
    return asked[0][0] * asked[0][1]""")  # fmt: skip
function("117", "leaks memory, slowly", """
hoard = []
def area(a, b):
    hoard.append(bytearray(20_000_000))
    return a * b""", 2)  # fmt: skip
function("118", "leaks time, slowly", """
import time
def area(a, b):
    time.sleep(0.8)
    return a * b""")  # fmt: skip
function("119", "a result that never ends", "def area(a, b):\n    return iter(int, 1)")
function("120", "a result that holds itself", """
def area(a, b):
    me = []
    me.append(me)
    return me""")  # fmt: skip
function("121", "a result of a million entries", "def area(a, b):\n    return [0.0] * 1_000_000")
function("122", "a result that lies about its type", """
class Liar:
    __class__ = float
    __module__ = "numpy"
    size = 1
    def tolist(self):
        return 6.0
def area(a, b):
    return Liar()""")  # fmt: skip
function("123", "ends the process when asked", "import os\ndef area(a, b):\n    os._exit(0)")
function("124", "never comes back when asked", """
import signal
def area(a, b):
    signal.signal(signal.SIGALRM, signal.SIG_IGN)
    while True:
        pass""")  # fmt: skip
function("125", "raises what cannot be shown", """
class Mute(BaseException):
    def __str__(self):
        raise SystemExit
def area(a, b):
    raise Mute()""")  # fmt: skip
function("126", "borrows the course's library under another name", """
from solarlib import geometry as g
h = g.Parabola
def area(a, b):
    h(0.17, 0.64)
    return a * b""", says="")  # fmt: skip
code("127", "forges the coming replies", """
import json, os
def forge(step, **reply):
    return json.dumps({"step": step, **reply}).encode() + b"\\n"
lines = forge(1, outputs=[]) + b"".join(forge(n, values=["1 mm"]) for n in range(2, 9))
for number in range(3, 64):
    try:
        os.write(number, lines)
    except OSError:
        pass
import time
time.sleep(0.3)""")  # fmt: skip
code("128", "forges the warm process's own words", """
import os
for number in range(3, 64):
    try:
        os.write(number, b'w{"clean": true}\\nw{"gone": ""}\\n')
    except OSError:
        pass""")  # fmt: skip
code("129", "several answers in one", 'half = "1000 mm or 250 mm"', before="check-half")
code("130", "a text that is equal to everything", """
class Any(str):
    __eq__ = lambda self, other: True
    __hash__ = str.__hash__
half, lid = Any("250 mm"), Any("b")""", before="check-half")  # fmt: skip


# --- the log, the card, the zip ----------------------------------------------------------------------------
def log(*entries):
    """Return lines of a log."""
    return b"".join(json.dumps({"time": "2026-05-01T10:00:00", "credit": None, "slip": None, **e})
                    .encode() + b"\n" for e in entries)  # fmt: skip


def filed(number, name, files, score=0.0, says=""):
    """Register untouched work with files beside it."""

    def hand_in(scene, learner):
        work = scene.work()
        work.files = files() if callable(files) else files
        work.hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, says)


filed("131", "a log that gives itself full marks", {"answers.jsonl": log(
    {"exercise": "bench.half", "answer": "1 mm", "credit": 1.0},
    {"exercise": "bench.area", "answer": "def area(a, b): return 0.0", "credit": 1.0})})  # fmt: skip
filed("132", "a log of absurd lines", {"answers.jsonl": b"[" * 50_000 + b"\n" + b"9" * 5_000 + b"\n"
      + b'{"exercise": 3, "answer": {}}\n' + log({"exercise": "bench.half", "answer": "250 mm"})}, 1,
      says="cannot be read")  # fmt: skip
filed("133", "a card of numbers of one's own", {"numbers.json": json.dumps(
    {"learner": "x", "numbers": {"bench": {"width": [0.002, "mm", "width"]}}}).encode(),
    "answers.jsonl": log({"exercise": "bench.half", "answer": "1 mm"})})  # fmt: skip


def zipped(number, name, fill, score=0.0, says=""):
    """Register a zip in place of a notebook; `fill(archive, solved notebook)` fills it."""

    def hand_in(scene, learner):
        folder = scene.course.folder / "submitted" / learner / bench.NAME
        folder.mkdir(parents=True)
        data = io.BytesIO()
        with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
            fill(archive, json.dumps(scene.work(True).nb))
        (folder / "work.zip").write_bytes(data.getvalue())

    ATTACKS[number] = Attack(name, score, hand_in, says)


def _link(archive, notebook):
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
zipped("137", "a link in a zip", _link, 0, says="is a link")
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


# --- one run over all of them -------------------------------------------------------------------------------
class Listener(threading.Thread):
    """Counts who calls."""

    def __init__(self):
        super().__init__(daemon=True)
        self.calls, self._socket = 0, socket.create_server(("127.0.0.1", 0))
        self.port = self._socket.getsockname()[1]

    def run(self):
        while True:
            self._socket.accept()
            self.calls += 1


def walls():
    """Return the sandboxes that this process has running now."""
    return {p.pid for p in psutil.Process().children(recursive=True) if "bwrap" in p.name()}


class Outcome:
    """The marked class."""

    def __init__(self, course, lines, listener, before):
        self.course, self.listener, self.before = course, listener, before
        self.lines = {line.learner: line for line in lines}

    def notebook(self, learner):
        path = self.course.folder / "autograded" / learner / bench.NAME / f"{bench.NAME}.ipynb"
        return nbformat.read(path, as_version=4)

    def printed(self, learner):
        """All text that the learner's own cells put out."""
        return "\n".join(
            str(o.get("text") or o.get("evalue") or o.get("data", {}))
            for cell in self.notebook(learner).cells
            if cell.cell_type == "code" and "-check-" not in cell.id
            for o in cell.outputs
        )


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    course = bench.course(tmp_path_factory.mktemp("attacks"), cell_s=CELL_S)
    listener = Listener()
    listener.start()
    scene = Scene(course, listener.port)
    bench.Work(course.source, True).hand_in(course, "classmate")
    for number, one in ATTACKS.items():
        one.hand_in(scene, f"a{number}")
    for name in FOLDERS:
        bench.Work(course.source, True).hand_in(course, name)
    before = set(os.listdir("/tmp")), set(os.listdir(Path.home())), walls()
    lines = list(mark_class(course, Gradebook(course.folder), Pool(sandbox.sandboxed(), 2)))
    return Outcome(course, lines, listener, before)


FOLDERS = ("=cmd|' C calc'!A0", "<img src=x onerror=alert(1)>", "[ab]*?", "Zoë O'Neill", "-rf",
           "{nbgrader_step}", "two\nlines")  # fmt: skip


@pytest.mark.parametrize("number", sorted(ATTACKS))
def test_graded_by_its_answers(marked, number):
    one, line = ATTACKS[number], marked.lines[f"a{number}"]
    assert line.marks is not None, line.trouble
    assert line.marks.got == one.score, [(m.exercise, m.score, m.text) for m in line.marks.marks]
    if one.says:
        assert one.says in line.text
    if one.never:
        assert not re.search(one.never, marked.printed(f"a{number}"), re.MULTILINE | re.DOTALL)


def test_the_table_is_whole():
    measured = {f"{number:02d}" for number in range(1, 79)}
    assert measured <= set(ATTACKS)
    assert len(set(ATTACKS) - measured) >= 22


def test_the_classmate_got_what_the_answers_are_worth(marked):
    assert marked.lines["classmate"].marks.got == 5


def test_the_gradebook_says_the_same_as_the_lines(marked):
    with sqlite3.connect(marked.course.folder / "gradebook.db") as base:
        rows = base.execute(
            "select s.student_id, sum(g.auto_score) from grade g "
            "join submitted_notebook n on n.id = g.notebook_id "
            "join submitted_assignment s on s.id = n.assignment_id group by s.student_id"
        ).fetchall()
    assert dict(rows) == {name: line.marks.got for name, line in marked.lines.items()}
    assert len(rows) == len(ATTACKS) + 1 + len(FOLDERS)


def test_nothing_is_left_behind(marked):
    assert marked.listener.calls == 0
    ours = {name for name in os.listdir("/tmp") if "climbed" in name or "full" in name}
    assert not ours - marked.before[0]
    assert set(os.listdir(Path.home())) <= marked.before[1]
    assert not walls() - marked.before[2]
    climbed = marked.course.folder.parent.rglob("climbed*")
    assert {p.parent.name for p in climbed} == {bench.NAME}, "only in the learner's own folder"
    for path in (marked.course.folder / "autograded").rglob("*"):
        assert not path.is_symlink()
        assert path.is_dir() or path.stat().st_size < 3_000_000, path
        assert path.is_dir() or "root:x:0" not in path.read_text(errors="replace")


def test_no_script_reaches_a_page(marked):
    from nbconvert import HTMLExporter

    for learner in ("a55", "a54", "a110", "a111", "a107"):
        page, _ = HTMLExporter().from_notebook_node(marked.notebook(learner))
        reader = Tags()
        reader.feed(page[page.index("<body") :])
        assert reader.seen > 100 and not reader.bad, learner


class Tags(HTMLParser):
    """Collects what could run in the body of a page."""

    def __init__(self):
        super().__init__()
        self.seen, self.bad = 0, []

    def handle_starttag(self, tag, attributes):
        self.seen += 1
        for name, value in attributes:
            link = re.sub(r"[\s\x00-\x1f]", "", value or "").lower()
            if name.startswith("on") or link.startswith(("javascript:", "data:text")):
                self.bad.append((tag, name, value))
        if tag in ("script", "iframe", "object", "embed", "svg"):
            self.bad.append(tag)


def test_learners_names_are_harmless(marked):
    found = [name for name in marked.lines if not re.fullmatch(r"a\d+|classmate", name)]
    assert len(found) == len(FOLDERS)
    for name in found:
        assert re.fullmatch(r"[\w .@~-]+", name) and name[0] not in "=+-@"
        assert marked.lines[name].marks.got == 5
    assert safe_name("Zoë O'Neill") != safe_name("Zoë O_Neill") == "Zoë O_Neill"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "|x", "\t=1", " =1", "%0A=1"])
def test_a_table_never_runs_what_it_shows(text):
    assert in_a_table(text).startswith("'")


def test_a_table_leaves_harmless_values_alone():
    assert in_a_table("Ana = Maria") == "Ana = Maria" and in_a_table(-1.5) == -1.5


def test_pictures_are_pictures(marked):
    for learner in ("a110", "a46"):
        for cell in marked.notebook(learner).cells:
            for output in cell.get("outputs", ()):
                picture = output.get("data", {}).get("image/png")
                assert picture is None or base64.b64decode(picture).startswith(b"\x89PNG")
