"""How long may concentrated light fall on skin, and what may an eye get?

In: irradiance, duration. Out: exposure limits, the time until skin hurts or
blisters.

A glint is an image of the sun: as bright as the sun, and from below. Nobody looks
along the mirror or at the line, whatever these limits say.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive
from solarlib.hazards.finding import Finding, duration

DIRECTIVE = "Directive 2006/25/EC Annex I, read in an instrument manual"
_SKIN_DOSE = 20000.0  # J/m2 s^-0.25: H = 20000 t^0.25, index o
_EYE_RATE = 18000.0  # W/m2 s^0.75: E = 18000 t^-0.75, infrared to the eye
_EYE_LONG = 100.0  # W/m2 beyond 1000 s


def checked_irradiance(value: ArrayLike) -> NDArray:
    """Return a checked irradiance [W/m2]."""
    return positive("irradiance", value, "W/m2", "one sun is about 900")


def skin_exposure_limit_s(irradiance: ArrayLike) -> Array:
    """Return how long bright light may fall on skin: t = (20000/E)^(4/3), from H = 20000 t^0.25.

    Parameters
    ----------
    irradiance : on the skin E [W/m2], any shape.

    Returns
    -------
    [s], same shape; nan below 3557 W/m2, where the rule's 10 s are over and it says nothing:
    see `pain_time_s`.

    Raises
    ------
    ValueError : an irradiance that is not above zero.

    Valid for: up to 10 s.

    Example
    -------
    >>> round(skin_exposure_limit_s(10_000), 1)
    2.5

    Source: Directive 2006/25/EC Annex I, index o, read in an instrument manual.
    """
    seconds = (_SKIN_DOSE / checked_irradiance(irradiance)) ** (4 / 3)
    return plain(np.where(seconds <= 10 * (1 + 1e-12), seconds, np.nan))


def skin_exposure(irradiance: float) -> Finding:
    """Say how long light of an irradiance may fall on skin.

    t = (20000/E)^(4/3); where that rule is silent, the time until it hurts

    Parameters
    ----------
    irradiance : on the skin E [W/m2].

    Returns
    -------
    Finding : limit [s], nan when unknown, and a sentence.

    Raises
    ------
    ValueError : an irradiance that is not above zero.

    Valid for: up to 10 s; no limit given is no clearance.

    Example
    -------
    >>> skin_exposure(5000).sentence
    '5 kW/m² on the skin: the exposure limit is reached after 6.3 s.'

    Source: Directive 2006/25/EC Annex I, index o, read in an instrument manual.
    """
    seconds = skin_exposure_limit_s(float(irradiance))
    bright = f"{irradiance / 1000:.3g} kW/m² on the skin"
    sentence = f"{bright}: the exposure limit is reached after {duration(seconds)}."
    source = DIRECTIVE
    if np.isnan(seconds):
        pain = pain_time_s(float(irradiance))
        sentence = f"{bright}: the rule covers 10 s and gives no limit here, which is no clearance"
        if not np.isnan(pain):
            sentence += f"; pain comes after about {duration(pain)}"
            source += f"; pain: {reference.HEAT_FLUX_SOURCE}"
        sentence += "."
    return Finding(seconds, "s", source, reference.COPY, sentence)


def eye_irradiance_limit(exposure_s: ArrayLike) -> Array:
    """Return the infrared the eye's front may get: E = 18000 t^-0.75, 100 W/m2 beyond 1000 s.

    Parameters
    ----------
    exposure_s : duration t [s], any shape.

    Returns
    -------
    [W/m2], same shape.

    Raises
    ------
    ValueError : a duration that is not above zero.

    Valid for: heat at the cornea; the retina is hurt by a glint long before. It permits nobody
    to look.

    Example
    -------
    >>> round(eye_irradiance_limit(100))
    569

    Source: Directive 2006/25/EC Annex I, infrared, read in an instrument manual.
    """
    time = positive("exposure", exposure_s, "s")
    return plain(np.where(time <= 1000, _EYE_RATE * time**-0.75, _EYE_LONG))


def _time_to(table: tuple[tuple[float, float], ...], irradiance: ArrayLike) -> Array:
    flux, seconds = (np.log(column) for column in zip(*table, strict=True))
    log_time = np.interp(np.log(checked_irradiance(irradiance)), flux, seconds, left=np.nan, right=np.nan)
    return plain(np.exp(log_time))


def pain_time_s(irradiance: ArrayLike) -> Array:
    """Return the time until bare skin hurts, log-log between the rows of a table.

    Parameters
    ----------
    irradiance : on the skin [W/m2], any shape.

    Returns
    -------
    [s], same shape; nan outside the table.

    Raises
    ------
    ValueError : an irradiance that is not above zero.

    Valid for: 2 to 10 kW/m2.

    Example
    -------
    >>> round(pain_time_s(5000))
    13

    Source: Handbook of Chemical Hazard Analysis Procedures 1989, read in a copy.
    """
    return _time_to(reference.HEAT_FLUX_PAIN, irradiance)


def blister_time_s(irradiance: ArrayLike) -> Array:
    """Return the time until bare skin blisters, log-log between the rows of a table.

    Parameters
    ----------
    irradiance : on the skin [W/m2], any shape.

    Returns
    -------
    [s], same shape; nan outside the table.

    Raises
    ------
    ValueError : an irradiance that is not above zero.

    Valid for: 5 to 10 kW/m2.

    Example
    -------
    >>> round(blister_time_s(10_000))
    14

    Source: Handbook of Chemical Hazard Analysis Procedures 1989, read in a copy.
    """
    return _time_to(reference.HEAT_FLUX_BLISTER, irradiance)
