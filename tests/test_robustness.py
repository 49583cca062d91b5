"""A machine that is not as one wishes: nothing of the user's is lost, and the sentence says why.

Locked folders, a full disk, two programs at once, clocks that go wrong, other letters and languages.
"""

from __future__ import annotations

import contextlib
import ctypes
import fcntl
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from autograde import build as lessons
from autograde import classes, handed_log, log, overrides, workspace
from autograde.check import answer
from autograde.numbers import save
from autograde.progress import progress
from autograde.runner import sandbox
from solarlib import design
from solarlib.files import append_line, write_whole
from solarlib.pack import build
from solarlib.pack.files import write_files
from tests import run
from tests.refusals import COURSE, LESSON, MARKING, faults, said_by, table, tree


# --- folders that may not be written -------------------------------------------------------------
@pytest.fixture
def locked():
    """A folder that may be read and not written."""
    folder = Path(tempfile.mkdtemp(prefix="locked "))
    (folder / "class" / "submitted").mkdir(parents=True)
    (folder / "good.toml").write_text(design.demo().to_toml(), encoding="utf-8")
    (folder / "roster.csv").write_text("id\nL1\n")
    (folder / "class" / "roster.csv").write_text("id\nL1\n")
    (folder / "in" / "L1").mkdir(parents=True)
    (folder / "in" / "L1" / "note.txt").write_text("mine")
    for path in [folder, *folder.rglob("*")]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    try:
        with like_anybody():
            yield folder
    finally:
        for path in [folder, *folder.rglob("*")]:
            path.chmod(0o755)
        shutil.rmtree(folder)


@contextlib.contextmanager
def like_anybody() -> Iterator[None]:
    """Make root obey the permissions of files, as everybody else does; capabilities(7), Linux."""
    if os.geteuid() != 0:
        yield
        return
    libc = ctypes.CDLL(None)
    head = (ctypes.c_uint32 * 2)(0x20080522, 0)  # _LINUX_CAPABILITY_VERSION_3, this thread
    data = (ctypes.c_uint32 * 6)()  # effective, permitted, inheritable; twice
    assert libc.capget(head, data) == 0
    data[0] &= ~(1 << 1)  # CAP_DAC_OVERRIDE
    assert libc.capset(head, data) == 0
    try:
        yield
    finally:
        data[0] |= data[1] & (1 << 1)
        assert libc.capset(head, data) == 0


LOCKED: dict[str, tuple[Any, list[str]]] = {
    "learn here": (COURSE, ["learn", "."]),
    "learn in a new folder": (COURSE, ["learn", "course"]),
    "pack beside the design": (COURSE, ["pack", "good.toml"]),
    "pack into a folder": (COURSE, ["pack", "good.toml", "--out", "class"]),
    "build": (MARKING, ["build", "class", "01"]),
    "class": (MARKING, ["class", "class", "roster.csv", "01"]),
    "collect": (MARKING, ["collect", "class", "01", "in"]),
    "grade": (MARKING, ["grade", "class", "01"]),
}


@table(LOCKED)
def test_folders_that_may_not_be_written(case, locked, nothing_drawn, monkeypatch):
    main, words = case
    monkeypatch.chdir(locked)
    before = tree(locked)
    code, said = said_by(main, words)
    assert code != 0, said
    assert not faults(said), said
    assert tree(locked) == before


def test_an_answer_that_cannot_be_kept_is_still_judged(locked, monkeypatch):
    monkeypatch.setenv("AUTOGRADE_WORKSPACE", str(locked))
    result = answer("parabola.depth", "150.6 mm")
    assert result.right
    assert not faults(result.saved, "Not saved", str(locked)), result.saved


