"""Answer key of lesson 07, Capstone: sums by solarlib, the design file by `autograde.rubric`."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from autograde import rubric
from autograde.key import (
    Choice,
    KeyPoint,
    Lesson,
    Number,
    Own,
    OwnData,
    Prediction,
    Relative,
    ShortText,
    Slip,
    Verdict,
    WorkOut,
)
from autograde.numbers import Numbers
from solarlib import units

ARITHMETIC = Relative(0.005, "plain arithmetic")
SAMPLED = Relative(0.05, "another seed of the dice moves the result by about 2 %")


def rise(n):
    return n.target - n.start


def energy(n):
    from solarlib import water

    return float(water.warming_energy(n.water_mass, n.start, n.target))


def curve(n):
    from solarlib.geometry import Parabola

    return Parabola(focal_length=n.focal_length, aperture_width=n.aperture_width)


def slide(n, distance):
    """How far light from a strip at `distance` from the line slides along it."""
    return float(distance) * math.tan(math.radians(n.slant))


@lru_cache(maxsize=64)
def _evaluated(water_mass, start, target):
    """(middle, early, late, without losses, all sunlight counted) for the Ladle [s]."""
    from solarlib.design import demo, evaluate

    e = evaluate(replace(demo(), water_mass=water_mass, start_c=start, target_c=target))
    stored = float(e.heater.heat_capacity) * (target - start)
    return (e.band.median, e.band.soonest, e.band.latest, stored / e.absorbed,
            e.energy_needed / (e.beam * e.area))  # fmt: skip


def times(n):
    return _evaluated(float(n.water_mass), float(n.start), float(n.target))


def three_times(n, water_mass, target):
    """The times of three days for the Ladle's mirror, in the order of the lesson's own cell."""
    if not 0.5 <= water_mass <= 50:
        raise ValueError(f"{units.show(water_mass, 'kg')} of water is not for this trough; ask for "
                         "0.5 to 50 kg.")  # fmt: skip
    if not n.start < target <= 95:
        raise ValueError(f"{units.show(target, 'degC')} is no target; the water starts at "
                         f"{n.shown('start')}, and 95 °C is the most.")  # fmt: skip
    middle, early, late, *_ = _evaluated(float(water_mass), float(n.start), float(target))
    told = ", ".join(f"{time / 60:.1f} min" for time in (late, early, middle))
    return f"Three times, in no special order: {told}."


@dataclass(frozen=True, kw_only=True)
class DesignFile(OwnData):
    """A design file marked by the rubric: credit is its percentage, capped by open gates.

    In a class each criterion keeps the best score of all versions handed in.
    """

    keeps_versions = True

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        return self._verdict(rubric.mark(value))

    def judge_after(
        self, past: Sequence[str], cap: float | None, values: Sequence[Any], n: Numbers
    ) -> Verdict:
        verdict = self.judge(values, n)
        if not past:
            return verdict if verdict.design is None else self._verdict(verdict.design, cap)
        latest = verdict.design or rubric.mark(None)
        both = rubric.best_of([*map(rubric.mark, past), latest])
        before = f"{latest.trouble} The version before counts. " if latest.trouble else ""
        return self._verdict(both, cap, before)

    def _verdict(
        self, marked: rubric.Marked, cap: float | None = rubric.GATE_CAP, before: str = ""
    ) -> Verdict:
        if marked.trouble:
            return Verdict(0.0, "unreadable", marked.trouble, design=marked)
        score = f"{before}{marked.got:g} of {marked.automatic:g} machine points; {marked.clearance}."
        lost = [f"{c.id} {c.title}, {c.got:g} of {c.automatic:g}: {c.reason}"
                for c in marked.criteria if not c.full]  # fmt: skip
        gates = [f"Gate {gate}" for gate in marked.gates]
        told = "\n".join([score, *gates, *lost, f"Next: {next_step(marked, cap)}."])
        return Verdict(marked.percent(cap=cap) / 100, None, told, design=marked)


def next_step(marked: rubric.Marked, cap: float | None) -> str:
    """The ladder's step, said to somebody who may well learn alone."""
    step = marked.ladder(cap=cap)
    if step == "meet the instructor":
        first = "close the gates first, then mend" if marked.gates else "mend"
        return f"{first} what is listed here, from the top; ask whoever teaches you about the rest"
    return step


