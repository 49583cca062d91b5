"""A tiny lesson with five points, submissions made from it, and engines that mark them."""

from __future__ import annotations

import functools
import json
import queue
import tempfile
import threading
from pathlib import Path
from typing import Any

import pytest

from autograde import build, plain
from autograde.course import Course
from autograde.gradebook import Gradebook, config_text
from autograde.lesson import Source, load
from autograde.runner import sandbox
from autograde.runner.job import Limits
from autograde.runner.worker import Worker, WorkerError
from solarlib.design import Link, Plumbing, demo

NEEDS_SANDBOX = pytest.mark.skipif(bool(sandbox.why_not()), reason=sandbox.why_not() or "-")
# the demo heater's plumbing with a valve in its last way to the open air
SHUT = Plumbing(links=(*demo().plumbing.links[:-1], Link("pot", "open air", "valve")))
NAME = "01_bench"
LESSON = """
# %% [markdown]
# # Bench
#
# A box, a lid and a rule.

# %%
from autograde import check, numbers, predict
from solarlib import explorers, geometry, units

my = numbers("bench")
my

# %% answer="half"
### START half = ""
### BEGIN SOLUTION
half = units.show(my.width / 2, "mm")
### END SOLUTION

# %% check="bench.half" points=1
check("bench.half", half)

# %% answer="double"
### START double = ""
### BEGIN SOLUTION
double = units.show(2 * my.width, "mm")
### END SOLUTION

# %% check="bench.double" points=1
check("bench.double", double)

# %% answer="area"
def area(a, b):
    ### START return 0.0
    ### BEGIN SOLUTION
    return a * b
    ### END SOLUTION

# %% check="bench.area" points=2
check("bench.area", area)

# %% answer="lid"
### START lid = ""
### BEGIN SOLUTION
lid = "b"
### END SOLUTION

# %% check="bench.lid" points=1
check("bench.lid", lid)

# %% [markdown]
# Why does the box need a lid?

# %% write="why" points=2
# It keeps the rain out.
"""
KEY = '''
"""Key of the bench lesson."""

from autograde.key import (
    Choice, Function, KeyPoint, Lesson, Number, Own, Relative, ShortText, Slip, Within,
)

LESSON = Lesson(
    slug="bench",
    number=1,
    title="Bench",
    numbers={"width": Own(500, "mm", 400, 600, 10, "width of the box")},
    exercises=[
        Number(name="half", points=1, title="Half the width", unit="mm",
               answer=lambda n: n.width / 2, tolerance=Within(0.5, "mm", "a pencil line"),
               slips=[Slip("whole", lambda n: n.width, "That is the whole.", "Halve it.", 0.25)]),
        Number(name="double", points=1, title="Twice the width", unit="mm",
               answer=lambda n: 2 * n.width, tolerance=Within(0.5, "mm", "a pencil line"),
               carry=lambda n, earlier: 4 * earlier["half"]),
        Function(name="area", points=2, title="Area", signature="area(a, b)",
                 examples=[(2.0, 3.0)],
                 cases=lambda n, rng: [(rng.uniform(1, 9), rng.uniform(1, 9)) for _ in range(5)],
                 reference=lambda a, b: a * b, tolerance=Relative(1e-6, "plain arithmetic")),
        Choice(name="lid", points=1, title="Lid", options={"a": "none", "b": "one"}, answer="b"),
        ShortText(name="why", points=2, title="Why a lid?",
                  points_looked_for=[KeyPoint("rain", ("rain",), "It keeps rain out.")]),
    ],
)
'''


def lesson(root: Path) -> Source:
    """Write the lesson below `root` and read it."""
    folder = root / "lessons" / NAME
    if not folder.is_dir():
        folder.mkdir(parents=True)
        (folder / "lesson.py").write_text(LESSON.lstrip())
        (folder / "key.py").write_text(KEY)
    return load("bench", root / "lessons")


def course(root: Path, **limits: Any) -> Course:
    """Return an empty course folder for the lesson."""
    return class_of(root, lesson(root), **limits)


