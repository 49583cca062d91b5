"""How long does a tilt last, within the day and with a crooked axis?

In: declination, hour angle, the mistakes of the axis. Out: the drift off the tube
since noon, hours in focus, the error of a tilt that was set.

The key result: a trough along east-west that is set at noon drifts by
atan(tan d / cos w) - d, whatever the latitude. Near the equinox the date matters
and the hour does not; at the solstice it is the other way round.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, within
from solarlib.sun.position import checked_declination, wrap180
from solarlib.sun.trough import across_and_along, checked_hour_angle, trough_angles


def _tolerance(value: ArrayLike) -> NDArray:
    hint = "how far the aim may be off on each side"
    return within("aim tolerance", value, 0, 45, "deg", hint)


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

    Raises
    ------
    ValueError : a declination beyond ±24 deg, an hour angle beyond ±180 deg.

    Valid for: a level axis along true east-west; declination held for the day (0.2° at worst).

    Example
    -------
    >>> round(east_west_drift_deg(23.44, 30), 2)
    3.15

    Source: closed form; the tests compare with the sun's full path at several latitudes.
    """
    d = np.radians(checked_declination(declination_deg))
    w = np.radians(checked_hour_angle(hour_angle_deg))
    return plain(np.degrees(np.arctan2(np.sin(d), np.cos(d) * np.cos(w)) - d))


def axis_drift_deg(
    latitude_deg: ArrayLike,
    declination_deg: ArrayLike,
    hour_angle_deg: ArrayLike,
    axis_turned_deg: ArrayLike = 0.0,
    axis_slope_deg: ArrayLike = 0.0,
) -> Array:
    """Return the drift since noon of an east-west trough whose axis is turned or out of level.

    tilt needed at noon minus tilt needed now, in the plane across the crooked axis

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    axis_turned_deg : clockwise seen from above [deg]. axis_slope_deg : east end up [deg].

    Returns
    -------
    [deg], broadcast shape, positive toward the north, as `east_west_drift_deg`.

    Raises
    ------
    ValueError : an angle outside its range; an axis more than 60 deg out of level.

    Valid for: declination held for the day.

    Example
    -------
    >>> round(abs(axis_drift_deg(38.0, 0.0, 15.0, axis_turned_deg=5.0)), 2)
    1.04

    Source: vectors; recomputed with the full position algorithm.
    """
    now, _, _ = across_and_along(
        latitude_deg, declination_deg, hour_angle_deg, axis_turned_deg, axis_slope_deg
    )
    noon, _, _ = across_and_along(
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
    """Return how far a tilt is off: tilt needed minus tilt set, positive toward the equator.

    Parameters
    ----------
    latitude_deg, declination_deg, hour_angle_deg : [deg], broadcastable.
    tilt_deg : the tilt set, from straight up toward the equator [deg].
    axis_turned_deg, axis_slope_deg : mistakes of the axis [deg], see `trough_angles`.

    Returns
    -------
    [deg], broadcast shape.

    Raises
    ------
    ValueError : an angle outside its range.

    Valid for: an axis near east-west.

    Example
    -------
    >>> round(aim_error_deg(38.0, 20.0, 30.0, tilt_deg=18.0), 1)  # set at noon, 2 h ago
    -2.8

    Source: `trough_angles`.
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

    Raises
    ------
    ValueError : a declination beyond ±24 deg, a tolerance outside 0 to 45 deg.

    Valid for: a level east-west axis. A short winter day may end first; see `day_length_h`.

    Example
    -------
    >>> round(hours_in_focus(23.44, 0.7, biased=True) * 60)
    82

    Source: `east_west_drift_deg` solved for the hour angle.
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
    """Return how long a north-south or polar-axis trough lasts between nudges: 2A/15 h.

    Such an axis has to follow the sun at about 15° an hour.

    Parameters
    ----------
    tolerance_deg : A, to each side [deg], 0 to 45, any shape.

    Returns
    -------
    [min], same shape.

    Raises
    ------
    ValueError : a tolerance outside 0 to 45 deg.

    Valid for: a polar axis; a level north-south axis turns cos d/sin(height of the sun) times
        as fast at noon.

    Example
    -------
    >>> nudge_interval_min(1.7)
    13.6

    Source: 360° in 24 h.
    """
    return plain(np.asarray(_tolerance(tolerance_deg)) * 2 / 15 * 60)
