"""How far may the sheet be bent, and how much does it grow in the sun?

In: the sheet's thickness, the focal length, lengths and warming. Out: the
thickest sheet for a curve, the shortest focal length for a sheet, strain and
growth. Metres and kelvin.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within

_BEND = reference.ACRYLIC_BEND_FACTOR.value


def thickest_sheet(focal_length: ArrayLike, bend_factor: ArrayLike = _BEND) -> Array:
    """Return the thickest sheet that may be bent cold to this curve.

    t = 2f/k: the tightest bend is at the vertex and has radius 2f, not f.

    Parameters
    ----------
    focal_length : f [m].
    bend_factor : k, smallest bend radius / thickness [1]; 330 for acrylic, see `reference`.

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : a focal length or bend factor that is not above zero.

    Valid for: cold bending; 330 is one maker's note, others quote down to 180.

    Example
    -------
    >>> round(thickest_sheet(0.170), 5)
    0.00103

    Source: bend radius 2f of the parabola's vertex; k from an acrylic sheet maker's note (copy).
    """
    return plain(
        2 * positive("focal length", focal_length, "m") / positive("bend factor", bend_factor, "")
    )


def shortest_focal_length(thickness: ArrayLike, bend_factor: ArrayLike = _BEND) -> Array:
    """Return the shortest focal length to which a sheet may be bent cold: f = k t/2.

    Parameters
    ----------
    thickness : t [m]. bend_factor : k, smallest bend radius / thickness [1].

    Returns
    -------
    [m], broadcast shape.

    Raises
    ------
    ValueError : a thickness or bend factor that is not above zero.

    Valid for: as `thickest_sheet`, whose inverse it is.

    Example
    -------
    >>> round(shortest_focal_length(0.001), 3)
    0.165

    Source: see `thickest_sheet`.
    """
    return plain(
        positive("thickness", thickness, "m") * positive("bend factor", bend_factor, "") / 2
    )


def bending_strain(thickness: ArrayLike, focal_length: ArrayLike) -> Array:
    """Return the strain at the skin of the sheet where it is bent most: t/(2R) = t/(4f).

    Parameters
    ----------
    thickness : t [m]. focal_length : f [m].

    Returns
    -------
    [1], broadcast shape: 0.001 is one part in a thousand.

    Raises
    ------
    ValueError : a length that is not above zero.

    Valid for: a sheet thin beside its bend radius, at the vertex.

    Example
    -------
    >>> round(100 * bending_strain(0.001, 0.170), 3)
    0.147

    Source: bending of a thin plate, any textbook of mechanics.
    """
    return plain(
        positive("thickness", thickness, "m") / (4 * positive("focal length", focal_length, "m"))
    )


def expansion(
    length: ArrayLike,
    rise: ArrayLike,
    coefficient: ArrayLike = reference.ACRYLIC_EXPANSION.value,
) -> Array:
    """Return the growth of a length when it is warmed: a L dT.

    Parameters
    ----------
    length : L [m]. rise : dT [K], below zero for cooling.
    coefficient : a [1/K]; acrylic unless told otherwise. Broadcastable.

    Returns
    -------
    [m], broadcast shape; below zero where it shrinks.

    Raises
    ------
    ValueError : a length not above zero, a coefficient outside 0 to 0.001 per kelvin.

    Valid for: free growth at one temperature all through.

    Example
    -------
    >>> round(expansion(0.90, 50), 5)
    0.00315

    Source: definition of the coefficient; its value see `reference.ACRYLIC_EXPANSION`.
    """
    per_kelvin = within("expansion coefficient", coefficient, 0, 1e-3, "1/K")
    warmed = within("warming", rise, -500, 1500, "K")
    return plain(per_kelvin * positive("length", length, "m") * warmed)
