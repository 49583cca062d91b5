"""Answer key of lesson 06, Burns and other hazards: every value computed by solarlib."""

import math

from autograde.key import (
    Choice,
    Factor,
    KeyPoint,
    Lesson,
    Number,
    Order,
    Own,
    Prediction,
    Relative,
    ShortText,
    Slip,
    Within,
)

# The course's own printed table (two rows of it are on the learner's card): deep burn of adult
# skin, from a public scald table; see `solarlib.reference`.
COLDER, HOTTER = (51.0, 252.0), (55.0, 30.0)  # (°C, s)
SOLIDUS_C = 232.0  # tin-antimony solder, from memory
STEAM_DENSITY = 0.6  # kg/m³ at 100 °C, the rounded value printed in the lesson


def burn_time(n):
    """Log time against plain temperature, as the lesson teaches it."""
    (cold_c, cold_s), (hot_c, hot_s) = COLDER, HOTTER
    share = (n.burn_temp - cold_c) / (hot_c - cold_c)
    return math.exp((1 - share) * math.log(cold_s) + share * math.log(hot_s))


def straight_burn_time(n):
    (cold_c, cold_s), (hot_c, hot_s) = COLDER, HOTTER
    return cold_s + (n.burn_temp - cold_c) / (hot_c - cold_c) * (hot_s - cold_s)


def rim_distance(n):
    from solarlib.geometry import Parabola

    p = Parabola(focal_length=n.focal_length, aperture_width=n.aperture_width)
    return p.focal_distance(n.aperture_width / 2)


def shell(n):
    """s = ρ G r / q, the distance past the line where the beam has thinned to q."""
    from solarlib import hazards
    from solarlib.geometry import Parabola

    p = Parabola(focal_length=n.focal_length, aperture_width=n.aperture_width)
    return hazards.beam_distance(p, n.reflectance, n.beam, n.wood_limit)


def steam_rate(n):
    """Volume of steam [m³/s] from boiling away the surplus heat."""
    from solarlib import water

    return n.surplus / water.latent_heat(100.0) / STEAM_DENSITY


def wind_force(n):
    return 0.5 * 1.225 * n.wind**2 * 1.4 * n.aperture_width * n.trough_length


