"""Marks for a heater's design: fourteen criteria, worked out afresh from the inputs alone.

In: the text of a design file. Out: for each criterion its points and the reason, the open
gates, a percentage and what to do next. Results that stand in the file are never read:
`solarlib` computes them again. At most ten points are left to a person. Limits without a
named source are common practice, no source. Nothing here says that a heater is safe.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

LARGEST = 60_000  # letters; a design is about 7000
MOST_PARTS, MOST_LINKS = 60, 200  # of the plumbing; the demo has 4 and 5
GATE_CAP = 59.0  # percent at most while a gate is open
HUMAN_POINTS = 10.0
CLEARED = "checked items complete"

Item = tuple[float, bool, str]  # points, met, what to say when it is not
Checked = Mapping[str, Any]  # constraints by number


@dataclass(frozen=True)
class Criterion:
    """One criterion: its points, those given, those left to a person, and why."""

    id: str
    title: str
    points: float
    got: float
    reason: str
    human: float = 0.0

    @property
    def automatic(self) -> float:
        """Points that the machine can give."""
        return self.points - self.human

    @property
    def full(self) -> bool:
        """Whether all the machine's points are given."""
        return self.got >= self.automatic - 1e-9


@dataclass(frozen=True)
class Marked:
    """A marked design. `trouble` is one sentence when the file could not be marked at all."""

    criteria: tuple[Criterion, ...]
    gates: tuple[str, ...] = ()
    trouble: str = ""

    @property
    def got(self) -> float:
        """Points given by machine."""
        return sum(c.got for c in self.criteria)

    @property
    def automatic(self) -> float:
        """Points that the machine can give."""
        return sum(c.automatic for c in self.criteria)

    def percent(self, human: float | None = None, cap: float | None = GATE_CAP) -> float:
        """Percent of all points, or of the machine's while no person has marked (`human` None).

        `cap` holds while a gate is open; None switches it off.
        """
        if human is None:
            share = self.got / self.automatic if self.automatic else 0.0
        else:
            share = (self.got + min(max(human, 0.0), HUMAN_POINTS)) / sum(
                c.points for c in self.criteria
            )
        return min(100 * share, cap) if self.gates and cap is not None else 100 * share

    def ladder(self, human: float | None = None, cap: float | None = GATE_CAP) -> str:
        """What to do next, in words."""
        percent = self.percent(human, cap)
        if self.trouble:
            return "not attempted"
        if percent >= 85 and not self.gates:
            return "ready for a supervised build"
        return "revise and resubmit" if percent >= 70 else "meet the instructor"

    @property
    def clearance(self) -> str:
        """What stands on every page of the pack."""
        if self.trouble:
            return "NOT CLEARED: no design"
        many = "item" if len(self.gates) == 1 else "items"
        return f"NOT CLEARED: {len(self.gates)} {many}" if self.gates else CLEARED


def mark(text: Any) -> Marked:
    """Mark the text of a design file; never raises, whatever the text holds."""
    try:
        entries, evaluation = _worked_out(text)
        checked = {c.id: c for c in evaluation.constraints}
        criteria = tuple(_criterion(row, entries, evaluation, checked) for row in _ROWS)
    except _UnreadableError as error:
        return _nothing(str(error))
    gates = tuple(
        f"{c.id} {c.name}: {c.reason[:400]} {c.change}".strip() for c in evaluation.gates_open
    )
    return Marked(criteria, gates)


def best(earlier: Marked, latest: Marked) -> Marked:
    """Keep the better score of each criterion after a resubmission; gates are the latest's."""
    if latest.trouble:
        return earlier
    if earlier.trouble:
        return latest
    pairs = zip(earlier.criteria, latest.criteria, strict=True)
    kept = tuple(
        replace(a, reason=f"{a.reason} (kept from an earlier version)") if a.got > b.got else b
        for a, b in pairs
    )
    return replace(latest, criteria=kept)


class _UnreadableError(ValueError):
    """Nothing to mark; the message is the sentence to show."""


def _nothing(sentence: str) -> Marked:
    rows = tuple(Criterion(r.id, r.title, r.points, 0.0, "Not attempted.", r.human) for r in _ROWS)
    return Marked(rows, (), sentence)


