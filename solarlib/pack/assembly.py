"""How does it all go together? One page: the trough from two sides, its parts, ten steps.

In: `Facts`. Out: a drawing to scale with numbered parts, and the steps of building, each with
its check. What the design does not say, such as the stand's timber, is dashed and left open.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from solarlib import reference
from solarlib.design.cutting import RIB_FOOT, Part, end_bracket
from solarlib.pack.drawing import Circle, Drawing, Line, Point, Shape, box, line
from solarlib.pack.facts import Facts
from solarlib.pack.paper import BODY, Paper
from solarlib.pack.tables import mm

MM = 1000.0
LEFT, TOP, RIGHT, BOTTOM = BODY
WIDE = RIGHT - LEFT
TITLE = "How it goes together"
ROOM = (150.0, 57.0)  # for the drawing, on the page [mm]
BETWEEN = 250.0  # the two views [mm of the real thing]
BALLOON = 2.4  # radius on the page [mm]
NUMBERED = ("rib", "mirror sheet", "pipe", "end bracket", "cover cloth", "hose", "pot", "stand",
            "tilt lock", "end shield")  # fmt: skip
HIGHEST_POT = 2.0  # m; one that stands higher is not drawn at its height


def numbered_parts(facts: Facts) -> list[Part]:
    """The parts of the cut list that carry a number in the drawing, in its order."""
    parts = {part.name: part for part in facts.evaluation.cut_list}
    return [parts[name] for name in NUMBERED if name in parts]


def views(facts: Facts) -> tuple[Drawing, dict[str, Point]]:
    """The trough seen along its axis and from its side, and where each numbered part is [mm]."""
    e, d = facts.evaluation, facts.design
    half, depth, focus, foot = (
        v * MM for v in (d.aperture_width / 2, e.depth, d.focal_length, RIB_FOOT)
    )
    vertex = d.wind_height * MM - depth / 2
    rim, pipe = vertex + depth, vertex + focus
    bracket = end_bracket(d.focal_length, d.tube_diameter, d.wood_gap)
    base = d.half_base * MM
    pot_at = max(half, base) + 220.0
    pot = _pot(d, pot_at, pipe)
    side = pot_at + pot[2] / 2 + BETWEEN + d.tube_length * MM / 2  # middle of the side view
    long, tube, thick = d.trough_length * MM / 2, d.tube_length * MM / 2, d.board_thickness * MM
    radius = d.tube_diameter * MM / 2
    x = np.linspace(-half, half, 121)
    curve = vertex + np.asarray(e.parabola.height(x / MM)) * MM
    wide, top = bracket.width * MM, bracket.top * MM
    shapes: list[Shape] = [
        # along the axis
        line(x, curve, "cut"),
        Line(((-half, rim), (-half - 10, rim), (-half - 10, vertex - foot),
              (half + 10, vertex - foot), (half + 10, rim), (half, rim)), "mark"),
        box(-wide / 2, vertex - foot, wide, top + foot, "fine"),
        Circle(0.0, pipe, radius, "cut"),
        Line(((-half - 30, rim - 40), (-half, rim + 12), (half, rim + 12), (half + 30, rim - 40)),
             "dashed"),
        Line(((-base, 0.0), (base, 0.0)), "cut"),
        Line(((-base, 0.0), (0.0, max(vertex - foot, 40.0)), (base, 0.0)), "dashed"),
        Line(((0.0, max(vertex - foot, 40.0)), (half * 0.6, 0.25 * max(vertex, 60.0))), "dotted"),
        box(pot[0] - pot[2] / 2, pot[1], pot[2], pot[2], "cut"),
        Line(((radius, pipe), (pot[0] - pot[2] / 2, pot[1] + pot[2] * 0.7)), "mark"),
        Line(((radius, pipe), (pot[0] - pot[2] / 2, pot[1] + pot[2] * 0.2)), "mark"),
        # from the side
        box(side - long, vertex, 2 * long, depth, "mark"),
        Line(((side - long, vertex - foot), (side + long, vertex - foot)), "fine"),
        box(side - tube, pipe - radius, 2 * tube, 2 * radius, "mark"),
        *(box(side - long + place, vertex - foot, thick, depth + foot, "fine")
          for place in np.linspace(0.0, 2 * long - thick, d.rib_count)),
        *(box(side + end * long - (thick if end < 0 else 0), vertex - foot, thick, top + foot, "cut")
          for end in (-1, 1)),
        Line(((side - long, 0.0), (side + long, 0.0)), "cut"),
        *(Line(((side + end * long, 0.0), (side + end * long, max(vertex - foot, 40.0))), "dashed")
          for end in (-1, 1)),
    ]  # fmt: skip
    places = {
        "rib": (half + 5, vertex + 0.3 * depth),
        "mirror sheet": (-0.7 * half, float(np.interp(-0.7 * half, x, curve))),
        "pipe": (side + (long + tube) / 2, pipe),
        "end bracket": (side - long - thick / 2, vertex + 0.5 * focus),
        "cover cloth": (-0.8 * half, rim + 12),
        "hose": ((radius + pot[0] - pot[2] / 2) / 2, (pipe + pot[1] + pot[2] * 0.7) / 2),
        "pot": (pot[0] + pot[2] / 4, pot[1] + pot[2]),
        "stand": (-base / 2, max(vertex - foot, 40.0) / 2),
        "tilt lock": (half * 0.6, 0.25 * max(vertex, 60.0)),
    }
    if d.end_shields:
        at = side + tube
        shapes.append(box(at - 4, pipe - 4 * radius, 8, 8 * radius, "cut"))
        places["end shield"] = (at, pipe + 4 * radius)
    left = min(-half - 30, -base)
    high = max(vertex + top, pot[1] + pot[2], rim + 12)
    right = max(side + tube, side + long) + 20
    drawn = Drawing("trough", TITLE, tuple(shapes), left, 0.0, right - left, high)
    return drawn, places


def _pot(d: Any, x: float, pipe: float) -> tuple[float, float, float]:
    """Middle, lower edge and size [mm] of the pot: as high as stated, else above the pipe."""
    size = (4 * d.pot_volume / np.pi) ** (1 / 3) * MM  # as wide as high
    top = dict(d.plumbing.parts).get("pot") if d.plumbing else None
    if top is None or not size < top * MM <= HIGHEST_POT * MM:
        return x, pipe + 100.0, size
    return x, top * MM - size, size


def steps(facts: Facts) -> list[tuple[str, str]]:
    """What to do, in order, and how to see that it is done. Limits are those of the check cards."""
    d = facts.design
    gap = reference.WOOD_GAP.value if d.wood_gap is None else d.wood_gap
    apart = d.trough_length / max(d.rib_count - 1, 1)
    return [
        ("Print, tape and saw one rib of cardboard.", "five points of the rib table, within 0.5 mm."),
        (f"Stack the {d.rib_count} blanks, drill both datum holes through all, then saw the curve.",
         "one turned over on the other, the curves agree within 0.5 mm."),
        (f"Screw the ribs to the rails, about {mm(apart, 0)} mm apart.",
         "diagonals equal within 2 mm; a string through the vertex marks touches every rib."),
        ("Brackets on the same datum holes; ring plates and sheet metal on the mirror side.",
         f"the cross stands {mm(d.focal_length)} mm above the vertex; {mm(gap, 0)} mm of air all "
         "round the pipe."),
        (f"Stand, base {mm(2 * d.half_base, 0)} mm across, and tilt lock: your own timber.",
         "with the tilt lock tight, two hands on the rims do not turn the trough; its axis is level."),
        ("Pipe: hot joints are for licensed people. Pin one end, let the other slide.",
         f"the free end slides {facts.slide_gap} and more."),
        ("Hoses and pot: rising all the way to an open lid; no valve, no cap.",
         "filled by jug with cold water nothing drips; drained, nothing stays."),
        ("Mirror sheet last, indoors, film on: middle screw fixed, the others in slots.",
         "strips press the edges; the sheet can slide; a straight edge along it shows no wave."),
        ("Cover on and tied; draw the film off under it, in the shade.",
         "no mirror shows at rims and ends."),
        ("Fill in both check cards and the checked items; the adult in charge signs: __________.",
         "no line is empty. Until then it stays covered wherever the sun can reach it."),
    ]  # fmt: skip


LAST = (
    "Hot joints, gas, mains water, roofs and electrical work belong to licensed people; local codes "
    "come first."
)


def assembly_page(paper: Paper, facts: Facts) -> None:
    """Draw the page: the two views with their numbers, the parts, the steps."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, TITLE)
    _drawing(paper, facts, LEFT, y + 5)
    x, low = LEFT + ROOM[0] + 11, y
    for number, part in enumerate(numbered_parts(facts), 1):
        low = paper.paragraph(x, low, RIGHT - x, f"{number} {part.name}, {part.count} ×", 10)
    text = ("To scale, but for the place of the pot. Dashed: stand and cover, dotted: tilt lock, "
            "as your timber makes them.")  # fmt: skip
    paper.paragraph(x, low + 1, RIGHT - x, text, 9)
    y += ROOM[1] + 7
    for number, (what, check) in enumerate(steps(facts), 1):
        y = paper.paragraph(LEFT, y, WIDE, f"{what} Check: {check}", 10, bullet=f"{number:>2}")
    state = facts.identity.mark or facts.state
    words = f"{LAST} This pack: {state}; not a permission to build."
    paper.paragraph(LEFT, y + 0.8, WIDE, words, 10, bold=True)