def class_of(root: Path, source: Source, **limits: Any) -> Course:
    """Return an empty course folder for a lesson, with an empty gradebook: making one takes long."""
    folder = root / "class"
    (folder / "submitted").mkdir(parents=True, exist_ok=True)
    (folder / "nbgrader_config.py").write_text(config_text())
    if not (folder / "gradebook.db").exists():
        (folder / "gradebook.db").write_bytes(empty_gradebook())
    return Course(folder.resolve(), source, Limits(**{"cell_s": 2.0, **limits}))


@functools.cache
def empty_gradebook() -> bytes:
    """The file of a new gradebook."""
    with tempfile.TemporaryDirectory() as place:
        Gradebook(Path(place))._create()
        return (Path(place) / "gradebook.db").read_bytes()


class Warm:
    """An engine with one sandbox that stays warm from test to test."""

    def __init__(self) -> None:
        self._jobs: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self._done: queue.SimpleQueue[Any] = queue.SimpleQueue()
        # a sandbox ends with the thread that started it
        threading.Thread(target=self._work, daemon=True).start()

    def _work(self) -> None:
        with Worker(sandbox.sandboxed()) as worker:
            while True:
                name, job = self._jobs.get()
                try:
                    self._done.put((name, worker.run(job)))
                except WorkerError as error:
                    self._done.put((name, error))

    def run(self, jobs: Any) -> Any:
        """Run jobs one after the other."""
        for item in jobs:
            self._jobs.put(item)
            yield self._done.get()


warm = functools.cache(Warm)


class Told:
    """An engine that runs nothing: learner -> name -> value in place of what a cell would give."""

    def __init__(self, values: dict[str, dict[str, Any]]):
        self._values = values

    def run(self, jobs: Any) -> Any:
        """Give the values, and no outputs."""
        for name, job in jobs:
            mine = self._values.get(name, {})
            steps = [{"outputs": []} if step.run is not None else
                     {"values": [plain.to_plain(mine.get(ask.partition("(")[0], ""))
                                 for ask in step.asks]} for step in job.steps]  # fmt: skip
            yield name, {"version": sandbox.version(), "steps": steps, "seconds": 0.1}


_BUILT: dict[Any, str] = {}  # cells and whether solved -> the notebook


class Work:
    """A notebook to hand in: untouched, or with the right answers, then changed at will."""

    def __init__(self, source: Source, solved: bool = False):
        if (source.cells, solved) not in _BUILT:
            _BUILT[source.cells, solved] = json.dumps(build.notebook(source, solved))
        self.nb: dict[str, Any] = json.loads(_BUILT[source.cells, solved])
        self._slug = source.slug
        self.files: dict[str, bytes] = {}
        self.raw: bytes | None = None

    @property
    def cells(self) -> list[dict[str, Any]]:
        """The cells."""
        return self.nb["cells"]

    def cell(self, name: str) -> dict[str, Any]:
        """The cell of an id such as "check-half"."""
        return next(c for c in self.cells if c.get("id") == f"{self._slug}-{name}")

    def answer(self, name: str, source: str) -> Work:
        """Fill an answer cell."""
        self.cell(f"answer-{name}")["source"] = source
        return self

    def code(self, source: str, before: str = "") -> Work:
        """Add a code cell before the named cell, by default before the first answer."""
        return self._add({"cell_type": "code", "execution_count": None, "metadata": {},
                          "outputs": [], "source": source}, before)  # fmt: skip

    def text(self, source: str, before: str = "") -> Work:
        """Add a text cell."""
        return self._add({"cell_type": "markdown", "metadata": {}, "source": source}, before)

    def _add(self, cell: dict[str, Any], before: str) -> Work:
        first = next(c["id"] for c in self.cells if c.get("id", "").startswith(f"{self._slug}-answer"))
        at = self.cells.index(self.cell(before or first.removeprefix(f"{self._slug}-")))
        self.cells.insert(at, {"id": f"own-{len(self.cells)}", **cell})
        return self

    def hand_in(self, course: Course, learner: str) -> Path:
        """Put it where a class's work lies; return the folder."""
        folder = course.folder / "submitted" / learner / course.source.name
        folder.mkdir(parents=True)
        data = json.dumps(self.nb).encode() if self.raw is None else self.raw
        if data:
            (folder / f"{course.source.name}.ipynb").write_bytes(data)
        for name, content in self.files.items():
            (folder / name).write_bytes(content)
        return folder
