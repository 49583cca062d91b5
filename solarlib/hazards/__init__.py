"""What can the heater do to people and to the house, and how close is that?

In: temperatures, materials, times, light, wind, joints. Out: contact and burn times,
pressure in what somebody closed, light past the line, wind force and ballast, each
as a plain number and as a `Finding` that names its source and says it in a sentence.

Unknown is never "safe": outside its table a function answers nan, and the finding
says so. Nothing here replaces local rules, licensed trades or a doctor.
"""

from solarlib.hazards.beam import beam_distance, beam_flux, ignition
from solarlib.hazards.finding import Finding
from solarlib.hazards.frame import ballast_mass, joint, overturning_moment, wind_force
from solarlib.hazards.light import (
    blister_time_s,
    eye_irradiance_limit,
    pain_time_s,
    skin_exposure,
    skin_exposure_limit_s,
)
from solarlib.hazards.pressure import closed_volume, steam_heat, trapped_water_pressure, water_heat
from solarlib.hazards.scald import BURN_TABLES, BurnTable, damage_time_s, scald, scald_time_s
from solarlib.hazards.touch import (
    contact_burn,
    contact_temperature_c,
    surface_for_contact_c,
    touch_limit,
)

__all__ = [
    "BURN_TABLES",
    "BurnTable",
    "Finding",
    "ballast_mass",
    "beam_distance",
    "beam_flux",
    "blister_time_s",
    "closed_volume",
    "contact_burn",
    "contact_temperature_c",
    "damage_time_s",
    "eye_irradiance_limit",
    "ignition",
    "joint",
    "overturning_moment",
    "pain_time_s",
    "scald",
    "scald_time_s",
    "skin_exposure",
    "skin_exposure_limit_s",
    "steam_heat",
    "surface_for_contact_c",
    "touch_limit",
    "trapped_water_pressure",
    "water_heat",
    "wind_force",
]
