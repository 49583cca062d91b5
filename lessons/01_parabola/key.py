"""Answer key of lesson 01: depth, focal length, sheet, bend limit and the printed template."""

import math

from autograde.key import (
    Choice,
    Function,
    KeyPoint,
    Lesson,
    Number,
    Own,
    Prediction,
    Relative,
    ShortText,
    Slip,
    Within,
)
from solarlib import geometry, units


def trough(n):
    return geometry.Parabola(n.focal_length, n.aperture_width)


def old_focal_length(n):
    return n.old_width**2 / (16 * n.old_depth)  # x is half the width


def rib_height(x_mm, f_mm):
    if isinstance(x_mm, list):
        return [rib_height(x, f_mm) for x in x_mm]
    return 1000 * geometry.Parabola(f_mm / 1000, 2.0).height(x_mm / 1000)


def on_each(formula):
    """Return a wrong function that works on lists too."""
    return lambda x_mm, f_mm: (
        [formula(x, f_mm) for x in x_mm] if isinstance(x_mm, list) else formula(x_mm, f_mm)
    )


def one_at_a_time(x_mm, f_mm):
    return x_mm**2 / (4 * f_mm)  # a list has no square: this stops with a TypeError


def rib_cases(n, rng):
    distances = [float(x) for x in rng.sample(range(-350, 351, 5), 4)]
    below = -float(rng.randrange(20, 300))
    f_mm = float(rng.randrange(120, 260, 5))
    return [(below, f_mm), (0.0, f_mm), (-below + 10, f_mm + 5), (distances, f_mm)]


def moved(n):
    """Say how far the focus moves when a print is 3 % small both ways, and in width only."""
    both = geometry.printed_focal_length(n.focal_length, 0.97, 0.97) - n.focal_length
    across = geometry.printed_focal_length(n.focal_length, 0.97, 1.0) - n.focal_length
    return (
        f"The focus moves by {units.show(abs(both), 'mm', 2)} if both directions shrank, and by "
        f"{units.show(abs(across), 'mm', 3)} if only the width did. One bar alone cannot tell."
    )


