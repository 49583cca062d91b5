"""How much sunlight a design takes up, under its usual sun or on a given day.

In: a `HeaterDesign`, and a date or an instant. Out: beam and slant, the share
caught, watts, how long a setting lasts within a session.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solarlib import optics, sun
from solarlib.design.heater import HeaterDesign
from solarlib.sun.clock import as_utc, is_date

_LONGEST = 4 * 3600.0  # a warm-up is followed for at least this long [s]


def session_start(d: HeaterDesign, when: Any) -> Any:
    """The instant meant, in UTC: a plain date starts an hour before solar noon."""
    if is_date(when):
        return as_utc(sun.solar_noon(when, d.longitude_deg)) - np.timedelta64(1, "h")
    return as_utc(when)


def sun_then(d: HeaterDesign, when: Any, seconds: NDArray) -> tuple[NDArray, NDArray]:
    """Beam [W/m²] and slant [deg] at times after the start; the clear-sky beam at noon scales."""
    instants = session_start(d, when) + (seconds * 1e6).astype("timedelta64[us]")
    place = sun.position(instants, d.latitude_deg, d.longitude_deg)
    angles = sun.trough_angles(
        d.latitude_deg, place.declination_deg, place.hour_angle_deg, axis=d.axis
    )
    noon = 90 - abs(d.latitude_deg - float(place.declination_deg[0]))
    clear = sun.clear_sky_beam(sun.air_mass(90 - place.elevation_deg), d.elevation)
    at_noon = sun.clear_sky_beam(sun.air_mass(90 - max(noon, 0.0)), d.elevation)
    beam = d.beam_noon * clear / at_noon if at_noon > 0 else np.zeros_like(clear)
    return beam, np.asarray(angles.incidence_deg)


def share(d: HeaterDesign, misaim_deg: Any, incidence_deg: Any) -> Any:
    """Return the share of the light that the design's pipe catches [1]."""
    inputs = (d.curve, d.tube_diameter, d.slope_error_mrad, d.tube_dx, d.tube_dy)
    if isinstance(misaim_deg, float) and isinstance(incidence_deg, float):
        return _one_share(*inputs, misaim_deg, incidence_deg)
    return _share(*inputs, misaim_deg, incidence_deg)


def _share(
    curve: Any, diameter: float, slope: float, dx: float, dy: float, misaim: Any, incidence: Any
) -> Any:
    return optics.intercept_factor(curve, diameter, slope_error_mrad=slope, misaim_deg=misaim,
                                   tube_dx=dx, tube_dy=dy, incidence_deg=incidence)  # fmt: skip


# many designs are compared of which one input differs: most of them share their light
_one_share = lru_cache(maxsize=256)(_share)


def share_off(d: HeaterDesign, misaim_deg: Any) -> Any:
    """Return the share caught square to the sun and off to the worse side by `misaim_deg` [1]."""
    misaim = np.asarray(misaim_deg, float)
    worse = np.minimum(share(d, misaim, 0.0), share(d, -misaim, 0.0))
    return worse if worse.ndim else float(worse)


def power(d: HeaterDesign, beam: Any, incidence_deg: Any) -> optics.PipePower:
    """Power that the pipe takes up under a beam [W/m²] at a slant [deg]."""
    return optics.pipe_power(
        d.curve,
        d.tube_diameter,
        d.trough_length,
        d.tube_length,
        beam,
        d.reflectance_used,
        d.absorptance,
        share(d, d.usual_misaim_deg, incidence_deg),
        optics.end_effect(d.curve, d.tube_diameter, d.trough_length, d.overhang, incidence_deg),
        incidence_deg,
        d.cover_transmittance if d.glass else 1.0,
    )


def power_in_time(d: HeaterDesign, when: Any) -> Callable[[float], Any] | float:
    """Power absorbed [W]: one number under the usual sun, a function of time [s] on a day."""
    if when is None:
        return float(power(d, d.beam_noon, d.usual_incidence_deg).total)
    seconds = np.arange(0.0, duration(d) + 301, 300.0)
    total = np.asarray(power(d, *sun_then(d, when, seconds)).total)
    return lambda t: np.interp(t, seconds, total)


def duration(d: HeaterDesign) -> float:
    """Return how long the warm-up is followed [s]."""
    return max(_LONGEST, 1.5 * d.latest_time)


