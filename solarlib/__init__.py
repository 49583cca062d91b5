"""The physics of a small parabolic-trough water heater, readable as a textbook in code.

Data flows one way: site and date -> sun; sheet and focal length -> geometry;
both -> optics -> heat -> design -> pack and verdict. Import the module you
need (``from solarlib import geometry``); this file imports nothing, so that
``python -m solarlib`` starts on a machine where nothing is installed yet.
"""

__version__ = "0.1.0"
