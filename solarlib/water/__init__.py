"""When does water boil, what does warming and boiling cost, and why is it never shut in?

In: height above the sea, absolute pressure, water temperature. Out: boiling point,
density, specific and latent heat, steam, and the pressure of trapped water.

`pressure` knows the air's, `equations` holds the published equations of state,
`properties` and `steam` what is read from them, `closed` the vessel that nobody
should close. Copper stands in `reference`, pipes in `geometry.Pipe`.
"""

from solarlib.water.closed import trapped_pressure, trapped_pressure_slope
from solarlib.water.pressure import standard_pressure, station_pressure
from solarlib.water.properties import (
    boiling_point_c,
    density,
    latent_heat,
    saturation_pressure,
    specific_heat,
    thermosyphon_pressure,
    volume_growth,
    warming_energy,
)
from solarlib.water.steam import boil_off, flash_fraction, steam_density, steam_to_water_ratio

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
