"""How fast is it? Times and ratios of one run on one machine: ``python tests/benchmark.py``.

Not a test: nothing here passes or fails. A ratio below 1 is quicker than the limit;
the limits were chosen so that a slider feels quick on an ordinary laptop. Give a
word to run only the lines that contain it.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median

import numpy as np
import pandas as pd
import pvlib

from solarlib import heat, optics, sun
from solarlib.geometry import Parabola

DEMO, PIPE = Parabola(0.170, 0.640), 0.022
POT = heat.Heater(0.022, 0.0009, 1.40, 0.90, air_c=22, wind=0.9,
                  water_mass=6.0, pot_heat_capacity=750, pot_loss=1.2)  # fmt: skip
PHYSICS = ("geometry", "optics", "sun", "water", "heat", "heating_test", "hazards", "design")


def seconds(call: Callable[[], object], runs: int = 7) -> float:
    """Median time of a call [s], after one that warms up."""
    call()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return median(times)


def import_time() -> float:
    """What importing the physics adds to the start of Python [s]."""

    def start(code: str) -> float:
        return seconds(lambda: subprocess.run([sys.executable, "-c", code], check=True), 5)

    return start(f"from solarlib import {', '.join(PHYSICS)}") - start("pass")


def year_hour_by_hour() -> object:
    """Sun, tilt and light on the pipe for every hour of a year."""
    hours = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[h]")
    s = sun.position(hours, 38.0, -4.5)
    trough = sun.trough_angles(38.0, s.declination_deg, s.hour_angle_deg)
    beam = sun.clear_sky_beam(sun.air_mass(90 - s.elevation_deg))
    up = s.elevation_deg > 5
    end = optics.end_effect(DEMO, PIPE, 0.9, 0.25, trough.incidence_deg[up])
    slant = trough.incidence_deg[up]
    return optics.pipe_power(
        DEMO, PIPE, 0.9, 1.4, beam[up], 0.82, 0.92, 0.965, end, slant
    ).total.sum()


MINUTES = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[m]")


def our_year_by_minute() -> object:
    """Sun positions of 525 600 minutes."""
    return sun.position(MINUTES, 38.0, -4.5)


def reference_year_by_minute() -> object:
    """The same by the full algorithm of the reference library."""
    index = pd.DatetimeIndex(MINUTES, tz="UTC")
    return pvlib.solarposition.get_solarposition(index, 38.0, -4.5, method="nrel_numpy")


def sweep(designs: int = 200) -> float:
    """Time of 1,000 designs [s], from a part of them, each with another focal length."""
    from dataclasses import replace

    from solarlib import design

    base = design.demo()
    focal_lengths = np.linspace(0.166, 0.200, designs)
    start = time.perf_counter()
    for focal_length in focal_lengths:
        design.evaluate(replace(base, focal_length=float(focal_length)))
    return (time.perf_counter() - start) * 1000 / designs


def one_design() -> float:
    """Time of one evaluation [s]."""
    from solarlib import design

    demo = design.demo()
    return seconds(lambda: design.evaluate(demo))


def slider_to_picture() -> float:
    """Time from a moved slider to the new picture, without the browser [s]."""
    from solarlib import explorers

    explorer = explorers.explore_curve_and_focus()
    slider = explorer.controls["focal_length_mm"].slider
    values = iter(np.tile([slider.min, slider.max], 50))

    def move() -> None:
        slider.value = next(values)

    return seconds(move, 20)


LINES: tuple[tuple[str, float, Callable[[], float]], ...] = (  # what, limit in seconds, time
    ("import of the physics", 0.5, import_time),
    ("one share of light", 1e-3, lambda: seconds(
        lambda: optics.intercept_factor(DEMO, PIPE, 8, misaim_deg=1.0), 200)),
    ("1,000,000 rays", 0.5, lambda: seconds(
        lambda: optics.trace(DEMO, PIPE, 1_000_000, slope_error_mrad=8), 3)),
    ("a year hour by hour", 0.2, lambda: seconds(year_hour_by_hour)),
    ("one warm-up", 0.05, lambda: seconds(lambda: heat.warm_up(POT, 350, 18, 14400, 55))),
    ("a band of 2,000 warm-ups", 0.5, lambda: seconds(
        lambda: heat.warm_up_band(POT, 350, 18, 14400, 55), 3)),
    ("one dry pipe", 0.05, lambda: seconds(lambda: heat.dry_pipe_c(387, PIPE, 22, 0.0, 0.9))),
    ("one evaluation of a design", 0.05, one_design),
    ("1,000 designs", 20.0, sweep),
    ("slider to picture", 0.1, slider_to_picture),
)  # fmt: skip


def main(words: list[str]) -> None:
    """Print one line per figure."""
    print(f"{'':34}{'time':>12}{'limit':>12}{'ratio':>9}")
    for what, limit, measure in LINES:
        if words and not any(word in what for word in words):
            continue
        try:
            took = measure()
        except (ImportError, AttributeError, KeyError, subprocess.CalledProcessError) as error:
            print(f"{what:34}  not measured: {error}")
            continue
        print(f"{what:34}{took * 1000:>9.2f} ms{limit * 1000:>9.0f} ms{took / limit:>9.2f}")
    if not words or any(word in "sun by minute" for word in words):
        ours, theirs = seconds(our_year_by_minute, 3), seconds(reference_year_by_minute, 3)
        print(f"{'a year of sun by minute':34}{ours * 1000:>9.0f} ms", end="")
        print(f"{theirs * 1000:>9.0f} ms{ours / theirs:>9.3f}  (limit: the reference library)")


if __name__ == "__main__":
    main(sys.argv[1:])
