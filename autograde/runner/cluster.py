"""Sandboxes of other machines, through a dask scheduler: the same jobs, the same checks.

In: jobs, as plain data; no key, database or other work leaves this machine. Out: results
as plain data, checked here exactly as those of a sandbox on this machine. A machine whose
versions differ is named and its results are refused. Optional: the extra "cluster".
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from typing import Any

from autograde.runner.job import Job
from autograde.runner.pool import Name
from autograde.runner.worker import Worker, WorkerError

_here = threading.local()  # on a machine of the cluster: one warm process for each thread


class ClusterError(WorkerError):
    """The other machines cannot be used; the message is one sentence."""


def run_job(data: dict[str, Any]) -> dict[str, Any]:
    """Run one job in a sandbox of the machine this is called on; what goes wrong is told."""
    from autograde.runner import sandbox

    try:
        if not hasattr(_here, "worker"):
            _here.worker = Worker(sandbox.sandboxed())
        return _here.worker.run(Job.from_data(data))
    except (WorkerError, sandbox.NoSandboxError) as error:
        return {"trouble": str(error)}


def machine() -> dict[str, str]:
    """Return what this machine runs learners' code on, and why it could not."""
    from autograde.runner import sandbox

    return {"version": sandbox.version(), "trouble": sandbox.why_not()}


class Cluster:
    """The workers of a dask scheduler, such as ``Cluster("tcp://10.0.0.5:8786")``."""

    def __init__(self, address: str):
        try:
            from distributed import Client
        except ImportError:
            raise ClusterError(
                "Marking on other machines needs the package distributed; install the "
                "course with its extra “cluster”."
            ) from None
        try:
            self._client = Client(address, timeout="10s", set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            raise ClusterError(f"No scheduler answers at {address} ({error}); start one with "
                               "“dask scheduler” and give its address.") from None  # fmt: skip
        self._check_machines()

    def _check_machines(self) -> None:
        from autograde.runner import sandbox

        try:
            machines = self._client.run(machine)
        except Exception as error:  # another version of this program, or none
            self._client.close()
            raise ClusterError(f"A machine of the cluster cannot run this course ({error}); "
                               "install the same versions there.") from None  # fmt: skip
        if not machines:
            self._client.close()
            raise ClusterError("The scheduler has no workers; start some with “dask worker”.")
        for address, found in machines.items():
            if found["version"] != sandbox.version():
                self._client.close()
                raise ClusterError(f"{address} runs {found['version']}, not {sandbox.version()}; "
                                   "install the same versions there.")  # fmt: skip
            if found["trouble"]:
                self._client.close()
                raise ClusterError(f"{address}: {found['trouble']}")

    def run(self, jobs: Iterable[tuple[Name, Job]]) -> Iterator[tuple[Name, Any]]:
        """Yield (name, plain result or WorkerError) for every job, as each is done."""
        from distributed import as_completed

        names = {}
        for name, job in jobs:
            names[self._client.submit(run_job, job.to_data(), pure=False)] = name
        for future in as_completed(names, loop=self._client.loop):
            error = future.exception()
            data = WorkerError(f"The cluster lost it ({error}).") if error else future.result()
            if isinstance(data, dict) and type(data.get("trouble")) is str:
                data = WorkerError(data["trouble"][:300])
            yield names[future], data

    def close(self) -> None:
        """Let the scheduler go; its workers stay."""
        self._client.close()
