"""What a design warms and loses, as the heat model wants it.

In: a `HeaterDesign`. Out: the whole heater, its pipe alone, its pipe without water.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from numpy.typing import NDArray

from solarlib import heat, water
from solarlib.design.heater import HeaterDesign


def heaters(d: HeaterDesign) -> tuple[heat.Heater, heat.Heater]:
    """The whole heater, and the pipe alone without its pot."""
    pipe = heat.Heater(
        d.tube_diameter,
        d.tube_wall,
        d.tube_length,
        d.emittance,
        air_c=d.air_c,
        wind=d.tube_wind,
        pressure=water.standard_pressure(d.elevation),
        cover=d.glass,
    )
    whole = replace(
        pipe,
        water_mass=d.water_mass,
        pot_heat_capacity=d.pot_heat_capacity,
        pot_loss=d.pot_loss,
    )
    return whole, pipe


def dry_pipe_c(d: HeaterDesign, per_metre: NDArray, wind: NDArray) -> Any:
    """Temperature [°C] of the dry pipe's middle under so many watts per lit metre, in a wind."""
    return heat.dry_pipe_c(
        per_metre, d.tube_diameter, d.air_c, wind, d.emittance, cover=d.glass,
        pressure=water.standard_pressure(d.elevation),
    )  # fmt: skip
