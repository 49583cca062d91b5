"""Explorers of lesson 07: the design board, and what matters most."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.explorers.ladle import LADLE
from solarlib.figures import capstone as draw

PIPES = {"15": "15 x 0.7", "22": "22 x 0.9", "28": "28 x 0.9"}  # on a button -> the tube meant
POT_ROOM = 1.3  # pot volume / water: the demo's 8 L for 6 kg


def _pot(water_mass: float) -> float:
    """Volume [m³] of a pot that holds the water [kg] and some air."""
    return max(0.008, POT_ROOM * water_mass / 1000)


def board_of(e: Any) -> draw.DesignBoard:
    """Return what the board shows of an evaluation."""
    from solarlib import units

    items = [draw.Item(c.id, c.kind, c.name, c.met, c.reason, c.change) for c in e.constraints]
    numbers = [
        ("depth of the curve", units.show(e.depth, "mm")),
        ("rim angle", f"{e.rim_angle_deg:.1f}°"),
        ("width of the sheet, without trim", units.show(e.sheet_width, "mm")),
        ("opening area", units.show(e.area, "m2", 3)),
        ("light caught in usual use", f"{100 * e.share_caught:.0f} %"),
        ("heat taken up", f"{e.absorbed:.0f} W"),
        ("time to the target", f"{e.seconds_to_target / 60:.0f} min"
         if np.isfinite(e.seconds_to_target) else "never"),
    ]  # fmt: skip
    warm = e.warm_up
    return draw.DesignBoard(items, np.asarray(warm.time) / 60, np.asarray(warm.temp_c),
                            e.design.target_c, float(e.seconds_to_target) / 60,
                            numbers)  # fmt: skip


def compute_design_board(
    width: float, focal_length: float, length: float, water: float, pipe: str
) -> draw.DesignBoard:
    """Change the demo design's opening, focal length, length [mm], water [kg] and pipe [mm]."""
    from solarlib import design, reference

    tube = reference.TUBES[PIPES[pipe]]
    d = replace(
        LADLE, aperture_width=width / 1000, focal_length=focal_length / 1000,
        trough_length=length / 1000, tube_length=length / 1000 + 2 * LADLE.overhang, water_mass=water,
        pot_volume=_pot(water),
        tube_diameter=tube.outside_diameter, tube_wall=tube.wall,
    )  # fmt: skip
    return board_of(design.evaluate(d))


def explore_design_board(question: Any = None) -> Explorer:
    """Opening, focal length, length, water and pipe: which checked items stay met."""
    scene = Scene("Design board", compute_design_board, draw.frame_design_board,
                  draw.paint_design_board, draw.describe_design_board, draw.table_design_board,
                  size=(7.8, 5.0))  # fmt: skip
    controls = [
        Slider("width", "width of the opening", "mm", 300, 900, 10, 640),
        Slider("focal_length", "focal length", "mm", 100, 400, 5, 170),
        Slider("length", "length of the mirror", "mm", 500, 1500, 50, 900),
        Slider("water", "water", "kg", 2, 15, 0.5, 6),
        Pick("pipe", "outside diameter of the pipe", {size: f"{size} mm" for size in PIPES}, "22"),
    ]
    presets = {"Flatter": {"focal_length": 250}, "Twice the water": {"water": 12},
               "Thin pipe": {"pipe": "15"}}  # fmt: skip
    guess = Guess("The checked items of the Ladle, all of them met, and a curve of its water, which "
                  "warms up to the target.", _came_out_board)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_board() -> str:
    now, wide = (compute_design_board(width, 170, 900, 6, "22") for width in (640, 900))
    missed = ", ".join(item.id for item in wide.items if item.met is False) or "none"
    return (f"At 900 mm the water is warm after {wide.minutes_to_target:.0f} minutes in place of "
            f"{now.minutes_to_target:.0f}. Items not met: {missed}.")  # fmt: skip


def compute_what_matters_most(
    wind: float, slope: float, misaim: float, water: float
) -> draw.WhatMattersMost:
    """Move each input of the demo design by a tenth, in another wind [m/s] or with another mirror
    [mrad], aim [°] or water [kg]."""
    from solarlib import design

    d = replace(LADLE, site_wind=wind, slope_error_mrad=slope, usual_misaim_deg=misaim,
                water_mass=water, pot_volume=_pot(water))  # fmt: skip
    every = design.evaluate(d).levers
    levers = [lever for lever in every if lever.effect > 0]
    idle = [lever.words for lever in every if not lever.effect]
    base = every[0].base

    def minutes(name: str) -> np.ndarray:
        with np.errstate(invalid="ignore"):  # inf - inf: a design that never gets warm
            return (np.array([getattr(lever, name) for lever in levers]) - base) / 60

    return draw.WhatMattersMost(base / 60, [lever.words for lever in levers], minutes("below"),
                                minutes("above"), idle)  # fmt: skip


def explore_what_matters_most(question: Any = None) -> Explorer:
    """Wind, mirror, aim and water: the sun and a clean mirror beat a finer curve."""
    scene = Scene("What matters most", compute_what_matters_most, draw.frame_what_matters_most,
                  draw.paint_what_matters_most, draw.describe_what_matters_most,
                  draw.table_what_matters_most, size=(7.8, 6.4))  # fmt: skip
    controls = [
        Slider("wind", "usual wind at the site", "m/s", 0.5, 6, 0.5, 1.5),
        Slider("slope", "mirror waves, rms slope", "mrad", 2, 20, 1, 8),
        Slider("misaim", "usual aim error", "°", 0, 2.5, 0.1, 1.0),
        Slider("water", "water", "kg", 2, 12, 0.5, 6),
    ]
    presets = {"Windy": {"wind": 5}, "Wavy mirror": {"slope": 16},
               "Poor aim": {"misaim": 2.0}}  # fmt: skip
    return Explorer(scene, controls, question, presets, Guess("", _came_out_levers))


def _came_out_levers() -> str:
    r = compute_what_matters_most(1.5, 8, 1.0, 6)
    names = {"a finer curve": "surface error, rms", "a cleaner mirror": "reflectance in use, with dirt",
             "more wind shelter": "usual wind at the site"}  # fmt: skip
    places = {words: list(r.names).index(name) for words, name in names.items()}
    told = ", ".join(f"{words} {-min(r.less[k], r.more[k]):.1f}" for words, k in places.items())
    return f"Minutes of {r.minutes:.0f} that a tenth saves: {told}."
