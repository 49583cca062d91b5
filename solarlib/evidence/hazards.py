"""How the rows about hazards are asked of `solarlib.hazards`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from solarlib import hazards, reference
from solarlib.geometry import Parabola


def _touch(i: Any) -> Any:
    body = reference.Contact(i.material, i.k_W_mK, i.rho_kg_m3, i.c_J_kgK)
    by_name = hazards.contact_temperature_c(i.material, i.T_C)
    by_values = hazards.contact_temperature_c(body, i.T_C)
    return by_name if by_name == by_values else np.nan


def _past_line(i: Any) -> Any:
    """The row gives a strip's distance r; a curve whose vertex is that far has it in the middle."""
    p = Parabola(focal_length=i.r_m, aperture_width=i.r_m)
    return 1000 * hazards.beam_distance(p, i.rho, i.G_W_m2, i.q_W_m2, part="centre")


def _wind(i: Any) -> Any:
    return hazards.wind_force(i.V_m_s, i.A_m2, drag=i.Cd)


ASK: dict[str, Callable[[Any], float]] = {
    "skin exposure limit time t = (20000/E)^(4/3)": lambda i: hazards.skin_exposure_limit_s(
        i.E_W_m2
    ),
    "infrared eye limit E = 18000 t^-0.75": lambda i: hazards.eye_irradiance_limit(i.t_s),
    "first-touch interface temperature, skin 33 C (k .37, rho 1100, c 3400)": _touch,
    "time to damage integral 1 at constant basal temperature, P 3.1e98, dE 6.28e5, R 8.314": (
        lambda i: hazards.damage_time_s(i.T_C)
    ),
    "log-linear scald interpolation between 60 C/5 s and 68.3 C/1 s": lambda i: (
        hazards.scald_time_s(i.T_C)
    ),
    "log-linear scald interpolation between 51 C/252 s and 55 C/30 s": lambda i: (
        hazards.scald_time_s(i.T_C)
    ),
    "heat released by 1 g steam at 100 C cooling to 37 C": lambda i: hazards.steam_heat(
        i.m_g / 1000
    ),
    "heat released by 1 g water at 100 C cooling to 37 C": lambda i: hazards.water_heat(
        i.m_g / 1000
    ),
    "distance past the line where flux falls to q, s = rho G r/q": _past_line,
    "wind force 0.5 rho V^2 Cd A, Cd 1.4, air 1.225": _wind,
    "ballast against overturning, safety 1.5, centre 0.75 m high, half-base 0.35 m, 20 m/s": (
        lambda i: hazards.ballast_mass(_wind(i), i.height_m, i.half_base_m, i.safety)
    ),
}
LEFT_OUT: dict[str, str] = {}
