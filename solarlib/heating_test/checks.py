"""Does the log look right, and is the test complete?

In: a log and what was heated. Out: readings that stand out from their neighbours, a
check of the whole test. Nothing is changed or left out.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from solarlib.heating_test.power import Setup, intervals
from solarlib.heating_test.records import Log, Problem

_SPIKES = (  # reading, column, how far off the line between its neighbours looks wrong [K]
    ("water_c", "water", 3.0),
    ("air_c", "air", 5.0),
)


def suspects(log: Log) -> tuple[Problem, ...]:
    """Point at readings that stand out from both neighbours; nothing is changed or left out.

    off = value - straight line between its neighbours in time

    Parameters
    ----------
    log : the test.

    Returns
    -------
    Problem for each reading that stands out, in file order.

    Raises
    ------
    nothing.

    Valid for: single readings. A high or low temperature is a sensor in the sun, a slip of the
    pen or °F; a low sun reading is a cloud. First and last row have only one neighbour and go
    unchecked.

    Example
    -------
    >>> from solarlib.heating_test.log import parse_log
    >>> log = parse_log("time (min),water (°C)\\n0,20\\n5,22\\n10,75\\n15,26\\n")
    >>> print(suspects(log)[0])
    Line 4, water: 75.0 °C stands out, 24.0 °C would fit; perhaps °F: it would be 23.9 °C.

    Source: limits of 3 K (water) and 5 K (air) are common practice, no source.
    """
    found = []
    time = log.values("time_s")
    for name, column, most in _SPIKES:
        values = log.values(name)
        off = _off_the_line(time, values)
        for k in np.flatnonzero(np.abs(off) > most):
            if np.abs(off[k]) < np.nanmax(np.abs(off[k - 1 : k + 2])):
                continue  # its neighbour is the one that stands out
            expected, celsius = values[k] - off[k], (values[k] - 32) / 1.8
            guess = "a sensor in the sun, or a slip of the pen"
            if abs(celsius - expected) < most:
                guess = f"perhaps °F: it would be {celsius:.1f} °C"
            says = f"{values[k]:.1f} °C stands out, {expected:.1f} °C would fit; {guess}."
            found.append(Problem(log.readings[k].row, column, says))
    sun = log.values("sun")
    for a, b, c, reading in zip(sun[:-2], sun[1:-1], sun[2:], log.readings[1:-1], strict=True):
        if b < 0.75 * min(a, c):
            says = f"{b:.0f} W/m² between {a:.0f} and {c:.0f} W/m²: a cloud, or a shaded sensor."
            found.append(Problem(reading.row, "sun", says))
    return tuple(sorted(found, key=lambda problem: problem.row))


def _off_the_line(time: NDArray, values: NDArray) -> NDArray:
    """How far each value lies off the straight line between its neighbours in time."""
    off = np.full(len(values), np.nan)
    if len(values) < 3:
        return off
    share = (time[1:-1] - time[:-2]) / (time[2:] - time[:-2])
    off[1:-1] = values[1:-1] - (values[:-2] + share * (values[2:] - values[:-2]))
    return off


def checklist(log: Log, setup: Setup | None = None) -> list[tuple[bool, str]]:
    """Check that a test is complete and possible: (passed, sentence) for each item.

    At least 8 usable rows, rising times, water between 5 and 95 °C, wind and sky noted, no more
    heat in the water than light on the opening.

    Parameters
    ----------
    log : the test. setup : what was heated.

    Returns
    -------
    list of (passed, sentence).

    Raises
    ------
    nothing.

    Valid for: a test of the water's warming; "passed" means complete, never safe.

    Example
    -------
    >>> from solarlib.heating_test.log import parse_log
    >>> checklist(parse_log("time (min),water (°C)\\n0,18\\n15,27.4\\n"))[0]
    (False, '2 rows with time and water temperature; at least 8 are needed.')

    Source: common practice, no source.
    """
    setup = setup or Setup()
    time, water = log.values("time_s"), log.values("water_c")
    usable = np.isfinite(time) & np.isfinite(water)
    rows = int(usable.sum())
    written = water[np.isfinite(water)]
    wind_noted = bool(np.isfinite(log.values("wind")).any())
    sky_noted = bool(np.isfinite(log.values("sun")).any()) or any(r.remark for r in log.readings)
    items = [
        (rows >= 8, f"{rows} rows with time and water temperature; at least 8 are needed."),
        (
            bool(len(time)) and bool(np.isfinite(time).all()),
            "Times rise from row to row."
            if len(time) and np.isfinite(time).all()
            else "A time is missing, or goes back; see the list of problems.",
        ),
        (
            bool(len(written)) and bool(((written >= 5) & (written <= 95)).all()),
            "Water stays between 5 and 95 °C."
            if len(written) and ((written >= 5) & (written <= 95)).all()
            else "Water must stay between 5 and 95 °C; check unit and sensor.",
        ),
        (wind_noted, "Wind is noted." if wind_noted else "Note the wind: it decides the losses."),
        (
            sky_noted,
            "Sun or sky is noted."
            if sky_noted
            else "Note the sun’s strength, or the sky in the remarks.",
        ),
    ]
    measured = [i for i in intervals(log, setup) if math.isfinite(i.efficiency)]
    if measured:
        heat = sum(i.power * i.seconds for i in measured)
        light = sum(i.sun * setup.aperture_area * i.seconds for i in measured)
        items.append(
            (
                heat <= light,
                f"Heat in the water is {heat / light:.0%} of the light on the opening"
                + ("." if heat <= light else "; more than 100 % cannot be: check mass and units."),
            )
        )
    else:
        items.append((False, "No interval has both a warming and a sun reading to compare."))
    return items
