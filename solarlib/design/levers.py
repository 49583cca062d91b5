"""What matters most: each input moved by a tenth, and what that does to the warm-up.

In: a `HeaterDesign`. Out: for every input that can matter, the time to the target at
minus and plus ten percent, largest effect first.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from solarlib import heat, water
from solarlib.design.entries import DesignError, limits
from solarlib.design.heater import HeaterDesign
from solarlib.design.light import power_in_time

MOVED = (
    "beam_noon", "air_c", "site_wind", "shelter", "water_mass", "start_c", "target_c",
    "aperture_width", "trough_length", "focal_length", "reflectance_used", "slope_error_mrad",
    "tube_diameter", "absorptance", "emittance", "pot_heat_capacity", "pot_loss",
    "usual_misaim_deg", "usual_incidence_deg",
)  # fmt: skip
_LONGEST = 8 * 3600.0


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


def _moved(d: HeaterDesign, name: str, factor: float) -> HeaterDesign:
    """The design with one input multiplied, kept within its range; a longer mirror keeps its
    overhang, and an input that cannot move stays."""
    one = next(field for field in fields(d) if field.name == name)
    low, high = limits(one)
    change = {name: min(max(getattr(d, name) * factor, low), high)}
    if name == "trough_length":
        change["tube_length"] = d.tube_length + change[name] - d.trough_length
    if name == "reflectance_used":  # a better mirror is better clean, too
        change["reflectance_clean"] = max(d.reflectance_clean, change[name])
    try:
        return replace(d, **change)
    except DesignError:
        return d


def levers(d: HeaterDesign, step: float = 0.10) -> tuple[Lever, ...]:
    """Return the inputs in the order of what they do to the time to the target.

    Parameters
    ----------
    step : relative change of each input, one at a time.
    """
    cases = [d] + [_moved(d, name, 1 + sign * step) for name in MOVED for sign in (-1, 1)]

    def column(name: str) -> np.ndarray:
        return np.array([getattr(case, name) for case in cases], float)

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
        pressure=water.standard_pressure(d.elevation),
        cover=d.glass,
    )
    power = np.array([power_in_time(case, None) for case in cases], float)
    run = heat.warm_up(heater, power, column("start_c"), _LONGEST, column("target_c"))
    times = np.asarray(run.seconds_to_target)
    words = {field.name: field.metadata["words"] for field in fields(d)}
    found = [
        Lever(name, words[name], float(times[0]), float(times[2 * k + 1]), float(times[2 * k + 2]))
        for k, name in enumerate(MOVED)
    ]
    return tuple(sorted(found, key=lambda lever: -lever.effect))
