"""What do I mark on the rib, and what curve has the print really got?

In: the parabola, the sheet between rib and mirror surface, the two bars measured
on a print. Out: the rib table, the beam's miss when the sheet is thick, the focal
length of a stretched print and where to move the pipe. Metres and degrees.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

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

    y = x²/(4f) at x = 0, step, 2 step, ... and at the rim

    Parameters
    ----------
    p : the parabola of the mirror surface.
    step : distance between points across [m]; the rim is always the last point.
    backing : distance from rib to mirror surface [m], such as the sheet's thickness.

    Returns
    -------
    RibTable : arrays (n,), lengths [m] and slope [deg].

    Raises
    ------
    ValueError : a step below 0.1 mm or beyond the rim, a backing below 0.

    Valid for: one parabola at a time; the saw's own width is not taken off.

    Example
    -------
    >>> rib_table(Parabola(0.170, 0.640)).height[5].round(4)
    np.float64(0.0147)

    Source: the equation of the parabola.
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


def _backing(value: ArrayLike) -> NDArray:
    return within("backing", value, 0, 0.5, "m", "from the rib to the mirror surface")


def rib_height_under_backing(p: Parabola, x: ArrayLike, backing: ArrayLike) -> Array:
    """Return the rib height that puts a surface lying inside the rib on the parabola.

    The rib is the curve parallel to the parabola, x = X + t sin(slope),
    y = Y - t cos(slope), measured from its own lowest point.

    Parameters
    ----------
    p : the parabola of the mirror surface.
    x : place across the rib [m], any shape.
    backing : distance t from rib to mirror surface [m], 0 or more.

    Returns
    -------
    [m], broadcast shape; above the rib's lowest point.

    Raises
    ------
    ValueError : a backing below 0 or above 0.5 m.

    Valid for: a backing of even thickness that lies on the rib all along.

    Example
    -------
    >>> round(rib_height_under_backing(Parabola(0.170, 0.640), 0.0, 0.006), 9)
    0.0

    Source: parallel curve (offset along the normal); the tests measure its distance.
    """
    x, t = np.asarray(x, float), _backing(backing)
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
    """Return how far the beam passes the focus when the mirror surface lies inside the rib curve.

    miss = t sin(slope) - d sin(2 slope), with the pipe moved outward by d

    Parameters
    ----------
    p : the parabola of the rib.
    thickness : distance t from rib to mirror surface [m], 0 or more.
    x : place across [m]; the rim when left out.
    pipe_moved : how far d the pipe was moved away from the vertex [m]; t/2 is a good choice.

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : a thickness below 0 or above 0.5 m.

    Valid for: a backing thin beside the focal length.

    Example
    -------
    >>> round(backing_offset(Parabola(0.170, 0.640), 0.006), 4)
    0.0041

    Source: one reflected ray; the tests follow it.
    """
    place = np.asarray(p.aperture_width) / 2 if x is None else x
    slope = np.radians(p.slope_deg(place))
    moved = np.asarray(pipe_moved) * np.sin(2 * slope)
    return plain(_backing(thickness) * np.sin(slope) - moved)


# --- the printed template ----------------------------------------------------------------------
def printed_focal_length(focal_length: ArrayLike, scale_x: ArrayLike, scale_y: ArrayLike) -> Array:
    """Return the focal length of a template printed sx times as wide and sy times as high.

    f' = f sx²/sy: a stretched parabola is still an exact parabola; width counts twice, height
    once and the other way round.

    Parameters
    ----------
    focal_length : intended focal length f [m].
    scale_x, scale_y : printed size / intended size, across and down [1]. All broadcastable.

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : a focal length or scale that is not above zero.

    Valid for: a print stretched evenly; a page pulled askew is no parabola any more.

    Example
    -------
    >>> round(printed_focal_length(0.170, 1.0, 0.98), 4)
    0.1735

    Source: put x/sx and y/sy into y = x²/(4f).
    """
    scale_x = positive("scale across", scale_x, "")
    scale_y = positive("scale down", scale_y, "")
    return plain(positive("focal length", focal_length, "m") * scale_x**2 / scale_y)


def printed_parabola(p: Parabola, scale_x: ArrayLike, scale_y: ArrayLike) -> Parabola:
    """Return the parabola that the saw follows when the print is stretched.

    f' = f sx²/sy, W' = sx W

    Parameters
    ----------
    p : the parabola intended.
    scale_x, scale_y : printed size / intended size, across and down [1].

    Returns
    -------
    Parabola : broadcast shape.

    Raises
    ------
    ValueError : a scale that is not above zero.

    Valid for: a print stretched evenly, see `printed_focal_length`.

    Example
    -------
    >>> round(printed_parabola(Parabola(0.170, 0.640), 0.97, 0.97).focal_length, 4)
    0.1649

    Source: see `printed_focal_length`.
    """
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

    sx = bar across / its nominal length, sy = bar down / its nominal length

    Parameters
    ----------
    p : the parabola intended.
    bar_across, bar_down : measured lengths [m] of the bar across and the bar down the page.
    nominal_across, nominal_down : what they should measure [m].

    Returns
    -------
    PrintCheck : scales, the curve the print really has, and how far to move the pipe;
        `optics.print_loss` tells how much light is lost if it stays.

    Raises
    ------
    ValueError : a bar that measures less than half or more than twice its length.

    Valid for: bars printed along the axes of the curve.

    Example
    -------
    >>> check = check_print(Parabola(0.170, 0.640), bar_across=0.194, bar_down=0.150)
    >>> round(check.printed.focal_length, 5), round(check.move_pipe, 5)
    (0.15995, -0.01005)

    Source: see `printed_focal_length`; 200 mm and 150 mm bars are common practice.
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
