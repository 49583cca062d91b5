"""The published equations of state that the answers about water are read from.

In: kelvins and pascals. Out: volume, enthalpy, heat capacity of liquid water, the
boiling curve, the density of steam. Nothing here checks its input: `properties`
and `closed` do.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

GAS_CONSTANT = 461.526  # J/kgK, of water; IAPWS R7-97 eq. 1

# --- liquid water: IAPWS R7-97, region 1, eq. 7 and table 2 (0-350 °C, up to 100 MPa) ------------
# Gibbs energy g = R T sum n (7.1 - p/16.53 MPa)^I (1386 K/T - 1.222)^J; the rest are derivatives.
# Digits read in the iapws package and checked against IAPWS-95.
_P_SCALE, _T_SCALE = 16.53e6, 1386.0
_I = np.array(
    [0] * 8 + [1] * 6 + [2] * 5 + [3] * 3 + [4] * 3 + [5, 8, 8, 21, 23, 29, 30, 31, 32], float
)
_J = np.array(
    [
        *(-2, -1, 0, 1, 2, 3, 4, 5, -9, -7, -1, 0, 1, 3, -3, 0, 1, 3, 17),
        *(-4, 0, 6, -5, -2, 10, -8, -11, -6, -29, -31, -38, -39, -40, -41),
    ],
    float,
)
_N = np.array(
    [
        *(0.14632971213167, -0.84548187169114, -3.756360367204, 3.3855169168385),
        *(-0.95791963387872, 0.15772038513228, -0.016616417199501, 8.1214629983568e-4),
        *(2.8319080123804e-4, -6.0706301565874e-4, -0.018990068218419, -0.032529748770505),
        *(-0.021841717175414, -5.2838357969930e-5, -4.7184321073267e-4, -3.0001780793026e-4),
        *(4.7661393906987e-5, -4.4141845330846e-6, -7.2694996297594e-16, -3.1679644845054e-5),
        *(-2.8270797985312e-6, -8.5205128120103e-10, -2.2425281908e-6, -6.5171222895601e-7),
        *(-1.4341729937924e-13, -4.0516996860117e-7, -1.2734301741641e-9, -1.7424871230634e-10),
        *(-6.8762131295531e-19, 1.4478307828521e-20, 2.6335781662795e-23, -1.1947622640071e-23),
        *(1.8228094581404e-24, -9.3537087292458e-26),
    ]
)


def _terms(temp: NDArray, pressure: NDArray, di: int, dj: int) -> NDArray:
    """Sum over the 34 terms, differentiated di times by 7.1 - p* and dj times by 1386/T - 1.222."""
    a = (7.1 - np.asarray(pressure)[..., None] / _P_SCALE) ** (_I - di)
    b = (_T_SCALE / np.asarray(temp)[..., None] - 1.222) ** (_J - dj)
    factor = _N * (_I if di else 1.0) * (_J if dj else 1.0) * (_J - 1 if dj == 2 else 1.0)
    return np.sum(factor * a * b, axis=-1)


def liquid_volume(temp: NDArray, pressure: NDArray) -> NDArray:
    """Specific volume of liquid water [m³/kg] at [K], [Pa]."""
    return -_terms(temp, pressure, 1, 0) * GAS_CONSTANT * temp / _P_SCALE


def liquid_enthalpy(temp: NDArray, pressure: NDArray) -> NDArray:
    """Specific enthalpy of liquid water [J/kg], 0 near 0 °C."""
    return GAS_CONSTANT * _T_SCALE * _terms(temp, pressure, 0, 1)


def liquid_heat_capacity(temp: NDArray, pressure: NDArray) -> NDArray:
    """Specific heat at constant pressure of liquid water [J/kgK]."""
    return -GAS_CONSTANT * (_T_SCALE / temp) ** 2 * _terms(temp, pressure, 0, 2)


# --- the boiling curve: IAPWS R7-97, region 4, eqs. 29-31 and table 34 (0-373.946 °C) -------------
_B = (
    *(0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5),
    *(-0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6),
    *(-0.23855557567849, 0.65017534844798e3),
)


def boiling_pressure(temp: NDArray) -> NDArray:
    """Saturation pressure [Pa] at [K], eq. 30."""
    t = temp + _B[8] / (temp - _B[9])
    a = t * t + _B[0] * t + _B[1]
    b = _B[2] * t * t + _B[3] * t + _B[4]
    c = _B[5] * t * t + _B[6] * t + _B[7]
    return 1e6 * (2 * c / (-b + np.sqrt(b * b - 4 * a * c))) ** 4


def boiling_temperature(pressure: NDArray) -> NDArray:
    """Saturation temperature [K] at [Pa], eq. 31."""
    p = (pressure / 1e6) ** 0.25
    e = p * p + _B[2] * p + _B[5]
    f = _B[0] * p * p + _B[3] * p + _B[6]
    g = _B[1] * p * p + _B[4] * p + _B[7]
    d = 2 * g / (-f - np.sqrt(f * f - 4 * e * g))
    return (_B[9] + d - np.sqrt((_B[9] + d) ** 2 - 4 * (_B[8] + _B[9] * d))) / 2


def boiling_slope(temp: NDArray) -> NDArray:
    """Slope dp/dT of the boiling curve [Pa/K], eq. 29 differentiated."""
    t = temp + _B[8] / (temp - _B[9])
    p = (boiling_pressure(temp) / 1e6) ** 0.25
    by_p = 2 * p * (t * t + _B[0] * t + _B[1]) + _B[2] * t * t + _B[3] * t + _B[4]
    by_t = p * p * (2 * t + _B[0]) + p * (2 * _B[2] * t + _B[3]) + 2 * _B[5] * t + _B[6]
    t_slope = 1 - _B[8] / (temp - _B[9]) ** 2
    return 4e6 * p**3 * (-by_t / by_p) * t_slope


# --- steam on the boiling curve: IAPWS SR1-86(1992), eq. 3 ---------------------------------------
_STEAM = (
    *((2 / 6, -2.03150240), (4 / 6, -2.68302940), (8 / 6, -5.38626492)),
    *((18 / 6, -17.2991605), (37 / 6, -44.7586581), (71 / 6, -63.9201063)),
)


def steam_density(temp: NDArray) -> NDArray:
    """Density of saturated steam [kg/m³] at [K]; 322 kg/m³ and 647.096 K are the critical point."""
    below = 1 - temp / 647.096
    return 322.0 * np.exp(sum(c * below**power for power, c in _STEAM))
