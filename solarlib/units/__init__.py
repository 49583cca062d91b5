"""What the bench says ("5 15/16 in", "14 %", "1 h 10 min") in, plain numbers out, and back again.

In: text as people type it, and the unit the question expects. Out: a number in
the base unit of that quantity (m, m2, kg, m3, s, W, J, Pa ..., angles in
degrees, temperatures in °C, shares as fractions). This is the only place that
knows millimetres from inches: `kinds` holds the units, `reading` reads them,
`writing` writes them.
"""

from solarlib.units.kinds import KINDS, UnitError, base_unit, from_base, kind, label, to_base
from solarlib.units.reading import Reading, one_line, parse
from solarlib.units.writing import show, show_both, show_inches

__all__ = [
    "KINDS",
    "Reading",
    "UnitError",
    "base_unit",
    "from_base",
    "kind",
    "label",
    "one_line",
    "parse",
    "show",
    "show_both",
    "show_inches",
    "to_base",
]
