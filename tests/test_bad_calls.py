"""Calls of the library that make no sense: each is refused in one sentence that names the value."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np

from solarlib import design, geometry, hazards, heat, heating_test, optics, sun, water
from tests.refusals import refused, table

P = geometry.Parabola(0.170, 0.640)
DEMO = design.demo()
ABSURD = 10**400
CALLS: dict[str, tuple[Callable[[], Any], list[str]]] = {
    "focal length negative": (lambda: geometry.Parabola(-0.17, 0.64), ["focal length", "-0.17"]),
    "focal length zero": (lambda: geometry.Parabola(0, 0.64), ["focal length", "0 m"]),
    "focal length nan": (lambda: geometry.Parabola(np.nan, 0.64), ["focal length", "nan"]),
    "focal length text": (lambda: geometry.Parabola("170 mm", 0.64), ["focal length", "170 mm"]),
    "focal length missing": (lambda: geometry.Parabola(None, 0.64), ["focal length", "None"]),
    "focal length complex": (lambda: geometry.Parabola(1j, 0.64), ["focal length", "1j"]),
    "focal length absurd": (lambda: geometry.Parabola(ABSURD, 0.64), ["focal length"]),
    "focal length a dict": (lambda: geometry.Parabola({}, 0.64), ["focal length"]),
    "aperture zero": (lambda: geometry.Parabola(0.17, 0), ["aperture width", "0 m"]),
    "aperture infinite": (lambda: geometry.Parabola(0.17, np.inf), ["aperture width", "inf"]),
    "aperture ragged": (lambda: geometry.Parabola(0.17, [[1], [1, 2]]), ["aperture width"]),
    "shapes that do not fit": (lambda: geometry.Parabola([1, 2], [1, 2, 3]),
                               ["focal length", "aperture width"]),
    "shapes of errors": (lambda: optics.intercept_factor(P, [0.02, 0.03], misaim_deg=[0, 1, 2]),
                         ["tube diameter (2,)", "misaim deg (3,)"]),
    "no pair": (lambda: geometry.Parabola.from_two(depth=0.15), ["depth"]),
    "three of two": (lambda: geometry.Parabola.from_two(depth=1, focal_length=1, rim_angle_deg=9),
                     ["two"]),
    "unknown size": (lambda: geometry.Parabola.from_two(depth=1, colour=2), ["colour"]),
    "rim angle of 180": (lambda: geometry.Parabola.from_two(rim_angle_deg=180, depth=1), ["180"]),
    "sheet negative": (lambda: geometry.Parabola.from_sheet(-1, rim_angle_deg=90), ["-1"]),
    "one screw": (lambda: geometry.screw_line(P, points=1), ["1"]),
    "half a screw": (lambda: geometry.screw_line(P, points=4.5), ["4.5"]),
    "screws in words": (lambda: geometry.screw_line(P, points="five"), ["five"]),
    "scale zero": (lambda: geometry.printed_focal_length(0.17, 0, 1), ["0"]),
    "scale nan": (lambda: geometry.printed_focal_length(0.17, 1, np.nan), ["nan"]),
    "rib step zero": (lambda: geometry.rib_table(P, step=0), ["0"]),
    "rib step negative": (lambda: geometry.rib_table(P, step=-0.02), ["-0.02"]),
    "backing in words": (lambda: geometry.rib_table(P, backing="thick"), ["thick"]),
    "backing negative": (lambda: geometry.rib_table(P, backing=-0.001), ["-0.001"]),
    "tube zero": (lambda: optics.intercept_factor(P, 0), ["0 m"]),
    "tube negative": (lambda: optics.intercept_factor(P, -0.022), ["-0.022"]),
    "slope negative": (lambda: optics.intercept_factor(P, 0.022, slope_error_mrad=-8), ["-8"]),
    "slope nan": (lambda: optics.intercept_factor(P, 0.022, slope_error_mrad=np.nan), ["nan"]),
    "misaim of 91": (lambda: optics.intercept_factor(P, 0.022, misaim_deg=91), ["91"]),
    "incidence of 120": (lambda: optics.intercept_factor(P, 0.022, incidence_deg=120), ["120"]),
    "no parabola": (lambda: optics.intercept_factor("P", 0.022), ["P"]),
    "no rays": (lambda: optics.trace(P, 0.022, rays=0), ["0", "rays"]),
    "rays in words": (lambda: optics.trace(P, 0.022, rays="many"), ["many", "rays"]),
    "trough of no length": (lambda: optics.end_effect(P, 0.022, 0), ["0 m"]),
    "tube of no width": (lambda: optics.concentration_by_width(0.64, 0), ["0 m"]),
    "sun disc of 200": (lambda: optics.transverse_sun_half_angle_deg(200), ["200"]),
    "naive instant": (lambda: sun.position(datetime(2026, 6, 21, 12), 38, -4), ["time zone"]),
    "naive text": (lambda: sun.position("2026-06-21T12:00", 38, -4), ["time zone"]),
    "yesterday": (lambda: sun.position("yesterday", 38, -4), ["yesterday"]),
    "no instant": (lambda: sun.position(None, 38, -4), ["None"]),
    "an instant as a number": (lambda: sun.position(20260621, 38, -4), ["20260621"]),
    "latitude of 120": (lambda: sun.position("2026-06-21T12:00Z", 120, 0), ["latitude", "120"]),
    "latitude in words": (lambda: sun.position("2026-06-21T12:00Z", "N", 0), ["latitude", "N"]),
    "longitude of 400": (lambda: sun.position("2026-06-21T12:00Z", 0, 400), ["longitude", "400"]),
    "noon of 30 February": (lambda: sun.solar_noon("2026-02-30", 0), ["2026-02-30"]),
    "noon of nothing": (lambda: sun.solar_noon(None, 0), ["None"]),
    "declination of 40": (lambda: sun.day_length_h(38, 40), ["40"]),
    "air mass of 0": (lambda: sun.clear_sky_beam(0), ["0"]),
    "elevation of 50 km": (lambda: sun.clear_sky_beam(1.5, 50_000), ["50000"]),
    "axis up and down": (lambda: sun.trough_angles(38, 10, 0, axis="up"), ["up", "east-west"]),
    "axis nothing": (lambda: sun.trough_angles(38, 10, 0, axis=None), ["None", "east-west"]),
    "tolerance negative": (lambda: sun.hours_in_focus(10, -1), ["-1"]),
    "drift negative": (lambda: sun.days_until_drift("2026-03-20", -1), ["-1"]),
    "calendar of year 0": (lambda: sun.retilt_calendar(38, 0, 0, 0.5), ["0"]),
    "calendar of a word": (lambda: sun.retilt_calendar(38, 0, "soon", 0.5), ["soon"]),
    "calendar of half a year": (lambda: sun.retilt_calendar(38, 0, 2026.5, 0.5), ["2026.5"]),
    "calendar without a band": (lambda: sun.retilt_calendar(38, 0, 2026, 0), ["0"]),
    "calendar at 95 north": (lambda: sun.retilt_calendar(95, 0, 2026, 0.5), ["95"]),
    "zone of 30 h": (lambda: sun.Zone(30), ["30"]),
    "summer time of Mars": (lambda: sun.Zone(0, "Mars"), ["Mars", "Europe"]),
    "water at -300": (lambda: water.density(-300), ["-300"]),
    "water at nan": (lambda: water.saturation_pressure(np.nan), ["nan"]),
    "pressure zero": (lambda: water.boiling_point_c(0), ["0"]),
    "pressure in words": (lambda: water.boiling_point_c("1 bar"), ["1 bar"]),
    "mountain of 100 km": (lambda: water.standard_pressure(1e5), ["100000"]),
    "pipe of no width": (lambda: heat.natural_convection(0, 60, 20), ["0 m"]),
    "emittance of 2": (lambda: heat.radiation_per_metre(0.022, 60, 20, 2), ["2"]),
    "wind negative": (lambda: heat.forced_convection(0.022, 60, 20, -1), ["-1"]),
    "colder than cold": (lambda: heat.loss_per_metre(0.022, -400, 20, 1, 0.9), ["-400"]),
    "cover in words": (lambda: heat.loss_per_metre(0.022, 60, 20, 1, 0.9, cover="glass"),
                       ["glass"]),
    "glass inside out": (lambda: heat.Cover(0.040, 0.036), ["0.036"]),
    "light negative": (lambda: heat.dry_pipe_c(-10, 0.022, 20, 1, 0.9), ["-10"]),
    "unknown material": (lambda: hazards.contact_temperature_c("cheese", 80), ["cheese"]),
    "scald at nan": (lambda: hazards.scald_time_s(np.nan), ["nan"]),
    "scald by no table": (lambda: hazards.scald_time_s(60, table="mild"), ["mild"]),
    "light on skin negative": (lambda: hazards.skin_exposure_limit_s(-1), ["-1"]),
    "reflectance of 2": (lambda: hazards.beam_distance(P, 2, 820, 1e4), ["2"]),
    "tube of no shop": (lambda: hazards.closed_volume(20, 80, "23 x 7"), ["23 x 7"]),
    "joint of chewing gum": (lambda: hazards.joint("gum", 200), ["gum"]),
    "design as text": (lambda: replace(DEMO, focal_length="170 mm"), ["focal_length", "170 mm"]),
    "design as a flag": (lambda: replace(DEMO, focal_length=True), ["focal_length", "True"]),
    "design absurd": (lambda: replace(DEMO, focal_length=ABSURD), ["focal_length"]),
    "design of a list": (lambda: replace(DEMO, axis=["east-west"]), ["axis", "east-west"]),
    "design of half ribs": (lambda: replace(DEMO, rib_count=3.5), ["rib_count", "3.5"]),
    "design worked out naively": (lambda: design.evaluate(DEMO, datetime(2026, 6, 21, 12)),
                                  ["time zone"]),
    "design worked out never": (lambda: design.evaluate(DEMO, "never"), ["never"]),
    "a log of nothing": (lambda: heating_test.read_log(""), []),
    "a log that is gone": (lambda: heating_test.read_log("gone.csv"), ["gone.csv"]),
    "a log with a zero byte": (lambda: heating_test.read_log("a\0b"), []),
}  # fmt: skip


@table(CALLS)
def test_calls_of_the_library(case):
    refused(case[0], *case[1])
