"""How does one get a log to practise on without pretending that somebody measured it?

In: a seed and the heater. Out: the text of a log with noise, a gap, a row in °F, a
cloud and a sensor in the sun. Its first line says that it is simulated.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solarlib.arrays import within
from solarlib.heating_test.power import Setup

SIMULATED = (
    "# SIMULATED with noise, seed {seed}: nobody measured this. Practice data of the course."
)


def simulate_log(
    seed: int = 1,
    setup: Setup | None = None,
    optical_efficiency: float = 0.74,
    loss: float = 6.5,
    minutes: int = 120,
    step_min: int = 3,
    start_c: float = 18.0,
    stop_c: float = 60.0,
    noise_c: float = 0.2,
    faults: bool = True,
) -> str:
    """Write the log of a test that nobody made.

    C dT/dt = A [e0 G - U (T - Ta)] on a clear day, with random errors of thermometer, sun meter
    and wind; the same seed gives the same text.

    Parameters
    ----------
    seed : number that fixes the noise. setup : what is heated.
    optical_efficiency : e0 [1]. loss : U per opening [W/m2K].
    minutes, step_min : length and step of the log [min]. start_c, stop_c : water at the
        start [°C], and the temperature at which the test is stopped.
    noise_c : error of a temperature reading, one sigma [K].
    faults : True adds a missing reading, a row in °F, a cloud and a sensor in the sun.

    Returns
    -------
    the text of a CSV file in UTF-8; its first line says “simulated”.

    Raises
    ------
    ValueError : fewer than four steps, a temperature, share or loss outside its range.

    Valid for: practice. Nobody measured it, and its weather is invented.

    Example
    -------
    >>> simulate_log(seed=7).splitlines()[0]
    '# SIMULATED with noise, seed 7: nobody measured this. Practice data of the course.'

    Source: the energy balance that the lesson teaches; noise from a seeded generator.
    """
    setup = setup or Setup()
    within("minutes", minutes, 4 * step_min, 600, "min", "at least four steps")
    within("step", step_min, 1, 60, "min")
    within("noise", noise_c, 0, 5, "K")
    within("optical efficiency", optical_efficiency, 0, 1, "")
    within("loss", loss, 0, 500, "W/m2K")
    within("start temperature", start_c, 0, 60, "°C")
    within("stop temperature", stop_c, start_c + 1, 95, "°C", "the course stops at 60")
    random = np.random.default_rng(seed)
    fine = np.arange(0, minutes + 1)  # one step a minute
    clear = 820 - 60 * ((fine - minutes / 2) / 90) ** 2 + 12 * np.sin(fine / 7)
    air = 21.5 + 1.5 * fine / minutes + 0.3 * np.sin(fine / 11)

    def warmed(beam: NDArray) -> NDArray:
        water = np.full(len(fine), float(start_c))
        for k in range(len(fine) - 1):
            gain = optical_efficiency * beam[k] - loss * (water[k] - air[k])
            water[k + 1] = water[k] + 60 * setup.aperture_area * gain / setup.heat_capacity
        return water

    water = warmed(clear)
    last = int(np.argmax(water >= stop_c)) if (water >= stop_c).any() else minutes
    at = np.arange(0, last + 1, step_min)
    rows = len(at)
    cloud, sunny_sensor, in_f, missing = _places(rows) if faults else (-1, -1, -1, -1)
    beam = clear
    if cloud > 0:
        beam = np.where(np.abs(fine - at[cloud]) <= 2, 0.45 * clear, clear)
        water = warmed(beam)

    read_water = water[at] + random.normal(0, noise_c, rows)
    read_air = air[at] + random.normal(0, noise_c, rows)
    read_sun = beam[at] * random.normal(1, 0.02 if noise_c else 0, rows)
    wind = np.abs(random.normal(1.5, 0.5, rows))
    if sunny_sensor > 0:
        read_water[sunny_sensor] += 5.0
    lines = [
        SIMULATED.format(seed=seed),
        f"# water {setup.water_mass:g} kg, opening {setup.aperture_area:g} m2, pot and pipe "
        f"{setup.other_heat_capacity:g} J/K",
        "time (clock),water (°C),air (°C),wind (m/s),sun (W/m2),remark",
    ]
    for k in range(rows):
        clock = 11 * 60 + 30 + int(at[k])
        shown = f"{read_water[k]:.1f}"
        remark = "clear" if k == 0 else ""
        if k == in_f:
            shown, remark = f"{read_water[k] * 1.8 + 32:.0f} °F", "other thermometer"
        if k == missing:
            shown, remark = "", "pot lid stuck"
        lines.append(
            f"{clock // 60 % 24:02d}:{clock % 60:02d},{shown},{read_air[k]:.1f},{wind[k]:.1f},"
            f"{read_sun[k]:.0f},{remark}"
        )
    return "\n".join(lines) + "\n"


def _places(rows: int) -> tuple[int, int, int, int]:
    """Rows for cloud, sensor in the sun, °F and the gap, apart from each other."""
    if rows < 12:
        return -1, -1, -1, rows // 2
    return rows * 2 // 5, rows * 7 // 10, rows // 5, rows * 11 // 20
