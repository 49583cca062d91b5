"""How fast is marking, and does it stay lean? python -m autograde benchmark [SUBMISSIONS]

In: nothing but this machine. Out: the figures that marking is held to, as ratios measured
in one run, because absolute times say more about the machine than about the program. The
measured work is the solved first lesson, handed in many times.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path
from typing import Any

from autograde import build
from autograde.course import Course
from autograde.gradebook import Gradebook, _quietly
from autograde.lesson import load
from autograde.marking import mark_class, prepare
from autograde.runner import sandbox
from autograde.runner.job import Job, ReplyError, Step, accept_result, decode
from autograde.runner.pool import Pool, default_workers
from autograde.runner.worker import Worker
from solarlib.commands import CommandError

LESSON = "parabola"


@dataclass(frozen=True)
class Figure:
    """One figure: what was measured, what came out, what it is held to."""

    what: str
    value: float
    most: float
    detail: str = ""

    @property
    def text(self) -> str:
        """The figure in one line."""
        sign = "ok  " if self.value <= self.most else "OVER"
        return f"{sign} {self.what}: {self.value:.3g} (at most {self.most:.3g}){self.detail}"


def _seconds(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _in_turns(rounds: int, *works: Callable[[], Any]) -> list[float]:
    """Return the median time of each work, measured in turns, so that all share the weather."""
    times = [[_seconds(work) for work in works] for _ in range(rounds)]
    return [statistics.median(column) for column in zip(*times, strict=True)]


def hand_in(folder: Path, count: int) -> Course:
    """Make a course folder with the solved lesson handed in `count` times, a little different."""
    build.course(folder, [LESSON])
    source = load(LESSON)
    solved = build.notebook(source, True)
    for number in range(count):
        target = folder / "submitted" / f"learner{number:04d}" / source.name
        nb = json.loads(json.dumps(solved))
        nb["cells"][1]["source"] += [f"\n# {number}"]
        for cell in nb["cells"]:
            if cell["id"].endswith("answer-depth"):
                cell["source"] = ["".join(cell["source"]) + f"\nmine = {number}"]
        build.write_notebook(nb, target / f"{source.name}.ipynb")
    return Course(folder.resolve(), source)


# --- the figures ---------------------------------------------------------------------------------
def execution(course: Course, rounds: int) -> list[Figure]:
    """One submission: warm and sandboxed against a new kernel, and against a bare fork."""
    import nbformat
    from nbgrader.preprocessors import Execute

    learner, path = next(iter(course.submissions().items()))
    job = prepare(course, learner, path).job
    raw = nbformat.read(path / f"{course.source.name}.ipynb", as_version=4)

    def stock() -> None:
        os.environ["NBGRADER_EXECUTION"] = "autograde"
        Execute().preprocess(nbformat.from_dict(json.loads(json.dumps(raw))), {})

    launch = _bare()
    with Worker(sandbox.sandboxed()) as walled, Worker(launch) as bare:
        walled.run(job), bare.run(job)
        ours, without = _in_turns(10 * rounds, lambda: walled.run(job), lambda: bare.run(job))
    shutil.rmtree(launch.home, ignore_errors=True)
    with tempfile.TemporaryDirectory() as place, _at(Path(place)), _hushed():
        (theirs,) = _in_turns(rounds, stock)
    return [
        Figure("execution of one submission, ours ÷ stock", ours / theirs, 0.1,
               f"  [{1000 * ours:.0f} ms ÷ {1000 * theirs:.0f} ms]"),
        Figure("sandbox ÷ bare fork", ours / without, 1.3),
    ]  # fmt: skip


def _bare() -> sandbox.Launch:
    """Return how to start the forking process without walls, for our own notebook only."""
    launch = sandbox.unprotected()
    boot = json.loads(launch.command[-1])
    home = tempfile.mkdtemp(prefix="marking-bare-")
    boot.update(fresh=False, home=home)
    command = (*launch.command[:-1], json.dumps(boot))
    return replace(launch, command=command, fresh=False, home=home)


def whole_run(course: Course, sample: int) -> list[Figure]:
    """The whole run over all submissions against stock nbgrader on a sample, for each one."""
    count = len(course.submissions())
    engine = Pool(sandbox.sandboxed(), default_workers())
    gradebook = Gradebook(course.folder)
    ours = _seconds(lambda: list(mark_class(course, gradebook, engine))) / count
    again = _seconds(lambda: list(mark_class(course, gradebook, engine))) / count
    theirs = _stock(course, sample) / sample
    return [
        Figure("whole run, ours ÷ stock, for each submission", ours / theirs, 0.25,
               f"  [{ours:.2f} s × {count} ÷ {theirs:.2f} s × {sample}]"),
        Figure("marking again, nothing changed ÷ first time", again / ours, 0.5),
    ]  # fmt: skip


def _stock(course: Course, sample: int) -> float:
    """Mark the first submissions with nbgrader as it comes; return the seconds."""
    from nbgrader.apps.api import NbGraderAPI
    from traitlets.config import Config

    folder = course.folder.with_name("stock")
    for learner, path in list(course.submissions().items())[:sample]:
        shutil.copytree(path, folder / "submitted" / learner / course.source.name)
    shutil.copytree(course.folder / "source", folder / "source")
    Gradebook(folder).prepare(course.source)
    config = Config()
    config.CourseDirectory.root = config.Exchange.root = str(folder)
    with _at(folder), _hushed():
        api = NbGraderAPI(config=config)

        def all_of_them() -> None:
            for learner in sorted(os.listdir(folder / "submitted")):
                done = api.autograde(course.source.name, learner)
                assert done["success"], done

        return _seconds(all_of_them)


def lean(course: Course, count: int) -> list[Figure]:
    """A worker after `count` submissions against its start: memory, files, processes."""
    import psutil

    learner, path = next(iter(course.submissions().items()))
    job = prepare(course, learner, path).job
    with Worker(sandbox.sandboxed()) as worker:

        def size() -> tuple[int, int, int]:
            inside = psutil.Process(worker.pid).children(recursive=True)
            files = psutil.Process().num_fds() + sum(p.num_fds() for p in inside)
            return sum(p.memory_info().rss for p in inside), files, len(inside)

        for _ in range(10):
            worker.run(job)
        before = size()
        for _ in range(count):
            worker.run(job)
        after = size()
    return [
        Figure(f"memory of a worker after {count} submissions ÷ before", after[0] / before[0], 1.1),
        Figure("files more than before", after[1] - before[1], 0),
        Figure("processes more than before", after[2] - before[2], 0),
    ]


def learners_side(course: Course) -> list[Figure]:
    """A fresh process that checks a whole notebook, against nbgrader's validate."""
    path = next(iter(course.submissions().values())) / f"{course.source.name}.ipynb"
    words = {"ours": ["-m", "autograde", "try", str(path)],
             "stock": ["-m", "nbgrader", "validate", str(path)]}  # fmt: skip

    def run(name: str) -> Callable[[], None]:
        def once() -> None:
            subprocess.run([sys.executable, *words[name]], capture_output=True, check=False)

        return once

    ours, theirs = _in_turns(3, run("ours"), run("stock"))
    return [Figure("checking a whole notebook, try ÷ nbgrader validate", ours / theirs, 0.5)]


