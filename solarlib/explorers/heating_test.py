"""Explorers of lesson 05: fit it by hand, and buy a better instrument."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.figures import heating_test as draw

NOISE_K, EARLY_MIN = 0.3, 20.0
POWER_W = 262.0  # the worked interval of lesson 05: 6.0 kg from 18.0 to 27.4 °C in 15 min
START = {"thermometer": 0.5, "sun": 10.0, "minutes": 30.0}


@lru_cache(maxsize=2)
def _log(early: bool) -> tuple[Any, tuple[float, float]]:
    """A simulated test, whole or its first minutes, and what it alone says about the loss."""
    from solarlib import heating_test

    log = heating_test.parse_log(heating_test.simulate_log(4, noise_c=NOISE_K, faults=False))
    if early:
        first = log.readings[0].time_s
        kept = tuple(r for r in log.readings if r.time_s - first <= EARLY_MIN * 60)
        log = replace(log, readings=kept)
    return log, heating_test.fit_losses(heating_test.intervals(log)).loss_limits


def compute_fit_by_hand(efficiency: float, loss: float, part: str) -> draw.FitByHand:
    """Lay the curve of two numbers through a simulated test."""
    from solarlib import heating_test

    log, _ = _log(False)
    _, limits = _log(part == "early")
    time = log.values("time_s")
    minutes, measured = (time - time[0]) / 60, log.values("water_c")
    curve = np.asarray(heating_test.predicted_curve(log, efficiency, loss))
    used = minutes <= (EARLY_MIN if part == "early" else np.inf)
    miss = float(np.sqrt(np.mean((measured - curve)[used] ** 2)))
    return draw.FitByHand(efficiency, loss, minutes, measured, curve, used, miss, NOISE_K, limits)


def explore_fit_by_hand(question: Any = None) -> Explorer:
    """Two numbers and a log: early data let many pairs fit, the late part pins the loss."""
    scene = Scene("Fit it by hand (simulated test)", compute_fit_by_hand, draw.frame_fit_by_hand,
                  draw.paint_fit_by_hand, draw.describe_fit_by_hand, draw.table_fit_by_hand,
                  size=(7.4, 4.6))  # fmt: skip
    parts = {"early": "the first 20 minutes", "all": "the whole test"}
    controls = [
        Slider("efficiency", "optical efficiency", "", 0.40, 0.90, 0.01, 0.60),
        Slider("loss", "loss", "W/m²K", 0, 20, 0.5, 2.0),
        Pick("part", "readings used", parts, "early"),
    ]
    presets = {"One pair": {"efficiency": 0.74, "loss": 6.5},
               "Another pair": {"efficiency": 0.70, "loss": 0.0}}  # fmt: skip
    guess = Guess("Readings of a test, those of the first 20 minutes filled, and a curve below them "
                  "that does not fit yet.", _came_out_fit)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_fit() -> str:
    one, other = (compute_fit_by_hand(*pair, "early").miss_k for pair in ((0.74, 6.5), (0.70, 0.0)))
    return (f"0.74 with a loss of 6.5 misses them by {one:.1f} K, 0.70 with no loss at all by "
            f"{other:.1f} K; the thermometer alone makes {NOISE_K} K.")  # fmt: skip


def _doubt(thermometer: float, sun: float, minutes: float) -> tuple[float, dict[str, float], float]:
    """Rise [K], share of each instrument in the variance, relative uncertainty [1]."""
    from solarlib import heating_test

    tools = heating_test.Instruments(temperature=thermometer, sun=sun / 100)
    rise = POWER_W * 60 * minutes / heating_test.Setup().heat_capacity
    shares = heating_test.variance_shares(rise, tools)
    shares["sun meter"] = shares.pop("sun")
    return (rise, {name: shares[name] for name in draw.PARTS},
            float(heating_test.efficiency_uncertainty(rise, tools)))  # fmt: skip


def compute_better_instrument(
    thermometer: float, sun: float, minutes: float
) -> draw.BetterInstrument:
    """Share out the doubt of one efficiency: thermometer [K], sun meter [%], run length [min]."""
    rise, shares, total = _doubt(thermometer, sun, minutes)
    _, start_shares, start_total = _doubt(**START)
    return draw.BetterInstrument(thermometer, sun / 100, minutes, rise, shares, start_shares,
                                 total, start_total)  # fmt: skip


def explore_better_instrument(question: Any = None) -> Explorer:
    """Thermometer, sun meter and run length: the thermometer's slice is small already."""
    scene = Scene("Buy a better instrument", compute_better_instrument,
                  draw.frame_better_instrument, draw.paint_better_instrument,
                  draw.describe_better_instrument, draw.table_better_instrument,
                  size=(7.4, 4.0))  # fmt: skip
    controls = [
        Slider("thermometer", "thermometer, good to", "K", 0.1, 2.0, 0.1, START["thermometer"]),
        Slider("sun", "sun meter, good to", "%", 2, 20, 1, START["sun"]),
        Slider("minutes", "length of the run", "min", 5, 60, 5, START["minutes"]),
    ]
    presets = {
        "Better thermometer": {**START, "thermometer": 0.1},
        "Better sun meter": {**START, "sun": 5},
        "Short run": {**START, "minutes": 10},
        "Longer run": {**START, "minutes": 60},
    }
    return Explorer(scene, controls, question, presets, Guess("", _came_out_doubt))


def _came_out_doubt() -> str:
    _, shares, _ = _doubt(**START)
    told = {"the sun meter": "sun meter", "the thermometer": "thermometer", "the scale": "mass"}
    parts = ", ".join(f"{100 * shares[name]:.0f} % from {words}" for words, name in told.items())
    return f"In a run of half an hour the doubt comes to {parts}."
