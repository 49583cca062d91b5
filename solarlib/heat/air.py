"""What is the air like that carries the heat away?

In: its temperature and pressure. Out: conductivity, viscosity, Prandtl number,
density; and the checks that temperatures, wind and pressure pass on their way in.
"""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, within

ZERO = reference.ZERO_CELSIUS.value
SEA_LEVEL = reference.STANDARD_PRESSURE.value
GRAVITY = reference.GRAVITY.value


# --- what may come in --------------------------------------------------------------------------
def surface(value: ArrayLike, name: str = "surface temperature") -> NDArray:
    """Return a checked surface temperature [K]."""
    return within(name, value, -80, 1500, "°C", "in degrees Celsius") + ZERO


def air_temperature(value: ArrayLike) -> NDArray:
    """Return a checked air temperature [K]."""
    return within("air temperature", value, -50, 60, "°C", "in degrees Celsius") + ZERO


def air_pressure(value: ArrayLike) -> NDArray:
    """Return a checked air pressure [Pa]."""
    hint = "at the site, absolute: 101325 at sea level, see water.standard_pressure"
    return within("air pressure", value, 30000, 110000, "Pa", hint)


def wind_speed(value: ArrayLike) -> NDArray:
    """Return a checked wind speed [m/s]."""
    return within("wind", value, 0, 60, "m/s", "at the pipe, in metres per second")


# --- air ---------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Air:
    """Dry air at one temperature and pressure.

    conductivity [W/mK], viscosity: kinematic [m²/s], prandtl [1], density [kg/m³].
    """

    conductivity: Array
    viscosity: Array
    prandtl: Array
    density: Array


def air_at(temp: NDArray, pressure: NDArray) -> Air:
    """Properties of dry air at [K], [Pa]; checks nothing."""
    dynamic = 1.716e-5 * (temp / 273.15) ** 1.5 * 383.55 / (temp + 110.4)
    conductivity = 2.357e-3 * temp**1.5 / (temp + 164.54)
    density = pressure / (reference.AIR_GAS_CONSTANT.value * temp)
    prandtl = dynamic * reference.AIR_SPECIFIC_HEAT.value / conductivity
    return Air(conductivity, dynamic / density, prandtl, density)


def air_properties(temp_c: ArrayLike, pressure: ArrayLike = SEA_LEVEL) -> Air:
    """Return conductivity, kinematic viscosity, Prandtl number and density of dry air.

    mu = 1.716e-5 (T/273.15)^1.5 383.55/(T + 110.4); k = 2.357e-3 T^1.5/(T + 164.54);
    rho = p/(287.05 T); Pr = mu 1007/k

    Parameters
    ----------
    temp_c : film temperature [°C]. pressure : absolute [Pa]. Broadcastable.

    Returns
    -------
    Air : [W/mK], [m²/s], [1], [kg/m³], broadcast shape.

    Raises
    ------
    ValueError : a temperature outside -80 to 1500 °C, a pressure outside 30 000 to 110 000 Pa.

    Valid for: 280 to 400 K, within 1 % of real air (Pr 1.5 %); 2 % at 450 K, 5 % at 900 K.

    Example
    -------
    >>> air = air_properties(26.85)
    >>> round(air.conductivity, 4), round(1e6 * air.viscosity, 1), round(air.prandtl, 2)
    (0.0264, 15.7, 0.71)

    Source: Sutherland's law and a fit of the same form, constants from memory; checked against
    real-gas air.
    """
    found = air_at(surface(temp_c, "air film temperature"), air_pressure(pressure))
    return Air(*(plain(value) for value in vars(found).values()))
