"""The runner: what passes between grader and learner's process, the walls, and its manners."""

from __future__ import annotations

import base64
import json
import os
import random
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from autograde import plain, selftest
from autograde.runner import sandbox
from autograde.runner.inside import seccomp
from autograde.runner.job import (
    Job,
    Limits,
    Outcome,
    ReplyError,
    Step,
    accept_result,
    accept_step,
    decode,
    texts,
)
from autograde.runner.pool import Pool
from autograde.runner.worker import Worker, WorkerError
from tests.bench import NEEDS_SANDBOX

QUICK = Limits(cell_s=1.5)


def job(*steps, **more):
    made = [Step(f"c{i}", asks=tuple(s)) if isinstance(s, list) else Step(f"c{i}", run=s)
            for i, s in enumerate(steps)]  # fmt: skip
    return Job(tuple(made), limits=more.pop("limits", QUICK), **more)


@pytest.fixture(scope="module")
def worker():
    with Worker(sandbox.sandboxed()) as one:
        yield one


# --- what may not keep the grader busy -----------------------------------------------------------
ENDLESS = b'"' + b'\\"' * 1_000_000  # a text that never ends, full of marks that could be its end


@pytest.mark.timeout(60)  # read once it takes a moment, read again from every mark it takes days
def test_a_reply_whose_text_has_no_end_is_refused():
    with pytest.raises(ReplyError, match="not readable"):
        decode(ENDLESS, 1 << 24)


@NEEDS_SANDBOX
@pytest.mark.timeout(120)
def test_a_learner_cannot_keep_the_grader_busy_with_such_a_reply(worker):
    forge = f"import os\nline = {ENDLESS[:3]!r} + {ENDLESS[1:3]!r} * 1_000_000 + b'\\n'\n" \
        "for number in range(3, 64):\n    try: os.write(number, line)\n    except OSError: pass"
    found = worker.result(job(forge, ["6 * 7"]))
    assert "no reply" in found.outcomes[0].left_out
    assert worker.result(job(["6 * 7"])).outcomes[0].values == (42,)


# --- cells and questions -------------------------------------------------------------------------
@NEEDS_SANDBOX
def test_a_cell_runs_and_a_question_is_answered(worker):
    found = worker.result(job("x = 6\nx * 7", ["x", "x / 0", "nowhere", "[1, (2.5, None)]"]))
    assert texts(found.outcomes[0].outputs) == "42"
    x, fault, missing, nested = found.outcomes[1].values
    assert (x, nested) == (6, [1, (2.5, None)])
    assert (fault.kind, missing.kind) == ("ZeroDivisionError", "NameError")


@NEEDS_SANDBOX
def test_questions_are_asked_in_their_place(worker):
    """Names are used again later in a notebook."""
    found = worker.result(job("a = 1", ["a"], "a = 2", ["a"]))
    assert [o.values for o in found.outcomes if o.values] == [(1,), (2,)]


@NEEDS_SANDBOX
@pytest.mark.parametrize(("source", "says"), [
    ("x", "NameError"),
    ("if", "SyntaxError"),
    ("from IPython.display import display\ndisplay(3)\n4", "3\n4"),
    ("import asyncio\nawait asyncio.sleep(0)\n'slept'", "'slept'"),
    ("%%capture kept\nprint('caught')", ""),
    ("print('a')\nimport sys\nprint('b', file=sys.stderr)", "a\n\nb\n"),
    ("1\n_", "NameError"),
    ("input()", "EOFError"),
    ("import numpy, scipy, matplotlib, pint, ipywidgets, PIL\nnumpy.arange(2)", "array([0, 1])"),
    ("from solarlib import geometry\nround(geometry.Parabola(0.17, 0.64).depth, 4)", "0.1506"),
    ("from solarlib import explorers\nexplorers.explore_anything(question=None)", ""),
    ("from autograde import check, predict, progress\ncheck('a.b', 1)\npredict('a.c')", ""),
    ("print(2 ** 2000)", str(2**2000) + "\n"),
])  # fmt: skip
def test_a_cell_behaves_as_in_a_notebook(worker, source, says):
    outputs = worker.result(job(source)).outcomes[0].outputs
    said = texts(outputs)
    errors = [o["ename"] for o in outputs if o["output_type"] == "error"]
    assert errors == [says] if says.endswith("Error") else said == says, outputs


