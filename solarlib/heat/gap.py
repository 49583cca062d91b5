"""How much heat crosses the air between a pipe and the glass tube around it?

In: both diameters and temperatures. Out: how much better moving air conducts than
still air, heat per metre.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, not_negative, plain, positive, within
from solarlib.heat.air import GRAVITY, SEA_LEVEL, air_at, air_pressure, surface


def _ring(inner_diameter: ArrayLike, outer_diameter: ArrayLike) -> tuple[NDArray, NDArray]:
    inner = positive("inner diameter", inner_diameter, "m")
    outer = positive("outer diameter", outer_diameter, "m")
    if np.any(outer <= inner):
        raise ValueError(
            f"The outside of the gap is {np.min(outer):g} m wide and the inside "
            f"{np.max(inner):g} m; the glass must be wider than the pipe."
        )
    return inner, outer


def _ratio(ra: NDArray, pr: NDArray) -> NDArray:
    """Raithby & Hollands; checks nothing."""
    return np.maximum(0.386 * (pr / (0.861 + pr)) ** 0.25 * ra**0.25, 1.0)


def annulus_conductivity_ratio(rayleigh: ArrayLike, prandtl: ArrayLike) -> Array:
    """Return how many times better moving air conducts than still air in a ring-shaped gap.

    k_eff/k = 0.386 [Pr/(0.861 + Pr)]^¼ Ra_c^¼, not below 1

    Parameters
    ----------
    rayleigh : on the gap's length L_c of `annulus_convection_per_metre` [1]. prandtl : [1].

    Returns
    -------
    [1], broadcast shape; 1 where the air stands still.

    Raises
    ------
    ValueError : a Rayleigh number below 0, a Prandtl number not above zero.

    Valid for: Rayleigh numbers up to 1e7.

    Example
    -------
    >>> round(annulus_conductivity_ratio(171.4, 0.70), 3)
    1.143

    Source: Raithby & Hollands, Adv. Heat Transfer 11 (1975) 265, in the textbook form with L_c,
    from memory of Incropera, section 9.8.
    """
    pr = positive("Prandtl number", prandtl, "", "0.7 for air")
    return plain(_ratio(not_negative("Rayleigh number", rayleigh), pr))


def annulus_conduction_per_metre(
    inner_diameter: ArrayLike,
    outer_diameter: ArrayLike,
    conductivity: ArrayLike,
    difference: ArrayLike,
) -> Array:
    """Return the heat conducted through a ring, 2 pi k dT / ln(D_o/D_i).

    Parameters
    ----------
    inner_diameter, outer_diameter : [m]. conductivity : k [W/mK].
    difference : dT, inside minus outside [K]. Broadcastable.

    Returns
    -------
    [W/m], broadcast shape.

    Raises
    ------
    ValueError : a diameter or conductivity not above zero, an outside not wider than the inside.

    Valid for: a long concentric ring of one material, such as lagging or still air.

    Example
    -------
    >>> round(annulus_conduction_per_metre(0.036, 0.040, 1.1, 10))  # a glass wall
    656

    Source: Fourier's law in a cylinder, any heat-transfer textbook.
    """
    inner, outer = _ring(inner_diameter, outer_diameter)
    along = positive("conductivity", conductivity, "W/mK") * within(
        "difference", difference, -2000, 2000, "K"
    )
    return plain(2 * np.pi * along / np.log(outer / inner))


def annulus_kelvin(
    inner: NDArray, outer: NDArray, hot: NDArray, cold: NDArray, pressure: NDArray
) -> NDArray:
    """Heat across the gap of a glass tube [W/m]; temperatures in kelvins."""
    mean = (hot + cold) / 2
    air_there = air_at(mean, pressure)
    radii = (inner / 2) ** (-3 / 5) + (outer / 2) ** (-3 / 5)
    length = 2 * np.log(outer / inner) ** (4 / 3) / radii ** (5 / 3)
    buoyancy = GRAVITY / mean * np.abs(hot - cold) * length**3
    rayleigh = buoyancy * air_there.prandtl / air_there.viscosity**2
    along = air_there.conductivity * _ratio(rayleigh, air_there.prandtl) * (hot - cold)
    return 2 * np.pi * along / np.log(outer / inner)


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

    Raises
    ------
    ValueError : a glass not wider than the pipe, a temperature or pressure outside its range.

    Valid for: concentric, horizontal, closed ends; real ends leak 5-15 %.

    Example
    -------
    >>> round(annulus_convection_per_metre(0.1, 0.12, 120, 35))  # the book: 100
    101

    Source: see `annulus_conductivity_ratio`; worked example 9.5 of Incropera (from memory).
    """
    inner, outer = _ring(inner_diameter, outer_diameter)
    ends = surface(inner_c, "pipe temperature"), surface(outer_c, "glass temperature")
    return plain(annulus_kelvin(inner, outer, *ends, air_pressure(pressure)))
