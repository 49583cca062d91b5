"""How much power went into the water, and what share of the light is that?

In: a log and what was heated. Out: power and efficiency of each interval, or the
reason why there is none; readings that look wrong; a check of the whole test.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.heating_test.log import Log, Problem
from solarlib.heating_test.uncertainty import Instruments, efficiency_uncertainty

LONGEST_INTERVAL = 2.1  # in usual intervals of the log: beyond it lies a gap
LEAST_SUN = 50.0  # W/m2, below it a ratio to the light says nothing
WATER_C = reference.WATER_SPECIFIC_HEAT.value


@dataclass(frozen=True)
class Setup:
    """What was heated: water [kg], opening [m2], heat capacity of pot and pipe [J/K], instruments.

    The defaults are the course's demo heater: 6.0 kg in a lidded pot and a 640 x 900 mm opening.
    """

    water_mass: float = 6.0
    aperture_area: float = 0.576
    other_heat_capacity: float = 1037.0  # J/K: pot 750, copper pipe 287
    instruments: Instruments = field(default_factory=Instruments)

    def __post_init__(self) -> None:
        positive("water mass", self.water_mass, "kg")
        positive("opening area", self.aperture_area, "m2")
        within("heat capacity of pot and pipe", self.other_heat_capacity, 0, 1e6, "J/K")

    @property
    def heat_capacity(self) -> float:
        """Water, pot and pipe together [J/K]."""
        return self.water_mass * WATER_C + self.other_heat_capacity


@dataclass(frozen=True)
class Interval:
    """Between two readings: power [W] and efficiency [1], nan with the reason in `why`.

    rows in the file; start_s and seconds [s]; rise_k [K]; water_c, air_c [°C] and sun [W/m2] are
    means of both ends; efficiency_uncertainty is relative [1].
    """

    rows: tuple[int, int]
    start_s: float
    seconds: float
    rise_k: float
    water_c: float
    air_c: float
    sun: float
    power: float
    efficiency: float
    efficiency_uncertainty: float
    why: str


def useful_power(
    mass: ArrayLike,
    start_c: ArrayLike,
    end_c: ArrayLike,
    seconds: ArrayLike,
    other_heat_capacity: ArrayLike = 0.0,
) -> Array:
    """Return the mean power that warmed the water: P = (m c + C) (T2 - T1)/t.

    Parameters
    ----------
    mass : water [kg]. start_c, end_c : [°C]. seconds : duration [s].
    other_heat_capacity : pot and pipe [J/K]. Broadcastable.

    Returns
    -------
    [W], broadcast shape; negative when it cooled.

    Example
    -------
    >>> round(useful_power(6.0, 18.0, 27.4, 15 * 60))
    262

    Source: heat balance; 4186 J/kgK for water.
    """
    capacity = positive("water mass", mass, "kg") * WATER_C + within(
        "heat capacity of pot and pipe", other_heat_capacity, 0, 1e6, "J/K"
    )
    start = within("start temperature", start_c, 0, 105, "°C", "liquid water")
    end = within("end temperature", end_c, 0, 105, "°C", "liquid water")
    return plain(capacity * (end - start) / positive("duration", seconds, "s"))


def efficiency(power: ArrayLike, beam: ArrayLike, aperture_area: ArrayLike) -> Array:
    """Return the share of the light on the opening that warmed the water: P/(G A).

    Parameters
    ----------
    power : [W]. beam : direct sun on the opening [W/m2]. aperture_area : opening, not sheet [m2].

    Example
    -------
    >>> round(efficiency(262, 820, 0.576), 3)
    0.555
    """
    light = positive("beam", beam, "W/m2") * positive("opening area", aperture_area, "m2")
    return plain(np.asarray(power, float) / light)


def intervals(
    log: Log, setup: Setup | None = None, without: Collection[int] = ()
) -> tuple[Interval, ...]:
    """Return power and efficiency between each two neighbouring rows of a log.

    A row without time or water temperature breaks the chain: nothing is divided across a gap,
    nor across a pause more than twice as long as the usual step.

    Parameters
    ----------
    log : the test. setup : what was heated.
    without : line numbers of readings not to use, such as those `suspects` pointed at.
    """
    setup = setup or Setup()
    readings = log.readings
    steps = np.diff([r.time_s for r in readings if math.isfinite(r.time_s)])
    usual = float(np.median(steps)) if len(steps) else math.nan
    found = []
    for one, two in itertools.pairwise(readings):
        seconds, rise = two.time_s - one.time_s, two.water_c - one.water_c
        left_out = {one.row, two.row} & set(without)
        why = f"line {min(left_out)} is left out" if left_out else ""
        if not why and not math.isfinite(seconds):
            why = "a time is missing"
        elif not why and not math.isfinite(rise):
            why = "a water temperature is missing"
        elif not why and seconds > LONGEST_INTERVAL * usual:
            why = f"a gap of {seconds / 60:.0f} min"
        power = setup.heat_capacity * rise / seconds if not why else math.nan
        sun = (one.sun + two.sun) / 2
        share, unsure = math.nan, math.nan
        if not why and not math.isfinite(sun):
            why = "no sun reading, so no efficiency"
        elif not why and sun < LEAST_SUN:
            why = f"hardly any sun ({sun:.0f} W/m²), so no efficiency"
        elif not why:
            share = power / (sun * setup.aperture_area)
            if rise > 0:
                unsure = float(efficiency_uncertainty(rise, setup.instruments))
        found.append(
            Interval(
                rows=(one.row, two.row),
                start_s=one.time_s,
                seconds=seconds,
                rise_k=rise,
                water_c=(one.water_c + two.water_c) / 2,
                air_c=(one.air_c + two.air_c) / 2,
                sun=sun,
                power=power,
                efficiency=share,
                efficiency_uncertainty=unsure,
                why=why,
            )
        )
    return tuple(found)


# --- does it look right? -----------------------------------------------------------------------
_SPIKES = (  # reading, column, how far off the line between its neighbours looks wrong [K]
    ("water_c", "water", 3.0),
    ("air_c", "air", 5.0),
)


def suspects(log: Log) -> tuple[Problem, ...]:
    """Point at readings that stand out from both neighbours; nothing is changed or left out.

    A single high or low temperature is a sensor in the sun, a slip of the pen or °F; a single
    low sun reading is a cloud. The first and last row have only one neighbour and go unchecked.
    """
    found = []
    time = log.values("time_s")
    for name, column, most in _SPIKES:
        values = log.values(name)
        off = _off_the_line(time, values)
        for k in np.flatnonzero(np.abs(off) > most):
            if np.abs(off[k]) < np.nanmax(np.abs(off[k - 1 : k + 2])):
                continue  # its neighbour is the one that stands out
            expected, celsius = values[k] - off[k], (values[k] - 32) / 1.8
            guess = "a sensor in the sun, or a slip of the pen"
            if abs(celsius - expected) < most:
                guess = f"perhaps °F: it would be {celsius:.1f} °C"
            says = f"{values[k]:.1f} °C stands out, {expected:.1f} °C would fit; {guess}."
            found.append(Problem(log.readings[k].row, column, says))
    sun = log.values("sun")
    for a, b, c, reading in zip(sun[:-2], sun[1:-1], sun[2:], log.readings[1:-1], strict=True):
        if b < 0.75 * min(a, c):
            says = f"{b:.0f} W/m² between {a:.0f} and {c:.0f} W/m²: a cloud, or a shaded sensor."
            found.append(Problem(reading.row, "sun", says))
    return tuple(sorted(found, key=lambda problem: problem.row))


def _off_the_line(time: NDArray, values: NDArray) -> NDArray:
    """How far each value lies off the straight line between its neighbours in time."""
    off = np.full(len(values), np.nan)
    if len(values) < 3:
        return off
    share = (time[1:-1] - time[:-2]) / (time[2:] - time[:-2])
    off[1:-1] = values[1:-1] - (values[:-2] + share * (values[2:] - values[:-2]))
    return off


def checklist(log: Log, setup: Setup | None = None) -> list[tuple[bool, str]]:
    """Check that a test is complete and possible: (passed, sentence) for each item.

    At least 8 usable rows, rising times, water between 5 and 95 °C, wind and sky noted, no more
    heat in the water than light on the opening.
    """
    setup = setup or Setup()
    time, water = log.values("time_s"), log.values("water_c")
    usable = np.isfinite(time) & np.isfinite(water)
    rows = int(usable.sum())
    written = water[np.isfinite(water)]
    wind_noted = bool(np.isfinite(log.values("wind")).any())
    sky_noted = bool(np.isfinite(log.values("sun")).any()) or any(r.remark for r in log.readings)
    items = [
        (rows >= 8, f"{rows} rows with time and water temperature; at least 8 are needed."),
        (
            bool(len(time)) and bool(np.isfinite(time).all()),
            "Times rise from row to row."
            if len(time) and np.isfinite(time).all()
            else "A time is missing, or goes back; see the list of problems.",
        ),
        (
            bool(len(written)) and bool(((written >= 5) & (written <= 95)).all()),
            "Water stays between 5 and 95 °C."
            if len(written) and ((written >= 5) & (written <= 95)).all()
            else "Water must stay between 5 and 95 °C; check unit and sensor.",
        ),
        (wind_noted, "Wind is noted." if wind_noted else "Note the wind: it decides the losses."),
        (
            sky_noted,
            "Sun or sky is noted."
            if sky_noted
            else "Note the sun’s strength, or the sky in the remarks.",
        ),
    ]
    measured = [i for i in intervals(log, setup) if math.isfinite(i.efficiency)]
    if measured:
        heat = sum(i.power * i.seconds for i in measured)
        light = sum(i.sun * setup.aperture_area * i.seconds for i in measured)
        items.append(
            (
                heat <= light,
                f"Heat in the water is {heat / light:.0%} of the light on the opening"
                + ("." if heat <= light else "; more than 100 % cannot be: check mass and units."),
            )
        )
    else:
        items.append((False, "No interval has both a warming and a sun reading to compare."))
    return items
