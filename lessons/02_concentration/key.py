"""Answer key of lesson 02: suns and watts, the sun's image, aim, the chain of losses."""

import math
from statistics import mean

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
from solarlib import geometry, optics, units

SUN_HALF = math.radians(optics.SUN_HALF_ANGLE_DEG)
LADLE = geometry.Parabola(0.170, 0.640)
LADLE_PIPE, LADLE_SURFACE = 0.022, 5.0  # [m], [mrad]: the fault exercise is about the Ladle itself


def trough(n):
    return geometry.Parabola(n.focal_length, n.aperture_width)


def ratio(n):
    return optics.concentration_unshaded(n.aperture_width, n.tube_diameter)


def image(n):
    return optics.sun_image_width(trough(n).rim_distance)


def aim(n):
    return optics.no_loss_aim_deg(trough(n), n.tube_diameter)


def aim_from(n, rim_distance):
    half = math.degrees(math.asin(n.tube_diameter / 2 / rim_distance))
    return half - optics.SUN_HALF_ANGLE_DEG


def about_twice_the_aim(n):
    """Diameter for radius, or f for the rim distance: with or without the sun's half width."""
    wide = math.degrees(math.asin(n.tube_diameter / trough(n).rim_distance))
    near = math.degrees(math.asin(n.tube_diameter / 2 / n.focal_length))
    sun = optics.SUN_HALF_ANGLE_DEG
    return (wide, wide - sun, near, near - sun)


def chain(n):
    unshaded = 1 - optics.shaded_share(n.aperture_width, n.tube_diameter)
    return (n.reflectance, n.absorptance, n.caught, float(unshaded))


def caught_with(**errors):
    """Share the Ladle catches with a 5 mrad surface and the errors given."""
    errors = {"slope_error_mrad": LADLE_SURFACE, **errors}
    return units.show(float(optics.intercept_factor(LADLE, LADLE_PIPE, **errors)), "%", 3)


# --- the function of exercise 10 ------------------------------------------------------------------
def overlap(offset, band, pipe):
    return min(pipe / 2, offset + band / 2) - max(-pipe / 2, offset - band / 2)


def share_caught(offset, band, pipe):
    return max(0.0, overlap(offset, band, pipe)) / band


def band_cases(n, rng):
    pipe = float(rng.randrange(18, 29, 2))
    narrow, wide = float(rng.randrange(4, 11)), float(rng.randrange(40, 61, 2))
    beside = pipe / 2 + narrow / 4  # the band lies over the pipe's edge
    return [
        (0.0, narrow, pipe),
        (0.0, wide, pipe),
        (beside, narrow, pipe),
        (-beside, narrow, pipe),
        (3.0, wide, pipe),
        (100.0, narrow, pipe),
    ]


