"""Answer key of lesson 00: opening, power, a first function, a stale notebook, four rules."""

from autograde.key import (
    Choice,
    Function,
    Lesson,
    Number,
    Own,
    OwnData,
    Prediction,
    Relative,
    Slip,
)
from solarlib import geometry, units

LADLE_FOCAL_LENGTH = 0.170  # m, the demo trough's


def opening_area(n):
    return n.aperture_width * n.trough_length


def sheet_area(n):
    p = geometry.Parabola(LADLE_FOCAL_LENGTH, n.aperture_width)
    return p.sheet_width * n.trough_length


def check_bars(text):
    """Judge the two bars measured on the ruler page."""
    parts = [part for part in text.replace(";", ", ").split(", ") if part.strip()]
    if len(parts) != 2:
        return [(False, "Write two lengths with a comma and a space between, across first, "
                        "like 200.0 mm, 149.5 mm.")]  # fmt: skip
    results = []
    for part, name, size in zip(parts, ("across", "down"), (0.200, 0.150), strict=True):
        try:
            measured = units.parse(part, "mm").value
        except units.UnitError as error:
            results.append((False, str(error)))
            continue
        good = abs(measured / size - 1) <= 0.005 + 1e-9
        results.append((good, f"The bar {name} measures {units.show(measured, 'mm')} instead of "
                              f"{units.show(size, 'mm')}: print at actual size and measure "
                              "again."))  # fmt: skip
    return results


