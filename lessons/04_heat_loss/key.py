"""Answer key of lesson 04: losses of pipe and pot, the falling share, the dry pipe, cooling."""

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
from solarlib import geometry, heat, optics, reference, units

PIPE = reference.TUBES["22 x 0.9"].outside_diameter  # [m]
WATER = reference.WATER_SPECIFIC_HEAT.value  # [J/kgK]
BLACK, SELECTIVE = 0.90, 0.10  # emittance of black paint and of a selective coat
AIR, POWER, LOSS, CAPACITY = 20.0, 350.0, 4.0, 26000.0  # of the function `step`; °C, W, W/K, J/K


# --- pipe ---------------------------------------------------------------------------------------
def skin(n):
    """Outside of the pipe per metre [m]."""
    return math.pi * PIPE


def pipe_loss(n):
    return skin(n) * n.pipe_length * n.loss_coefficient * (n.water_temp - n.air_temp)


def useful_share(n, loss):
    return (n.absorbed - loss) / n.power_in


def dry_temp(n):
    return n.air_temp + n.dry_power / (skin(n) * n.dry_coefficient)


# --- pot ----------------------------------------------------------------------------------------
def cooled(n, capacity=None, air_c=None):
    air_c = n.air_temp if air_c is None else air_c
    capacity = n.water_mass * WATER if capacity is None else capacity
    return float(heat.loss_from_cooling(capacity, n.hot_start, n.cool_end, air_c, n.cooling_time))


def straight_line(n):
    """Loss at the mean of start and end, instead of the curve between."""
    mean_above = (n.hot_start + n.cool_end) / 2 - n.air_temp
    fall = n.hot_start - n.cool_end
    return n.water_mass * WATER * fall / (n.cooling_time * mean_above)


def half_time(n, loss_rate):
    return float(heat.half_life(n.water_mass * WATER, loss_rate))


# --- what the library says about the Ladle itself -----------------------------------------------
def dry_ladle(emittance=BLACK, wind=0.0):
    """Middle of the Ladle's pipe without water at 800 W/m², a surface of 8 mrad [°C]."""
    ladle = geometry.Parabola(0.170, 0.640)
    caught = optics.intercept_factor(ladle, PIPE, slope_error_mrad=8)
    lit = optics.pipe_power(
        ladle, PIPE, 1.0, 1.0, 800, 0.82, 0.92, caught
    )  # one metre of mirror, one metre of pipe
    return float(heat.dry_pipe_c(lit.total, PIPE, 22, wind, emittance))


def degrees(value):
    return units.show(value, "degC", 3)


def radiated(n):
    """Say how much of the loss is radiation, pipe at 95 °C in a light breeze."""
    parts = heat.loss_parts(PIPE, 95, 22, 0.9, BLACK)
    share = units.show(float(parts.radiation / parts.total), "%", 2)
    return f"A black pipe also radiates: at 95 °C that is about {share} of its loss."


# --- one step in time ---------------------------------------------------------------------------
def step(temp, dt_s):
    return temp + (POWER - LOSS * (temp - AIR)) * dt_s / CAPACITY


def step_cases(n, rng):
    warm = [float(rng.randrange(low, low + 15)) for low in (18, 35, 55, 75)]
    spans = [float(rng.randrange(20, 121, 5)) for _ in warm]
    return [*zip(warm, spans, strict=True), (120.0, 60.0)]  # the last one cools


