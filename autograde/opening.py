"""Opening the course: JupyterLab on the learner's folder, where they left off.

In: the words behind ``python3 -m solarlib learn``. Out: a prepared folder, and a JupyterLab whose
address is said; what it has to say itself goes into a file. A course that is open already
is named instead of being started twice.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import secrets
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Sequence
from pathlib import Path

from autograde.log import LOG_FILE
from autograde.workspace import HIDDEN, WorkspaceError, environment, in_words, prepare, settle
from solarlib.commands import Words

DEFAULT = Path(os.path.expanduser("~")) / "trough-course"  # also where nobody has a home
FIRST = "00_start_here.ipynb"


def left_off(folder: Path) -> tuple[str, str]:
    """Return the notebook to open, and what is next in words ("" for somebody new)."""
    if not (folder / LOG_FILE).is_file():
        return FIRST, ""
    from autograde.progress import progress  # loads every key, which takes a moment

    step = progress(folder).going_on
    if step is None:
        return FIRST, ""
    notebook = f"{step.name}.ipynb"
    return (notebook if (folder / notebook).is_file() else FIRST,
            f"Next: {step.lesson}, “{step.next_step}”.")  # fmt: skip


def address(port: int, notebook: str, token: str) -> str:
    """Return where a notebook stands in a JupyterLab of this machine."""
    return f"http://localhost:{port}/doc/tree/{notebook}?token={token}"


def already_open(folder: Path, notebook: str = FIRST) -> str:
    """Return where a notebook stands in a JupyterLab that answers on this folder, "" without one."""
    runtime = Path(environment(folder)["JUPYTER_DATA_DIR"]) / "runtime"
    if not any(runtime.glob("jpserver-*.json")):
        return ""
    from jupyter_server.serverapp import list_running_servers

    for server in list_running_servers(str(runtime)):
        port, token = server["port"], server["token"]
        asked = f"http://127.0.0.1:{port}/api/status?token={token}"
        with contextlib.suppress(OSError), urllib.request.urlopen(asked, timeout=3):
            return address(port, notebook, token)
    return ""


def command(folder: Path, port: int, browser: bool, notebook: str = FIRST) -> list[str]:
    """Return the command that starts JupyterLab on a lesson, one document and nothing beside."""
    words = [sys.executable, "-m", "jupyterlab", f"--port={port}", "--port-retries=0",
             f"--ServerApp.root_dir={folder}", f"--LabApp.default_url=/doc/tree/{notebook}",
             "--LabApp.custom_css=True"]  # fmt: skip
    if not browser:
        words.append("--no-browser")
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        words.append("--allow-root")
    return words


def free_port(wanted: int | None) -> int:
    """Return the wanted port, or any free one; raise WorkspaceError when it is in use."""
    with contextlib.closing(socket.socket()) as probe:
        try:
            probe.bind(("127.0.0.1", wanted or 0))
        except (OSError, OverflowError):
            raise WorkspaceError(f"Port {wanted} cannot be used; leave out --port to take any "
                                 "free one.") from None  # fmt: skip
        return int(probe.getsockname()[1])


def kernel_missing(folder: Path) -> bool:
    """Whether no Python kernel can be found for the notebooks."""
    look = "from jupyter_client.kernelspec import get_kernel_spec as g; g('python3')"
    found = subprocess.run([sys.executable, "-c", look], env=environment(folder),
                           capture_output=True, check=False)  # fmt: skip
    return found.returncode != 0


def serve(words: Sequence[str], folder: Path, token: str) -> int:
    """Run JupyterLab until it ends; whoever stops this program stops it and its kernels too."""
    told = folder / HIDDEN / "jupyter" / "log.txt"
    with open(told, "wb") as log:
        lab = subprocess.Popen(words, cwd=folder, env=environment(folder) | {"JUPYTER_TOKEN": token},
                               stdin=subprocess.DEVNULL, stdout=log, stderr=log)  # fmt: skip
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # as Ctrl+C
    try:
        code = lab.wait()
    finally:
        lab.terminate()
        lab.wait()
    if code:
        raise WorkspaceError(f"JupyterLab ended with an error; read the end of {told}, and start the "
                             "course again.")  # fmt: skip
    return code


def _read(argv: Sequence[str]) -> argparse.Namespace:
    parser = Words(prog="python3 -m solarlib learn", description="Open the course.")
    parser.add_argument("folder", nargs="?", type=Path, default=DEFAULT,
                        help=f"where your work lies (default {DEFAULT})")  # fmt: skip
    parser.add_argument("--port", type=int, help="port of the local page (default: any free one)")
    parser.add_argument("--no-browser", action="store_true", help="print the address only")
    parser.add_argument("--no-start", action="store_true", help="prepare the folder and stop")
    return parser.parse_args(list(argv))


def _full(folder: Path) -> Path:
    try:
        return folder.expanduser().resolve()
    except (RuntimeError, OSError):
        raise WorkspaceError(f"{folder} cannot be found on this computer; write out the whole name "
                             "of a folder of your own.") from None  # fmt: skip


def main(argv: Sequence[str]) -> int:
    """Run `python3 -m solarlib learn`; return 0 when the course is closed."""
    try:
        options = _read(argv)
        folder = _full(options.folder)
        print(f"Your course folder is {folder}.", flush=True)
        for line in prepare(folder):
            print(f"  {line}", flush=True)
        with in_words(folder):
            settle(folder)
        if options.no_start:
            return 0
        notebook, step = left_off(folder)
        if step:
            print(step)
        if there := already_open(folder, notebook):
            print(f"The course is open already, at\n  {there}\nOpen that page, or press Ctrl+C where it "
                  "was started and then start it anew.")  # fmt: skip
            return 0
        if kernel_missing(folder):
            raise WorkspaceError("The Python kernel is missing; run: "
                                 f"{sys.executable} -m pip install ipykernel")  # fmt: skip
        port, token = free_port(options.port), secrets.token_hex(24)
        print(f"The course opens in your browser in a few seconds, at\n  "
              f"{address(port, notebook, token)}\nTo stop it, press Ctrl+C here; your work stays.",
              flush=True)  # fmt: skip
        return serve(command(folder, port, not options.no_browser, notebook), folder, token)
    except KeyboardInterrupt:
        print("The course is closed; your work stays.")
        return 0
