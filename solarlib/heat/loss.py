"""Where does the heat of a pipe go: to the air, to the sky, through the glass?

In: a pipe's size and surface, the weather at it, a glass tube or none. Out: heat
lost per metre of pipe, split into its parts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, root, within
from solarlib.heat.air import (
    SEA_LEVEL,
    ZERO,
    air_pressure,
    air_temperature,
    surface,
    wind_speed,
)
from solarlib.heat.convection import blended_kelvin
from solarlib.heat.gap import annulus_kelvin
from solarlib.heat.radiation import SIGMA, checked_emittance, trough_surroundings_c


# --- glass -------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Cover:
    """A glass tube around the pipe, concentric, clean, with closed ends.

    Parameters
    ----------
    inner_diameter, outer_diameter : [m].
    emittance : of glass, which lets no heat radiation through [1].
    transmittance : share of the sunlight that passes [1]; `optics.pipe_power` asks for it.
    """

    inner_diameter: Array = 0.036
    outer_diameter: Array = 0.040
    emittance: Array = reference.GLASS_EMITTANCE.value
    transmittance: Array = reference.GLASS_TRANSMITTANCE.value

    def __post_init__(self) -> None:
        inner = positive("inside diameter of the glass", self.inner_diameter, "m")
        outer = positive("outside diameter of the glass", self.outer_diameter, "m")
        if np.any(outer <= inner):
            raise ValueError(
                f"The glass is {np.min(outer):g} m wide outside and {np.max(inner):g} m inside; "
                "the outside must be wider."
            )
        within("emittance of the glass", self.emittance, 0.01, 1, "")
        within("transmittance of the glass", self.transmittance, 0, 1, "")


# --- both together -----------------------------------------------------------------------------
@dataclass(frozen=True)
class Loss:
    """Heat lost per metre [W/m] by the outermost surface, and that surface's temperature [°C]."""

    convection: Array
    radiation: Array
    outer_c: Array

    @property
    def total(self) -> Array:
        """Convection and radiation together [W/m]."""
        return self.convection + self.radiation


def _bare(
    diameter: NDArray, hot: NDArray, air_temp: NDArray, wind: NDArray, emittance: NDArray,
    around: NDArray, pressure: NDArray,
) -> tuple[NDArray, NDArray]:  # fmt: skip
    """Convection and radiation of a bare surface [W/m]; kelvins in."""
    area = np.pi * diameter
    coefficient = blended_kelvin(diameter, hot, air_temp, wind, pressure)
    return area * coefficient * (hot - air_temp), area * emittance * SIGMA * (hot**4 - around**4)


def _glass_temperature(
    diameter: NDArray, hot: NDArray, air_temp: NDArray, wind: NDArray, emittance: NDArray,
    around: NDArray, pressure: NDArray, cover: Cover,
) -> NDArray:  # fmt: skip
    """Temperature [K] at which the glass passes on what it gets."""
    inner, outer = np.asarray(cover.inner_diameter), np.asarray(cover.outer_diameter)
    glass_emittance = np.asarray(cover.emittance)
    resistance = 1 / np.maximum(emittance, 1e-9) + (1 / glass_emittance - 1) * diameter / inner

    def surplus(glass: NDArray) -> NDArray:
        carried = annulus_kelvin(diameter, inner, hot, glass, pressure)
        radiated = np.pi * diameter * SIGMA * (hot**4 - glass**4) / resistance
        away = _bare(outer, glass, air_temp, wind, glass_emittance, around, pressure)
        return carried + radiated - sum(away)

    inputs = np.broadcast_arrays(diameter, hot, air_temp, wind, emittance, around, inner, outer)
    temps = inputs[1:3] + inputs[5:6]
    return root(surplus, np.minimum.reduce(temps), np.maximum.reduce(temps), tolerance=1e-6)


