"""Did it work, and how sure am I?

In: the log of a heating test as people write it. Out: every row with what is wrong
with it, power and efficiency of each interval, the two numbers that describe the
heater, their confidence, and whether prediction and measurement agree.

`log`, `reader` and `table` make `records` of a file, `checks` points at what looks
wrong, `power` turns readings into watts, `uncertainty` says how far to trust them,
`fit` finds optical efficiency and loss, `simulate` writes an honest practice file.
"""

from solarlib.heating_test.checks import checklist, suspects
from solarlib.heating_test.fit import (
    Agreement,
    Fit,
    agreement,
    fit_losses,
    fit_points,
    predicted_curve,
)
from solarlib.heating_test.log import LogFileError, parse_log, read_log, read_text
from solarlib.heating_test.power import Interval, Setup, efficiency, intervals, useful_power
from solarlib.heating_test.records import Log, Problem, Reading
from solarlib.heating_test.simulate import simulate_log
from solarlib.heating_test.uncertainty import (
    Instruments,
    combine,
    efficiency_uncertainty,
    variance_shares,
)

__all__ = [
    "Agreement",
    "Fit",
    "Instruments",
    "Interval",
    "Log",
    "LogFileError",
    "Problem",
    "Reading",
    "Setup",
    "agreement",
    "checklist",
    "combine",
    "efficiency",
    "efficiency_uncertainty",
    "fit_losses",
    "fit_points",
    "intervals",
    "parse_log",
    "predicted_curve",
    "read_log",
    "read_text",
    "simulate_log",
    "suspects",
    "useful_power",
    "variance_shares",
]
