"""When does water boil, how heavy is it, and what does it cost to warm and to boil it?

In: absolute pressure or water temperature. Out: boiling point, density, specific
and latent heat, the energy of warming, the push of warm water.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.water import equations
from solarlib.water.pressure import SEA_LEVEL

ZERO = reference.ZERO_CELSIUS.value
HOTTEST_C = 350.0  # end of the equation for liquid water


def checked_liquid_c(temp_c: ArrayLike, name: str = "water temperature") -> NDArray:
    """Return a checked temperature of liquid water [°C]."""
    return within(name, temp_c, 0, HOTTEST_C, "°C", "below 0 it is ice, above 350 not covered")


def checked_pressure(pressure: ArrayLike, name: str = "pressure") -> NDArray:
    """Return a checked absolute pressure at which water boils [Pa]."""
    hint = "absolute pressure in pascals, 101325 at sea level, 100000 for 1 bar"
    return within(name, pressure, 700.0, 16.5e6, "Pa", hint)


# --- the boiling curve -------------------------------------------------------------------------
def saturation_pressure(temp_c: ArrayLike) -> Array:
    """Return the absolute pressure at which water of this temperature boils.

    Parameters
    ----------
    temp_c : [°C], 0 to 350.

    Returns
    -------
    [Pa], same shape.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C.

    Valid for: pure water.

    Example
    -------
    >>> round(saturation_pressure(20))
    2339

    Source: IAPWS R7-97 (industrial formulation 1997), eq. 30.
    """
    return plain(equations.boiling_pressure(checked_liquid_c(temp_c) + ZERO))


def boiling_point_c(pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the boiling point at an absolute pressure; a gauge reads about 101 kPa less.

    Parameters
    ----------
    pressure : absolute [Pa], 700 to 16 500 000.

    Returns
    -------
    [°C], same shape.

    Raises
    ------
    ValueError : a pressure outside 700 to 16 500 000 Pa.

    Valid for: pure water.

    Example
    -------
    >>> round(boiling_point_c(101325), 2), round(boiling_point_c(70109), 1)  # sea level, 3000 m
    (99.97, 90.0)

    Source: IAPWS R7-97, eq. 31.
    """
    return plain(equations.boiling_temperature(checked_pressure(pressure)) - ZERO)


def latent_heat(temp_c: ArrayLike) -> Array:
    """Return the heat that turns water of this temperature into steam.

    h_fg = T (v_steam - v_water) dp/dT (Clausius-Clapeyron)

    Parameters
    ----------
    temp_c : [°C], 0 to 350.

    Returns
    -------
    [J/kg], same shape.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C.

    Valid for: within 0.02 % of IAPWS-95 up to 300 °C.

    Example
    -------
    >>> round(latent_heat(100) / 1e6, 3)
    2.257

    Source: slope from IAPWS R7-97 eq. 29, steam from IAPWS SR1-86(1992).
    """
    temp = checked_liquid_c(temp_c) + ZERO
    water = equations.liquid_volume(temp, equations.boiling_pressure(temp))
    growth = 1 / equations.steam_density(temp) - water
    return plain(temp * growth * equations.boiling_slope(temp))


# --- the liquid --------------------------------------------------------------------------------
def _state(temp_c: ArrayLike, pressure: ArrayLike | None) -> tuple[NDArray, NDArray]:
    """Kelvins and pascals of liquid water; without a pressure, at its own boiling pressure."""
    temp = checked_liquid_c(temp_c) + ZERO
    boiling = equations.boiling_pressure(temp)
    if pressure is None:
        return temp, boiling
    hint = "absolute pressure in pascals, 101325 at sea level"
    given = within("pressure", pressure, 0, 100e6, "Pa", hint)
    if np.any(given < boiling * (1 - 1e-9)):
        raise ValueError(
            f"At {np.min(given):g} Pa water of {np.max(temp) - ZERO:g} °C is steam; raise the "
            "pressure or leave it out."
        )
    return temp, given


