"""Pieces to saw and drill, drawn true to size: half or full rib, end bracket, screw strips.

In: the parabola [m] and the sizes round it. Out: drawings in millimetres with
the vertex of the mirror at (0, 0), x across, y up. The half rib shows one side;
turned over on its centre line it gives the other.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from solarlib.design.cutting import (
    BRACKET_MOVES,
    RIB_EDGE,
    RIB_FLAP,
    RIB_FOOT,
    RING_EDGE,
    RING_HIGH,
    datum_holes,
    end_bracket,
    rib_paper,
    rib_rim,
    rib_work,
)
from solarlib.geometry import Parabola, rib_height_under_backing
from solarlib.pack.drawing import Circle, Drawing, Label, Line, Shape, box, cross, line, slot

MM = 1000.0
LAND = RIB_EDGE * MM  # flat wood outside the rim
FLAP = RIB_FLAP * MM  # paper past the centre line, to join the turned-over half without a kink
DATUM_HOLE = 6.0  # drilled through the stack of ribs before sawing
MARK_STEP = 20.0  # ticks along the curve, the points of the rib table
BRACKET_SLOT = BRACKET_MOVES * MM  # the pipe moves this far up and down


def half_rib(p: Parabola, backing: float = 0.0) -> Drawing:
    """Draw half a rib to saw.

    Parameters
    ----------
    p : the parabola of the mirror surface. backing : from rib to mirror surface [m]; the saw
        line then is the curve parallel to the mirror, from its own lowest point.
    """
    half, depth, under = p.aperture_width / 2 * MM, p.depth * MM, RIB_FOOT * MM
    width, height = (size * MM for size in rib_paper(p, backing=backing))
    end, top = (size * MM for size in rib_rim(p, backing))
    x = _curve_x(end)
    shapes: list[Shape] = [
        line(x, np.asarray(rib_height_under_backing(p, x / MM, backing)) * MM, "cut"),
        Line(((end, top), (half + LAND, top), (half + LAND, -under), (-FLAP, -under)), "cut"),
        Line(((-FLAP, -under), (-FLAP, 0.0)), "dashed"),
        Line(((0.0, -under), (0.0, depth)), "dotted"),
        Label(2.5, -under + 2.0, "CENTRE LINE: turn the paper over here for the other half", 9),
        Label(half + LAND - 2.0, -under + 2.0, "lower edge = edge of the blank", 9, "end"),
    ]
    shapes += _end_words(half + LAND - 2.0, top)
    shapes += _marks(p, half, backing, under)
    work = _in_mm(rib_work(p, backing=backing))
    return Drawing("half_rib", "Half rib, true size", tuple(shapes), -FLAP, -under, width, height,
                   work)  # fmt: skip


def full_rib(p: Parabola, backing: float = 0.0) -> Drawing:
    """Draw a whole rib to saw: the half rib and its mirror image, without the flap."""
    half = half_rib(p, backing)
    x, y = (np.array(v) for v in zip(*half.lines()[0].points, strict=True))
    right = x >= 0
    x, y = np.append(0.0, x[right]), np.append(0.0, y[right])
    end, depth, under = half.right, p.depth * MM, RIB_FOOT * MM
    shapes: list[Shape] = [
        line(np.append(-x[::-1], x[1:]), np.append(y[::-1], y[1:]), "cut"),
        Line(((x[-1], y[-1]), (end, y[-1]), (end, -under), (-end, -under), (-end, y[-1]),
              (-x[-1], y[-1])), "cut"),
        Line(((0.0, -under), (0.0, depth)), "dotted"),
        Label(2.5, -under + 2.0, "CENTRE LINE", 9),
        Label(end - 2.0, -under + 2.0, "lower edge = edge of the blank", 9, "end"),
        *_end_words(end - 2.0, float(y[-1])),
        *_end_words(-end + 5.0, float(y[-1])),
    ]  # fmt: skip
    for shape in _marks(p, p.aperture_width / 2 * MM, backing, under, "end"):
        shapes.append(shape)
        if isinstance(shape, Circle) and shape.x:
            shapes.append(Circle(-shape.x, shape.y, shape.radius, shape.stroke))
        elif isinstance(shape, Line) and all(x > 0 for x, _ in shape.points):
            shapes.append(Line(tuple((-x, y) for x, y in shape.points), shape.stroke))
    return Drawing("full_rib", "Full rib, true size", tuple(shapes), -end, -under, 2 * end,
                   half.height, _in_mm(rib_work(p, True, backing)))  # fmt: skip


def _in_mm(points: NDArray) -> tuple[tuple[float, float], ...]:
    return tuple((float(x) * MM, float(y) * MM) for x, y in points)


def _end_words(x: float, top: float) -> list[Shape]:
    """What to do where a high rib's end runs on below the last sheet that is printed."""
    if top < 100.0:  # low enough for one row of sheets
        return []
    return [Label(x, top - 60.0, "end: square down to the lower edge", 8, "start", 90.0)]


