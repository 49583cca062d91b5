"""The explorers with their sliders; their pictures read back: what is drawn and where words stand."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.container import BarContainer
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from solarlib import explorers
from solarlib.explorers.base import Slider

NAMES = explorers.NAMES
SLIDERS = [
    (name, control.name)
    for name in NAMES
    for control in getattr(explorers, name)().controls.values()
    if isinstance(control, Slider)
]


@contextlib.contextmanager
def whole(explorer: Any) -> Iterator[list[Any]]:
    """Show the frame, which is drawn once and then hidden, like the rest; yield the axes seen."""
    for part, visible in explorer._fixed.items():
        part.set_visible(visible)
    yield [axes for axes in explorer._figure.axes if axes.get_visible()]
    for part in explorer._fixed:
        part.set_visible(False)


def texts_of(axes: Any) -> Iterator[Any]:
    """Yield the texts of axes: words, labels, and the ticks that lie in view."""
    yield from axes.texts
    for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
        yield axis.label
        for tick in axis.get_major_ticks():
            if min(low, high) <= tick.get_loc() <= max(low, high):
                yield from (tick.label1, tick.label2)


def numbers_of(artist: Any) -> Iterator[Any]:
    """Yield the coordinates an artist draws."""
    if isinstance(artist, Line2D):
        yield from (np.asarray(part, float) for part in artist.get_data())
    elif isinstance(artist, BarContainer):
        for bar in artist.patches:
            yield from numbers_of(bar)
    elif isinstance(artist, Rectangle):
        x, y, wide, high = *artist.get_xy(), artist.get_width(), artist.get_height()
        yield from (np.atleast_1d(part) for part in (x, y, wide, high, x + wide, y + high))
    elif isinstance(artist, PolyCollection):
        for path in artist.get_paths():
            yield from path.vertices.T
    elif hasattr(artist, "get_xy"):
        yield from np.asarray(artist.get_xy(), float).T