LESSON = Lesson(
    slug="parabola",
    number=1,
    title="Parabola",
    numbers={
        "aperture_width": Own(640, "mm", 640, 700, 5, "width of your opening"),
        "focal_length": Own(170, "mm", 155, 170, 1, "your focal length"),
        "old_width": Own(640, "mm", 600, 720, 20, "width of the old rib"),
        "old_depth": Own(128, "mm", 110, 150, 2, "depth of the old rib"),
        "bend_limit": Own(330, "1", 300, 360, 5, "bend radius ÷ thickness, at least"),
        "height_scale": Own(98, "%", 95, 98, 0.5, "heights of the other print"),
    },
    # the course's advice for the rim angle; flatter or deeper troughs are awkward to build
    buildable=lambda n: 60 <= trough(n).rim_angle_deg <= 100,
    exercises=[
        Prediction(
            name="which_curve",
            title="Which curve gathers?",
            question="A deep trough: which shape sends all the light through one line?",
            options={
                "a": "only the parabola",
                "b": "the parabola and the circle",
                "c": "all three, the chain as well",
            },
        ),
        Number(
            name="depth",
            points=2,
            title="Depth of the rib",
            unit="mm",
            answer=lambda n: trough(n).depth,
            tolerance=Within(0.5, "mm", "a saw follows a pencil line to half a millimetre"),
            slips=[
                Slip(
                    "full width",
                    lambda n: n.aperture_width**2 / (4 * n.focal_length),
                    "That rib would be nearly as deep as it is wide. Where does x start?",
                    "You put in the full width. x starts at the middle, so use half of "
                    "{aperture_width}.",
                ),
                Slip(
                    "2f",
                    lambda n: n.aperture_width**2 / (8 * n.focal_length),
                    "Look at the number in front of f once more.",
                    "You divided by 2f. The formula divides by 4f.",
                ),
            ],
            hint="x is half of {aperture_width}. Square it, then divide by 4 × {focal_length}.",
            worked=lambda n: (
                f"x = {units.show(n.aperture_width / 2, 'mm')}; "
                f"x² / (4 × {n.shown('focal_length')}) = {units.show(trough(n).depth, 'mm')}."
            ),
            after=("The focus may lie above or below the rim; a rim angle of 90° puts it level.",),
        ),
        Number(
            name="old_focal_length",
            points=2,
            title="Focal length of the old rib",
            unit="mm",
            answer=old_focal_length,
            tolerance=Relative(0.01, "a tape measure on an old rib is good to about 1 %"),
            slips=[
                Slip(
                    "full width",
                    lambda n: 4 * old_focal_length(n),
                    "Would that focus be inside the workshop? Where does x start?",
                    "You put in the full width. x is half of {old_width}.",
                ),
                Slip(
                    "bend radius",
                    lambda n: 2 * old_focal_length(n),
                    "Twice too far. Which length is twice the focal length?",
                    "That is the bend radius at the vertex, 2f. Halve it.",
                ),
                Slip(
                    "divided again",
                    lambda n: old_focal_length(n) / 4,
                    "That is a very deep spoon. Count how often you divided by 4.",
                    "You divided by 4 once too often: f = x² / (4y), and x is half the width.",
                ),
            ],
            hint="f = x² / (4y), with half of {old_width} for x and {old_depth} for y.",
            worked=lambda n: (
                f"{units.show(n.old_width / 2, 'mm')} squared, divided by 4 × "
                f"{n.shown('old_depth')}: {units.show(old_focal_length(n), 'mm')}."
            ),
            after=("Two lengths from a tape tell you everything about a parabola.",),
        ),
        Number(
            name="sheet",
            points=2,
            title="Width of the sheet",
            unit="mm",
            answer=lambda n: trough(n).sheet_width,
            tolerance=Within(2, "mm", "trim of 10 mm on each edge takes up 2 mm (common practice)"),
            slips=[
                Slip(
                    "opening",
                    lambda n: n.aperture_width,
                    "Lay a strip of paper in the curve. Is it as long as the opening is wide?",
                    "That is the opening. The sheet follows the curve and is wider.",
                ),
                Slip(
                    "two chords",
                    lambda n: 2 * math.hypot(n.aperture_width / 2, trough(n).depth),
                    "Nearly. Does the mirror run straight from the vertex to the rim?",
                    "You took two straight lines. The curve between them is longer.",
                ),
                Slip(
                    "area",
                    lambda n: 0.900 * trough(n).sheet_width,  # × the Ladle's length, as a length
                    "Did you multiply by another length?",
                    "That is the sheet's area for a 900 mm long trough, in square metres. Only the "
                    "width is asked for.",
                ),
            ],
            hint="Find u = W/(4f) first. Both lengths in the same unit.",
            worked=lambda n: (
                f"u = {n.aperture_width / (4 * n.focal_length):.4f}; 2f · (u√(1+u²) + asinh u) = "
                f"{units.show(trough(n).sheet_width, 'mm')}."
            ),
            after=("Order it with trim, about 10 mm on each edge (common practice).",),
        ),
        Function(
            name="rib_height",
            points=3,
            title="A rule for the rib's height",
            signature="rib_height(x_mm, f_mm)",
            examples=[(100.0, 170.0), (-100.0, 170.0)],
            cases=rib_cases,
            reference=rib_height,
            tolerance=Within(0.01e-3, "m", "0.01 of a millimetre; the function counts in mm"),
            slips=[
                Slip(
                    "sign kept",
                    on_each(lambda x, f: x * abs(x) / (4 * f)),
                    "Is your rib's left half below the floor?",
                    "Left of the centre the height must be positive as well. A plain x² does that.",
                ),
                Slip(
                    "not squared",
                    on_each(lambda x, f: x / (4 * f)),
                    "Plot a few points. Is that a curve or a straight line?",
                    "x must be squared: x**2.",
                ),
                Slip(
                    "2f",
                    on_each(lambda x, f: x**2 / (2 * f)),
                    "Twice too high everywhere. Which number stands before f?",
                    "You divide by 2f; the formula divides by 4f.",
                ),
                Slip(
                    "one number only",
                    one_at_a_time,
                    "Right for one number. Try rib_height([0, 100], 170).",
                    "A list cannot be squared. Turn it into an array first: np.asarray(x_mm).",
                    credit=0.5,
                ),
            ],
            hint="height = x squared, divided by four times f.",
            worked="height = x**2 / (4 * f_mm)",
        ),
        Number(
            name="thickest",
            points=2,
            title="Thickest sheet",
            unit="mm",
            answer=lambda n: geometry.thickest_sheet(n.focal_length, n.bend_limit),
            tolerance=Within(0.05, "mm", "sheet is sold by the tenth of a millimetre"),
            slips=[
                Slip(
                    "f for radius",
                    lambda n: n.focal_length / n.bend_limit,
                    "Twice too careful. How large is the bend radius at the vertex?",
                    "You used f. The bend radius is 2f.",
                ),
                Slip(
                    "4f",
                    lambda n: 4 * n.focal_length / n.bend_limit,
                    "This sheet may crack. Where does the 4 come from?",
                    "4f belongs to the height formula. The bend radius is 2f.",
                ),
            ],
            hint="Radius = 2f. Radius ÷ thickness must be at least the number on your card.",
            worked="2 × {focal_length} ÷ {bend_limit} = {answer}.",
            after=("Buy the next thinner sheet, and ask its maker for the limit.",),
        ),
        Prediction(
            name="which_fault",
            title="Which print is worse?",
            question="Two prints are 3 % too small. One in both directions, one in width only. "
            "Which moves the focus more?",
            options={
                "a": "small in both directions",
                "b": "small in width only",
                "c": "both the same",
            },
        ),
        Choice(
            name="short_bar",
            points=1,
            title="The bar is short",
            options={
                "a": "print again at actual size, then measure both bars",
                "b": "draw the pencil line 3 % bigger all round",
                "c": "cut it; the pipe can move to wherever the focus went",
            },
            answer="a",
            slips=[
                Slip(
                    "bigger pencil line",
                    "b",
                    "How many points would you have to shift, and by how much each?",
                    "The edges may come out right and thirty points between them wrong. One "
                    "reprint costs a sheet of paper.",
                ),
                Slip("pipe follows", "c", "How far would the pipe have to move?", moved),
            ],
            worked="Reprint at actual size and measure both bars; only then saw.",
            after=("Paper is cheap, plywood is not.",),
        ),
        Number(
            name="printed_focal_length",
            points=2,
            title="Focal length of the other print",
            unit="mm",
            answer=lambda n: geometry.printed_focal_length(n.focal_length, 1.0, n.height_scale),
            tolerance=Within(0.5, "mm", "half a millimetre at the pipe's bracket"),
            slips=[
                Slip(
                    "multiplied",
                    lambda n: n.focal_length * n.height_scale,
                    "Is the printed rib flatter or steeper than it should be?",
                    "You multiplied. The rib came out flatter, and a flatter curve focuses farther "
                    "away: divide.",
                ),
                Slip(
                    "squared",
                    lambda n: n.focal_length * n.height_scale**2,
                    "Which of the two directions counts twice?",
                    "You counted the fault twice, as for the width. Heights count once, and the "
                    "other way.",
                ),
                Slip(
                    "unchanged",
                    lambda n: n.focal_length,
                    "The heights changed. Can the focus stay where it was?",
                    "Put the smaller heights into f = x²/(4y): a smaller y gives a longer f.",
                ),
            ],
            hint="f = x²/(4y). Every y is multiplied by {height_scale}; x stays.",
            worked="{focal_length} ÷ {height_scale} = {answer}.",
            after=("Measure the print, then set the pipe: both bars, every page.",),
        ),
        ShortText(
            name="why_datum",
            points=2,
            title="Why one centre line and one focus mark?",
            points_looked_for=[
                KeyPoint(
                    "twist",
                    ("twist", "skew", "crooked", "turned"),
                    "Without one centre line the trough is twisted.",
                ),
                KeyPoint(
                    "same focal line",
                    (
                        "focal line",
                        "same focus",
                        "one focus",
                        "one line",
                        "straight line",
                        "same line",
                        "focal points",
                    ),
                    "All ribs must send their light to one straight line, where the pipe is.",
                ),
                KeyPoint(
                    "datum",
                    (
                        "datum",
                        "reference",
                        "measure from",
                        "common line",
                        "same start",
                        "centre line",
                        "center line",
                    ),
                    "One common line to measure from keeps errors from adding up.",
                ),
            ],
        ),
    ],
)
