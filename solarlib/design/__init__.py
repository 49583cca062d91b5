"""From a builder's inputs to everything that follows from them."""

from solarlib.design.entries import DesignError
from solarlib.design.heater import HeaterDesign, demo

__all__ = ["DesignError", "HeaterDesign", "demo"]