def instant() -> list[Figure]:
    """One check of a number from a process that has it loaded, and what importing it takes."""
    from autograde.check import answer

    code = "import time; a = time.perf_counter(); import autograde; b = time.perf_counter(); print(b - a)"
    loads = [float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True,
                                  check=True).stdout) for _ in range(5)]  # fmt: skip
    with _hushed():
        answer("parabola.depth", "150.6 mm")
        (once,) = _in_turns(20, lambda: answer("parabola.depth", "150.6 mm"))
    loading = min(loads)  # the rest is waiting for other work on this machine
    return [
        Figure("instant check ÷ 20 ms", once / 0.020, 1.0, f"  [{1000 * once:.1f} ms]"),
        Figure("its import ÷ 0.1 s", loading / 0.1, 1.0, f"  [{1000 * loading:.0f} ms]"),
    ]


def fuzz(count: int = 10_000) -> list[Figure]:
    """Mutated replies of a learner's process that end in anything but a refusal."""
    job = Job((Step("a", run="print(1)\n2"), Step("b", asks=("[1.5, {'a': (2, None)}]", "1 / 0"))))
    with Worker(sandbox.sandboxed()) as worker:
        whole = json.dumps(worker.run(job)).encode()
    dice, faults = random.Random(20260501), 0
    pieces = (b"[", b"{", b"}", b'"', b"9" * 400, b"null", b"NaN", b"1e999", b"\xff", b"\\ud800", b",")
    for _ in range(count):
        line = bytearray(whole)
        for _ in range(dice.randint(1, 6)):
            at = dice.randrange(len(line))
            line[at : at + dice.choice((0, 1, 1, 5, 50))] = dice.choice(pieces)
        try:
            accept_result(decode(bytes(line), 1 << 24), job, sandbox.version())
        except ReplyError:
            pass
        except Exception:  # this is what is looked for
            faults += 1
    return [Figure(f"exceptions of the parser in {count} mutated replies", faults, 0)]


@contextmanager
def _at(folder: Path) -> Any:
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)
        os.environ.pop("NBGRADER_EXECUTION", None)


@contextmanager
def _hushed() -> Any:
    screen = os.dup(2)  # kernels write to it by themselves
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        os.dup2(nowhere.fileno(), 2)
    try:
        with tempfile.TemporaryDirectory() as place, _quietly(Path(place) / "log"), \
                redirect_stdout(StringIO()), redirect_stderr(StringIO()):  # fmt: skip
            yield
    finally:
        os.dup2(screen, 2)
        os.close(screen)


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde benchmark [SUBMISSIONS]`; 0 when every figure is met."""
    if len(argv) > 1 or (argv and not (argv[0].isdecimal() and int(argv[0]))):
        raise CommandError("Give the number of submissions, like: python -m autograde benchmark 100")
    count = int(argv[0]) if argv else 100
    if words := sandbox.why_not():
        raise sandbox.NoSandboxError(words)
    os.environ["PATH"] = f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', '')}"
    met = True
    with tempfile.TemporaryDirectory(prefix="benchmark-") as place:
        os.environ["AUTOGRADE_WORKSPACE"] = place
        course = hand_in(Path(place) / "class", count)
        print(f"{count} submissions of {course.source.name}, {default_workers()} workers.")
        measures = (
            lambda: execution(course, 5),
            lambda: lean(course, 5 * count),
            lambda: learners_side(course),
            instant,
            fuzz,
            lambda: whole_run(course, min(count, 10)),
        )
        for measure in measures:
            for figure in measure():
                print(figure.text, flush=True)
                met = met and figure.value <= figure.most
    return 0 if met else 1
