"""Explorers of lesson 04: where the watts go, and lid or lagging."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.explorers.ladle import LADLE
from solarlib.figures import heat_loss as draw

AIR_C, PIPE, LENGTH, PIPE_LENGTH = (LADLE.air_c, LADLE.tube_diameter, LADLE.trough_length,
                                    LADLE.tube_length)  # fmt: skip


def compute_where_watts_go(
    water: float, wind: float, emittance: float, glass: str
) -> draw.WhereWattsGo:
    """Follow the light of the demo trough into water of a temperature [°C] in a wind [m/s]."""
    from solarlib import heat, optics

    d, trough = LADLE, LADLE.curve
    cover = heat.Cover() if glass == "glass" else None
    clear = float(np.asarray(cover.transmittance)) if cover else 1.0
    caught = optics.intercept_factor(trough, PIPE, d.slope_error_mrad,
                                     misaim_deg=d.usual_misaim_deg)  # fmt: skip

    def at(reflectance: float, share: Any, absorptance: float, through: float) -> Any:
        return optics.pipe_power(trough, PIPE, LENGTH, PIPE_LENGTH, d.beam_noon, reflectance,
                                 absorptance, share, transmittance=through)  # fmt: skip

    chain = [
        at(1, 1, 1, 1),
        at(d.reflectance_used, 1, 1, 1),
        at(d.reflectance_used, caught, 1, 1),
        at(d.reflectance_used, caught, 1, clear),
        at(d.reflectance_used, caught, d.absorptance, clear),
    ]
    watts = [float(power.total) for power in chain]
    loss = heat.loss_parts(PIPE, water, AIR_C, wind, emittance, cover=cover)
    pot = d.pot_loss * (water - AIR_C)
    carried, radiated = (float(part) * PIPE_LENGTH for part in (loss.convection, loss.radiation))
    steps = [*(a - b for a, b in pairwise(watts)), carried, radiated, pot]
    lost = dict(zip(draw.STEPS, steps, strict=True))
    per_metre = float(chain[-1].reflected) / LENGTH + float(chain[-1].direct) / PIPE_LENGTH
    dry = heat.dry_pipe_c(per_metre, PIPE, AIR_C, wind, emittance, cover=cover)
    return draw.WhereWattsGo(water, wind, emittance, cover is not None, watts[0], lost,
                             watts[0] - sum(steps), float(dry))  # fmt: skip


def explore_where_watts_go(question: Any = None) -> Explorer:
    """Water, wind, paint and glass: what stays of the sun's watts, and how hot a dry pipe gets."""
    scene = Scene("Where do the watts go?", compute_where_watts_go, draw.frame_where_watts_go,
                  draw.paint_where_watts_go, draw.describe_where_watts_go,
                  draw.table_where_watts_go, size=(7.4, 4.4))  # fmt: skip
    controls = [
        Slider("water", "water temperature", "°C", 15, 95, 1, 40),
        Slider("wind", "wind at the pipe", "m/s", 0, 5, 0.1, 0.9),
        Slider("emittance", "emittance of the paint", "", 0.05, 0.95, 0.05, 0.90),
        Pick("glass", "glass tube round the pipe", {"none": "none", "glass": "36/40 mm"}, "none"),
    ]
    presets = {
        "Cold start": {"water": 18}, "Breeze": {"water": 80, "wind": 3.0},
        "A black that does not glow": {"emittance": 0.10, "wind": 0.0},
    }  # fmt: skip
    guess = Guess("Bars from the watts of the sun, less one loss after another, down to what stays "
                  "in lukewarm water in light air.", _came_out_watts)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_watts() -> str:
    r = compute_where_watts_go(80, 3, 0.9, "none")
    stays = f"{r.useful:.0f} W of {r.incoming:.0f} W stay" if r.useful > 0 else "nothing stays"
    return f"At 80 °C in a breeze of 3 m/s {stays} in the water."


def compute_lid_or_lagging(
    lid: str, insulation: float, wind: float, start: float
) -> draw.LidOrLagging:
    """Cool a pot of 6 L with lid or without, lagging [mm], in a wind [m/s], from a start [°C]."""
    from solarlib import heat

    hours = np.linspace(0, 48, 193)
    half = AIR_C + (start - AIR_C) / 2

    def curve(closed: bool, thickness_mm: float) -> np.ndarray:
        pot = heat.Pot(lid=closed, insulation=thickness_mm / 1000)
        return heat.cooling_curve(pot, start, hours * 3600, AIR_C, wind)

    def life(temps: np.ndarray) -> float:
        return float(np.interp(-half, -temps, hours, right=np.inf))

    yours, bare = curve(lid == "on", insulation), curve(False, 0)
    lives = {"yours": life(yours), "neither": life(bare), "lid alone": life(curve(True, 0)),
             "20 mm lagging alone": life(curve(False, 20)),
             "lid and 20 mm lagging": life(curve(True, 20))}  # fmt: skip
    return draw.LidOrLagging(lid == "on", insulation, wind, start, AIR_C, hours, yours, bare, lives)


def explore_lid_or_lagging(question: Any = None) -> Explorer:
    """Lid, lagging, wind and start: the lid beats the second layer."""
    scene = Scene("Lid or lagging?", compute_lid_or_lagging, draw.frame_lid_or_lagging,
                  draw.paint_lid_or_lagging, draw.describe_lid_or_lagging,
                  draw.table_lid_or_lagging, size=(7.4, 4.0))  # fmt: skip
    controls = [
        Pick("lid", "lid", {"off": "off", "on": "on"}, "off"),
        Slider("insulation", "lagging", "mm", 0, 60, 5, 0),
        Slider("wind", "wind", "m/s", 0, 5, 0.5, 0),
        Slider("start", "water at the start", "°C", 40, 80, 1, 55),
    ]
    presets = {"Lid only": {"lid": "on", "insulation": 0},
               "Lagging only": {"lid": "off", "insulation": 40},
               "Both": {"lid": "on", "insulation": 40}}  # fmt: skip
    guess = Guess("A bare, open pot cools: the curve falls quickly at first, then ever more slowly.",
                  _came_out_lid)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_lid() -> str:
    lives = compute_lid_or_lagging("off", 0, 0, 55).half_lives
    return (f"Half of the warmth is gone after {lives['lid alone']:.1f} hours with a lid alone, "
            f"after {lives['20 mm lagging alone']:.1f} hours with 20 mm of lagging alone.")  # fmt: skip