def density(temp_c: ArrayLike, pressure: ArrayLike | None = None) -> Array:
    """Return the density of liquid water.

    Parameters
    ----------
    temp_c : [°C], 0 to 350. pressure : absolute [Pa]; left out, the water's own boiling
        pressure, which in an open pot makes less than 0.05 kg/m³ difference. Broadcastable.

    Returns
    -------
    [kg/m³], broadcast shape.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C, a pressure at which it is steam.

    Valid for: up to 100 MPa.

    Example
    -------
    >>> round(density(20), 1), round(density(90), 1)
    (998.2, 965.3)

    Source: IAPWS R7-97, region 1, eq. 7.
    """
    return plain(1 / equations.liquid_volume(*_state(temp_c, pressure)))


def specific_heat(temp_c: ArrayLike, pressure: ArrayLike | None = None) -> Array:
    """Return the specific heat of liquid water at constant pressure.

    Parameters
    ----------
    temp_c : [°C], 0 to 350. pressure : absolute [Pa]; left out, the water's own boiling
        pressure. Broadcastable.

    Returns
    -------
    [J/kgK], broadcast shape.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C, a pressure at which it is steam.

    Valid for: up to 100 MPa. Between 0 and 100 °C it is 4186 J/kgK within 0.8 %.

    Example
    -------
    >>> round(specific_heat(40) / 1000, 2)
    4.18

    Source: IAPWS R7-97, region 1, eq. 7.
    """
    return plain(equations.liquid_heat_capacity(*_state(temp_c, pressure)))


def warming_energy(
    mass: ArrayLike,
    start_c: ArrayLike,
    end_c: ArrayLike,
    specific_heat: ArrayLike = reference.WATER_SPECIFIC_HEAT.value,
) -> Array:
    """Return the energy that warms water: m c (end - start).

    Parameters
    ----------
    mass : m [kg]. start_c, end_c : [°C]. specific_heat : c [J/kgK]. Broadcastable.

    Returns
    -------
    [J], broadcast shape; negative when it cools.

    Raises
    ------
    ValueError : a mass or specific heat not above zero, a temperature outside 0 to 350 °C.

    Valid for: a constant specific heat, within 0.8 % from 0 to 100 °C.

    Example
    -------
    >>> round(warming_energy(6.0, 18, 55) / 1e6, 3)
    0.929

    Source: definition of the specific heat.
    """
    heat = positive("specific heat", specific_heat, "J/kgK")
    rise = checked_liquid_c(end_c, "end temperature") - checked_liquid_c(start_c, "start temperature")
    return plain(positive("water mass", mass, "kg") * heat * rise)


def volume_growth(start_c: ArrayLike, end_c: ArrayLike) -> Array:
    """Return the share by which open water grows when warmed: density before / after - 1.

    Parameters
    ----------
    start_c, end_c : [°C], broadcastable.

    Returns
    -------
    [1], broadcast shape; negative where it shrinks.

    Raises
    ------
    ValueError : a temperature outside 0 to 350 °C.

    Valid for: water that is free to leave by the vent; shut in, see `trapped_pressure`.

    Example
    -------
    >>> round(100 * volume_growth(20, 90), 1)
    3.4

    Source: `density`.
    """
    return plain(np.asarray(density(start_c)) / np.asarray(density(end_c)) - 1)


def thermosyphon_pressure(cold_c: ArrayLike, hot_c: ArrayLike, height: ArrayLike) -> Array:
    """Return the pressure that drives water round a loop of a hot and a cold column.

    dp = (rho_cold - rho_hot) g h

    Parameters
    ----------
    cold_c, hot_c : temperatures of the columns [°C]. height : h of the columns [m].

    Returns
    -------
    [Pa], broadcast shape.

    Raises
    ------
    ValueError : a height not above zero, a temperature outside 0 to 350 °C.

    Valid for: columns of one temperature each; how fast the water flows is another question.

    Example
    -------
    >>> round(thermosyphon_pressure(40, 60, 0.6))
    53

    Source: weight of two columns, `density`.
    """
    lighter = np.asarray(density(cold_c)) - np.asarray(density(hot_c))
    return plain(lighter * reference.GRAVITY.value * positive("height", height, "m"))
