"""Does it stay cool, open, watched and upright? One function for each precaution that is checked.

In: an evaluation whose needed entries are all stated. Out: met or not, one sentence,
the nearest change, as in `checks`; the list of items stands in `constraints`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from solarlib import reference, units
from solarlib.design.checks import HOTTEST_STOP_C, Found, celsius, mm
from solarlib.design.cutting import enough
from solarlib.design.plumbing import joined, ways_out

if TYPE_CHECKING:
    from solarlib.design.evaluation import Evaluation

MOST_LEFT = 50e-6  # m³


def joints(e: Evaluation) -> Found:
    """C9: do the joints outlast a pipe that ran dry, and the hoses boiling water?"""
    d: Any = e.design
    slide, hot = e.overhang_needed, reference.HOSE_LEAST_C.value
    if d.hose_length > 0 and not enough(d.hose_rating_c, hot):
        return Found(False,
            f"The {d.hose} is good for {celsius(d.hose_rating_c)}; boiling water comes through it.",
            f"Take hose that is good for {celsius(hot)} or more.",
            d.hose_rating_c, hot, "degC",
        )  # fmt: skip
    if d.joint == "none":
        return Found(True, "The pipe has no joint.", "")
    melts = reference.JOINT_LIMIT_C[d.joint].value
    needed = e.dry_worst_c + reference.JOINT_MARGIN_K.value
    strong = melts >= needed
    outside, written = enough(d.joint_distance, slide), bool(d.dry_out_control.strip())
    if strong:
        reason = f"{d.joint} holds to {celsius(melts)}; a dry pipe reaches {celsius(e.dry_worst_c)}."
    else:
        reason = (
            f"A dry pipe reaches {celsius(e.dry_worst_c)}, and {d.joint} holds to {celsius(melts)} only. The "
            f"joints sit {mm(d.joint_distance)} beyond the mirror, the light slides "
            f"{mm(round(slide, 4))}; a rule against a dry pipe is "
            f"{'written' if written else 'missing'}."
        )
    steps = [] if outside else [f"move the joints {mm(np.ceil(slide * 1000) / 1000)} beyond it"]
    steps += [] if written else ["write down who checks the water before uncovering"]
    change = f"Braze the joints, or {' and '.join(steps)}."
    return Found(strong or (outside and written), reason, change,
        melts, needed, "degC",
    )  # fmt: skip


def overhang(e: Evaluation) -> Found:
    """C9a: does slanting light stay on the pipe?"""
    d: Any = e.design
    shields = " Metal shields are fitted." if d.end_shields else ""
    return Found(enough(d.overhang, e.overhang_needed) or d.end_shields,
        f"The pipe reaches {mm(d.overhang)} beyond the mirror; at {e.session_incidence_deg:.0f}° "
        f"slant the light slides {mm(round(e.overhang_needed, 4))}.{shields}",
        f"Use a pipe {mm(np.ceil((d.trough_length + 2 * e.overhang_needed) * 1000) / 1000)} long, "
        "a shorter session, or metal end shields.",
        d.overhang, e.overhang_needed, "mm",
    )  # fmt: skip


def open_air(e: Evaluation) -> Found:
    """C10: are pipe and pot always open to the air?"""
    d: Any = e.design
    ways = ways_out(d.plumbing)
    shut = [way for way in ways if not way.is_open]
    names = {way.part for way in ways}
    missing = [part for part in ("pipe", "pot") if part not in names]
    met: bool | None = not shut
    if missing and not shut:
        met = None
        reason = f"The plumbing names no {' and no '.join(missing)}, so the check is not complete."
        change = f"Add {' and '.join(missing)} to the parts, with heights and links."
    elif shut:
        reason = " ".join(f"{way.reason[:1].upper()}{way.reason[1:]}" for way in shut)
        change = "Take the valve, cap or dip out, or give each part its own open vent above it."
    elif not joined(d.plumbing, "pipe", "pot"):
        met = False
        reason = "Pipe and pot are not joined, so the pipe would boil dry by itself."
        change = "Add the hoses between pipe and pot to the parts and links."
    else:
        reason = "Pipe, pot and hoses all reach the open air, rising, past nothing that can shut."
        change = ""
    return Found(met, reason, change)


def _first(pairs: tuple[tuple[bool, str, str], ...], good: str) -> tuple[bool, str, str]:
    """(met, reasons, changes) of several conditions; each pair is good?, what is wrong, change."""
    wrong = [(reason, change) for fine, reason, change in pairs if not fine]
    if not wrong:
        return True, good, ""
    return False, " ".join(r for r, _ in wrong), " ".join(c for _, c in wrong)


def beam(e: Evaluation) -> Found:
    """C11: is the light under control when nobody looks?"""
    d: Any = e.design
    needed, gap = e.wood_distance, reference.WOOD_GAP.value
    met, reason, change = _first(
        (
            (d.cover_cloth == "opaque cloth", "The cover lets light through or is missing.",
             "Use an opaque cloth."),
            (d.park_position != "as it was used", "It is parked as it was used.",
             "Park it face down, or covered and turned away from the sun."),
            (d.attended_only, "It may be left uncovered with nobody watching.",
             "Write the rule: uncovered only while somebody watches."),
            (enough(d.wood_distance, needed),
             f"Bare wood or cloth is {mm(d.wood_distance)} from the bright line; nearer than "
             f"{mm(round(needed, 4))} the light can char it and set it on fire.",
             f"Keep everything that burns {mm(np.ceil(needed * 1000) / 1000)} away, or cover wood "
             "with sheet metal, an air gap behind it."),
            (enough(d.wood_gap, gap),
             f"Only {mm(d.wood_gap)} of air lies between hot metal and wood.",
             f"Leave at least {mm(gap)}."),
        ),
        f"Opaque cover, {d.park_position} when parked, attended only; wood is "
        f"{mm(d.wood_distance)} from the line, {mm(round(needed, 4))} is the least.",
    )  # fmt: skip
    return Found(met, reason, change, d.wood_distance, needed, "mm")


def place_and_use(e: Evaluation) -> Found:
    """C12: is it off the roof, off the mains, and not for people?"""
    d: Any = e.design
    met, reason, change = _first(
        (
            (not d.on_roof, "It stands on a roof.", "Put it on the ground."),
            (not d.joined_to_mains and d.fill_method != "mains tap",
             "It is joined to the house's water.", "Fill it by jug; no pipe to the mains."),
            (d.fill_method != "hose in the pot", "A hose in the pot can suck water back.",
             "Fill it by jug."),
            (d.use == "cleaning", f"The water is meant for {d.use}.",
             "Use it for cleaning only, drained the same day."),
        ),
        "On the ground, filled by jug, water for cleaning only.",
    )  # fmt: skip
    return Found(met, reason, change)


def stop_and_delivery(e: Evaluation) -> Found:
    """C13: does the session stop in time, and is water ladled out?"""
    d: Any = e.design
    met, reason, change = _first(
        (
            (d.stop_c <= HOTTEST_STOP_C, f"It is covered only at {celsius(d.stop_c)}.",
             f"Cover it at {celsius(HOTTEST_STOP_C)} or less."),
            (d.delivery in ("ladle", "jug"), f"Water is drawn by {d.delivery}.",
             "Draw it by ladle or jug."),
        ),
        f"It is covered at {celsius(d.stop_c)}; water is drawn by {d.delivery}.",
    )  # fmt: skip
    return Found(met, reason, change, d.stop_c, HOTTEST_STOP_C, "degC")


def wind(e: Evaluation) -> Found:
    """C14: does it stand in the wind, or come indoors?"""
    d: Any = e.design
    indoors = (
        f"It is carried indoors above {reference.STOW_ABOVE_WIND.value:.0f} m/s."
        if d.stored_indoors
        else f"The wind at {d.stow_wind:g} m/s pushes with {e.wind_force:.0f} N."
    )
    return Found(d.stored_indoors or d.ballast >= e.ballast_needed,
        f"{indoors} Left outside at {d.stow_wind:g} m/s it would need "
        f"{np.ceil(e.ballast_needed):.0f} kg on its base and has {d.ballast:.0f} kg.",
        f"Carry it indoors above {reference.STOW_ABOVE_WIND.value:.0f} m/s, or strap it down, or "
        f"load the base with {np.ceil(e.ballast_needed):.0f} kg.",
        d.ballast, e.ballast_needed, "kg",
    )  # fmt: skip


def drain(e: Evaluation) -> Found:
    """C15: does it drain before frost?"""
    d: Any = e.design
    left = units.show(d.left_after_drain, "mL")
    return Found(enough(MOST_LEFT, d.left_after_drain),
        f"{left} stays after draining; {units.show(MOST_LEFT, 'mL')} is the most"
        f"{', because frost bursts pipes' if d.frost else ''}.",
        "Slope the pipe to one drain point and lift the dips.",
        d.left_after_drain, MOST_LEFT, "mL",
    )  # fmt: skip
