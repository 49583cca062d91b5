"""Every test runs apart from the user's own settings, and never as if it were being marked."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

os.environ.setdefault("MPLBACKEND", "Agg")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# a busy machine is no fault of the code: examples have no time limit
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


# the files that take a minute or more, the longest first; the others follow by name
LONGEST = ("test_marking.py", "test_gradebook.py", "test_browser.py", "test_classes.py",
           "test_paper.py", "test_packaging.py", "test_docs.py", "test_attacks.py",
           "test_lessons.py", "test_workspace.py")  # fmt: skip


def pytest_collection_modifyitems(items):
    """Put the longest files first, so that two workers are done at about the same time."""
    place = {name: k for k, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.path.name, len(place)))


@pytest.fixture(autouse=True)
def _apart(monkeypatch, tmp_path_factory):
    """Give each test a workspace and Jupyter folders of its own."""
    home = tmp_path_factory.mktemp("own")
    for name in ("AUTOGRADE_MARKING", "NBGRADER_EXECUTION", "JPY_SESSION_NAME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("AUTOGRADE_WORKSPACE", str(home))
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        monkeypatch.setenv(name, str(home / name.lower()))


@pytest.fixture
def workspace(tmp_path, monkeypatch):
    """The test's own folder as the learner's workspace."""
    monkeypatch.setenv("AUTOGRADE_WORKSPACE", str(tmp_path))
    return tmp_path


@pytest.fixture
def form(tmp_path):
    """The design form of lesson 07 on a file that is not there yet, with its controls as `wires`."""
    from solarlib import explorers

    made = explorers.design_form(tmp_path / "my.toml")
    made.refresh()
    made.wires = made._controls().wires
    return made


@pytest.fixture(scope="module")
def chromium():
    """A Chromium that reaches only this machine."""
    from tests import lab

    with lab.browser() as made:
        yield made


@pytest.fixture
def nothing_drawn(monkeypatch):
    """Leave out what takes long where it is not asked: drawing lessons and pages, starting Jupyter."""
    from autograde import opening, workspace
    from solarlib.pack import build

    monkeypatch.setattr(workspace, "_shipped", lambda: iter([("00_start_here.ipynb", b"new\n")]))
    monkeypatch.setattr(opening, "settle", lambda folder: None)
    monkeypatch.setattr(opening, "kernel_missing", lambda folder: False)
    monkeypatch.setattr(build, "side_files", lambda facts: {
        "calendar.csv": facts.calendar_table().csv("").encode(), "rib_table.csv": b"new"})  # fmt: skip
    monkeypatch.setattr(build, "pdf", lambda facts, size: b"a new pack")
    monkeypatch.setattr(opening, "serve", lambda words, folder, token: 0)
