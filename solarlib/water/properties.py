"""When does water boil here, how heavy is it, and what does it cost to warm and to boil it?

In: height above the sea, pressure (always absolute) or water temperature. Out:
pressure, boiling point, density, specific and latent heat, steam.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.water import equations

ZERO = reference.ZERO_CELSIUS.value
SEA_LEVEL = reference.STANDARD_PRESSURE.value
HOTTEST_C = 350.0  # end of the equation for liquid water
_LAPSE, _EXPONENT = 2.25577e-5, 5.25588  # ISO 2533, troposphere, in the rounded form of handbooks


def _liquid_c(temp_c: ArrayLike, name: str = "water temperature") -> NDArray:
    return within(name, temp_c, 0, HOTTEST_C, "°C", "below 0 it is ice, above 350 not covered")


def _pressure(pressure: ArrayLike, name: str = "pressure") -> NDArray:
    hint = "absolute pressure in pascals, 101325 at sea level, 100000 for 1 bar"
    return within(name, pressure, 700.0, 16.5e6, "Pa", hint)


# --- the air's pressure ------------------------------------------------------------------------
def _height(elevation: ArrayLike) -> NDArray:
    return within("elevation", elevation, -500, 11000, "m", "metres above the sea")


def standard_pressure(elevation: ArrayLike) -> Array:
    """Return the air pressure of the standard atmosphere at a height above the sea.

    p = 101325 (1 - 2.25577e-5 z)^5.25588

    Parameters
    ----------
    elevation : height above the sea z [m].

    Returns
    -------
    [Pa], same shape.

    Raises
    ------
    ValueError : outside -500 to 11000 m.

    Valid for: an average day; the weather moves it by +-3 %.

    Example
    -------
    >>> round(standard_pressure(1609))
    83431

    Source: ISO 2533 standard atmosphere, usual rounded form.
    """
    return plain(SEA_LEVEL * (1 - _LAPSE * _height(elevation)) ** _EXPONENT)


def station_pressure(sea_level_pressure: ArrayLike, elevation: ArrayLike) -> Array:
    """Return the pressure at the site from the one a weather report or an airfield gives.

    p = [p_sea^(1/5.25588) - 101325^(1/5.25588) 2.25577e-5 z]^5.25588

    Weather reports reduce every pressure to sea level; water boils at the real one.

    Parameters
    ----------
    sea_level_pressure : reduced pressure (QNH) [Pa]. elevation : [m]. Broadcastable.

    Returns
    -------
    absolute pressure at the site [Pa], broadcast shape.

    Example
    -------
    >>> round(boiling_point_c(station_pressure(101325, 1609)), 1)
    94.6

    Source: definition of the altimeter setting in the ISO 2533 atmosphere.
    """
    hint = "pressure reduced to sea level, in pascals: 101325 for 1013.25 hPa"
    reduced = within("sea-level pressure", sea_level_pressure, 85000, 110000, "Pa", hint)
    root = reduced ** (1 / _EXPONENT) - SEA_LEVEL ** (1 / _EXPONENT) * _LAPSE * _height(elevation)
    return plain(root**_EXPONENT)


# --- the boiling curve -------------------------------------------------------------------------
def saturation_pressure(temp_c: ArrayLike) -> Array:
    """Return the absolute pressure at which water of this temperature boils.

    Parameters
    ----------
    temp_c : [°C], 0 to 350.

    Returns
    -------
    [Pa], same shape.

    Example
    -------
    >>> round(saturation_pressure(20))
    2339

    Source: IAPWS R7-97 (industrial formulation 1997), eq. 30.
    """
    return plain(equations.boiling_pressure(_liquid_c(temp_c) + ZERO))


def boiling_point_c(pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the boiling point at an absolute pressure; a gauge reads about 101 kPa less.

    Parameters
    ----------
    pressure : absolute [Pa], 700 to 16 500 000.

    Returns
    -------
    [°C], same shape.

    Example
    -------
    >>> round(boiling_point_c(101325), 2), round(boiling_point_c(standard_pressure(3000)), 1)
    (99.97, 90.0)

    Source: IAPWS R7-97, eq. 31.
    """
    return plain(equations.boiling_temperature(_pressure(pressure)) - ZERO)


