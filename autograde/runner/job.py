"""What goes into a sandbox and what comes out: jobs and results, as plain data.

A `Job` holds a notebook's steps (a cell to run, or expressions to ask for), the learner's
card of numbers and data files; no answer, no name, no other learner's work. What comes
back is rebuilt here from scratch under limits, whether it came from a sandbox on this
machine, from another machine or from the store: it was written by a learner's process.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from autograde import plain

MAX_TEXT = 110_000  # characters of text in the outputs of a cell
MAX_RICH = 20
MAX_PICTURE = 1_500_000  # bytes of one picture; all pictures of a cell together three of these
_MAGIC = {"image/png": b"\x89PNG\r\n\x1a\n", "image/jpeg": b"\xff\xd8\xff"}


class ReplyError(ValueError):
    """What came back is not what may come back; the message is one sentence."""


@dataclass(frozen=True)
class Limits:
    """How much a submission may use: seconds a cell and in all, memory, size of a file."""

    cell_s: float = 10.0
    total_s: float = 120.0
    memory_mb: int = 2048
    file_mb: int = 16


@dataclass(frozen=True)
class Step:
    """One step: the source of a cell to `run`, or expressions to ask for.

    cell : the cell's id. define : source of a function that came as text, not in a cell.
    """

    cell: str
    run: str | None = None
    asks: tuple[str, ...] = ()
    define: str = ""

    def line(self, number: int) -> dict[str, Any]:
        """Return the step as it is sent."""
        if self.run is not None:
            return {"step": number, "run": self.run}
        return {"step": number, "ask": list(self.asks), "define": self.define}


@dataclass(frozen=True)
class Job:
    """A submission to run. cards : lesson -> card as plain data. files : name -> base64."""

    steps: tuple[Step, ...]
    cards: Mapping[str, Any] = field(default_factory=dict)
    files: Mapping[str, str] = field(default_factory=dict)
    limits: Limits = field(default_factory=Limits)

    def to_data(self) -> dict[str, Any]:
        """Return the job as plain data, for another machine."""
        return json.loads(json.dumps(asdict(self)))

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Job:
        """Rebuild a job from `to_data`."""
        steps = tuple(Step(**{**step, "asks": tuple(step["asks"])}) for step in data["steps"])
        return cls(steps, data["cards"], data["files"], Limits(**data["limits"]))

    def key(self, version: str) -> str:
        """Return the name under which the result is stored: the same for the same work."""
        text = json.dumps([version, self.to_data()], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class Outcome:
    """What one step gave: outputs, or values (plain, accepted), or why it was left out."""

    outputs: tuple[dict[str, Any], ...] = ()
    values: tuple[Any, ...] = ()
    left_out: str = ""


@dataclass(frozen=True)
class Result:
    """What a job gave. outcomes : one for each step. seconds : of running it."""

    outcomes: tuple[Outcome, ...]
    seconds: float = 0.0


def accept_result(data: Any, job: Job, version: str) -> Result:
    """Rebuild a result from plain data.

    Raises
    ------
    ReplyError : another version, another number of steps, or something that may not come back.
    """
    if type(data) is not dict or data.get("version") != version:
        came = data.get("version") if type(data) is dict else None
        raise ReplyError(f"This result was made by {str(came)[:200]}, not by {version}; install "
                         "the same versions on all machines.")  # fmt: skip
    steps, seconds = data.get("steps"), data.get("seconds")
    if type(steps) is not list or len(steps) != len(job.steps):
        raise ReplyError("The result does not have as many steps as the job.")
    if not isinstance(seconds, int | float) or not 0 <= seconds < 1e6:
        raise ReplyError("The result does not say how long it took.")
    pairs = zip(steps, job.steps, strict=True)
    return Result(tuple(accept_step(one, step) for one, step in pairs), float(seconds))


def accept_step(data: Any, step: Step) -> Outcome:
    """Rebuild what one step gave; raise ReplyError for whatever does not answer it."""
    if type(data) is not dict:
        raise ReplyError("A step gave no record.")
    if type(data.get("left_out")) is str:
        return Outcome(left_out=_safe(data["left_out"], 300))
    if step.run is not None:
        return Outcome(outputs=tuple(_accept_outputs(data.get("outputs"))))
    values = data.get("values")
    if type(values) is not list or len(values) != len(step.asks):
        raise ReplyError("A question was not answered as often as it was asked.")
    return Outcome(values=tuple(_accept_value(value) for value in values))


def _accept_value(value: Any) -> Any:
    try:
        return plain.accept(value)
    except plain.PlainError as error:
        return plain.Fault("ValueError", str(error))


def decode(line: bytes, most: int) -> Any:
    """Decode a child's line of JSON under limits; ReplyError for whatever is not that.

    Unlike `plain.read` it takes the outputs of a cell, which may be long.
    """
    if len(line) > most:
        raise ReplyError(f"A reply is longer than {most} bytes.")
    try:
        plain.refuse_hard_to_read(plain.outside_texts(line))
    except plain.PlainError as error:
        raise ReplyError(str(error)) from None
    try:
        return json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError):
        raise ReplyError("A reply is not readable.") from None


# --- outputs -----------------------------------------------------------------------------------
def _accept_outputs(items: Any) -> list[dict[str, Any]]:
    if type(items) is not list:
        raise ReplyError("A cell gave no list of outputs.")
    left = _Room()
    made = [_accept_output(item, left) for item in items[: 10 * MAX_RICH]]
    return [one for one in made if one]


class _Room:
    """How much text, how many results and how many bytes of pictures a cell has left."""

    def __init__(self) -> None:
        self._text, self._rich, self._bytes = MAX_TEXT, MAX_RICH, 3 * MAX_PICTURE

    def text(self, value: Any) -> str:
        if type(value) is not str:
            return ""
        kept = _safe(value, self._text)
        self._text -= len(kept)
        return kept

    def rich(self) -> bool:
        self._rich -= 1
        return self._rich >= 0

    def picture(self, value: Any, magic: bytes) -> str:
        if type(value) is not str or len(value) > 2 * MAX_PICTURE:
            return ""
        try:
            data = base64.b64decode(value.replace("\n", ""), validate=True)
        except (ValueError, binascii.Error):
            return ""
        if not data.startswith(magic) or len(data) > min(MAX_PICTURE, self._bytes):
            return ""
        self._bytes -= len(data)
        return base64.b64encode(data).decode()


def _accept_output(item: Any, room: _Room) -> dict[str, Any] | None:
    kind = item.get("output_type") if type(item) is dict else None
    if kind == "stream":
        name = "stderr" if item.get("name") == "stderr" else "stdout"
        text = room.text(item.get("text"))
        return {"output_type": kind, "name": name, "text": text} if text else None
    if kind == "error":
        lines = item.get("traceback")
        lines = lines[:200] if type(lines) is list else []
        return {"output_type": kind, "ename": _safe(item.get("ename"), 80),
                "evalue": room.text(item.get("evalue")),
                "traceback": [room.text(line) for line in lines]}  # fmt: skip
    if kind in ("execute_result", "display_data") and type(item.get("data")) is dict:
        if not room.rich():
            return None
        data = {mime: room.picture(item["data"].get(mime), magic)
                for mime, magic in _MAGIC.items()}  # fmt: skip
        data["text/plain"] = room.text(item["data"].get("text/plain"))
        kept = {mime: value for mime, value in data.items() if value}
        if not kept:
            return None
        # always shown, never a result: a number here must not be taken for points
        return {"output_type": "display_data", "data": kept, "metadata": {}}
    return None


def _safe(text: Any, length: int) -> str:
    if type(text) is not str:
        return ""
    return text[:length].encode("utf-8", "replace").decode("utf-8")


def texts(outputs: Sequence[Mapping[str, Any]]) -> str:
    """Return all text of outputs, for people and tests."""
    parts = [o.get("text") or o.get("evalue") or o.get("data", {}).get("text/plain", "")
             for o in outputs]  # fmt: skip
    return "\n".join(map(str, parts))