# --- a full disk -----------------------------------------------------------------------------------
@contextlib.contextmanager
def room_for(size: int) -> Iterator[None]:
    """Let no file grow beyond so many bytes, as a full disk would."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


BIG = b"n" * 50_000


def test_a_full_disk_leaves_the_log_whole(workspace):
    answer("parabola.depth", "150.6 mm")
    path = workspace / log.LOG_FILE
    before = path.read_bytes()
    with room_for(len(before) + 20):
        result = answer("parabola.depth", "151 mm")
    assert result.right and not faults(result.saved, "Not saved"), result.saved
    assert path.read_bytes() == before
    answer("parabola.depth", "151 mm")
    assert [entry.answer for entry in log.read()] == ["150.6 mm", "151 mm"]


def test_a_full_disk_leaves_the_workspace_whole(tmp_path, monkeypatch, capsys):
    shipped = {"00_start_here.ipynb": b"first\n"}
    monkeypatch.setattr(workspace, "_shipped", lambda: iter(list(shipped.items())))
    monkeypatch.setattr(workspace, "_edition", lambda: b"".join(shipped.values())[:9])
    workspace.prepare(tmp_path)
    before = tree(tmp_path)
    shipped["00_start_here.ipynb"] = BIG
    with room_for(1000):
        code, said = said_by(COURSE, ["learn", str(tmp_path), "--no-start"])
    assert code == 2 and not faults(said, str(tmp_path), "room"), said
    assert tree(tmp_path) == before


def test_a_full_disk_leaves_the_pack_whole(tmp_path, monkeypatch):
    path = tmp_path / "good.toml"
    path.write_text(design.demo().to_toml(), encoding="utf-8")
    monkeypatch.setattr(build, "side_files", lambda facts: {"a.csv": b"new"})
    monkeypatch.setattr(build, "pdf", lambda facts, size: BIG)
    out = tmp_path / "good-pack"
    write_files(out, {"a.csv": b"old", build.PDF: b"an earlier pack"})
    before = tree(tmp_path)
    with room_for(1000):
        code, said = said_by(COURSE, ["pack", str(path)])
    assert code == 2 and not faults(said, "cannot be written"), said
    assert tree(tmp_path) == before


def test_a_full_disk_leaves_single_files_whole(tmp_path):
    path = tmp_path / "a table.csv"
    for write in (lambda: write_whole(path, BIG),
                  lambda: lessons.write_notebook({"cells": BIG.decode()}, path),
                  lambda: save(path, "n" * 5000, {})):  # fmt: skip
        path.write_bytes(b"old")
        with room_for(1000), pytest.raises(OSError):
            write()
        assert tree(tmp_path) == {"a table.csv": b"old"}


def test_a_full_disk_leaves_the_class_whole(tmp_path):
    """Neither half of a work, nor an empty secret, nor half of a bundle."""
    folder = tmp_path / "class"
    (folder / "release" / LESSON).mkdir(parents=True)
    (folder / "release" / LESSON / f"{LESSON}.ipynb").write_bytes(os.urandom(30_000))
    (folder / "roster.csv").write_text("id\nL1\n")
    with room_for(20), pytest.raises(OSError):
        classes._keep_secret(folder / classes.SECRET)
    assert not list(folder.glob("*secret*"))
    classes._keep_secret(folder / classes.SECRET)
    earlier, work = tmp_path / "1" / "L1", tmp_path / "2" / "L1"
    for path, data in ((earlier, b"first"), (work, BIG)):
        path.mkdir(parents=True)
        (path / f"{LESSON}.ipynb").write_bytes(data)
    assert said_by(MARKING, ["collect", str(folder), "01", str(earlier)])[0] == 0
    before = tree(folder)
    with room_for(1000):
        code, said = said_by(MARKING, ["collect", str(folder), "01", str(work)])
        assert code == 2 and not faults(said, "cannot be used"), said
        with pytest.raises(OSError):
            classes._bundle(folder, classes.Learner("L1"))
    after = tree(folder)
    assert {name: after[name] for name in before} == before
    assert not [n for n in after if "unfinished" in n or n.endswith(".zip")]


# --- two at once -------------------------------------------------------------------------------------
WRITER = """
import sys
from pathlib import Path
from autograde import log
for number in range(40):
    for text in (sys.argv[2] * 20_000, *[sys.argv[2] + "ä"] * 5):
        log.append("a." + sys.argv[2], text + str(number), 0.0, None, Path(sys.argv[1]))
