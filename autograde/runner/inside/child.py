"""Serves one submission: runs its cells in order, evaluates what is asked, replies in plain data.

In: lines of JSON, {"step": n, "run": source} or {"step": n, "ask": [expressions]}. Out:
one line for each, {"step": n, "outputs": [...]} or {"step": n, "values": [...]}. Whoever
reads the replies must not trust them: from its first cell on, this process is the learner's.
"""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, BinaryIO

import seccomp  # type: ignore[import-not-found,unused-ignore]
from shell import Shell  # type: ignore[import-not-found,unused-ignore]

from autograde import plain


class TooLong(BaseException):
    """Ends a cell at its time limit, past any `except Exception`."""


def confine(limits: dict[str, Any], filtered: bool = True) -> str:
    """Take away from this process what a notebook does not need; return what could not be."""
    import resource

    for name, most in (
        ("AS", limits["memory_mb"] << 20),
        ("FSIZE", limits["file_mb"] << 20),
        ("NOFILE", 64),
        ("CORE", 0),
        ("CPU", int(limits["total_s"]) + 1),
    ):
        resource.setrlimit(getattr(resource, f"RLIMIT_{name}"), (most, most))
    return seccomp.load() if filtered else ""


class Child:
    """One submission's run. `replies` takes the lines, each beginning with `mark`; where that
    goes is no secret, because a forged reply is a guess like any other."""

    def __init__(self, shell: Shell, limits: dict[str, Any], replies: int, mark: bytes = b""):
        self._shell, self._limit = shell, float(limits["cell_s"])
        self._replies, self._mark = replies, mark

    def serve(self, lines: BinaryIO) -> None:
        """Answer every line until there are no more."""
        for line in iter(lines.readline, b""):
            step = json.loads(line)
            if "end" in step:
                return
            if "run" in step:
                reply = {"outputs": self._run(step["run"])}
            else:
                reply = {"values": self._ask(step["ask"], step.get("define", ""))}
            self._write({"step": step["step"], **reply})

    def _write(self, reply: dict[str, Any]) -> None:
        data = self._mark + json.dumps(reply).encode() + b"\n"
        while data:
            data = data[os.write(self._replies, data) :]

    def _run(self, source: str) -> list[dict[str, Any]]:
        words = f"stopped after {self._limit:g} s; is it a loop without an end?"
        try:
            with self._time_limit(words):
                return self._shell.run(source)
        except BaseException as error:  # the alarm rang while the shell tidied up
            said = [f"{type(error).__name__}: {words}"]
            self._shell.outputs.error("TooLong", words, said)
            return self._shell.outputs.taken()

    def _ask(self, expressions: list[str], define: str) -> list[Any]:
        space = self._shell.user_ns
        values: list[Any] = []
        try:
            with self._time_limit(f"stopped after {self._limit:g} s"):
                if define:
                    space = {"__name__": "answer"}
                    self._evaluate(lambda: exec(compile(define, "<answer>", "exec"), space))
                for text in expressions:
                    values.append(self._evaluate(self._call(text, space)))
        except BaseException:  # the alarm rang between two evaluations
            pass
        late = plain.to_plain(plain.Fault("TimeoutError", f"stopped after {self._limit:g} s"))
        return values + [late] * (len(expressions) - len(values))

    def _call(self, text: str, space: dict[str, Any]) -> Callable[[], Any]:
        return lambda: eval(compile(text, "<asked>", "eval"), space)

    def _evaluate(self, call: Callable[[], Any]) -> Any:
        try:
            return plain.to_plain(call())
        except TooLong as error:
            return plain.to_plain(plain.Fault("TimeoutError", str(error)))
        except BaseException as error:  # a learner's function may raise anything
            try:
                return plain.to_plain(error)
            except BaseException:  # and what it raised may not even be shown
                return plain.to_plain(plain.Fault("Error", "its message cannot be shown"))

    @contextmanager
    def _time_limit(self, words: str) -> Iterator[None]:
        def ring(number: int, frame: Any) -> None:
            raise TooLong(words)

        if not hasattr(signal, "setitimer"):  # elsewhere whoever started this process ends it
            yield
            return
        signal.signal(signal.SIGALRM, ring)
        signal.setitimer(signal.ITIMER_REAL, self._limit)
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
