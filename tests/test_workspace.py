"""The learner's folder: nothing of theirs is lost, and the course opens or says why not."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import psutil
import pytest

from autograde import log, opening, workspace
from autograde.progress import progress
from solarlib import __main__ as start
from tests import ROOT
from tests.lesson_reading import LESSONS
from tests.refusals import COURSE, said_by

OLD, NEW = b"first edition\n", b"second edition\n"


@pytest.fixture
def shipped(monkeypatch):
    """What the course delivers, in place of the real lessons: quick, and it can change."""
    files = {"00_start_here.ipynb": OLD, "demo_log.csv": b"time,water\n"}
    monkeypatch.setattr(workspace, "_shipped", lambda: iter(list(files.items())))
    monkeypatch.setattr(workspace, "_edition", lambda: b"|".join(files.values()))
    return files


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "my course"


# --- never overwrite -------------------------------------------------------------------------
def test_a_new_folder_gets_every_lesson(folder):
    said = workspace.prepare(folder)
    names = {f"{name}.ipynb" for name in LESSONS}
    assert names == {p.name for p in folder.glob("*.ipynb")}
    assert all(any(line.startswith(name) for line in said) for name in names)
    assert workspace.prepare(folder) == ["Everything is in place; nothing was changed."]


def test_the_same_edition_is_not_built_again(folder, shipped, monkeypatch):
    workspace.prepare(folder)
    monkeypatch.setattr(workspace, "_shipped", lambda: pytest.fail("built again"))
    assert workspace.prepare(folder) == [workspace.IN_PLACE]


def test_every_file_a_lesson_is_made_of_marks_the_edition(tmp_path, monkeypatch):
    lessons = tmp_path / "lessons"
    shutil.copytree(ROOT / "lessons", lessons)
    monkeypatch.setattr("autograde.lesson.lessons_folder", lambda: lessons)
    seen = {workspace._edition()}
    for name in ("lesson.py", "key.py", "ladle.toml"):
        with (lessons / "07_capstone" / name).open("a", encoding="utf-8") as file:
            file.write("\n")
        seen.add(workspace._edition())
    assert len(seen) == 4


def test_what_the_learner_changed_is_kept_and_the_newer_edition_lies_beside(folder, shipped):
    workspace.prepare(folder)
    lesson = folder / "00_start_here.ipynb"
    lesson.write_bytes(b"my own work")
    assert workspace.prepare(folder) == ["Everything is in place; nothing was changed."]
    shipped["00_start_here.ipynb"] = NEW
    said = workspace.prepare(folder)
    assert lesson.read_bytes() == b"my own work"
    assert (folder / "new-editions" / lesson.name).read_bytes() == NEW
    assert said == ["00_start_here.ipynb: yours is kept; the newer edition is in new-editions/."]
    # what the learner has put away does not come again, even when another file is new
    (folder / "new-editions" / lesson.name).unlink()
    shipped["demo_log.csv"] = b"time,water,sun\n"
    assert workspace.prepare(folder) == ["demo_log.csv: renewed; you had not changed it."]
    assert not (folder / "new-editions" / lesson.name).exists()


def test_an_unchanged_lesson_is_renewed_and_a_deleted_one_comes_back(folder, shipped):
    workspace.prepare(folder)
    (folder / "demo_log.csv").unlink()
    shipped["00_start_here.ipynb"] = NEW
    said = workspace.prepare(folder)
    assert (folder / "00_start_here.ipynb").read_bytes() == NEW
    assert (folder / "demo_log.csv").read_bytes() == b"time,water\n"
    assert said == ["00_start_here.ipynb: renewed; you had not changed it.",
                    "demo_log.csv: written."]  # fmt: skip


def test_a_file_that_was_there_before_the_course_is_not_touched(folder, shipped):
    folder.mkdir()
    (folder / "demo_log.csv").write_bytes(b"my own measurements")
    (folder / "answers.jsonl").write_bytes(b"{}\n")
    workspace.prepare(folder)
    assert (folder / "demo_log.csv").read_bytes() == b"my own measurements"
    assert (folder / "answers.jsonl").read_bytes() == b"{}\n"


def test_a_damaged_memory_of_what_was_delivered_costs_nothing(folder, shipped):
    workspace.prepare(folder)
    (folder / "00_start_here.ipynb").write_bytes(b"my own work")
    (folder / ".course" / "delivered.json").write_text("{ not json")
    workspace.prepare(folder)
    assert (folder / "00_start_here.ipynb").read_bytes() == b"my own work"


# --- one sentence, code 2 --------------------------------------------------------------------
def refusal(*words):
    """Run `learn`, which must refuse; return its one sentence."""
    code, said = said_by(COURSE, ["learn", *map(str, words)])
    assert code == 2 and len(said.splitlines()) == 1 and "Traceback" not in said
    return said


def test_settings_that_cannot_be_written(folder, shipped):
    workspace.prepare(folder)
    (folder / ".course" / "jupyter").write_text("in the way")
    assert "cannot be used" in refusal(folder, "--no-start")


def test_a_port_in_use_and_an_impossible_one(folder, shipped, monkeypatch):
    monkeypatch.setattr(opening, "kernel_missing", lambda folder: False)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        for port in (taken.getsockname()[1], 70000):
            assert str(port) in refusal(folder, "--port", port)


def test_no_kernel(folder, shipped, monkeypatch):
    monkeypatch.setattr(opening, "kernel_missing", lambda folder: True)
    assert "ipykernel" in refusal(folder)


# --- apart from the user's own Jupyter -------------------------------------------------------
def test_the_users_own_settings_are_neither_read_nor_written(folder, monkeypatch, tmp_path):
    monkeypatch.setenv("JUPYTER_CONFIG_PATH", "/somewhere/else")
    monkeypatch.setenv("JUPYTER_PATH", "/somewhere/else")
    folder.mkdir()
    made = workspace.environment(folder)
    ask = "from jupyter_core import paths as p; print(p.jupyter_config_dir(), p.jupyter_data_dir())"
    told = subprocess.run([sys.executable, "-c", ask], env=made, capture_output=True, text=True,
                          check=True).stdout  # fmt: skip
    assert told.count(str(folder / ".course")) == 2
    assert "/somewhere/else" not in "".join(made.values())


def test_the_kernel_is_the_python_of_the_course(folder):
    folder.mkdir()
    assert not opening.kernel_missing(folder)
    ask = ("from jupyter_client.kernelspec import get_kernel_spec as g; import sys; "
           "print(g('python3').resource_dir.startswith(sys.prefix))")  # fmt: skip
    told = subprocess.run([sys.executable, "-c", ask], env=workspace.environment(folder),
                          capture_output=True, text=True, check=True).stdout  # fmt: skip
    assert told.strip() == "True"


def test_the_notebooks_are_signed(folder):
    workspace.prepare(folder)
    workspace.settle(folder)
    ask = ("import nbformat, sys; from nbformat.sign import NotebookNotary as N; "
           "print([N().check_signature(nbformat.read(path, 4)) for path in sys.argv[1:]])")  # fmt: skip
    notebooks = [str(path) for path in folder.glob("*.ipynb")]
    told = subprocess.run([sys.executable, "-c", ask, *notebooks], capture_output=True, text=True,
                          env=workspace.environment(folder), check=True)  # fmt: skip
    assert told.stdout.strip() == str([True] * len(LESSONS))


def test_only_extensions_and_shortcuts_that_exist_are_switched_off():
    """A name that JupyterLab does not know would switch off nothing and say nothing."""
    schemas = Path(sys.prefix) / "share" / "jupyter" / "lab" / "schemas"
    known = {}
    for path in schemas.rglob("*.json"):
        plugin = f"{path.parent.relative_to(schemas).as_posix()}:{path.stem}"
        known[plugin] = json.loads(path.read_text(encoding="utf-8"))
    for plugin, settings in workspace._SETTINGS.items():
        assert plugin in known, plugin
        if not plugin.endswith(":shortcuts"):
            assert set(settings) <= set(known[plugin]["properties"]), plugin
    shortcuts = [s for schema in known.values() for s in schema.get("jupyter.lab.shortcuts", ())]
    for off in workspace._SETTINGS["@jupyterlab/shortcuts-extension:shortcuts"]["shortcuts"]:
        assert any(
            s["command"] == off["command"] and s["keys"] == off["keys"]
            and s["selector"] == off["selector"] for s in shortcuts
        ), off  # fmt: skip


# --- opening it ------------------------------------------------------------------------------
def test_the_course_opens_where_one_left_off(folder):
    folder.mkdir()
    for name in LESSONS:
        (folder / f"{name}.ipynb").write_text("{}")
    assert opening.left_off(folder) == ("00_start_here.ipynb", "")
    log.append("start.opening_area", "0.576 m2", 1.0, None, folder)
    assert opening.left_off(folder)[0] == "00_start_here.ipynb"
    log.append("parabola.depth", "602 mm", 0.0, "full width", folder)
    notebook, said = opening.left_off(folder)
    assert notebook == "01_parabola.ipynb" and said.startswith("Next: 01 ")
    (folder / notebook).unlink()
    assert opening.left_off(folder)[0] == "00_start_here.ipynb"


@pytest.mark.parametrize("slug", ["start", "capstone"])
def test_a_complete_lesson_gives_way_to_the_next(folder, slug):
    from autograde.lesson import load_key

    folder.mkdir()
    lesson = load_key(slug)
    for record in lesson:
        log.append(lesson.id(record), "x", 1.0, None, folder)
    found = progress(folder).going_on
    assert found.name == {"start": "01_parabola", "capstone": "00_start_here"}[slug]


def test_a_memory_of_a_course_that_is_closed_is_no_open_course(folder, shipped):
    assert opening.already_open(folder) == ""
    runtime = folder / ".course" / "jupyter" / "data" / "runtime"
    runtime.mkdir(parents=True)
    gone = {"pid": os.getpid(), "port": opening.free_port(None), "token": "x", "url": "http://x/"}
    (runtime / "jpserver-1.json").write_text(json.dumps(gone))
    assert opening.already_open(folder) == ""


def test_a_jupyterlab_that_fails_leaves_what_it_said_in_a_file(folder):
    (folder / ".course" / "jupyter").mkdir(parents=True)
    fails = [sys.executable, "-c", "print('no lab today'); raise SystemExit(3)"]
    with pytest.raises(workspace.WorkspaceError, match=r"log\.txt") as told:
        opening.serve(fails, folder, "x")
    assert str(folder) in str(told.value)
    assert "no lab today" in (folder / ".course" / "jupyter" / "log.txt").read_text()


def learn(folder, *more):
    return subprocess.Popen(
        [sys.executable, "-m", "solarlib", "learn", str(folder), "--no-browser", *more], cwd=ROOT,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True,
    )  # fmt: skip


@pytest.mark.slow
def test_learn_answers_on_its_port_and_leaves_nothing_running_when_it_is_ended(folder, shipped):
    port = opening.free_port(None)
    process = learn(folder, "--port", str(port))
    try:
        assert process.stdout
        said = ""
        for line in process.stdout:
            said += line
            if "token=" in line:
                break
        address = next(word for word in said.split() if "token=" in word)
        assert address.startswith(f"http://localhost:{port}/doc/tree/") and str(folder) in said
        page = f"http://127.0.0.1:{port}/api/status?token={address.split('token=')[1]}"
        end = time.monotonic() + 60
        while process.poll() is None:
            try:
                with urllib.request.urlopen(page, timeout=10) as answer:
                    assert answer.status == 200
                break
            except urllib.error.URLError:
                assert time.monotonic() < end, said
                time.sleep(0.3)
        again = learn(folder)  # a second start names the first and starts nothing
        assert f"open already, at\n  {address}" in again.communicate(timeout=60)[0]
        assert again.returncode == 0
        lab = psutil.Process(process.pid).children(recursive=True)
        assert lab
        process.terminate()  # only what was started here
        assert process.wait(30) == 0
        rest = process.stdout.read()
        assert rest.splitlines()[-1] == "The course is closed; your work stays."
        assert "ServerApp" not in said + rest  # what JupyterLab says itself is in its file
        assert "ServerApp" in (folder / ".course" / "jupyter" / "log.txt").read_text()
        assert not psutil.wait_procs(lab, timeout=30)[1]
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)  # a session of its own: `learn` and its JupyterLab


# --- the first command, before anything is installed -----------------------------------------
@pytest.mark.parametrize("has_uv", [True, False])
def test_a_bare_machine_gets_an_environment_and_starts_again_in_it(
    monkeypatch, tmp_path, capsys, has_uv
):
    calls = []
    (tmp_path / "pyproject.toml").write_text("")
    monkeypatch.setattr(start, "ROOT", tmp_path)
    monkeypatch.setattr(start, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(start, "find_spec", lambda name: None)
    monkeypatch.setattr(start.subprocess, "run", lambda words, check: calls.append(words))

    def call(words, **more):
        calls.append(words)
        if "install" in words:
            return 0 if has_uv else 1
        return 1  # not installed yet

    monkeypatch.setattr(start.subprocess, "call", call)
    monkeypatch.setattr(start.os, "execve", lambda python, words, environment: calls.append(words))
    start.main(["test", "tests/test_units.py", "-x"])
    inside = str(tmp_path / ".venv" / ("Scripts/python.exe" if os.name == "nt" else "bin/python"))
    assert calls[0] == [sys.executable, "-m", "venv", str(tmp_path / ".venv")]
    assert calls[2][:4] == [inside, "-m", "pip", "install"] and calls[2][-1] == "uv"
    assert calls[3][:3] == [inside, "-m", "uv" if has_uv else "pip"]
    assert calls[3][-2:] == ["-e", f"{tmp_path}[test]"]
    assert calls[4] == [inside, "-m", "solarlib", "test", "tests/test_units.py", "-x"]
    said = capsys.readouterr().out
    assert ".venv" in said and "Installing" in said


def test_an_install_that_fails_is_one_sentence(monkeypatch, tmp_path, capsys):
    (tmp_path / "pyproject.toml").write_text("")
    monkeypatch.setattr(start, "ROOT", tmp_path)
    monkeypatch.setattr(start, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(start, "find_spec", lambda name: None)

    def fails(words, check):
        raise subprocess.CalledProcessError(1, words)

    monkeypatch.setattr(start.subprocess, "run", fails)
    monkeypatch.setattr(start.subprocess, "call", lambda words, **more: 1)
    assert start.main(["learn"]) == 2
    said = capsys.readouterr().err
    assert "did not finish" in said and said.count("\n") == 1


def test_a_broken_environment_is_not_restarted_for_ever(monkeypatch, capsys):
    monkeypatch.setenv("TROUGH_COURSE_INSIDE", "1")
    monkeypatch.setattr(start, "find_spec", lambda name: None)
    assert start.main(["learn"]) == 2
    assert "delete that folder" in capsys.readouterr().err
