"""Starts inside the sandbox, loads everything slow once, then forks a child for each submission.

In: lines of JSON from the grader: a header {"job": n, ...}, its steps one by one, and
{"end": n}. Out: one line for each, marked "c" when the child wrote it and "w" when this
process did. No step lies in this process when a child is forked, so that a child can
look for what is asked later as long as it likes. Between two submissions every process
is killed and every file removed; where that fails, this process ends too.
"""

from __future__ import annotations

import gc
import importlib.util
import json
import os
import select
import signal
import sys
import time
from typing import Any, BinaryIO

import seccomp  # type: ignore[import-not-found,unused-ignore]

GRACE_S = 1.0  # past a cell's limit the child may still tell where it was stopped
MAX_REPLY = 8_000_000  # bytes


def load_from(name: str, path: str) -> Any:
    """Load one file as the module `name`."""
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def furnish(boot: dict[str, Any]) -> Any:
    """Make importable what a notebook may import; return the stand-in for `autograde`."""
    sys.path[:0] = boot["path"]
    stub = load_from("autograde", boot["stub"])
    stub.__path__ = []
    for name in ("plain", "numbers"):
        load_from(f"autograde.{name}", boot[name])
    import solarlib

    solarlib.explorers = load_from("solarlib.explorers", boot["explorers"])  # type: ignore[attr-defined]
    for name in ("geometry", "optics", "sun", "water", "heat", "units"):
        importlib.import_module(f"solarlib.{name}")
    return stub


class Worker:
    """The warm process: a shell, and what it does for one job after the other."""

    def __init__(self, boot: dict[str, Any]):
        self._stub = furnish(boot)
        from shell import make_shell  # type: ignore[import-not-found,unused-ignore]

        self._shell = make_shell()
        self._shell.run(
            "from solarlib import units\nunits.show(units.parse('1 mm', 'm').value, 'mm')"
        )
        self._shell.reset(new_session=True)
        self._in: Any = sys.__stdin__.buffer  # type: ignore[union-attr]
        self._out = os.dup(1)
        nowhere = os.open(os.devnull, os.O_RDWR)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)

    def say(self, mark: bytes, line: bytes) -> None:
        """Write one line to the grader."""
        _write_all(self._out, mark + line.rstrip(b"\n") + b"\n")

    def tell(self, **words: Any) -> None:
        """Write a line of this process's own."""
        self.say(b"w", json.dumps(words).encode())

    # --- one job in a process of its own ---------------------------------------------------------
    def serve_here(self) -> None:
        """Serve one job in this very process, where forking or a sandbox is not to be had."""
        header = json.loads(self._in.readline())
        self._prepare(header)
        self.tell(ready=header["job"])
        self._become_child(header, self._out, self._in, b"c")

    def serve_forked(self, home: str) -> None:
        """Serve jobs until there are no more, each in a fork of this process."""
        _emptied(home)  # of what warming up left, so that everybody finds the same
        gc.collect()
        gc.freeze()
        for line in iter(self._in.readline, b""):
            header = json.loads(line)
            self._prepare(header)
            steps_read, steps_write = os.pipe()
            replies_read, replies_write = os.pipe()
            pid = os.fork()
            if pid == 0:
                os.close(steps_write)
                os.close(replies_read)
                os.close(self._out)
                os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
                with os.fdopen(steps_read, "rb") as lines:
                    self._become_child(header, replies_write, lines)
            os.close(steps_read)
            os.close(replies_write)
            self.tell(ready=header["job"])
            self._relay(float(header["limits"]["cell_s"]), steps_write, replies_read)
            os.close(steps_write)
            os.close(replies_read)
            if not self._clean(pid, header["home"]):
                self.tell(clean=False)
                return
            self.tell(clean=True)

    def _prepare(self, header: dict[str, Any]) -> None:
        import base64

        work = os.path.join(header["home"], "work")
        os.makedirs(work, exist_ok=True)
        for name, content in header["files"].items():
            with open(os.path.join(work, os.path.basename(name)), "wb") as file:
                file.write(base64.b64decode(content))
        os.chdir(work)
        self._stub.CARDS.clear()
        self._stub.CARDS.update(header["cards"])

    def _become_child(
        self, header: dict[str, Any], replies: int, steps: BinaryIO, mark: bytes = b""
    ) -> None:
        try:
            from child import Child, confine  # type: ignore[import-not-found,unused-ignore]

            confine(header["limits"])
            Child(self._shell, header["limits"], replies, mark).serve(steps)
        finally:
            os._exit(0)

    def _relay(self, limit: float, steps: int, replies: int) -> None:
        """Hand steps to the child and its replies back, until the end or until it is gone."""
        gone = ""
        for line in iter(self._in.readline, b""):
            if b'"end"' in line[:8]:
                return
            if not gone:
                try:
                    _write_all(steps, line)
                except OSError:
                    gone = "ended by itself"
            reply = b""
            if not gone:
                reply, gone = _read_line(replies, limit + GRACE_S)
            if gone:
                self.tell(gone=gone)
            else:
                self.say(b"c", reply)

    def _clean(self, pid: int, home: str) -> bool:
        """Kill all that is left and remove every file; tell whether nothing is left."""
        os.kill(-1 if _in_a_namespace() else pid, signal.SIGKILL)
        try:
            while True:
                os.waitpid(-1, 0)
        except ChildProcessError:
            pass
        os.chdir("/")
        return _emptied(home)


def _write_all(handle: int, data: bytes) -> None:
    while data:
        data = data[os.write(handle, data) :]


def _read_line(handle: int, seconds: float) -> tuple[bytes, str]:
    """Read up to a line's end; return it, and what went wrong instead."""
    pieces, size, until = [], 0, time.monotonic() + seconds
    while True:
        left = until - time.monotonic()
        if left <= 0 or not select.select([handle], [], [], left)[0]:
            return b"", "did not stop at the time limit"
        piece = os.read(handle, 1 << 16)
        if not piece:
            return b"", "ended by itself"
        pieces.append(piece)
        size += len(piece)
        if size > MAX_REPLY:
            return b"", "put out too much"
        if piece.endswith(b"\n"):
            return b"".join(pieces), ""


def _in_a_namespace() -> bool:
    """Tell whether this process may kill and remove all it sees: it is the second of its own."""
    return (os.getpid(), os.getppid()) == (2, 1)


def _emptied(home: str) -> bool:
    import shutil

    if not _in_a_namespace() and not os.path.basename(home).startswith("marking-"):
        return False
    try:
        for entry in os.scandir(home):
            if entry.is_dir(follow_symlinks=False):
                os.chmod(entry.path, 0o700)
                shutil.rmtree(entry.path)
            else:
                os.unlink(entry.path)
        return not os.listdir(home)
    except (OSError, RecursionError):
        return False


def main() -> None:
    """Take the grader's word where things lie, warm up, say hello and serve."""
    boot = json.loads(sys.argv[1])
    if boot["user"]:
        os.setgroups([])
        os.setresgid(boot["user"], boot["user"], boot["user"])
        os.setresuid(boot["user"], boot["user"], boot["user"])
    seccomp.hide()
    worker = Worker(boot)
    worker.tell(hello=boot["version"])
    if boot["fresh"]:
        worker.serve_here()
    else:
        worker.serve_forked(boot["home"])


if __name__ == "__main__":
    main()