@NEEDS_SANDBOX
def test_a_figure_comes_back_as_a_picture(worker):
    source = "import matplotlib.pyplot as plt\nplt.plot([1, 2])\nplt.show()"
    (output,) = worker.result(job(source)).outcomes[0].outputs
    assert base64.b64decode(output["data"]["image/png"]).startswith(b"\x89PNG")


@NEEDS_SANDBOX
def test_the_card_and_the_files_of_the_job_are_there(worker):
    card = {"bench": {"width": [0.5, "mm", "width of the box"]}}
    found = worker.result(job(
        "from autograde import numbers\nmy = numbers('bench')", ["my.width", "open('a.csv').read()"],
        cards=card, files={"a.csv": base64.b64encode(b"1,2").decode()}))  # fmt: skip
    assert found.outcomes[1].values == (0.5, "1,2")


@NEEDS_SANDBOX
def test_what_a_function_prints_when_asked_is_not_kept(worker):
    found = worker.result(job("def f():\n    print('hidden 12345')\n    return 1", ["f()"], "2"))
    assert found.outcomes[1].values == (1,)
    assert "hidden" not in json.dumps([o.outputs for o in found.outcomes])


@NEEDS_SANDBOX
def test_a_function_given_as_text_sees_nothing_of_the_notebook(worker):
    step = Step("c", asks=("f(2)", "secret"), define="def f(x):\n    return x + 1")
    found = worker.result(
        Job((Step("a", run="secret = 1\ndef f(x): return 0"), step), limits=QUICK)
    )
    assert found.outcomes[1].values[0] == 3 and found.outcomes[1].values[1].kind == "NameError"


# --- time, and cells that end the process --------------------------------------------------------
@NEEDS_SANDBOX
def test_a_loop_is_stopped_and_its_line_shown(worker):
    found = worker.result(job("a = 1\nwhile True:\n    a += 1  # here", "a > 1"))
    (error,) = found.outcomes[0].outputs
    assert error["ename"] == "TooLong" and "# here" in "".join(error["traceback"])
    assert texts(found.outcomes[1].outputs) == "True"


@NEEDS_SANDBOX
def test_the_cell_that_ends_the_process_is_left_out_and_the_rest_run_again(worker):
    end = "import os; os._exit(0)"
    found = worker.result(job("a = 1", end, "a += 1", end, ["a"]))
    assert [bool(o.left_out) for o in found.outcomes] == [False, True, False, True, False]
    assert found.outcomes[4].values == (2,)


@NEEDS_SANDBOX
def test_after_three_reruns_the_rest_is_said_not_to_have_run(worker):
    found = worker.result(job(*["import os; os._exit(0)"] * 5, "1"))
    assert [o.left_out for o in found.outcomes[:4]] == ["ended by itself"] * 4
    assert all("not run" in o.left_out for o in found.outcomes[4:])


@NEEDS_SANDBOX
def test_all_the_work_together_has_a_limit(worker):
    limits = Limits(cell_s=5, total_s=1)
    found = worker.result(job("import time; time.sleep(1.1)", "1", "2", limits=limits))
    assert not found.outcomes[0].left_out
    assert "more than 1 s" in found.outcomes[1].left_out


# --- nothing stays ---------------------------------------------------------------------------------
LITTER = """
import os, pathlib, sys
home = pathlib.Path.home()
for place in (".ipython/profile_default/startup", "matplotlib", "work/deep"):
    (home / place).mkdir(parents=True, exist_ok=True)
    (home / place / "left.py").write_text("print('LEFT')")
os.chmod(home / "work/deep", 0)
(home / "link").symlink_to("/")
sys.modules["left"] = os
os.environ["LEFT"] = "1"
"""
LOOK = """
import os, pathlib, sys
found = [str(p) for p in pathlib.Path.home().rglob("*")]
print(found, "left" in sys.modules, os.environ.get("LEFT"))
"""


