"""Where is the sun, where must the trough point, and when do I touch it again?

In: a place (degrees north and east), an instant or a date, the direction of the
trough's axis. Out: the sun's height and direction, the tilt that catches it, how
long that tilt lasts within the day and over the year, and the light to expect.

`clock` reads instants and dates, `position` finds the sun, `day` noon and the
length of the day, `trough` tilt and incidence, `drift` how long a tilt lasts, `sky`
the light, `calendar` a list of settings.

Azimuth is counted clockwise from true north, hour angle is negative in the
morning, longitude is positive to the east, and every time inside is UTC.
Refraction is left out (0.1° when the sun is 10° high, 0.5° at the horizon): a
heater that has to look that low catches nothing worth having.
"""

from solarlib.sun.calendar import AimBudget, TiltSetting, days_until_drift, retilt_calendar
from solarlib.sun.clock import SUMMER_TIME_RULES, Zone, clock_minutes, julian_date, solar_time_h
from solarlib.sun.day import day_in_words, day_length_h, solar_noon
from solarlib.sun.drift import (
    aim_error_deg,
    axis_drift_deg,
    east_west_drift_deg,
    hours_in_focus,
    nudge_interval_min,
)
from solarlib.sun.position import (
    SunPosition,
    declination_deg,
    declination_one_line_deg,
    equation_of_time_min,
    position,
    west_of_south_deg,
)
from solarlib.sun.sky import air_mass, clear_sky_beam, regional_clear_sky_beam
from solarlib.sun.trough import (
    TroughAngles,
    incidence_deg,
    noon_tilt_deg,
    profile_angle_deg,
    trough_angles,
)

__all__ = [
    "SUMMER_TIME_RULES",
    "AimBudget",
    "SunPosition",
    "TiltSetting",
    "TroughAngles",
    "Zone",
    "aim_error_deg",
    "air_mass",
    "axis_drift_deg",
    "clear_sky_beam",
    "clock_minutes",
    "day_in_words",
    "day_length_h",
    "days_until_drift",
    "declination_deg",
    "declination_one_line_deg",
    "east_west_drift_deg",
    "equation_of_time_min",
    "hours_in_focus",
    "incidence_deg",
    "julian_date",
    "noon_tilt_deg",
    "nudge_interval_min",
    "position",
    "profile_angle_deg",
    "regional_clear_sky_beam",
    "retilt_calendar",
    "solar_noon",
    "solar_time_h",
    "trough_angles",
    "west_of_south_deg",
]