def _curve_x(half: float) -> NDArray:
    """Points across [mm], 2 mm apart: a chord of 2 mm leaves the tightest curve by 0.003 mm."""
    return np.append(np.arange(-FLAP + 1, half - 1e-6, 2.0), half)


def _marks(
    p: Parabola, half: float, backing: float, under: float, anchor: str = "start"
) -> list[Shape]:
    """What a rib carries inside its outline: ticks, datum holes, the focus; right half only.

    anchor : "start" writes about the focus right of the centre line, "end" left of it.
    """
    shapes = _rule_marks(p, half, backing)
    hole_y = -under / 2
    for hole_x in (hole * MM for hole in datum_holes(p)):
        shapes += [Circle(hole_x, hole_y, DATUM_HOLE / 2), *cross(hole_x, hole_y)]
        words = f"drill {DATUM_HOLE:.0f} mm, x {hole_x:.0f}"
        shapes.append(Label(hole_x + 5, hole_y + 2, words, 9))
    return [*shapes, *_focus_mark(p, anchor)]


def _rule_marks(p: Parabola, half: float, backing: float) -> list[Shape]:
    """Ticks below the curve at every point of the rib table, with x and the height to saw."""
    marks: list[Shape] = []
    for x in np.arange(MARK_STEP, half - MARK_STEP / 4, MARK_STEP):
        y = float(rib_height_under_backing(p, x / MM, backing)) * MM
        marks.append(Line(((x, y - 5.0), (x, y)), "fine"))
        if y > 9 and round(x / MARK_STEP) % 2 == 0:
            marks.append(Label(x + 1.2, y - 12.0, f"{x:.0f} | {y:.1f}", 8, turned_deg=0))
    return marks


def _focus_mark(p: Parabola, anchor: str) -> list[Shape]:
    """The focus as a cross when it lies within the rib's height, else how far above the rims."""
    focus, depth = p.focal_length * MM, p.depth * MM
    if focus <= depth - 5:
        told = f"FOCUS: on the centre line, {focus:.1f} mm above the vertex"
        return [
            *cross(0.0, focus, 8.0),
            Circle(0.0, focus, 3.0, "mark"),
            Label(6.0, focus + 2.0, "FOCUS"),
            Label(1.0 if anchor == "start" else -1.0, 24.0, told, 8, anchor),
        ]
    above, side = focus - depth, 1.0 if anchor == "start" else -1.0
    return [
        Line(((0.0, depth), (side * 60.0, depth)), "dashed"),
        Line(((-2.0, depth - 6.0), (0.0, depth - 1.0), (2.0, depth - 6.0)), "mark"),
        Label(side * 5.0, depth - 6.0, "rim height", 9, anchor),
        Label(side * 5.0, depth - 11.0, f"FOCUS: on the centre line, {above:.1f} mm above rim height",
              9, anchor),
    ]  # fmt: skip


# --- the end bracket -----------------------------------------------------------------------------
def bracket(p: Parabola, pipe_diameter: float, gap: float) -> Drawing:
    """Draw the end bracket with room for the pipe, and beside it the metal ring plate.

    The wood keeps clear of the hot pipe by `gap` all round, also when the pipe is moved up or
    down; only the metal plate holds it. Its sizes are those of the cut list.

    Parameters
    ----------
    p : the parabola. pipe_diameter, gap : [m].
    """
    made = end_bracket(float(p.focal_length), pipe_diameter, gap)
    focus, pipe, air, under = (v * MM for v in (p.focal_length, pipe_diameter, gap, RIB_FOOT))
    opening, tall, screw = made.opening * MM, made.tall * MM, made.screw * MM
    wide, top = made.width * MM, made.top * MM
    shapes: list[Shape] = [
        box(-wide / 2, -under, wide, top + under),
        slot(0.0, focus, opening, tall),
        Line(((0.0, -under), (0.0, top - 9.0)), "dotted"),
        *cross(0.0, focus, 8.0),
        Line(((-opening / 2, focus + BRACKET_SLOT), (opening / 2, focus + BRACKET_SLOT)), "fine"),
        Line(((-opening / 2, focus - BRACKET_SLOT), (opening / 2, focus - BRACKET_SLOT)), "fine"),
        Label(2.0, focus + 1.5, "FOCUS", 9),
        Label(2.0, focus + BRACKET_SLOT + 1, f"+{BRACKET_SLOT:.0f}", 8),
        Label(2.0, focus - BRACKET_SLOT + 1, f"−{BRACKET_SLOT:.0f}", 8),
        *(slot(side * screw, focus, 5.0, 5.0 + 2 * BRACKET_SLOT) for side in (-1, 1)),
        *cross(0.0, 0.0, 6.0),
        Label(4.0, -6.0, "VERTEX of the mirror", 9),
        Label(0.0, top - 5.0, f"saw the opening: {air:.0f} mm air round the pipe", 9, "middle"),
    ]
    x = np.linspace(-wide / 2, wide / 2, 61)
    shapes.append(line(x, np.asarray(p.height(x / MM)) * MM, "dashed"))
    for hole_x in (hole * MM for hole in datum_holes(p)):
        if hole_x + DATUM_HOLE < wide / 2:
            for side in (-1, 1):
                shapes.append(Circle(side * hole_x, -under / 2, DATUM_HOLE / 2))
                shapes += cross(side * hole_x, -under / 2)
    shapes += _ring_plate(wide / 2 + 6.0, focus, pipe, screw)
    width = wide / 2 + 6.0 + 2 * (screw + RING_EDGE * MM)
    return Drawing(
        "end_bracket",
        "End bracket, ring plate",
        tuple(shapes),
        -wide / 2,
        -under,
        width + wide / 2,
        top + under,
        _work(shapes),
    )


