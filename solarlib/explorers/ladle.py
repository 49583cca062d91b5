"""The demo trough, once for all explorers: what does not move in a picture is the Ladle's."""

from __future__ import annotations

from solarlib.design import demo

LADLE = demo()
HALF = LADLE.aperture_width / 2  # from the centre line to a rim [m]
