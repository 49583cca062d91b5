"""The tests: where they find the repository, and how they start a program of it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent


def run(*words: str, cwd: Path = ROOT, **more: Any) -> subprocess.CompletedProcess[str]:
    """Run `python -m` with these words in a process of its own; return what came of it."""
    return subprocess.run([sys.executable, "-m", *words], cwd=cwd, capture_output=True, text=True,
                          timeout=280, **more)  # fmt: skip
