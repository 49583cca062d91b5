"""Explorers of lesson 06: the burn clock, and after you walk away."""

from __future__ import annotations

from typing import Any

import numpy as np

from solarlib.explorers.base import Explorer, Pick, Scene, Slider
from solarlib.figures import hazards as draw

REACTION_S = 1.0  # common practice, no source: to notice, be startled and pull away, at best
LATITUDE_DEG = 38.0  # demo site, an invented place
MIDSUMMER = "2026-06-21"  # the sun leaves a fixed trough fastest
BEAM, REFLECTANCE = 900.0, 0.85  # the lesson's clear day and clean mirror, held all day
SURFACE_MRAD = 5.0  # a careful build; common practice, no source
MIRROR_LENGTH, PIPE_LENGTH, PIPE_DIAMETER = 0.900, 1.400, 0.022
RIM_BOARD = 0.02  # width of the wooden edge at the rim [m]


def compute_burn_clock(temp: float, who: str, axis: str) -> draw.BurnClock:
    """Look up the time to a deep burn in water of a temperature [°C]."""
    from solarlib import hazards

    child = who == "child"
    table = hazards.BURN_TABLES["deep burn"]
    finding = hazards.scald(temp, child=child)
    rows = np.array(table.temps_c)
    return draw.BurnClock(
        temp, who, axis, rows, np.asarray(hazards.scald_time_s(rows, child=child)),
        finding.value, float(hazards.scald_time_s(49, child=child)),
        float(hazards.scald_time_s(60, child=child)), REACTION_S, finding.sentence,
        table.injury, finding.source, finding.status,
    )  # fmt: skip


def explore_burn_clock(question: Any = None) -> Explorer:
    """Time to a deep burn: between 49 and 60 °C ten minutes become five seconds."""
    scene = Scene("Burn clock", compute_burn_clock, draw.frame_burn_clock, draw.paint_burn_clock,
                  draw.describe_burn_clock, draw.table_burn_clock, size=(7.4, 4.2))  # fmt: skip
    controls = [
        Slider("temp", "water", "°C", draw.COLDEST_C, draw.HOTTEST_C, 0.5, 49),
        Pick("who", "whose skin", {"adult": "adult", "child": "small child"}, "adult"),
        Pick("axis", "scale of time", {"log": "log", "plain": "plain"}, "log"),
    ]
    presets = {"49 °C": {"temp": 49}, "60 °C": {"temp": 60}, "45 °C": {"temp": 45}}
    return Explorer(scene, controls, question, presets)


def compute_after_you_walk_away(hours: float, tilt: float, cover: str) -> draw.WalkAway:
    """Leave the trough alone at a tilt [°] until some hours after noon, with or without cover."""
    from solarlib import geometry, hazards, optics, reference, sun

    covered = cover == "on"
    p = geometry.Parabola(focal_length=0.170, aperture_width=0.640)
    dec = float(sun.declination_deg(MIDSUMMER))
    aim = float(sun.aim_error_deg(LATITUDE_DEG, dec, 15 * hours, tilt))
    slant = float(sun.trough_angles(LATITUDE_DEG, dec, 15 * hours).incidence_deg)
    x = np.linspace(-0.32, 0.32, 161)
    rays = optics.ray_paths(p, np.linspace(-0.31, 0.31, 13), misaim_deg=aim)
    expected = -p.focal_length * np.tan(np.radians(aim))
    across = np.unique(np.concatenate([np.linspace(-0.42, 0.42, 169),
                                       expected + np.linspace(-0.03, 0.03, 61)]))  # fmt: skip
    suns = optics.flux_in_focal_plane(p, across, misaim_deg=aim, slope_error_mrad=SURFACE_MRAD)
    flux = np.asarray(suns) * REFLECTANCE * BEAM * np.cos(np.radians(slant)) * (not covered)
    wood, skin = reference.WOOD_IGNITION_FLUX.value, reference.SKIN_LONG_FLUX.value
    brightest = int(np.argmax(flux)) if not covered else int(np.argmin(np.abs(across)))
    slide_first = float(optics.beam_slide(p, PIPE_DIAMETER, slant, 0.0))
    slide_last = float(optics.beam_slide(p, PIPE_DIAMETER, slant, p.aperture_width / 2))
    lit_from, lit_to = slide_first - MIRROR_LENGTH / 2, slide_last + MIRROR_LENGTH / 2
    return draw.WalkAway(
        hours, tilt, aim, covered, x, np.asarray(p.height(x)), rays.x, rays.y,
        float(p.focal_length), PIPE_DIAMETER / 2, across, flux, float(across[brightest]),
        float(flux[brightest]), wood, skin,
        float(hazards.beam_distance(p, REFLECTANCE, BEAM, wood)),
        float(hazards.beam_distance(p, REFLECTANCE, BEAM, skin)),
        MIRROR_LENGTH, PIPE_LENGTH, lit_from, lit_to,
        _hits(across[flux >= wood], float(p.aperture_width) / 2, lit_to),
    )  # fmt: skip


def _hits(burning: Any, half_width: float, lit_to: float) -> tuple[str, ...]:
    """Name the parts that lie where the light is stronger than the wood limit."""
    on_pipe = np.any(np.abs(burning) <= PIPE_DIAMETER / 2)
    beside = (np.abs(burning) > PIPE_DIAMETER / 2) & (np.abs(burning) < half_width - RIM_BOARD)
    parts = {
        "the pipe": on_pipe,
        "the wooden bracket": np.any(beside) and lit_to > MIRROR_LENGTH / 2,
        "the rim board": np.any(np.abs(np.abs(burning) - half_width) <= RIM_BOARD),
        "the fitting and the hose": on_pipe and lit_to > PIPE_LENGTH / 2,
    }
    return tuple(name for name, lit in parts.items() if lit)


def explore_after_you_walk_away(question: Any = None) -> Explorer:
    """A trough left alone burns its own frame, and off noon its own hose."""
    scene = Scene("After you walk away", compute_after_you_walk_away, draw.frame_walk_away,
                  draw.paint_walk_away, draw.describe_walk_away, draw.table_walk_away,
                  size=(7.4, 5.0))  # fmt: skip
    controls = [
        Slider("hours", "left alone until, hours after noon", "h", 0, 4, 0.25, 0),
        Slider("tilt", "parked tilt from straight up", "°", -30, 70, 0.5, 14.5),
        Pick("cover", "cover", {"off": "off", "on": "on"}, "off"),
    ]
    presets = {"Left aimed for 3 h": {"hours": 3, "tilt": 14.5, "cover": "off"},
               "Turned 45° away": {"hours": 0, "tilt": 59.5, "cover": "off"},
               "Cover on": {"cover": "on"}}  # fmt: skip
    return Explorer(scene, controls, question, presets)
