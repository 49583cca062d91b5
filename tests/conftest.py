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


@pytest.fixture(autouse=True)
def _apart(monkeypatch, tmp_path_factory):
    """Give each test a workspace and Jupyter folders of its own."""
    home = tmp_path_factory.mktemp("own")
    monkeypatch.delenv("AUTOGRADE_MARKING", raising=False)
    monkeypatch.setenv("AUTOGRADE_WORKSPACE", str(home))
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        monkeypatch.setenv(name, str(home / name.lower()))
