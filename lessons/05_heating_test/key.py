"""Answer key of lesson 05, the heating test: power, efficiency, uncertainty, agreement, fit."""

import itertools
from functools import lru_cache
from pathlib import Path

from autograde.key import (
    Choice,
    Function,
    KeyPoint,
    Lesson,
    Number,
    Own,
    OwnData,
    Prediction,
    Relative,
    ShortText,
    Slip,
    Within,
)
from solarlib import geometry, heating_test

LADLE_FOCAL_LENGTH = 0.170  # m, the demo trough's
FILE = Path(__file__).with_name("demo_log.csv")


def power(n):
    return heating_test.useful_power(n.water_mass, n.start_temp, n.end_temp, n.minutes)


def efficiency(n):
    area = n.aperture_width * n.trough_length
    return heating_test.efficiency(power(n), n.sunshine, area)


def sheet_efficiency(n):
    sheet = geometry.Parabola(LADLE_FOCAL_LENGTH, n.aperture_width).sheet_width
    return efficiency(n) * n.aperture_width / sheet


def combined(n):
    return heating_test.combine(n.unsure_rise, n.unsure_mass, n.unsure_sun)


@lru_cache(maxsize=1)
def fit():
    """Fit the supplied file without the two suspect rows."""
    log = heating_test.read_log(FILE)
    without = {problem.row for problem in heating_test.suspects(log)}
    return heating_test.fit_losses(heating_test.intervals(log, without=without))


def to_c(value, unit):
    return (value - 32) / 1.8 if unit == "F" else value


def interval_powers(rows, mass_kg):
    """Power of each interval [W]; None where a temperature is missing."""
    found = []
    for (t1, a, ua), (t2, b, ub) in itertools.pairwise(rows):
        if a is None or b is None:
            found.append(None)
        else:
            rise = to_c(b, ub) - to_c(a, ua)
            found.append(heating_test.useful_power(mass_kg, 0.0, 1.0, 60 * (t2 - t1)) * rise)
    return found


def units_mixed(rows, mass_kg):
    return interval_powers([(t, v, "C") for t, v, _ in rows], mass_kg)


def minutes_for_seconds(rows, mass_kg):
    return [None if p is None else 60 * p for p in interval_powers(rows, mass_kg)]


def across_the_gap(rows, mass_kg):
    return interval_powers([row for row in rows if row[1] is not None], mass_kg)


def log_cases(n, rng):
    """Four short logs: plain, a row in °F, a gap, and both."""

    def rows(fahrenheit, gap):
        temp, made = rng.uniform(15, 25), []
        for k in range(6):
            shown = temp * 1.8 + 32 if k == fahrenheit else temp
            value = None if k == gap else round(shown, 1)
            made.append((5 * k, value, "F" if k == fahrenheit else "C"))
            temp += rng.uniform(2, 5)
        return made

    mass = round(rng.uniform(3, 9), 1)
    return [(rows(a, b), mass) for a, b in ((None, None), (2, None), (None, 3), (1, 4))]


EXAMPLE = ([(0, 20.0, "C"), (10, 25.0, "C"), (20, None, "C"), (30, 95.0, "F"), (40, 38.0, "C")],
           6.0)  # fmt: skip


def own_log(text):
    """Judge a learner's own file: enough rows, times rise, plausible, complete."""
    return heating_test.checklist(heating_test.parse_log(text))


def own_problems(text):
    """Name what is odd in a learner's own file, line by line."""
    log = heating_test.parse_log(text)
    found = [*log.problems, *heating_test.suspects(log)]
    return [str(problem) for problem in sorted(found, key=lambda problem: problem.row)]


