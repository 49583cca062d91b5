"""Answer key of lesson 03: tilt, solar noon, aim budget, two clocks, light off the end."""

import datetime
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
from solarlib import geometry, optics, sun, units

MARCH, JUNE, DECEMBER = "2026-03-21", "2026-06-21", "2026-12-21"
DAY = 86400.0  # [s]
PIPE = 0.022  # outside diameter of the pipe in this lesson [m]
TWO_HOURS = 30.0  # slant of the light 2 h from noon at the equinox [deg]
SUMMER = float(sun.declination_deg(JUNE))
# the sundial's lead on 15 October, the demo's autumn day [min]
AHEAD = round(float(sun.equation_of_time_min("2026-10-15")), 1)


def trough(n):
    return geometry.Parabola(n.focal_length, n.aperture_width)


# --- tilt -----------------------------------------------------------------------------------------
def june_tilt(n):
    return sun.noon_tilt_deg(n.latitude, SUMMER)


def southern_tilt(n):
    return sun.noon_tilt_deg(-n.south_latitude, sun.declination_deg(DECEMBER))


# --- clock ----------------------------------------------------------------------------------------
def noon_clock(n, west=1.0, ahead=-1.0):
    """12:00, plus 4 min for each degree west, minus the sundial's lead [min after midnight]."""
    return 720 + west * 4 * n.west_of_meridian + ahead * n.sundial_ahead / 60


# --- aim ------------------------------------------------------------------------------------------
def session_share(n):
    return n.aim_total - sun.AimBudget(n.date_share, 0.0, n.setting_share).total_deg


def session_seconds(share_deg, biased=True):
    return 3600 * float(sun.hours_in_focus(SUMMER, share_deg, biased=biased))


def days_to_move(n, start=MARCH, share=1.0):
    return DAY * float(sun.days_until_drift(start, share * n.noon_move))


def days_at_mean_rate(n):
    return DAY * n.noon_move / (4 * SUMMER / 365.25)  # four quarters of a swing in a year


# --- end of the pipe ------------------------------------------------------------------------------
def past_end(n):
    return float(optics.light_past_end(trough(n), PIPE, n.trough_length, 0, TWO_HOURS).share)


def past_end_with_f(n):
    return n.focal_length * math.tan(math.radians(TWO_HOURS)) / n.trough_length


def with_cosine(n):
    return 1 - (1 - past_end(n)) * math.cos(math.radians(TWO_HOURS))


# --- functions ------------------------------------------------------------------------------------
def longitude_rad(date):
    """The sun's place on its yearly path [rad], as the Almanac's low-precision formula has it."""
    days = (date - datetime.date(2000, 1, 1)).days
    g = math.radians(357.529 + 0.98560028 * days)
    return math.radians(280.459 + 0.98564736 * days + 1.915 * math.sin(g) + 0.020 * math.sin(2 * g))


def declination(date):
    return float(sun.declination_deg(date))


def declination_one_line(date):
    return float(sun.declination_one_line_deg(date.timetuple().tm_yday))


def declination_cases(n, rng):
    # the months when the one-line formula is worst, then two others; years apart
    year = rng.randrange(2024, 2031)
    return [
        (datetime.date(year, 3, rng.randrange(1, 9)),),
        (datetime.date(year, 10, rng.randrange(9, 20)),),
        (datetime.date(year + 1, 6, rng.randrange(15, 28)),),
        (datetime.date(year + 1, 12, rng.randrange(15, 28)),),
        (datetime.date(year + 2, rng.choice((2, 8)), rng.randrange(1, 28)),),
    ]


def tilt_needed(lat, dec, hour_angle):
    return float(sun.trough_angles(lat, dec, hour_angle).tilt_deg)


def swing(dec, hour_angle):
    d, w = math.radians(dec), math.radians(hour_angle)
    return math.degrees(math.atan2(math.sin(d), math.cos(d) * math.cos(w)))


