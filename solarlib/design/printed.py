"""A template came out of a printer: what do the two bars measured on it mean?

In: the curve wanted, the pipe, the bars as measured. Out: the focal length the print
really has, the light lost with the pipe left or moved, and the verdict in words. The
pack and lesson 01 say the same because both ask here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from solarlib import geometry, optics, units

ACROSS, DOWN = 0.200, 0.150  # the bars as drawn [m]
PASS = 0.005  # a print whose bars are off by more is printed again; common practice, no source


@dataclass(frozen=True)
class PrintedRib:
    """What two bars say: focal_length [m]; lost_left, lost_moved, shares of light [1] lost with
    the pipe where it was planned and moved to the real focus; passes, inside the limits.
    """

    planned: float
    focal_length: float
    lost_left: float
    lost_moved: float
    passes: bool

    @property
    def move(self) -> float:
        """How far to move the pipe [m], positive away from the vertex."""
        return self.focal_length - self.planned

    @property
    def sentence(self) -> str:
        """The verdict in words."""
        real, far = _mm(self.focal_length, 1), _mm(abs(self.move), 2)
        way = "farther from" if self.move > 0 else "nearer to"
        moved = f"{far} mm {way} it than planned" if far != "0.00" else "as planned"
        return (
            f"Real focal length {real} mm: put the pipe {real} mm above the vertex, "
            f"{moved}. Light lost: {100 * self.lost_moved:.1f} %; "
            f"{100 * self.lost_left:.1f} % if the pipe stays. "
            f"{'Inside the pass limits.' if self.passes else 'OUTSIDE the pass limits: print again.'}"
        )


def _mm(length: float, decimals: int) -> str:
    return f"{units.from_base(length, 'mm'):.{decimals}f}"


def printed_rib(
    p: geometry.Parabola, tube_diameter: float, across: float, down: float, **errors: Any
) -> PrintedRib:
    """Return what the bars measured on a print mean.

    Parameters
    ----------
    p : the curve that was to be printed. tube_diameter : [m].
    across, down : the 200 mm and the 150 mm bar as measured [m].
    errors : those of `optics.intercept_factor`, such as slope_error_mrad.

    Raises
    ------
    ValueError : a bar less than half or more than twice its size.

    Example
    -------
    >>> round(printed_rib(geometry.Parabola(0.170, 0.640), 0.022, 0.194, 0.150).focal_length, 4)
    0.16
    """
    check = geometry.check_print(p, across, down, ACROSS, DOWN)
    kept = optics.print_loss(p, check.scale_x, check.scale_y, tube_diameter, **errors)
    true = optics.intercept_factor(p, tube_diameter, **errors)
    left, moved = (max(float(1 - share / true), 0.0) for share in (kept.pipe_left, kept.pipe_moved))
    off = max(abs(check.scale_x - 1), abs(check.scale_y - 1))
    focal_length = float(check.printed.focal_length)
    return PrintedRib(float(p.focal_length), focal_length, left, moved, bool(off <= PASS + 1e-9))
