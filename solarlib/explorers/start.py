"""Explorer of lesson 00: how big is the sun's share?"""

from __future__ import annotations

from typing import Any

from solarlib.explorers.base import Explorer, Scene, Slider
from solarlib.figures import start as draw

LIKELY_SHARE = 0.55  # common practice, no source: what a careful first build keeps of the light
RISE_K = 30.0


def compute_suns_share(width: float, length: float, sun: float) -> draw.SunsShare:
    """Work out watts and litres for an opening width × length [m] in sun [W/m²]."""
    from solarlib import water

    power = width * length * sun
    hour_per_kelvin = 3600.0 / (water.specific_heat(40.0) * RISE_K)  # kg for each watt
    litre = 1000.0 / water.density(40.0)
    likely = LIKELY_SHARE * power
    return draw.SunsShare(width, length, sun, power, likely,
                          power * hour_per_kelvin * litre,
                          likely * hour_per_kelvin * litre)  # fmt: skip


def explore_suns_share(question: Any = None) -> Explorer:
    """Opening and sun against a kettle: only the opening raises the watts."""
    scene = Scene("How big is the sun's share?", compute_suns_share, draw.frame_suns_share,
                  draw.paint_suns_share, draw.describe_suns_share,
                  draw.table_suns_share)  # fmt: skip
    controls = [
        Slider("width", "width of the opening", "m", 0.3, 1.2, 0.01, 0.64),
        Slider("length", "length of the trough", "m", 0.5, 2.0, 0.05, 0.9),
        Slider("sun", "direct sun", "W/m²", 200, 1000, 10, 850),
    ]
    presets = {"The Ladle": {"width": 0.64, "length": 0.9, "sun": 850},
               "Hazy day": {"sun": 500}}  # fmt: skip
    return Explorer(scene, controls, question, presets)