def each_criterion(text):
    return [(c.full, f"{c.id} {c.title}: {c.reason}") for c in rubric.mark(text).criteria]


LESSON = Lesson(
    slug="capstone",
    number=7,
    title="Capstone",
    numbers={
        "water_mass": Own(6.0, "kg", 4, 8, 1, "water you want warm"),
        "start": Own(18, "degC", 18, 18, 1, "water at the start"),
        "target": Own(55, "degC", 55, 60, 5, "water wanted"),
        "aperture_width": Own(640, "mm", 560, 760, 10, "width of the opening"),
        "focal_length": Own(170, "mm", 165, 220, 5, "focal length"),
        "slant": Own(30, "deg", 25, 32, 1, "slant of the sun at the session's end"),
    },
    exercises=[
        Prediction(
            name="lever",
            title="What matters most?",
            question="You may improve one thing by a tenth. Which saves most time?",
            options={"a": "a finer curve", "b": "a cleaner mirror", "c": "more wind shelter"},
        ),
        Prediction(
            name="wider",
            title="A wider trough",
            question="You open the Ladle from 640 to 900 mm and change nothing else. What happens?",
            options={
                "a": "the water is warm sooner, and all checked items stay met",
                "b": "the water is warm sooner, and some checked items are no longer met",
                "c": "the water is warm later",
            },
        ),
        Number(
            name="energy",
            title="What the need asks for",
            points=2,
            unit="kJ",
            answer=energy,
            tolerance=Relative(0.02, "4.18 and 4.19 kJ are both in use"),
            slips=[
                Slip(
                    "target as rise",
                    lambda n: energy(n) * n.target / rise(n),
                    "Your energy is too large. At how many degrees does your water start?",
                    "You used the target as if the water began at 0 °C. Use target minus start.",
                ),
                Slip(
                    "specific heat forgotten",
                    lambda n: 1000 * n.water_mass * rise(n),
                    "Your energy is too small. What does one kilogram need for one degree?",
                    "You took 1 kJ for a kilogram and a degree. Water needs 4.186 kJ.",
                ),
            ],
            hint="{water_mass} × 4.186 kJ × the degrees from {start} to {target}.",
            worked="Mass × 4.186 kJ × (target − start) = {answer}.",
            after=("This is the water alone. Pot, pipe and losses come on top.",),
        ),
        Number(
            name="depth",
            title="Depth",
            points=1,
            unit="mm",
            answer=lambda n: curve(n).depth,
            tolerance=ARITHMETIC,
            slips=[
                Slip(
                    "whole width as half",
                    lambda n: n.aperture_width**2 / (4 * n.focal_length),
                    "So deep? From where is x measured?",
                    "You put the whole width in for x. The curve starts at the middle: x is half "
                    "the width.",
                ),
                Slip(
                    "halved twice",
                    lambda n: n.aperture_width**2 / (64 * n.focal_length),
                    "Too shallow. How often did you halve the width?",
                    "You divided by 16 and halved the width as well. Use W² ÷ 16f or x² ÷ 4f.",
                ),
            ],
            hint="y = x² ÷ 4f, with half of {aperture_width} for x.",
            worked="Depth = W² ÷ 16f = {answer}.",
        ),
        Number(
            name="sheet",
            title="Sheet across",
            points=1,
            unit="mm",
            answer=lambda n: curve(n).sheet_width,
            tolerance=ARITHMETIC,
            slips=[
                Slip(
                    "straight across",
                    lambda n: n.aperture_width,
                    "A sheet this wide would lie flat across the opening.",
                    "You gave the opening. The sheet follows the curve and is longer.",
                ),
                Slip(
                    "half a sheet",
                    lambda n: curve(n).sheet_width / 2,
                    "Is that the whole sheet?",
                    "That is the arc from the middle to one rim. The sheet has two such halves.",
                ),
            ],
            hint="The formula of lesson 01, exercise 3; or set the design board and read it off.",
            worked="Twice the arc from the middle to the rim (lesson 01) = {answer}.",
        ),
        Number(
            name="bend",
            title="Tightest bend",
            points=1,
            unit="mm",
            answer=lambda n: 2 * n.focal_length,
            tolerance=ARITHMETIC,
            slips=[
                Slip(
                    "focal length",
                    lambda n: n.focal_length,
                    "That number stands on your card, but as another length.",
                    "You gave the focal length. The radius at the bottom is twice as long.",
                ),
                Slip(
                    "diameter",
                    lambda n: 4 * n.focal_length,
                    "Radius or diameter?",
                    "You gave the diameter of the circle that fits the bottom. Take half.",
                ),
            ],
            hint="Lesson 01, exercise 5: the tightest bend is at the vertex.",
            worked="Radius at the bottom = 2f = {answer}.",
        ),
        Number(
            name="overhang",
            title="Overhang needed",
            points=1,
            unit="mm",
            answer=lambda n: slide(n, curve(n).rim_distance),
            tolerance=Relative(0.03, "the last millimetres of light are faint"),
            slips=[
                Slip(
                    "centre strip",
                    lambda n: slide(n, n.focal_length),
                    "Too short. Which strip of the mirror is farthest from the pipe?",
                    "You followed the middle strip only. Light from the rim travels farther and "
                    "slides farther: use f + x² ÷ 4f at the rim.",
                ),
                Slip(
                    "slant forgotten",
                    lambda n: float(curve(n).rim_distance),
                    "Too long. How far would light slide if the sun stood square to the trough?",
                    "You gave the distance from rim to pipe. Multiply it by the tangent of the "
                    "slant.",
                ),
            ],
            hint="From rim to line: {focal_length} + the depth. Times the tangent of {slant}.",
            worked="Distance from rim to line × tan(slant) = {answer}.",
        ),
        Number(
            name="middle",
            title="A middle day",
            points=1,
            unit="min",
            answer=lambda n: times(n)[0],
            tolerance=SAMPLED,
            tool=WorkOut(
                {"Your water:": "kg", "Water wanted:": "degC"}, "Work out the times", three_times
            ),
            slips=[
                Slip(
                    "all sunlight",
                    lambda n: times(n)[4],
                    "That is quick. Does all the light on the opening end up in the water?",
                    "You divided by all the sun on the opening. Mirror, paint and misses take "
                    "their share first.",
                ),
                Slip(
                    "no losses",
                    lambda n: times(n)[3],
                    "Still too quick. What does a warm pipe do in the air?",
                    "You left the heat losses out. They grow while the water warms.",
                ),
            ],
            hint="Ask for {water_mass} and {target}, and sort the three times.",
            worked="The middle one of the three times for your water and target: {answer}.",
        ),
        Number(
            name="early",
            title="An early day",
            points=1,
            unit="min",
            answer=lambda n: times(n)[1],
            tolerance=SAMPLED,
            slips=[
                Slip(
                    "middle again",
                    lambda n: times(n)[0],
                    "That is the middle day. Can every day be a middle day?",
                    "The same number again: a claim without a band. Read the early edge, where "
                    "one day in twenty is quicker.",
                ),
                Slip(
                    "late for early",
                    lambda n: times(n)[2],
                    "Is an early day slow or quick?",
                    "You gave the late edge. The early one is the smaller number.",
                ),
            ],
            hint="Of the three times of exercise 3 it is the shortest.",
            worked="The shortest of the three times for your water and target: {answer}.",
        ),
        Number(
            name="late",
            title="A late day",
            points=1,
            unit="min",
            answer=lambda n: times(n)[2],
            tolerance=SAMPLED,
            slips=[
                Slip(
                    "middle again",
                    lambda n: times(n)[0],
                    "That is the middle day. What do you tell the person who waits?",
                    "The same number again: a claim without a band. Read the late edge, which "
                    "19 clear days in 20 keep.",
                ),
                Slip(
                    "early for late",
                    lambda n: times(n)[1],
                    "Is a late day slow or quick?",
                    "You gave the early edge. The late one is the larger number.",
                ),
            ],
            hint="Of the three times of exercise 3 it is the longest.",
            worked="The longest of the three times for your water and target: {answer}.",
        ),
        Choice(
            name="vent",
            title="Out into the air",
            points=1,
            options={
                "a": "Pipe, hose up to the pot, tight lid with a relief valve",
                "b": "Pipe, hose up to the pot, lid with a gap that cannot shut",
                "c": "Pipe, hose over a low loop, then up to the pot with a gap under the lid",
                "d": "Pipe, tap that stays open, hose up to the pot with a gap under the lid",
            },
            answer="b",
            worked="b: it rises all along, and nothing in it can shut.",
            after=("The way rises all along and nothing in it can shut, so steam always finds the "
                   "open air.",),
            slips=[
                Slip(
                    "relief valve",
                    "a",
                    "What happens on the day the valve sticks?",
                    "The pot has no open way out: a valve can stick. The gate asks for a way "
                    "past nothing that can shut.",
                ),
                Slip(
                    "dip",
                    "c",
                    "Where does water stand in that hose?",
                    "Water stands in the low loop and shuts the way for steam from the pipe. "
                    "The way must rise all along.",
                ),
                Slip(
                    "open tap",
                    "d",
                    "Who promises that nobody turns it?",
                    "A tap can be shut, so the pipe counts as closed. Take the tap out.",
                ),
            ],
        ),
        Choice(
            name="joints",
            title="Solder and a dry pipe",
            points=1,
            options={
                "a": "Joints in the light, because they never run dry",
                "b": "Joints out of the light, so no rule is needed",
                "c": "Joints beyond the sliding light, and a written rule against a dry pipe",
            },
            answer="c",
            worked="c: the joint out of the light, and the dry pipe ruled out in writing.",
            after=("The joint sits where no light slides, and the written rule covers the rest of "
                   "the pipe.",),
            slips=[
                Slip(
                    "never dry",
                    "a",
                    "Which case was not planned?",
                    "A dry pipe in the light passes the melting point of soft solder. The joint "
                    "must sit beyond the sliding light.",
                ),
                Slip(
                    "no rule",
                    "b",
                    "And the rest of the pipe, on the day it runs dry: what keeps that from happening?",
                    "Out of the light is half of it. The dry pipe itself must be ruled out in "
                    "writing: who checks the water before uncovering.",
                ),
            ],
        ),
        Choice(
            name="biggest_lever",
            title="What matters most",
            points=1,
            options={
                "a": "surface error a tenth smaller",
                "b": "reflectance in use a tenth higher (a clean mirror)",
                "c": "a tenth less wind at the pipe",
                "d": "a pot with a tenth less heat capacity",
            },
            answer="b",
            worked="b: about 6 minutes of 57; each of the others saves less than one.",
            after=("All the light meets the mirror first, so a clean one helps every ray, all day "
                   "long.",),
            slips=[
                Slip(
                    "finer curve",
                    "a",
                    "Compare the bars of surface and mirror: which is longer?",
                    "The pipe catches nearly all the light already; a finer curve adds little. "
                    "A clean mirror adds to every ray.",
                ),
                Slip(
                    "wind",
                    "c",
                    "At what temperature does wind take most? Where do you spend most time?",
                    "Wind matters near the target; a tenth of it moves the time by less than a "
                    "minute. Look at the mirror's bar.",
                ),
                Slip(
                    "light pot",
                    "d",
                    "How many kilograms of water does that pot stand for?",
                    "An empty pot holds about as much heat as a glass of water. The bar is the "
                    "shortest of all.",
                ),
            ],
        ),
        DesignFile(
            name="design_file",
            title="Your design, marked by the rubric",
            points=20,
            checks=each_criterion,
        ),
        ShortText(
            name="review",
            title="Swap review",
            points=2,
            points_looked_for=[
                KeyPoint("first", ("first", "1", "one"), "a first point that was unclear"),
                KeyPoint("second", ("second", "2", "two", "then"), "a second one"),
                KeyPoint("third", ("third", "3", "three", "last"), "a third one"),
            ],
        ),
    ],
)
