"""The learner's folder: nothing of theirs is lost, and the course opens or says why not."""

from __future__ import annotations

import errno
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

import pytest

from autograde import workspace
from solarlib import __main__ as start

ROOT = Path(__file__).resolve().parent.parent
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
    from autograde.lesson import lesson_folders

    names = {f"{path.name}.ipynb" for path in lesson_folders()}
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
    # the second start does not bring it again, even if the learner has put it away
    (folder / "new-editions" / lesson.name).unlink()
    workspace.prepare(folder)
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


def test_a_disk_that_fills_up_leaves_the_old_file_whole(folder, shipped, monkeypatch):
    workspace.prepare(folder)
    shipped["00_start_here.ipynb"] = NEW

    def full(self, data):
        with open(self, "wb") as out:
            out.write(data[:3])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(workspace.WorkspaceError, match="No space left on device"):
        workspace.prepare(folder)
    assert (folder / "00_start_here.ipynb").read_bytes() == OLD
    assert not list(folder.rglob("*.unfinished"))


# --- one sentence, code 2 --------------------------------------------------------------------
def refused(capsys, *words):
    """Run `learn`, which must refuse; return its one sentence."""
    assert workspace.main([*words, "--no-start"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "Traceback" not in said
    return said


def test_a_file_where_the_folder_should_be(tmp_path, shipped, capsys):
    (tmp_path / "taken").write_text("a letter")
    for name in (tmp_path / "taken", tmp_path / "taken" / "below"):
        assert str(name) in refused(capsys, str(name))
    assert (tmp_path / "taken").read_text() == "a letter"


def test_a_folder_whose_parent_is_missing(tmp_path, shipped, capsys):
    assert "does not exist" in refused(capsys, str(tmp_path / "no" / "such" / "place"))
    assert not (tmp_path / "no").exists()


def test_a_folder_that_may_not_be_written(tmp_path, shipped, capsys, monkeypatch):
    def forbidden(*words, **more):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", forbidden)  # tests may run as root, who may write anywhere
    assert "may not be written" in refused(capsys, str(tmp_path / "course"))


def test_settings_that_cannot_be_written(folder, shipped, capsys):
    workspace.prepare(folder)
    (folder / ".course" / "jupyter").write_text("in the way")
    assert "cannot be used" in refused(capsys, str(folder))


def test_a_port_in_use_and_an_impossible_one(capsys, folder, shipped, monkeypatch):
    monkeypatch.setattr(workspace, "kernel_missing", lambda folder: False)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        for port in (taken.getsockname()[1], 70000):
            assert workspace.main([str(folder), "--port", str(port)]) == 2
            said = capsys.readouterr().err
            assert str(port) in said and said.count("\n") == 1
    assert workspace.main([str(folder), "--port", "eighty"]) == 2
    assert "eighty" in capsys.readouterr().err


def test_no_kernel(capsys, folder, shipped, monkeypatch):
    monkeypatch.setattr(workspace, "kernel_missing", lambda folder: True)
    assert workspace.main([str(folder)]) == 2
    assert "ipykernel" in capsys.readouterr().err


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
    assert not workspace.kernel_missing(folder)
    ask = ("from jupyter_client.kernelspec import get_kernel_spec as g; import sys; "
           "print(g('python3').resource_dir.startswith(sys.prefix))")  # fmt: skip
    told = subprocess.run([sys.executable, "-c", ask], env=workspace.environment(folder),
                          capture_output=True, text=True, check=True).stdout  # fmt: skip
    assert told.strip() == "True"


def test_the_notebooks_are_signed(folder):
    workspace.prepare(folder)
    workspace.settle(folder)
    ask = ("import nbformat, sys; from nbformat.sign import NotebookNotary as N; "
           "print(N().check_signature(nbformat.read(sys.argv[1], 4)))")  # fmt: skip
    for notebook in folder.glob("*.ipynb"):
        told = subprocess.run([sys.executable, "-c", ask, str(notebook)], capture_output=True,
                              env=workspace.environment(folder), text=True, check=True)  # fmt: skip
        assert told.stdout.strip() == "True"


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


@pytest.mark.slow
def test_learn_answers_on_its_port_and_ends_when_told(folder, shipped):
    port = workspace.free_port(None)
    process = subprocess.Popen(
        [sys.executable, "-m", "solarlib", "learn", str(folder), "--no-browser", "--port",
         str(port)], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        start_new_session=True,
    )  # fmt: skip
    try:
        assert process.stdout
        said = ""
        for line in process.stdout:
            said += line
            if "token=" in line:
                break
        address = next(word for word in said.split() if "token=" in word)
        token = address.split("token=")[1]
        page = f"http://127.0.0.1:{port}/api/status?token={token}"
        end = time.monotonic() + 60
        while process.poll() is None:
            try:
                with urllib.request.urlopen(page, timeout=10) as answer:
                    assert answer.status == 200
                break
            except urllib.error.URLError:
                assert time.monotonic() < end, said
                time.sleep(0.3)
        assert f"http://localhost:{port}" in said and str(folder) in said
    finally:
        os.killpg(process.pid, signal.SIGTERM)  # a session of its own: `learn` and its JupyterLab
        process.wait(20)


# --- the first command, before anything is installed -----------------------------------------
def test_the_start_needs_only_the_standard_library(tmp_path):
    """Imported with -S, no site-packages: what a fresh machine has."""
    done = subprocess.run([sys.executable, "-S", "-m", "solarlib", "--help"], cwd=ROOT,
                          capture_output=True, text=True)  # fmt: skip
    assert done.returncode == 0 and "learn" in done.stdout and "test" in done.stdout


def test_an_unknown_command_is_named(capsys):
    assert start.main(["teach"]) == 2
    assert "teach" in capsys.readouterr().err


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
        return 1 if "-c" in words else 7  # not installed yet; the course's own exit code

    monkeypatch.setattr(start.subprocess, "call", call)
    assert start.main(["test", "tests/test_units.py", "-x"]) == 7
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
