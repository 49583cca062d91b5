"""What curve do I cut, what sheet do I buy, and where does the light meet?

In: any two measures of the section. Out: the parabola, its rib table and screw
positions, the focal length that a stretched print really has, how far a sheet
may be bent, how pipe and sheet sag and grow. Lengths in metres, angles in
degrees; functions broadcast.

`parabola` holds the curve, `shapes` the circle and the hanging chain beside it,
`template` ribs and print, `sheet` and `pipe` what they are made of, `screws` how
an elastic sheet lies between its fasteners.
"""

from solarlib.geometry.parabola import Parabola
from solarlib.geometry.pipe import Pipe, copper_growth
from solarlib.geometry.screws import ScrewLine, screw_line
from solarlib.geometry.shapes import Circle, HangingChain
from solarlib.geometry.sheet import (
    bending_strain,
    expansion,
    shortest_focal_length,
    thickest_sheet,
)
from solarlib.geometry.template import (
    PrintCheck,
    RibTable,
    backing_offset,
    check_print,
    printed_focal_length,
    printed_parabola,
    rib_height_under_backing,
    rib_table,
)

__all__ = [
    "Circle",
    "HangingChain",
    "Parabola",
    "Pipe",
    "PrintCheck",
    "RibTable",
    "ScrewLine",
    "backing_offset",
    "bending_strain",
    "check_print",
    "copper_growth",
    "expansion",
    "printed_focal_length",
    "printed_parabola",
    "rib_height_under_backing",
    "rib_table",
    "screw_line",
    "shortest_focal_length",
    "thickest_sheet",
]