"""


def test_two_kernels_write_one_log(tmp_path):
    """Short lines, and some longer than any buffer of the system, written at the same time and read
    meanwhile."""
    words = [sys.executable, "-c", WRITER, str(tmp_path)]
    writers = [subprocess.Popen([*words, who]) for who in "xy"]
    while any(writer.poll() is None for writer in writers):
        for entry in log.read(tmp_path):
            assert entry.answer.lstrip("xyä").isdigit()
    assert [writer.returncode for writer in writers] == [0, 0]
    for who in "xy":
        told = [entry.answer for entry in log.history(f"a.{who}", tmp_path)]
        assert told == [text + str(number) for number in range(40)
                        for text in (who * 20_000, *[who + "ä"] * 5)]  # fmt: skip
    assert len((tmp_path / log.LOG_FILE).read_text(encoding="utf-8").splitlines()) == 480


def test_a_writer_waits_while_another_writes(workspace):
    """Without it a full disk would cut off the other's line with one's own; flock(2)."""
    path = workspace / log.LOG_FILE
    path.touch()
    writer = threading.Thread(target=log.append, args=("a.x", "1", 0.0, None, workspace))
    with path.open("rb") as busy:
        fcntl.flock(busy, fcntl.LOCK_EX)
        writer.start()
        writer.join(0.5)
        assert writer.is_alive() and path.read_bytes() == b""
    writer.join()
    assert [entry.answer for entry in log.read(workspace)] == ["1"]


# --- clocks --------------------------------------------------------------------------------------------
class BackwardsClock(datetime):
    """A clock that is set back ten minutes at every look, past midnight too."""

    now_is = datetime(2026, 3, 29, 0, 15)

    @classmethod
    def now(cls, tz: Any = None) -> datetime:
        cls.now_is -= timedelta(minutes=10)
        return cls.now_is


def test_a_clock_set_back_loses_no_order(workspace, monkeypatch):
    monkeypatch.setattr(log, "datetime", BackwardsClock)
    for text in ("0.64 m", "12 mm", "150.6 mm"):
        answer("parabola.depth", text)
    assert [entry.answer for entry in log.read()] == ["0.64 m", "12 mm", "150.6 mm"]
    times = [entry.time for entry in log.read()]
    assert times == sorted(times, reverse=True) and times[-1].startswith("2026-03-28")
    assert log.last("parabola.depth").answer == "150.6 mm"
    assert log.misses("parabola.depth") == []
    row = next(row for row in progress().rows if row.lesson.startswith("01"))
    assert (row.right, row.tried) == (1, 1)
    found = handed_log.tries((workspace / log.LOG_FILE).read_bytes(), [])
    assert handed_log.last_answers(found, "parabola") == {"depth": "150.6 mm"}
    assert handed_log.minutes(found, "parabola") == {}


class StoppedClock(datetime):
    """A clock that says the same time twice: it stands still, or was set back."""

    @classmethod
    def now(cls, tz: Any = None) -> datetime:
        return datetime(2026, 3, 29, 0, 15)


@pytest.mark.parametrize("clock", [BackwardsClock, StoppedClock])
def test_work_handed_in_is_kept_whatever_the_clock_says(clock, tmp_path, monkeypatch):
    monkeypatch.setattr("datetime.datetime", clock)
    folder, earlier = tmp_path / "class", tmp_path / "class" / "submitted-earlier" / "L1"
    (folder / "submitted").mkdir(parents=True)
    (folder / "roster.csv").write_text("id\nL1\n")
    texts = [b"first", b"second", b"third"]
    for number, text in enumerate(texts):
        work = tmp_path / str(number) / "L1" / f"{LESSON}.ipynb"
        work.parent.mkdir(parents=True)
        work.write_bytes(text)
        assert said_by(MARKING, ["collect", str(folder), "01", str(work.parent)])[0] == 0
    kept = [path.read_bytes() for path in earlier.rglob("*.ipynb")]
    assert sorted(kept) == texts[:2]
    assert (folder / "submitted" / "L1" / LESSON / f"{LESSON}.ipynb").read_bytes() == texts[2]


def test_the_override_given_last_counts_whatever_the_clock_says(tmp_path):
    for clock, points in (("12:00:00", 2), ("11:00:00", 1)):  # set back an hour in between
        entry = {"time": f"2026-10-25T{clock}+01:00", "lesson": LESSON, "learner": "L1",
                 "exercise": "parabola.depth", "criterion": "", "points": points,
                 "before": 0, "reason": "drew it"}  # fmt: skip
        path = tmp_path / overrides.AREA / overrides.FILE
        path.parent.mkdir(exist_ok=True)
        append_line(path, json.dumps(entry))
    (given,) = overrides.read_overrides(tmp_path, LESSON)["L1"].values()
    assert given["points"] == 1


def from_tomorrow(folder: Path) -> None:
    """Date all files a day ahead, as they are when the machine's clock has been set back."""
    for path in folder.rglob("*"):
        later = path.stat().st_mtime + 86400
        os.utime(path, (later, later))


