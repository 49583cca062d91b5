"""How must the trough be tilted, and how obliquely does the light come in?

In: latitude, declination, hour angle, the direction of the trough's axis. Out:
tilt, incidence, the sun's height in the section. How long a tilt lasts, `drift`
says.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, within
from solarlib.sun.clock import latitude
from solarlib.sun.position import checked_declination, sun_vector, wrap180

AXES = {"east-west": 0.0, "north-south": 90.0}  # turn of the axis from east-west, clockwise [deg]


def checked_hour_angle(value: ArrayLike) -> NDArray:
    """Return a checked hour angle [deg]."""
    return within("hour angle", value, -180, 180, "deg", "15° an hour, negative in the morning")


def incidence_deg(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    tilt_deg: ArrayLike,
    surface_azimuth_deg: ArrayLike,
) -> Array:
    """Return the angle between the sun and the normal of a tilted flat surface: cos t = s . n.

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    tilt_deg : from horizontal [deg], 0 to 180.
    surface_azimuth_deg : where the surface faces, clockwise from north [deg].

    Returns
    -------
    [deg], 0 to 180, broadcast shape; above 90 the sun is behind the surface.

    Raises
    ------
    ValueError : an angle outside its range, such as a declination beyond ±24 deg.

    Valid for: any place and surface; the horizon is not looked at.

    Example
    -------
    >>> round(incidence_deg(43, -14, -22.5, tilt_deg=45, surface_azimuth_deg=195), 2)
    35.18

    Source: vector form of Duffie & Beckman, equation 1.6.2; worked example 1.6.1.
    """
    sun = sun_vector(
        latitude(latitude_deg), checked_declination(declination_deg), checked_hour_angle(hour_angle_deg)
    )
    tilt = np.radians(within("tilt", tilt_deg, 0, 180, "deg", "0 looks straight up"))
    facing = np.radians(
        within("surface azimuth", surface_azimuth_deg, -360, 360, "deg", "clockwise from north")
    )
    normal = np.sin(tilt) * np.sin(facing), np.sin(tilt) * np.cos(facing), np.cos(tilt)
    along = sum(s * n for s, n in zip(sun, normal, strict=True))
    # the part of the sun across the normal keeps small angles exact, where acos loses digits
    s, n = (np.stack(np.broadcast_arrays(*parts), axis=-1) for parts in (sun, normal))
    across = np.linalg.norm(np.cross(s, n), axis=-1)
    return plain(np.degrees(np.arctan2(across, along)))


@dataclass(frozen=True)
class TroughAngles:
    """The tilt that puts the sun on the tube, and how obliquely the light runs along it.

    tilt_deg from looking straight up: positive toward the equator for an east-west axis (at the
    equator itself toward the south), positive toward the west for a north-south axis;
    tilt_to_south_deg the same with one sign everywhere (nan for a north-south axis);
    incidence_deg between the light and the plane across the tube, 0 to 90;
    sun_is_up False where the sun is at or below the horizon and the angles serve nobody.
    """

    tilt_deg: Array
    tilt_to_south_deg: Array
    incidence_deg: Array
    sun_is_up: Array


def across_and_along(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    axis_turned_deg: ArrayLike,
    axis_slope_deg: ArrayLike,
) -> tuple[NDArray, NDArray, NDArray]:
    """Return the sun's angle in the plane across the axis, sine along the axis, and height.

    The axis points east, turned clockwise (east end to the south), east end raised by the
    slope; the angle runs from straight up toward the south side.
    """
    east, north, up = sun_vector(
        latitude(latitude_deg), checked_declination(declination_deg), checked_hour_angle(hour_angle_deg)
    )
    turn = np.radians(within("turn of the axis", axis_turned_deg, -180, 180, "deg", "clockwise"))
    slope = np.radians(
        within("slope of the axis", axis_slope_deg, -60, 60, "deg", "east end up is positive")
    )
    level = east * np.cos(turn) - north * np.sin(turn)  # along the axis, seen from above
    side = -east * np.sin(turn) - north * np.cos(turn)  # toward the south side
    along = level * np.cos(slope) + up * np.sin(slope)
    upright = up * np.cos(slope) - level * np.sin(slope)
    return np.degrees(np.arctan2(side, upright)), along, up


def trough_angles(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    axis: str = "east-west",
    axis_turned_deg: ArrayLike = 0.0,
    axis_slope_deg: ArrayLike = 0.0,
) -> TroughAngles:
    """Return the tilt that keeps the sun on the tube, and the incidence that remains.

    East-west: tilt = atan2(s_equator, s_up), sin(incidence) = cos d |sin w|.

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    axis : "east-west" or "north-south", level.
    axis_turned_deg : mistake in direction [deg], clockwise seen from above.
    axis_slope_deg : mistake in level [deg], positive with the east end up (or the south end).

    Returns
    -------
    TroughAngles : [deg], broadcast shape.

    Raises
    ------
    ValueError : an unknown axis, an angle outside its range.

    Valid for: a straight axis; a sun below the horizon is told by `sun_is_up`.

    Example
    -------
    >>> noon = trough_angles(38.0, 23.44, 0.0)
    >>> round(noon.tilt_deg, 2), noon.incidence_deg
    (14.56, 0.0)

    Source: Duffie & Beckman, section 1.7 (one-axis tracking); worked example 1.7.1.
    """
    if axis not in AXES:
        raise ValueError(f"axis is “{axis}”; use {' or '.join(AXES)}.")
    turned = wrap180(AXES[axis] + np.asarray(axis_turned_deg, float))
    toward_south, along, up = across_and_along(
        latitude_deg, declination_deg, hour_angle_deg, turned, axis_slope_deg
    )
    incidence = np.degrees(np.arcsin(np.clip(np.abs(along), 0, 1)))
    up_now = np.broadcast_to(up > 0, np.shape(toward_south))
    if axis == "east-west":
        tilt = toward_south * np.where(np.asarray(latitude_deg, float) < 0, -1.0, 1.0)
        south = toward_south
    else:
        tilt, south = toward_south, np.full_like(toward_south, np.nan)
    return TroughAngles(
        tilt_deg=plain(tilt),
        tilt_to_south_deg=plain(south),
        incidence_deg=plain(incidence),
        sun_is_up=bool(up_now) if up_now.ndim == 0 else up_now.copy(),
    )


def noon_tilt_deg(latitude_deg: ArrayLike, declination_deg: ArrayLike) -> Array:
    """Return the tilt from straight up at solar noon, toward the equator: |latitude| -+ d.

    Parameters
    ----------
    latitude_deg, declination_deg : [deg], broadcastable.

    Returns
    -------
    [deg], broadcast shape; negative where the noon sun stands on the pole's side, as it does in
    the tropics.

    Raises
    ------
    ValueError : a latitude beyond ±90 deg, a declination beyond ±24 deg.

    Valid for: a level axis along east-west.

    Example
    -------
    >>> round(noon_tilt_deg(-34.0, -23.4), 1)
    10.6

    Source: height of the noon sun, 90 - |latitude - declination|.
    """
    lat, d = latitude(latitude_deg), checked_declination(declination_deg)
    return plain((lat - d) * np.where(lat < 0, -1.0, 1.0))


def profile_angle_deg(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    facing_azimuth_deg: ArrayLike = 180.0,
) -> Array:
    """Return the sun's height as seen in the section of a trough, wall or canopy.

    tan(profile) = tan(height) / cos(sun azimuth - facing azimuth)

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    facing_azimuth_deg : horizontal direction across the axis, clockwise from north [deg];
        180 (south) for an axis along east-west.

    Returns
    -------
    [deg], -180 to 180, broadcast shape, from the facing horizon; 90 minus it is the tilt toward
    that side.

    Raises
    ------
    ValueError : an angle outside its range.

    Valid for: a level axis.

    Example
    -------
    >>> round(profile_angle_deg(43, -2.4, 60, facing_azimuth_deg=205), 2)
    25.62

    Source: Duffie & Beckman, equation 1.6.12 (number from memory); worked example 1.6.3.
    """
    turned = wrap180(np.asarray(facing_azimuth_deg, float) - 180)
    tilt, _, _ = across_and_along(latitude_deg, declination_deg, hour_angle_deg, turned, 0.0)
    return plain(wrap180(90 - tilt))
