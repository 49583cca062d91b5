"""Where does the heat go, how hot does it get, and how long does it take?

In: the pipe and its surface, pot, weather, absorbed power. Out: loss per metre,
resting temperature, dry-pipe temperature, warm-up with boiling and dryness, the
band a real day will lie in, and the cooling of a pot.

`air`, `convection` and `gap` say what air carries away, `radiation` what goes to the
sky, `loss` both together, `pipe` is the pipe without water, `heater`, `warmup` and
`band` the whole heater, `pot` the pot. How much power is absorbed, `optics.pipe_power`
says.
"""

from solarlib.heat.air import Air, air_properties
from solarlib.heat.band import WarmUpBand, warm_up_band
from solarlib.heat.convection import (
    convection,
    convection_per_metre,
    forced_convection,
    natural_convection,
    nusselt_forced,
    nusselt_forced_second_opinion,
    nusselt_natural,
)
from solarlib.heat.gap import (
    annulus_conduction_per_metre,
    annulus_conductivity_ratio,
    annulus_convection_per_metre,
)
from solarlib.heat.heater import Heater
from solarlib.heat.loss import (
    Cover,
    Loss,
    loss_parts,
    loss_per_metre,
    wall_excess,
    wind_at_tube,
)
from solarlib.heat.pipe import DryPipe, dry_pipe_c, dry_pipe_profile, dry_seconds
from solarlib.heat.pot import Pot, cooling_curve, half_life, loss_from_cooling
from solarlib.heat.radiation import (
    radiation_per_metre,
    sky_temperature_c,
    trough_surroundings_c,
)
from solarlib.heat.warmup import WarmUp, warm_up

__all__ = [
    "Air",
    "Cover",
    "DryPipe",
    "Heater",
    "Loss",
    "Pot",
    "WarmUp",
    "WarmUpBand",
    "air_properties",
    "annulus_conduction_per_metre",
    "annulus_conductivity_ratio",
    "annulus_convection_per_metre",
    "convection",
    "convection_per_metre",
    "cooling_curve",
    "dry_pipe_c",
    "dry_pipe_profile",
    "dry_seconds",
    "forced_convection",
    "half_life",
    "loss_from_cooling",
    "loss_parts",
    "loss_per_metre",
    "natural_convection",
    "nusselt_forced",
    "nusselt_forced_second_opinion",
    "nusselt_natural",
    "radiation_per_metre",
    "sky_temperature_c",
    "trough_surroundings_c",
    "wall_excess",
    "warm_up",
    "warm_up_band",
    "wind_at_tube",
]