LESSON = Lesson(
    slug="start",
    number=0,
    title="Start here",
    numbers={
        "aperture_width": Own(640, "mm", 500, 700, 20, "width of your opening"),
        "trough_length": Own(900, "mm", 700, 1100, 50, "length of your opening"),
        "sunshine": Own(850, "W/m2", 600, 950, 25, "sunshine"),
    },
    exercises=[
        Prediction(
            name="warmer",
            title="Water in the pipe, or none?",
            question="The Ladle stands in the sun for an hour. Which black pipe gets hotter: "
            "one full of water that flows to the pot, or an empty one?",
            options={
                "a": "the pipe with water",
                "b": "the empty pipe",
                "c": "both the same",
            },
        ),
        Number(
            name="opening_area",
            points=2,
            title="Area of the opening",
            unit="m2",
            answer=opening_area,
            tolerance=Relative(0.01, "one multiplication of two round numbers"),
            slips=[
                Slip(
                    "sheet",
                    sheet_area,
                    "That is more than width times length. What does the sunlight come through?",
                    "You took the curved sheet. The sun meets the flat opening, not the sheet.",
                ),
                Slip(
                    "added",
                    lambda n: n.aperture_width + n.trough_length,
                    "Sketch the opening and fill it with squares. How many fit?",
                    "You added the sides. An area is width times length.",
                ),
            ],
            hint="Turn both lengths into metres first, then multiply.",
            worked="{aperture_width} × {trough_length}, both in metres, multiplied: {answer}.",
            after=("The opening decides how much sun comes in.",),
        ),
        Number(
            name="power_in",
            points=2,
            title="Power through the opening",
            unit="W",
            answer=lambda n: opening_area(n) * n.sunshine,
            tolerance=Relative(0.02, "plain arithmetic with a rounded area"),
            carry=lambda n, earlier: earlier["opening_area"] * n.sunshine,
            slips=[
                Slip(
                    "divided",
                    lambda n: n.sunshine / opening_area(n),
                    "Would half the opening give twice the power?",
                    "You divided by the area. Watts for each square metre, times square metres.",
                ),
                Slip(
                    "no area",
                    lambda n: n.sunshine,
                    "Is your opening exactly one square metre?",
                    "You gave the sunshine on one square metre. Multiply by your own area.",
                ),
                Slip(
                    "sheet",
                    lambda n: sheet_area(n) * n.sunshine,
                    "Close. Which area did you use?",
                    "You used the curved sheet. Use the flat opening.",
                ),
            ],
            hint="Power = area × sunshine. Use the area you found above.",
            worked=lambda n: (
                f"{opening_area(n):.3f} m² × {n.shown('sunshine')} = "
                f"{opening_area(n) * n.sunshine:.0f} W."
            ),
            after=(
                "A kettle takes about 2000 W, so the sun's share is modest. "
                "What reaches the water is less still.",
            ),
        ),
        Function(
            name="power",
            points=2,
            title="A rule for the power",
            signature="power(area, sun)",
            examples=[(0.5, 800)],
            cases=lambda n, rng: [
                (round(rng.uniform(0.1, 2.0), 3), rng.randrange(200, 1000, 10)) for _ in range(4)
            ],
            reference=lambda area, sun: area * sun,
            tolerance=Relative(1e-9, "the same multiplication"),
            slips=[
                Slip(
                    "prints",
                    lambda area, sun: None,
                    "Your function speaks but hands nothing back.",
                    "print shows a number, return hands it back. End the function with return.",
                ),
                Slip(
                    "constant",
                    Function.CONSTANT,
                    "It gives the same number every time. Does it work for another trough?",
                    "Your rule holds a fixed number. Use the names area and sun instead.",
                ),
                Slip(
                    "added",
                    lambda area, sun: area + sun,
                    "Twice the opening should give twice the power. Does it here?",
                    "The line still adds. Square metres times watts for each square metre.",
                ),
                Slip(
                    "divided",
                    lambda area, sun: sun / area,
                    "A larger opening gives less here. Can that be?",
                    "You divide by the area. Multiply.",
                ),
            ],
            hint="The rule is the sentence above in symbols: area times sun.",
            worked="watts = area * sun",
        ),
        Choice(
            name="stale",
            points=1,
            title="A stale notebook",
            options={
                "a": "run cell 5 once more",
                "b": "restart the kernel and run all cells from the top",
                "c": "install Python again",
                "d": "delete cell 5",
            },
            answer="b",
            slips=[
                Slip(
                    "again",
                    "a",
                    "Will the missing value be there the second time?",
                    "Cell 5 needs what cells 3 and 4 make. They have not run, so running cell 5 "
                    "again changes nothing.",
                ),
                Slip(
                    "install",
                    "c",
                    "Cells 1 and 2 ran. Is Python broken?",
                    "Python works. Only cells 3 and 4 were left out.",
                ),
                Slip(
                    "delete",
                    "d",
                    "Then the question is gone, and its answer too.",
                    "Cell 5 is fine. What it needs was never made.",
                ),
            ],
            worked="Run from the top: every cell then finds what the cells above it made.",
            after=("From the top, in order: then everybody gets what you got.",),
        ),
        Choice(
            name="rules",
            points=3,
            title="The standing rules",
            options={
                "a": "cover the mirror whenever nobody is watching it",
                "b": "never look into the mirror or at the bright line on the pipe",
                "c": "the pipe is always open to the air",
                "d": "the water is not for people: not to drink, not to wash in",
                "e": "with sunglasses you may look along the mirror",
                "f": "close both valves to keep the heat in",
            },
            answer={"a", "b", "c", "d"},
            slips=[
                Slip(
                    "sunglasses",
                    lambda picked: "e" in picked,
                    "One pick would hurt somebody's eyes.",
                    "Sunglasses do not protect at a mirror that gathers the sun. Nothing you wear "
                    "does.",
                ),
                Slip(
                    "valves",
                    lambda picked: "f" in picked,
                    "Maruk asks: where does the steam go?",
                    "A pipe closed at both ends builds up pressure before the water even boils, "
                    "and may burst.",
                ),
                Slip(
                    "cover",
                    lambda picked: "a" not in picked,
                    "Something is missing: think of the hour when everybody is at lunch.",
                    "Shaving mirrors left in the sun have set rooms on fire. Cover it when nobody "
                    "watches.",
                ),
                Slip(
                    "eyes",
                    lambda picked: "b" not in picked,
                    "Something is missing: think of your eyes.",
                    "Many suns go through the line of light. One look can damage an eye, and it "
                    "does not hurt at once.",
                ),
                Slip(
                    "open pipe",
                    lambda picked: "c" not in picked,
                    "Something is missing: think of steam.",
                    "Water that cannot get out bursts its pipe. The way to the open air has no "
                    "valve, cap or trap.",
                ),
                Slip(
                    "water",
                    lambda picked: "d" not in picked,
                    "Something is missing: think of a hot day, and somebody who is thirsty.",
                    "Germs grow in lukewarm water. It rinses brushes and is drained the same day.",
                ),
            ],
            worked="The standing rules are a, b, c and d.",
            after=("These four hold in every lesson and in the yard.",),
        ),
        OwnData(name="bars", title="The two printed bars", checks=check_bars),
    ],
)