LESSON = Lesson(
    slug="hazards",
    number=6,
    title="Burns and other hazards",
    numbers={
        "aperture_width": Own(640, "mm", 560, 760, 10, "width of the opening"),
        "focal_length": Own(170, "mm", 160, 220, 5, "focal length"),
        "trough_length": Own(900, "mm", 800, 1200, 50, "length of the trough"),
        "reflectance": Own(0.85, "1", 0.80, 0.87, 0.01, "share of light the clean mirror reflects"),
        "beam": Own(900, "W/m2", 820, 1000, 10, "direct sun on a clear day"),
        "wood_limit": Own(4.3, "kW/m2", 4.3, 4.3, 0.1, "least light that lit wood, in one long test"),
        "burn_temp": Own(53, "degC", 53, 54, 0.25, "water temperature, for the burn time"),
        "surplus": Own(270, "W", 180, 360, 10, "heat left over once the water boils"),
        "dry_pipe": Own(225, "degC", 205, 228, 1, "a dry pipe in a light breeze"),
        "wind": Own(20, "m/s", 12, 24, 1, "strongest gust you plan for"),
    },
    exercises=[
        Prediction(
            name="five_seconds",
            title="Ten minutes at 49 °C. And at 60 °C?",
            question="Water at 49 °C burns an adult's skin deeply in about ten minutes. "
            "How long does it take at 60 °C?",
            options={"a": "about eight minutes", "b": "about two minutes",
                     "c": "about five seconds"},
        ),
        Prediction(
            name="first_to_burn",
            title="What does the bright line reach first?",
            question="The trough stands uncovered from noon on, and everybody has gone. Which does "
            "the bright line reach?",
            options={"a": "a wall on the other side of the yard",
                     "b": "the trough's own frame and hose",
                     "c": "nothing: away from the pipe the light is harmless"},
        ),
        Number(
            name="burn_time",
            title="Time to a deep burn",
            points=2,
            unit="s",
            answer=burn_time,
            tolerance=Factor(1.15, "tables of burns differ by more than this"),
            slips=[
                Slip(
                    "straight line",
                    straight_burn_time,
                    "Your time is too long. Look at the table: does each degree take away the "
                    "same number of seconds, or the same share?",
                    "You drew a straight line between the two rows. Burn times shrink by a share "
                    "with every degree, so take the logarithm of the times first.",
                ),
                Slip(
                    "hotter row",
                    lambda n: HOTTER[1],
                    "That is a row of the table. Your temperature lies between two rows.",
                    "You read off the hotter row (55 °C). Go part of the way back to the colder "
                    "one, on the log scale.",
                ),
                Slip(
                    "colder row",
                    lambda n: COLDER[1],
                    "So long? Your water is hotter than in that row of the table.",
                    "You read off the colder row (51 °C), and that overstates the time you have.",
                ),
            ],
            hint="Which share of the way from 51 to 55 °C is {burn_temp}? Raise 30 ÷ 252 to the power "
            "of that share, then multiply by 252 s.",
            worked="Share of the way from 51 to 55 °C: (T − 51) ÷ 4. Then time = 252 s × "
            "(30 ÷ 252) to the power of that share. For your {burn_temp} that is {answer}.",
            after=("Read such a time as a warning, not as an allowance: children's skin takes a "
                   "quarter of it or less.",),
        ),
        Choice(
            name="showers",
            title="Water for people?",
            points=1,
            options={
                "a": "Yes, at 45 °C: warm enough and it scalds nobody",
                "b": "Yes, if the pot has a lid and is used within a week",
                "c": "Not with this trough: stored water for people is kept at 60 °C or more, "
                "mixed at delivery, and that is a plumber's work under local rules",
                "d": "Yes, sunlight kills the germs",
            },
            answer="c",
            worked="c: not with this trough, and never at 45 °C.",
            after=("Germs thrive in lukewarm stored water, so water for people is a plumber's "
                   "work.",),
            slips=[
                Slip("growth range", "a",
                     "What else likes 45 °C?",
                     "Legionella bacteria grow between about 20 and 45 °C. Lukewarm stored water "
                     "is where they live, and its spray carries them into the lungs."),
                Slip("lid", "b",
                     "What does a lid keep in, and what does it not keep out?",
                     "A lid keeps heat. It does nothing about germs that are already in the "
                     "water. Drain the same day."),
                Slip("light kills", "d",
                     "How much sunlight gets through a copper pipe?",
                     "The light stops at the black paint. The water only sees warm metal."),
            ],
        ),
        Number(
            name="shell",
            title="How far past the line?",
            points=2,
            unit="mm",
            answer=shell,
            tolerance=Relative(0.04, "a model of a perfect mirror"),
            slips=[
                Slip(
                    "focal length used",
                    lambda n: shell(n) * n.focal_length / rim_distance(n),
                    "Which strip of the mirror throws the widest fan? You used a nearer one.",
                    "You put in the focal length. The rim strip is farther from the line, so its "
                    "light stays strong for longer: use the distance from rim to line.",
                ),
                Slip(
                    "square root",
                    lambda n: rim_distance(n)
                    * math.sqrt(n.reflectance * n.beam / n.wood_limit),
                    "Does light from a line spread in two directions or in one?",
                    "You used a square root, the rule for a point of light. Light from a line "
                    "spreads one way only, so it falls as 1 ÷ distance.",
                ),
                Slip(
                    "mirror forgotten",
                    lambda n: shell(n) / n.reflectance,
                    "You left one factor out. Does the mirror send on all the light?",
                    "The reflectance is missing: multiply by {reflectance}.",
                    0.5,
                ),
            ],
            hint="Work out the way from rim to line first: f + x² ÷ 4f, with x half of "
            "{aperture_width}. Then reflectance × sun × that way ÷ flux, all in metres and watts.",
            worked="{reflectance} × {beam} × (from rim to line) ÷ {wood_limit}, with f + x² ÷ 4f for "
            "the way from rim to line: {answer}.",
            after=("What lies in that shell is mostly your own frame, cloth and hose. It is no limit to "
                   "build by: wood chars farther out. Keep it three times as far (common "
                   "practice).",),
        ),
        Choice(
            name="closed_valves",
            title="Both valves shut",
            points=1,
            options={
                "a": "Nothing until it boils at 100 °C",
                "b": "A few bar, like a bicycle tyre",
                "c": "Tens of bar, enough to burst a pipe or a joint",
                "d": "The copper stretches and makes room",
            },
            answer="c",
            worked="c: about three bar for each degree, times ten.",
            after=("Water swells far more than copper and can hardly be squeezed, long before it "
                   "boils.",),
            slips=[
                Slip("waits for boiling", "a",
                     "Does water need to boil to need more room?",
                     "Warm water swells long before it boils, and it can hardly be squeezed. A "
                     "full closed pipe has nowhere to put it."),
                Slip("like air", "b",
                     "Air is springy. Is water?",
                     "Trapped air would gain less than a tenth of a bar. Trapped water gains about "
                     "three bar for each degree in copper pipe."),
                Slip("pipe gives way", "d",
                     "It does stretch. By how much, against how much swelling?",
                     "The stretch of the pipe is counted already: it takes off less than "
                     "half, and tens of bar remain."),
            ],
        ),
        Number(
            name="steam",
            title="Where does the steam go?",
            points=2,
            unit="L/min",
            answer=steam_rate,
            tolerance=Relative(0.08, "0.6 kg/m³ is a rounded density"),
            slips=[
                Slip("grams", lambda n: steam_rate(n) * STEAM_DENSITY,
                     "That looks like a mass of water. How much room does it take as steam?",
                     "You gave grams a minute (read as litres of water). Divide the kilograms by "
                     "0.6 kg/m³ to get the room that the steam takes."),
                Slip("per second", lambda n: steam_rate(n) / 60,
                     "So little? Check the time in your unit.",
                     "A watt is a joule each second, so you have litres per second. There are "
                     "60 seconds in a minute."),
                Slip("per hour", lambda n: steam_rate(n) * 60,
                     "So much? Check the time in your unit.",
                     "That is the steam of an hour. The question asks for a minute."),
            ],
            hint="{surplus} ÷ 2 260 000 gives kilograms each second, ÷ 0.6 cubic metres each second. "
            "How many seconds has a minute, how many litres a cubic metre?",
            worked="Mass each second = heat ÷ 2.26 MJ/kg. Volume = mass ÷ 0.6 kg/m³. Times 60 "
            "for a minute, times 1000 for litres: {answer}.",
        ),
        Order(
            name="shutdown",
            title="The end of a session",
            points=2,
            items={
                "a": "Drain the pipe",
                "b": "Cover the mirror",
                "c": "Write the log",
                "d": "Wait, and check with a thermometer that it has cooled",
                "e": "Turn the trough away from the sun",
                "f": "Stow and strap",
            },
            answer=("b", "e", "d", "a", "f", "c"),
            credit=lambda order: 0.5 if list(order[:3]) == ["b", "e", "d"] else 0.0,
            slips=[
                Slip("drained first", ("a",),
                     "What is an empty pipe in the sun called in lesson 04?",
                     "Drained first, the pipe is dry in full sun: over 200 °C within minutes. "
                     "Cover, turn, wait, and only then drain."),
                Slip("turned before covered", ("e",),
                     "While you turn the trough, where does the bright line go?",
                     "Turning an uncovered trough sweeps the line across frame, hose and hands. "
                     "The cover goes on first."),
            ],
            hint="The first three take the light away, then the heat. The rest can wait.",
            worked="Cover, turn away, wait and check, drain, stow and strap, write the log.",
            after=("First the light goes, then the heat, then the water; so the pipe never runs dry "
                   "in the sun.",),
        ),
        Number(
            name="solder_margin",
            title="How much room before the solder melts?",
            points=1,
            unit="K",
            answer=lambda n: SOLIDUS_C - n.dry_pipe,
            tolerance=Within(1, "K", "plain subtraction"),
            slips=[
                Slip("service limit", lambda n: 121.0 - n.dry_pipe,
                     "You compared with another limit. Which one does the question name?",
                     "121 °C is the usual service limit of soldered joints. The question asks "
                     "how far the dry pipe is from melting (232 °C)."),
                Slip("from boiling", lambda n: SOLIDUS_C - 100.0,
                     "How hot is the pipe when there is no water in it?",
                     "You took 100 °C for the pipe. A dry pipe does not stop there."),
            ],
            hint="Melting begins at 232 °C. Take off {dry_pipe}.",
            worked="232 °C − {dry_pipe} = {answer}. This course asks for at least 25 K.",
        ),
        Choice(
            name="solder_verdict",
            title="Is that margin enough?",
            points=1,
            options={
                "a": "Fine, it does not melt",
                "b": "Not acceptable: move the joint out of the lit zone, or braze it",
                "c": "Fine if the pipe is never left dry",
            },
            answer="b",
            worked="b: fewer than 25 K are left, so the joint moves or is brazed.",
            after=("A dry pipe is the case nobody planned, and so close to melting solder has hardly "
                   "any strength.",),
            slips=[
                Slip("it holds", "a",
                     "At what temperature do makers rate such a joint?",
                     "Soft solder is rated for service to about 121 °C, far below melting. "
                     "Close to melting it has hardly any strength left."),
                Slip("never dry", "c",
                     "Who promises that the jug never runs out?",
                     "A fault case is the case that was not planned. This course asks for 25 K "
                     "of margin even then, or for joints out of the light."),
            ],
        ),
        Number(
            name="wind_force",
            title="A mirror is a sail",
            points=2,
            unit="N",
            answer=wind_force,
            tolerance=Relative(0.03, "plain arithmetic with a rounded drag coefficient"),
            slips=[
                Slip("not squared", lambda n: wind_force(n) / n.wind,
                     "Twice the wind: is it twice the push?",
                     "The speed is squared: twice the wind pushes four times as hard."),
                Slip("no drag coefficient", lambda n: wind_force(n) / 1.4,
                     "You left a factor out. Is a hollow shape pushed more or less than a flat "
                     "board of the same size?",
                     "The drag coefficient 1.4 is missing: a hollow catches more wind."),
                Slip("half forgotten", lambda n: wind_force(n) * 2,
                     "Your force is twice too large.",
                     "The ½ in ½ × density × speed² is missing."),
            ],
            hint="Square {wind} first. Then times ½, 1.225, 1.4 and the opening in square metres.",
            worked="½ × 1.225 × speed² × 1.4 × width × length = {answer}.",
        ),
        ShortText(
            name="visitor_rule",
            title="Three lines for visitors",
            points=2,
            points_looked_for=[
                KeyPoint("cover", ("cover", "cloth", "lid"), "when the mirror is covered"),
                KeyPoint("distance", ("distance", "metre", "meter", "step", "behind", "tape", "m "),
                         "how far visitors stay away"),
                KeyPoint("call", ("call", "phone", "ring", "number", "tell"),
                         "whom to call when something goes wrong"),
            ],
        ),
    ],
)