LESSON = Lesson(
    slug="heat_loss",
    number=4,
    title="Heat loss",
    numbers={
        "pipe_length": Own(1400, "mm", 1350, 1500, 50, "length of your pipe, 22 mm thick"),
        "water_temp": Own(60, "degC", 54, 68, 1, "warm water in the pipe"),
        "air_temp": Own(20, "degC", 16, 24, 1, "air"),
        "loss_coefficient": Own(29, "W/m2K", 27, 31, 0.5, "loss of the warm pipe, U"),
        "absorbed": Own(350, "W", 345, 365, 5, "the pipe takes up"),
        "power_in": Own(472, "W", 465, 480, 1, "sun through the opening"),
        "dry_power": Own(390, "W/m", 360, 420, 10, "each lit metre of a dry pipe takes up"),
        "dry_coefficient": Own(30, "W/m2K", 28, 32, 0.5, "loss of the dry pipe, U"),
        "water_mass": Own(6, "kg", 4, 8, 0.5, "water in your pot"),
        "hot_start": Own(80, "degC", 76, 84, 1, "pot at the start"),
        "cool_end": Own(40, "degC", 36, 44, 1, "pot at the end"),
        "cooling_time": Own(6, "h", 5, 7, 0.5, "time between"),
    },
    # a pipe that loses about a third to a half of what it takes up, a pot that really cools
    buildable=lambda n: (
        0.32 <= pipe_loss(n) / n.absorbed <= 0.50
        and n.hot_start - n.air_temp >= 2.8 * (n.cool_end - n.air_temp)
    ),
    exercises=[
        Prediction(
            name="where_watts",
            title="Where do 472 watts go?",
            question="472 W of sun come through the opening. The water is at 80 °C and a breeze of "
            "3 m/s blows on the pipe. How much of it still warms the water?",
            options={
                "a": "more than half",
                "b": "about a third",
                "c": "hardly anything",
            },
        ),
        Choice(
            name="modes",
            points=1,
            title="How the pipe loses heat",
            options={
                "a": "the moving air carries it away (convection)",
                "b": "it shines away as invisible light (radiation)",
                "c": "water evaporates from the pipe",
                "d": "it flows through the air gap into the mirror (conduction)",
            },
            answer={"a", "b"},
            slips=[
                Slip(
                    "radiation left out",
                    {"a"},
                    "Hold your cheek near a stove, without a draught. What do you feel?",
                    radiated,
                ),
                Slip(
                    "convection left out",
                    {"b"},
                    "Why does a fan cool a cup of tea?",
                    "Air that touches the pipe warms up and moves off. Wind does most of the work.",
                ),
                Slip(
                    "evaporation",
                    lambda picked: "c" in picked,
                    "Is there an open water surface on the pipe?",
                    "Evaporation needs open water: that is the pot without a lid, not the pipe.",
                ),
                Slip(
                    "conduction",
                    lambda picked: "d" in picked and "c" not in picked,
                    "How well does still air conduct heat over 15 cm?",
                    "Air is a poor conductor, and the mirror is far away. The pipe's own metal and "
                    "its brackets conduct, not the gap.",
                ),
            ],
            worked="a and b: air and radiation.",
            after=("Air and radiation carry heat off everywhere along the pipe; still air hardly "
                   "conducts, and nothing evaporates.",),
        ),
        Number(
            name="pipe_loss",
            points=2,
            title="What the pipe loses",
            unit="W",
            answer=pipe_loss,
            tolerance=Relative(0.03, "U itself is only known to 20 %; this is arithmetic"),
            slips=[
                Slip(
                    "flat strip",
                    lambda n: pipe_loss(n) / math.pi,
                    "Can air touch the pipe only from one side?",
                    "You took diameter × length. The skin goes all round: π × diameter × length.",
                ),
                Slip(
                    "not the difference",
                    lambda n: pipe_loss(n) * n.water_temp / (n.water_temp - n.air_temp),
                    "How much would the pipe lose in air as warm as itself?",
                    "You used {water_temp} alone. Heat flows by the difference to the air.",
                ),
                Slip(
                    "radius",
                    lambda n: pipe_loss(n) / 2,
                    "Half of it. Which length goes with π alone?",
                    "You used the radius. The circumference is π × diameter.",
                ),
            ],
            hint="skin = π × 0.022 m × length in metres; loss = U × skin × (water − air).",
            worked=lambda n: (
                f"{n.loss_coefficient:g} × {skin(n) * n.pipe_length:.4f} m² × "
                f"{n.water_temp - n.air_temp:g} K = {units.show(pipe_loss(n), 'W', 3)}."
            ),
            after=("In still air U is half of that; with 3 m/s at the pipe it is two thirds more.",),
        ),
        Number(
            name="useful_share",
            points=2,
            title="What is left for the water",
            unit="%",
            answer=lambda n: useful_share(n, pipe_loss(n)),
            tolerance=Relative(0.015, "plain arithmetic"),
            carry=lambda n, earlier: useful_share(n, earlier["pipe_loss"]),
            slips=[
                Slip(
                    "loss forgotten",
                    lambda n: n.absorbed / n.power_in,
                    "That holds for cold water. What does the warm pipe give back?",
                    "You left out the loss of exercise 2. Take it off what the pipe takes up.",
                ),
                Slip(
                    "divided by the absorbed part",
                    lambda n: (n.absorbed - pipe_loss(n)) / n.absorbed,
                    "A share of what: of the sun, or of what the pipe already has?",
                    "You divided by what the pipe takes up. Efficiency counts from the sun through "
                    "the opening: divide by {power_in}.",
                ),
                Slip(
                    "loss added",
                    lambda n: (n.absorbed + pipe_loss(n)) / n.power_in,
                    "Nearly everything would be useful. Is a loss a gain?",
                    "You added the loss. Subtract it.",
                ),
            ],
            hint="({absorbed} − loss) ÷ {power_in}.",
            worked=lambda n: (
                f"({n.shown('absorbed')} − {units.show(pipe_loss(n), 'W', 3)}) ÷ "
                f"{n.shown('power_in')} = {units.show(useful_share(n, pipe_loss(n)), '%', 3)}."
            ),
            after=("Pot and hoses lose heat as well, so the real share is lower.",),
        ),
        Choice(
            name="why_falls",
            points=1,
            title="Why the share falls",
            options={
                "a": "the sun gets weaker during the test",
                "b": "losses grow with the difference between water and air",
                "c": "warm water is harder to heat than cold water",
                "d": "the paint takes up less when it is hot",
            },
            answer="b",
            slips=[
                Slip(
                    "weaker sun",
                    "a",
                    "Would it also fall with a lamp of constant strength?",
                    "Round noon the sun changes little, and the share falls all the same. The "
                    "warm pipe gives more away.",
                ),
                Slip(
                    "harder to heat",
                    "c",
                    "How many joules does a kilogram need from 20 to 21 °C, and from 60 to 61?",
                    "The same, within a percent. Temperature is not an amount of heat that fills "
                    "up. What grows is the loss.",
                ),
                Slip(
                    "tired paint",
                    "d",
                    "Is black paint less black at 60 °C?",
                    "The paint takes up the same. The pipe loses more, because it is warmer.",
                ),
            ],
            worked="b: the loss grows with water − air.",
            after=("The pipe takes up the same light all the time; the warmer it is, the more it "
                   "gives away.",),
        ),
        Number(
            name="dry_temp",
            points=2,
            title="A pipe without water",
            unit="degC",
            answer=dry_temp,
            tolerance=Within(3, "K", "rounding; the real pipe is uncertain by 15 K"),
            slips=[
                Slip(
                    "air forgotten",
                    lambda n: dry_temp(n) - n.air_temp,
                    "That is a difference. From where does it start?",
                    "You have how much hotter than the air it gets. Add the air's {air_temp}.",
                ),
                Slip(
                    "stops at 100",
                    lambda n: 100.0,
                    "What boils in a dry pipe?",
                    "Water stops near 100 °C because it boils. A dry pipe has nothing to boil, and "
                    "goes on until the losses have caught up.",
                ),
                Slip(
                    "spread over the whole pipe",
                    lambda n: (
                        n.air_temp + n.absorbed / (skin(n) * n.pipe_length * n.dry_coefficient)
                    ),
                    "Is the whole pipe lit? Does the dark end help the middle much?",
                    "You spread the power over the whole pipe. Copper carries heat only a hand's "
                    "width, so each lit metre is on its own: use {dry_power}.",
                ),
            ],
            hint="skin per metre = π × 0.022 m; difference = power per metre ÷ (U × skin).",
            worked=lambda n: (
                f"{n.dry_power:g} ÷ ({n.dry_coefficient:g} × {skin(n):.4f}) = "
                f"{dry_temp(n) - n.air_temp:.0f} K above the air: {degrees(dry_temp(n))}."
            ),
            after=("Solder, paint, hose and wood fail there. Never leave a dry pipe in the sun.",),
        ),
        Choice(
            name="dry_nearest",
            points=1,
            title="Dry, no wind",
            options={
                "a": "about 60 °C",
                "b": "about 100 °C",
                "c": "about 250 °C",
                "d": "about 1000 °C",
            },
            answer="c",
            slips=[
                Slip(
                    "like warm water",
                    "a",
                    "What carried the heat away before, and where is it now?",
                    lambda n: (
                        "The water carried it away. Without it the middle of the pipe "
                        f"reaches {degrees(dry_ladle())}."
                    ),
                ),
                Slip(
                    "stops at 100",
                    "b",
                    "Which thing in a dry pipe has its boiling point at 100 °C?",
                    lambda n: (
                        "Nothing boils in a dry pipe. It heats up until the losses equal "
                        f"the sun: {degrees(dry_ladle())}."
                    ),
                ),
                Slip(
                    "without end",
                    "d",
                    "What do the losses do while the pipe gets hotter?",
                    lambda n: (
                        "They grow too, radiation fastest of all. At "
                        f"{degrees(dry_ladle())} they have caught up."
                    ),
                ),
            ],
            worked=lambda n: f"c: the library says {degrees(dry_ladle())}, give or take 15 K.",
            after=("Without water only air and radiation carry heat away, and they need a hot pipe "
                   "for that.",),
        ),
        Choice(
            name="better_black",
            points=1,
            title="A better black",
            options={
                "a": "it gets hotter than with black paint",
                "b": "it stays cooler than with black paint",
                "c": "it gets just as hot",
            },
            answer="a",
            slips=[
                Slip(
                    "cooler",
                    "b",
                    "Less radiation: is that less gain, or less loss?",
                    lambda n: (
                        "It shines less heat away. So the dry pipe goes from "
                        f"{degrees(dry_ladle())} to {degrees(dry_ladle(SELECTIVE))}."
                    ),
                ),
                Slip(
                    "just as hot",
                    "c",
                    "Set the emittance in the explorer from 0.9 to 0.1. Does the bar change?",
                    lambda n: (
                        "Radiation is a large part of the loss when it is that hot. Without "
                        f"it the pipe reaches {degrees(dry_ladle(SELECTIVE))}."
                    ),
                ),
            ],
            worked=lambda n: (
                f"a: {degrees(dry_ladle(SELECTIVE))} instead of {degrees(dry_ladle())}, still air."
            ),
            after=("A better heater is also a worse accident.",),
        ),
        Prediction(
            name="lid",
            title="Lid or lagging?",
            question="A bare, open pot of hot water. You can have one thing. Which keeps it warm "
            "longer?",
            options={
                "a": "a lid and nothing else",
                "b": "lagging all round, and no lid",
                "c": "both help alike",
            },
        ),
        Choice(
            name="lid_first",
            points=1,
            title="What to buy first",
            options={
                "a": "a second layer of lagging round the open pot",
                "b": "a lid",
                "c": "a pot of thicker steel",
                "d": "a woollen cloth under the pot, because heat sinks",
            },
            answer="b",
            slips=[
                Slip(
                    "second layer",
                    "a",
                    "Where does the steam go? Set the explorer to no lid and add lagging.",
                    "Open water loses most of its heat by evaporating, and lagging round the side "
                    "cannot stop that.",
                ),
                Slip(
                    "thicker steel",
                    "c",
                    "Does a thick metal spoon in hot soup stay cool?",
                    "Metal conducts well, thick or thin. It is the still air in lagging that "
                    "insulates.",
                ),
                Slip(
                    "wool below",
                    "d",
                    "In which direction does heat leave a hot pot?",
                    "Heat leaves in every direction, and wool makes none. The open top loses most.",
                ),
            ],
            worked="b: the lid stops the evaporation, and costs nothing.",
            after=("Open water loses most of its heat by evaporating, and only a lid stops that.",),
        ),
        Number(
            name="loss_rate",
            points=2,
            title="What your pot loses",
            unit="W/K",
            answer=cooled,
            tolerance=Relative(0.025, "thermometer 0.5 °C, clock and scale"),
            slips=[
                Slip(
                    "straight line",
                    straight_line,
                    "Near. Does the pot cool at the same speed all the time?",
                    "You used the mean temperature, as if it fell in a straight line. It falls "
                    "fast at first: use the logarithm.",
                    credit=0.5,
                ),
                Slip(
                    "air not subtracted",
                    lambda n: cooled(n, air_c=0.0),
                    "Would the pot cool to 0 °C in this room?",
                    "You took the ratio of the temperatures. Subtract the air's {air_temp} from "
                    "both first.",
                ),
                Slip(
                    "hours left in",
                    lambda n: 3600 * cooled(n),
                    "That pot would be cold in seconds. Which unit of time is in a watt?",
                    "You divided by hours. A watt is a joule per second: hours × 3600.",
                ),
                Slip(
                    "common logarithm",
                    lambda n: cooled(n) / math.log(10),
                    "Less than half. Which key is the natural logarithm?",
                    "You used log to the base 10. The natural logarithm is called ln.",
                ),
            ],
            hint="ratio = (start − air) ÷ (end − air); loss = mass × 4186 × ln(ratio) ÷ seconds.",
            worked=lambda n: (
                f"{n.water_mass:g} × 4186 × ln("
                f"{(n.hot_start - n.air_temp) / (n.cool_end - n.air_temp):.3f}) ÷ "
                f"{n.cooling_time:g} s = {units.show(cooled(n), 'W/K', 3)}."
            ),
        ),
        Number(
            name="half_life",
            points=1,
            title="Half of the warmth",
            unit="h",
            answer=lambda n: half_time(n, cooled(n)),
            tolerance=Relative(0.03, "it follows from the loss, which is no better"),
            carry=lambda n, earlier: half_time(n, earlier["loss_rate"]),
            slips=[
                Slip(
                    "without ln 2",
                    lambda n: n.water_mass * WATER / cooled(n),
                    "After that time less than half is left. What is missing?",
                    "Heat capacity ÷ loss is the time to about a third. Times ln 2 = 0.693 it is "
                    "the time to a half.",
                    credit=0.5,
                ),
                Slip(
                    "straight line",
                    lambda n: n.water_mass * WATER / (2 * cooled(n)),
                    "Does it go on cooling as fast as in the first minute?",
                    "You let it fall in a straight line at its first speed. It slows: use ln 2.",
                ),
            ],
            hint="time = 0.693 × mass × 4186 ÷ loss, in seconds; then ÷ 3600.",
            worked=lambda n: (
                f"0.693 × {n.water_mass:g} × 4186 ÷ {units.show(cooled(n), 'W/K', 3)} = "
                f"{units.show(half_time(n, cooled(n)), 'h', 3)}."
            ),
        ),
        Function(
            name="step",
            points=3,
            title="One step in time",
            signature="step(temp, dt_s)",
            examples=[(20.0, 60.0), (60.0, 60.0)],
            cases=step_cases,
            reference=step,
            tolerance=Within(0.01, "K", "a hundredth of a degree in one step"),
            slips=[
                Slip(
                    "loss forgotten",
                    lambda temp, dt_s: temp + POWER * dt_s / CAPACITY,
                    "Right at 20 °C. Does your water ever stop getting hotter?",
                    "Your step has no loss. Take LOSS × (temp − AIR) off the power.",
                ),
                Slip(
                    "loss added",
                    lambda temp, dt_s: temp + (POWER + LOSS * (temp - AIR)) * dt_s / CAPACITY,
                    "Does it heat up faster and faster?",
                    "The sign of the loss is turned: power minus loss.",
                ),
                Slip(
                    "minutes",
                    lambda temp, dt_s: temp + (POWER - LOSS * (temp - AIR)) * dt_s * 60 / CAPACITY,
                    "48 degrees in a minute? Which unit has dt_s?",
                    "dt_s is in seconds already. Take the factor 60 out.",
                ),
                Slip(
                    "mass without heat capacity",
                    lambda temp, dt_s: temp + (POWER - LOSS * (temp - AIR)) * dt_s / 6.0,
                    "Thousands of degrees in a minute? What warms up besides a mass?",
                    "You divided by the mass. Divide by the heat capacity, CAPACITY, in J/K.",
                ),
                Slip(
                    "air forgotten",
                    lambda temp, dt_s: temp + (POWER - LOSS * temp) * dt_s / CAPACITY,
                    "What does water lose that is as warm as the air?",
                    "The loss goes with the difference: LOSS × (temp − AIR).",
                ),
                Slip(
                    "change only",
                    lambda temp, dt_s: (POWER - LOSS * (temp - AIR)) * dt_s / CAPACITY,
                    "Is that the new temperature, or only how far it moved?",
                    "You hand back the change. Add temp to it.",
                ),
            ],
            hint="The power that stays is POWER minus the loss, and the loss is LOSS times how much "
            "warmer than AIR the water is.",
            worked="change = (POWER - LOSS * (temp - AIR)) * dt_s / CAPACITY",
        ),
        ShortText(
            name="revisit",
            points=2,
            title="Back to your first guess",
            points_looked_for=[
                KeyPoint(
                    "nothing carries the heat away",
                    ("carr", "take away", "no water", "without water", "empty", "dry"),
                    "Without water nothing carries the heat away from the pipe.",
                ),
                KeyPoint(
                    "temperature is not heat",
                    (
                        "amount of heat",
                        "energy",
                        "heat capacity",
                        "not the same",
                        "not heat",
                        "less heat",
                        "more heat",
                        "little heat",
                        "stores",
                    ),
                    "Hot is not the same as much heat: the cooler water holds far more of it.",
                ),
                KeyPoint(
                    "balance",
                    ("balance", "equal", "loss", "loses", "lose", "until"),
                    "The dry pipe heats up until its losses equal what comes in.",
                ),
            ],
        ),
    ],
)