@NEEDS_SANDBOX
def test_the_next_learner_finds_nothing(worker):
    worker.run(job(LITTER))
    said = texts(worker.result(job(LOOK)).outcomes[0].outputs)
    assert said == "['/tmp/work'] False None\n"


@NEEDS_SANDBOX
def test_folders_too_deep_to_remove_go_with_their_sandbox(worker):
    deep = "import os\nfor _ in range(3000):\n    os.mkdir('d')\n    os.chdir('d')"
    before = worker.pid
    worker.run(job(deep, limits=Limits(cell_s=20)))
    assert worker.pid != before
    assert texts(worker.result(job(LOOK)).outcomes[0].outputs) == "['/tmp/work'] False None\n"


@NEEDS_SANDBOX
def test_the_kernel_keeps_nothing_either(worker):
    """Shared memory of the old kind would outlive its process."""
    source = "import ctypes\nprint(ctypes.CDLL(None).shmget(1, 4096, 0o1666))"
    assert texts(worker.result(job(source)).outcomes[0].outputs) == "-1\n"


@NEEDS_SANDBOX
def test_many_submissions_leave_memory_and_files_as_they_were(worker):
    def size():
        inside = [p for p in psutil.Process(worker.pid).children(recursive=True)]
        return (sum(p.memory_info().rss for p in inside), sum(p.num_fds() for p in inside),
                len(inside), psutil.Process().num_fds())  # fmt: skip

    work = job("import numpy as np\nx = np.ones(1_000_000)\nx.sum()", ["float(x.sum())"])
    for _ in range(5):
        worker.run(work)
    before = size()
    for _ in range(40):
        worker.run(work)
    after = size()
    assert after[1:] == before[1:]
    assert after[0] < 1.1 * before[0]


# --- the walls ---------------------------------------------------------------------------------------
@NEEDS_SANDBOX
def test_only_what_was_named_is_inside(worker):
    source = """
import os
print(sorted(os.listdir("/")), os.getuid(), sorted(os.listdir("/course")))
print([n for n in os.listdir("/site0") if "autograde" in n or "nbgrader" in n])
print(sorted(os.listdir("/course/autograde")), sorted(os.listdir("/dev")))"""
    first, second, third = texts(worker.result(job(source)).outcomes[0].outputs).splitlines()
    assert " 65534 ['autograde', 'inside', 'library']" in first
    assert "'etc'" not in first and "'proc'" not in first and "'home'" not in first
    assert second == "[]"
    assert third == "['numbers.py', 'plain.py'] ['null', 'urandom', 'zero']"


@NEEDS_SANDBOX
def test_no_key_can_be_found_inside(worker):
    """Wherever the course is installed, its keys must not be under anything that is bound."""
    source = """
import os
print([os.path.join(f, n) for f, _, names in os.walk("/") for n in names
       if n in ("key.py", "lesson.py", "gradebook.db", "function.py") and "site0" not in f
       and not f.startswith("/usr/lib/") and "/lib/python3" not in f])"""
    assert texts(worker.result(job(source, limits=Limits(cell_s=60))).outcomes[0].outputs) == "[]\n"


def test_a_virtual_environment_is_never_bound_as_a_whole():
    command = " ".join(sandbox.sandboxed().command) if shutil.which("bwrap") else ""
    assert f"--ro-bind {sys.prefix} " not in command
    if sys.prefix != sys.base_prefix:
        assert f"{sys.prefix}/lib/python{sys.version_info[0]}.{sys.version_info[1]} " not in command


def test_an_installed_course_is_covered():
    """A wheel carries the lessons in site-packages; that folder is bound entry by entry."""
    entries = {entry for _, entry in sandbox.package_paths()}
    assert "numpy" in entries and "pint" in entries
    assert not {"autograde", "solarlib", "nbgrader", "lessons"} & entries


