"""Explorers of lesson 02: the sun is a disc, and two different bars."""

from __future__ import annotations

from typing import Any

import numpy as np

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.explorers.ladle import HALF, LADLE
from solarlib.figures import concentration as draw

MIRRORS = {"5": "careful: waves of 5 mrad", "8": "ordinary: 8 mrad", "12": "wavy: 12 mrad",
           "20": "creased: 20 mrad"}  # fmt: skip


def _light_of_strips(trough: Any, misaim_deg: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Corners (3, 4) of the light from three narrow strips, and where the rim's middle goes."""
    from solarlib import optics

    strips = HALF * np.array([0.0, 0.5, 0.999])
    edges = [optics.ray_paths(trough, strips, misaim_deg + side * optics.SUN_HALF_ANGLE_DEG)
             for side in (-1, 1)]  # fmt: skip
    middle = optics.ray_paths(trough, strips, misaim_deg)
    x = np.stack([edges[0].x[:, 1], edges[0].x[:, 2], edges[1].x[:, 2], edges[1].x[:, 1]], axis=1)
    y = np.stack([edges[0].y[:, 1], edges[0].y[:, 2], edges[1].y[:, 2], edges[1].y[:, 1]], axis=1)
    return x, y, float(abs(middle.miss[-1]))


def compute_sun_is_a_disc(
    pipe: float, misaim: float, slope: float, dy: float, dx: float
) -> draw.SunIsADisc:
    """Catch light with a pipe [mm] moved by dx, dy [mm], aim off [°], mirror waves [mrad]."""
    from solarlib import optics

    trough = LADLE.curve
    d = pipe / 1000
    moved = {"tube_dx": dx / 1000, "tube_dy": dy / 1000, "slope_error_mrad": slope}
    x, y, rim_miss = _light_of_strips(trough, misaim)
    curve = np.linspace(-4, 4, 161)
    return draw.SunIsADisc(
        d, misaim, slope, dx / 1000, dy / 1000, LADLE.focal_length, x, y, curve,
        np.asarray(optics.intercept_factor(trough, d, misaim_deg=curve, **moved)),
        float(optics.intercept_factor(trough, d, misaim_deg=misaim, **moved)),
        float(optics.no_loss_aim_deg(trough, d)), rim_miss,
    )  # fmt: skip


def explore_sun_is_a_disc(question: Any = None) -> Explorer:
    """Pipe, aim and mirror: nothing is lost, nothing, and then comes a cliff."""
    scene = Scene("The sun is a disc", compute_sun_is_a_disc, draw.frame_sun_is_a_disc,
                  draw.paint_sun_is_a_disc, draw.describe_sun_is_a_disc,
                  draw.table_sun_is_a_disc, size=(7.8, 4.0))  # fmt: skip
    controls = [
        Slider("pipe", "outside diameter of the pipe", "mm", 10, 35, 1, 22),
        Slider("misaim", "aim error", "°", -4, 4, 0.1, 0),
        Slider("slope", "mirror waves, rms slope", "mrad", 0, 15, 0.5, 5),
        Slider("dy", "pipe above the focus", "mm", -20, 20, 1, 0),
        Slider("dx", "pipe beside the focus", "mm", -20, 20, 1, 0),
    ]
    presets = {"1.5° off": {"misaim": 1.5}, "3° off": {"misaim": 3.0},
               "Thin pipe, 1.5° off": {"pipe": 15, "misaim": 1.5}}  # fmt: skip
    return Explorer(scene, controls, question, presets, Guess("", _came_out_disc))


def _came_out_disc() -> str:
    one, three = (compute_sun_is_a_disc(22, aim, 5, 0, 0).share for aim in (1, 3))
    return (f"1° beside the sun {100 * (1 - one):.1f} % of the light is lost, 3° beside it "
            f"{100 * (1 - three):.0f} %.")  # fmt: skip


def _power(width: float, pipe: float, slope: float, misaim: float) -> tuple[float, float, float]:
    """Share caught, watts and suns on the pipe for light straight from the front."""
    from solarlib import geometry, optics

    trough, long, sun = geometry.Parabola(LADLE.focal_length, width), LADLE.trough_length, LADLE.beam_noon
    share = float(optics.intercept_factor(trough, pipe, slope_error_mrad=slope, misaim_deg=misaim))
    watts = optics.pipe_power(trough, pipe, long, long, sun, LADLE.reflectance_used, 1.0, share)
    reflected = float(watts.reflected)
    return share, reflected, reflected / (np.pi * pipe * long) / sun


def compute_two_bars(width: float, pipe: float, mirror: str, misaim: float) -> draw.TwoBars:
    """Compare watts and suns on a pipe [mm] in an opening [mm] with those of the demo trough."""
    share, watts, suns = _power(width / 1000, pipe / 1000, float(mirror), misaim)
    _, demo_watts, demo_suns = _power(LADLE.aperture_width, LADLE.tube_diameter,
                                      LADLE.slope_error_mrad, 0.0)  # fmt: skip
    return draw.TwoBars(width / 1000, pipe / 1000, float(mirror), misaim, share, watts, suns,
                        demo_watts, demo_suns)  # fmt: skip


def explore_two_bars(question: Any = None) -> Explorer:
    """Opening, pipe and mirror: power and concentration are different things."""
    scene = Scene("Two different bars", compute_two_bars, draw.frame_two_bars,
                  draw.paint_two_bars, draw.describe_two_bars, draw.table_two_bars)  # fmt: skip
    controls = [
        Slider("width", "width of the opening", "mm", 300, 900, 10, 640),
        Slider("pipe", "outside diameter of the pipe", "mm", 10, 35, 1, 22),
        Slider("misaim", "aim error", "°", 0, 3, 0.1, 0),
        Pick("mirror", "mirror", MIRRORS, "8"),
    ]
    presets = {"Thin pipe, good aim": {"pipe": 12, "misaim": 0.0},
               "Thin pipe, poor aim": {"pipe": 12, "misaim": 1.5}}  # fmt: skip
    guess = Guess("Bars of the power on the pipe and of its brightness, of your trough and of the "
                  "Ladle: at the start both are the same.", _came_out_bars)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_bars() -> str:
    thick, thin = (compute_two_bars(640, pipe, "8", 1.5).watts for pipe in (22, 15))
    return f"With the aim 1.5° off, 22 mm get {thick:.0f} W and 15 mm get {thin:.0f} W."