def by_arctangent(lat, dec, hour_angle):
    half = math.tan(math.radians(dec)) / math.cos(math.radians(hour_angle))
    return abs(lat) - math.copysign(1, lat) * math.degrees(math.atan(half))


def by_height(lat, dec, hour_angle):
    p, d, w = map(math.radians, (lat, dec, hour_angle))
    up = math.sin(d) * math.sin(p) + math.cos(d) * math.cos(w) * math.cos(p)
    return 90 - math.degrees(math.asin(up))


def degrees_as_radians(lat, dec, hour_angle):
    turned = math.degrees(math.atan2(math.sin(dec), math.cos(dec) * math.cos(hour_angle)))
    return abs(lat) - math.copysign(1, lat) * turned


def tilt_cases(n, rng):
    north, south = float(rng.randrange(36, 50)), -float(rng.randrange(28, 42))
    return [
        (north, float(rng.randrange(18, 24)), -float(rng.randrange(30, 60, 5))),
        (north, -float(rng.randrange(10, 23)), float(rng.randrange(20, 50, 5))),
        (north, 0.0, 45.0),
        (north, 23.0, 98.0),  # a summer evening: the sun is up, north of the east-west line
        (south, -float(rng.randrange(10, 23)), float(rng.randrange(20, 60, 5))),
        (south, float(rng.randrange(10, 23)), -30.0),
    ]


