"""What follows from a design: every number of the course, a line a step.

In: a `HeaterDesign`, and the day or instant it is used (left out: its usual sun and
slant). Out: an `Evaluation`, from the curve's depth to the warm-up. Slow things,
like the band of many sampled days, are worked out when first asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from solarlib import geometry, hazards, heat, optics, reference, sun, water
from solarlib.design import light, warmth
from solarlib.design.checks import HOTTEST_STOP_C
from solarlib.design.constraints import Constraint, constraints
from solarlib.design.cutting import Part, Screws, cut_list, rib_pages, screws
from solarlib.design.heater import HeaterDesign
from solarlib.design.levers import Lever, levers

if TYPE_CHECKING:
    from solarlib.design.nearest import WhatIf

WORST_BEAM = 1000.0  # W/m2: the clearest noon; common practice, no source
WORST_SLOPE_MRAD = 5.0  # and the best surface a bench will make
FILLED_COLD_C = 10.0  # coldest pipe at which the slot is set; common practice, no source
LOSS_TEMPERATURES_C = (30.0, 40.0, 55.0, 80.0, 100.0)


@dataclass(frozen=True)
class Evaluation:
    """Everything that follows from a design. SI, or the unit a name ends with.

    Curve: parabola and its depth, rim_angle_deg, edge_slope_deg, sheet_width, bend_radius,
    rim_distance, mean_focal_distance, focus_above_rim, area [m²]; width_ratio W/D, area_ratio
    (W-D)/(pi D).

    Light: beam [W/m²], incidence_deg, cosine; share_caught in usual use, share_at_budget at the
    whole aim budget, end_share; acceptance_deg, no_loss_aim_deg; power (reflected, direct, total);
    absorbed [W]; optical_efficiency = absorbed / (beam · area).

    Heat: heater (pot and pipe) and pipe_only; boiling_c, surplus_at_boiling [W] of pipe_only,
    steam [kg/s] and steam_volume [m³/s] it would make; energy_needed [J]; dry_pipe_c at
    the winds of `winds`, dry_worst_c.

    Build: thickest_sheet, pipe_growth (dry, worst), sheet_growth, pipe_sag [m].
    Session: session_incidence_deg, overhang_needed [m], minutes_in_band.
    Hazards: skin_distance and wood_distance past the line [m], wind_force [N], wind_moment [N m],
    ballast_needed [kg].
    """

    design: HeaterDesign
    when: Any
    seed: int
    parabola: geometry.Parabola
    depth: float
    rim_angle_deg: float
    edge_slope_deg: float
    sheet_width: float
    bend_radius: float
    rim_distance: float
    mean_focal_distance: float
    focus_above_rim: float
    area: float
    width_ratio: float
    area_ratio: float
    beam: float
    incidence_deg: float
    cosine: float
    share_caught: float
    share_at_budget: float
    end_share: float
    acceptance_deg: float
    no_loss_aim_deg: float
    power: optics.PipePower
    absorbed: float
    optical_efficiency: float
    heater: heat.Heater
    pipe_only: heat.Heater
    boiling_c: float
    surplus_at_boiling: float
    steam: float
    steam_volume: float
    energy_needed: float
    winds: tuple[float, ...]
    dry_pipe_c: tuple[float, ...]
    dry_worst_c: float
    thickest_sheet: float
    pipe_growth: float
    sheet_growth: float
    pipe_sag: float
    session_incidence_deg: float
    overhang_needed: float
    minutes_in_band: float
    skin_distance: float
    wood_distance: float
    wind_force: float
    wind_moment: float
    ballast_needed: float

    # --- worked out when first asked for -------------------------------------------------------
    @cached_property
    def warm_up(self) -> heat.WarmUp:
        """The water's way up, hour by hour."""
        d = self.design
        power = light.power_in_time(d, self.when)
        return heat.warm_up(self.heater, power, d.start_c, light.duration(d), d.target_c)

    @property
    def seconds_to_target(self) -> float:
        """Time to the target [s], inf where it is not reached."""
        return float(self.warm_up.seconds_to_target)

    @cached_property
    def session_energy(self) -> float:
        """Heat that one day of use puts into water, pipe and pot [J]: covered at the stop."""
        d = self.design
        until = min(2 * d.session_half_h * 3600, float(self.warm_up.time[-1]))
        reached = min(float(self.warm_up.at(until)), d.stop_c or HOTTEST_STOP_C)
        return float(self.heater.heat_capacity) * (reached - d.start_c)

    @cached_property
    def band(self) -> heat.WarmUpBand:
        """5, 50 and 95 % of the warm-ups of many sampled days; the seed makes it repeatable."""
        d = self.design
        return heat.warm_up_band(
            self.heater,
            light.power_in_time(d, self.when),
            d.start_c,
            float(self.warm_up.time[-1]),
            d.target_c,
            seed=self.seed,
            site_wind=(min(0.5, d.site_wind), d.site_wind, max(4.0, d.site_wind)),
            shelter=d.shelter,
        )

    @cached_property
    def bands(self) -> dict[str, tuple[float, float, float]]:
        """5, 50 and 95 % of what depends on the day: seconds_to_target [s], session_energy [J],
        final_c, the water [°C] at the latest acceptable time."""
        d, band = self.design, self.band
        stop, capacity = d.stop_c or HOTTEST_STOP_C, float(self.heater.heat_capacity)

        def at(seconds: float) -> tuple[float, float, float]:
            low, middle, high = (float(np.interp(seconds, band.time, course))
                                 for course in (band.low_c, band.median_c, band.high_c))  # fmt: skip
            return low, middle, high

        def stored(temp_c: float) -> float:
            return capacity * (min(temp_c, stop) - d.start_c)

        low, middle, high = at(min(2 * d.session_half_h * 3600, float(band.time[-1])))
        return {
            "seconds_to_target": (band.soonest, band.median, band.latest),
            "session_energy": (stored(low), stored(middle), stored(high)),
            "final_c": at(d.latest_time),
        }

    @cached_property
    def levers(self) -> tuple[Lever, ...]:
        """How much each input moves the time to the target, ±10 %, largest first."""
        return levers(self.design)

    @cached_property
    def constraints(self) -> tuple[Constraint, ...]:
        """The checked items C1 to C18."""
        return constraints(self)

    def what_if(self, item: str) -> tuple[WhatIf, ...]:
        """What would meet an item that is not met, nearest first; see `design.nearest`."""
        from solarlib.design.nearest import what_if  # it evaluates changed designs

        return what_if(self, item)

    @cached_property
    def plateau_c(self) -> float:
        """Where the water would come to rest [°C]; above `boiling_c` it boils first."""
        return float(self.heater.plateau_c(self.absorbed))

    @property
    def gates_open(self) -> tuple[Constraint, ...]:
        """Gates that are not met, or not known to be met."""
        return tuple(one for one in self.constraints if one.kind == "gate" and one.met is not True)

    @cached_property
    def share_curve(self) -> tuple[NDArray, NDArray]:
        """Aim errors from 0 to 6 deg, and the share caught at each."""
        misaim = np.linspace(0.0, 6.0, 61)
        return misaim, light.share(self.design, misaim, self.incidence_deg)

    @cached_property
    def loss_table(self) -> NDArray:
        """Heat lost [W] by pipe and pot; rows: `winds` at the pipe, columns: 30 to 100 °C."""
        wind = np.asarray(self.winds)[:, None]
        return np.asarray(replace(self.heater, wind=wind).loss(np.asarray(LOSS_TEMPERATURES_C)))

    @cached_property
    def heat_balance(self) -> tuple[dict[str, float], ...]:
        """Absorbed, lost and useful power [W] at start, half-way and target temperature."""
        d = self.design
        states = []
        for temp in (d.start_c, (d.start_c + d.target_c) / 2, d.target_c):
            lost = float(self.heater.loss(temp))
            states.append(
                {"temp_c": temp, "absorbed": self.absorbed, "lost": lost,
                 "useful": self.absorbed - lost}
            )  # fmt: skip
        return tuple(states)

    @cached_property
    def sheet_line(self) -> geometry.ScrewLine:
        """How the sheet lies between the screws along a rib, edges left free."""
        return geometry.screw_line(self.parabola, len(self.screws.across), equal_arc=True)

    @cached_property
    def screws(self) -> Screws:
        """Where the screws go."""
        return screws(self.design)

    @cached_property
    def cut_list(self) -> tuple[Part, ...]:
        """What to saw and buy."""
        return cut_list(self.design)

    @property
    def template_pages(self) -> int:
        """Pages that the rib's template takes when printed at full size."""
        return rib_pages(self.design)

    @property
    def cost(self) -> float:
        """Sum of the learner's own prices over the cut list."""
        prices = dict(self.design.prices)
        return sum(prices.get(part.name, 0.0) * part.count for part in self.cut_list)

    def calendar(self, year: int) -> tuple[sun.TiltSetting, ...]:
        """The settings of a year, for the design's band and clock."""
        d = self.design
        return sun.retilt_calendar(
            d.latitude_deg, d.longitude_deg, year, d.calendar_band_deg, d.zone, d.aim_session_deg
        )

    def noon_tilts(self, year: int) -> tuple[tuple[date, float], ...]:
        """Noon tilt from straight up toward the equator [deg], on the 21st of each month."""
        days = [date(year, month, 21) for month in range(1, 13)]
        noons = [sun.solar_noon(day, self.design.longitude_deg) for day in days]
        tilts = sun.noon_tilt_deg(self.design.latitude_deg, sun.declination_deg(noons))
        return tuple(zip(days, (float(tilt) for tilt in tilts), strict=True))


