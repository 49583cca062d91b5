"""When does water boil, what does warming and boiling cost, and why is it never shut in?

In: height above the sea, absolute pressure, water temperature. Out: boiling point,
density, specific and latent heat, steam, and the pressure of trapped water.

`equations` holds the published equations of state, `properties` what is read from
them, `closed` the vessel that nobody should close. Copper stands in `reference`,
pipes in `geometry.Pipe`.
"""

from solarlib.water.closed import trapped_pressure, trapped_pressure_slope
from solarlib.water.properties import (
    boil_off,
    boiling_point_c,
    density,
    flash_fraction,
    latent_heat,
    saturation_pressure,
    specific_heat,
    standard_pressure,
    station_pressure,
    steam_density,
    steam_to_water_ratio,
    thermosyphon_pressure,
    volume_growth,
    warming_energy,
)

__all__ = [
    "boil_off",
    "boiling_point_c",
    "density",
    "flash_fraction",
    "latent_heat",
    "saturation_pressure",
    "specific_heat",
    "standard_pressure",
    "station_pressure",
    "steam_density",
    "steam_to_water_ratio",
    "thermosyphon_pressure",
    "trapped_pressure",
    "trapped_pressure_slope",
    "volume_growth",
    "warming_energy",
]
