"""A course folder: what was handed in, the secret, stored results, earlier versions of designs.

In: a folder as `build` or `class` makes it. Out: paths, cards and seeds for each learner, and
files that are written whole or not at all.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import json
import re
import secrets
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from autograde.gradebook import AREA
from autograde.key import Numbers
from autograde.lesson import Source, load
from autograde.marks import Past
from autograde.rubric import GATE_CAP
from autograde.runner import sandbox
from autograde.runner.job import Job, Limits, ReplyError, Result, accept_result, decode
from solarlib.commands import Refusal
from solarlib.files import write_whole

SECRET = "secret.txt"  # in the course folder; decides the class's numbers and hidden cases
_CAP = "cap.txt"  # in our own folder: percent at most for a design while a gate is open


class MarkingError(Refusal):
    """Marking cannot begin or go on; the message is one sentence."""


@dataclass(frozen=True)
class Course:
    """A course folder and one lesson of it."""

    folder: Path
    source: Source
    limits: Limits = field(default_factory=Limits)

    @property
    def area(self) -> Path:
        """Our own folder in it."""
        return self.folder / AREA

    def submissions(self) -> dict[str, Path]:
        """Return what was handed in: safe id of the learner -> folder or zip.

        Raises
        ------
        MarkingError : nothing is there; the message says what was expected and what was found.
        """
        root, lesson = self.folder / "submitted", self.source.name
        found: dict[str, Path] = {}
        entries = sorted(root.iterdir()) if root.is_dir() else []
        for entry in entries:
            if entry.is_symlink() or not entry.is_dir():
                continue
            for path in (entry / lesson, entry / f"{lesson}.zip"):
                if path.exists() or path.is_symlink():
                    found.setdefault(safe_name(entry.name), path)
        if not found:
            there = ", ".join(e.name for e in entries[:5]) or "nothing"
            raise MarkingError(f"Expected work in {root}/LEARNER/{lesson}/{lesson}.ipynb; in {root} "
                               f"there is {there}.")  # fmt: skip
        return found

    def secret(self) -> str:
        """Return the instructor's secret, "" when the class has the demo numbers."""
        with contextlib.suppress(OSError):
            return (self.folder / SECRET).read_text(encoding="utf-8").strip()
        return ""

    def card(self, learner: str) -> Numbers:
        """Return the learner's card of numbers: drawn with the secret, else the demo's."""
        secret = self.secret()
        key = self.source.key
        return key.draw(learner, secret) if secret else key.demo()

    def seed(self, learner: str) -> str:
        """Return what decides the learner's hidden cases; always the same in this folder."""
        salt = self.secret() or _kept(self.area / "salt.txt", lambda: secrets.token_hex(16))
        words = f"{learner}\0{self.source.slug}"
        return hmac.new(salt.encode(), words.encode("utf-8", "replace"), hashlib.sha256).hexdigest()

    # --- earlier versions that still count --------------------------------------------------------
    def past(self, learner: str) -> Past:
        """Return the versions of a learner that were marked before, and the cap of this class."""
        try:
            data = json.loads(self._versions(learner).read_text(encoding="utf-8"))
            versions = {str(name): [str(text) for text in texts] for name, texts in data.items()}
        except (OSError, ValueError, AttributeError, TypeError):
            versions = {}
        return Past(versions, self.cap)

    def keep(self, learner: str, versions: Mapping[str, str]) -> None:
        """Add what was handed in now to the versions, unless it is the latest already."""
        kept = {name: list(texts) for name, texts in self.past(learner).versions.items()}
        for name, text in versions.items():
            if kept.setdefault(name, [])[-1:] != [text]:
                kept[name].append(text)
        if versions:
            write_whole(self._versions(learner), json.dumps(kept, ensure_ascii=False).encode())

    def _versions(self, learner: str) -> Path:
        return self.area / "versions" / self.source.name / f"{learner}.json"

    @property
    def cap(self) -> float | None:
        """Percent at most for a design while a gate is open; None when it is switched off."""
        try:
            text = (self.area / _CAP).read_text(encoding="utf-8").strip()
            return None if text == "none" else min(max(float(text), 0.0), 100.0)
        except (OSError, ValueError):
            return GATE_CAP

    def set_cap(self, text: str) -> None:
        """Set the cap for this and later markings: a percentage, or "none"."""
        word = text.strip().rstrip("%").replace(",", ".").strip()
        with contextlib.suppress(ValueError):
            if word == "none" or 0 <= float(word) <= 100:
                return write_whole(self.area / _CAP, f"{word}\n".encode())
        raise MarkingError(f"{text!r} is no cap; give a percentage from 0 to 100, or “none”.")


def open_course(folder: str | Path, lesson: str, limits: Limits | None = None) -> Course:
    """Return a course folder and a lesson of it, or raise what is wrong with either."""
    path = Path(folder).resolve()
    if not path.is_dir():
        raise MarkingError(
            f"There is no folder {folder}; make one with “python -m autograde build”."
        )
    return Course(path, load(lesson), limits or Limits())


def safe_name(name: str) -> str:
    """Return a learner's id that is harmless in pages, tables and paths, from a folder's name."""
    kept = re.sub(r"[^\w .@-]", "_", name).strip()
    kept = f"_{kept[1:]}" if kept[:1] in "-@." else kept or "_"
    if kept == name and len(name) <= 80:
        return name
    return f"{kept[:80]}~{hashlib.sha256(name.encode('utf-8', 'replace')).hexdigest()[:6]}"


def _kept(path: Path, make: Callable[[], str]) -> str:
    with contextlib.suppress(OSError):
        if text := path.read_text(encoding="utf-8").strip():
            return text
    write_whole(path, make().encode())
    return path.read_text(encoding="utf-8").strip()


class Store:
    """Results by the hash of the work, as files; what is in it is checked like any reply."""

    def __init__(self, folder: Path):
        self._folder = folder

    def _path(self, key: str) -> Path:
        return self._folder / key[:2] / f"{key}.json"

    def get(self, job: Job) -> Result | None:
        """Return the stored result of a job, None when there is none that can be used."""
        try:
            data = decode(self._path(job.key(sandbox.version())).read_bytes(), 1 << 30)
            return accept_result(data, job, sandbox.version())
        except (OSError, ReplyError):
            return None

    def put(self, job: Job, data: Mapping[str, Any]) -> None:
        """Keep a result."""
        write_whole(self._path(job.key(sandbox.version())), json.dumps(data).encode())


@contextlib.contextmanager
def alone(course: Course) -> Iterator[None]:
    """Keep a second marking of the same folder out."""
    course.area.mkdir(parents=True, exist_ok=True)
    with (course.area / "lock").open("w") as file:
        with contextlib.suppress(ImportError):
            import fcntl

            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise MarkingError(f"{course.folder} is being marked already; wait until that is "
                                   "done.") from None  # fmt: skip
        yield


def chosen(found: Mapping[str, Path], learners: Sequence[str]) -> dict[str, Path]:
    """Return the submissions of the named learners, all without names."""
    missing = [name for name in learners if safe_name(name) not in found]
    if missing:
        raise MarkingError(f"Nothing is handed in by {', '.join(missing)}; there is work of "
                           f"{', '.join(list(found)[:5])}.")  # fmt: skip
    return {n: p for n, p in found.items() if not learners or n in map(safe_name, learners)}
