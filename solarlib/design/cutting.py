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
from solarlib.design.light import tilt_range_deg
from solarlib.design.tiling import windows
from solarlib.geometry import Parabola, rib_height_under_backing

TILE = (0.254, 0.181)  # what a page can show, on A4 and Letter alike [m]
TILE_OVERLAP = 0.010
RIB_FOOT = 0.030  # wood below the vertex of the curve that a template shows [m]
RIB_EDGE = 0.010  # wood beyond the rim [m]
RIB_FLAP = 0.010  # paper past the centre line, so that the turned-over half joins [m]
END_SCREW = 0.015  # from a rim strip's sawn end to its last screw: nearer, a thin strip tears [m]
BRACKET_MOVES = 0.015  # the pipe moves this far up and down [m]
BRACKET_WALL = 0.015  # wood beside the opening and outside the screw slots [m]
BRACKET_TOP = 0.016  # wood above the opening [m]
BLANK = "________"  # what the design does not say is left for the builder to fill in
RING_EDGE, RING_HIGH = 0.009, 0.024  # metal plate: past its screws, and more than the pipe [m]


def enough(value: float, limit: float) -> bool:
    """value >= limit, but for the last digits of floating point."""
    return value >= limit - 1e-9 * abs(limit)


def round_up(length: float, step: float = 0.001) -> float:
    """The next whole millimetre, or another step [m]."""
    return math.ceil(round(length / step, 3)) * step


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
             "; ".join(text for text in (blank_too_small(d), "plywood") if text)),
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
        # nothing else of these three follows from the design: the builder fills it in
        Part("stand", 1, 2 * d.half_base, 0.0, 0.0,
             f"your own timber: {BLANK}; mirror's middle {d.wind_height * 1000:.0f} mm high"),
        Part("tilt lock", 1, 0.0, 0.0, 0.0,
             f"your own: {BLANK}; holds any tilt from {_tilts(d)}"),
    ]  # fmt: skip
    if d.end_shields:
        parts.append(Part("end shield", 2, 0.0, 0.0, 0.0, f"metal, your own size: {BLANK}"))
    if d.glass:
        parts.append(
            Part("glass tube", 1, d.trough_length, d.cover_outer, 0.0, "open at both ends")
        )
    return tuple(parts)


def _tilts(d: HeaterDesign) -> str:
    """The tilts that the lock must hold, in whole degrees outward, each with its side."""
    sides = ("S", "N") if d.latitude_deg < 0 else ("N", "S")
    if d.axis == "north-south":
        sides = ("E", "W")
    low, high = tilt_range_deg(d)
    ends = math.floor(low), math.ceil(high)
    return " to ".join(f"{abs(tilt)}° {sides[tilt > 0]}" for tilt in ends)


def rib_rim(p: Parabola, backing: float = 0.0) -> tuple[float, float]:
    """Where the sawn curve ends [m]: across from the centre line, above its lowest point.

    A mirror inside the rib has its rim nearer to the middle than the wood below it.
    """
    past = min(backing * math.sin(math.radians(float(p.edge_slope_deg))), RIB_EDGE)
    end = float(p.aperture_width) / 2 + past
    return end, float(rib_height_under_backing(p, end, backing))


def rib_size(d: HeaterDesign) -> tuple[float, float]:
    """Length and height [m] of the wood that a rib takes; a blank must not be smaller."""
    return rib_paper(d.curve, True, d.backing)


def blank_too_small(d: HeaterDesign) -> str:
    """What to print beside a blank that is smaller than its rib; empty when it is large enough."""
    needed, blank = rib_size(d), (d.rib_blank_length, d.rib_blank_height)
    if all(enough(have, need) for have, need in zip(blank, needed, strict=True)):
        return ""
    length, height = (round_up(size) * 1000 for size in needed)
    return f"TOO SMALL: the rib needs {length:.0f} × {height:.0f} mm"


def rib_paper(p: Parabola, whole: bool = False, backing: float = 0.0) -> tuple[float, float]:
    """Width and height [m] of a rib's template: half a rib and its flap, or a whole one."""
    half = float(p.aperture_width) / 2 + RIB_EDGE
    return 2 * half if whole else half + RIB_FLAP, rib_rim(p, backing)[1] + RIB_FOOT


def datum_holes(p: Parabola) -> tuple[float, float]:
    """Distance [m] from the centre line of the two holes, whole multiples of 10 mm."""
    half = float(p.aperture_width) / 2
    return round(half / 8, 2), round(half / 2, 2)


def rib_work(p: Parabola, whole: bool = False, backing: float = 0.0) -> NDArray:
    """Points [m], (n, 2), along all that is sawn or drilled on a rib's template: curve, flat wood
    past the rim, holes. The straight lower edge and ends are those of the blank.
    """
    end, top = rib_rim(p, backing)
    x = np.linspace(0.0, end, 1 + math.ceil(end / 0.001))
    land = np.linspace(end, float(p.aperture_width) / 2 + RIB_EDGE, 11)
    curve = np.c_[x, np.asarray(rib_height_under_backing(p, x, backing))]
    holes = [(hole, -RIB_FOOT / 2) for hole in datum_holes(p)]
    right = np.concatenate([curve, np.c_[land, np.full(11, top)], holes])
    return np.concatenate([right, right * (-1, 1)]) if whole else right


def rib_pages(d: HeaterDesign) -> int:
    """Pages that the rib's template takes at full size, laid on their long side."""
    whole = d.rib_template == "full rib"
    width, height = rib_paper(d.curve, whole, d.backing)
    left = -width / 2 if whole else -RIB_FLAP
    work = rib_work(d.curve, whole, d.backing)
    return len(windows(left, -RIB_FOOT, width, height, TILE, TILE_OVERLAP, work))
