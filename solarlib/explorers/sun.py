"""Explorers of lesson 03: a tilt through day and year, and light off the end."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solarlib.explorers.base import Explorer, Guess, Pick, Scene, Slider
from solarlib.explorers.ladle import HALF, LADLE
from solarlib.figures import sun as draw

YEAR = 2026  # any year would do: from year to year the declination moves by less than 0.1°
DAYS = {"0": "the equinox", "23.44": "midsummer", "-23.44": "midwinter"}


@lru_cache(maxsize=1)
def _declinations() -> NDArray:
    """Declination [deg] of every day of the year, first day first."""
    from solarlib import sun

    first = np.datetime64(f"{YEAR}-01-01T12:00")
    return np.asarray(sun.declination_deg(first + np.arange(365) * np.timedelta64(1, "D")))


def compute_tilt_through_day(
    latitude: float, day: float, hour: float, tilt: float
) -> draw.TiltThroughDay:
    """Follow the aim error of a fixed tilt [°] on a day of the year at a latitude [°]."""
    from solarlib import sun

    declinations = _declinations()
    declination = float(declinations[int(day) - 1])
    hours = np.linspace(6, 18, 145)
    need = sun.trough_angles(latitude, declination, (hours - 12) * 15)
    errors = np.where(need.sun_is_up, need.tilt_deg - tilt, np.nan)
    now = sun.trough_angles(latitude, declination, (hour - 12) * 15)
    noons = np.asarray(sun.noon_tilt_deg(latitude, declinations)) - tilt
    x = np.linspace(-HALF, HALF, 61)
    y, turn = np.asarray(LADLE.curve.height(x)), np.radians(tilt)
    step_min = 60 * (hours[1] - hours[0])
    when = date(YEAR, 1, 1) + timedelta(days=int(day) - 1)
    return draw.TiltThroughDay(
        latitude, f"{when.day} {when:%B}", hour, tilt, float(now.tilt_deg), declination,
        bool(now.sun_is_up), float(now.tilt_deg) - tilt, float(noons[int(day) - 1]),
        float(np.sum(np.abs(errors) <= draw.BAND_DEG) * step_min),
        x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn),
        hours, errors, np.arange(1, 366), noons, float(day),
    )  # fmt: skip


def explore_tilt_through_day(question: Any = None) -> Explorer:
    """Latitude, date, hour and tilt: flat all day at the equinox, a steep U at the solstices."""
    scene = Scene("Tilt through a day and a year", compute_tilt_through_day,
                  draw.frame_tilt_through_day, draw.paint_tilt_through_day,
                  draw.describe_tilt_through_day, draw.table_tilt_through_day,
                  size=(7.8, 4.4))  # fmt: skip
    controls = [
        Slider("latitude", "latitude, south is minus", "°", -60, 60, 1, 38),
        Slider("day", "date, as day of the year", "", 1, 365, 1, 79),
        Slider("hour", "clock, by the sun", "h", 6, 18, 0.25, 12),
        Slider("tilt", "tilt set, toward the equator", "°", -30, 90, 0.5, 38),
    ]
    presets = {
        "Equinox": {"latitude": 38, "day": 79, "tilt": 38},
        "Midsummer": {"latitude": 38, "day": 172, "tilt": 14.5},
        "Midwinter": {"latitude": 38, "day": 355, "tilt": 61.5},
        "Tarrowin Spit, 21 December": {"latitude": -34, "day": 355, "tilt": 10.5},
    }
    return Explorer(scene, controls, question, presets, Guess("", _came_out_tilt))


def _came_out_tilt() -> str:
    def off(day: float) -> float:
        noon = compute_tilt_through_day(LADLE.latitude_deg, day, 12, 0).needed_deg
        return abs(compute_tilt_through_day(LADLE.latitude_deg, day, 15, noon).error_deg)

    days = {"March": 80, "June": 172, "December": 355}
    told = ", ".join(f"{off(day):.1f}° on 21 {month}" for month, day in days.items())
    return f"Three hours after noon the aim is off by {told}."


def compute_light_off_the_end(
    length: float, hours: float, turned: float, overhang: float, day: str
) -> draw.LightOffTheEnd:
    """Let light slant along a trough [m] some hours from noon, pipe sticking out [mm]."""
    from solarlib import optics, sun

    trough, pipe, latitude = LADLE.curve, LADLE.tube_diameter, LADLE.latitude_deg
    turn: dict[str, Any] = {"axis_turned_deg": turned}
    slant = float(sun.trough_angles(latitude, float(day), 15 * hours, **turn).incidence_deg)
    return draw.LightOffTheEnd(
        length, overhang / 1000, hours, DAYS[day], slant,
        float(optics.beam_slide(trough, pipe, slant)),
        float(optics.beam_slide(trough, pipe, slant, HALF)),
        float(np.cos(np.radians(slant))),
        float(optics.end_effect(trough, pipe, length, overhang / 1000, slant)),
        turned, float(sun.axis_drift_deg(latitude, float(day), 15 * hours, **turn)),
    )  # fmt: skip


def explore_light_off_the_end(question: Any = None) -> Explorer:
    """Length, hour, a turned axis and the pipe's overhang: what slides off, and where to."""
    scene = Scene("Light off the end", compute_light_off_the_end, draw.frame_light_off_the_end,
                  draw.paint_light_off_the_end, draw.describe_light_off_the_end,
                  draw.table_light_off_the_end, size=(7.8, 4.2))  # fmt: skip
    controls = [
        Slider("length", "length of the trough", "m", 0.5, 3.0, 0.1, 0.9),
        Slider("hours", "hours from noon", "h", 0, 4, 0.25, 0),
        Slider("turned", "axis turned from east-west", "°", -15, 15, 1, 0),
        Slider("overhang", "pipe sticks out at each end", "mm", 0, 400, 10, 0),
        Pick("day", "day", DAYS, "0"),
    ]
    presets = {
        "2 h from noon": {"hours": 2},
        "The same, pipe 250 mm longer": {"hours": 2, "overhang": 250},
        "Axis 5° wrong, 1 h": {"hours": 1, "turned": 5},
    }
    guess = Guess("The trough from above at noon: all its light lands on the pipe. Below, three bars "
                  "of what is left stand at 100 percent.", _came_out_end)  # fmt: skip
    return Explorer(scene, controls, question, presets, guess)


def _came_out_end() -> str:
    r = compute_light_off_the_end(0.9, 2, 0, 0, "0")
    return f"Two hours from noon {100 * r.cosine * r.end_share:.0f} % of the noon light is left."
