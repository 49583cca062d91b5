"""How fast is it? Times and ratios of one run on one machine: ``python tests/benchmark.py``.

Not a test: nothing here passes or fails. A ratio below 1 is quicker than the limit;
the limits were chosen so that a slider feels quick on an ordinary laptop. Processor
time is counted, so that other programs disturb it less. Give a word to run only the
lines that contain it.
"""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
import time
from collections.abc import Callable

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
    """Processor time of the quickest of several calls [s], after one that warms up."""
    call()
    times = []
    for _ in range(runs):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def import_time() -> float:
    """What importing the physics adds to the start of Python [s]."""

    def start(code: str) -> float:
        times = []
        for _ in range(3):
            before = os.times()
            subprocess.run([sys.executable, "-c", code], check=True)
            after = os.times()
            times.append(after.children_user + after.children_system)
            times[-1] -= before.children_user + before.children_system
        return min(times)

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
    start = time.process_time()
    for focal_length in focal_lengths:
        design.evaluate(replace(base, focal_length=float(focal_length)))
    return (time.process_time() - start) * 1000 / designs


def one_design() -> float:
    """Time of one evaluation [s]."""
    from solarlib import design

    demo = design.demo()
    return seconds(lambda: design.evaluate(demo))


def moved_slider() -> Callable[[], None]:
    """A slider of the first explorer, moved to and fro: computed, drawn, put into words."""
    from solarlib import explorers

    explorer = explorers.explore_curve_and_focus()
    lengths = itertools.cycle((180.0, 200.0, 220.0))
    return lambda: explorer.set(focal_length=next(lengths))


def ordinary_picture() -> Callable[[], None]:
    """The same picture as an interact callback draws it: a new pyplot figure, then a PNG."""
    import io

    import matplotlib

    matplotlib.use("agg")
    from matplotlib import pyplot

    from solarlib import explorers

    explorer = explorers.explore_curve_and_focus()
    lengths = itertools.cycle((180.0, 200.0, 220.0))

    def draw() -> None:
        explorer.values["focal_length"] = next(lengths)
        figure = pyplot.figure(figsize=explorer.scene.size)
        explorer.scene.paint(explorer.scene.frame(figure), explorer.result())
        figure.savefig(io.BytesIO(), format="png", bbox_inches="tight")
        pyplot.close(figure)

    return draw


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
    ("slider to picture", 0.1, lambda: seconds(moved_slider(), 20)),
)  # fmt: skip


RATIOS: tuple[tuple[str, str, Callable[[], object], Callable[[], object]], ...] = (
    ("a year of sun by minute", "the reference library", our_year_by_minute,
     reference_year_by_minute),
    ("slider to picture (drawing)", "a new figure each time", moved_slider(), ordinary_picture()),
)  # fmt: skip


def main(words: list[str]) -> None:
    """Print one line per figure."""
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(f"{os.cpu_count()} processors, {busy:.1f} of them busy before the start")

    def wanted(what: str) -> bool:
        return not words or any(word in what for word in words)

    print(f"{'':30}{'time':>12}{'limit':>12}{'ratio':>9}")
    for what, limit, measure in LINES:
        if wanted(what):
            took = measure()
            print(f"{what:30}{took * 1000:>9.2f} ms{limit * 1000:>9.0f} ms{took / limit:>9.2f}")
    print(f"{'':30}{'ours':>12}{'theirs':>12}{'ratio':>9}")
    for what, whose, ours, theirs in RATIOS:
        if wanted(what):
            mine, other = seconds(ours, 5), seconds(theirs, 5)
            line = f"{what:30}{mine * 1000:>9.1f} ms{other * 1000:>9.1f} ms{mine / other:>9.2f}"
            print(f"{line}  theirs: {whose}")


if __name__ == "__main__":
    main(sys.argv[1:])
