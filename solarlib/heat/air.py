"""How well does the air carry heat away from a round pipe, still or in wind, open or under glass?

In: diameter, temperatures, wind, air pressure. Out: properties of air, Nusselt
numbers, coefficients in W/m²K, heat per metre across the gap under a glass tube.
The diameter is the length in every Reynolds and Nusselt number here.

Convection is the least certain part of a heater: +-20 % for a pipe in a wind
tunnel, more in gusts behind a mirror. The rules for flat plates, 5.7 + 3.8 V and
2.8 + 3 V, give less than half of the truth on a pipe.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within

ZERO = reference.ZERO_CELSIUS.value
SEA_LEVEL = reference.STANDARD_PRESSURE.value
_GRAVITY = reference.GRAVITY.value


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


def _air(temp: NDArray, pressure: NDArray) -> Air:
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

    Valid for: 280 to 400 K, within 1 % of real air (Pr 1.5 %); 2 % at 450 K, 5 % at 900 K.

    Source: Sutherland's law and a fit of the same form, constants from memory; checked against
    real-gas air.
    """
    found = _air(surface(temp_c, "air film temperature"), air_pressure(pressure))
    return Air(*(plain(value) for value in vars(found).values()))


# --- Nusselt numbers ---------------------------------------------------------------------------
def nusselt_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Array:
    """Return the Nusselt number of a long horizontal tube in still air.

    Nu = {0.60 + 0.387 Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27)}²

    Parameters
    ----------
    rayleigh : on the diameter [1], up to 1e12. prandtl : [1]. Film properties.

    Example
    -------
    >>> round(nusselt_natural(2.63e9 * 0.69, 0.69), 2)
    139.13

    Source: Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1049, read through a library's
    documentation.
    """
    spread = (1 + (0.559 / np.asarray(prandtl)) ** (9 / 16)) ** (8 / 27)
    return plain((0.60 + 0.387 * np.asarray(rayleigh, float) ** (1 / 6) / spread) ** 2)


def nusselt_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Array:
    """Return the Nusselt number of a tube in cross wind.

    Nu = 0.3 + 0.62 Re^½ Pr^⅓ / [1 + (0.4/Pr)^⅔]^¼ [1 + (Re/282000)^⅝]^⅘

    Parameters
    ----------
    reynolds : on the diameter [1]. prandtl : [1]. Film properties.

    Valid for: Re Pr above 0.2 (a breath of 1 cm/s on a 22 mm pipe), +-20 %; a lower bound by
    its authors. Below, natural convection rules anyway.

    Example
    -------
    >>> round(nusselt_forced(6071, 0.70), 2)
    40.64

    Source: Churchill & Bernstein, J. Heat Transfer 99 (1977) 300, read through a library's
    documentation.
    """
    re, pr = np.asarray(reynolds, float), np.asarray(prandtl, float)
    laminar = 0.62 * np.sqrt(re) * pr ** (1 / 3) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25
    return plain(0.3 + laminar * (1 + (re / 282000) ** (5 / 8)) ** (4 / 5))


def nusselt_forced_second_opinion(
    reynolds: ArrayLike, prandtl: ArrayLike, prandtl_wall: ArrayLike
) -> Array:
    """Return the Nusselt number of a tube in cross wind by another correlation.

    Nu = 0.26 Re^0.6 Pr^0.37 (Pr/Pr_wall)^¼, properties of the free air

    Valid for: Re 1000 to 200 000 (0.7 m/s and more on a 22 mm pipe); nan outside.

    Example
    -------
    >>> round(nusselt_forced_second_opinion(7992, 0.707, 0.69), 2)
    50.52

    Source: Zukauskas, Adv. Heat Transfer 8 (1972) 93, read through a library's documentation.
    """
    re, pr = np.asarray(reynolds, float), np.asarray(prandtl, float)
    nusselt = 0.26 * re**0.6 * pr**0.37 * (pr / np.asarray(prandtl_wall, float)) ** 0.25
    return plain(np.where((re >= 1000) & (re <= 200_000), nusselt, np.nan))


# --- coefficients; the functions ending in _kelvin check nothing ---------------------------------
def natural_kelvin(diameter: NDArray, hot: NDArray, cold: NDArray, pressure: NDArray) -> NDArray:
    """Coefficient in still air [W/m2K]; temperatures in kelvins."""
    film = (hot + cold) / 2
    air_there = _air(film, pressure)
    buoyancy = _GRAVITY / film * np.abs(hot - cold) * diameter**3
    rayleigh = buoyancy * air_there.prandtl / air_there.viscosity**2
    return nusselt_natural(rayleigh, air_there.prandtl) * air_there.conductivity / diameter


