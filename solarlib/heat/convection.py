"""How well does moving or still air carry heat away from a round pipe?

In: diameter, temperatures, wind, air pressure. Out: Nusselt numbers, coefficients
in W/m²K. The diameter is the length in every Reynolds and Nusselt number here.

Convection is the least certain part of a heater: +-20 % for a pipe in a wind
tunnel, more in gusts behind a mirror. The rules for flat plates, 5.7 + 3.8 V and
2.8 + 3 V, give less than half of the truth on a pipe.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, not_negative, plain, positive, within
from solarlib.heat.air import (
    GRAVITY,
    SEA_LEVEL,
    air_at,
    air_pressure,
    air_temperature,
    surface,
    wind_speed,
)


# --- Nusselt numbers; the two that begin with _ check nothing ------------------------------------
def _prandtl(value: ArrayLike) -> NDArray:
    return positive("Prandtl number", value, "", "0.7 for air")


def _still(ra: NDArray, pr: NDArray) -> NDArray:
    """Churchill & Chu."""
    spread = (1 + (0.559 / pr) ** (9 / 16)) ** (8 / 27)
    return (0.60 + 0.387 * ra ** (1 / 6) / spread) ** 2


def _windy(re: NDArray, pr: NDArray) -> NDArray:
    """Churchill & Bernstein."""
    laminar = 0.62 * np.sqrt(re) * pr ** (1 / 3) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25
    return 0.3 + laminar * (1 + (re / 282000) ** (5 / 8)) ** (4 / 5)


def nusselt_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Array:
    """Return the Nusselt number of a long horizontal tube in still air.

    Nu = {0.60 + 0.387 Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27)}²

    Parameters
    ----------
    rayleigh : on the diameter [1]. prandtl : [1]. Film properties; broadcastable.

    Returns
    -------
    [1], broadcast shape.

    Raises
    ------
    ValueError : a Rayleigh number below 0, a Prandtl number not above zero.

    Valid for: Rayleigh numbers up to 1e12; a 22 mm pipe of 90 °C has some 4e4.

    Example
    -------
    >>> round(nusselt_natural(2.63e9 * 0.69, 0.69), 2)
    139.13

    Source: Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1049, read through a library's
    documentation.
    """
    return plain(_still(not_negative("Rayleigh number", rayleigh), _prandtl(prandtl)))


def nusselt_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Array:
    """Return the Nusselt number of a tube in cross wind.

    Nu = 0.3 + 0.62 Re^½ Pr^⅓ / [1 + (0.4/Pr)^⅔]^¼ [1 + (Re/282000)^⅝]^⅘

    Parameters
    ----------
    reynolds : on the diameter [1]. prandtl : [1]. Film properties; broadcastable.

    Returns
    -------
    [1], broadcast shape.

    Raises
    ------
    ValueError : a Reynolds number below 0, a Prandtl number not above zero.

    Valid for: Re Pr above 0.2 (a breath of 1 cm/s on a 22 mm pipe), +-20 %; a lower bound by
    its authors. Below, natural convection rules anyway.

    Example
    -------
    >>> round(nusselt_forced(6071, 0.70), 2)
    40.64

    Source: Churchill & Bernstein, J. Heat Transfer 99 (1977) 300, read through a library's
    documentation.
    """
    return plain(_windy(not_negative("Reynolds number", reynolds), _prandtl(prandtl)))


def nusselt_forced_second_opinion(
    reynolds: ArrayLike, prandtl: ArrayLike, prandtl_wall: ArrayLike
) -> Array:
    """Return the Nusselt number of a tube in cross wind by another correlation.

    Nu = 0.26 Re^0.6 Pr^0.37 (Pr/Pr_wall)^¼

    Parameters
    ----------
    reynolds : on the diameter [1]. prandtl, prandtl_wall : of the free air, and at the wall's
        temperature [1]. Broadcastable.

    Returns
    -------
    [1], broadcast shape; nan where the correlation was not made for it.

    Raises
    ------
    ValueError : a Reynolds number below 0, a Prandtl number not above zero.

    Valid for: Re 1000 to 200 000 (0.7 m/s and more on a 22 mm pipe); nan outside.

    Example
    -------
    >>> round(nusselt_forced_second_opinion(7992, 0.707, 0.69), 2)
    50.52

    Source: Zukauskas, Adv. Heat Transfer 8 (1972) 93, read through a library's documentation.
    """
    re, pr = not_negative("Reynolds number", reynolds), _prandtl(prandtl)
    nusselt = 0.26 * re**0.6 * pr**0.37 * (pr / _prandtl(prandtl_wall)) ** 0.25
    return plain(np.where((re >= 1000) & (re <= 200_000), nusselt, np.nan))


# --- coefficients; the functions ending in _kelvin check nothing ---------------------------------
def natural_kelvin(diameter: NDArray, hot: NDArray, cold: NDArray, pressure: NDArray) -> NDArray:
    """Coefficient in still air [W/m2K]; temperatures in kelvins."""
    film = (hot + cold) / 2
    air_there = air_at(film, pressure)
    buoyancy = GRAVITY / film * np.abs(hot - cold) * diameter**3
    rayleigh = buoyancy * air_there.prandtl / air_there.viscosity**2
    return _still(rayleigh, air_there.prandtl) * air_there.conductivity / diameter


def forced_kelvin(
    diameter: NDArray, hot: NDArray, cold: NDArray, wind: NDArray, pressure: NDArray
) -> NDArray:
    """Coefficient in cross wind [W/m2K]; temperatures in kelvins."""
    air_there = air_at((hot + cold) / 2, pressure)
    reynolds = wind * diameter / air_there.viscosity
    return _windy(reynolds, air_there.prandtl) * air_there.conductivity / diameter


def blended_kelvin(
    diameter: NDArray, hot: NDArray, cold: NDArray, wind: NDArray, pressure: NDArray
) -> NDArray:
    """Both coefficients together [W/m2K]; temperatures in kelvins."""
    still = natural_kelvin(diameter, hot, cold, pressure)
    return (still**4 + forced_kelvin(diameter, hot, cold, wind, pressure) ** 4) ** 0.25


def natural_convection(
    diameter: ArrayLike, surface_c: ArrayLike, air_c: ArrayLike, pressure: ArrayLike = SEA_LEVEL
) -> Array:
    """Return the coefficient of a horizontal tube in still air, Nu k/D.

    Parameters
    ----------
    diameter : outside [m]. surface_c, air_c : [°C]. pressure : of the air, absolute [Pa].

    Returns
    -------
    [W/m2K], broadcast shape.

    Raises
    ------
    ValueError : a diameter not above zero, a temperature or pressure outside its range.

    Valid for: a long level tube in a still room; a trough around it holds some air back.

    Example
    -------
    >>> round(natural_convection(0.022, 90, 25), 1)
    8.0

    Source: Churchill & Chu 1975, see `nusselt_natural`.
    """
    size = positive("diameter", diameter, "m")
    return plain(
        natural_kelvin(size, surface(surface_c), air_temperature(air_c), air_pressure(pressure))
    )


def forced_convection(
    diameter: ArrayLike,
    surface_c: ArrayLike,
    air_c: ArrayLike,
    wind: ArrayLike,
    pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return the coefficient of a tube in cross wind alone, Nu k/D.

    Parameters
    ----------
    diameter : outside [m]. surface_c, air_c : [°C]. wind : at the tube, not the forecast [m/s].
    pressure : of the air, absolute [Pa].

    Returns
    -------
    [W/m2K], broadcast shape.

    Raises
    ------
    ValueError : a diameter not above zero, a wind outside 0 to 60 m/s, air outside -50 to 60 °C.

    Valid for: +-20 % in a wind tunnel; gusts outdoors add 10 to 30 %.

    Example
    -------
    >>> round(forced_convection(0.022, 90, 25, 0.9), 1)
    21.4

    Source: Churchill & Bernstein 1977, see `nusselt_forced`.
    """
    size = positive("diameter", diameter, "m")
    state = surface(surface_c), air_temperature(air_c), wind_speed(wind), air_pressure(pressure)
    return plain(forced_kelvin(size, *state))


