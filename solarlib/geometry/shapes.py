"""Two curves people mistake for the parabola: a bent circle and a hanging chain.

In: the bend radius at the lowest point and the opening width [m]. Out: heights
and slopes [m, deg] with the same names as `Parabola`, so that rays can be traced
on any of the three. With radius 2f all three agree near the centre line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain, positive


@dataclass(frozen=True)
class Circle:
    """A circular trough, y = R - sqrt(R² - x²).

    Parameters
    ----------
    radius : radius of the circle [m]; 2f matches a parabola at its vertex.
    aperture_width : opening [m], at most 2R.

    Raises
    ------
    ValueError : an opening wider than the circle.

    Example
    -------
    >>> round(Circle(0.340, 0.640).depth, 3)
    0.225

    Source: the equation of the circle.
    """

    radius: Array
    aperture_width: Array

    def __post_init__(self) -> None:
        radius, width = (
            positive("radius", self.radius, "m"),
            positive("width", self.aperture_width, "m"),
        )
        if np.any(width > 2 * radius):
            raise ValueError(
                f"A circle of radius {self.radius} m opens at most twice that wide, "
                f"not {self.aperture_width} m; take a larger radius or a smaller opening."
            )

    def height(self, x: ArrayLike) -> Array:
        """Height above the lowest point [m] at x [m]."""
        x = np.asarray(x, float)
        return plain(self.radius - np.sqrt(np.square(self.radius) - x * x))

    def slope_deg(self, x: ArrayLike) -> Array:
        """Slope asin(x/R) [deg] at x [m]."""
        return plain(np.degrees(np.arcsin(np.asarray(x, float) / self.radius)))

    @property
    def focal_length(self) -> Array:
        """Where rays near the axis meet, half the bend radius [m]."""
        return plain(np.asarray(self.radius) / 2)

    @property
    def depth(self) -> Array:
        """Height of the rim above the lowest point [m]."""
        return self.height(np.asarray(self.aperture_width) / 2)


@dataclass(frozen=True)
class HangingChain:
    """The curve of a chain hung from the rims, y = c [cosh(x/c) - 1].

    Parameters
    ----------
    radius : bend radius c at the lowest point [m]; 2f matches a parabola there.
    aperture_width : opening [m].

    Raises
    ------
    ValueError : a size that is not above zero.

    Example
    -------
    >>> round(HangingChain(0.340, 0.640).depth, 3)
    0.162

    Source: the catenary, any calculus textbook.
    """

    radius: Array
    aperture_width: Array

    def __post_init__(self) -> None:
        positive("radius", self.radius, "m")
        positive("opening", self.aperture_width, "m")

    def height(self, x: ArrayLike) -> Array:
        """Height above the lowest point [m] at x [m]."""
        return plain(self.radius * (np.cosh(np.asarray(x, float) / self.radius) - 1))

    def slope_deg(self, x: ArrayLike) -> Array:
        """Slope atan(sinh(x/c)) [deg] at x [m]."""
        return plain(np.degrees(np.arctan(np.sinh(np.asarray(x, float) / self.radius))))

    @property
    def focal_length(self) -> Array:
        """Where rays near the axis meet, half the bend radius [m]."""
        return plain(np.asarray(self.radius) / 2)

    @property
    def depth(self) -> Array:
        """Height of the rim above the lowest point [m]."""
        return self.height(np.asarray(self.aperture_width) / 2)