@pytest.mark.parametrize("machine", sorted(seccomp.MACHINES))
def test_the_filter_is_a_program_that_ends(machine):
    """Each jump of the filter lands on one of its own instructions."""
    code = seccomp.program(machine, 7)
    steps = [code[i : i + 8] for i in range(0, len(code), 8)]
    assert len(code) % 8 == 0 and len(steps) < 4096
    for place, step in enumerate(steps[:-1]):
        assert place + 1 + max(step[2], step[3]) < len(steps)
    assert steps[-1] == (0x06).to_bytes(2, "little") + bytes(2) + seccomp.ALLOW.to_bytes(
        4, "little"
    )


@pytest.mark.skipif(os.uname().machine not in seccomp.MACHINES, reason="no filter for this machine")
@pytest.mark.parametrize(("call", "refused"), [
    ("os.fork()", True), ("__import__('socket').socket()", True), ("os.kill(os.getppid(), 0)", True),
    ("os.execv('/bin/true', ['true'])", True), ("os.memfd_create('a')", True),
    ("__import__('threading').Thread(target=print).start()", False),
    ("__import__('asyncio').run(__import__('asyncio').sleep(0))", False),
])  # fmt: skip
def test_the_filter_refuses_what_a_notebook_does_not_need(call, refused):
    path = str(sandbox.HERE / "inside")
    code = (f"import sys, os; sys.path.insert(0, {path!r}); import seccomp; "
            f"assert not seccomp.load(); {call}")  # fmt: skip
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert ("PermissionError" in done.stderr) == refused, done.stderr
    assert (done.returncode != 0) == refused


@NEEDS_SANDBOX
@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become another user to try this")
def test_an_ordinary_user_can_mark_too(tmp_path):
    """The same job, run by nobody; Python's own folder may be closed to others, so it is opened."""
    script = tmp_path / "one.py"
    script.write_text(
        "from autograde.runner import sandbox\nfrom autograde.runner.job import Job, Step\n"
        "from autograde.runner.worker import Worker\nfrom autograde import selftest\nimport os\n"
        "with Worker(sandbox.sandboxed()) as one:\n"
        "    got = one.result(Job((Step('a', asks=('6 * 7', '__import__(\"os\").fork()')),)))\n"
        "print(os.getuid(), got.outcomes[0].values)\n"
        "print(selftest._user().says, *[one.says for one in selftest._walls()])\n"
    )
    tmp_path.chmod(0o755)
    parents = [*reversed(Path(sys.base_prefix).parents)]  # outermost first
    closed = next((p for p in parents if not p.stat().st_mode & 0o001), None)
    opened = []
    if closed is not None:
        if {closed} & {*Path(sys.prefix).parents, *sandbox.AUTOGRADE.parents}:
            pytest.skip(f"the course lies in {closed}, which other users may not enter")
        opened = ["--perms", "0755", "--tmpfs", str(closed)]
        inner = parents[parents.index(closed) + 1 :]
        opened += [word for p in inner for word in ("--perms", "0755", "--dir", str(p))]
    command = ["bwrap", "--bind", "/", "/", "--dev-bind", "/dev", "/dev", *opened, "--ro-bind",
               sys.base_prefix, sys.base_prefix, "--ro-bind", str(tmp_path), "/mnt", "--cap-drop",
               "ALL", "--cap-add", "CAP_SETUID", "--cap-add", "CAP_SETGID", "--", "setpriv",
               "--reuid=65534", "--regid=65534", "--clear-groups", sys.executable, "/mnt/one.py"]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, cwd="/",
                          env={**os.environ, "HOME": "/nonexistent"})  # fmt: skip
    if "Operation not permitted" in done.stderr and "bwrap" in done.stderr:
        pytest.skip(f"a sandbox within a sandbox is not allowed here: {done.stderr.strip()}")
    assert done.stdout.startswith("65534 (42, Fault(kind='PermissionError'"), done.stderr
    assert "You are an ordinary user" in done.stdout and "ways out of it are closed" in done.stdout


