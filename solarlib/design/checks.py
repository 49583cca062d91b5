"""One function for each checked item of a design: what was found, and what would help.

In: an evaluation whose needed entries are all stated. Out: met or not, one sentence,
the nearest change. The list of items stands in `constraints`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from solarlib import reference, units
from solarlib.design import light, printed
from solarlib.design.plumbing import ways_out

if TYPE_CHECKING:
    from solarlib.design.evaluation import Evaluation

BEND_MARGIN = 1.03
RIM_ANGLES_DEG = (60.0, 100.0)
LEAST_SHARE = 0.85
PIPE_ABOVE_RIM = 0.040
SLOT_SPARE = 0.001
HOTTEST_STOP_C = 60.0
MOST_LEFT = 50e-6  # m³
MOST_PAGES = 12
BAR_TOLERANCE = printed.PASS


@dataclass(frozen=True)
class Found:
    """What a check found; see `Constraint`."""

    met: bool | None
    reason: str
    change: str
    value: float = np.nan
    limit: float = np.nan
    unit: str = "1"


def _enough(value: float, limit: float) -> bool:
    """value >= limit, but for the last digits of floating point."""
    return value >= limit - 1e-9 * abs(limit)


def _mm(length: float) -> str:
    return units.show(length, "mm")


def _c(temp: float) -> str:
    return f"{temp:.0f} °C"


def sheet(e: Evaluation) -> Found:
    """C1: does the sheet, with trim, fit the stock?"""
    d: Any = e.design
    wide, stock = e.sheet_width + 2 * d.edge_trim, d.stock_width
    fits = _enough(stock, wide) and _enough(d.stock_length, d.trough_length)
    turned = wide <= d.stock_length and d.trough_length <= stock
    if turned:
        change = "Turn the stock sheet round: it fits the other way."
    elif wide > stock:
        change = f"Take stock at least {_mm(wide)} wide, or an opening narrower by about " \
                 f"{_mm((wide - stock) * e.parabola.aperture_width / e.sheet_width)}."  # fmt: skip
    else:
        change = f"Shorten the mirror to {_mm(d.stock_length)} or take longer stock."
    return Found(fits,
        f"The sheet with trim is {_mm(wide)} across and {_mm(d.trough_length)} long; the stock is "
        f"{_mm(stock)} by {_mm(d.stock_length)}.",
        change, wide, stock, "mm",
    )  # fmt: skip


def bend(e: Evaluation) -> Found:
    """C2: does this sheet bend that far without cracking?"""
    d: Any = e.design
    least = d.bend_factor * d.sheet_thickness
    ratio = e.bend_radius / least
    spare = "" if ratio >= BEND_MARGIN else ", with less than the advised 3 % to spare"
    return Found(_enough(ratio, 1),
        f"The tightest bend has radius {_mm(e.bend_radius)}; this sheet takes {_mm(least)} or "
        f"more{spare if ratio >= 1 else ''}.",
        f"Use a sheet of at most {_mm(e.thickest_sheet)} or a focal length of at least "
        f"{_mm(least / 2)}.",
        e.bend_radius, least, "mm",
    )  # fmt: skip


def rim_angle(e: Evaluation) -> Found:
    """C3: is the curve neither too flat nor too deep?"""
    low, high = RIM_ANGLES_DEG
    limit = low if e.rim_angle_deg < low else high
    focal = e.parabola.aperture_width / (4 * np.tan(np.radians(limit) / 2))
    return Found(low <= e.rim_angle_deg <= high,
        f"The rim angle is {e.rim_angle_deg:.1f}°; {low:g}° to {high:g}° forgives most.",
        f"A focal length of {_mm(focal)} brings it to {limit:g}°.",
        e.rim_angle_deg, limit, "deg",
    )  # fmt: skip


def light_caught(e: Evaluation) -> Found:
    """C4: is enough light caught at the whole aim budget?"""
    d: Any = e.design
    misaim = np.linspace(0, d.aim_total_deg, 61)
    good = misaim[light.share_off(d, misaim) >= LEAST_SHARE]
    change = (
        f"Aim to {good[-1]:.1f}° or use a thicker pipe."
        if len(good)
        else "Put the pipe in the focus, smooth the mirror, or use a thicker pipe."
    )
    return Found(_enough(e.share_at_budget, LEAST_SHARE),
        f"At {d.aim_total_deg:g}° off and a surface of {d.slope_error_mrad:g} mrad the pipe "
        f"catches {100 * e.share_at_budget:.1f} %; {100 * LEAST_SHARE:.0f} % is wanted.",
        change, e.share_at_budget, LEAST_SHARE, "%",
    )  # fmt: skip


def pipe_height(e: Evaluation) -> Found:
    """C5: is the pipe low enough, or guarded?"""
    d: Any = e.design
    top = e.focus_above_rim + d.tube_dy + d.tube_diameter / 2
    guard = " A guard is fitted." if d.pipe_guarded else ""
    return Found(top <= PIPE_ABOVE_RIM or d.pipe_guarded,
        f"The pipe's top is {_mm(abs(top))} {'above' if top >= 0 else 'below'} the rims; "
        f"{_mm(PIPE_ABOVE_RIM)} is the most without a guard.{guard}",
        "Fit a guard, or shorten the focal length so that the rims shield the pipe.",
        top, PIPE_ABOVE_RIM, "mm",
    )  # fmt: skip


def aim(e: Evaluation) -> Found:
    """C6: do the parts of the aim budget add up?"""
    d: Any = e.design
    parts = d.aim_date_deg + d.aim_session_deg + d.aim_setting_deg
    sums = _enough(d.aim_total_deg, parts)
    holds = _enough(d.aim_date_deg, d.calendar_band_deg)
    change = (
        f"Cut the parts by {parts - d.aim_total_deg:.2f}° in all."
        if not sums
        else f"Set the calendar's band to {d.aim_date_deg:g}° or less."
    )
    return Found(sums and holds,
        f"The parts add up to {parts:.2f}° of {d.aim_total_deg:g}°; the calendar's band is "
        f"{d.calendar_band_deg:g}° of {d.aim_date_deg:g}°.",
        change, parts, d.aim_total_deg, "deg",
    )  # fmt: skip


def in_time(e: Evaluation) -> Found:
    """C7: is the water warm before the latest time?"""
    d: Any = e.design
    takes, most = e.seconds_to_target, d.latest_time
    if np.isfinite(takes):
        found = f"{_c(d.target_c)} is reached after about {takes / 60:.0f} min"
    elif e.plateau_c > d.target_c:
        followed = float(e.warm_up.time[-1]) / 60
        found = f"{_c(d.target_c)} is not reached within {followed:.0f} min"
    else:
        found = f"{_c(d.target_c)} is never reached: the water comes to rest at {_c(e.plateau_c)}"
    if d.stop_c is not None and d.stop_c < d.target_c:
        return Found(False,
            f"It is covered at {_c(d.stop_c)}, before the water has the {_c(d.target_c)} wanted.",
            f"Cover it at {_c(d.target_c)} or more, at most {_c(HOTTEST_STOP_C)}, or want less.",
            np.inf, most, "min",
        )  # fmt: skip
    return Found(takes <= most,
        f"{found}; {most / 60:.0f} min is the latest. Report the 5 to 95 % band beside it.",
        "Warm less water, lower the target, shelter the pipe from wind or clean the mirror.",
        takes, most, "min",
    )  # fmt: skip


def slot(e: Evaluation) -> Found:
    """C8: does the slot leave room for the pipe to grow?"""
    d: Any = e.design
    needed = e.pipe_growth + SLOT_SPARE
    change = (
        f"Give the sliding end at least {_mm(np.ceil(needed * 1000) / 1000)} of room."
        if d.one_end_slides
        else "Fix one end only and let the other slide."
    )
    return Found(d.one_end_slides and _enough(d.slot_clearance, needed),
        f"Dry in full sun the pipe grows {_mm(round(e.pipe_growth, 5))}; with 1 mm to spare it "
        f"needs {_mm(round(needed, 5))} and has {_mm(d.slot_clearance)}.",
        change, d.slot_clearance, needed, "mm",
    )  # fmt: skip


def joints(e: Evaluation) -> Found:
    """C9: do the joints outlast a pipe that ran dry?"""
    d: Any = e.design
    slide = e.overhang_needed
    if d.joint == "none":
        return Found(True, "The pipe has no joint.", "")
    melts = reference.JOINT_LIMIT_C[d.joint].value
    needed = e.dry_worst_c + reference.JOINT_MARGIN_K.value
    strong = melts >= needed
    outside, written = _enough(d.joint_distance, slide), bool(d.dry_out_control.strip())
    if strong:
        reason = f"{d.joint} holds to {_c(melts)}; a dry pipe reaches {_c(e.dry_worst_c)}."
    else:
        reason = (
            f"A dry pipe reaches {_c(e.dry_worst_c)}, and {d.joint} holds to {_c(melts)} only. The "
            f"joints sit {_mm(d.joint_distance)} beyond the mirror, the light slides "
            f"{_mm(round(slide, 4))}; a rule against a dry pipe is "
            f"{'written' if written else 'missing'}."
        )
    steps = [] if outside else [f"move the joints {_mm(np.ceil(slide * 1000) / 1000)} beyond it"]
    steps += [] if written else ["write down who checks the water before uncovering"]
    change = f"Braze the joints, or {' and '.join(steps)}."
    return Found(strong or (outside and written), reason, change,
        melts, needed, "degC",
    )  # fmt: skip


def overhang(e: Evaluation) -> Found:
    """C9a: does slanting light stay on the pipe?"""
    d: Any = e.design
    shields = " Metal shields are fitted." if d.end_shields else ""
    return Found(_enough(d.overhang, e.overhang_needed) or d.end_shields,
        f"The pipe reaches {_mm(d.overhang)} beyond the mirror; at {e.session_incidence_deg:.0f}° "
        f"slant the light slides {_mm(round(e.overhang_needed, 4))}.{shields}",
        f"Use a pipe {_mm(np.ceil((d.trough_length + 2 * e.overhang_needed) * 1000) / 1000)} long, "
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
            (_enough(d.wood_distance, needed),
             f"Wood or cloth is {_mm(d.wood_distance)} from the bright line, within reach of "
             f"light that sets wood on fire ({_mm(round(needed, 4))}).",
             f"Keep everything that burns {_mm(np.ceil(needed * 1000) / 1000)} away."),
            (_enough(d.wood_gap, gap),
             f"Only {_mm(d.wood_gap)} of air lies between hot metal and wood.",
             f"Leave at least {_mm(gap)}."),
        ),
        f"Opaque cover, {d.park_position} when parked, attended only; wood is "
        f"{_mm(d.wood_distance)} from the line, {_mm(round(needed, 4))} is the least.",
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
            (d.stop_c <= HOTTEST_STOP_C, f"It is covered only at {_c(d.stop_c)}.",
             f"Cover it at {_c(HOTTEST_STOP_C)} or less."),
            (d.delivery in ("ladle", "jug"), f"Water is drawn by {d.delivery}.",
             "Draw it by ladle or jug."),
        ),
        f"It is covered at {_c(d.stop_c)}; water is drawn by {d.delivery}.",
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
    return Found(_enough(MOST_LEFT, d.left_after_drain),
        f"{left} stays after draining; {units.show(MOST_LEFT, 'mL')} is the most"
        f"{', because frost bursts pipes' if d.frost else ''}.",
        "Slope the pipe to one drain point and lift the dips.",
        d.left_after_drain, MOST_LEFT, "mL",
    )  # fmt: skip


def paper(e: Evaluation) -> Found:
    """C16: does the template fit the paper at full size?"""
    d: Any = e.design
    pages = e.template_pages
    off = max(abs(d.bar_across / printed.ACROSS - 1), abs(d.bar_down / printed.DOWN - 1))
    half = d.rib_template == "half rib"
    change = (
        f"Choose a narrower or shallower rib{'' if half else ', or print half a rib'}."
        if pages > MOST_PAGES
        else "Print again at actual size, without “fit to page”."
    )
    return Found(
        pages <= MOST_PAGES and off <= BAR_TOLERANCE,
        f"{'Half a' if half else 'A full'} rib takes {pages} page{'s' if pages > 1 else ''} of "
        f"{MOST_PAGES}; the bars are off by {100 * off:.2f} % at most, {100 * BAR_TOLERANCE:g} % is allowed.",
        change,
        pages,
        MOST_PAGES,
    )
