"""What print, sheet and pipe do to the curve on the bench.

In: the parabola, a measured print, a sheet's thickness, a pipe's size. Out: the
rib table, the focal length a stretched print really has and where to move the
pipe, the bend limit, growth and sag. Metres, kelvin and degrees.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.geometry.parabola import Parabola


# --- ribs ------------------------------------------------------------------------------------
@dataclass(frozen=True)
class RibTable:
    """Points of a rib from the centre line to the rim; arrays (n,).

    x, height, focal_distance, arc [m]; slope_deg [deg]; cut_height [m] is the
    height to saw when a backing lies between rib and mirror surface.
    """

    x: NDArray
    height: NDArray
    slope_deg: NDArray
    focal_distance: NDArray
    arc: NDArray
    cut_height: NDArray


def rib_table(p: Parabola, step: float = 0.020, backing: float = 0.0) -> RibTable:
    """Return the points to mark on half a rib; the other half is its mirror image.

    Parameters
    ----------
    p : the parabola of the mirror surface.
    step : distance between points across [m]; the rim is always the last point.
    backing : distance from rib to mirror surface [m], such as the sheet's thickness.

    Example
    -------
    >>> rib_table(Parabola(0.170, 0.640)).height[5].round(4)
    np.float64(0.0147)
    """
    half = p.aperture_width / 2
    within("step", step, 1e-4, half, "m")
    x = np.append(np.arange(0.0, half - 1e-9, step), half)
    return RibTable(
        x=x,
        height=p.height(x),
        slope_deg=p.slope_deg(x),
        focal_distance=p.focal_distance(x),
        arc=p.arc(x),
        cut_height=rib_height_under_backing(p, x, backing),
    )


def rib_height_under_backing(p: Parabola, x: ArrayLike, backing: ArrayLike) -> Array:
    """Return the rib height [m] that puts a surface `backing` [m] inside it on the parabola.

    The rib is the curve parallel to the parabola, x = X + t sin(slope),
    y = Y - t cos(slope), measured from its own lowest point.

    Parameters
    ----------
    x : place across the rib [m], any shape.
    backing : distance t from rib to mirror surface [m], 0 or more.
    """
    x, t = np.asarray(x, float), np.asarray(backing, float)
    if np.any(t < 0):
        raise ValueError(f"The backing is {t} m; it must be 0 m or more.")
    mirror_x = x * (2 * p.focal_length / (2 * p.focal_length + t))  # exact near the vertex
    for _ in range(40):  # Newton on X + t sin(slope(X)) = x; the slope's change is the curvature
        slope = np.radians(p.slope_deg(mirror_x))
        miss = mirror_x + t * np.sin(slope) - x
        mirror_x = mirror_x - miss / (1 + t * np.cos(slope) ** 3 / (2 * p.focal_length))
    slope = np.radians(p.slope_deg(mirror_x))
    return plain(p.height(mirror_x) - t * np.cos(slope) + t)


def backing_offset(
    p: Parabola, thickness: ArrayLike, x: ArrayLike | None = None, pipe_moved: ArrayLike = 0.0
) -> Array:
    """How far the beam passes the focus when the mirror surface lies inside the rib curve [m].

    miss = t sin(slope) - d sin(2 slope), with the pipe moved outward by d.

    Parameters
    ----------
    thickness : distance t from rib to mirror surface [m].
    x : place across [m]; the rim when left out.
    pipe_moved : how far the pipe was moved away from the vertex [m]; t/2 is a good choice.

    Example
    -------
    >>> round(backing_offset(Parabola(0.170, 0.640), 0.006), 4)
    0.0041
    """
    place = np.asarray(p.aperture_width) / 2 if x is None else x
    slope = np.radians(p.slope_deg(place))
    moved = np.asarray(pipe_moved) * np.sin(2 * slope)
    return plain(np.asarray(thickness) * np.sin(slope) - moved)


# --- the printed template ----------------------------------------------------------------------
def printed_focal_length(focal_length: ArrayLike, scale_x: ArrayLike, scale_y: ArrayLike) -> Array:
    """Focal length f sx²/sy [m] of a template printed sx times as wide and sy times as high.

    A stretched parabola is still an exact parabola: width counts twice, height
    once and the other way round.

    Parameters
    ----------
    focal_length : intended focal length [m].
    scale_x, scale_y : printed size / intended size, across and down.

    Example
    -------
    >>> round(printed_focal_length(0.170, 1.0, 0.98), 4)
    0.1735
    """
    scale_x = positive("scale across", scale_x, "")
    scale_y = positive("scale down", scale_y, "")
    return plain(positive("focal length", focal_length, "m") * scale_x**2 / scale_y)


def printed_parabola(p: Parabola, scale_x: ArrayLike, scale_y: ArrayLike) -> Parabola:
    """Return the parabola that the saw follows when the print is stretched."""
    focal_length = printed_focal_length(p.focal_length, scale_x, scale_y)
    return Parabola(focal_length, plain(p.aperture_width * np.asarray(scale_x)))


@dataclass(frozen=True)
class PrintCheck:
    """A template judged by its two bars.

    scale_x, scale_y : measured / intended. printed : the parabola it really has.
    move_pipe : how far to move the pipe away from the vertex [m] (negative: nearer).
    print_at_x, print_at_y : scales that would make the next print true.
    """

    scale_x: Array
    scale_y: Array
    printed: Parabola
    move_pipe: Array
    print_at_x: Array
    print_at_y: Array


def check_print(
    p: Parabola,
    bar_across: ArrayLike,
    bar_down: ArrayLike,
    nominal_across: float = 0.200,
    nominal_down: float = 0.150,
) -> PrintCheck:
    """Judge a printed template by the two bars measured on it.

    Parameters
    ----------
    bar_across, bar_down : measured lengths [m] of the bar across and the bar down the page.
    nominal_across, nominal_down : what they should measure [m].

    Returns
    -------
    PrintCheck : scales, the curve the print really has, and how far to move the pipe;
        `optics.intercept_factor` tells how much light is lost if it stays.
    """
    scale_x = positive("bar across", bar_across, "m") / nominal_across
    scale_y = positive("bar down", bar_down, "m") / nominal_down
    for name, scale in (("across", scale_x), ("down", scale_y)):
        if np.any((scale < 0.5) | (scale > 2)):
            raise ValueError(
                f"The bar {name} measures {np.min(scale):.2f} of its size; "
                "between 0.5 and 2 is plausible, so measure again and check the unit."
            )
    printed = printed_parabola(p, scale_x, scale_y)
    return PrintCheck(
        scale_x=plain(scale_x),
        scale_y=plain(scale_y),
        printed=printed,
        move_pipe=plain(np.asarray(printed.focal_length) - p.focal_length),
        print_at_x=plain(1 / scale_x),
        print_at_y=plain(1 / scale_y),
    )


# --- the sheet ---------------------------------------------------------------------------------
_BEND = reference.ACRYLIC_BEND_FACTOR.value


def thickest_sheet(focal_length: ArrayLike, bend_factor: ArrayLike = _BEND) -> Array:
    """Thickest sheet [m] that may be bent cold to this curve, 2f/k.

    The tightest bend is at the vertex and has radius 2f, not f.

    Parameters
    ----------
    focal_length : [m].
    bend_factor : k, smallest bend radius / thickness; 330 for acrylic, see `reference`.

    Example
    -------
    >>> round(thickest_sheet(0.170), 5)
    0.00103
    """
    return plain(
        2 * positive("focal length", focal_length, "m") / positive("bend factor", bend_factor, "")
    )


def shortest_focal_length(thickness: ArrayLike, bend_factor: ArrayLike = _BEND) -> Array:
    """Shortest focal length k·t/2 [m] to which a sheet of thickness t [m] may be bent cold."""
    return plain(
        positive("thickness", thickness, "m") * positive("bend factor", bend_factor, "") / 2
    )


def bending_strain(thickness: ArrayLike, focal_length: ArrayLike) -> Array:
    """Strain t/(4f) at the skin of the sheet at the vertex (plain ratio)."""
    return plain(
        positive("thickness", thickness, "m") / (4 * positive("focal length", focal_length, "m"))
    )


def expansion(
    length: ArrayLike,
    rise: ArrayLike,
    coefficient: ArrayLike = reference.ACRYLIC_EXPANSION.value,
) -> Array:
    """Growth a·L·dT [m] of a length [m] warmed by `rise` [K]; acrylic unless told otherwise."""
    return plain(np.asarray(coefficient, float) * positive("length", length, "m") * rise)


# --- the pipe ----------------------------------------------------------------------------------
def copper_growth(length: ArrayLike, start_c: ArrayLike, end_c: ArrayLike) -> Array:
    """Growth [m] of a copper pipe warmed from `start_c` to `end_c` [°C].

    The mean coefficient is that of the range the end temperature falls in
    (20-100, 20-200, 20-300 °C; the last is used above 300 °C).

    Example
    -------
    >>> round(copper_growth(1.40, 10, 95), 4)
    0.002
    """
    tops = [top for top, _ in reference.COPPER_EXPANSION]
    values = np.array([value.value for _, value in reference.COPPER_EXPANSION])
    place = np.minimum(np.searchsorted(tops, np.asarray(end_c, float)), len(values) - 1)
    return expansion(length, np.asarray(end_c, float) - start_c, values[place])


@dataclass(frozen=True)
class Pipe:
    """A round copper pipe.

    Parameters
    ----------
    outside_diameter, wall : [m]; the nominal size of a trade name is neither.

    Raises
    ------
    ValueError : a wall that leaves no bore.
    """

    outside_diameter: Array
    wall: Array

    def __post_init__(self) -> None:
        diameter = positive("outside diameter", self.outside_diameter, "m")
        wall = positive("wall", self.wall, "m")
        if np.any(2 * wall >= diameter):
            raise ValueError(
                f"A wall of {self.wall} m leaves no bore in a pipe of {self.outside_diameter} m; "
                "give outside diameter and wall."
            )

    @property
    def bore(self) -> Array:
        """Inside diameter [m]."""
        return plain(np.asarray(self.outside_diameter) - 2 * np.asarray(self.wall))

    @property
    def water_volume_per_metre(self) -> Array:
        """Water content [m³/m]."""
        return plain(np.pi / 4 * np.square(self.bore))

    @property
    def copper_per_metre(self) -> Array:
        """Mass of copper [kg/m]."""
        area = np.pi / 4 * (np.square(self.outside_diameter) - np.square(self.bore))
        return plain(area * reference.COPPER_DENSITY.value)

    @property
    def second_moment(self) -> Array:
        """Second moment of area, pi/64 (D⁴ - d⁴) [m⁴]."""
        bore = np.asarray(self.bore)
        return plain(np.pi / 64 * (np.asarray(self.outside_diameter, float) ** 4 - bore**4))

    def sag(self, span: ArrayLike, full: bool = True, water_density: float = 1000.0) -> Array:
        """Sag at mid-span [m] of a pipe resting on two supports `span` [m] apart.

        5 w L⁴/(384 E I); w is the weight per metre of copper and, when full, water.

        Example
        -------
        >>> round(Pipe(0.022, 0.0009).sag(1.40) * 1000, 2)
        1.08
        """
        mass = self.copper_per_metre + full * water_density * np.asarray(
            self.water_volume_per_metre
        )
        load = mass * reference.GRAVITY.value
        stiffness = reference.COPPER_MODULUS.value * np.asarray(self.second_moment)
        return plain(5 * load * positive("span", span, "m") ** 4 / (384 * stiffness))