def _work(shapes: list[Shape]) -> tuple[tuple[float, float], ...]:
    """Points about a millimetre apart along every line to saw, and the holes' middles."""
    points: list[tuple[float, float]] = []
    for shape in shapes:
        if isinstance(shape, Circle) and shape.stroke == "cut":
            points.append((shape.x, shape.y))
        elif isinstance(shape, Line) and shape.stroke == "cut":
            corners = np.array([*shape.points, *(shape.points[:1] if shape.closed else ())])
            for start, end in itertools.pairwise(corners):
                share = np.linspace(0, 1, 2 + int(np.hypot(*(end - start))))
                points += [(float(x), float(y)) for x, y in start + share[:, None] * (end - start)]
    return tuple(points)


def _ring_plate(left: float, focus: float, pipe: float, screw: float) -> list[Shape]:
    """The metal plate with the hole that holds the pipe; its left edge is at `left` [mm]."""
    edge = RING_EDGE * MM
    middle, high = left + screw + edge, pipe + RING_HIGH * MM
    bottom = focus - high / 2
    return [
        box(left, bottom, 2 * (screw + edge), high),
        Circle(middle, focus, pipe / 2 + 0.25),
        *cross(middle, focus, 6.0),
        *(Circle(middle + side * screw, focus, 2.5) for side in (-1, 1)),
        Label(middle, bottom - 6.0, "RING PLATE, metal 2 mm, two of them", 9, "middle"),
        Label(middle, bottom - 11.0, f"hole {pipe + 0.5:.1f} mm; pin the pipe at one", 9, "middle"),
        Label(middle, bottom - 16.0, "end only, the other end slides", 9, "middle"),
    ]


# --- screw strips ------------------------------------------------------------------------------
STRIP_WIDTH = 20.0


def screw_strip(name: str, title: str, length: float, screws: NDArray) -> Drawing:
    """Draw a paper strip to lay along an edge: crosses where the screws go.

    Parameters
    ----------
    length : of the strip [m]. screws : places from its left end [m], (n,); the middle one gets
        a round hole, the others slots along the strip.
    """
    long, fixed = length * MM, len(screws) // 2
    shapes: list[Shape] = [box(0.0, 0.0, long, STRIP_WIDTH)]
    shapes.append(Line(((0.0, STRIP_WIDTH / 2), (long, STRIP_WIDTH / 2)), "dotted"))
    for number, x in enumerate(np.asarray(screws) * MM):
        shapes += cross(float(x), STRIP_WIDTH / 2, 3.5)
        if number == fixed:
            shapes.append(Circle(float(x), STRIP_WIDTH / 2, 2.0))
        else:
            shapes.append(_slot_along(float(x), STRIP_WIDTH / 2, 4.0, 7.2))
        words = f"{x:.0f} FIXED" if number == fixed else f"{x:.0f}"
        shapes.append(Label(float(x) + 1.0, 2.0, words, 8))
    return Drawing(name, title, tuple(shapes), 0.0, 0.0, long, STRIP_WIDTH)


def _slot_along(x: float, y: float, width: float, length: float) -> Line:
    upright = slot(0.0, 0.0, width, length)
    return Line(tuple((x + b, y + a) for a, b in upright.points), "mark", closed=True)


# --- the cover's picture -------------------------------------------------------------------------
def section(p: Parabola, pipe_diameter: float) -> Drawing:
    """Draw the section: rib, mirror, pipe, and light that meets on it."""
    half, depth, focus = p.aperture_width / 2 * MM, p.depth * MM, p.focal_length * MM
    foot, top = RIB_FOOT * MM, max(depth, focus) + 0.25 * half
    x = np.linspace(-half, half, 121)
    outline = [(half, depth), (half + LAND, depth), (half + LAND, -foot), (-half - LAND, -foot),
               (-half - LAND, depth), (-half, depth)]  # fmt: skip
    shapes: list[Shape] = [
        line(x, np.asarray(p.height(x / MM)) * MM, "cut"),
        Line(tuple(outline), "mark"),
        Circle(0.0, focus, pipe_diameter / 2 * MM, "cut"),
    ]
    for place in np.linspace(-0.85, 0.85, 8) * half:
        y = float(p.height(place / MM)) * MM
        shapes.append(Line(((place, top), (place, y), (0.0, focus)), "fine"))
    wide = 2 * (half + LAND)
    return Drawing("section", "Section", tuple(shapes), -wide / 2, -foot, wide, top + foot)