def _drawing(paper: Paper, facts: Facts, x: float, y: float) -> None:
    """Draw the views and put the numbers beside their parts."""
    drawn, places = views(facts)
    scale = paper.sketch(drawn, x, y, *ROOM)
    x0 = x + (ROOM[0] - drawn.width * scale) / 2 - drawn.left * scale
    y0 = y + (ROOM[1] + drawn.height * scale) / 2
    for number, part in enumerate(numbered_parts(facts), 1):
        px, py = places[part.name]
        at = x0 + px * scale, y0 - py * scale
        away = _AWAY[part.name]
        middle = at[0] + away[0], at[1] + away[1]
        share = 1 - BALLOON / float(np.hypot(*away))
        paper.line([at, (at[0] + away[0] * share, at[1] + away[1] * share)], "fine")
        paper.circle(*middle, BALLOON, "mark")
        paper.words(middle[0], middle[1] + 1.2, f"{number}", 9, align="middle")


# from a part to its number, on the page [mm], x right and y down
_AWAY = {
    "rib": (6.0, 5.0), "mirror sheet": (-7.0, 5.0), "pipe": (4.0, -6.0), "end bracket": (-7.0, 3.0),
    "cover cloth": (-5.0, -5.0), "hose": (-4.0, -6.0), "pot": (6.0, -4.0), "stand": (-7.0, 0.0),
    "tilt lock": (-6.5, 2.0), "end shield": (5.0, -5.0),
}  # fmt: skip
