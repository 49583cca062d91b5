"""The curve itself: any two measures of a trough's section in, every other measure out.

In: two of opening width, focal length, rim angle, sheet width and depth.
Out: the parabola y = x²/(4f) and what can be measured on it, in metres and
degrees. Scalars or broadcastable arrays.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain, positive, together, within


def _arc(x: ArrayLike, focal_length: ArrayLike) -> NDArray:
    """Length along the curve from the vertex: s = f [u sqrt(1+u²) + asinh u], u = x/2f."""
    u = np.asarray(x) / (2 * np.asarray(focal_length))
    return focal_length * (u * np.sqrt(1 + u * u) + np.arcsinh(u))


def _arc_ratio(rim_angle_deg: ArrayLike) -> NDArray:
    """Whole arc / focal length for a rim angle: 2 [t sqrt(1+t²) + asinh t], t = tan(rim/2)."""
    t = np.tan(np.radians(rim_angle_deg) / 2)
    return 2 * (t * np.sqrt(1 + t * t) + np.arcsinh(t))


def _solve_increasing(
    function: Any, slope: Any, target: NDArray, guess: NDArray, name: str
) -> NDArray:
    """Newton's method on an increasing function of a positive unknown, kept positive."""
    x = np.array(np.broadcast_to(guess, np.broadcast_shapes(np.shape(guess), np.shape(target))))
    x = x.astype(float)
    for _ in range(60):
        step = (function(x) - target) / slope(x)
        new = np.where(x - step > 0, x - step, x / 2)
        if np.all(np.abs(new - x) <= 1e-15 * np.abs(x)):
            return new
        x = new
    if not np.all(np.abs(function(x) - target) <= 1e-9 * np.abs(target)):
        raise ValueError(f"No parabola has this {name}; check the two values given.")
    return x


@dataclass(frozen=True)
class Parabola:
    """The section of a trough mirror, y = x²/(4f).

    Parameters
    ----------
    focal_length : distance from the vertex to the focus [m].
    aperture_width : width of the opening, across [m].

    Raises
    ------
    ValueError : a length that is not above zero.

    Example
    -------
    >>> round(Parabola(focal_length=0.170, aperture_width=0.640).depth, 4)
    0.1506

    Source: geometry of the parabola, recomputed in the tests from arc integrals.
    """

    focal_length: Array
    aperture_width: Array

    def __post_init__(self) -> None:
        for name in ("focal_length", "aperture_width"):
            value = positive(name.replace("_", " "), getattr(self, name), "m")
            object.__setattr__(self, name, plain(value))
        together(focal_length=self.focal_length, aperture_width=self.aperture_width)

    # --- other ways to say the same curve -----------------------------------------------------
    @classmethod
    def from_two(cls, **two: ArrayLike) -> Parabola:
        """Build the parabola from any two of its measures.

        Parameters
        ----------
        two : exactly two of aperture_width, focal_length, sheet_width, depth [m] and
            rim_angle_deg [deg].

        Raises
        ------
        ValueError : not two measures, an unknown one, or a pair no parabola has.

        Example
        -------
        >>> round(Parabola.from_two(aperture_width=0.640, depth=0.128).focal_length, 3)
        0.2
        """
        known = ("aperture_width", "focal_length", "sheet_width", "depth", "rim_angle_deg")
        for name in two:
            if name not in known:
                raise ValueError(f"{name} is not a measure of the curve; use two of {known}.")
        if len(two) != 2:
            raise ValueError(f"Give exactly two of {', '.join(known)}; {len(two)} came.")
        given = {}
        for name, value in two.items():
            words = name.removesuffix("_deg").replace("_", " ")
            angle = name == "rim_angle_deg"
            given[name] = (within(words, value, 0.1, 179.9, "deg") if angle else
                           positive(words, value, "m"))  # fmt: skip
        focal_length = _focal_length(given)
        width = given.get("aperture_width")
        if width is None:
            width = 4 * focal_length * _half_tangent(focal_length, given)
        return cls(focal_length=plain(focal_length), aperture_width=plain(width))

    @classmethod
    def from_sheet(cls, sheet_width: ArrayLike, **other: ArrayLike) -> Parabola:
        """Build the parabola that uses up a sheet [m], given one more measure of it.

        Example
        -------
        >>> round(Parabola.from_sheet(sheet_width=0.700, rim_angle_deg=90).focal_length, 4)
        0.1525
        """
        return cls.from_two(sheet_width=sheet_width, **other)

    # --- measures of the whole section ---------------------------------------------------------
    @property
    def _half(self) -> Array:
        """u = W/(4f) = tan(rim angle / 2)."""
        return self.aperture_width / (4 * self.focal_length)

    @property
    def rim_angle_deg(self) -> Array:
        """Angle at the focus between axis and rim, 2 atan(W/4f) [deg]; may exceed 90."""
        return plain(2 * np.degrees(np.arctan(self._half)))

    @property
    def edge_slope_deg(self) -> Array:
        """Slope of the curve at the rim, half the rim angle [deg]."""
        return plain(np.degrees(np.arctan(self._half)))

    @property
    def depth(self) -> Array:
        """Height of the rim above the vertex, W²/(16f) [m]."""
        return plain(self.aperture_width**2 / (16 * self.focal_length))

    @property
    def sheet_width(self) -> Array:
        """Width of the sheet along the curve, without trim [m]: 2f [u sqrt(1+u²) + asinh u]."""
        return plain(2 * _arc(self.aperture_width / 2, self.focal_length))

    @property
    def focus_above_rim(self) -> Array:
        """Height of the focus above the plane of the rims [m]; below zero when inside."""
        return plain(self.focal_length - self.depth)

    @property
    def rim_distance(self) -> Array:
        """Distance from the rim to the focus, f + W²/(16f) [m]."""
        return plain(self.focal_length + self.depth)

    @property
    def mean_focal_distance(self) -> Array:
        """Mirror-to-focus distance averaged over the opening, f + W²/(48f) [m]."""
        return plain(self.focal_length + self.aperture_width**2 / (48 * self.focal_length))

    @property
    def bend_radius(self) -> Array:
        """Tightest bend of the sheet, at the vertex, 2f [m]."""
        return plain(2 * self.focal_length)

    def area(self, length: ArrayLike) -> Array:
        """Opening area W·L [m²] of a trough of this length [m]: what meets the sun."""
        return plain(self.aperture_width * positive("trough length", length, "m"))

    # --- measures at one place -----------------------------------------------------------------
    def height(self, x: ArrayLike) -> Array:
        """Height y = x²/(4f) [m] above the vertex at x [m] from the centre line."""
        return plain(np.square(np.asarray(x, float)) / (4 * self.focal_length))

    def slope_deg(self, x: ArrayLike) -> Array:
        """Slope atan(x/2f) [deg] at x [m]."""
        return plain(np.degrees(np.arctan(np.asarray(x, float) / (2 * self.focal_length))))

    def focal_distance(self, x: ArrayLike) -> Array:
        """Distance f + x²/(4f) [m] from the mirror at x [m] to the focus."""
        return plain(self.focal_length + self.height(x))

    def curvature(self, x: ArrayLike) -> Array:
        """Curvature cos³(slope)/(2f) [1/m] at x [m]; the inverse of the bend radius there."""
        cosine = np.cos(np.radians(self.slope_deg(x)))
        return plain(cosine**3 / (2 * self.focal_length))

    def arc(self, x: ArrayLike) -> Array:
        """Length along the sheet [m] from the centre line to x [m], with the sign of x."""
        return plain(_arc(np.asarray(x, float), self.focal_length))

    def x_at_arc(self, s: ArrayLike) -> Array:
        """Where a hole at arc distance s [m] along the sheet lies across the trough, x [m].

        The inverse of `arc`, by Newton's method on asinh-type growth.

        Example
        -------
        >>> round(Parabola(0.170, 0.640).x_at_arc(0.300), 4)
        0.273
        """
        s = np.asarray(s, dtype=float)
        f = np.asarray(self.focal_length)
        x = np.sign(s) * np.minimum(np.abs(s), 2 * np.sqrt(f * np.abs(s)))
        for _ in range(50):
            step = (_arc(x, f) - s) / np.sqrt(1 + (x / (2 * f)) ** 2)
            x = x - step
            if np.all(np.abs(step) <= 1e-15 * (np.abs(x) + f)):
                break
        return plain(x)


