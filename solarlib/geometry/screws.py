"""How does a springy sheet lie between its screws?

In: the parabola, the number of screws across and how they are set. Out: the line
the sheet really takes, with its slope error and its largest gap to the
parabola. At a free edge the bending moment, hence the curvature, is zero; the
parabola's is not, so the last bay straightens.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solarlib.arrays import Array, plain
from solarlib.geometry.parabola import Parabola

MODELS = {
    "elastic": "elastic sheet, large bending, slides freely under its screws",
    "elastic, tight holes": "elastic sheet, large bending, holes drilled at the parabola's arc",
    "natural cubic": "natural cubic spline y(x): takes y'' for the curvature, pessimistic",
}


@dataclass(frozen=True)
class ScrewLine:
    """The line of a sheet between screws; rays can be traced on it like on a parabola.

    parabola : the curve aimed at. model : in words. screw_x [m] : the screws.
    x, y [m], slope_error_deg [deg] : fine points of the line, (n,); flatter than the
    parabola on the right is positive. edge_slope_error_deg, rms_slope_error_deg [deg].
    largest_gap [m] : greatest distance from the parabola.
    """

    parabola: Parabola
    model: str
    screw_x: NDArray
    x: NDArray
    y: NDArray
    slope_error_deg: NDArray
    edge_slope_error_deg: float
    rms_slope_error_deg: float
    largest_gap: float

    @property
    def focal_length(self) -> Array:
        """Focal length of the curve aimed at [m]."""
        return self.parabola.focal_length

    @property
    def aperture_width(self) -> Array:
        """Opening [m]."""
        return self.parabola.aperture_width

    def height(self, x: ArrayLike) -> Array:
        """Height above the vertex of the parabola [m] at x [m]."""
        return plain(np.interp(np.asarray(x, float), self.x, self.y))

    def slope_deg(self, x: ArrayLike) -> Array:
        """Slope of the sheet [deg] at x [m]."""
        return plain(
            self.parabola.slope_deg(x)
            - np.interp(np.asarray(x, float), self.x, self.slope_error_deg)
        )


def screw_line(
    p: Parabola,
    points: int = 5,
    model: str = "elastic",
    equal_arc: bool = False,
    edge_clamped: bool = False,
) -> ScrewLine:
    """Return how a sheet lies when screwed to the parabola at a few points.

    The elastic sheet takes the line of least bending energy, integral of
    curvature² along it, through the screws (a free or, with tight holes, a
    length-bound elastica); solved with cubic finite elements and Newton's method.
    The natural cubic is there to compare with: it takes y'' for the curvature, which
    it is only where the sheet lies flat, and so finds a steep edge too straight.

    Parameters
    ----------
    p : the parabola of the ribs (one curve, not an array of them).
    points : number of screws across, the outer two on the edges; 3 or more.
    model : "elastic", "elastic, tight holes" or "natural cubic".
    equal_arc : screws equally spaced along the sheet instead of across.
    edge_clamped : a bevelled strip holds the edge at the parabola's slope.

    Returns
    -------
    ScrewLine : the line in 2001 points with its slope errors [deg] and largest gap [m].

    Raises
    ------
    ValueError : fewer than 3 points, an unknown model, an array of parabolas.

    Valid for: a thin sheet without yield, weight or flared edge, frictionless screws, a cylinder
    between the ribs, edge slopes up to about 65°.

    Example
    -------
    >>> round(screw_line(Parabola(0.170, 0.640), points=9).edge_slope_error_deg, 2)
    1.91

    Source: elastica of Euler, minimum-energy form; recomputed by a boundary-value solver in
    the tests.
    """
    if model not in MODELS:
        raise ValueError(f"“{model}” is not a model of the sheet; use one of {', '.join(MODELS)}.")
    if not isinstance(points, (int, np.integer)) or not 3 <= points <= 200:
        raise ValueError(f"{points} screws across; use a whole number from 3 to 200.")
    from scipy.interpolate import CubicSpline  # here, so that importing the course stays quick

    if np.ndim(p.focal_length) or np.ndim(p.aperture_width):
        raise ValueError("The sheet is worked out for one curve at a time; give one parabola.")
    half = p.aperture_width / 2
    if equal_arc:
        screws = np.asarray(p.x_at_arc(np.linspace(-1, 1, points) * p.sheet_width / 2))
        screws[[0, -1]] = -half, half
    else:
        screws = np.linspace(-half, half, points)

    if model == "natural cubic":
        end = half / (2 * p.focal_length)
        ends = ((1, -end), (1, end)) if edge_clamped else "natural"
        line: Callable = CubicSpline(screws, p.height(screws), bc_type=ends)
    else:
        line = _elastic(p, screws, tight=model != "elastic", clamped=edge_clamped)

    x = np.linspace(-half, half, 2001)
    slope = np.degrees(np.arctan(line(x, 1)))
    error = p.slope_deg(x) - slope
    gap = (line(x) - p.height(x)) * np.cos(np.radians(p.slope_deg(x)))
    return ScrewLine(
        parabola=p,
        model=MODELS[model],
        screw_x=screws,
        x=x,
        y=line(x),
        slope_error_deg=error,
        edge_slope_error_deg=float(error[-1]),
        rms_slope_error_deg=float(np.sqrt(np.trapezoid(error**2, x) / (x[-1] - x[0]))),
        largest_gap=float(np.max(np.abs(gap))),
    )


# Gauss points and weights on 0..1, and the four cubic shape functions there: height at the left
# end, slope at the left end, height at the right end, slope at the right end.
_T, _W = (np.polynomial.legendre.leggauss(5)[0] + 1) / 2, np.polynomial.legendre.leggauss(5)[1] / 2
_FIRST = np.array(
    [6 * _T**2 - 6 * _T, 3 * _T**2 - 4 * _T + 1, 6 * _T - 6 * _T**2, 3 * _T**2 - 2 * _T]
)
_SECOND = np.array([12 * _T - 6, 6 * _T - 4, 6 - 12 * _T, 6 * _T - 2])


def _elastic(p: Parabola, screws: NDArray, tight: bool, clamped: bool) -> Callable:
    """Minimise the bending energy over cubic elements; unknowns are heights and slopes at nodes."""
    from scipy.interpolate import CubicHermiteSpline

    bays = len(screws) - 1
    per_bay = max(4, -(-64 // bays))
    nodes = np.concatenate(
        [np.linspace(a, b, per_bay, endpoint=False) for a, b in itertools.pairwise(screws)]
        + [screws[-1:]]
    )
    h = np.diff(nodes)[:, None]
    scale = np.concatenate([1 / h, np.ones_like(h), 1 / h, np.ones_like(h)], axis=1)  # y' = N' q/h
    first = _FIRST[None] * scale[:, :, None]
    second = _SECOND[None] * (scale / h)[:, :, None]
    weight = _W * h
    places = 2 * np.arange(len(h))[:, None] + np.arange(4)  # [y0, y0', y1, y1', ...]

    q = np.empty(2 * len(nodes))
    q[0::2], q[1::2] = p.height(nodes), nodes / (2 * p.focal_length)
    held = set(range(0, 2 * len(nodes), 2 * per_bay))  # the heights at the screws
    if clamped:
        held |= {1, 2 * len(nodes) - 1}
    free = np.array([i for i in range(2 * len(nodes)) if i not in held])
    bay = np.repeat(np.arange(bays), per_bay)
    arcs = np.diff(p.arc(screws))
    tension = np.zeros(bays)

    for _ in range(100):
        slope = np.einsum("eik,ei->ek", first, q[places])
        bend = np.einsum("eik,ei->ek", second, q[places])
        stretch = 1 + slope**2
        soft = stretch**-2.5  # curvature² ds = bend² soft dx
        soft_1 = -5 * slope * stretch**-3.5
        soft_2 = -5 * stretch**-3.5 + 35 * slope**2 * stretch**-4.5
        pull = tension[bay][:, None]
        length, length_1, length_2 = stretch**0.5, slope * stretch**-0.5, stretch**-1.5
        gradient = np.einsum("eik,ek->ei", second, weight * 2 * bend * soft)
        gradient += np.einsum("eik,ek->ei", first, weight * (bend**2 * soft_1 + pull * length_1))
        cross = np.einsum("eik,ejk,ek->eij", second, first, weight * 2 * bend * soft_1)
        hessian = np.einsum("eik,ejk,ek->eij", second, second, weight * 2 * soft)
        hessian += cross + cross.transpose(0, 2, 1)
        hessian += np.einsum(
            "eik,ejk,ek->eij", first, first, weight * (bend**2 * soft_2 + pull * length_2)
        )
        force, stiffness = np.zeros(len(q)), np.zeros((len(q), len(q)))
        np.add.at(force, places, gradient)
        np.add.at(stiffness, (places[:, :, None], places[:, None, :]), hessian)
        force, stiffness = force[free], stiffness[np.ix_(free, free)]
        if tight:
            rows = np.zeros((bays, len(q)))
            np.add.at(
                rows, (bay[:, None], places), np.einsum("eik,ek->ei", first, weight * length_1)
            )
            miss = np.bincount(bay, (weight * length).sum(axis=1)) - arcs
            rows = rows[:, free]
            stiffness = np.block([[stiffness, rows.T], [rows, np.zeros((bays, bays))]])
            force = np.concatenate([force, miss])
        step = np.linalg.solve(stiffness, -force)
        q[free] += step[: len(free)]
        if tight:
            tension += step[len(free) :]
        if np.max(np.abs(step[: len(free)])) < 1e-10:
            return CubicHermiteSpline(nodes, q[0::2], q[1::2])
    raise ValueError("The sheet's line was not found; take more screws or a shallower curve.")
