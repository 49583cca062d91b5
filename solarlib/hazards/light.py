"""What does concentrated light do to skin, eyes and wood, and how far past the line?

In: the trough's curve, reflectance, beam, a flux that must not be exceeded. Out:
distance past the line where the beam has thinned to it, exposure limits, ignition.

A glint is an image of the sun: as bright as the sun, and from below. Nobody looks
along the mirror or at the line, whatever these limits say.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.hazards.finding import Finding, duration

DIRECTIVE = "Directive 2006/25/EC Annex I, read in an instrument manual"
_SKIN_DOSE = 20000.0  # J/m2 s^-0.25: H = 20000 t^0.25, index o
_EYE_RATE = 18000.0  # W/m2 s^0.75: E = 18000 t^-0.75, infrared to the eye
_EYE_LONG = 100.0  # W/m2 beyond 1000 s


def _irradiance(value: ArrayLike) -> NDArray:
    return positive("irradiance", value, "W/m2", "one sun is about 900")


# --- skin and eye ------------------------------------------------------------------------------
def skin_exposure_limit_s(irradiance: ArrayLike) -> Array:
    """Return how long bright light may fall on skin: t = (20000/E)^(4/3), from H = 20000 t^0.25.

    Parameters
    ----------
    irradiance : on the skin [W/m2].

    Returns
    -------
    [s], same shape; nan below 3557 W/m2, where the rule's 10 s are over and it says nothing:
    see `pain_time_s`.

    Example
    -------
    >>> round(skin_exposure_limit_s(10_000), 1)
    2.5

    Source: Directive 2006/25/EC Annex I, index o, read in an instrument manual.
    """
    seconds = (_SKIN_DOSE / _irradiance(irradiance)) ** (4 / 3)
    return plain(np.where(seconds <= 10 * (1 + 1e-12), seconds, np.nan))


def skin_exposure(irradiance: float) -> Finding:
    """Say how long light of an irradiance [W/m2] may fall on skin: limit [s], nan when unknown."""
    seconds = skin_exposure_limit_s(float(irradiance))
    bright = f"{irradiance / 1000:.3g} kW/m² on the skin"
    sentence = f"{bright}: the exposure limit is reached after {duration(seconds)}."
    if np.isnan(seconds):
        pain = pain_time_s(float(irradiance))
        sentence = f"{bright}: the rule covers 10 s and gives no limit here, which is no clearance"
        sentence += "." if np.isnan(pain) else f"; pain comes after about {duration(pain)}."
    return Finding(seconds, "s", DIRECTIVE, reference.COPY, sentence)


def eye_irradiance_limit(exposure_s: ArrayLike) -> Array:
    """Return the infrared the eye's front may get: E = 18000 t^-0.75, 100 W/m2 beyond 1000 s.

    Parameters
    ----------
    exposure_s : duration [s].

    Returns
    -------
    [W/m2], same shape. This is about heat at the cornea; the retina is hurt by a glint long
    before. It permits nobody to look.

    Source: Directive 2006/25/EC Annex I, infrared, read in an instrument manual.
    """
    time = positive("exposure", exposure_s, "s")
    return plain(np.where(time <= 1000, _EYE_RATE * time**-0.75, _EYE_LONG))


def _time_to(table: tuple[tuple[float, float], ...], irradiance: ArrayLike) -> Array:
    flux, seconds = (np.log(column) for column in zip(*table, strict=True))
    log_time = np.interp(np.log(_irradiance(irradiance)), flux, seconds, left=np.nan, right=np.nan)
    return plain(np.exp(log_time))


def pain_time_s(irradiance: ArrayLike) -> Array:
    """Return the time until bare skin hurts [s]; log-log between 2 and 10 kW/m2, nan outside.

    Source: Handbook of Chemical Hazard Analysis Procedures 1989, read in a copy.
    """
    return _time_to(reference.HEAT_FLUX_PAIN, irradiance)


def blister_time_s(irradiance: ArrayLike) -> Array:
    """Return the time until bare skin blisters [s]; log-log between 5 and 10 kW/m2, nan outside.

    Source: Handbook of Chemical Hazard Analysis Procedures 1989, read in a copy.
    """
    return _time_to(reference.HEAT_FLUX_BLISTER, irradiance)


# --- past the line -----------------------------------------------------------------------------
def _distance_to_focus(p: Any, part: str) -> NDArray:
    if part not in ("rim", "centre"):
        raise ValueError(f"part is {part!r}; use “rim” (reaches farthest) or “centre”.")
    x = np.asarray(p.aperture_width, float) / 2 if part == "rim" else 0.0
    return np.asarray(p.focal_distance(x), float)


def beam_distance(
    p: Any, reflectance: ArrayLike, beam: ArrayLike, flux_limit: ArrayLike, part: str = "rim"
) -> Array:
    """Return how far past the line the light has thinned out to a limit: s = rho G r/q.

    Beyond the focus the rays of a strip at distance r fan out, dx = r dphi, so the flux falls
    as 1/s, not as 1/s².

    Parameters
    ----------
    p : the curve (geometry.Parabola).
    reflectance : share of light reflected, 0 to 1. beam : direct sun [W/m2].
    flux_limit : irradiance to stay below [W/m2]. part : strip of the mirror, "rim" or "centre".

    Returns
    -------
    [m] from the line, broadcast shape; nan closer than the width of the sun's image
    (2 tan 0.266°, about 1 % of r), where the law doesn't hold and everything burns.

    Valid for: a perfect mirror, the upper bound; waves in the sheet spread the light more.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> curve = Parabola(focal_length=0.170, aperture_width=0.640)
    >>> round(beam_distance(curve, 0.85, 900, 4300) * 1000)
    57

    Source: fan of rays of an ideal mirror, recomputed by ray trace in the tests.
    """
    light = within("reflectance", reflectance, 0, 1, "", "a share, 0.85 for a clean mirror") * (
        _irradiance(beam)
    )
    radius = _distance_to_focus(p, part)
    distance = light * radius / positive("flux limit", flux_limit, "W/m2")
    return plain(np.where(distance >= _image_width(radius), distance, np.nan))


def beam_flux(
    p: Any, reflectance: ArrayLike, beam: ArrayLike, distance: ArrayLike, part: str = "rim"
) -> Array:
    """Return the irradiance at a distance [m] past the line: q = rho G r/s [W/m2].

    Nan closer than the width of the sun's image; see `beam_distance`.
    """
    light = within("reflectance", reflectance, 0, 1, "", "a share, 0.85 for a clean mirror") * (
        _irradiance(beam)
    )
    radius = _distance_to_focus(p, part)
    past = positive("distance", distance, "m")
    return plain(np.where(past >= _image_width(radius), light * radius / past, np.nan))


def _image_width(radius: NDArray) -> NDArray:
    return 2 * radius * np.tan(np.radians(reference.SUN_HALF_ANGLE_DEG.value))


def ignition(irradiance: float) -> Finding:
    """Say what light of an irradiance [W/m2] does to wood: share of the least that ever lit it.

    Below 1 is no clearance: the limit comes from one study, and wood that stays at 77 °C or
    more for long can heat itself to ignition.
    """
    flux, limit = float(_irradiance(irradiance)), reference.WOOD_IGNITION_FLUX
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