LESSON = Lesson(
    slug="concentration",
    number=2,
    title="Concentration",
    numbers={
        "aperture_width": Own(640, "mm", 580, 700, 10, "width of your opening"),
        "focal_length": Own(170, "mm", 155, 180, 1, "your focal length"),
        # two trade sizes of EN 1057: 22 and 28 mm
        "tube_diameter": Own(22, "mm", 22, 28, 6, "outside diameter of your pipe"),
        "surface_tilt": Own(5, "mrad", 4, 9, 0.5, "tilt of one strip at the rim"),
        "reflectance": Own(82, "%", 78, 86, 1, "your mirror sends back"),
        "absorptance": Own(92, "%", 90, 96, 1, "your paint takes up"),
        "caught": Own(90, "%", 84, 94, 1, "of the reflected light meets the pipe"),
    },
    buildable=lambda n: 75 <= trough(n).rim_angle_deg <= 100,
    exercises=[
        Prediction(
            name="cliff",
            title="One degree off",
            question="The Ladle points 1 degree beside the sun. How much of its light is lost?",
            options={
                "a": "almost none",
                "b": "about a quarter",
                "c": "about half",
                "d": "all of it",
            },
        ),
        Number(
            name="ratio",
            points=2,
            title="How many times stronger",
            unit="1",
            answer=ratio,
            tolerance=Relative(0.01, "plain arithmetic; the shadow alone is worth 3 %"),
            slips=[
                Slip(
                    "width over width",
                    lambda n: optics.concentration_by_width(n.aperture_width, n.tube_diameter),
                    "Does the light meet a flat strip, or the skin of a round pipe?",
                    "You divided by the pipe's diameter. The light lands around the pipe: divide "
                    "by its circumference, π × {tube_diameter}.",
                ),
                Slip(
                    "shadow forgotten",
                    lambda n: optics.concentration_by_area(n.aperture_width, n.tube_diameter),
                    "Very close. Does the mirror right behind the pipe get any sun?",
                    "The pipe's own shadow is missing: take {tube_diameter} off the opening first.",
                    credit=0.5,
                ),
                Slip(
                    "radius and diameter",
                    lambda n: ratio(n) / 2,
                    "Half of what it should be. Which length goes into 2πr?",
                    "You put the diameter where the radius belongs. The circumference is π × "
                    "diameter.",
                ),
            ],
            hint="({aperture_width} − {tube_diameter}) ÷ (π × {tube_diameter}).",
            worked="({aperture_width} − {tube_diameter}) ÷ (π × {tube_diameter}) = {answer}.",
            after=("This is an average. On the lit side it is about twice as strong.",),
        ),
        Number(
            name="rim_distance",
            points=1,
            title="From the rim to the focus",
            unit="mm",
            answer=lambda n: trough(n).rim_distance,
            tolerance=Relative(0.01, "a tape measure in a finished trough"),
            slips=[
                Slip(
                    "focal length",
                    lambda n: n.focal_length,
                    "That is the shortest way. Is the rim as near to the focus as the vertex?",
                    "You took f. The rim is farther by the depth of the curve.",
                ),
                Slip(
                    "focus level with the vertex",
                    lambda n: math.hypot(n.aperture_width / 2, n.focal_length),
                    "The rim is not down at the vertex. How high is it?",
                    "You measured from the foot of the rim. The rim stands one depth higher, so "
                    "its way to the focus is shorter: r = f + depth.",
                ),
                Slip(
                    "full width",
                    lambda n: n.focal_length + n.aperture_width**2 / (4 * n.focal_length),
                    "That would be farther than the trough is wide. Where does x start?",
                    "You put the full width in for x. x starts at the middle.",
                ),
            ],
            hint="r = f + x²/(4f), with half of {aperture_width} for x and {focal_length} for f.",
            worked=lambda n: (
                f"{n.shown('focal_length')} + {units.show(trough(n).depth, 'mm')} = "
                f"{units.show(trough(n).rim_distance, 'mm')}."
            ),
        ),
        Number(
            name="image",
            points=2,
            title="Width of the sun's image",
            unit="mm",
            answer=image,
            tolerance=Relative(0.03, "the sun's width changes by 3 % within the year"),
            carry=lambda n, earlier: optics.sun_image_width(earlier["rim_distance"]),
            slips=[
                Slip(
                    "sun as a point",
                    lambda n: 0.0,
                    "Is the sun a point? Look at a full moon: it is as wide.",
                    "No image is a point. The sun is 0.533° across, and its image has a width too.",
                ),
                Slip(
                    "full angle on each side",
                    lambda n: 2 * trough(n).rim_distance * math.tan(2 * SUN_HALF),
                    "Twice too wide. How many degrees belong to each side of the middle?",
                    "You took the full 0.533° on each side of the middle. It is half of that.",
                ),
                Slip(
                    "f for the rim distance",
                    lambda n: optics.sun_image_width(n.focal_length),
                    "That is the image from the middle strip. Which strip is farther away?",
                    "You used f. The light of the rim strip travels the rim distance.",
                ),
            ],
            hint="Image = 2 × distance × tan(half of 0.533°). Which distance is it for the rim strip?",
            worked=lambda n: (
                f"2 × {units.show(trough(n).rim_distance, 'mm')} × tan 0.2665° = "
                f"{units.show(image(n), 'mm', 3)}."
            ),
            after=("Your pipe is much wider than that. So small errors cost nothing.",),
        ),
        Number(
            name="no_loss_aim",
            points=2,
            title="How far off may the aim be?",
            unit="deg",
            answer=aim,
            tolerance=Within(0.08, "deg", "no aiming device of this course is finer"),
            carry=lambda n, earlier: aim_from(n, earlier["rim_distance"]),
            slips=[
                Slip(
                    "sun's half width",
                    lambda n: optics.acceptance_half_angle_deg(trough(n), n.tube_diameter),
                    "Right for a sun without width. What does the real sun's edge do?",
                    "You left out the sun's half width. Its edge misses first: take 0.27° off.",
                    credit=0.5,
                ),
                Slip(
                    "whole sun",
                    lambda n: aim(n) - optics.SUN_HALF_ANGLE_DEG,
                    "Nearly. How much of the sun lies on one side of its middle?",
                    "You took off the whole width of the sun, 0.53°. Take off half of it, 0.27°.",
                    credit=0.5,
                ),
                Slip(
                    "about twice too far",
                    about_twice_the_aim,
                    "That is about twice the true value. Check the pipe's half and the longest way.",
                    "Either the diameter stands in the place of the radius, or f "
                    "in the place of the rim distance.",
                ),
            ],
            hint="sin(angle) = pipe's radius ÷ rim distance. Then take the sun's half width off.",
            worked=lambda n: (
                f"{units.show(n.tube_diameter / 2, 'mm')} ÷ "
                f"{units.show(trough(n).rim_distance, 'mm')} is the sine of "
                f"{optics.acceptance_half_angle_deg(trough(n), n.tube_diameter):.2f}°. Minus the "
                f"sun's half width: {aim(n):.2f}°."
            ),
            after=(
                "A real, wavy mirror loses a little before that angle and keeps some after it.",
            ),
        ),
        Choice(
            name="worst_fault",
            points=1,
            title="Which fault costs most?",
            options={
                "a": "the surface is rougher: 8 mrad instead of 5",
                "b": "the pipe sits 3 mm too high",
                "c": "the trough points 3° beside the sun",
                "d": "the trough points 1° beside the sun",
            },
            answer="c",
            slips=[
                Slip(
                    "finer curve",
                    "a",
                    "Set the explorer to 8 mrad. Does the gauge move much?",
                    lambda n: (
                        f"With 8 mrad and good aim {caught_with(slope_error_mrad=8.0)} is "
                        "still caught. A finer curve hardly matters here."
                    ),
                ),
                Slip(
                    "pipe height",
                    "b",
                    "Move the pipe up by 3 mm in the explorer. What happens?",
                    lambda n: (
                        f"3 mm too high still catches {caught_with(tube_dy=0.003)}. The "
                        "brackets have play for this."
                    ),
                ),
                Slip(
                    "first degree",
                    "d",
                    "Set the explorer to 1°. Has the cliff begun there?",
                    lambda n: (
                        f"At 1° {caught_with(misaim_deg=1.0)} is caught. The cliff comes later."
                    ),
                ),
            ],
            worked=lambda n: f"c: at 3° only {caught_with(misaim_deg=3.0)} is caught.",
            after=("First aim, then the pipe's place, then the curve.",),
        ),
        Number(
            name="rim_miss",
            points=2,
            title="A tilted strip",
            unit="mm",
            answer=lambda n: 2 * math.radians(n.surface_tilt) * trough(n).rim_distance,
            tolerance=Relative(0.03, "plain arithmetic, small angles"),
            carry=lambda n, earlier: 2 * math.radians(n.surface_tilt) * earlier["rim_distance"],
            slips=[
                Slip(
                    "not doubled",
                    lambda n: math.radians(n.surface_tilt) * trough(n).rim_distance,
                    "Turn a hand mirror a little. How far does the light turn?",
                    "A mirror that tilts by an angle turns its light by twice that angle.",
                ),
                Slip(
                    "milliradian read as degree",
                    lambda n: (
                        trough(n).rim_distance
                        * math.tan(math.radians(2 * 1000 * math.radians(n.surface_tilt)))
                    ),
                    "Would you see that with bare eyes? How large is one milliradian?",
                    "You took milliradians for degrees. 1 mrad is 1 mm in 1 m.",
                ),
            ],
            hint="1 mrad is 1 mm in 1 m. The light turns by 2 × {surface_tilt}.",
            worked=lambda n: (
                f"2 × {n.shown('surface_tilt')} at {units.show(trough(n).rim_distance, 'm')}: "
                f"{units.show(2 * math.radians(n.surface_tilt) * trough(n).rim_distance, 'mm', 3)}."
            ),
        ),
        Prediction(
            name="thinner",
            title="A thinner pipe",
            question="The aim is 1.5° off. You change the 22 mm pipe for one of 15 mm. What do the "
            "watts on the pipe do?",
            options={"a": "they rise", "b": "they stay the same", "c": "they fall"},
        ),
        Choice(
            name="second_mirror",
            points=1,
            title="A second mirror",
            options={
                "a": "watts double, suns on the skin double",
                "b": "watts double, suns stay",
                "c": "watts stay, suns double",
                "d": "neither changes",
            },
            answer="a",
            slips=[
                Slip(
                    "watts only",
                    "b",
                    "Twice the watts on the same skin: how many per square centimetre?",
                    "Suns are watts divided by area. The pipe's skin is the same, so the suns "
                    "double with the watts.",
                ),
                Slip(
                    "suns only",
                    "c",
                    "Where would the light of the second mirror go?",
                    "A second opening takes in a second share of sun. Only a larger opening makes "
                    "more watts, and here it is twice as large.",
                ),
                Slip(
                    "neither",
                    "d",
                    "Count the openings that send light to this pipe.",
                    "Two openings feed one pipe. Both bars of the explorer rise.",
                ),
            ],
            worked="a: twice the opening, the same skin.",
            after=("Twice the opening takes in twice the watts, and the same skin has to take "
                   "them all.",),
        ),
        Choice(
            name="half_covered",
            points=1,
            title="One side covered",
            options={
                "a": "half the watts; the pipe is lit from one side only",
                "b": "half the watts; one half of the pipe's length goes dark",
                "c": "no watts; half a mirror makes no focus",
                "d": "the same watts; the other side makes up for it",
            },
            answer="a",
            slips=[
                Slip(
                    "half the length",
                    "b",
                    "Which cover would do that: one along a side, or one over an end?",
                    "That is a cover over one end. Along a side each remaining strip still "
                    "lights the pipe's whole length.",
                ),
                Slip(
                    "no focus",
                    "c",
                    "Follow one ray from the open side. Does it know about the cover?",
                    "Every strip sends its light to the focus by itself. The strips that are left "
                    "go on as before.",
                ),
                Slip(
                    "made up for",
                    "d",
                    "Where would the missing sunlight come from?",
                    "Half the opening takes in half the sun. Nothing can make up for it.",
                ),
            ],
            worked="a: each strip works by itself, and half of them are dark.",
            after=("Each strip lights the pipe's whole length by itself, so the cover takes watts "
                   "and one side of the light.",),
        ),
        Number(
            name="efficiency",
            points=2,
            title="The chain of shares",
            unit="%",
            answer=lambda n: math.prod(chain(n)),
            tolerance=Relative(0.01, "plain arithmetic"),
            slips=[
                Slip(
                    "averaged",
                    lambda n: mean(chain(n)),
                    "Can the whole chain be better than its worst link?",
                    "You took the mean. Each share acts on what the one before has left: multiply.",
                ),
                Slip(
                    "shadow forgotten",
                    lambda n: math.prod(chain(n)[:3]),
                    "Nearly. One link has no percentage on your card. Which one?",
                    "The pipe's shadow is missing: the share ({aperture_width} − {tube_diameter}) "
                    "÷ {aperture_width}.",
                    credit=0.5,
                ),
                Slip(
                    "losses added",
                    lambda n: 1 - sum(1 - share for share in chain(n)),
                    "A little low. Can the paint lose light that the mirror has already lost?",
                    "You added up the losses. The later ones act on less light: multiply the "
                    "shares that are left.",
                ),
            ],
            hint="{reflectance} × {absorptance} × {caught}, then the share outside the shadow.",
            worked=lambda n: (
                " × ".join(f"{share:.3f}" for share in chain(n)) + f" = {math.prod(chain(n)):.3f}."
            ),
            after=("Four good links, and about a third of the light is gone.",),
        ),
        Function(
            name="share_caught",
            points=3,
            title="A band of light on a pipe",
            signature="share_caught(offset, band, pipe)",
            examples=[(0.0, 10.0, 22.0), (14.0, 10.0, 22.0)],
            cases=band_cases,
            reference=share_caught,
            tolerance=Within(0.005, "1", "half a percent of the light"),
            slips=[
                Slip(
                    "below zero",
                    lambda offset, band, pipe: overlap(offset, band, pipe) / band,
                    "Try share_caught(100, 10, 22). Can less than nothing be caught?",
                    "Far off, your share is negative. Put max(0, …) around the overlap.",
                    credit=0.5,
                ),
                Slip(
                    "above one",
                    lambda offset, band, pipe: max(0.0, pipe / 2 + band / 2 - abs(offset)) / band,
                    "Try share_caught(0, 10, 22). Can more light arrive than there is?",
                    "A band that fits on the pipe is caught once, not more: the overlap is never "
                    "wider than the band or the pipe.",
                    credit=0.5,
                ),
                Slip(
                    "share of the pipe",
                    lambda offset, band, pipe: max(0.0, overlap(offset, band, pipe)) / pipe,
                    "A share of what: of the light, or of the pipe?",
                    "You divided by the pipe. Divide the overlap by the width of the band.",
                ),
                Slip(
                    "offset forgotten",
                    lambda offset, band, pipe: min(band, pipe) / band,
                    "Move the band 100 mm away. Does your answer change?",
                    "Your rule does not use the offset.",
                ),
            ],
            hint="Right end: the smaller of pipe/2 and offset + band/2. Left end: the larger of "
            "−pipe/2 and offset − band/2.",
            worked="share = max(0, right_end - left_end) / band",
        ),
        ShortText(
            name="thin_pipe",
            points=2,
            title="Answer the visitor",
            points_looked_for=[
                KeyPoint(
                    "watts",
                    ("watt", "power", "same energy", "same light", "same heat", "opening"),
                    "The watts come from the opening, not from the pipe.",
                ),
                KeyPoint(
                    "suns",
                    ("suns", "concentrat", "brighter", "skin", "surface", "smaller area"),
                    "A thinner pipe raises only the suns on its skin.",
                ),
                KeyPoint(
                    "aim",
                    ("aim", "miss", "error", "tilt", "beside", "catch", "point"),
                    "A thinner pipe misses light as soon as the aim is a little off.",
                ),
            ],
        ),
    ],
)
