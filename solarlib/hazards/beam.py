"""How far past the line does concentrated light still burn, and what does it do to wood?

In: the trough's curve, reflectance, beam, a flux that must not be exceeded. Out:
distance past the line where the beam has thinned to it, the flux at a distance,
what a flux does to wood.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.hazards.finding import Finding
from solarlib.hazards.light import checked_irradiance
from solarlib.optics import sun_image_width


def _fan(
    p: Any, reflectance: ArrayLike, beam: ArrayLike, part: str
) -> tuple[NDArray, NDArray]:
    """Strength rho G r of the fan of rays [W/m], and the image's width, where it begins [m]."""
    if part not in ("rim", "centre"):
        raise ValueError(f"part is {part!r}; use “rim” (reaches farthest) or “centre”.")
    x = np.asarray(p.aperture_width, float) / 2 if part == "rim" else 0.0
    radius = np.asarray(p.focal_distance(x), float)
    light = within("reflectance", reflectance, 0, 1, "", "a share, 0.85 for a clean mirror")
    return light * checked_irradiance(beam) * radius, np.asarray(sun_image_width(radius))


def beam_distance(
    p: Any, reflectance: ArrayLike, beam: ArrayLike, flux_limit: ArrayLike, part: str = "rim"
) -> Array:
    """Return how far past the line the light has thinned out to a limit: s = rho G r/q.

    Beyond the focus the rays of a strip at distance r fan out, dx = r dphi, so the flux falls
    as 1/s, not as 1/s².

    Parameters
    ----------
    p : the curve (geometry.Parabola).
    reflectance : share of light reflected rho, 0 to 1. beam : direct sun G [W/m2].
    flux_limit : irradiance q to stay below [W/m2]. part : strip of the mirror, "rim" or "centre".

    Returns
    -------
    [m] from the line, broadcast shape; nan closer than the width of the sun's image
    (2 tan 0.266°, about 1 % of r), where the law doesn't hold and everything burns.

    Raises
    ------
    ValueError : a reflectance outside 0 to 1, a beam or limit not above zero, an unknown part.

    Valid for: a perfect mirror, the upper bound; waves in the sheet spread the light more.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> curve = Parabola(focal_length=0.170, aperture_width=0.640)
    >>> round(beam_distance(curve, 0.85, 900, 4300) * 1000)
    57

    Source: fan of rays of an ideal mirror, recomputed by ray trace in the tests.
    """
    strength, nearest = _fan(p, reflectance, beam, part)
    distance = strength / positive("flux limit", flux_limit, "W/m2")
    return plain(np.where(distance >= nearest, distance, np.nan))


def beam_flux(
    p: Any, reflectance: ArrayLike, beam: ArrayLike, distance: ArrayLike, part: str = "rim"
) -> Array:
    """Return the irradiance at a distance past the line: q = rho G r/s.

    Parameters
    ----------
    p : the curve (geometry.Parabola).
    reflectance : share of light reflected rho, 0 to 1. beam : direct sun G [W/m2].
    distance : s from the line [m]. part : strip of the mirror, "rim" or "centre".

    Returns
    -------
    [W/m2], broadcast shape; nan closer than the width of the sun's image, as `beam_distance`.

    Raises
    ------
    ValueError : a reflectance outside 0 to 1, a beam or distance not above zero, an unknown part.

    Valid for: a perfect mirror, the upper bound.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> curve = Parabola(focal_length=0.170, aperture_width=0.640)
    >>> round(beam_flux(curve, 0.85, 900, 0.057), -2)
    4300.0

    Source: see `beam_distance`, whose inverse it is.
    """
    strength, nearest = _fan(p, reflectance, beam, part)
    past = positive("distance", distance, "m")
    return plain(np.where(past >= nearest, strength / past, np.nan))


def ignition(irradiance: float) -> Finding:
    """Say what light of an irradiance does to wood, as a share of the least that ever lit it.

    share = irradiance / 4.3 kW/m²

    Parameters
    ----------
    irradiance : on the wood [W/m2].

    Returns
    -------
    Finding : share [1] and a sentence. Below 1 is no clearance.

    Raises
    ------
    ValueError : an irradiance that is not above zero.

    Valid for: the limit of one study; wood that stays at 77 °C or more for long can heat itself
    to ignition.

    Example
    -------
    >>> ignition(4300).value
    1.0

    Source: Babrauskas, Interflam 2001 (abstract); Fire and Materials 31 (2007) 125 (abstract).
    """
    flux, limit = float(checked_irradiance(irradiance)), reference.WOOD_IGNITION_FLUX
    share = flux / limit.value
    if share >= 1:
        what = "can set wood alight, if it stays long enough"
        if flux >= reference.WOOD_SHORT_FLUX.value:
            what = "can set wood alight within minutes"
    else:
        what = (
            f"is {100 * share:.0f} % of the least that lit wood in a test; that is no clearance, "
            f"for wood kept above {reference.WOOD_LONG_CONTACT_C.value:.0f} °C can heat itself"
        )
    sentence = f"{flux / 1000:.3g} kW/m² {what}. Keep wood, cloth and hose out of it."
    return Finding(share, "1", limit.source, limit.status, sentence)
