"""One warm process and how the grader talks with it: a job in, a result out.

Sends the steps of a job one after the other and waits for each reply. Where a step kills
or hangs the process, it is left out, with the reason in words, and the rest is run again,
at most three times. Only plain data comes in; whatever else does ends that attempt.
"""

from __future__ import annotations

import contextlib
import json
import queue
import shutil
import subprocess
import tempfile
import threading
import time
from typing import IO, Any

from autograde.runner.job import Job, ReplyError, Result, accept_result, accept_step, decode
from autograde.runner.sandbox import HOME, OWN_PLACES, Launch, version
from solarlib.commands import Refusal

RERUNS = 3
START_S = 120.0  # a cold start on a slow, busy machine
GRACE_S = 10.0  # past what the warm process itself allows
MAX_LINE = 8_100_000


class WorkerError(Refusal):
    """The sandbox itself failed, not the learner's work; the message is one sentence."""


class _GoneError(Exception):
    """The process that ran the learner's cells is gone; the words say how."""


class Worker:
    """A warm process, started when it is first needed and again whenever it is gone."""

    def __init__(self, launch: Launch):
        self._launch = launch
        self._process: subprocess.Popen[bytes] | None = None
        self._lines: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._home = ""
        self._jobs = 0

    def __enter__(self) -> Worker:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()

    @property
    def pid(self) -> int | None:
        """Process id of the sandbox, None while there is none."""
        return self._process.pid if self._process else None

    def run(self, job: Job) -> dict[str, Any]:
        """Run a job and return its result as plain data (see `job.accept_result`).

        Raises
        ------
        WorkerError : the sandbox could not be started or broke for no fault of the work.
        """
        left_out: dict[int, str] = {}
        seconds = 0.0
        for attempt in range(RERUNS + 1):
            self._begin(job)
            began = time.monotonic()
            steps, gone_at, words = self._attempt(job, left_out)
            seconds += time.monotonic() - began
            if gone_at is None:
                break
            left_out[gone_at] = words
            if attempt == RERUNS:
                after = f"not run: cells ended the process {RERUNS + 1} times"
                rest = len(job.steps) - len(steps) - 1
                steps += [{"left_out": words}, *({"left_out": after} for _ in range(rest))]
        return {"version": version(), "steps": steps, "seconds": round(seconds, 3)}

    def result(self, job: Job) -> Result:
        """Run a job and return its checked result."""
        return accept_result(self.run(job), job, version())

    def _attempt(
        self, job: Job, left_out: dict[int, str]
    ) -> tuple[list[dict[str, Any]], int | None, str]:
        """Run the steps in order; return what they gave and at which one it ended, and how."""
        steps: list[dict[str, Any]] = []
        until = time.monotonic() + job.limits.total_s
        try:
            for number, step in enumerate(job.steps):
                if number in left_out:
                    steps.append({"left_out": left_out[number]})
                    continue
                if time.monotonic() > until:
                    raise _GoneError(
                        f"was not run: the work took more than {job.limits.total_s:g} s"
                    )
                self._send(step.line(number))
                reply = self._reply(job.limits.cell_s)
                if type(reply) is not dict or reply.pop("step", None) != number:
                    raise _GoneError("sent something that is no reply")
                accept_step(reply, step)  # refuse now what the result would not be accepted with
                steps.append(reply)
        except (_GoneError, ReplyError) as error:
            self._end()
            words = (
                str(error) if isinstance(error, _GoneError) else "sent something that is no reply"
            )
            return steps, len(steps), words
        self._end()
        return steps, None, ""

    # --- talking -------------------------------------------------------------------------------
    def _begin(self, job: Job) -> None:
        self._jobs += 1
        for _ in range(2):  # once more, when the process was lost between two jobs
            if self._process is None or self._process.poll() is not None:
                self._start()
            header = {"job": self._jobs, "home": self._home, "files": dict(job.files),
                      "cards": dict(job.cards), "limits": vars(job.limits)}  # fmt: skip
            try:
                self._send(header)
                if self._own_word(START_S).get("ready") == self._jobs:
                    return
            except _GoneError:
                pass
            self.close()
        raise WorkerError("The sandbox does not answer; run “python -m autograde selftest”.")

    def _end(self) -> None:
        if self._launch.fresh:
            self.close()
            return
        with contextlib.suppress(_GoneError):
            self._send({"end": self._jobs})
            if self._own_word(GRACE_S).get("clean") is True:
                return
        self.close()  # what could not be cleaned up goes away with its sandbox

    def _send(self, data: dict[str, Any]) -> None:
        assert self._process and self._process.stdin
        try:
            self._process.stdin.write(json.dumps(data).encode() + b"\n")
            self._process.stdin.flush()
        except OSError:
            raise _GoneError("ended the whole sandbox") from None

    def _line(self, seconds: float) -> bytes:
        try:
            line = self._lines.get(timeout=seconds)
        except queue.Empty:
            self.close()
            raise _GoneError("did not stop at the time limit") from None
        if not line:
            self.close()
            raise _GoneError("ended by itself" if self._launch.fresh else "ended the whole sandbox")
        return line

    def _own_word(self, seconds: float) -> dict[str, Any]:
        """Return the warm process's next own line, passing over late ones of the child."""
        until = time.monotonic() + seconds
        while True:
            line = self._line(max(until - time.monotonic(), 0.01))
            if line[:1] == b"w":
                words = decode(line[1:], MAX_LINE)
                return words if type(words) is dict else {}

    def _reply(self, cell_s: float) -> Any:
        grace = 1.0 if self._launch.fresh else GRACE_S
        line = self._line(cell_s + grace)
        reply = decode(line[1:], MAX_LINE)
        if line[:1] == b"w":
            raise _GoneError(str(reply.get("gone"))[:100] if type(reply) is dict else "ended")
        return reply

    # --- starting and ending ---------------------------------------------------------------------
    def _start(self) -> None:
        self.close()
        self._home = self._launch.home or tempfile.mkdtemp(prefix="marking-")
        own = {name: value.replace(HOME, self._home, 1) for name, value in
               self._launch.environment.items() if name in OWN_PLACES}  # fmt: skip
        complaints = tempfile.TemporaryFile()  # noqa: SIM115 - only of the start; later ones go nowhere
        try:
            self._process = subprocess.Popen(
                self._launch.command,
                env={**self._launch.environment, **own},
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=complaints,
                start_new_session=True,
            )
        except OSError as error:
            complaints.close()
            raise WorkerError(f"The sandbox cannot be started ({error}).") from None
        self._lines = queue.SimpleQueue()
        reader = threading.Thread(
            target=_read_all, args=(self._process.stdout, self._lines), daemon=True
        )
        reader.start()
        try:
            hello = self._own_word(START_S).get("hello")
        except (_GoneError, ReplyError):
            hello = None
        with complaints:
            complaints.seek(0)
            words = complaints.read(100_000).decode("utf-8", "replace").strip().splitlines()
        if hello != version():
            self.close()
            raise WorkerError(f"The sandbox did not start ({words[-1] if words else 'no word'}); "
                              "run “python -m autograde selftest”.")  # fmt: skip

    def close(self) -> None:
        """End the process and remove what it left."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            with contextlib.suppress(OSError):
                assert process.stdin
                process.stdin.close()
            process.wait()
        if self._home and self._home != self._launch.home:
            shutil.rmtree(self._home, ignore_errors=True)
        self._home = ""


def _read_all(stream: IO[bytes], lines: queue.SimpleQueue[bytes]) -> None:
    """Put every line of a process into the queue, and an empty one at its end."""
    with stream:
        while line := stream.readline(MAX_LINE):
            lines.put(line)
    lines.put(b"")