def _half_tangent(focal_length: NDArray, given: dict[str, NDArray]) -> NDArray:
    """Return u = W/(4f) from the focal length and one more measure that isn't the width."""
    if "rim_angle_deg" in given:
        return np.tan(np.radians(given["rim_angle_deg"]) / 2)
    if "depth" in given:
        return np.sqrt(given["depth"] / focal_length)
    ratio = given["sheet_width"] / focal_length
    return _solve_increasing(
        lambda u: 2 * (u * np.sqrt(1 + u * u) + np.arcsinh(u)),
        lambda u: 4 * np.sqrt(1 + u * u),
        ratio,
        np.minimum(ratio / 4, np.sqrt(ratio / 2)),
        "sheet width and focal length",
    )


def _focal_length(given: dict[str, NDArray]) -> NDArray:
    """Return the focal length from two measures."""
    if "focal_length" in given:
        return given["focal_length"]
    if "rim_angle_deg" in given:
        t = np.tan(np.radians(given["rim_angle_deg"]) / 2)
        if "aperture_width" in given:
            return given["aperture_width"] / (4 * t)
        if "depth" in given:
            return given["depth"] / t**2
        return given["sheet_width"] / _arc_ratio(given["rim_angle_deg"])
    if "aperture_width" in given and "depth" in given:
        return given["aperture_width"] ** 2 / (16 * given["depth"])
    # sheet width with the opening or with the depth: one equation for u = W/(4f)
    sheet = given["sheet_width"]
    if "aperture_width" in given:
        width = given["aperture_width"]
        if np.any(sheet <= width):
            raise ValueError("The sheet must be wider than the opening; it follows the curve.")
        u = _solve_increasing(
            lambda u: (np.sqrt(1 + u * u) + np.arcsinh(u) / u) / 2,
            lambda u: (
                (u / np.sqrt(1 + u * u) + (1 / np.sqrt(1 + u * u) - np.arcsinh(u) / u) / u) / 2
            ),
            sheet / width,
            np.sqrt(6 * (sheet / width - 1)),
            "sheet width and opening",
        )
        return width / (4 * u)
    depth = given["depth"]
    if np.any(sheet <= 2 * depth):
        raise ValueError("The sheet must be wider than twice the depth; it reaches both rims.")
    v = _solve_increasing(  # v = 1/u, so that a shallow trough is a large v
        lambda v: 2 * (np.sqrt(1 + v * v) + v * v * np.arcsinh(1 / v)),
        lambda v: 4 * v * np.arcsinh(1 / v),
        sheet / depth,
        sheet / (4 * depth),
        "sheet width and depth",
    )
    return depth * v**2
