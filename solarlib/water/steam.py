"""How much steam comes out, how light is it, and what does it take to make it?

In: power, absolute pressure, water temperature. Out: density of steam, water
boiled away, the share that flashes into steam when hot water is let out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain
from solarlib.water import equations
from solarlib.water.pressure import SEA_LEVEL
from solarlib.water.properties import (
    ZERO,
    boiling_point_c,
    checked_liquid_c,
    checked_pressure,
    density,
    latent_heat,
)


def steam_density(pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the density of steam that just boiled off.

    Parameters
    ----------
    pressure : absolute [Pa], 700 to 16 500 000.

    Returns
    -------
    [kg/m³], same shape.

    Raises
    ------
    ValueError : a pressure outside 700 to 16 500 000 Pa.

    Valid for: steam at its boiling point, neither dried nor mixed with air.

    Example
    -------
    >>> round(steam_density(101325), 3)
    0.598

    Source: IAPWS SR1-86(1992), eq. 3.
    """
    return plain(equations.steam_density(equations.boiling_temperature(checked_pressure(pressure))))


def steam_to_water_ratio(pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return how many litres of steam one litre of boiling water makes.

    rho_water(T_boil) / rho_steam(T_boil)

    Parameters
    ----------
    pressure : absolute [Pa], 700 to 16 500 000.

    Returns
    -------
    [1], same shape.

    Raises
    ------
    ValueError : a pressure outside 700 to 16 500 000 Pa.

    Valid for: water and steam both at the boiling point.

    Example
    -------
    >>> round(steam_to_water_ratio())
    1604

    Source: `density` and `steam_density`.
    """
    boiling = boiling_point_c(pressure)
    return plain(np.asarray(density(boiling)) / np.asarray(steam_density(pressure)))


def boil_off(power: ArrayLike, pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the water that power boils away, P/h_fg.

    Parameters
    ----------
    power : left over after all losses P [W]; below zero nothing boils. pressure : absolute [Pa].

    Returns
    -------
    [kg/s], broadcast shape; divide by `steam_density` for the flow of steam [m³/s].

    Raises
    ------
    ValueError : a pressure outside 700 to 16 500 000 Pa.

    Valid for: water at its boiling point; spitting takes more.

    Example
    -------
    >>> round(boil_off(270) * 60_000, 1)  # grams a minute
    7.2

    Source: definition of the latent heat.
    """
    left_over = np.maximum(np.asarray(power, float), 0.0)
    return plain(left_over / np.asarray(latent_heat(boiling_point_c(pressure))))


def flash_fraction(temp_c: ArrayLike, pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the share of hot pressed water that turns to steam when it is suddenly let out.

    x = [h(T) - h(T_boil)] / h_fg(T_boil), at constant enthalpy

    Parameters
    ----------
    temp_c : of the water before [°C]. pressure : outside, absolute [Pa]. Broadcastable.

    Returns
    -------
    [1], broadcast shape; 0 for water below its boiling point outside.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C, a pressure outside 700 to 16 500 000 Pa.

    Valid for: a sudden release that leaves no time for heat to flow.

    Example
    -------
    >>> round(flash_fraction(110), 3)
    0.019

    Source: throttling, any textbook of thermodynamics; enthalpy from IAPWS R7-97.
    """
    before, after = checked_liquid_c(temp_c) + ZERO, equations.boiling_temperature(checked_pressure(pressure))
    hot = equations.liquid_enthalpy(before, equations.boiling_pressure(before))
    left = equations.liquid_enthalpy(after, equations.boiling_pressure(after))
    return plain(np.clip((hot - left) / np.asarray(latent_heat(after - ZERO)), 0.0, 1.0))
