"""How much heat does a pipe radiate, and how cold is the sky it looks at?

In: surface and air temperature, emittance. Out: heat radiated per metre, the
temperature of a clear sky and of what a pipe in a trough sees.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.heat.air import ZERO, air_temperature, surface

SIGMA = reference.STEFAN_BOLTZMANN.value


def checked_emittance(value: ArrayLike, name: str = "emittance") -> NDArray:
    """Return a checked emittance [1]."""
    return within(name, value, 0, 1, "", "share of a perfect radiator, 0 to 1")


def radiation_per_metre(
    diameter: ArrayLike, surface_c: ArrayLike, surroundings_c: ArrayLike, emittance: ArrayLike
) -> Array:
    """Return the heat a pipe radiates to large surroundings.

    pi D eps sigma (T⁴ - T_sur⁴), in kelvins

    Parameters
    ----------
    diameter : outside D [m]. surface_c, surroundings_c : [°C]. emittance : eps [1].

    Returns
    -------
    [W/m], broadcast shape; negative for a pipe colder than its surroundings.

    Raises
    ------
    ValueError : a diameter not above zero, an emittance outside 0 to 1, a temperature out of range.

    Valid for: a grey surface and surroundings much larger than the pipe.

    Example
    -------
    >>> round(radiation_per_metre(0.022, 90, 25, 0.9), 1)
    33.5

    Source: Stefan-Boltzmann law.
    """
    hot, around = surface(surface_c), surface(surroundings_c, "surroundings temperature")
    area = np.pi * positive("diameter", diameter, "m")
    return plain(area * checked_emittance(emittance) * SIGMA * (hot**4 - around**4))


def sky_temperature_c(air_c: ArrayLike) -> Array:
    """Return the temperature a clear sky radiates with, 0.0552 T_air^1.5 in kelvins.

    Parameters
    ----------
    air_c : [°C], -50 to 60.

    Returns
    -------
    [°C], same shape; always below the air.

    Raises
    ------
    ValueError : air outside -50 to 60 °C.

    Valid for: a clear dry sky; clouds bring it up to the air's temperature.

    Example
    -------
    >>> round(sky_temperature_c(20), 1)
    3.9

    Source: Swinbank 1963, read in a symposium text that quotes it.
    """
    return plain(0.0552 * air_temperature(air_c) ** 1.5 - ZERO)


def trough_surroundings_c(air_c: ArrayLike) -> Array:
    """Return what a pipe in a trough sees: half sky, half things as warm as the air.

    T_sur⁴ = (T_air⁴ + T_sky⁴)/2

    Parameters
    ----------
    air_c : [°C], -50 to 60.

    Returns
    -------
    [°C], same shape.

    Raises
    ------
    ValueError : air outside -50 to 60 °C.

    Valid for: a clear sky above an open trough.

    Example
    -------
    >>> round(trough_surroundings_c(22), 1)
    14.7

    Source: common practice, no source.
    """
    sky = np.asarray(sky_temperature_c(air_c)) + ZERO
    return plain(((air_temperature(air_c) ** 4 + sky**4) / 2) ** 0.25 - ZERO)
