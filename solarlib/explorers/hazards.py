"""Explorers of lesson 06: the burn clock, and what happens after you walk away."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.explorers.ladle import HALF, LADLE
from solarlib.figures import hazards as draw

MIDSUMMER_DEG = 23.44
SUN_W_M2 = 900.0  # of a clear noon, on a clean mirror
SHADED_DEG = 85.0  # beyond this no light gets past the rims of the demo trough


def compute_burn_clock(water: float, who: str, axis: str) -> draw.BurnClock:
    """Read the deep-burn table at a water temperature [°C]."""
    from solarlib import hazards

    child = who == "child"
    table = hazards.BURN_TABLES["deep burn"]
    rows = np.array(table.temps_c)
    temps = np.union1d(rows, np.linspace(rows[0], rows[-1], 60))
    found = hazards.scald(water, child=child)
    return draw.BurnClock(
        water, child, axis == "log", float(found.value), temps,
        np.asarray(hazards.scald_time_s(temps, child=child)), rows,
        np.asarray(hazards.scald_time_s(rows, child=child)), found.sentence, found.source,
        found.status,
    )  # fmt: skip


def explore_burn_clock(question: Any = None) -> Explorer:
    """Water, adult or child, log or plain axis: ten minutes become five seconds."""
    scene = Scene("Burn clock", compute_burn_clock, draw.frame_burn_clock, draw.paint_burn_clock,
                  draw.describe_burn_clock, draw.table_burn_clock, size=(7.4, 4.0))  # fmt: skip
    controls = [
        Slider("water", "water", "°C", draw.COLDEST_C, draw.HOTTEST_C, 0.5, 49),
        Pick("who", "skin of", {"adult": "an adult", "child": "a small child"}, "adult"),
        Pick("axis", "time axis", {"log": "log", "plain": "plain"}, "log"),
    ]
    presets = {"49 °C": {"water": 49}, "60 °C": {"water": 60}, "43 °C": {"water": 43}}
    return Explorer(scene, controls, question, presets, Guess("", _came_out_burn))


def _came_out_burn() -> str:
    return compute_burn_clock(60, "adult", "log").sentence


def compute_after_you_walk_away(hours: float, tilt: float, cover: str) -> draw.AfterYouWalkAway:
    """Leave the demo trough at noon of midsummer, parked at a tilt [°], for some hours."""
    from solarlib import hazards, optics, reference, sun

    trough, reflectance, pipe = LADLE.curve, LADLE.reflectance_clean, LADLE.tube_diameter
    needs = sun.trough_angles(LADLE.latitude_deg, MIDSUMMER_DEG, 15 * hours)
    misaim, slant = float(needs.tilt_deg) - tilt, float(needs.incidence_deg)
    wood = reference.WOOD_IGNITION_FLUX.value
    x = np.linspace(-HALF, HALF, 81)
    rays = optics.ray_paths(trough, x[4:-4:6], misaim if abs(misaim) < SHADED_DEG else 0, top=0.4)
    place = _places(trough, misaim)
    rays_x, rays_y = rays.x, rays.y
    flux = np.zeros(len(place))
    covered = cover == "on"
    if abs(misaim) >= SHADED_DEG:
        rays_x, rays_y = rays_x[:0], rays_y[:0]
    elif covered:  # the sun's rays end on the cover
        level = float(trough.depth) + 0.006
        rise = (rays_y[:, 0] - level) / (rays_y[:, 0] - rays_y[:, 1])
        rays_x = np.stack([rays_x[:, 0], rays_x[:, 0] + rise * (rays_x[:, 1] - rays_x[:, 0])], 1)
        rays_y = np.stack([rays_y[:, 0], np.full(len(rise), level)], 1)
    else:
        suns = optics.flux_in_focal_plane(trough, place, misaim_deg=misaim, incidence_deg=slant)
        flux = np.asarray(suns) * SUN_W_M2 * reflectance * np.cos(np.radians(slant))
    return draw.AfterYouWalkAway(
        hours, tilt, covered, misaim, x, np.asarray(trough.height(x)), LADLE.focal_length, rays_x,
        rays_y, place, flux, float(optics.beam_slide(trough, pipe, slant, HALF)),
        float(optics.beam_slide(trough, pipe, slant)), LADLE.overhang,
        reference.SKIN_LONG_FLUX.value, wood,
        float(hazards.beam_distance(trough, reflectance, SUN_W_M2, wood)), LADLE.trough_length,
    )  # fmt: skip


def _places(trough: Any, misaim: float) -> NDArray:
    """Places in the plane of the pipe [m]: some everywhere, the edges of the parts, and more where
    the rays go through it."""
    from solarlib import optics

    rays = optics.ray_paths(trough, np.linspace(-HALF, HALF, 41) * 0.999, misaim)
    going_up = rays.y[:, 2] - rays.y[:, 1]
    rise = (trough.focal_length - rays.y[:, 1]) / np.where(going_up > 1e-3, going_up, np.nan)
    through = rays.x[:, 1] + rise * (rays.x[:, 2] - rays.x[:, 1])
    dense = through[np.isfinite(through) & (np.abs(through) <= 0.345)]
    # a part beside the bright line gets most at the edge that is nearest to it
    edges = [side * edge for edge, _ in draw.PARTS for side in (-1, 1)]
    return np.unique(np.concatenate([np.linspace(-0.345, 0.345, 25), edges, dense]))


def explore_after_you_walk_away(question: Any = None) -> Explorer:
    """Hours, parked tilt and cover: the light leaves the pipe and finds your own frame."""
    scene = Scene("After you walk away", compute_after_you_walk_away,
                  draw.frame_after_you_walk_away, draw.paint_after_you_walk_away,
                  draw.describe_after_you_walk_away, draw.table_after_you_walk_away,
                  size=(7.4, 6.6))  # fmt: skip
    controls = [
        Slider("hours", "hours left alone", "h", 0, 5, 0.25, 0),
        Slider("tilt", "parked tilt, from straight up", "°", 0, 150, 1, 15),
        Pick("cover", "cover", {"off": "off", "on": "on"}, "off"),
    ]
    presets = {"Left as it stood, 3 h": {"hours": 3, "tilt": 15, "cover": "off"},
               "Parked below the horizon": {"tilt": 120, "cover": "off"},
               "Covered": {"cover": "on"}}  # fmt: skip
    return Explorer(scene, controls, question, presets, Guess("", _came_out_away))


def _came_out_away() -> str:
    r = compute_after_you_walk_away(3, 15, "off")
    where = draw.part_at(float(r.place[np.argmax(r.flux)]))
    ends = "and runs past the pipe's end, onto the hose" if r.slide > r.overhang else "along the pipe"
    return (f"After three hours the bright line is on the {where} with {r.flux.max() / 1000:.0f} kW/m² "
            f"({r.wood_limit / 1000:.1f} has lit wood) {ends}.")  # fmt: skip
