"""A real JupyterLab on a fresh workspace, driven in a real Chromium. Used by the browser tests."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from autograde import opening, workspace

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
# where all tests are meant to run, a missing browser is a failure
NEEDS_CHROMIUM = pytest.mark.skipif(
    CHROMIUM is None and not os.environ.get("CI"),
    reason="No Chromium on this machine; install it to run the browser tests "
    "(Debian: apt-get install chromium).",
)
TOKEN = "test"
_FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]  # fmt: skip
# said by the front end itself at every start, about nothing of ours
_NOT_OURS = ("favicon", "jupyterlab/api/translations", "Could not determine jupyterlab_server")


@contextlib.contextmanager
def server(folder: Path, log: Path) -> Iterator[str]:
    """Start JupyterLab as `learn` does, yield its address, end it by its own pid."""
    port = opening.free_port(None)
    words = opening.command(folder, port, browser=False)
    words += [f"--IdentityProvider.token={TOKEN}", "--LabApp.expose_app_in_browser=True"]
    with log.open("w") as out:
        process = subprocess.Popen(
            words, cwd=folder, env=workspace.environment(folder), stdout=out, stderr=out
        )
        try:
            _wait(f"http://127.0.0.1:{port}/api?token={TOKEN}", process, log)
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(10)


def _wait(url: str, process: subprocess.Popen, log: Path, seconds: float = 60) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end and process.poll() is None:
        with contextlib.suppress(urllib.error.URLError, ConnectionError), \
                urllib.request.urlopen(url, timeout=5):  # fmt: skip
            return
        time.sleep(0.2)
    raise RuntimeError(f"JupyterLab did not start:\n{log.read_text()[-2000:]}")


@contextlib.contextmanager
def browser() -> Iterator[Any]:
    """Yield a Chromium that reaches only this machine."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=_FLAGS)
        try:
            yield made
        finally:
            made.close()


class Lesson:
    """One open lesson: what a learner does with it, and what went wrong meanwhile."""

    def __init__(self, chromium: Any, address: str, notebook: str):
        self.page = chromium.new_page(viewport={"width": 1100, "height": 1400})
        self.complaints: list[str] = []
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.goto(f"{address}/doc/tree/{notebook}?token={TOKEN}&reset")
        self.page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
        self.page.wait_for_function("() => window.jupyterapp")
        self.page.wait_for_function(
            "() => window.jupyterapp.shell.currentWidget?.sessionContext?.session?.kernel?.status"
            " === 'idle'",
            timeout=60_000,
        )

    def _heard(self, message: Any) -> None:
        if message.type == "error" and not any(words in message.text for words in _NOT_OURS):
            self.complaints.append(message.text)

    def run_all(self, seconds: float = 120) -> None:
        """Run every cell through the lab's own command; return when none is waiting any more."""
        self.page.evaluate(
            "() => { window.jupyterapp.commands.execute('notebook:run-all-cells'); }"
        )
        self.page.wait_for_timeout(1000)
        self.page.wait_for_function(
            "() => ![...document.querySelectorAll('.jp-InputPrompt')]"
            ".some(e => e.textContent.includes('*'))",
            timeout=seconds * 1000,
        )
        self.page.wait_for_timeout(1000)

    def run_cell(self, words: str) -> None:
        """Run the one cell whose code holds `words`."""
        self.cell(words).click(position={"x": 5, "y": 5})
        self.page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-cell')")
        self.page.wait_for_timeout(500)

    def cell(self, words: str) -> Any:
        """Return the code cell whose text holds `words`."""
        found = self.page.locator(".jp-CodeCell", has_text=words).first
        found.scroll_into_view_if_needed()
        return found

    def trouble(self) -> list[str]:
        """Return error outputs, what was said on stderr, and complaints of the page."""
        broken = "[data-mime-type='application/vnd.jupyter.error'], " \
                 "[data-mime-type='application/vnd.jupyter.stderr'], [role='alert']"  # fmt: skip
        said = self.page.locator(f".jp-OutputArea-output{broken.replace(', ', ', .jp-OutputArea ')}")
        return [*said.all_inner_texts(), *self.complaints]

    def until(self, condition: Callable[[], bool], seconds: float) -> bool:
        """Wait until a condition holds; tell whether it came to."""
        end = time.monotonic() + seconds
        while not (met := condition()) and time.monotonic() < end:
            self.page.wait_for_timeout(50)
        return met

    def picture(self, cell: Any) -> str:
        """Return the words and the drawing of the picture in an explorer's cell."""
        image = cell.locator("figure img").first
        return f"{image.get_attribute('alt')} {image.get_attribute('src')}"

    def save(self) -> None:
        """Save the notebook as Ctrl+S does."""
        self.page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
        self.page.wait_for_timeout(500)

    def shot(self, name: str) -> None:
        """Keep a screenshot for people to look at, where SCREENSHOTS names a folder."""
        folder = os.environ.get("SCREENSHOTS")
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            self.page.screenshot(path=str(Path(folder) / f"{name}.png"))
