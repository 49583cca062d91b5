"""Marks for a heater's design: fourteen criteria, worked out afresh from the inputs alone.

In: the text of a design file. Out: for each criterion its points and the reason, the open
gates, a percentage and what to do next. Results that stand in the file are never read:
`solarlib` computes them again. At most ten points are left to a person. Limits without a
named source are common practice, no source. Nothing here says that a heater is safe.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache, reduce
from typing import Any

from autograde.criteria import ROWS, Checked, Row

LARGEST = 60_000  # letters; a design is about 7000
MOST_PARTS, MOST_LINKS = 60, 200  # of the plumbing; the demo has 4 and 5
GATE_CAP = 59.0  # percent at most while a gate is open
HUMAN_POINTS = 10.0
CLEARED = "checked items complete"
NO_DESIGN = "No design is handed in yet; give the text of your design file."


@dataclass(frozen=True)
class Criterion:
    """One criterion: its points, those given, those left to a person, and why."""

    id: str
    title: str
    points: float
    got: float
    reason: str
    human: float = 0.0

    @property
    def automatic(self) -> float:
        """Points that the machine can give."""
        return self.points - self.human

    @property
    def full(self) -> bool:
        """Whether all the machine's points are given."""
        return self.got >= self.automatic - 1e-9


@dataclass(frozen=True)
class Marked:
    """A marked design. `trouble` is one sentence when the file could not be marked at all.

    gates : the open ones. unmet : the other items that a build cannot do without.
    """

    criteria: tuple[Criterion, ...]
    gates: tuple[str, ...] = ()
    trouble: str = ""
    unmet: tuple[str, ...] = ()

    @property
    def got(self) -> float:
        """Points given by machine."""
        return sum(c.got for c in self.criteria)

    @property
    def automatic(self) -> float:
        """Points that the machine can give."""
        return sum(c.automatic for c in self.criteria)

    def percent(self, human: float | None = None, cap: float | None = GATE_CAP) -> float:
        """Percent of all points, or of the machine's while no person has marked (`human` None).

        `cap` holds while a gate is open; None switches it off.
        """
        if human is None:
            share = self.got / self.automatic if self.automatic else 0.0
        else:
            share = (self.got + min(max(human, 0.0), HUMAN_POINTS)) / sum(
                c.points for c in self.criteria
            )
        return min(100 * share, cap) if self.gates and cap is not None else 100 * share

    def ladder(self, human: float | None = None, cap: float | None = GATE_CAP) -> str:
        """What to do next, in words."""
        percent = self.percent(human, cap)
        if self.trouble:
            return "not attempted"
        if percent >= 70 and not self.gates and self.unmet:
            return f"revise and resubmit; first {', '.join(self.unmet)}"
        if percent >= 85 and not self.gates:
            return f"{CLEARED}; show the paper to the adult in charge before anything is built"
        return "revise and resubmit" if percent >= 70 else "meet the instructor"

    @property
    def clearance(self) -> str:
        """What stands on every page of the pack."""
        if self.trouble:
            return "NOT CLEARED: no design"
        many = "item" if len(self.gates) == 1 else "items"
        if self.gates:
            return f"NOT CLEARED: {len(self.gates)} {many}"
        return f"not met yet: {', '.join(self.unmet)}" if self.unmet else CLEARED


def mark(text: Any) -> Marked:
    """Mark the text of a design file; never raises, whatever the text holds."""
    return _marked(text) if isinstance(text, str) else _nothing(NO_DESIGN)


@lru_cache(maxsize=512)  # the same text is met again at every marking and every report
def _marked(text: str) -> Marked:
    try:
        entries, evaluation = _worked_out(text)
        checked = {c.id: c for c in evaluation.constraints}
        criteria = tuple(_criterion(row, entries, evaluation, checked) for row in ROWS)
    except _UnreadableError as error:
        return _nothing(str(error))
    gates = tuple(
        f"{c.id} {c.name}: {c.reason[:400]} {c.change}".strip() for c in evaluation.gates_open
    )
    unmet = tuple(f"{c.id} {c.name}" for c in evaluation.constraints
                  if c.kind == "hard" and c.met is not True)  # fmt: skip
    return Marked(criteria, gates, unmet=unmet)


