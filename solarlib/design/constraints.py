"""Does the design keep its limits? The checked items C1 to C17, each in one sentence.

In: an evaluation. Out: for every item what was found, what is allowed, whether it is
met, unknown or not, and the nearest change that would help. Meeting them all says
"checked items complete" and no more: it is no permission to build.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solarlib import units
from solarlib.design import checks, precautions
from solarlib.design.variation import ENTRIES

if TYPE_CHECKING:
    from solarlib.design.evaluation import Evaluation


@dataclass(frozen=True)
class Constraint:
    """One checked item.

    id, name : "C1", "sheet fits the stock". kind : "hard", "advice", "gate" or "marks".
    met : True, False, or None when it cannot be told from what is given.
    value, limit : numbers in SI (nan where there is none), `unit` to show them in.
    reason : what was found. change : the nearest change that would help, empty when met.
    missing : names of the entries without which it cannot be told.
    """

    id: str
    name: str
    kind: str
    met: bool | None
    value: float
    limit: float
    unit: str
    reason: str
    change: str
    missing: tuple[str, ...] = ()

    @property
    def value_text(self) -> str:
        """The value with its unit."""
        return "" if np.isnan(self.value) else units.show(self.value, self.unit)

    @property
    def limit_text(self) -> str:
        """The limit with its unit."""
        return "" if np.isnan(self.limit) else units.show(self.limit, self.unit)

    @property
    def state(self) -> str:
        """The verdict in a word or two."""
        return {True: "met", False: "not met", None: "not known"}[self.met]


_ITEMS: tuple[tuple[str, str, str, Callable[[Evaluation], checks.Found], tuple[str, ...]], ...] = (
    ("C1", "sheet fits the stock", "hard", checks.sheet, ()),
    ("C2", "sheet bends that far", "hard", checks.bend, ()),
    ("C3", "rim angle", "advice", checks.rim_angle, ()),
    ("C4", "light caught at the aim budget", "hard", checks.light_caught, ()),
    ("C5", "pipe low or guarded", "advice", checks.pipe_height, ()),
    ("C6", "aim budget", "hard", checks.aim, ()),
    ("C7", "warm in time", "marks", checks.in_time, ()),
    ("C8", "room for the pipe to grow", "hard", checks.slot, ("slot_clearance", "one_end_slides")),
    ("C9", "joints outlast a dry pipe", "hard", precautions.joints,
     ("joint", "joint_distance", "dry_out_control")),
    ("C9a", "light stays on the pipe", "hard", precautions.overhang, ()),
    ("C10", "always open to the air", "gate", precautions.open_air, ("plumbing",)),
    ("C11", "beam under control", "gate", precautions.beam,
     ("cover_cloth", "park_position", "attended_only", "wood_distance", "wood_gap")),
    ("C12", "place, mains, use", "gate", precautions.place_and_use,
     ("on_roof", "joined_to_mains", "fill_method", "use")),
    ("C13", "stop and delivery", "gate", precautions.stop_and_delivery, ("stop_c", "delivery")),
    ("C14", "stands in the wind", "hard", precautions.wind, ("stored_indoors",)),
    ("C15", "drains", "advice", precautions.drain, ("left_after_drain",)),
    ("C16", "template on paper", "marks", checks.paper, ("bar_across", "bar_down")),
    ("C17", "rib blank large enough", "hard", checks.blank, ()),
    ("C18", "sun as strong as stated", "advice", checks.sun_stated, ()),
)  # fmt: skip


def constraints(e: Evaluation) -> tuple[Constraint, ...]:
    """Return the items in order; an entry that was never stated leaves its item unknown."""
    return tuple(_checked(e, *item) for item in _ITEMS)


def constraint(e: Evaluation, number: str) -> Constraint:
    """Return one of the items."""
    return next(_checked(e, *item) for item in _ITEMS if item[0] == number)


def _checked(
    e: Evaluation,
    number: str,
    name: str,
    kind: str,
    find: Callable[[Evaluation], checks.Found],
    needs: tuple[str, ...],
) -> Constraint:
    if number == "C15" and e.design.frost is not False:  # frost bursts what holds water
        kind = "hard"
    missing = tuple(entry for entry in needs if getattr(e.design, entry) is None)
    if missing:
        found = checks.Found(
            None,
            f"Not stated: {', '.join(map(_named, missing))}.",
            "State that in the form or the file.",
        )
    else:
        found = find(e)
    met = None if found.met is None else bool(found.met)
    change = "" if met else found.change
    value, limit = float(found.value), float(found.limit)
    return Constraint(number, name, kind, met, value, limit, found.unit, found.reason, change,
                      missing)  # fmt: skip


def _named(entry: str) -> str:
    """An entry as the form shows it, and the group in which it stands in form and file."""
    about = ENTRIES[entry].metadata
    return f"“{about['words']}” ({about['group']})"