def test_a_workspace_is_renewed_after_the_clock_was_set_back(tmp_path, monkeypatch):
    shipped = {"00_start_here.ipynb": b"first\n", "01_parabola.ipynb": b"first\n"}
    monkeypatch.setattr(workspace, "_shipped", lambda: iter(list(shipped.items())))
    monkeypatch.setattr(workspace, "_edition", lambda: b"".join(shipped.values()))
    workspace.prepare(tmp_path)
    (tmp_path / "01_parabola.ipynb").write_bytes(b"with an answer\n")
    from_tomorrow(tmp_path)
    shipped |= dict.fromkeys(shipped, b"second\n")
    workspace.prepare(tmp_path)
    assert (tmp_path / "00_start_here.ipynb").read_bytes() == b"second\n"
    assert (tmp_path / "01_parabola.ipynb").read_bytes() == b"with an answer\n"
    assert (tmp_path / workspace.NEWER / "01_parabola.ipynb").read_bytes() == b"second\n"
    from_tomorrow(tmp_path)
    assert workspace.prepare(tmp_path) == [workspace.IN_PLACE]


@pytest.mark.skipif(bool(sandbox.why_not()), reason=sandbox.why_not() or "-")
def test_marking_goes_on_after_the_clock_was_set_back(tmp_path):
    """What was run before is not run again, and new work is found."""
    (tmp_path / "roster.csv").write_text("id\nL1\nL2\n")
    folder = tmp_path / "class"
    assert said_by(MARKING, ["class", str(folder), str(tmp_path / "roster.csv"), "01"])[0] == 0
    solved = folder / "source" / LESSON / f"{LESSON}.ipynb"
    results = folder / "marking" / "results"
    said: list[str] = []
    for who in ("L1", "L2"):
        before = tree(results)
        (tmp_path / "in" / who).mkdir(parents=True)
        shutil.copy(solved, tmp_path / "in" / who)
        assert said_by(MARKING, ["collect", str(folder), "01", str(tmp_path / "in" / who)])[0] == 0
        done = run("autograde", "grade", str(folder), "01")
        assert done.returncode == 0, done.stdout + done.stderr
        said = [line for line in done.stdout.splitlines() if " points" in line]
        after = tree(results)
        assert {name: after.get(name) for name in before} == before and len(after) > len(before)
        from_tomorrow(folder)
    # recorded anew, since it seems handed in at another time, but with the same points
    assert [line for line in said if "L1: 14 of 14 points" in line and "→" not in line], said
    assert [line for line in said if "L2: 14 of 14 points" in line], said


