"""How must the trough be tilted, how obliquely does the light come in, how long does a tilt last?

In: latitude, declination, hour angle, the direction of the trough's axis. Out:
tilt and incidence, the drift off the tube within a day, hours in focus.

The key result: a trough along east-west that is set at noon drifts by
atan(tan d / cos w) - d, whatever the latitude. Near the equinox the date matters
and the hour does not; at the solstice it is the other way round.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, within
from solarlib.sun.clock import latitude
from solarlib.sun.position import checked_declination, sun_vector, wrap180

AXES = {"east-west": 0.0, "north-south": 90.0}  # turn of the axis from east-west, clockwise [deg]


def _hour_angle(value: ArrayLike) -> NDArray:
    return within("hour angle", value, -180, 180, "deg", "15° an hour, negative in the morning")


def _tolerance(value: ArrayLike) -> NDArray:
    hint = "how far the aim may be off on each side"
    return within("aim tolerance", value, 0, 45, "deg", hint)


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

    Source: vector form of Duffie & Beckman, equation 1.6.2.
    """
    sun = sun_vector(
        latitude(latitude_deg), checked_declination(declination_deg), _hour_angle(hour_angle_deg)
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


def _across_and_along(
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
        latitude(latitude_deg), checked_declination(declination_deg), _hour_angle(hour_angle_deg)
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
    toward_south, along, up = _across_and_along(
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
    """Return the tilt from straight up at solar noon, toward the equator: |latitude| -+ d [deg].

    Negative where the noon sun stands on the pole's side, as it does in the tropics.

    Example
    -------
    >>> round(noon_tilt_deg(-34.0, -23.4), 1)
    10.6
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
    [deg], -180 to 180, from the facing horizon; 90 minus it is the tilt toward that side.

    Source: Duffie & Beckman, equation 1.6.12 (number from memory); worked example 1.6.3.
    """
    turned = wrap180(np.asarray(facing_azimuth_deg, float) - 180)
    tilt, _, _ = _across_and_along(latitude_deg, declination_deg, hour_angle_deg, turned, 0.0)
    return plain(wrap180(90 - tilt))


# --- drift -------------------------------------------------------------------------------------
def east_west_drift_deg(declination_deg: ArrayLike, hour_angle_deg: ArrayLike) -> Array:
    """Return how far the sun has left an east-west trough set at noon: atan(tan d / cos w) - d.

    The same at every latitude. Positive toward the north: so toward the pole in the local
    summer, toward the equator in the local winter.

    Parameters
    ----------
    declination_deg, hour_angle_deg : [deg], broadcastable.

    Returns
    -------
    [deg], broadcast shape.

    Valid for: a level axis along true east-west; declination held for the day (0.2° at worst).

    Source: closed form; the tests compare with the sun's full path at several latitudes.
    """
    d = np.radians(checked_declination(declination_deg))
    w = np.radians(_hour_angle(hour_angle_deg))
    return plain(np.degrees(np.arctan2(np.sin(d), np.cos(d) * np.cos(w)) - d))


def axis_drift_deg(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    axis_turned_deg: ArrayLike = 0.0,
    axis_slope_deg: ArrayLike = 0.0,
) -> Array:
    """Return the drift since noon of an east-west trough whose axis is turned or out of level.

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    axis_turned_deg : clockwise seen from above [deg]. axis_slope_deg : east end up [deg].

    Returns
    -------
    [deg], broadcast shape, positive toward the north, as `east_west_drift_deg`.

    Example
    -------
    >>> round(abs(axis_drift_deg(38.0, 0.0, 15.0, axis_turned_deg=5.0)), 2)
    1.04
    """
    now, _, _ = _across_and_along(
        latitude_deg, declination_deg, hour_angle_deg, axis_turned_deg, axis_slope_deg
    )
    noon, _, _ = _across_and_along(
        latitude_deg, declination_deg, 0.0, axis_turned_deg, axis_slope_deg
    )
    return plain(wrap180(noon - now))


def aim_error_deg(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    tilt_deg: ArrayLike,
    axis_turned_deg: ArrayLike = 0.0,
    axis_slope_deg: ArrayLike = 0.0,
) -> Array:
    """Return how far a tilt is off: tilt needed minus tilt set, positive toward the equator [deg].

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    tilt_deg : the tilt set, from straight up toward the equator [deg].
    axis_turned_deg, axis_slope_deg : mistakes of the axis, see `trough_angles`.
    """
    needed = trough_angles(
        latitude_deg,
        declination_deg,
        hour_angle_deg,
        axis_turned_deg=axis_turned_deg,
        axis_slope_deg=axis_slope_deg,
    )
    return plain(wrap180(needed.tilt_deg - np.asarray(tilt_deg, float)))


def hours_in_focus(
    declination_deg: ArrayLike, tolerance_deg: ArrayLike, biased: bool = False
) -> Array:
    """Return how long before and after noon an east-west trough keeps the sun within a tolerance.

    cos w = tan |d| / tan(|d| + A); aimed off-noon by A, the sun may swing through 2A.

    Parameters
    ----------
    declination_deg : [deg]. tolerance_deg : A, to each side [deg], 0 to 45. Broadcastable.
    biased : False sets the trough on the noon sun; True sets it A ahead, toward the drift.

    Returns
    -------
    [h] each side of noon, broadcast shape. 6 at the equinox: the trough holds all day.

    Valid for: a level east-west axis. A short winter day may end first; see `day_length_h`.

    Example
    -------
    >>> round(hours_in_focus(23.44, 0.7, biased=True) * 60)
    82
    """
    d = np.radians(np.abs(checked_declination(declination_deg)))
    swing = np.radians(_tolerance(tolerance_deg) * (2 if biased else 1))
    # tan d / tan(d + A) written with sines and cosines: no trouble at d = 0 or d + A >= 90°
    top, bottom = np.sin(d) * np.cos(d + swing), np.cos(d) * np.sin(d + swing)
    ratio = np.divide(top, bottom, out=np.zeros(np.shape(top)), where=bottom != 0)
    hours = np.degrees(np.arccos(np.clip(ratio, -1, 1))) / 15
    # nothing moves at d = 0, so even a tolerance of zero lasts until the sun goes behind
    return plain(np.where((d > 0) & (bottom == 0), 0.0, hours))


def nudge_interval_min(tolerance_deg: ArrayLike) -> Array:
    """Return how long a north-south or polar-axis trough lasts between nudges: 2A/15 h [min].

    Such an axis has to follow the sun at about 15° an hour.

    Example
    -------
    >>> nudge_interval_min(1.7)
    13.6
    """
    return plain(np.asarray(_tolerance(tolerance_deg)) * 2 / 15 * 60)