@NEEDS_SANDBOX
def test_the_self_test_tries_the_walls(capsys):
    assert selftest.main([]) == 0
    said = capsys.readouterr().out
    assert re.search(r"The sandbox works; \d+ ways out of it are closed", said)
    assert said.endswith("Nothing is missing.\n") and "MISSING" not in said


def test_the_self_test_names_every_way_that_is_open():
    refused = plain.Fault("PermissionError", "no")
    ways = list(selftest._attempts())
    values = [refused] * len(ways)
    assert selftest.holes(Outcome(values=tuple(values))) == []
    values[2] = 1
    assert selftest.holes(Outcome(values=tuple(values))) == [ways[2]]
    assert selftest.holes(Outcome(left_out="ended by itself"))


def test_the_self_test_says_why_there_is_no_sandbox(monkeypatch, capsys):
    monkeypatch.setattr(sandbox.shutil, "which", lambda name: None)
    assert selftest.main([]) == 1
    assert "MISSING  Learners' code is only run in a sandbox" in capsys.readouterr().out


# --- without walls: the same answers, asked for in so many words -----------------------------------
@NEEDS_SANDBOX
def test_a_fresh_process_without_walls_gives_the_same(worker):
    work = job("import numpy as np\nx = np.arange(3)\nx", ["x.tolist()", "1 / 0"], "print(x)",
               "import os; os._exit(0)", "while True: pass", ["y"])  # fmt: skip
    with Worker(sandbox.unprotected()) as fresh:
        other = fresh.result(work)
    mine = worker.result(work)
    assert [o.values for o in other.outcomes] == [o.values for o in mine.outcomes]
    assert [o.left_out for o in other.outcomes] == [o.left_out for o in mine.outcomes]
    assert texts(other.outcomes[0].outputs) == texts(mine.outcomes[0].outputs)
    assert not fresh.pid


def test_no_bubblewrap_gives_one_sentence(monkeypatch):
    monkeypatch.setattr(sandbox.shutil, "which", lambda name: None)
    words = sandbox.why_not()
    assert "bubblewrap" in words and "Install it" in words and "\n" not in words


def test_a_sandbox_that_cannot_start_gives_one_sentence(tmp_path):
    launch = sandbox.Launch((sys.executable, "-c", "raise SystemExit('no walls today')"), {})
    with Worker(launch) as one, pytest.raises(WorkerError, match="no walls today"):
        one.run(job("1"))


# --- several at a time ---------------------------------------------------------------------------------
@NEEDS_SANDBOX
def test_several_processes_give_what_one_gives():
    works = [(n, job(f"a = {n}", ["a * a"])) for n in range(12)]
    one = dict(Pool(sandbox.sandboxed(), 1).run(works))
    two = dict(Pool(sandbox.sandboxed(), 2).run(works))
    for found in (one, two):
        values = [found[n]["steps"][1]["values"][0] for n in range(12)]
        assert values == [n * n for n in range(12)]


@NEEDS_SANDBOX
def test_a_pool_that_is_not_read_to_its_end_leaves_no_process():
    running = Pool(sandbox.sandboxed(), 2).run([(n, job("1")) for n in range(20)])
    next(running)
    running.close()
    assert not [p for p in psutil.Process().children(recursive=True)
                if p.name() == "bwrap" and p.create_time() > time.time() - 5]  # fmt: skip