# --- other letters, other languages ----------------------------------------------------------------------
ODD = {
    "C": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    "Turkish, on an old terminal": {"LC_ALL": "tr_TR.ISO-8859-9", "PYTHONUTF8": "0",
                                    "PYTHONIOENCODING": "cp437"},
    "German commas": {"LC_ALL": "de_DE.UTF-8", "LC_NUMERIC": "de_DE.UTF-8"},
}  # fmt: skip
ASK = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from autograde.__main__ import main
from solarlib.commands import say_in_any_letters
say_in_any_letters()
sys.exit(max(main(["answer", "parabola.depth", text]) for text in sys.argv[1:]))
"""


@pytest.fixture(scope="module")
def languages(tmp_path_factory):
    """Make the languages of these tests, of which a small machine has none."""
    folder = tmp_path_factory.mktemp("languages")
    for name in sorted({case["LC_ALL"] for case in ODD.values()} - {"C"}):
        language, letters = name.split(".")
        words = ["localedef", "-i", language, "-f", letters, str(folder / name)]
        try:
            subprocess.run(words, check=True, capture_output=True)
        except (OSError, subprocess.CalledProcessError):
            pytest.skip(f"{name} cannot be made on this machine (Debian: apt-get install locales).")
    return {**os.environ, "LOCPATH": str(folder)}


@table(ODD)
def test_odd_locales(case, languages, tmp_path):
    """The verdict comes, and the log and the folder keep their letters."""
    folder = tmp_path / "Kühler Ordner ☀ İ"
    folder.mkdir()
    environment = {**languages, **case, "AUTOGRADE_WORKSPACE": str(folder)}
    done = subprocess.run([sys.executable, "-c", ASK, "150,6 mm", "15.06 cm", "½ ☀"],
                          env=environment, capture_output=True, cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0 and not done.stderr, done.stderr[-600:]
    assert b"parabola.depth" in done.stdout
    told = [json.loads(line) for line in (folder / log.LOG_FILE).read_text().splitlines()]
    assert [(line["answer"], line["credit"]) for line in told] == [
        ("150,6 mm", 1.0), ("15.06 cm", 1.0), ("½ ☀", 0.0)]  # fmt: skip


SEEDS = ("0", "4", "7")  # the last two put ezdxf's kinds of entities into another order
DRAW = """
import datetime, hashlib, locale, sys
print(locale.setlocale(locale.LC_ALL, ""), locale.localeconv()["decimal_point"], file=sys.stderr)
from solarlib import design
from solarlib.pack import build
from solarlib.pack.facts import Facts
facts = Facts.of(design.evaluate(design.demo()), datetime.date(2026, 6, 15))
for name, data in {**build.side_files(facts), "pack.pdf": build.pdf(facts, "a4")}.items():
    print(name, hashlib.sha256(data).hexdigest())
"""


def test_a_pack_is_the_same_in_every_language(languages):
    """And whatever order Python's sets have, which is another one at each start."""
    told = []
    for seed, case in zip(SEEDS, ODD.values(), strict=True):
        done = subprocess.run([sys.executable, "-c", DRAW], capture_output=True, text=True,
                              env={**languages, **case, "PYTHONHASHSEED": seed})  # fmt: skip
        assert done.returncode == 0, done.stderr[-600:]
        assert done.stderr.split() == [case["LC_ALL"], "." if case["LC_ALL"] == "C" else ","]
        told.append(set(done.stdout.splitlines()))
    assert len(told[0]) > 10 and "half_rib.dxf" in done.stdout
    assert told[0] == told[1] == told[2], set.union(*told) - set.intersection(*told)


def test_a_pack_into_a_folder_of_any_name(tmp_path, nothing_drawn):
    folder = tmp_path / "Ünïcode ☀ 'quoted' & spaced"
    folder.mkdir()
    path = folder / "mein Entwurf — zwei.toml"
    path.write_text(design.demo().to_toml(), encoding="utf-8")
    code, said = said_by(COURSE, ["pack", str(path)])
    assert code == 0, said
    assert (folder / "mein Entwurf — zwei-pack" / build.PDF).read_bytes() == b"a new pack"