LESSON = Lesson(
    slug="heating_test",
    number=5,
    title="Heating test",
    numbers={
        "water_mass": Own(6.0, "kg", 4.0, 9.0, 0.5, "water in the pot"),
        "start_temp": Own(18.0, "degC", 15.0, 22.0, 0.5, "water at the start"),
        "end_temp": Own(27.4, "degC", 25.0, 31.0, 0.2, "water at the end"),
        "minutes": Own(15, "min", 12, 25, 1, "time between the readings"),
        "sunshine": Own(820, "W/m2", 700, 950, 10, "direct sun"),
        "aperture_width": Own(640, "mm", 600, 700, 10, "width of the opening"),
        "trough_length": Own(900, "mm", 800, 1100, 50, "length of the opening"),
        "unsure_rise": Own(7, "%", 6, 9, 1, "uncertainty of the rise"),
        "unsure_mass": Own(2, "%", 2, 3, 1, "uncertainty of mass and area"),
        "unsure_sun": Own(10, "%", 9, 11, 1, "uncertainty of the sun meter"),
    },
    buildable=lambda n: n.end_temp > n.start_temp and 0.40 <= efficiency(n) <= 0.72,
    exercises=[
        Prediction(
            name="weak_part",
            title="Which instrument spoils the result?",
            question="You measure efficiency. Which part of the result is least certain?",
            options={"a": "the thermometer", "b": "the scale", "c": "the sun meter"},
        ),
        Prediction(
            name="first_minutes",
            title="What do 20 minutes tell?",
            question="You have the first 20 minutes of a good test. Which pairs of optical "
            "efficiency and loss fit them?",
            options={"a": "only the true pair", "b": "many pairs, quite different ones",
                     "c": "none, the noise is too large"},
        ),
        Number(
            name="power",
            title="Power into the water",
            points=2,
            unit="W",
            answer=power,
            tolerance=Relative(0.03, "plain arithmetic, with room for a rounded heat capacity"),
            slips=[
                Slip("minutes", lambda n: 60 * power(n),
                     "Could half a square metre of sun give that much?",
                     "You divided by minutes. A watt is a joule each second."),
                Slip("one minute", lambda n: power(n) * n.minutes / 60,
                     "Over how long did the water warm up?",
                     "You divided by one minute only. Divide by the whole time."),
                Slip("no rise", lambda n: power(n) * n.end_temp / (n.end_temp - n.start_temp),
                     "How many degrees did the sun add?",
                     "You took the end temperature. Only the rise came from the sun."),
            ],
            hint="power = mass × 4186 × (end − start) ÷ time, with the time in seconds.",
            worked="Mass × 4186 J/(kg·K) × rise ÷ seconds. With your card: {answer}.",
        ),
        Number(
            name="efficiency",
            title="Efficiency",
            points=2,
            unit="1",
            share=True,
            answer=efficiency,
            carry=lambda n, earlier: earlier["power"]
            / (n.sunshine * n.aperture_width * n.trough_length),
            tolerance=Relative(0.03, "plain arithmetic"),
            slips=[
                Slip("sheet area", sheet_efficiency,
                     "Which area does the sun see?",
                     "You used the curved sheet. The sun meets the flat opening."),
                Slip("of the absorbed light", lambda n: efficiency(n) / 0.656,
                     "By which power did you divide: what comes in, or what is caught?",
                     "You divided by the absorbed power. Efficiency counts all the light that "
                     "reaches the opening."),
            ],
            hint="efficiency = power ÷ (sun × opening), and the opening is width × length in metres.",
            worked="Power ÷ (sun × width × length). With your card: {answer}.",
        ),
        Number(
            name="combined",
            title="How sure is the result?",
            points=2,
            unit="%",
            answer=combined,
            tolerance=Within(0.3, "%", "a third of a percent point, a rounding"),
            slips=[
                Slip("added", lambda n: n.unsure_rise + n.unsure_mass + n.unsure_sun,
                     "Do all three go wrong the same way at the same time?",
                     "You added them. Independent parts combine as the root of the sum of "
                     "squares."),
                Slip("largest only", lambda n: n.unsure_sun,
                     "You named one part. Do the others count for nothing?",
                     "The largest part dominates, but the others still add a little: take the "
                     "root of the sum of squares."),
                Slip("root forgotten",
                     lambda n: 100 * (n.unsure_rise**2 + n.unsure_mass**2 + n.unsure_sun**2),
                     "Squares are too large to be an answer. What comes last?",
                     "You summed the squares (in percent) and stopped. Take the root."),
            ],
            hint="Square {unsure_rise}, {unsure_mass} and {unsure_sun}, add the squares, take the root.",
            worked="√(rise² + mass² + sun²). With your card: {answer}.",
        ),
        Choice(
            name="agree",
            title="Does it agree?",
            points=1,
            options={
                "a": "It agrees: 47 ± 1 °C lies inside the band",
                "b": "It disagrees: the middle of the band is 51 °C",
                "c": "It agrees perfectly, so the model is proved",
                "d": "Nobody can say: a single reading is the truth",
            },
            answer="a",
            worked="a: 46 to 48 °C lies inside 43 to 58 °C.",
            after=("The whole reading, with its ±, lies inside the band. That proves little: the "
                   "band is wide.",),
            slips=[
                Slip("middle only", "b",
                     "What is the band for?",
                     "A band says which values are expected. The middle alone is never a "
                     "promise."),
                Slip("proved", "c",
                     "Would 45 °C also have lain inside? And 57 °C?",
                     "A wide band is easy to hit. Agreement with it proves little, and one test "
                     "never proves a model."),
                Slip("one truth", "d",
                     "Read the same thermometer twice. Do you get the same?",
                     "A reading comes with its own ±. Compare ranges, not single numbers."),
            ],
        ),
        ShortText(
            name="agree_why",
            title="Why does it agree, and what does that prove?",
            points=1,
            points_looked_for=[
                KeyPoint("inside", ("inside", "within", "between", "overlap", "in the band"),
                         "the measured range lies inside the band"),
                KeyPoint("wide", ("wide", "broad", "15", "little", "weak"),
                         "the band is wide, so agreement proves little"),
            ],
        ),
        Function(
            name="interval_powers",
            title="Power of every interval",
            points=3,
            signature="interval_powers(rows, mass_kg)",
            examples=[EXAMPLE],
            cases=log_cases,
            reference=interval_powers,
            tolerance=Relative(0.01, "4180 and 4186 J/(kg·K) are both fine"),
            slips=[
                Slip("units mixed", units_mixed,
                     "One row reads 95. Is your water really that hot?",
                     "A row marked \"F\" is in Fahrenheit. Turn it into °C first: "
                     "(value − 32) ÷ 1.8."),
                Slip("minutes", minutes_for_seconds,
                     "Could this trough boil a kettle in seconds?",
                     "Times are in minutes; a watt is a joule each second."),
                Slip("across the gap", across_the_gap,
                     "How many intervals have five rows?",
                     "You divided across the gap. An interval without both temperatures is "
                     "None."),
            ],
            hint="Go through neighbouring rows in pairs. If one temperature is None, the result "
            "is None.",
            worked="power = mass_kg * 4186 * (celsius(b, unit_b) - celsius(a, unit_a)) / "
            "(60 * (t2 - t1))",
        ),
        Number(
            name="loss_slope",
            title="The loss from the file",
            points=2,
            unit="W/m2K",
            answer=lambda n: fit().loss,
            tolerance=Relative(0.10, "seven scattered points"),
            slips=[
                Slip("with the opening", lambda n: fit().loss * 0.576,
                     "Per square metre of opening, or for the whole trough?",
                     "You multiplied by the opening (0.576 m²). The slope is already per square "
                     "metre."),
                Slip("axes swapped", lambda n: 1 / fit().loss,
                     "Which axis is upward?",
                     "You swapped the axes: efficiency is upward, (water − air) ÷ sun is to the "
                     "right."),
                Slip("sign", lambda n: -fit().loss,
                     "Does a loss below zero make sense?",
                     "The line falls, so its slope is negative. The loss is the size of it."),
            ],
            hint="Of the numbers that are printed above this exercise, which is in W/(m²·K)?",
            worked="Leave out the two suspect rows, plot efficiency against (water − air) ÷ sun, "
            "and take the slope: {answer}.",
        ),
        Number(
            name="optical",
            title="The optical efficiency from the file",
            points=1,
            unit="1",
            share=True,
            answer=lambda n: fit().optical_efficiency,
            tolerance=Relative(0.05, "seven scattered points"),
            slips=[
                Slip("mean efficiency", lambda n: fit().optical_efficiency - fit().loss * 0.0187,
                     "Where on the line are there no losses?",
                     "You took the middle of the points. The optical efficiency is where the line "
                     "meets (water − air) = 0."),
                Slip("loss typed in", lambda n: fit().loss,
                     "A share of the light lies between 0 and 1.",
                     "That is the loss, the slope of the line. The optical efficiency is its "
                     "height at zero difference."),
            ],
            hint="Of the numbers that are printed in exercise 8, which is a share of the light?",
            worked="Where the line meets zero difference: {answer}.",
        ),
        Choice(
            name="suspects",
            title="Two suspect rows",
            points=1,
            options={
                "a": "11:40, because it is in °F",
                "b": "11:55, the sun reads 360",
                "c": "12:15, the water reads 52.3",
                "d": "12:35, because the water rises less than at the start",
            },
            answer={"b", "c"},
            slips=[
                Slip("last row", lambda picked: "d" in picked,
                     "Why should a warmer heater gain less?",
                     "The last rows rise less because the losses grow. That is physics, not a "
                     "fault."),
                Slip("other unit", lambda picked: "a" in picked,
                     "Does 78 °F fit between its neighbours once you convert it?",
                     "78 °F is 25.6 °C, just right. A different unit is not a fault when it is "
                     "marked."),
                Slip("cloud only", {"b"},
                     "One of them, yes. Now go down the column of water temperatures.",
                     "At 12:15 the water jumps up and falls back five minutes later. So much water "
                     "cannot do that: the sensor was in the sun."),
                Slip("jump only", {"c"},
                     "One of them, yes. Now go down the column of the sun.",
                     "At 11:55 the sun reads less than half of its neighbours: a cloud. That "
                     "interval tells about the cloud, not about the heater."),
            ],
            worked="b and c: a cloud, and a sensor in the sun. Say why a row is left out.",
            after=("One row tells about a cloud, the other about a sensor in the sun. Write down why "
                   "you leave rows out.",),
        ),
        OwnData(
            name="own_file",
            title="Your own file",
            points=2,
            checks=own_log,
            problems=own_problems,
            accepts=".csv,.txt,.tsv",
            hint="Eight rows or more, times that rise, water between 5 and 95 °C, wind and sky "
            "noted.",
        ),
    ],
)

