"""How fast is it? Every figure of one run on one machine: ``python -m tests.benchmark``.

Not a test: nothing here passes or fails. A ratio below 1 is quicker than the limit;
the limits were chosen so that a slider feels quick on an ordinary laptop. Processor
time is counted where that is possible, so that other programs disturb it less. Give
words to run only the lines that contain one of them; “marking” stands for the figures
of marking a class, which take some minutes.
"""

from __future__ import annotations

import itertools
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

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


def import_time(what: str) -> float:
    """What an import adds to the start of Python [s]."""
    from resource import RUSAGE_CHILDREN, getrusage  # finer than os.times

    def start(code: str) -> float:
        times = []
        for _ in range(5):
            before = getrusage(RUSAGE_CHILDREN)
            subprocess.run([sys.executable, "-c", code], check=True)
            after = getrusage(RUSAGE_CHILDREN)
            times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        return min(times)

    return max(start(what) - start("pass"), 0.0)


def instant_check() -> float:
    """Time of one check of a number, from the text typed to the verdict in the log [s]."""
    from autograde.check import answer

    with tempfile.TemporaryDirectory() as place:
        os.environ["AUTOGRADE_WORKSPACE"] = place
        try:
            return seconds(lambda: answer("parabola.depth", "15.06 cm"), 20)
        finally:
            del os.environ["AUTOGRADE_WORKSPACE"]


def first_lesson() -> float:
    """From the course command, once used before, to lesson 00 with a kernel at work [s]."""
    from autograde import opening
    from tests import lab

    if lab.CHROMIUM is None:
        return float("nan")
    with tempfile.TemporaryDirectory() as made:
        place = Path(made) / "course"
        words = [sys.executable, "-m", "solarlib", "learn", str(place), "--no-start"]
        subprocess.run(words, check=True, capture_output=True)
        with lab.browser() as chromium:  # people have theirs open
            start = time.perf_counter()
            subprocess.run(words, check=True, capture_output=True)
            with lab.server(place, Path(made) / "log") as address:
                lab.Lesson(chromium, address, opening.FIRST)
                return time.perf_counter() - start


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
        design.evaluate(replace(base, focal_length=float(focal_length))).constraints  # noqa: B018
    return (time.process_time() - start) * 1000 / designs


def one_design() -> float:
    """Time of one evaluation with its warm-up and checked items [s]."""
    from solarlib import design

    demo = design.demo()
    return seconds(lambda: design.evaluate(demo).constraints)


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
    ("import of solarlib", 0.5, lambda: import_time("import solarlib")),
    ("import of all physics", 0.5, lambda: import_time(
        f"from solarlib import {', '.join(PHYSICS)}")),
    ("import of the check", 0.1, lambda: import_time("from autograde import check")),
    ("an instant check", 0.02, instant_check),
    ("learn to first lesson", 15.0, first_lesson),
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


# what, whose, how ours and theirs are made ready; each gives the call to be timed
RATIOS: tuple[tuple[str, str, Callable[[], Callable], Callable[[], Callable]], ...] = (
    ("a year of sun by minute", "the reference library", lambda: our_year_by_minute,
     lambda: reference_year_by_minute),
    ("slider to picture (drawing)", "a new figure each time", moved_slider, ordinary_picture),
)  # fmt: skip


def machine() -> str:
    """One line that names what the figures were measured on."""
    chip = platform.processor() or platform.machine()
    about = Path("/proc/cpuinfo")
    if about.is_file():
        lines = about.read_text(encoding="utf-8", errors="replace").splitlines()
        chip = next((n.split(":", 1)[1].strip() for n in lines if n.startswith("model name")), chip)
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    return (f"{chip}, {os.cpu_count()} processors, {busy:.1f} of them busy before the start; "
            f"{platform.system()}, Python {platform.python_version()}, numpy {np.__version__}; "
            f"{time.strftime('%Y-%m-%d')}")  # fmt: skip


def main(words: list[str]) -> int:
    """Print one line per figure; return the exit code of the marking figures."""
    print(machine())

    def wanted(what: str) -> bool:
        return not words or any(word in what for word in words)

    print(f"{'':30}{'time':>12}{'limit':>12}{'ratio':>9}")
    for what, limit, measure in LINES:
        if wanted(what):
            took = measure()
            print(f"{what:30}{took * 1000:>9.2f} ms{limit * 1000:>9.0f} ms{took / limit:>9.2f}",
                  flush=True)  # fmt: skip
    print(f"{'':30}{'ours':>12}{'theirs':>12}{'ratio':>9}")
    for what, whose, ours, theirs in RATIOS:
        if wanted(what):
            mine, other = seconds(ours(), 5), seconds(theirs(), 5)
            line = f"{what:30}{mine * 1000:>9.1f} ms{other * 1000:>9.1f} ms{mine / other:>9.2f}"
            print(f"{line}  theirs: {whose}", flush=True)
    if not wanted("marking"):
        return 0
    from autograde import benchmark

    print("marking")
    return benchmark.main([])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