def convection(
    diameter: ArrayLike,
    surface_c: ArrayLike,
    air_c: ArrayLike,
    wind: ArrayLike,
    pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return the coefficient of a tube in still or moving air, (h_natural⁴ + h_forced⁴)^¼.

    Parameters
    ----------
    diameter : outside [m]. surface_c, air_c : [°C]. wind : at the tube, not the forecast [m/s].
    pressure : of the air, absolute [Pa].

    Returns
    -------
    [W/m2K], broadcast shape; between the larger of both and their sum.

    Raises
    ------
    ValueError : a diameter not above zero, a wind outside 0 to 60 m/s, air outside -50 to 60 °C.

    Valid for: +-20 %, see `forced_convection`.

    Example
    -------
    >>> round(convection(0.022, 90, 25, 0.9), 1)
    21.5

    Source: blending power 4 is common practice, no source.
    """
    size = positive("diameter", diameter, "m")
    state = surface(surface_c), air_temperature(air_c), wind_speed(wind), air_pressure(pressure)
    return plain(blended_kelvin(size, *state))


def convection_per_metre(
    diameter: ArrayLike, coefficient: ArrayLike, difference: ArrayLike
) -> Array:
    """Return the heat a pipe gives to the air by Newton's law, pi D h dT.

    Parameters
    ----------
    diameter : outside D [m]. coefficient : h [W/m2K]. difference : dT, surface minus air [K].

    Returns
    -------
    [W/m], broadcast shape.

    Raises
    ------
    ValueError : a diameter not above zero, a coefficient below 0, a difference beyond ±2000 K.

    Valid for: any long pipe whose coefficient is known.

    Example
    -------
    >>> round(convection_per_metre(0.1, 7.23, 142))
    323

    Source: definition of the coefficient; worked example 9.4 of Incropera (statement from memory).
    """
    per_kelvin = np.pi * positive("diameter", diameter, "m") * not_negative(
        "coefficient", coefficient, "W/m2K"
    )
    return plain(per_kelvin * within("difference to the air", difference, -2000, 2000, "K"))
