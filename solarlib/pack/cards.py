"""Cards to cut out and hang up: hazards, shutdown and storing, assembly checks.

In: the design's evaluation. Out: pages in large type (14 points and more), every
rule beside a picture and in words. The numbers are this design's own; the cards
repeat the usual cautions and stand below local rules and licensed trades.
"""

from __future__ import annotations

from solarlib import reference, units
from solarlib.pack.facts import Facts
from solarlib.pack.ink import day_text
from solarlib.pack.paper import BODY, Paper
from solarlib.pack.pictograms import pictogram

LARGE = 14.0
_HALF = (BODY[2] - BODY[0] - 4) / 2  # width of a half-page card


def hazard_rows(facts: Facts) -> list[tuple[str, str]]:
    """The eight rules of the hazard card: a picture's name and at most two short lines."""
    stow, limit = facts.design.stow_wind, reference.STOW_ABOVE_WIND.value
    return [
        ("eyes", "Never look into the mirror or at the bright line."),
        ("hot pipe", f"Dry pipe up to {facts.dry_pipe}. Hot copper looks cold: gloves."),
        ("scald", f"Water blisters skin: {facts.scald}; a child sooner."),
        ("beam", f"Bright line: wood, hose {facts.wood_distance}, skin {facts.skin_distance} off."),
        ("closed valve", "No valve, no cap on pipe or pot: steam must get out."),
        ("cover", "Fire: nobody watching? Cover it, turn it face down."),
        ("wind", f"Over {limit:.0f} m/s stow and strap: {facts.wind_force} at {stow:.0f} m/s."),
        ("not for people", "Not for people. Drain the same day and before frost."),
    ]


def cards_page(paper: Paper, facts: Facts) -> None:
    """Draw the hazard card and, beside it, the shutdown and store card."""
    paper.new_page()
    _hazard_card(paper, facts, BODY[0])
    _shutdown_card(paper, facts, BODY[0] + _HALF + 4)


def _frame(paper: Paper, x: float, title: str) -> float:
    paper.box(x, BODY[1], _HALF, BODY[3] - BODY[1], "dashed")
    paper.filled([(x, BODY[1]), (x + _HALF, BODY[1]), (x + _HALF, BODY[1] + 11), (x, BODY[1] + 11)])
    paper.pdf.set_text_color(255)
    paper.words(x + 4, BODY[1] + 7.8, title, 16, bold=True, within=_HALF - 8)
    paper.pdf.set_text_color(0)
    return BODY[1] + 12.5


def _rules(paper: Paper, x: float, y: float, rows: list[tuple[str, str]], step: float) -> float:
    for name, text in rows:
        paper.sketch(pictogram(name), x + 2.5, y + 1.0, 12, 12)
        paper.paragraph(x + 17, y, _HALF - 19, text, LARGE)
        y += step
        paper.line([(x + 2, y - 0.4), (x + _HALF - 2, y - 0.4)], "fine")
    return y


def _hazard_card(paper: Paper, facts: Facts, x: float) -> None:
    y = _rules(paper, x, _frame(paper, x, "MIRROR HEATER: HAZARDS"), hazard_rows(facts), 15.2)
    for name, words in (("person", "In charge:"), ("phone", "Emergency:")):
        paper.sketch(pictogram(name), x + 4, y + 1.0, 9, 9)
        end = paper.words(x + 17, y + 8.0, words, LARGE, bold=True)
        paper.line([(end + 2, y + 8.8), (x + _HALF - 4, y + 8.8)], "mark")
        y += 11.5
    source = reference.SCALD_BY_DEGREE_SOURCE.split(" (")[0]
    paper.words(x + 3, BODY[3] - 1.5, f"blisters: second degree, adult; {facts.deep_burn}; {source}", 8,
                within=_HALF - 6)  # fmt: skip


def shutdown_rows() -> list[tuple[str, str]]:
    """The steps at the end of a session, in the order that keeps the pipe from running dry."""
    return [
        ("cover", "1  Cover the mirror with the opaque cloth."),
        ("turn away", "2  Turn it away from the sun."),
        ("wait", "3  Wait. Thermometer below 40 °C, not a finger."),
        ("drain", "4  Ladle out the pot, drain pipe and hose. No water stays."),
        ("strap", "5  Face down, strapped, or indoors. Cover stays on."),
        ("log", "6  Write the log: hours, faults, who."),
        ("frost", "Frost: nothing closed, no dip, low point open."),
        ("hot pipe", "Never pour cold water into a dry hot pipe."),
    ]


def _shutdown_card(paper: Paper, facts: Facts, x: float) -> None:
    y = _rules(paper, x, _frame(paper, x, "SHUT DOWN AND STORE"), shutdown_rows(), 15.2)
    paper.paragraph(x + 3, y + 1.5, _HALF - 6, "Drain on the ground, away from feet.", LARGE)
    who = facts.identity
    paper.words(x + 3, y + 17, f"design {who.fingerprint} · {day_text(who.day)}", 10)


FRAME_CHECKS = [
    ("Ribs", "stacked, both datum holes drilled before sawing, curves agree", "0.5 mm"),
    ("Template", "five points of the rib table, with a steel rule", "0.5 mm"),
    ("Diagonals", "of the frame, corner to corner, equal", "2 mm"),
    ("Twist", "laths across the end ribs, sighted one over the other", "1 mm"),
    ("In line", "a string through the vertex marks touches every rib", "1 mm"),
    ("Bracket", "cross above the vertex by the focal length; plate moves ±15 mm", "1 mm"),
]
MIRROR_CHECKS = [
    ("Wood gap", "air round the hot pipe; metal on brackets, mirror side", "15 mm"),
    ("Pipe ends", "one end pinned, the other slides freely", "slide"),
    ("Sheet", "middle screw fixed, others in slots, strips press the edges", "–"),
    ("Look-back", "from 30 m on the axis, pipe covered: its image fills the mirror", "no gap"),
    (
        "Laser strip",
        "class 2 laser level across: spot stays on a strip at the focus",
        "on pipe",
    ),
    ("Wax marks", "spot marked on the strip with a wax pencil, pipe moved to it", "1 mm"),
]


def assembly_page(
    paper: Paper, facts: Facts, title: str, checks: list[tuple[str, str, str]]
) -> None:
    """Draw a page of the assembly check card: what to check, the limit, room for the reading."""
    paper.new_page()
    x, right = BODY[0], BODY[2]
    y = paper.heading(x, BODY[1], f"Assembly check card: {title}", 18)
    focus = units.show_both(facts.design.focal_length, "mm")
    words = f"Focus {focus} above the vertex. Mirror covered, indoors or in the shade."
    y = paper.paragraph(x, y, right - x, words, LARGE) + 2
    paper.words(right - 80, y + 3, "limit", 11)
    paper.words(right - 54, y + 3, "measured", 11)
    paper.words(right - 28, y + 3, "name", 11)
    y += 5
    for what, how, limit in checks:
        paper.line([(x, y), (right, y)], "mark")
        paper.box(x + 1, y + 3, 8, 8)
        paper.words(x + 12, y + 8, what, LARGE, bold=True)
        paper.paragraph(x + 46, y + 1.5, right - 82 - x - 46, how, LARGE)
        limit = facts.slide_gap if limit == "slide" else limit
        paper.words(right - 80, y + 8, limit, LARGE)
        paper.line([(right - 54, y + 16), (right - 32, y + 16)], "fine")
        paper.line([(right - 28, y + 16), (right, y + 16)], "fine")
        y += 21
    paper.line([(x, y), (right, y)], "mark")
