"""How the rows about heat loss are asked of `solarlib.heat`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from solarlib import heat


def _air(i: Any) -> Any:
    return heat.air_properties(i.T_K - 273.15)


def _bare_loss(i: Any) -> Any:
    return heat.loss_per_metre(i.D_m, i.T_C, i.Ta_C, i.V_m_s, i.eps)


ASK: dict[str, Callable[[Any], float]] = {
    "Churchill-Bernstein Nu": lambda i: heat.nusselt_forced(i.Re, i.Pr),
    "Zukauskas Nu": lambda i: heat.nusselt_forced_second_opinion(i.Re, i.Pr, i.Pr_s),
    "Churchill-Chu Nu, Ra = Gr Pr": lambda i: heat.nusselt_natural(i.Gr * i.Pr, i.Pr),
    "Churchill-Chu Nu, Ra 5.07e6, Pr 0.697": lambda i: heat.nusselt_natural(i.Ra, i.Pr),
    "convective loss, 0.1 m pipe, 165 C in 23 C air, h 7.23": lambda i: heat.convection_per_metre(
        i.D_m, i.h_W_m2K, i.dT_K
    ),
    "radiative loss, 0.1 m pipe, eps 0.85": lambda i: heat.radiation_per_metre(
        i.D_m, i.T_K - 273.15, i.Tsur_K - 273.15, i.eps
    ),
    "annulus Raithby-Hollands k_eff/k, Ra_c 171.4, Pr 0.70": lambda i: (
        heat.annulus_conductivity_ratio(i.Ra_c, i.Pr)
    ),
    "annulus conduction 2 pi k k_r dT/ln(Do/Di)": lambda i: heat.annulus_conduction_per_metre(
        i.Di_m, i.Do_m, i.k_W_mK * i.k_ratio, i.dT_K
    ),
    "air property at 101325 Pa: k": lambda i: _air(i).conductivity,
    "air property at 101325 Pa: nu": lambda i: _air(i).viscosity,
    "air property at 101325 Pa: Pr": lambda i: _air(i).prandtl,
    "forced convection, 22 mm tube at 90 C in 25 C air (Churchill-Bernstein)": lambda i: (
        heat.forced_convection(i.D_m, i.Ts_C, i.Ta_C, i.V_m_s)
    ),
    "natural convection, 22 mm horizontal tube in 25 C air (Churchill-Chu)": lambda i: (
        heat.natural_convection(i.D_m, i.Ts_C, i.Ta_C)
    ),
    "linearised radiation coefficient, black, 90/25 C": lambda i: (
        heat.radiation_per_metre(1 / np.pi, i.Ts_C, i.Ta_C, 1.0) / (i.Ts_C - i.Ta_C)
    ),
    "net radiative flux, eps 0.9, 90/25 C": lambda i: heat.radiation_per_metre(
        1 / np.pi, i.Ts_C, i.Tsur_C, i.eps
    ),
    "Swinbank sky temperature 0.0552 Ta^1.5 (kelvin)": lambda i: heat.sky_temperature_c(i.Ta_C),
    "bare tube loss per metre, eps 0.9, Tsur^4 mean of air and sky": _bare_loss,
    "loss per metre with glass tube 36/40 mm, wind 0.9 m/s, eps 0.9/0.88": lambda i: (
        heat.loss_per_metre(
            i.Di_m, i.T_C, i.Ta_C, i.V_m_s, 0.9, cover=heat.Cover(i.Dgi_m, i.Dgo_m, 0.88)
        )
    ),
}
LEFT_OUT: dict[str, str] = {}
