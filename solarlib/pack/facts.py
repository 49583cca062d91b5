"""What the pages say: every number of the evaluation once, in the words of the bench.

In: a design and its evaluation. Out: texts, tables and small drawings, so that
two pages cannot print one value in two ways. Nothing is computed here but the
conversion to millimetres, inches and clock time.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np

from solarlib import __version__, geometry, reference, units
from solarlib.design import Evaluation, HeaterDesign
from solarlib.design.printed import PrintedRib, printed_rib
from solarlib.pack import tables, templates
from solarlib.pack.drawing import Drawing
from solarlib.pack.paper import Identity
from solarlib.pack.tables import Table, mm

show = units.show


def fingerprint(design: HeaterDesign) -> str:
    """Eight hex digits that change with any input of the heater.

    Paper, measured bars and prices stay out: a print measured afterwards is still a print of
    the same design.
    """
    kept = [(one.name, getattr(design, one.name)) for one in fields(design)
            if one.metadata.get("group") not in ("paper", "record")]  # fmt: skip
    return hashlib.sha256(repr((__version__, kept)).encode()).hexdigest()[:8]


@dataclass(frozen=True)
class Check:
    """One checked item as printed: identifier, what was found, values, its state."""

    id: str
    text: str
    value: str
    limit: str
    state: str


@dataclass(frozen=True)
class Facts:
    """A design's evaluation, and the identity that every page carries."""

    evaluation: Evaluation
    identity: Identity

    @classmethod
    def of(cls, evaluation: Evaluation, day: date, learner: str = "") -> Facts:
        """Gather the facts; `day` stands on every page, its year is the calendar's."""
        d: Any = evaluation.design
        identity = Identity(
            learner=learner or d.learner,
            title=d.name or "Trough heater",
            version=d.version or "1",
            fingerprint=fingerprint(d),
            day=day,
            not_cleared=len(evaluation.gates_open),
        )
        return cls(evaluation, identity)

    # typed as Any: an entry that must be stated may be None, and is shown as "not stated"
    @property
    def design(self) -> Any:
        """The design's inputs."""
        return self.evaluation.design

    @property
    def parabola(self) -> geometry.Parabola:
        """The curve of the mirror."""
        return self.evaluation.parabola

    @property
    def year(self) -> int:
        """Year of the calendar."""
        return self.identity.day.year

    @property
    def note(self) -> str:
        """Who, what and when in one line, for the files beside the PDF."""
        who = self.identity
        return (
            f"{who.title}, {who.learner or 'no learner id'}, version {who.version}, "
            f"{who.day.isoformat()}, design {who.fingerprint}, {who.mark or self.state}"
        )

    @property
    def state(self) -> str:
        """Which checked items are not met or not known, or that they are complete."""
        told = []
        for met, words in ((False, "Not met"), (None, "Not known")):
            ids = [one.id for one in self.evaluation.constraints if one.met is met]
            told += [f"{words}: {', '.join(ids)}"] if ids else []
        return ". ".join(told) or "checked items complete"

    @property
    def site(self) -> str:
        """The place in words: latitude and longitude with their halves of the globe."""
        d = self.design
        north, east = d.latitude_deg, d.longitude_deg
        return (
            f"{abs(north):.1f}° {'S' if north < 0 else 'N'}, "
            f"{abs(east):.1f}° {'W' if east < 0 else 'E'}"
        )

    # --- cover -----------------------------------------------------------------------------------
    @property
    def in_words(self) -> str:
        """The heater in two sentences."""
        d = self.design
        return (
            f"A mirror {show(d.aperture_width, 'mm')} wide and {show(d.trough_length, 'mm')} long "
            f"on {d.rib_count} ribs. Its light meets on a pipe of {show(d.tube_diameter, 'mm')}, "
            f"{show(d.focal_length, 'mm')} above its lowest line, and warms "
            f"{show(d.water_mass, 'kg')} of water in an open pot."
        )

    @cached_property
    def section(self) -> Drawing:
        """The section of the trough for the cover."""
        return templates.section(self.parabola, self.design.tube_diameter)

    def size(self, length: float) -> str:
        """A length in the units that the design asks for on paper."""
        return units.show_both(length, "mm") if "inches" in self.design.show_units else show(
            length, "mm")  # fmt: skip

    @cached_property
    def key_numbers(self) -> list[tuple[str, str]]:
        """The numbers of the cover."""
        e, d = self.evaluation, self.design
        early, middle, late = self.minutes
        sheet = e.sheet_width + 2 * d.edge_trim
        dry = e.dry_pipe_c[0]
        return [
            ("opening", f"{mm(d.aperture_width, 0)} × {mm(d.trough_length, 0)} mm"),
            ("opening area", show(e.area, "m2", 3)),
            ("focal length", self.size(d.focal_length)),
            ("depth of the curve", self.size(e.depth)),
            (
                f"focus {'above' if e.focus_above_rim >= 0 else 'below'} the rims",
                self.size(abs(e.focus_above_rim)),
            ),
            ("rim angle", f"{e.rim_angle_deg:.1f}°"),
            ("sheet width, with trim", self.size(sheet)),
            ("pipe", f"{mm(d.tube_diameter)} × {mm(d.tube_wall)} mm, {mm(d.tube_length, 0)} long"),
            ("pipe beyond each end", f"{mm(d.overhang, 0)} mm"),
            ("light slides past the end", f"{mm(e.overhang_needed, 0)} mm"),
            ("light caught in use", show(e.share_caught, "%", 3)),
            (f"light caught {d.aim_total_deg:g}° off", show(e.share_at_budget, "%", 3)),
            ("optical efficiency", show(e.optical_efficiency, "%", 3)),
            (f"heat in at {d.beam_noon:.0f} W/m²", f"{e.absorbed:.0f} W"),
            (f"{d.start_c:g} to {d.target_c:g} °C", f"{middle} (5–95 %: {early}–{late})"),
            ("dry pipe, still air", f"{dry:.0f} °C, at worst {e.dry_worst_c:.0f} °C"),
            ("pipe grows dry by", f"{mm(e.pipe_growth)} mm"),
            ("sag of the pipe", f"{mm(e.pipe_sag, 2)} mm"),
            ("steam if it boils", f"{show(e.steam, 'g/min', 2)}"),
            ("wood and hose stay away", f"{mm(np.ceil(e.wood_distance * 1000) / 1000, 0)} mm"),
            ("skin stays away", f"{mm(np.ceil(e.skin_distance * 1000) / 1000, 0)} mm"),
            (f"wind force at {d.stow_wind:g} m/s", f"{e.wind_force:.0f} N"),
            ("ballast to stand it", f"{np.ceil(e.ballast_needed):.0f} kg"),
        ]

    @cached_property
    def checks(self) -> list[Check]:
        """The checked items."""
        states = {True: "met", False: "NOT MET", None: "NOT KNOWN"}
        found = []
        for one in self.evaluation.constraints:
            text = f"{one.name}: {one.reason}"
            if one.change:
                text += f" → {one.change}"
            kind = "" if one.kind in ("hard", "marks") else f"\n({one.kind})"
            found.append(
                Check(one.id, text, one.value_text, one.limit_text, states[one.met] + kind)
            )
        return found

    @property
    def minutes(self) -> tuple[str, str, str]:
        """Time to the target: early, middle and late."""
        band = self.evaluation.band
        times = (band.soonest, band.median, band.latest)
        early, middle, late = (show(t, "min", 3) if np.isfinite(t) else "never" for t in times)
        return early if late == "never" else early.removesuffix(" min"), middle, late

    # --- the printed scale -----------------------------------------------------------------------
    @cached_property
    def print_table(self) -> Table:
        """Readings of the two bars, and what they do to focus and light."""
        readings = [(200, 150), (199, 149.25), (201, 150.75), (198, 148.5), (198, 150), (202, 150),
                    (200, 147), (200, 153), (196, 147), (196, 150), (204, 150), (194, 145.5),
                    (194, 150), (206, 150)]  # fmt: skip
        rows = []
        for across, down in readings:
            made = self.printed(across / 1000, down / 1000)
            shares = f"{100 * made.lost_left:.1f}", f"{100 * made.lost_moved:.1f}"
            rows.append((f"{across:.1f}", f"{down:.2f}", mm(made.focal_length), *shares))
        head = ("across mm", "down mm", "real focus mm", "lost %, pipe left", "lost %, pipe moved")
        return Table(head, tuple(rows), "rrrrr")

    def printed(self, across: float, down: float) -> PrintedRib:
        """What two bars [m] measured on the print mean."""
        d = self.design
        return printed_rib(self.parabola, d.tube_diameter, across, down,
                           slope_error_mrad=d.slope_error_mrad)  # fmt: skip

    @property
    def print_verdict(self) -> str:
        """What the two bars measured on the print mean, or what to do while they are missing."""
        across, down = self.design.bar_across, self.design.bar_down
        if across is None or down is None:
            return "Not measured yet: no sawing before both bars are written down."
        return self.printed(across, down).sentence

    # --- wood ------------------------------------------------------------------------------------
    @cached_property
    def templates(self) -> list[tuple[Drawing, str]]:
        """Pieces printed at true size, each with a sentence for the saw."""
        d = self.design
        gap = reference.WOOD_GAP.value if d.wood_gap is None else d.wood_gap
        bracket = templates.bracket(self.parabola, d.tube_diameter, gap)
        if d.rib_template == "full rib":
            rib = templates.full_rib(self.parabola, backing=d.backing)
            note = f"Saw {d.rib_count} ribs. Tape the sheets cross on cross first."
        else:
            rib = templates.half_rib(self.parabola, backing=d.backing)
            note = f"Saw {d.rib_count} ribs. Left of the centre line: flap to join the other half."
        return [
            (rib, note),
            (bracket, "Two brackets; holes and vertex as in the rib. Sheet metal on the mirror side: "
                      "off noon the bright line slides over this wood."),
        ]

    @cached_property
    def strips(self) -> list[Drawing]:
        """Paper strips that show where the screws go."""
        d, screws = self.design, self.evaluation.screws
        sheet = self.evaluation.sheet_width + 2 * d.edge_trim
        along = np.asarray(screws.along) + d.trough_length / 2
        across = np.asarray(screws.across_arc) + sheet / 2
        strip, long = templates.screw_strip, d.trough_length
        return [
            strip("rim_strip", "Rim strip, along the trough", long, along),
            strip("rib_strip", "Rib strip, along the curve", sheet, across),
        ]

    @cached_property
    def rib_table(self) -> Table:
        """The rib table."""
        return tables.rib_rows(self.parabola, self.design.backing)

    @property
    def backing_words(self) -> str:
        """What the last two columns of the rib table are for."""
        backing = self.design.backing
        if backing == 0:
            return "No backing between rib and mirror: saw y is the mirror's own curve."
        return (
            f"The mirror lies {show(backing, 'mm')} inside the rib: saw “saw y”, the curve "
            "parallel to the mirror, from its own lowest point."
        )

    # --- aiming ----------------------------------------------------------------------------------
    def calendar_table(self, full_dates: bool = False) -> Table:
        """The re-tilt calendar of the year."""
        lines = self.evaluation.calendar(self.year)
        d = self.design
        return tables.calendar_rows(lines, d.latitude_deg, d.session_half_h, full_dates=full_dates)

    @cached_property
    def on_the_day_table(self) -> Table:
        """Tilts for a trough that is set on the day."""
        d = self.design
        if d.axis == "north-south":
            return tables.hourly_rows(d.latitude_deg, d.longitude_deg, self.year)
        return tables.on_the_day_rows(d.latitude_deg, d.longitude_deg, self.year)

    # --- warming up ------------------------------------------------------------------------------
    @cached_property
    def warm_table(self) -> Table:
        """The band of the warm-up every 15 minutes."""
        band = self.evaluation.band
        return tables.warm_up_rows(band.time, band.low_c, band.median_c, band.high_c)

    # --- cards -----------------------------------------------------------------------------------
    @property
    def dry_pipe(self) -> str:
        """The worst dry pipe."""
        return f"{self.evaluation.dry_worst_c:.0f} °C"

    @property
    def scald(self) -> str:
        """How soon water blisters skin: two rows of the table, from the target on and the last."""
        rows = [row for row in reference.SCALD_BY_DEGREE if row[0] >= self.design.target_c]
        ends = rows[:1] + rows[1:][-1:]
        return ", ".join(f"{temp:.0f}\u00a0°C in {_burn_time(blister)}" for temp, blister, _ in ends)

    @property
    def deep_burn(self) -> str:
        """How soon the hottest water of the same table burns deep, as lesson 06 tells it."""
        temp, _, deep = reference.SCALD_BY_DEGREE[-1]
        return f"deep burn at {temp:.0f} °C: {_burn_time(deep)}"

    @property
    def wood_distance(self) -> str:
        """How far wood, cloth and hose stay from the bright line, rounded up."""
        return f"{np.ceil(self.evaluation.wood_distance * 1000):.0f} mm"

    @property
    def skin_distance(self) -> str:
        """How far skin stays from the bright line, rounded up."""
        return f"{np.ceil(self.evaluation.skin_distance * 1000):.0f} mm"

    @property
    def wind_force(self) -> str:
        """Force of the stow wind."""
        return f"{self.evaluation.wind_force:.0f} N"

    @property
    def slide_gap(self) -> str:
        """Room that the sliding end of the pipe needs, rounded up to half a millimetre."""
        limit = next(one.limit for one in self.evaluation.constraints if one.id == "C8")
        return "not known" if np.isnan(limit) else f"{np.ceil(limit * 2000) / 2:.1f} mm"


def _burn_time(seconds: float) -> str:
    """A time of the scald table in its usual unit, kept together with it."""
    unit = "h" if seconds >= 3600 else "min" if seconds >= 60 else "s"
    return show(seconds, unit, 2).replace(" ", "\u00a0")
