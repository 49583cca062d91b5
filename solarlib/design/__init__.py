"""From a builder's inputs to everything that follows from them.

In: a `HeaterDesign`, as a record or a TOML file. Out: an `Evaluation`, with every
number of the course, the checked items, the band of a warm-up and what matters most.

`entries` describes one input, `heater` lists them all, `files` reads and writes
TOML, `typed` reads what a person types and `draft` keeps a file that is being filled
in. `plumbing` looks for the way to the open air, `plumbing_rows` is it row by row, `light`
and `evaluation` do the physics in the order of the data flow, `checks`, `precautions` and
`constraints` hold the limits. `levers` says what is worth changing, `nearest` what would
help, `cutting` what to saw, `tiling` which sheets it is printed on, `printed` what a measured print means.
"""

from solarlib.design.constraints import Constraint
from solarlib.design.cutting import Part, Screws
from solarlib.design.entries import DesignError
from solarlib.design.evaluation import Evaluation, evaluate
from solarlib.design.heater import GROUPS, HeaterDesign, demo
from solarlib.design.levers import Lever
from solarlib.design.plumbing import Link, Plumbing, PlumbingError, Way, ways_out

__all__ = [
    "GROUPS",
    "Constraint",
    "DesignError",
    "Evaluation",
    "HeaterDesign",
    "Lever",
    "Link",
    "Part",
    "Plumbing",
    "PlumbingError",
    "Screws",
    "Way",
    "demo",
    "evaluate",
    "ways_out",
]
