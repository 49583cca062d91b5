"""The longer sentences of the pack: how to read the calendar, set the aim, judge the test.

In: `Facts`. Out: text. Each number in it is the evaluation's.
"""

from __future__ import annotations

from solarlib.pack.facts import Facts


def print_first(first: int, last: int) -> str:
    """What to print for a rib of cardboard, before all the rest."""
    pages = f"pages {first}–{last}" if last > first else f"page {first}"
    return (
        f"Print first: for a rib of cardboard only {pages}, at actual size. Measure both bars, "
        f"write them on page {first - 1}. Print the rest when the rib is right."
    )


def calendar_notes(facts: Facts) -> str:
    """How to read the calendar."""
    d, session = facts.design, f"{facts.design.aim_session_deg:g}°"
    rule = "no summer time" if d.summer_time == "none" else f"summer time: {d.summer_time}"
    return (
        "Tilt from looking straight up; S = toward the south, N = toward the north. At noon the "
        f"aim is never more than ±{d.calendar_band_deg:g}° off. Session tilt: {session} past the "
        "noon tilt, to where the sun drifts; between the clock times given the drift of the day "
        f"then stays within ±{session}, at most ±{d.session_half_h:g} h, for which "
        "the pipe's overhang is made. Pin: at solar noon a 100 mm pin square on the opening "
        "throws a shadow of at most this length when the session tilt is set. "
        f"Clock: UTC{d.utc_offset_h:+g} h, {rule}; † the clock changes within the line."
    )


def on_the_day(facts: Facts) -> str:
    """How to read the table for setting on the day."""
    session = facts.design.aim_session_deg
    if facts.design.axis == "north-south":
        nudge = facts.evaluation.minutes_in_band
        return (
            "The axis runs north-south: the trough follows the sun. Tilt from looking straight up, "
            f"E in the morning, W later; nudge it every {nudge:.1f} min to stay within "
            f"±{session:g}°. Hours count from solar noon."
        )
    return (
        "Set the trough on the day of use: take the tilt of the nearest date; between two dates go "
        "in proportion. Tilt from looking straight up; S toward the south, N toward the north."
    )


def aiming(facts: Facts) -> list[str]:
    """How to set and check the aim without looking at the sun."""
    d = facts.design
    return [
        "Never look along the sun or the mirror: work with shadows, mirror covered.",
        f"Axis level and true {d.axis}: shadow stick over noon, not a compass.",
        "A 100 mm pin square on the opening: 1.75 mm of shadow is 1° off (tan 1° × 100 mm).",
        f"Aim budget: {d.aim_date_deg:g}° date + {d.aim_session_deg:g}° session + "
        f"{d.aim_setting_deg:g}° setting, {d.aim_total_deg:g}° in all.",
        "Set on the day:  date ______  tilt ______ °  pin ______ mm  at ______  by _________",
    ]


def band(facts: Facts) -> str:
    """How to read the band of the warm-up."""
    d = facts.design
    early, middle, late = facts.minutes
    return (
        f"Beam {d.beam_noon:.0f} W/m², {d.water_mass:g} kg, air {d.air_c:g} °C; sun ±10 % and "
        "optics ±10 % (standard uncertainty), wind from calm to strong; clear days only, hoses not "
        "counted. Target "
        f"{d.target_c:g} °C after {middle}, 5–95 %: {early} to {late}. Inside the band: your test "
        "agrees with the prediction, though a wide band proves little. Outside it all along: an "
        "input is wrong; one day in ten may lie outside by chance."
    )


def stop_rule(facts: Facts) -> str:
    """When the test ends."""
    stop = 60.0 if facts.design.stop_c is None else facts.design.stop_c
    return (
        f"Stop at {stop:.0f} °C or at the first hiss: cover, turn away, wait. Adult in charge, "
        "two people, never dry, never closed."
    )