def loss_parts(
    diameter: ArrayLike,
    surface_c: ArrayLike,
    air_c: ArrayLike,
    wind: ArrayLike,
    emittance: ArrayLike,
    surroundings_c: ArrayLike | None = None,
    cover: Cover | None = None,
    pressure: ArrayLike = SEA_LEVEL,
) -> Loss:
    """Return the loss of `loss_per_metre` split into convection and radiation.

    pi D h (T - T_air) and pi D eps sigma (T⁴ - T_sur⁴), both of the outermost surface

    Parameters
    ----------
    as in `loss_per_metre`: diameter [m], surface_c, air_c [°C], wind [m/s], emittance [1],
        surroundings_c [°C], cover, pressure [Pa].

    Returns
    -------
    Loss : [W/m] and the outer temperature [°C], broadcast shape. Under glass the two parts are
        those of the glass's outside, the sum is the pipe's loss.

    Raises
    ------
    ValueError : wind outside 0 to 60 m/s, emittance outside 0 to 1, a pipe wider than its glass.

    Valid for: as `loss_per_metre`.

    Example
    -------
    >>> part = loss_parts(0.022, 55, 22, 0.9, 0.9)
    >>> round(part.total, 1), part.convection > part.radiation
    (65.8, True)

    Source: as `loss_per_metre`.
    """
    size, hot, cold = (
        positive("diameter", diameter, "m"),
        surface(surface_c),
        air_temperature(air_c),
    )
    moving, eps = wind_speed(wind), checked_emittance(emittance)
    if surroundings_c is None:
        surroundings_c = trough_surroundings_c(air_c)
    around = surface(surroundings_c, "surroundings temperature")
    local = air_pressure(pressure)
    outer = hot
    if cover is not None:
        if not isinstance(cover, Cover):
            raise ValueError(f"The cover is {cover!r}; give a heat.Cover, or None for a bare pipe.")
        if np.any(np.asarray(cover.inner_diameter) <= size):
            raise ValueError(
                f"The pipe is {np.max(size):g} m thick; it does not fit into a glass tube "
                f"{np.min(cover.inner_diameter):g} m wide inside; take a wider one."
            )
        outer = _glass_temperature(size, hot, cold, moving, eps, around, local, cover)
        size, eps = np.asarray(cover.outer_diameter), np.asarray(cover.emittance)
    carried, radiated = _bare(size, outer, cold, moving, eps, around, local)
    return Loss(plain(carried), plain(radiated), plain(outer - ZERO))


def loss_per_metre(
    diameter: ArrayLike,
    surface_c: ArrayLike,
    air_c: ArrayLike,
    wind: ArrayLike,
    emittance: ArrayLike,
    surroundings_c: ArrayLike | None = None,
    cover: Cover | None = None,
    pressure: ArrayLike = SEA_LEVEL,
) -> Array:
    """Return the heat that one metre of pipe loses.

    pi D [h (T - T_air) + eps sigma (T⁴ - T_sur⁴)]; under glass, what the glass passes on

    Parameters
    ----------
    diameter : outside diameter of the pipe [m].
    surface_c, air_c : [°C]. wind : at the pipe, not the forecast [m/s]. emittance : [1].
    surroundings_c : what the pipe radiates to [°C]; left out, `trough_surroundings_c`.
    cover : a glass tube around the pipe, or None. pressure : of the air, absolute [Pa].

    Returns
    -------
    [W/m], broadcast shape; negative for a pipe that gains heat.

    Raises
    ------
    ValueError : wind outside 0 to 60 m/s, emittance outside 0 to 1, a pipe wider than its glass.

    Valid for: cross wind, +-20 %; flow inside a trough is not quite cross wind.

    Example
    -------
    >>> round(loss_per_metre(0.022, 55, 22, 0.9, 0.9), 1)
    65.8

    Source: Churchill & Chu 1975 and Churchill & Bernstein 1977 (`convection`), Swinbank 1963
    (`radiation`), Raithby & Hollands 1975 (`gap`).
    """
    weather = air_c, wind, emittance, surroundings_c, cover, pressure
    return loss_parts(diameter, surface_c, *weather).total


def wind_at_tube(site_wind: ArrayLike, shelter: ArrayLike = reference.WIND_SHELTER.value) -> Array:
    """Return the wind that reaches the pipe behind its mirror: wind at the site × shelter.

    Parameters
    ----------
    site_wind : at the height of the trough [m/s]; a forecast for 10 m times
        `reference.WIND_AT_ONE_METRE`. shelter : share left [1], 0.3 to 1. Broadcastable.

    Returns
    -------
    [m/s], broadcast shape.

    Raises
    ------
    ValueError : a wind outside 0 to 60 m/s, a shelter outside 0 to 1.

    Valid for: a first guess; the heating test fits the shelter.

    Example
    -------
    >>> round(wind_at_tube(1.5), 2)
    0.9

    Source: common practice, no source.
    """
    hint = "share of the wind that is left, 0 to 1"
    return plain(wind_speed(site_wind) * within("shelter", shelter, 0, 1, "", hint))


def wall_excess(flux: ArrayLike) -> Array:
    """Return by how much the pipe's wall is warmer than its water, 2 K (q/1 kW/m²)^0.8.

    Parameters
    ----------
    flux : q, absorbed power / inside area of the lit pipe [W/m2].

    Returns
    -------
    [K], same shape.

    Raises
    ------
    ValueError : a flux outside 0 to 100 kW/m2.

    Valid for: an order of magnitude. 350 W on 0.9 m of 22 mm pipe make some 8 K.

    Example
    -------
    >>> wall_excess(1000)
    2.0

    Source: laminar natural convection in 40 °C water, recomputed; no measurement.
    """
    return plain(2.0 * (within("flux", flux, 0, 1e5, "W/m2") / 1000) ** 0.8)