LESSON = Lesson(
    slug="sun",
    number=3,
    title="Sun",
    numbers={
        "latitude": Own(38, "deg", 30, 44, 1, "your latitude, north"),
        "south_latitude": Own(34, "deg", 28, 40, 1, "latitude of the southern site"),
        "west_of_meridian": Own(4.5, "deg", 2, 7.5, 0.5, "you are west of your zone meridian by"),
        "sundial_ahead": Own(AHEAD, "min", 13, 16.4, 0.2, "sundial ahead, on your autumn day"),
        "aim_total": Own(1.5, "deg", 1.5, 2, 0.1, "aim budget, all together"),
        "date_share": Own(0.5, "deg", 0.4, 0.5, 0.1, "of it for the date"),
        "setting_share": Own(0.3, "deg", 0.2, 0.3, 0.1, "of it for setting by hand"),
        "noon_move": Own(3, "deg", 2.5, 4, 0.5, "move of the noon tilt you can bear"),
        "aperture_width": Own(640, "mm", 640, 700, 10, "width of your opening"),
        "focal_length": Own(170, "mm", 158, 170, 2, "your focal length"),
        "trough_length": Own(900, "mm", 800, 900, 10, "length of your mirror and pipe"),
    },
    exercises=[
        Prediction(
            name="left_alone",
            title="Left alone for three hours",
            question="The trough is aimed at the noon sun and left alone. On which day is it still "
            "well aimed three hours later?",
            options={
                "a": "near 21 March or 23 September",
                "b": "near 21 June",
                "c": "near 21 December",
                "d": "on all days alike",
            },
        ),
        Number(
            name="june_tilt",
            points=2,
            title="Noon tilt in June",
            unit="deg",
            answer=june_tilt,
            tolerance=Within(0.3, "deg", "the share of the aim budget for setting by hand"),
            slips=[
                Slip(
                    "height of the sun",
                    lambda n: 90 - june_tilt(n),
                    "Is that how far you lean the trough, or how high the sun stands?",
                    "That is the sun's height above the horizon. The tilt is counted from straight "
                    "up: 90° minus the height.",
                ),
                Slip(
                    "added",
                    lambda n: n.latitude + SUMMER,
                    "Does the summer sun stand high or low? Then which way does the tilt change?",
                    "You added the declination. In summer the sun stands higher, so the tilt is "
                    "smaller: {latitude} minus the declination.",
                ),
                Slip(
                    "equinox",
                    lambda n: n.latitude,
                    "That tilt fits two days of the year. Is 21 June one of them?",
                    "That is the tilt of the equinox. Take the declination of June off.",
                ),
            ],
            hint="tilt = latitude − declination. On 21 June the declination is +23.4°.",
            worked="{latitude} − 23.4° = {answer}.",
        ),
        Number(
            name="southern_tilt",
            points=2,
            title="Noon tilt at Tarrowin Spit",
            unit="deg",
            answer=southern_tilt,
            tolerance=Within(0.3, "deg", "the share of the aim budget for setting by hand"),
            slips=[
                Slip(
                    "winter",
                    lambda n: n.south_latitude + SUMMER,
                    "Which season is it in December, south of the equator?",
                    "You used a winter sun. In December it is summer there: the declination, "
                    "−23.4°, points to their side, so take 23.4° off.",
                ),
                Slip(
                    "sign kept",
                    lambda n: -southern_tilt(n),
                    "The size is right. Can a trough lean by less than nothing?",
                    "You kept the sign of the south. Count the latitude without its sign; which "
                    "way it leans is asked next.",
                    credit=0.5,
                ),
                Slip(
                    "height of the sun",
                    lambda n: 90 - southern_tilt(n),
                    "How high does the sun stand, and how far does the trough lean?",
                    "That is the sun's height. The tilt is 90° minus it.",
                ),
                Slip(
                    "equinox",
                    lambda n: n.south_latitude,
                    "Have you used the date?",
                    "That is the tilt in March and September. December takes 23.4° off.",
                ),
            ],
            hint="Count the latitude as {south_latitude} and ask whether the sun is on that side.",
            worked="{south_latitude} − 23.4° = {answer}.",
        ),
        Choice(
            name="southern_direction",
            points=1,
            title="Which way does it lean?",
            options={
                "a": "to the north",
                "b": "to the south",
                "c": "to the east",
                "d": "it stays level",
            },
            answer="a",
            slips=[
                Slip(
                    "south",
                    "b",
                    "Which way is the equator from there?",
                    "At noon the sun stands on the equator's side. Seen from the south that is "
                    "the north.",
                ),
                Slip(
                    "east",
                    "c",
                    "Where does the sun stand at noon?",
                    "East is the morning. At noon it stands in the north there.",
                ),
                Slip(
                    "level",
                    "d",
                    "Would the noon sun stand straight overhead there?",
                    "Straight overhead happens only between the tropics. Look at your tilt: it "
                    "is not zero.",
                ),
            ],
            worked="To the north: outside the tropics it is always towards the equator.",
            after=("At noon the sun stands on the equator's side, and from the south that is the "
                   "north.",),
        ),
        Number(
            name="solar_noon",
            points=2,
            title="The clock at solar noon",
            unit="clock",
            answer=noon_clock,
            tolerance=Within(2, "clock", "two minutes move the sun by half a degree"),
            slips=[
                Slip(
                    "sundial forgotten",
                    lambda n: noon_clock(n, ahead=0.0),
                    "One correction is still missing. Which one changes with the date?",
                    "You left out the sundial's lead. It is ahead, so noon comes earlier: take "
                    "{sundial_ahead} off.",
                ),
                Slip(
                    "sundial the other way",
                    lambda n: noon_clock(n, ahead=1.0),
                    "The sundial is ahead of the clock. Does it reach noon before or after it?",
                    "You added the sundial's lead. It is ahead, so take it off.",
                ),
                Slip(
                    "place the other way",
                    lambda n: noon_clock(n, west=-1.0),
                    "The sun moves from east to west. Who sees it highest first?",
                    "You live west of the meridian. The sun gets to you later: add 4 minutes "
                    "for each degree.",
                ),
                Slip(
                    "place forgotten",
                    lambda n: noon_clock(n, west=0.0),
                    "That holds on your zone meridian. Do you live on it?",
                    "You left out the place: 4 minutes for each degree west.",
                ),
                Slip(
                    "summer time",
                    lambda n: noon_clock(n) + 60,
                    "Which of your clocks shows that? The question says standard time.",
                    "You added an hour for summer time. The question asks for standard time.",
                ),
            ],
            hint="12:00 plus 4 min × {west_of_meridian} (without the sign °), minus "
            "{sundial_ahead}.",
            worked=lambda n: (
                f"12:00 + {4 * n.west_of_meridian:g} min − {n.shown('sundial_ahead')} = "
                f"{units.show(noon_clock(n), 'clock')}."
            ),
            after=("In summer time add one hour, and only then.",),
        ),
        Number(
            name="session_share",
            points=1,
            title="What is left for the session",
            unit="deg",
            answer=session_share,
            tolerance=Within(0.02, "deg", "plain subtraction"),
            slips=[
                Slip(
                    "setting forgotten",
                    lambda n: n.aim_total - n.date_share,
                    "Can you set the trough without any error?",
                    "Take the share for setting by hand off too.",
                ),
                Slip(
                    "date forgotten",
                    lambda n: n.aim_total - n.setting_share,
                    "Do you touch the trough every day?",
                    "Take the share for the date off too.",
                ),
                Slip(
                    "taken as random",
                    lambda n: math.sqrt(n.aim_total**2 - n.date_share**2 - n.setting_share**2),
                    "Squares are for errors that come at random. Are these?",
                    "A late date is late on every side: these errors add up plainly. Subtract.",
                ),
            ],
            hint="{aim_total} − {date_share} − {setting_share}.",
            worked="{aim_total} − {date_share} − {setting_share} = {answer}.",
        ),
        Number(
            name="session_minutes",
            points=2,
            title="How long a June session lasts",
            unit="min",
            answer=lambda n: session_seconds(session_share(n)),
            tolerance=Relative(0.04, "three minutes; the hand is slower than that"),
            carry=lambda n, earlier: session_seconds(earlier["session_share"]),
            slips=[
                Slip(
                    "aimed at the noon sun",
                    lambda n: session_seconds(session_share(n), biased=False),
                    "That is for a trough aimed at the noon sun. Where is yours aimed?",
                    "You used the share once. Aimed half-way, the sun may swing through twice the "
                    "share: put 2A into the formula.",
                    credit=0.5,
                ),
                Slip(
                    "both sides together",
                    lambda n: 2 * session_seconds(session_share(n)),
                    "On each side of noon, or both together?",
                    "That is the whole session. One side is half of it.",
                ),
                Slip(
                    "angle read as minutes",
                    lambda n: 60 * 15 * session_seconds(session_share(n)) / 3600,
                    "Your angle is right. How many degrees does the sun turn in an hour?",
                    "That is the angle w in degrees. 15° are one hour, so 1° is 4 minutes.",
                ),
            ],
            hint="cos w = tan d / tan(d + 2A), d = 23.4°, A from exercise 5; 4 min per degree.",
            worked=lambda n: (
                f"A = {units.show(session_share(n), 'deg')}: w = "
                f"{15 * session_seconds(session_share(n)) / 3600:.1f}°, times 4 min = "
                f"{units.show(session_seconds(session_share(n)), 'min', 3)}."
            ),
            after=("In March the same share lasts all day.",),
        ),
        Number(
            name="days_to_move",
            points=2,
            title="Days until the noon tilt has moved",
            unit="d",
            answer=days_to_move,
            tolerance=Within(1, "d", "the trough is set on whole days"),
            slips=[
                Slip(
                    "mean of the year",
                    days_at_mean_rate,
                    "Does the noon sun climb by the same amount every day of the year?",
                    "You used the year's mean. In March the sun moves fastest, almost 0.4° a day.",
                ),
                Slip(
                    "twice the move",
                    lambda n: days_to_move(n, share=2.0),
                    "Which move did you take? Look at your card.",
                    "You used twice {noon_move}.",
                ),
                Slip(
                    "June",
                    lambda n: days_to_move(n, start=JUNE),
                    "That would be right in another month. In which?",
                    "You counted from the solstice, where the date hardly matters. Start on 21 "
                    "March.",
                ),
            ],
            hint="Near 21 March the noon tilt moves almost 0.4° a day.",
            worked=lambda n: (
                f"{n.shown('noon_move')} ÷ 0.39° a day is about "
                f"{units.show(days_to_move(n), 'd', 2)}."
            ),
        ),
        Choice(
            name="longest_day",
            points=1,
            title="Left alone within one day",
            options={
                "a": "at the equinox, about 20 March",
                "b": "at midsummer, 21 June",
                "c": "at midwinter, 21 December",
                "d": "it makes no difference",
            },
            answer="a",
            slips=[
                Slip(
                    "midsummer",
                    "b",
                    "Are you thinking of days, or of hours within one day?",
                    "In June the date matters least. Within the day the sun leaves the trough "
                    "soonest then. That is the other clock.",
                ),
                Slip(
                    "midwinter",
                    "c",
                    "Set the explorer to December. Is the curve flat or a deep U?",
                    "In December the curve is as steep as in June, only the other way round.",
                ),
                Slip(
                    "no difference",
                    "d",
                    "Look at the lower picture for March and for June.",
                    "In March the curve is flat all day, in June it is a steep U.",
                ),
            ],
            worked="a: at the equinox the curve is flat all day.",
            after=("At the equinox the sun runs along the trough all day, so the tilt needs no "
                   "change.",),
        ),
        Prediction(
            name="slides",
            title="Two hours from noon",
            question="It is the equinox, two hours from noon. Mirror and pipe are both 0.9 m long. "
            "How much is left of the noon light?",
            options={"a": "about 95 %", "b": "about 75 %", "c": "about 50 %"},
        ),
        Number(
            name="past_end",
            points=2,
            title="Light past the pipe's end",
            unit="%",
            answer=past_end,
            tolerance=Within(0.8, "%", "pipe's skin or middle: less than a point apart"),
            slips=[
                Slip(
                    "focal length",
                    past_end_with_f,
                    "Does all the light start at the vertex?",
                    "You used f, the shortest way. On the mean the light travels farther; the "
                    "lesson prints that mean distance above the question.",
                ),
                Slip(
                    "cosine included",
                    with_cosine,
                    "Two things happen off noon. Which one is asked for here?",
                    "You counted the slanting opening as well (the cosine). Only the light past "
                    "the end is asked for.",
                    credit=0.5,
                ),
                Slip(
                    "nothing lost",
                    lambda n: 0.0,
                    "That needs a pipe that sticks out. Does this one?",
                    "Here the pipe ends with the mirror. The light slides along by distance × "
                    "tan 30°, and what slides past the end is lost.",
                ),
            ],
            hint="slide = mean distance × tan 30°; share = slide ÷ {trough_length}.",
            worked=lambda n: (
                f"{trough(n).mean_focal_distance - PIPE / 2:.3f} m × tan 30° ÷ "
                f"{n.trough_length:g} m = {units.show(past_end(n), '%', 3)}."
            ),
            after=("A pipe that sticks out catches it. No joint, hose or wood in that stretch.",),
        ),
        Function(
            name="declination",
            points=3,
            title="The declination of any date",
            signature="declination(date)",
            examples=[(datetime.date(2026, 6, 21),), (datetime.date(2026, 12, 21),)],
            cases=declination_cases,
            reference=declination,
            tolerance=Within(0.3, "deg", "the share of the aim budget for setting by hand"),
            slips=[
                Slip(
                    "one-line formula",
                    declination_one_line,
                    "Close, but up to 1° off in March and October. How large is your budget?",
                    "That is the popular one-line formula. Its error alone eats most of the aim "
                    "budget; use the sun's longitude.",
                    credit=0.5,
                ),
                Slip(
                    "winter in June",
                    lambda date: -declination(date),
                    "What sign has the June sun in the north?",
                    "The sign is turned. North of the equator counts positive: June is +23.4°.",
                ),
                Slip(
                    "radians handed back",
                    lambda date: math.radians(declination(date)),
                    "Can the June sun stand less than half a degree from the equator?",
                    "Your result is in radians. Wrap it in degrees(…).",
                ),
                Slip(
                    "degrees fed to sine",
                    lambda date: math.degrees(
                        math.asin(math.sin(23.439) * math.sin(math.degrees(longitude_rad(date))))
                    ),
                    "Which unit does Python's sin expect?",
                    "sin takes radians. Put radians(…) around every angle first.",
                ),
                Slip(
                    "longitude itself",
                    lambda date: math.degrees(longitude_rad(date)),
                    "That is how far the sun is along its path. How far north is it?",
                    "You handed back the longitude. The height is asin(sin(lean) × "
                    "sin(longitude)).",
                ),
            ],
            hint="sin(declination) = sin(lean of the Earth's axis) × sin(longitude).",
            worked="height = asin(sin(lean) * sin(longitude))",
        ),
        Function(
            name="tilt_needed",
            points=3,
            title="The tilt at any hour",
            signature="tilt_needed(lat, dec, hour_angle)",
            examples=[(38.0, 23.4, 0.0), (38.0, 23.4, 45.0)],
            cases=tilt_cases,
            reference=tilt_needed,
            tolerance=Within(0.05, "deg", "model arithmetic, far inside the aim budget"),
            slips=[
                Slip(
                    "noon at all hours",
                    lambda lat, dec, hour_angle: abs(lat) - math.copysign(dec, lat * dec),
                    "Right at noon. Does your rule use the hour angle?",
                    "Your rule gives the noon tilt at every hour. Replace dec by the swing "
                    "atan2(sin d, cos d · cos w).",
                ),
                Slip(
                    "plain arctangent",
                    by_arctangent,
                    "Try a summer evening, hour angle 98°. Which side of the sky is the sun on?",
                    "atan cannot tell front from back. Use atan2(sin d, cos d · cos w).",
                    credit=0.5,
                ),
                Slip(
                    "height of the sun",
                    by_height,
                    "Is the trough's axis square to the sun's direction at that hour?",
                    "You used 90° − height. Off noon the sun also stands to the side, and a trough "
                    "need not follow that.",
                ),
                Slip(
                    "south like north",
                    lambda lat, dec, hour_angle: lat - swing(dec, hour_angle),
                    "Try latitude −34°. Is a tilt below −30° sensible?",
                    "In the south the tilt is counted to the north: abs(lat) plus the swing.",
                ),
                Slip(
                    "degrees fed to sine",
                    degrees_as_radians,
                    "Which unit does Python's sin expect?",
                    "sin and cos take radians. Turn dec and hour_angle with radians(…) first.",
                ),
            ],
            hint="atan2 takes two sides of a triangle: up, sin(d), and along, cos(d) times cos(w). "
            "The swing is its angle, in degrees.",
            worked="swing = degrees(atan2(sin(d), cos(d) * cos(w)))",
        ),
        ShortText(
            name="two_clocks",
            points=2,
            title="The two clocks",
            points_looked_for=[
                KeyPoint(
                    "equinox",
                    ("equinox", "march", "september", "spring", "autumn"),
                    "Near the equinox the date matters and the hour does not.",
                ),
                KeyPoint(
                    "solstice",
                    ("solstice", "june", "december", "midsummer", "midwinter", "summer", "winter"),
                    "Near the solstice the hour matters and the date does not.",
                ),
                KeyPoint(
                    "what to do",
                    (
                        "every few days",
                        "each day",
                        "every day",
                        "week",
                        "re-tilt",
                        "retilt",
                        "during the day",
                        "within the day",
                        "set it",
                        "touch",
                    ),
                    "So set it anew every few days in March, and during the session in June.",
                ),
            ],
        ),
    ],
)