def per_lit_metre(d: HeaterDesign, beam: float, reflectance: float, slope_mrad: float) -> float:
    """Power absorbed on one metre of pipe in full light [W/m], well aimed and square to the sun."""
    caught = optics.intercept_factor(
        d.curve, d.tube_diameter, slope_mrad, tube_dx=d.tube_dx, tube_dy=d.tube_dy
    )
    glass = d.cover_transmittance if d.glass else 1.0
    return float(
        optics.pipe_power(
            d.curve, d.tube_diameter, 1.0, 1.0, beam, reflectance, d.absorptance, caught,
            transmittance=glass,
        ).total
    )  # fmt: skip


@lru_cache(maxsize=64)
def _declinations(months: tuple[int, ...]) -> NDArray:
    """Declination [deg] on three days of every month of use; years differ by less than 0.2 deg."""
    days = [f"2026-{month:02d}-{day:02d}T12:00" for month in months for day in (1, 11, 21)]
    return np.asarray(sun.declination_deg(np.array(days, dtype="datetime64[m]")))


def least_noon_beam(d: HeaterDesign) -> float:
    """Clear-sky beam [W/m²] at solar noon on the worst day of use."""
    zenith = np.abs(d.latitude_deg - _declinations(d.months))  # up to 60° north or south
    return float(np.min(sun.clear_sky_beam(sun.air_mass(zenith), d.elevation)))


def session_incidence_deg(d: HeaterDesign) -> float:
    """Largest slant along the trough [deg] within the session, over the months of use.

    A session longer than the day ends with the sun on the horizon, where the slant is largest.
    """
    angles = _in_session(d, np.array([-1.0, 0.0, 1.0]))[1]
    return float(np.max(np.where(angles.sun_is_up, angles.incidence_deg, 0.0)))


def _in_session(d: HeaterDesign, share: NDArray) -> tuple[NDArray, sun.TroughAngles]:
    """Hours from noon and angles at shares of the session, -1 to 1; columns: days of use."""
    declination = _declinations(d.months)
    half_day = np.asarray(sun.day_length_h(d.latitude_deg, declination)) / 2
    hours = share[:, None] * np.minimum(d.session_half_h, (1 - 1e-6) * half_day)
    return hours, sun.trough_angles(d.latitude_deg, declination, 15 * hours, axis=d.axis)


def minutes_in_band(d: HeaterDesign) -> float:
    """Minutes a setting lasts within the session's aim share, on the worst day of use.

    A level north-south axis turns faster than the sun's 15° an hour where the sun stands low.
    """
    if d.axis == "north-south":
        hours, angles = _in_session(d, np.linspace(-1.0, 1.0, 101))
        turned, span = np.abs(np.diff(angles.tilt_deg, axis=0)), np.diff(hours, axis=0)
        usable = angles.sun_is_up[1:] & angles.sun_is_up[:-1]
        fastest = float(np.max(turned / np.maximum(span, 1e-9), where=usable, initial=15.0))
        return 60 * 2 * d.aim_session_deg / fastest
    hours = sun.hours_in_focus(_declinations(d.months), d.aim_session_deg, biased=True)
    return 120.0 * float(np.min(hours))


def tilt_range_deg(d: HeaterDesign) -> tuple[float, float]:
    """Least and largest tilt [deg] that the lock must hold over the months of use.

    From straight up: toward the equator, or west for a north-south axis. East-west: the noon tilts
    of every day, and the session's share of the aim beyond; north-south: what the sessions need.
    """
    if d.axis == "north-south":
        angles = _in_session(d, np.linspace(-1.0, 1.0, 101))[1]
        most = float(np.max(np.abs(angles.tilt_deg), where=angles.sun_is_up, initial=0.0))
        return -most - d.aim_session_deg, most + d.aim_session_deg
    days = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[D]")
    month = days.astype("datetime64[M]").astype(int) % 12 + 1
    noons = days[np.isin(month, d.months)].astype("datetime64[h]") + np.timedelta64(12, "h")
    tilts = sun.noon_tilt_deg(d.latitude_deg, sun.declination_deg(noons))
    return float(np.min(tilts)) - d.aim_session_deg, float(np.max(tilts)) + d.aim_session_deg