def latent_heat(temp_c: ArrayLike) -> Array:
    """Return the heat that turns water of this temperature into steam.

    h_fg = T (v_steam - v_water) dp/dT (Clausius-Clapeyron)

    Parameters
    ----------
    temp_c : [°C], 0 to 350.

    Returns
    -------
    [J/kg], same shape; within 0.02 % of IAPWS-95 up to 300 °C.

    Example
    -------
    >>> round(latent_heat(100) / 1e6, 3)
    2.257

    Source: slope from IAPWS R7-97 eq. 29, steam from IAPWS SR1-86(1992).
    """
    temp = _liquid_c(temp_c) + ZERO
    water = equations.liquid_volume(temp, equations.boiling_pressure(temp))
    growth = 1 / equations.steam_density(temp) - water
    return plain(temp * growth * equations.boiling_slope(temp))


# --- the liquid --------------------------------------------------------------------------------
def _state(temp_c: ArrayLike, pressure: ArrayLike | None) -> tuple[NDArray, NDArray]:
    """Kelvins and pascals of liquid water; without a pressure, at its own boiling pressure."""
    temp = _liquid_c(temp_c) + ZERO
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
        pressure, which in an open pot makes less than 0.05 kg/m³ difference.

    Returns
    -------
    [kg/m³], broadcast shape.

    Example
    -------
    >>> round(density(20), 1), round(density(90), 1)
    (998.2, 965.3)

    Source: IAPWS R7-97, region 1, eq. 7.
    """
    return plain(1 / equations.liquid_volume(*_state(temp_c, pressure)))


def specific_heat(temp_c: ArrayLike, pressure: ArrayLike | None = None) -> Array:
    """Return the specific heat of liquid water at constant pressure [J/kgK]; see `density`.

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
    """Return the energy m c (end - start) [J] that warms water; negative when it cools.

    Parameters
    ----------
    mass : [kg]. start_c, end_c : [°C]. specific_heat : [J/kgK]. Broadcastable.

    Example
    -------
    >>> round(warming_energy(6.0, 18, 55) / 1e6, 3)
    0.929
    """
    rise = _liquid_c(end_c, "end temperature") - _liquid_c(start_c, "start temperature")
    return plain(positive("water mass", mass, "kg") * np.asarray(specific_heat) * rise)


def volume_growth(start_c: ArrayLike, end_c: ArrayLike) -> Array:
    """Return the share by which open water grows when warmed: 3.4 % from 20 to 90 °C [1]."""
    return plain(np.asarray(density(start_c)) / np.asarray(density(end_c)) - 1)


def thermosyphon_pressure(cold_c: ArrayLike, hot_c: ArrayLike, height: ArrayLike) -> Array:
    """Return the pressure that drives water round a loop of a hot and a cold column.

    dp = (rho_cold - rho_hot) g h

    Parameters
    ----------
    cold_c, hot_c : temperatures of the columns [°C]. height : of the columns [m].

    Returns
    -------
    [Pa], broadcast shape.

    Example
    -------
    >>> round(thermosyphon_pressure(40, 60, 0.6))
    53
    """
    lighter = np.asarray(density(cold_c)) - np.asarray(density(hot_c))
    return plain(lighter * reference.GRAVITY.value * positive("height", height, "m"))


# --- steam -------------------------------------------------------------------------------------
def steam_density(pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the density of steam that just boiled off [kg/m³]; pressure absolute [Pa].

    Source: IAPWS SR1-86(1992), eq. 3.
    """
    return plain(equations.steam_density(equations.boiling_temperature(_pressure(pressure))))


def steam_to_water_ratio(pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return how many litres of steam one litre of boiling water makes: about 1600 at sea level."""
    boiling = boiling_point_c(pressure)
    return plain(np.asarray(density(boiling)) / np.asarray(steam_density(pressure)))


def boil_off(power: ArrayLike, pressure: ArrayLike = SEA_LEVEL) -> Array:
    """Return the water that power boils away, P/h_fg.

    Parameters
    ----------
    power : left over after all losses [W]; below zero nothing boils. pressure : absolute [Pa].

    Returns
    -------
    [kg/s], broadcast shape; divide by `steam_density` for the flow of steam [m³/s].

    Example
    -------
    >>> round(boil_off(270) * 60_000, 1)
    7.2
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
    [1], 0 for water below its boiling point outside.

    Example
    -------
    >>> round(flash_fraction(110), 3)
    0.019
    """
    before, after = _liquid_c(temp_c) + ZERO, equations.boiling_temperature(_pressure(pressure))
    hot = equations.liquid_enthalpy(before, equations.boiling_pressure(before))
    left = equations.liquid_enthalpy(after, equations.boiling_pressure(after))
    return plain(np.clip((hot - left) / np.asarray(latent_heat(after - ZERO)), 0.0, 1.0))
