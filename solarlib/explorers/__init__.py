"""Explorers: controls -> solarlib -> picture, words and a table. One module per lesson.

``explorers.explore_printer_trap()`` in a notebook cell shows the picture, then
the sliders. Each is loaded when first used, so that a lesson opens quickly.
``explorers.design_form("my-trough.toml")`` is the board of a learner's own design file.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

_HOME = {
    "suns_share": "start",
    "curve_and_focus": "parabola",
    "printer_trap": "parabola",
    "measured_print": "measured_print",
    "sun_is_a_disc": "concentration",
    "two_bars": "concentration",
    "tilt_through_day": "sun",
    "light_off_the_end": "sun",
    "where_watts_go": "heat_loss",
    "lid_or_lagging": "heat_loss",
    "fit_by_hand": "heating_test",
    "better_instrument": "heating_test",
    "burn_clock": "hazards",
    "after_you_walk_away": "hazards",
    "design_board": "capstone",
    "what_matters_most": "capstone",
}
NAMES = tuple(f"explore_{name}" for name in _HOME)
__all__ = [*NAMES, "design_form"]


def __getattr__(name: str) -> Any:
    if name == "design_form":
        return import_module("solarlib.explorers.own_design").DesignForm
    if name in NAMES:
        home = import_module(f"solarlib.explorers.{_HOME[name.removeprefix('explore_')]}")
        return getattr(home, name)
    raise AttributeError(f"There is no explorer “{name}”; there are {', '.join(NAMES)}.")
