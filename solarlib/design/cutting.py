"""What to saw, buy and drill, counted from the design.

In: a `HeaterDesign`. Out: the cut list, the screw positions, the pages a rib takes.
Counts and allowances are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solarlib.design.heater import HeaterDesign

TILE = (0.254, 0.181)  # what a page can show, on A4 and Letter alike [m]
TILE_OVERLAP = 0.010
RIB_FOOT = 0.030  # wood below the vertex of the curve that a template shows [m]
RIB_EDGE = 0.010  # wood beyond the rim [m]
RIB_FLAP = 0.010  # paper past the centre line, so that the turned-over half joins [m]


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
    """Return evenly spaced screws, as near to the wanted pitch as goes; rim screws included."""
    along = max(2, round(d.trough_length / d.rim_pitch) + 1)
    p = d.curve
    across = max(3, round(p.sheet_width / d.rib_pitch) + 1)
    arc = np.linspace(-0.5, 0.5, across) * p.sheet_width
    return Screws(
        along=np.linspace(-0.5, 0.5, along) * d.trough_length,
        across=np.asarray(p.x_at_arc(arc)),
        across_arc=arc,
    )


def cut_list(d: HeaterDesign) -> tuple[Part, ...]:
    """Return the parts of one heater."""
    p, holes = d.curve, screws(d)
    sheet = float(p.sheet_width) + 2 * d.edge_trim
    rim, ribs = 2 * len(holes.along), d.rib_count * len(holes.across)
    bracket = d.focal_length + 0.090  # reaches from the rail past the slotted ring
    parts = [
        Part("rib", d.rib_count, d.rib_blank_length, d.rib_blank_height, d.board_thickness,
             "plywood"),
        Part("rail", 2, d.trough_length, 0.045, 0.020, "wood"),
        Part("rim strip", 2, d.trough_length, 0.020, 0.003, "aluminium, bevelled to the slope"),
        Part("end bracket", 2, bracket, 0.120, d.board_thickness, "slotted metal ring, ±15 mm"),
        Part("mirror sheet", 1, d.trough_length, sheet, d.sheet_thickness,
             f"{d.mirror}, film on until the end"),
        Part("pipe", 1, d.tube_length, d.tube_diameter, d.tube_wall, "copper"),
        Part("cover cloth", 1, d.trough_length + 0.200, sheet + 0.155, 0.0, "opaque"),
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


def half_rib_pages(d: HeaterDesign) -> int:
    """Pages that half a rib takes at full size, laid on their long side."""
    size = d.aperture_width / 2 + RIB_EDGE + RIB_FLAP, float(d.curve.depth) + RIB_FOOT
    return math.prod(
        max(1, math.ceil((length - TILE_OVERLAP) / (page - TILE_OVERLAP) - 1e-9))
        for length, page in zip(size, TILE, strict=True)
    )
