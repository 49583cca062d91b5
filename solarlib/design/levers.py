"""What matters most: each input moved by a tenth, and what that does to the warm-up.

In: a `HeaterDesign`. Out: for every input that is a number, the time to the target at
minus and plus ten percent, largest effect first. Nobody picks the inputs: those that
change nothing are worked out like the rest, and come last.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from solarlib import heat, water
from solarlib.design.entries import limits
from solarlib.design.heater import HeaterDesign
from solarlib.design.light import power_in_time
from solarlib.design.variation import ENTRIES, with_entry

_LONGEST = 8 * 3600.0
NUMBERS = tuple(
    one for one in ENTRIES.values()
    if one.metadata["kind"] == "number" and not isinstance(one.metadata["demo"], int)
)  # fmt: skip


@dataclass(frozen=True)
class Lever:
    """One input: its name and words, the time to the target [s] 10 % below and above its value.

    inf where the target is not reached. `effect` is the larger change [s] against `base`.
    """

    name: str
    words: str
    base: float
    below: float
    above: float

    @property
    def effect(self) -> float:
        """The larger of the two changes [s]."""
        changes = [abs(t - self.base) for t in (self.below, self.above) if t != self.base]
        return max(changes, default=0.0)


def _moved(d: HeaterDesign, one: Any, factor: float) -> HeaterDesign:
    """The design with one input multiplied, kept within its range; one that cannot move stays."""
    value = getattr(d, one.name)
    if value is None:  # not stated
        return d
    low, high = limits(one)
    return with_entry(d, one.name, min(max(value * factor, low), high)) or d


def levers(d: HeaterDesign, step: float = 0.10) -> tuple[Lever, ...]:
    """Return the inputs in the order of what they do to the time to the target.

    Parameters
    ----------
    step : relative change of each input, one at a time.
    """
    cases = [d] + [_moved(d, one, 1 + sign * step) for one in NUMBERS for sign in (-1, 1)]

    def column(name: str) -> np.ndarray:
        return np.array([getattr(case, name) for case in cases], float)

    cover = d.glass and heat.Cover(
        column("cover_inner"), column("cover_outer"), transmittance=column("cover_transmittance")
    )
    heater = heat.Heater(
        column("tube_diameter"),
        column("tube_wall"),
        column("tube_length"),
        column("emittance"),
        air_c=column("air_c"),
        wind=column("tube_wind"),
        water_mass=column("water_mass"),
        pot_heat_capacity=column("pot_heat_capacity"),
        pot_loss=column("pot_loss"),
        pressure=water.standard_pressure(column("elevation")),
        cover=cover,
    )
    power = np.array([power_in_time(case, None) for case in cases], float)
    run = heat.warm_up(heater, power, column("start_c"), _LONGEST, column("target_c"))
    times = np.asarray(run.seconds_to_target)
    found = [
        Lever(one.name, one.metadata["words"], *(float(t) for t in times[[0, 2 * k + 1, 2 * k + 2]]))
        for k, one in enumerate(NUMBERS)
    ]
    return tuple(sorted(found, key=lambda lever: -lever.effect))
