"""What the pages say: every number of the evaluation once, in the words of the bench.

In: a design and its evaluation. Out: texts, tables and small drawings, so that
two pages cannot print one value in two ways. Nothing is computed here but the
conversion to millimetres, inches and clock time.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from solarlib import geometry, optics
from solarlib.pack.paper import Identity
from solarlib.pack.tables import Table, mm


@dataclass(frozen=True)
class Check:
    """One checked item as printed: identifier, what is asked, what came, the limit, its state."""

    id: str
    text: str
    value: str
    limit: str
    state: str


@dataclass(frozen=True)
class Facts:
    """A design, its evaluation, and the identity that every page carries."""

    design: Any
    evaluation: Any
    identity: Identity

    # --- identity ------------------------------------------------------------------------------
    @property
    def fingerprint(self) -> str:
        """Short hash of the design."""
        return self.identity.fingerprint

    @property
    def day(self) -> date:
        """Date of the evaluation."""
        return self.identity.day

    @property
    def parabola(self) -> geometry.Parabola:
        """The curve of the mirror."""
        return self.evaluation.parabola

    # --- the printed scale -----------------------------------------------------------------------
    @cached_property
    def print_table(self) -> Table:
        """Readings of the two bars, and what they do to focus and light."""
        readings = [(200, 150), (199, 149.25), (201, 150.75), (198, 148.5), (198, 150), (202, 150),
                    (196, 147), (196, 150), (204, 150), (194, 145.5), (194, 150), (206, 150),
                    (200, 147), (200, 153)]  # fmt: skip
        rows = []
        for across, down in readings:
            focal, left, moved = self._printed(across / 1000, down / 1000)
            rows.append((f"{across:.1f}", f"{down:.2f}", mm(focal), f"{100 * (1 - left):.1f} %",
                         f"{100 * (1 - moved):.1f} %"))  # fmt: skip
        head = ("across mm", "down mm", "real focus mm", "lost, pipe left", "lost, pipe moved")
        return Table(head, tuple(rows), "rrrrr")

    def _printed(self, across: float, down: float) -> tuple[float, float, float]:
        """Real focal length [m], share of the light kept with the pipe left and moved."""
        check = geometry.check_print(self.parabola, across, down)
        errors = {"slope_error_mrad": self.design.slope_error_mrad}
        pipe = self.design.pipe_diameter
        loss = optics.print_loss(self.parabola, check.scale_x, check.scale_y, pipe, **errors)
        true = optics.intercept_factor(self.parabola, pipe, **errors)
        kept = loss.pipe_left / true, loss.pipe_moved / true
        return check.printed.focal_length, min(kept[0], 1.0), min(kept[1], 1.0)

    @property
    def print_verdict(self) -> str:
        """What the two bars measured on the print mean, or what to do while they are missing."""
        across, down = self.design.bar_across, self.design.bar_down
        if across is None or down is None:
            return "Not measured yet: no sawing before both bars are written down."
        focal, left, moved = self._printed(across, down)
        move = focal - self.parabola.focal_length
        good = abs(across - 0.200) <= 0.001 and abs(down - 0.150) <= 0.00075
        way = "farther from" if move > 0 else "nearer to"
        return (
            f"Bars {mm(across, 2)} mm and {mm(down, 2)} mm: real focal length {mm(focal)} mm. "
            f"Put the pipe {mm(focal)} mm above the vertex, {mm(abs(move))} mm {way} it than "
            f"planned: {100 * (1 - moved):.1f} % of the light lost, {100 * (1 - left):.1f} % if the "
            f"pipe stays. {'Inside' if good else 'OUTSIDE'} the pass limits"
            f"{'.' if good else ': print again.'}"
        )
