"""What to saw, buy and drill, counted from the design.

In: a `HeaterDesign`. Out: the cut list, the screw positions, the pages a rib takes.
Counts and allowances are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solarlib import reference
from solarlib.design.heater import HeaterDesign
from solarlib.geometry import Parabola

TILE = (0.254, 0.181)  # what a page can show, on A4 and Letter alike [m]
TILE_OVERLAP = 0.010
RIB_FOOT = 0.030  # wood below the vertex of the curve that a template shows [m]
RIB_EDGE = 0.010  # wood beyond the rim [m]
RIB_FLAP = 0.010  # paper past the centre line, so that the turned-over half joins [m]
END_SCREW = 0.015  # from a rim strip's sawn end to its last screw: nearer, a thin strip tears [m]
BRACKET_MOVES = 0.015  # the pipe moves this far up and down [m]
BRACKET_WALL = 0.015  # wood beside the opening and outside the screw slots [m]
BRACKET_TOP = 0.016  # wood above the opening [m]
RING_EDGE, RING_HIGH = 0.009, 0.024  # metal plate: past its screws, and more than the pipe [m]


@dataclass(frozen=True)
class Part:
    """One line of the cut list; sizes in metres, 0 where it has none."""

    name: str
    count: int
    length: float
    width: float
    thickness: float
    note: str = ""


@dataclass(frozen=True)
class Screws:
    """Screw positions [m], (n,): along the rim strip from its middle; across a rib, as x and as
    distance along the sheet, both from the centre line. Middle screw fixed, the rest slotted.
    """

    along: NDArray
    across: NDArray
    across_arc: NDArray


def screws(d: HeaterDesign) -> Screws:
    """Return evenly spaced screws, as near to the wanted pitch as goes.

    Across a rib the outer two lie on the rims: else the sheet flattens there, and the sheet's
    trim is their wood. Along the rim strips the last ones keep END_SCREW from the sawn ends.
    """
    row = d.trough_length - 2 * END_SCREW
    along = max(2, round(row / d.rim_pitch) + 1)
    p = d.curve
    across = max(3, round(p.sheet_width / d.rib_pitch) + 1)
    arc = np.linspace(-0.5, 0.5, across) * p.sheet_width
    return Screws(
        along=np.linspace(-0.5, 0.5, along) * row,
        across=np.asarray(p.x_at_arc(arc)),
        across_arc=arc,
    )


@dataclass(frozen=True)
class Bracket:
    """The end bracket's wood round the pipe [m]: `opening` wide and `tall` with round ends,
    screw slots `screw` beside the middle, `width` and `height` over all, `top` above the vertex.
    """

    opening: float
    tall: float
    screw: float
    width: float
    top: float

    @property
    def height(self) -> float:
        """From the rib's lower edge to the top [m]."""
        return self.top + RIB_FOOT


def end_bracket(focal_length: float, tube_diameter: float, wood_gap: float | None) -> Bracket:
    """Return the end bracket: the wood gap all round the pipe, also when the pipe is moved.

    wood_gap : [m]; None, not stated, counts as the least that is allowed.
    """
    gap = reference.WOOD_GAP.value if wood_gap is None else wood_gap
    opening = tube_diameter + 2 * gap
    tall = opening + 2 * BRACKET_MOVES
    screw = opening / 2 + BRACKET_WALL
    top = focal_length + tall / 2 + BRACKET_TOP
    return Bracket(opening, tall, screw, 2 * (screw + BRACKET_WALL), top)


def cut_list(d: HeaterDesign) -> tuple[Part, ...]:
    """Return the parts of one heater."""
    p, holes = d.curve, screws(d)
    sheet = float(p.sheet_width) + 2 * d.edge_trim
    rim, ribs = 2 * len(holes.along), d.rib_count * len(holes.across)
    bracket = end_bracket(d.focal_length, d.tube_diameter, d.wood_gap)
    ring = 2 * (bracket.screw + RING_EDGE)
    parts = [
        Part("rib", d.rib_count, d.rib_blank_length, d.rib_blank_height, d.board_thickness,
             "plywood"),
        Part("rail", 2, d.trough_length, 0.045, 0.020, "wood"),
        Part("rim strip", 2, d.trough_length, 0.020, 0.003, "aluminium, bevelled to the slope"),
        Part("end bracket", 2, bracket.height, bracket.width, d.board_thickness,
             f"plywood; pipe moves ±{BRACKET_MOVES * 1000:.0f} mm"),
        Part("ring plate", 2, ring, d.tube_diameter + RING_HIGH, 0.002, "metal, holds the pipe"),
        Part("mirror sheet", 1, d.trough_length, sheet, d.sheet_thickness,
             f"{d.mirror}, film on until the end"),
        Part("pipe", 1, d.tube_length, d.tube_diameter, d.tube_wall, "copper"),
        Part("cover cloth", 1, d.trough_length + 0.200, sheet + 0.155, 0.0,
             "opaque, does not burn"),
        Part("rim screw", rim, 0.0, 0.0, 0.0, "with washer; middle fixed, the others slotted"),
        Part("rib screw", ribs, 0.0, 0.0, 0.0, "with washer; middle fixed, the others slotted"),
        Part("hose", 2, d.hose_length, 0.0, 0.0, f"{d.hose}, good for {d.hose_rating_c:.0f} °C"),
        Part("pot", 1, 0.0, 0.0, 0.0, f"{d.pot_volume * 1000:.1f} L, lid with an open vent"),
    ]  # fmt: skip
    if d.glass:
        parts.append(
            Part("glass tube", 1, d.trough_length, d.cover_outer, 0.0, "open at both ends")
        )
    return tuple(parts)


def rib_paper(p: Parabola, whole: bool = False) -> tuple[float, float]:
    """Width and height [m] of a rib's template: half a rib and its flap, or a whole one."""
    half = float(p.aperture_width) / 2 + RIB_EDGE
    return 2 * half if whole else half + RIB_FLAP, float(p.depth) + RIB_FOOT


def tile_count(size: float, window: float, overlap: float) -> int:
    """How many windows with an overlap cover a size, all in one unit."""
    return max(1, math.ceil((size - overlap) / (window - overlap) - 1e-9))


def rib_pages(d: HeaterDesign) -> int:
    """Pages that the rib's template takes at full size, laid on their long side."""
    sizes = zip(rib_paper(d.curve, d.rib_template == "full rib"), TILE, strict=True)
    return math.prod(tile_count(size, page, TILE_OVERLAP) for size, page in sizes)