def best(earlier: Marked, latest: Marked) -> Marked:
    """Keep the better score of each criterion after a resubmission; gates are the latest's."""
    if latest.trouble:
        return earlier
    if earlier.trouble:
        return latest
    pairs = zip(earlier.criteria, latest.criteria, strict=True)
    kept = tuple(
        replace(a, reason=f"{a.reason} (kept from an earlier version)") if a.got > b.got else b
        for a, b in pairs
    )
    return replace(latest, criteria=kept)


def best_of(versions: Sequence[Marked]) -> Marked:
    """Keep the best of each criterion over all versions, oldest first."""
    return reduce(best, versions)


def as_data(marked: Marked) -> dict[str, Any]:
    """Return a marked design as plain data, for the record of a class's marks."""
    return asdict(marked)


def from_data(data: Mapping[str, Any]) -> Marked:
    """Rebuild a marked design from `as_data`."""
    rows = tuple(Criterion(**row) for row in data["criteria"])
    return Marked(rows, tuple(data["gates"]), data["trouble"], tuple(data.get("unmet", ())))


def is_demo(text: str) -> bool:
    """Tell whether a design is the demo's, whatever it is called."""
    from solarlib.design import DesignError, HeaterDesign, demo

    try:
        design = HeaterDesign.from_text(text)
    except (DesignError, ValueError, TypeError, OverflowError, RecursionError, AttributeError):
        return False
    return replace(design, name=demo().name) == demo()


class _UnreadableError(ValueError):
    """Nothing to mark; the message is the sentence to show."""


def _nothing(sentence: str) -> Marked:
    rows = tuple(Criterion(r.id, r.title, r.points, 0.0, "Not attempted.", r.human) for r in ROWS)
    return Marked(rows, (), sentence)


def _worked_out(text: str) -> tuple[set[str], Any]:
    """Names of the entries in the file, and what follows from the design."""
    if not text.strip():
        raise _UnreadableError(NO_DESIGN)
    if len(text) > LARGEST:
        raise _UnreadableError(
            f"This text has {len(text)} letters, more than {LARGEST}; hand in a design file only."
        )
    import tomllib

    from solarlib.design import DesignError, HeaterDesign, evaluate

    try:
        design = HeaterDesign.from_text(text)
        groups = tomllib.loads(text)
    except DesignError as error:
        raise _UnreadableError(str(error).replace("\n", " ")[:600]) from None
    except (ValueError, TypeError, OverflowError, RecursionError, AttributeError):
        raise _UnreadableError(
            "This text holds an entry that no design can have; compare it with the demo's file."
        ) from None
    entries = {name for group in groups.values() for name in group}
    if not entries:
        raise _UnreadableError(
            "This design has no entries; write yours, grouped like the demo's file."
        )
    p = design.plumbing
    if p and (len(p.parts) > MOST_PARTS or len(p.links) > MOST_LINKS):
        raise _UnreadableError(
            f"The plumbing has {len(p.parts)} parts and {len(p.links)} links; at most {MOST_PARTS} "
            f"and {MOST_LINKS} can be checked, so leave out what holds no water."
        )
    try:
        evaluation = evaluate(design)
        evaluation.constraints, evaluation.band  # noqa: B018  (work them out here)
    except (ArithmeticError, ValueError, IndexError, TypeError) as error:
        raise _UnreadableError(
            f"This design cannot be worked out ({error}); bring its numbers nearer to the demo's."
        ) from None
    return entries, evaluation


def _criterion(row: Row, entries: set[str], e: Any, checked: Checked) -> Criterion:
    missing = [name for name in row.needs if name not in entries]
    if missing:
        reason = f"Not stated: {', '.join(missing)}. State it in your file."
        return Criterion(row.id, row.title, row.points, 0.0, reason, row.human)
    items = row.items(e, checked)
    got = sum(points for points, met, _ in items if met)
    lost = " ".join(reason for _, met, reason in items if not met)
    return Criterion(row.id, row.title, row.points, got, lost or "All items met.", row.human)
