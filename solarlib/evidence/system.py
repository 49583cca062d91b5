"""How the rows about the whole heater are asked of optics and heat together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from solarlib import heat, heating_test, optics, water
from solarlib.geometry import Parabola, Pipe

MINUTE, HOUR = 60.0, 3600.0


def trough(i: Any) -> tuple[Parabola, float, float]:
    """The row's mirror, the share its pipe catches, the share left by the ends."""
    p = Parabola(i.f_m, i.W_m)
    moved = np.array([1, -1]) * i.dy_mm / 1000  # the published share is the mean of both ways
    share = optics.intercept_factor(p, i.D_m, i.slope_mrad, misaim_deg=i.misaim_deg, tube_dy=moved)
    caught = float(np.mean(share))
    end = optics.end_effect(p, i.D_m, i.L_m, i.overhang_m, i.incidence_deg)
    return p, caught, end


def absorbed(i: Any) -> float:
    """Power the row's pipe takes up [W]."""
    p, caught, end = trough(i)
    return optics.pipe_power(
        p, i.D_m, i.L_m, i.L_tube_m, i.DNI_W_m2, i.rho, i.alpha, caught, end, i.incidence_deg,
        getattr(i, "tau", 1.0),
    ).total  # fmt: skip


def tube(i: Any) -> heat.Heater:
    """The row's pipe with nothing but the water in it."""
    return heat.Heater(
        i.D_m, i.wall_m, i.L_tube_m, i.eps, i.Ta_C, i.wind_m_s,
        pressure=water.standard_pressure(i.altitude_m),
        cover=heat.Cover() if getattr(i, "glass", None) == "36/40 mm" else None,
    )  # fmt: skip


def pot(i: Any) -> heat.Heater:
    """The row's pipe with its pot."""
    return replace(
        tube(i),
        water_mass=i.pot_water_kg,
        pot_heat_capacity=i.pot_heat_capacity_J_K,
        pot_loss=i.pot_UA_W_K,
    )


def dry_c(i: Any) -> float:
    """The row's pipe without water, at the middle [°C]."""
    p, caught, end = trough(i)
    per_metre = optics.pipe_power(
        p, i.D_m, 1.0, 1.0, i.DNI_W_m2, i.rho, i.alpha, caught, end, i.incidence_deg
    ).total
    return heat.dry_pipe_c(per_metre, i.D_m, i.Ta_C, i.wind_m_s, i.eps)


def unsure(i: Any) -> float:
    """Uncertainty of one efficiency value [%]; the row's other instruments are the defaults."""
    instruments = heating_test.Instruments(sun=i.sun_uncertainty)
    return 100 * heating_test.efficiency_uncertainty(i.rise_K, instruments)


ASK: dict[str, Callable[[Any], float]] = {
    "water in the 1.40 m tube": lambda i: (
        1000 * Pipe(i.D_m, i.wall_m).water_volume_per_metre * i.L_tube_m
    ),
    "heat capacity, tube only": lambda i: tube(i).heat_capacity,
    "heat capacity, 6.0 kg water + tube + pot": lambda i: pot(i).heat_capacity,
    "initial heating rate, tube only": lambda i: tube(i).heating_rate(absorbed(i), i.Ta_C) * MINUTE,
    "initial heating rate, pot at 18 C": lambda i: (
        pot(i).heating_rate(absorbed(i), i.pot_start_C) * MINUTE
    ),
    "absorbed power": absorbed,
    "tube-only plateau temperature (lumped, 1.40 m loses)": lambda i: tube(i).plateau_c(
        absorbed(i)
    ),
    "tube-only minutes from air temperature to 90 C": lambda i: (
        heat.warm_up(tube(i), absorbed(i), i.Ta_C, 2 * HOUR, 90).seconds_to_target / MINUTE
    ),
    "power surplus at the local boiling point": lambda i: tube(i).surplus(absorbed(i)),
    "6 L pot, minutes 18 to 55 C": lambda i: (
        heat.warm_up(pot(i), absorbed(i), 18, 4 * HOUR, 55).seconds_to_target / MINUTE
    ),
    "6 L pot, temperature after 120 min from 18 C": lambda i: heat.warm_up(
        pot(i), absorbed(i), 18, 2 * HOUR
    ).temp_c[-1],
    "6 L pot, plateau temperature": lambda i: pot(i).plateau_c(absorbed(i)),
    "dry pipe, mid-length temperature (per-metre balance)": dry_c,
    **dict.fromkeys(("sys-109", "sys-110", "sys-111", "sys-112"), unsure),
    "optical efficiency product 0.82 x 0.92 x 0.90 x 618/640": lambda i: (
        0.82 * 0.92 * 0.90 * (1 - optics.shaded_share(0.640, 0.022))
    ),
    "useful power, 6.0 kg from 18.0 to 27.4 C in 15 min (water only)": lambda i: (
        heating_test.useful_power(6.0, 18.0, 27.4, 15 * MINUTE)
    ),
}
LEFT_OUT: dict[str, str] = {}
