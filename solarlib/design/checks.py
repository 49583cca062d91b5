"""Does it fit, focus and warm? One function for each checked item of sizes, light and time.

In: an evaluation whose needed entries are all stated. Out: met or not, one sentence,
the nearest change. What keeps people unhurt is asked in `precautions`; the list of all
items stands in `constraints`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from solarlib import units
from solarlib.design import light, printed
from solarlib.design.cutting import enough, rib_size, round_up

if TYPE_CHECKING:
    from solarlib.design.evaluation import Evaluation

BEND_MARGIN = 1.03
RIM_ANGLES_DEG = (60.0, 100.0)
LEAST_SHARE = 0.85
PIPE_ABOVE_RIM = 0.040
SLOT_SPARE = 0.001
HOTTEST_STOP_C = 60.0
MOST_PAGES = 12
BAR_TOLERANCE = printed.PASS
CLEAR_SKY_SPREAD = 1.1  # the clear-sky formula is good to 10 %, see `sun.clear_sky_beam`


@dataclass(frozen=True)
class Found:
    """What a check found; see `Constraint`."""

    met: bool | None
    reason: str
    change: str
    value: float = np.nan
    limit: float = np.nan
    unit: str = "1"


def mm(length: float) -> str:
    """A length as people read it."""
    return units.show(length, "mm")


def celsius(temp: float) -> str:
    """A temperature as people read it."""
    return f"{temp:.0f} °C"


def sheet(e: Evaluation) -> Found:
    """C1: does the sheet, with trim, fit the stock?"""
    d: Any = e.design
    wide, stock = e.sheet_width + 2 * d.edge_trim, d.stock_width
    fits = enough(stock, wide) and enough(d.stock_length, d.trough_length)
    turned = wide <= d.stock_length and d.trough_length <= stock
    if turned:
        change = "Turn the stock sheet round: it fits the other way."
    elif wide > stock:
        change = f"Take stock at least {mm(wide)} wide, or an opening narrower by about " \
                 f"{mm((wide - stock) * e.parabola.aperture_width / e.sheet_width)}."  # fmt: skip
    else:
        change = f"Shorten the mirror to {mm(d.stock_length)} or take longer stock."
    return Found(fits,
        f"The sheet with trim is {mm(wide)} across and {mm(d.trough_length)} long; the stock is "
        f"{mm(stock)} by {mm(d.stock_length)}.",
        change, wide, stock, "mm",
    )  # fmt: skip


def bend(e: Evaluation) -> Found:
    """C2: does this sheet bend that far without cracking?"""
    d: Any = e.design
    least = d.bend_factor * d.sheet_thickness
    ratio = e.bend_radius / least
    spare = "" if ratio >= BEND_MARGIN else ", with less than the advised 3 % to spare"
    return Found(enough(ratio, 1),
        f"The tightest bend has radius {mm(e.bend_radius)}; this sheet takes {mm(least)} or "
        f"more{spare if ratio >= 1 else ''}.",
        f"Use a sheet of at most {mm(e.thickest_sheet)} or a focal length of at least "
        f"{mm(least / 2)}.",
        e.bend_radius, least, "mm",
    )  # fmt: skip


def rim_angle(e: Evaluation) -> Found:
    """C3: is the curve neither too flat nor too deep?"""
    low, high = RIM_ANGLES_DEG
    limit = low if e.rim_angle_deg < low else high
    focal = e.parabola.aperture_width / (4 * np.tan(np.radians(limit) / 2))
    return Found(low <= e.rim_angle_deg <= high,
        f"The rim angle is {e.rim_angle_deg:.1f}°; {low:g}° to {high:g}° forgives most.",
        f"A focal length of {mm(focal)} brings it to {limit:g}°.",
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
    return Found(enough(e.share_at_budget, LEAST_SHARE),
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
        f"The pipe's top is {mm(abs(top))} {'above' if top >= 0 else 'below'} the rims; "
        f"{mm(PIPE_ABOVE_RIM)} is the most without a guard.{guard}",
        "Fit a guard, or shorten the focal length so that the rims shield the pipe.",
        top, PIPE_ABOVE_RIM, "mm",
    )  # fmt: skip


def aim(e: Evaluation) -> Found:
    """C6: do the parts of the aim budget add up?"""
    d: Any = e.design
    parts = d.aim_date_deg + d.aim_session_deg + d.aim_setting_deg
    sums = enough(d.aim_total_deg, parts)
    holds = enough(d.aim_date_deg, d.calendar_band_deg)
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
        found = f"{celsius(d.target_c)} is reached after about {takes / 60:.0f} min"
    elif e.plateau_c > d.target_c:
        followed = float(e.warm_up.time[-1]) / 60
        found = f"{celsius(d.target_c)} is not reached within {followed:.0f} min"
    else:
        found = f"{celsius(d.target_c)} is never reached: the water comes to rest at {celsius(e.plateau_c)}"
    if d.stop_c is not None and d.stop_c < d.target_c:
        return Found(False,
            f"It is covered at {celsius(d.stop_c)}, before the water has the {celsius(d.target_c)} wanted.",
            f"Cover it at {celsius(d.target_c)} or more, at most {celsius(HOTTEST_STOP_C)}, or want less.",
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
        f"Give the sliding end at least {mm(np.ceil(needed * 1000) / 1000)} of room."
        if d.one_end_slides
        else "Fix one end only and let the other slide."
    )
    return Found(d.one_end_slides and enough(d.slot_clearance, needed),
        f"Dry in full sun the pipe grows {mm(round(e.pipe_growth, 5))}; with 1 mm to spare it "
        f"needs {mm(round(needed, 5))} and has {mm(d.slot_clearance)}.",
        change, d.slot_clearance, needed, "mm",
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


def blank(e: Evaluation) -> Found:
    """C17: is the blank as large as the rib that is sawn from it?"""
    d: Any = e.design
    needed = rib_size(d)
    sides = (d.rib_blank_length, needed[0]), (d.rib_blank_height, needed[1])
    value, limit = min(sides, key=lambda side: side[0] - side[1])
    length, height = (mm(round_up(size)) for size in needed)
    return Found(all(enough(*side) for side in sides),
        f"The rib takes {mm(needed[0])} by {mm(needed[1])} of wood; the blank is "
        f"{mm(d.rib_blank_length)} by {mm(d.rib_blank_height)}.",
        f"Take blanks at least {length} long and {height} high, or draw a narrower or flatter "
        "curve.",
        value, limit, "mm",
    )  # fmt: skip


def sun_stated(e: Evaluation) -> Found:
    """C18: does the sun shine as strongly as stated, on every day of use?"""
    d: Any = e.design
    clear = light.least_noon_beam(d)
    most = CLEAR_SKY_SPREAD * clear
    return Found(enough(most, d.beam_noon),
        f"A clear sky gives about {clear:.0f} W/m² at noon on the darkest day of use; "
        f"{d.beam_noon:.0f} W/m² is stated.",
        f"State at most {most:.0f} W/m², or leave out the months when the sun stands low.",
        d.beam_noon, most, "W/m2",
    )  # fmt: skip