def forced_kelvin(
    diameter: NDArray, hot: NDArray, cold: NDArray, wind: NDArray, pressure: NDArray
) -> NDArray:
    """Coefficient in cross wind [W/m2K]; temperatures in kelvins."""
    air_there = _air((hot + cold) / 2, pressure)
    reynolds = wind * diameter / air_there.viscosity
    return nusselt_forced(reynolds, air_there.prandtl) * air_there.conductivity / diameter


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

    Parameters and result as in `forced_convection`.

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
    diameter : outside [m]. coefficient : [W/m2K]. difference : surface minus air [K].

    Returns
    -------
    [W/m], broadcast shape.
    """
    per_kelvin = np.pi * positive("diameter", diameter, "m") * np.asarray(coefficient, float)
    return plain(per_kelvin * np.asarray(difference, float))


# --- the gap under a glass tube ----------------------------------------------------------------
def annulus_conductivity_ratio(rayleigh: ArrayLike, prandtl: ArrayLike) -> Array:
    """Return how many times better moving air conducts than still air in a ring-shaped gap.

    k_eff/k = 0.386 [Pr/(0.861 + Pr)]^¼ Ra_c^¼, not below 1

    Parameters
    ----------
    rayleigh : on the gap's length L_c of `annulus_convection_per_metre` [1]. prandtl : [1].

    Source: Raithby & Hollands, Adv. Heat Transfer 11 (1975) 265, in the textbook form with L_c,
    from memory of Incropera, section 9.8.
    """
    pr = np.asarray(prandtl, float)
    ratio = 0.386 * (pr / (0.861 + pr)) ** 0.25 * np.asarray(rayleigh, float) ** 0.25
    return plain(np.maximum(ratio, 1.0))


def annulus_conduction_per_metre(
    inner_diameter: ArrayLike,
    outer_diameter: ArrayLike,
    conductivity: ArrayLike,
    difference: ArrayLike,
) -> Array:
    """Return the heat conducted through a ring, 2 pi k dT / ln(D_o/D_i) [W/m]."""
    ratio = np.asarray(outer_diameter, float) / np.asarray(inner_diameter, float)
    along = np.asarray(conductivity, float) * np.asarray(difference, float)
    return plain(2 * np.pi * along / np.log(ratio))


def annulus_kelvin(
    inner: NDArray, outer: NDArray, hot: NDArray, cold: NDArray, pressure: NDArray
) -> NDArray:
    """Heat across the gap of a glass tube [W/m]; temperatures in kelvins."""
    mean = (hot + cold) / 2
    air_there = _air(mean, pressure)
    radii = (inner / 2) ** (-3 / 5) + (outer / 2) ** (-3 / 5)
    length = 2 * np.log(outer / inner) ** (4 / 3) / radii ** (5 / 3)
    buoyancy = _GRAVITY / mean * np.abs(hot - cold) * length**3
    rayleigh = buoyancy * air_there.prandtl / air_there.viscosity**2
    ratio = annulus_conductivity_ratio(rayleigh, air_there.prandtl)
    return annulus_conduction_per_metre(inner, outer, air_there.conductivity * ratio, hot - cold)


def annulus_convection_per_metre(
    inner_diameter: ArrayLike,
    outer_diameter: ArrayLike,
    inner_c: ArrayLike,
    outer_c: ArrayLike,
    pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return the heat that air carries from a pipe to the glass tube around it.

    2 pi k_eff (T_i - T_o) / ln(D_o/D_i), L_c = 2 ln(D_o/D_i)^(4/3) / (r_i^-⅗ + r_o^-⅗)^(5/3)

    Parameters
    ----------
    inner_diameter : of the pipe, outside [m]. outer_diameter : of the glass, inside [m].
    inner_c, outer_c : their temperatures [°C]. pressure : of the air in the gap [Pa].

    Returns
    -------
    [W/m], broadcast shape.

    Valid for: concentric, horizontal, closed ends; real ends leak 5-15 %.

    Source: see `annulus_conductivity_ratio`.
    """
    inner = positive("inner diameter", inner_diameter, "m")
    outer = positive("outer diameter", outer_diameter, "m")
    if np.any(outer <= inner):
        raise ValueError(
            f"The glass is {np.min(outer):g} m wide inside and the pipe {np.max(inner):g} m; the "
            "glass must be wider than the pipe."
        )
    ends = surface(inner_c, "pipe temperature"), surface(outer_c, "glass temperature")
    return plain(annulus_kelvin(inner, outer, *ends, air_pressure(pressure)))