# --- replies are not believed ----------------------------------------------------------------------------
ASK, RUN = Step("a", asks=("x", "y")), Step("b", run="x")
GOOD = [
    (ASK, {"step": 0, "values": [1, {"list": [1.5, {"tuple": ["a", None]}]}]}),
    (ASK, {"step": 0, "values": [{"fault": ["NameError", "x"]}, {"dict": [["a", 1]]}]}),
    (RUN, {"step": 1, "outputs": [
        {"output_type": "stream", "name": "stdout", "text": "hello"},
        {"output_type": "error", "ename": "E", "evalue": "e", "traceback": ["a", "b"]},
        {"output_type": "execute_result", "data": {"text/plain": "3", "image/png":
         base64.b64encode(b"\x89PNG\r\n\x1a\n123").decode()}, "metadata": {}, "execution_count": 1},
    ]}),
]  # fmt: skip
SCRAPS = [b"[" * 5000, b"9" * 5000, b'{"list":', b"null", b"NaN", b"-Infinity", b'"\\ud800"', b"\xff",
          b"}", b"{}", b'{"set": [[]]}', b'{"set": [{"list": []}]}', b'{"dict": [[{"list": []}, 1]]}',
          b'{"complex": ["1", "x"]}', b"1e999", b'"text/html"', b'"image/png"', b"true", b"\0"]  # fmt: skip


def mutated(rng):
    step, reply = rng.choice(GOOD)
    data = bytearray(json.dumps(reply).encode())
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(data))
        kind = rng.randrange(4)
        if kind == 0:
            data[at] = rng.randrange(256)
        elif kind == 1:
            del data[at : at + rng.randint(1, 20)]
        elif kind == 2:
            data[at:at] = rng.choice(SCRAPS)
        else:
            data[at:at] = data[rng.randrange(len(data)) :][: rng.randint(1, 60)]
        data = data or bytearray(b"x")
    return step, bytes(data)


def test_ten_thousand_mutated_replies_raise_nothing_else():
    rng = random.Random(20260501)
    read = 0
    for _ in range(10_000):
        step, line = mutated(rng)
        try:
            outcome = accept_step(decode(line, 8_000_000), step)
        except ReplyError as error:
            assert "\n" not in str(error)
            continue
        read += 1
        for value in outcome.values:
            plain.difference(value, [1, 2.5, {"a": 1}], lambda a, b: a == b)
        json.dumps(outcome.outputs).encode()
    assert 300 < read < 9_700  # some mutations leave a readable reply


@pytest.mark.parametrize(
    "value", ["x", 5, None, {"outputs": 3}, {"values": [1]}, {"outputs": [[]]}]
)
def test_a_wrong_record_of_a_step_is_refused_or_empty(value):
    for step in (ASK, RUN):
        try:
            outcome = accept_step(value, step)
        except ReplyError:
            continue
        assert outcome.outputs == () and outcome.values == ()


def test_a_result_of_other_versions_is_refused():
    work = job("1")
    data = {"version": "autograde 1", "steps": [{"outputs": []}], "seconds": 1.0}
    assert accept_result(data, work, "autograde 1").seconds == 1.0
    with pytest.raises(ReplyError, match="autograde 1, not by autograde 2"):
        accept_result(data, work, "autograde 2")
    with pytest.raises(ReplyError, match="as many steps"):
        accept_result({**data, "steps": []}, work, "autograde 1")


def test_a_result_is_never_taken_for_points():
    """A learner's cell that ends with 5.0 must not look like a marked cell's score."""
    output = {"output_type": "execute_result", "data": {"text/plain": "5.0"}, "metadata": {}}
    outcome = accept_step({"outputs": [output]}, RUN)
    assert outcome.outputs[0]["output_type"] == "display_data"


@pytest.mark.parametrize("picture", ["PHNjcmlwdD4=", '"><script>', "", "iVBOR", 7])
def test_only_pictures_pass_as_pictures(picture):
    output = {"output_type": "display_data", "data": {"image/png": picture, "text/html": "<b>"}}
    assert accept_step({"outputs": [output]}, RUN).outputs == ()


def test_a_job_survives_the_way_to_another_machine():
    work = job("x", ["y"], cards={"a": {"w": [1.0, "mm", "w"]}}, files={"a.csv": "MQ=="})
    again = Job.from_data(json.loads(json.dumps(work.to_data())))
    assert again == work and again.key("v") == work.key("v") != work.key("w")