def _worked_out(text: Any) -> tuple[set[str], Any]:
    """Names of the entries in the file, and what follows from the design."""
    if not isinstance(text, str) or not text.strip():
        raise _UnreadableError("No design is handed in yet; give the text of your design file.")
    if len(text) > LARGEST:
        raise _UnreadableError(
            f"This text has {len(text)} letters, more than {LARGEST}; hand in a design file only."
        )
    import tomllib

    from solarlib.design import DesignError, HeaterDesign, evaluate

    try:
        design = HeaterDesign.from_text(text)
        groups = tomllib.loads(text)
    except DesignError as error:
        raise _UnreadableError(str(error).replace("\n", " ")[:600]) from None
    except (ValueError, TypeError, OverflowError, RecursionError, AttributeError):
        raise _UnreadableError(
            "This text holds an entry that no design can have; compare it with the demo's file."
        ) from None
    entries = {name for group in groups.values() for name in group}
    if not entries:
        raise _UnreadableError(
            "This design has no entries; write yours, grouped like the demo's file."
        )
    p = design.plumbing
    if p and (len(p.parts) > MOST_PARTS or len(p.links) > MOST_LINKS):
        raise _UnreadableError(
            f"The plumbing has {len(p.parts)} parts and {len(p.links)} links; at most {MOST_PARTS} "
            f"and {MOST_LINKS} can be checked, so leave out what holds no water."
        )
    try:
        evaluation = evaluate(design)
        evaluation.constraints, evaluation.band  # noqa: B018  (work them out here)
    except (ArithmeticError, ValueError, IndexError, TypeError) as error:
        raise _UnreadableError(
            f"This design cannot be worked out ({error}); bring its numbers nearer to the demo's."
        ) from None
    return entries, evaluation


@dataclass(frozen=True)
class _Row:
    """A criterion before marking. `needs` are the entries that the file itself must state."""

    id: str
    title: str
    points: float
    human: float
    needs: tuple[str, ...]
    items: Callable[[Any, Checked], list[Item]]


def _criterion(row: _Row, entries: set[str], e: Any, checked: Checked) -> Criterion:
    missing = [name for name in row.needs if name not in entries]
    if missing:
        reason = f"Not stated: {', '.join(missing)}. State it in your file."
        return Criterion(row.id, row.title, row.points, 0.0, reason, row.human)
    items = row.items(e, checked)
    got = sum(points for points, met, _ in items if met)
    lost = " ".join(reason for _, met, reason in items if not met)
    return Criterion(row.id, row.title, row.points, got, lost or "All items met.", row.human)


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
    from solarlib.design.cutting import RIB_EDGE, RIB_FOOT

    d = e.design
    length, height = d.aperture_width + 2 * RIB_EDGE, e.depth + RIB_FOOT
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
    _, middle, end = (state["useful"] / max(state["absorbed"], 1e-9) for state in e.heat_balance)
    spare = e.plateau_c - e.design.target_c
    return [
        (3, _at_least(middle, 0.5), f"Half-way up only {100 * middle:.0f} % of the heat stays in "
         "the water; half or more is wanted. Insulate the pot, shelter the pipe."),
        (3, _at_least(end, 0.25), f"At the target only {100 * end:.0f} % of the heat stays in the "
         "water; a quarter or more is wanted."),
        (2, _at_least(spare, 15), f"The water would come to rest {spare:.0f} K above the target; "
         "15 K or more make it robust."),
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
    rule = (e.design.dry_out_control or "").split()
    return [
        (1, len(rule) >= 5, "The card has no rule against a dry pipe; write who checks what, when "
         "(dry_out_control)."),
        _item(1, c, "C15"),
    ]  # fmt: skip


_SIZE = ("aperture_width", "focal_length", "trough_length")
_ROWS = (
    _Row("R1", "geometry", 8, 0, (*_SIZE, "tube_diameter"), _geometry),
    _Row("R2", "ribs", 8, 0, ("rib_count", "rib_blank_length", "rib_blank_height"), _ribs),
    _Row("R3", "sheet and bend", 8, 0, ("sheet_thickness", "stock_width", "stock_length"), _sheet),
    _Row("R4", "light caught", 8, 0, ("slope_error_mrad", "reflectance_used"), _optics),
    _Row("R5", "aim and calendar", 10, 0, ("latitude_deg", "aim_total_deg", "calendar_band_deg"),
         _aim),
    _Row("R6", "heat balance", 8, 0, ("beam_noon", "air_c", "absorptance"), _heat_balance),
    _Row("R7", "warm-up with band", 8, 2, ("water_mass", "start_c", "target_c", "latest_time"),
         _warm_up),
    _Row("R8", "pipe, supports, joints", 8, 2, ("tube_length", "support_spacing"), _pipe),
    _Row("R9", "open system", 6, 0, (), _open_system),
    _Row("R10", "beam under control", 6, 2, (), _beam),
    _Row("R11", "wind and stow", 6, 0, ("stow_wind", "wind_height", "half_base"), _wind),
    _Row("R12", "print", 6, 0, ("paper",), _print),
    _Row("R13", "ready for a test", 6, 2, ("pot_volume", "session_half_h"), _test_plan),
    _Row("R14", "hazard card", 4, 2, (), _hazard_card),
)  # fmt: skip
