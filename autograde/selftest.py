"""Can this machine mark a class? python -m autograde selftest says so in sentences.

In: nothing. Out: one sentence per finding. The sandbox is not believed but tried: a job in
it attempts what a learner's code must not be able to do.
"""

from __future__ import annotations

import importlib.util
import os
import sys
from collections.abc import Sequence
from importlib import metadata
from pathlib import Path

from autograde.runner import sandbox
from autograde.runner.job import Job, Outcome, ReplyError, Step
from autograde.runner.worker import Worker, WorkerError
from solarlib.commands import CommandError
from solarlib.selftest import Finding, tell

# what is tried inside -> the words when it is refused; each must end in an OSError
_ATTEMPTS = {
    "start a process": "__import__('os').fork()",
    "run a program": "__import__('os').execv('/usr/bin/python3', ['python3'])",
    "open a network connection": "__import__('socket').socket()",
    "read the users of this machine": "open('/etc/passwd').read()",
    "look at processes": "__import__('os').listdir('/proc')",
    "see the answer keys": f"__import__('os').listdir({str(sandbox.AUTOGRADE)!r})",
    "change the course's library": "open(__import__('solarlib').__file__, 'w')",
    "stop others": "__import__('os').kill(-1, 9)",
}


def _attempts() -> dict[str, str]:
    """Return all that is tried, with a file of this user's own."""
    own = (p for p in sorted(Path.home().glob("*")) if not sys.base_prefix.startswith(str(p)))
    return {**_ATTEMPTS, **{f"see {p}": f"__import__('os').stat({str(p)!r})" for p in [*own][:1]}}


def selftest() -> list[Finding]:
    """Look at the sandbox, nbgrader, and what is optional."""
    return [*_walls(), *_nbgrader(), _user(), *_optional()]


def _walls() -> list[Finding]:
    if words := sandbox.why_not():
        return [Finding(False, words)]
    job = Job((Step("probe", asks=tuple(_attempts().values())), Step("sum", asks=("6 * 7",))))
    try:
        with Worker(sandbox.sandboxed()) as worker:
            probe, right = worker.result(job).outcomes
    except (WorkerError, ReplyError) as error:
        return [Finding(False, str(error))]
    if right.values != (42,):
        return [Finding(False, "The sandbox runs, but six times seven is not 42 in it.")]
    open_doors = holes(probe)
    found = [Finding(False, f"Inside the sandbox one can {what}; do not mark here.")
             for what in open_doors]  # fmt: skip
    if not found:
        found = [Finding(True, f"The sandbox works; {len(_attempts())} ways out of it are closed.")]
    return found


def holes(probe: Outcome) -> list[str]:
    """Return what a job in the sandbox could do and must not."""
    if len(probe.values) != len(_attempts()):
        return [f"do what ended the probe ({probe.left_out or 'no answer'})"]
    refused = ("PermissionError", "FileNotFoundError", "OSError", "NotADirectoryError")
    return [what for what, value in zip(_attempts(), probe.values, strict=True)
            if getattr(value, "kind", "") not in refused]  # fmt: skip


def _nbgrader() -> list[Finding]:
    try:
        version = metadata.version("nbgrader")
    except metadata.PackageNotFoundError:
        return [Finding(False, "nbgrader is missing; run “python3 -m pip install nbgrader”.")]
    found = [Finding(True, f"nbgrader {version} keeps the gradebook.")]
    if not (Path(sys.executable).parent / "alembic").exists():
        found.append(Finding(False, f"The program alembic is not beside {sys.executable}; new "
                             "gradebooks need it. Run “python3 -m pip install alembic”."))  # fmt: skip
    return found


def _user() -> Finding:
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        return Finding(True, "You are root. Marking works, but an ordinary user is the safer one.")
    return Finding(True, "You are an ordinary user, as one should be for marking.")


def _optional() -> list[Finding]:
    wanted = {"distributed": "Marking on other machines", "psycopg2": "A PostgreSQL gradebook"}
    extra = {"distributed": "cluster", "psycopg2": "postgres"}
    return [
        Finding(True, f"{what} is possible." if importlib.util.find_spec(name) else
                f"{what} is not installed; the extra “{extra[name]}” brings it, if wanted.")
        for name, what in wanted.items()
    ]  # fmt: skip


def main(argv: Sequence[str]) -> int:
    """Run `python -m autograde selftest`; 0 when nothing is missing, else 1."""
    if argv:
        raise CommandError("The self test takes no words after it; leave them out.")
    return tell(selftest())