def evaluate(d: HeaterDesign, when: Any = None, seed: int = 0) -> Evaluation:
    """Work out everything that follows from a design.

    Parameters
    ----------
    d : the design.
    when : None for the design's usual beam and slant, a date (the session then starts an hour
        before solar noon) or an instant (aware datetime, ISO text with offset).
    seed : start of the dice for the band.

    Returns
    -------
    Evaluation

    Example
    -------
    >>> from solarlib.design import demo
    >>> round(evaluate(demo()).absorbed)
    350
    """
    # curve
    p = d.curve
    area = float(p.area(d.trough_length))

    # light
    if when is None:
        beam, incidence = d.beam_noon, d.usual_incidence_deg
    else:
        beam, incidence = (float(v[0]) for v in light.sun_then(d, when, np.zeros(1)))
    power = light.power(d, beam, incidence)
    absorbed = float(power.total)
    session_incidence = light.session_incidence_deg(d)

    # heat
    whole, pipe_only = warmth.heaters(d)
    surplus = float(pipe_only.surplus(absorbed))
    steam = float(water.boil_off(max(surplus, 0.0), whole.pressure))
    winds = (0.0, d.tube_wind, max(3.0, 2 * d.tube_wind))
    usual = light.per_lit_metre(d, d.beam_noon, d.reflectance_used, d.slope_error_mrad)
    worst = light.per_lit_metre(
        d,
        max(WORST_BEAM, d.beam_noon),
        d.reflectance_clean,
        min(WORST_SLOPE_MRAD, d.slope_error_mrad),
    )
    dry = warmth.dry_pipe_c(d, np.array([usual] * 3 + [worst]), np.array([*winds, 0.0]))
    dry_worst = float(dry[3])

    # hazards
    worst_beam = 1.1 * d.beam_noon
    force = float(hazards.wind_force(d.stow_wind, area))
    moment = float(hazards.overturning_moment(force, d.wind_height))

    return Evaluation(
        design=d,
        when=when,
        seed=seed,
        parabola=p,
        depth=p.depth,
        rim_angle_deg=p.rim_angle_deg,
        edge_slope_deg=p.edge_slope_deg,
        sheet_width=p.sheet_width,
        bend_radius=p.bend_radius,
        rim_distance=p.rim_distance,
        mean_focal_distance=p.mean_focal_distance,
        focus_above_rim=p.focus_above_rim,
        area=area,
        width_ratio=optics.concentration_by_width(d.aperture_width, d.tube_diameter),
        area_ratio=optics.concentration_unshaded(d.aperture_width, d.tube_diameter),
        beam=beam,
        incidence_deg=incidence,
        cosine=float(np.cos(np.radians(incidence))),
        share_caught=light.share(d, d.usual_misaim_deg, incidence),
        share_at_budget=light.share_off(d, d.aim_total_deg),
        end_share=optics.end_effect(p, d.tube_diameter, d.trough_length, d.overhang, incidence),
        acceptance_deg=optics.acceptance_half_angle_deg(p, d.tube_diameter),
        no_loss_aim_deg=optics.no_loss_aim_deg(p, d.tube_diameter),
        power=power,
        absorbed=absorbed,
        optical_efficiency=absorbed / (beam * area) if beam > 0 else 0.0,
        heater=whole,
        pipe_only=pipe_only,
        boiling_c=whole.boiling_c,
        surplus_at_boiling=surplus,
        steam=steam,
        steam_volume=steam / float(water.steam_density(whole.pressure)),
        energy_needed=water.warming_energy(d.water_mass, d.start_c, d.target_c),
        winds=winds,
        dry_pipe_c=tuple(float(t) for t in dry[:3]),
        dry_worst_c=dry_worst,
        thickest_sheet=geometry.thickest_sheet(d.focal_length, d.bend_factor),
        pipe_growth=float(geometry.copper_growth(d.tube_length, FILLED_COLD_C, dry_worst)),
        sheet_growth=float(geometry.expansion(d.trough_length, 50.0)),
        pipe_sag=d.pipe.sag(d.support_spacing),
        session_incidence_deg=session_incidence,
        overhang_needed=optics.overhang_needed(p, session_incidence),
        minutes_in_band=light.minutes_in_band(d),
        skin_distance=_past_line(d, worst_beam, reference.SKIN_LONG_FLUX.value),
        wood_distance=_past_line(d, worst_beam, reference.WOOD_LONG_FLUX.value),
        wind_force=force,
        wind_moment=moment,
        ballast_needed=float(hazards.ballast_mass(force, d.wind_height, d.half_base)),
    )


def _past_line(d: HeaterDesign, beam: float, flux: float) -> float:
    """Distance past the line [m] at which the light of a clean mirror has thinned to a flux."""
    return float(hazards.beam_distance(d.curve, d.reflectance_clean, beam, flux))
