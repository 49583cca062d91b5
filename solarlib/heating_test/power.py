"""How much power went into the water, and what share of the light is that?

In: a log and what was heated. Out: power and efficiency of each interval, or the
reason why there is none.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.heating_test.records import Log
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
    mass : water m [kg]. start_c, end_c : T1, T2 [°C]. seconds : duration t [s].
    other_heat_capacity : C of pot and pipe [J/K]. Broadcastable.

    Returns
    -------
    [W], broadcast shape; negative when it cooled.

    Raises
    ------
    ValueError : a mass or duration not above zero, a temperature outside 0 to 105 °C.

    Valid for: water of one temperature, stirred before each reading.

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
    power : P [W]. beam : direct sun on the opening G [W/m2].
    aperture_area : of the opening A, not of the sheet [m2]. Broadcastable.

    Returns
    -------
    share [1], broadcast shape.

    Raises
    ------
    ValueError : a beam or area not above zero, a power beyond ±1 MW.

    Valid for: the opening turned to the sun; seen at a slant, G is the part across the opening.

    Example
    -------
    >>> round(efficiency(262, 820, 0.576), 3)
    0.555

    Source: definition.
    """
    light = positive("beam", beam, "W/m2") * positive("opening area", aperture_area, "m2")
    return plain(within("power", power, -1e6, 1e6, "W") / light)


def intervals(
    log: Log, setup: Setup | None = None, without: Collection[int] = ()
) -> tuple[Interval, ...]:
    """Return power and efficiency between each two neighbouring rows of a log.

    P = (m c + C) dT/dt, share = P/(G A) with the mean sun of both rows

    Parameters
    ----------
    log : the test. setup : what was heated.
    without : line numbers of readings not to use, such as those `suspects` pointed at.

    Returns
    -------
    Interval for each pair of rows: [W], [1], or nan with the reason in `why`.

    Raises
    ------
    nothing; an interval without an answer says why.

    Valid for: a row without time or water temperature breaks the chain: nothing is divided across
    a gap, nor across a pause more than twice as long as the usual step.

    Example
    -------
    >>> from solarlib.heating_test.log import parse_log
    >>> log = parse_log("time (min),water (°C),sun (W/m2)\\n0,18,820\\n15,27.4,820\\n")
    >>> one, = intervals(log, Setup(water_mass=6.0, other_heat_capacity=0))
    >>> round(one.power), round(one.efficiency, 3)
    (262, 0.555)

    Source: heat balance, see `useful_power` and `efficiency`.
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
