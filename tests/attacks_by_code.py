"""Attacks by code: in a cell of its own, in an answer, in a function that is asked.

Numbers 01 to 78 are the course's own measurement of what breaks a stock notebook grader; the ones
from 101 on were added here.
"""

from __future__ import annotations

from tests.attacks import code, function

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
        (folder / name).write_text("half = '250 mm'")""")

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

code("110", "a picture that is a page", """
from IPython.display import display
display({"image/png": "PHNjcmlwdD5TVE9MRU48L3NjcmlwdD4="}, raw=True)
display({"image/png": "\\"><script>STOLEN</script>"}, raw=True)""", never="STOLEN|PHNj")  # fmt: skip
code("111", "an error with a page in its words",
     "raise ValueError('<script>alert(1)</script>')")  # fmt: skip


# --- functions that know better -----------------------------------------------------------------------------
function("112", "only the shown example", """
def area(a, b):
    return {(2.0, 3.0): 6.0}.get((a, b), 0.0)""")  # fmt: skip
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
    return a * b""")  # fmt: skip
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
