"""Several warm processes at work: jobs in, results out as each is done.

A job that breaks its sandbox for no fault of the work gives a `WorkerError` in place of
a result; it is tried again the next time one marks.
"""

from __future__ import annotations

import contextlib
import os
import queue
import threading
from collections.abc import Iterable, Iterator
from typing import Any, Protocol, TypeVar

from autograde.runner.job import Job, Result, accept_result
from autograde.runner.sandbox import Launch, version
from autograde.runner.worker import Worker, WorkerError

Name = TypeVar("Name")


class Engine(Protocol):
    """Whatever runs jobs: processes here, or other machines (`cluster.Cluster`)."""

    def run(self, jobs: Iterable[tuple[Name, Job]]) -> Iterator[tuple[Name, Any]]:
        """Yield (name, plain result or WorkerError) for every job, as each is done."""
        ...


def default_workers() -> int:
    """Return how many warm processes suit this machine: one a core, at most eight."""
    return max(1, min(8, os.cpu_count() or 1))


class Pool:
    """Warm processes on this machine, each in a thread that waits for it."""

    def __init__(self, launch: Launch, workers: int = 1):
        self._launch, self._count = launch, max(1, workers)

    def run(self, jobs: Iterable[tuple[Name, Job]]) -> Iterator[tuple[Name, Any]]:
        """Yield (name, plain result or WorkerError) for every job, as each is done."""
        waiting: queue.SimpleQueue[tuple[Name, Job] | None] = queue.SimpleQueue()
        done: queue.SimpleQueue[tuple[Name, Any]] = queue.SimpleQueue()
        count = 0
        for item in jobs:
            waiting.put(item)
            count += 1
        crew = [threading.Thread(target=self._work, args=(waiting, done), daemon=True)
                for _ in range(min(self._count, count))]  # fmt: skip
        for thread in crew:
            thread.start()
        try:
            for _ in range(count):
                yield done.get()
        finally:  # also when nobody wants the rest
            while not waiting.empty():
                with contextlib.suppress(queue.Empty):
                    waiting.get_nowait()
            for _ in crew:
                waiting.put(None)
            for thread in crew:
                thread.join()

    def _work(self, waiting: Any, done: Any) -> None:
        # the sandbox ends with the thread that started it, so the thread lives as long
        with Worker(self._launch) as worker:
            while (item := waiting.get()) is not None:
                name, job = item
                try:
                    done.put((name, worker.run(job)))
                except WorkerError as error:
                    done.put((name, error))
                except Exception as error:  # nobody may be lost to a fault of this program
                    done.put((name, WorkerError(f"{type(error).__name__}: {error}")))


def checked(data: Any, job: Job) -> Result:
    """Return a result from plain data, or raise what came instead of one."""
    if isinstance(data, WorkerError):
        raise data
    return accept_result(data, job, version())
