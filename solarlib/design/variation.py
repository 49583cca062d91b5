"""A design with another value in one entry, and what has to move with it.

In: a `HeaterDesign`, an entry and its new value. Out: the changed design, or None where
no heater can be like that.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from solarlib.design.entries import DesignError
from solarlib.design.heater import HeaterDesign

ENTRIES = {one.name: one for one in fields(HeaterDesign)}


def with_entry(d: HeaterDesign, name: str, value: Any) -> HeaterDesign | None:
    """Return the design with one entry changed, None if it cannot be.

    A longer mirror keeps the pipe's overhang, a better mirror is better clean, too, and more
    water gets a pot that holds it.
    """
    change = {name: value}
    if name == "trough_length":
        change["tube_length"] = d.tube_length + value - d.trough_length
    if name == "reflectance_used":
        change["reflectance_clean"] = max(d.reflectance_clean, value)
    if name == "water_mass":
        change["pot_volume"] = max(d.pot_volume, value / 1000)
    try:
        return replace(d, **change)
    except DesignError:
        return None
