"""How the rows about water, steam and closed vessels are asked of `solarlib.water`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from solarlib import reference, water

_BAR, _PSI = 1e5, 6894.757
_SEA_LEVEL = reference.STANDARD_PRESSURE.value
_LITRES_A_MINUTE = _GRAMS_A_MINUTE = 60_000.0  # per m³/s, per kg/s


def _trapped(i: Any, vessel: str = "rigid") -> float:
    fill = getattr(i, "fill_fraction", 1.0)
    return water.trapped_pressure(20, i.T_C, vessel, fill=fill) / _BAR


def _saturation_pressure(i: Any) -> float:
    if hasattr(i, "T_K"):  # the IAPWS rows: K and MPa
        return water.saturation_pressure(i.T_K - 273.15) / 1e6
    return water.saturation_pressure(i.T_C) / 1e3


ASK: dict[str, Callable[[Any], float]] = {
    "saturation pressure": _saturation_pressure,
    "saturation temperature": lambda i: water.boiling_point_c(i.p_MPa * 1e6) + 273.15,
    "boiling point at 101325 Pa": lambda i: water.boiling_point_c(i.p_Pa),
    "standard-atmosphere pressure": lambda i: water.standard_pressure(i.altitude_m),
    "boiling point at altitude, standard atmosphere": lambda i: water.boiling_point_c(
        water.standard_pressure(i.altitude_m)
    ),
    "saturated liquid density": lambda i: water.density(i.T_C),
    "saturated liquid cp": lambda i: water.specific_heat(i.T_C) / 1000,
    "latent heat": lambda i: water.latent_heat(i.T_C) / 1000,
    "steam : water volume ratio at 1 atm": lambda i: water.steam_to_water_ratio(i.p_Pa),
    "pressure in a rigid, completely full, sealed volume filled at 20 C": _trapped,
    "pressure in a completely full, sealed, elastic 22 x 0.9 mm copper tube with closed ends "
    "(E 117 GPa, Poisson 0.34, 16.8e-6/K)": lambda i: _trapped(i, "copper"),
    "pressure slope of trapped water at 50 C, rigid tube that expands thermally": lambda i: (
        water.trapped_pressure_slope(i.T_C, "expanding") / _BAR
    ),
    "pressure slope of trapped water at 50 C, elastic 22 x 0.9 tube": lambda i: (
        water.trapped_pressure_slope(i.T_C, "copper") / _BAR
    ),
    "sealed vessel with trapped air, filled at 20 C": _trapped,
    "flash fraction when 110 C water is vented to 1 atm": lambda i: water.flash_fraction(i.T_C),
    "energy for 6.0 kg water, 18 to 55 C, c 4186": lambda i: (
        water.warming_energy(i.m_kg, i.T0_C, i.T1_C, 4186) / 1e6
    ),
    "evaporation by 270 W at 1 atm": lambda i: water.boil_off(i.P_W) * _GRAMS_A_MINUTE,
    "steam volume flow from 270 W at 1 atm": lambda i: (
        water.boil_off(i.P_W) / water.steam_density() * _LITRES_A_MINUTE
    ),
    "boiling point at 1 bar gauge": lambda i: water.boiling_point_c(
        _SEA_LEVEL + i.p_gauge_bar * _BAR
    ),
    "boiling point at 1 bar absolute": lambda i: water.boiling_point_c(i.p_abs_bar * _BAR),
    "saturation temperature at 15 psig": lambda i: water.boiling_point_c(
        _SEA_LEVEL + i.p_gauge_psi * _PSI
    ),
    "volume growth of water 20 to 90 C at 1 atm": lambda i: (
        100 * water.volume_growth(i.T0_C, i.T1_C)
    ),
    "thermosyphon driving pressure, 40/60 C columns 0.6 m high": lambda i: (
        water.thermosyphon_pressure(i.T_cold_C, i.T_hot_C, i.height_m)
    ),
}
LEFT_OUT: dict[str, str] = {}
