"""The rubric's fourteen criteria: what each asks of a design, item by item.

In: an `Evaluation` and its constraints by number. Out: for each item its points, whether it is
met, and what to say when it is not. Limits without a named source are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

RULE_WORDS = 5  # a rule that names who, what and when has no fewer; common practice, no source
Item = tuple[float, bool, str]  # points, met, what to say when it is not
Checked = Mapping[str, Any]  # constraints by number


@dataclass(frozen=True)
class Row:
    """A criterion before marking. `needs` are the entries that the file itself must state."""

    id: str
    title: str
    points: float
    human: float
    needs: tuple[str, ...]
    items: Callable[[Any, Checked], list[Item]]


def _item(points: float, checked: Checked, number: str) -> Item:
    """A constraint of the design as an item."""
    one = checked[number]
    return points, one.met is True, f"{one.reason} {one.change}".strip()


def _at_least(value: float, limit: float) -> bool:
    return value >= limit - 1e-9 * abs(limit)


def _geometry(e: Any, c: Checked) -> list[Item]:
    return [
        _item(4, c, "C3"),
        _item(2, c, "C5"),
        (2, _at_least(e.width_ratio, 10), f"The opening is only {e.width_ratio:.1f} pipes wide; "
         "ten or more are worth a mirror. Widen it or take a thinner pipe."),
    ]  # fmt: skip


def _ribs(e: Any, c: Checked) -> list[Item]:
    from solarlib import units
    from solarlib.design.cutting import rib_size

    d = e.design
    length, height = rib_size(d)
    spacing, across = d.trough_length / (d.rib_count - 1), len(e.screws.across)
    return [
        (2, _at_least(d.rib_blank_length, length), "The rib blank is "
         f"{units.show(d.rib_blank_length, 'mm')} long; the rib needs {units.show(length, 'mm')}."),
        (2, _at_least(d.rib_blank_height, height), "The rib blank is "
         f"{units.show(d.rib_blank_height, 'mm')} high; the rib needs {units.show(height, 'mm')}."),
        (2, _at_least(0.320, spacing), f"The ribs stand {units.show(spacing, 'mm')} apart; add "
         "ribs until it is 320 mm or less."),
        (2, across >= 5, f"Only {across} screws hold the sheet across a rib; use five or more "
         "(rib_pitch)."),
    ]  # fmt: skip


def _sheet(e: Any, c: Checked) -> list[Item]:
    return [_item(4, c, "C1"), _item(4, c, "C2")]


def _optics(e: Any, c: Checked) -> list[Item]:
    from solarlib.design.evaluation import WORST_SLOPE_MRAD

    d = e.design
    return [
        _item(4, c, "C4"),
        (2, _at_least(d.slope_error_mrad, WORST_SLOPE_MRAD), f"A surface of {d.slope_error_mrad:g} "
         f"mrad is finer than a bench makes; claim {WORST_SLOPE_MRAD:g} mrad or more."),
        (2, _at_least(d.reflectance_clean - d.reflectance_used, 0.01), "The mirror in use reflects "
         "as much as a clean one; take off at least 1 % for dirt."),
    ]  # fmt: skip


def _aim(e: Any, c: Checked) -> list[Item]:
    import numpy as np

    from solarlib import sun

    d = e.design
    parts = d.aim_date_deg + d.aim_session_deg + d.aim_setting_deg
    days = np.array([f"2026-{m:02d}-21T12:00" for m in d.months], dtype="datetime64[m]")
    lowest = float(np.min(90 - np.abs(d.latitude_deg - np.asarray(sun.declination_deg(days)))))
    return [
        (2, _at_least(d.aim_total_deg, parts), f"The parts of the aim budget add up to "
         f"{parts:.2f}°, more than {d.aim_total_deg:g}°."),
        (2, _at_least(d.aim_date_deg, d.calendar_band_deg), "The calendar's band of "
         f"{d.calendar_band_deg:g}° is wider than its share, {d.aim_date_deg:g}°."),
        (2, _at_least(e.minutes_in_band, 30), f"A setting lasts {e.minutes_in_band:.0f} min only; "
         "give the session a larger share until it lasts 30 min."),
        (2, _at_least(d.aim_setting_deg, 0.2), f"Nobody sets a trough by hand to "
         f"{d.aim_setting_deg:g}°; allow at least 0.2°."),
        (2, _at_least(lowest, 20), f"The noon sun stands at {lowest:.0f}° in one of your months; "
         "leave out months below 20°."),
    ]  # fmt: skip


def _heat_balance(e: Any, c: Checked) -> list[Item]:
    _, middle, end = (max(state["useful"], 0.0) / max(state["absorbed"], 1e-9)
                      for state in e.heat_balance)  # fmt: skip
    spare = e.plateau_c - e.design.target_c
    side = f"{abs(spare):.0f} K {'above' if spare >= 0 else 'below'}"
    return [
        (3, _at_least(middle, 0.5), f"Half-way up only {100 * middle:.0f} % of the heat stays in "
         "the water; half or more is wanted. Insulate the pot, shelter the pipe."),
        (3, _at_least(end, 0.25), f"At the target only {100 * end:.0f} % of the heat stays in the "
         "water; a quarter or more is wanted."),
        (2, _at_least(spare, 15), f"The water would come to rest {side} the target; 15 K or more "
         "above it make it robust."),
    ]  # fmt: skip


def _warm_up(e: Any, c: Checked) -> list[Item]:
    most = e.design.latest_time
    return [
        (3, e.band.median <= most, f"The middle day takes {_minutes(e.band.median)}; "
         f"{_minutes(most)} is the latest."),
        (3, e.band.latest <= most, f"A late day (95 %) takes {_minutes(e.band.latest)}; "
         f"{_minutes(most)} is the latest. Warm less water or promise less."),
    ]  # fmt: skip


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 1e6 else "longer than was followed"


def _pipe(e: Any, c: Checked) -> list[Item]:
    return [
        _item(2, c, "C8"),
        (1, e.pipe_sag <= 0.001, f"The pipe sags {1000 * e.pipe_sag:.1f} mm between its supports; "
         "1 mm is the most. Set them closer."),
        _item(1, c, "C9"),
        _item(2, c, "C9a"),
    ]  # fmt: skip


def _open_system(e: Any, c: Checked) -> list[Item]:
    return [_item(2, c, "C10"), _item(2, c, "C12"), _item(2, c, "C13")]


def _beam(e: Any, c: Checked) -> list[Item]:
    from solarlib import reference, units

    d, gap = e.design, reference.WOOD_GAP.value
    return [
        (1, d.cover_cloth == "opaque cloth", "An opaque cover is missing or not stated."),
        (1, d.park_position in ("face down", "covered, away from the sun"),
         "Parking face down, or covered and turned away, is missing or not stated."),
        (1, d.attended_only is True, "The rule that somebody watches is missing or not stated."),
        (1, d.wood_distance is not None and d.wood_gap is not None
         and _at_least(d.wood_distance, e.wood_distance) and _at_least(d.wood_gap, gap),
         f"Keep all that burns {units.show(round(e.wood_distance, 4), 'mm')} from the bright line "
         f"and {units.show(gap, 'mm')} from hot metal, and state both."),
    ]  # fmt: skip


def _wind(e: Any, c: Checked) -> list[Item]:
    d = e.design
    gust = max(15.0, 2 * d.site_wind)
    return [
        _item(2, c, "C14"),
        (2, _at_least(d.stow_wind, gust), f"Plan for gusts of {gust:g} m/s or more; you plan for "
         f"{d.stow_wind:g} m/s."),
        (2, _at_least(d.half_base, 0.3 * d.wind_height), "The base is narrow for its height; half "
         f"its width should be {300 * d.wind_height:.0f} mm or more."),
    ]  # fmt: skip


def _print(e: Any, c: Checked) -> list[Item]:
    from solarlib.design.checks import BAR_TOLERANCE, MOST_PAGES

    def bar(measured: float | None, length: float) -> Item:
        met = measured is not None and abs(measured / length - 1) <= BAR_TOLERANCE + 1e-9
        told = "is not stated" if measured is None else f"measures {1000 * measured:.1f} mm"
        return 2, met, (f"The {1000 * length:.0f} mm bar {told}; print at actual size and measure "
                        f"it to {100 * BAR_TOLERANCE:g} %.")  # fmt: skip

    d, pages = e.design, e.template_pages
    return [
        (2, pages <= MOST_PAGES, f"Half a rib takes {pages} pages; {MOST_PAGES} is the most."),
        bar(d.bar_across, 0.200),
        bar(d.bar_down, 0.150),
    ]


def _test_plan(e: Any, c: Checked) -> list[Item]:
    d = e.design
    rise, session = d.target_c - d.start_c, 2 * 3600 * d.session_half_h
    stops = d.stop_c is not None and _at_least(d.stop_c, d.target_c + 3)
    room = d.pot_volume / max(d.water_mass / 1000 - d.tube_water, 1e-6)
    return [
        (1, stops, "State a stop temperature at least 3 K above the target, so that the test can "
         "end before the stop rule."),
        (1, _at_least(rise, 15), f"The water rises {rise:.0f} K only; thermometers of 0.5 K need "
         "15 K or more."),
        (1, _at_least(session, e.band.latest), f"A late day takes {_minutes(e.band.latest)}, "
         f"longer than your session of {_minutes(session)}."),
        (1, _at_least(room, 1.1), "The pot is too full to stir; leave a tenth of it empty."),
    ]  # fmt: skip


def _hazard_card(e: Any, c: Checked) -> list[Item]:
    rule = (e.design.dry_out_control or "").strip()
    found = f"The rule against a dry pipe, “{rule}”, is too short to follow" if rule else \
        "The card has no rule against a dry pipe"  # fmt: skip
    return [
        (1, len(rule.split()) >= RULE_WORDS, f"{found}; write who checks what, when, in "
         f"{RULE_WORDS} words or more (dry_out_control)."),
        _item(1, c, "C15"),
    ]  # fmt: skip


_SIZE = ("aperture_width", "focal_length", "trough_length")
ROWS = (
    Row("R1", "geometry", 8, 0, (*_SIZE, "tube_diameter"), _geometry),
    Row("R2", "ribs", 8, 0, ("rib_count", "rib_blank_length", "rib_blank_height"), _ribs),
    Row("R3", "sheet and bend", 8, 0, ("sheet_thickness", "stock_width", "stock_length"), _sheet),
    Row("R4", "light caught", 8, 0, ("slope_error_mrad", "reflectance_used"), _optics),
    Row("R5", "aim and calendar", 10, 0, ("latitude_deg", "aim_total_deg", "calendar_band_deg"),
         _aim),
    Row("R6", "heat balance", 8, 0, ("beam_noon", "air_c", "absorptance"), _heat_balance),
    Row("R7", "warm-up with band", 8, 2, ("water_mass", "start_c", "target_c", "latest_time"),
         _warm_up),
    Row("R8", "pipe, supports, joints", 8, 2, ("tube_length", "support_spacing"), _pipe),
    Row("R9", "open system", 6, 0, (), _open_system),
    Row("R10", "beam under control", 6, 2, (), _beam),
    Row("R11", "wind and stow", 6, 0, ("stow_wind", "wind_height", "half_base"), _wind),
    Row("R12", "print", 6, 0, ("paper",), _print),
    Row("R13", "ready for a test", 6, 2, ("pot_volume", "session_half_h"), _test_plan),
    Row("R14", "hazard card", 4, 2, (), _hazard_card),
)  # fmt: skip
