"""What slanting light does at the pipe's ends, and how much power the pipe takes up.

In: mirror, pipe, overhang, slant of the light, sunlight and surface shares. Out:
the share that lands on the pipe's length, where the rest lands, watts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from solarlib.arrays import Array, plain, positive, within
from solarlib.optics.aim import radians
from solarlib.optics.share import NODE, WEIGHT, with_axis


def beam_slide(
    p: Any, tube_diameter: ArrayLike, incidence_deg: ArrayLike, x: ArrayLike = 0.0
) -> Array:
    """Return how far slanting light from one strip slides along the pipe: (r - a) tan(incidence).

    Light lands on the near side of the pipe, hence the radius a.

    Parameters
    ----------
    p : the mirror. tube_diameter : 2a [m].
    incidence_deg : slant of the light along the trough [deg]. x : strip [m]. Broadcastable.

    Returns
    -------
    [m], broadcast shape, with the sign of the incidence.

    Raises
    ------
    ValueError : a pipe diameter that is not above zero, an incidence beyond ±90 deg.

    Valid for: a pipe in the focus.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(1000 * beam_slide(Parabola(0.170, 0.640), 0.022, 30, x=0.320))
    179

    Source: geometry of one ray; the trace agrees.
    """
    slant = np.tan(radians("incidence", incidence_deg))
    path = np.asarray(p.focal_distance(x)) - positive("pipe diameter", tube_diameter, "m") / 2
    return plain(path * slant)


def end_effect(
    p: Any,
    tube_diameter: ArrayLike,
    trough_length: ArrayLike,
    overhang: ArrayLike = 0.0,
    incidence_deg: ArrayLike = 0.0,
) -> Array:
    """Return the share of slanting light that still lands on the pipe's length.

    1 - mean(max(0, (r - a) tan(incidence) - overhang))/L over the opening.

    Parameters
    ----------
    p : the mirror. tube_diameter : 2a [m].
    trough_length : length L of the mirror [m]. overhang : pipe beyond it at each end [m].
    incidence_deg : slant of the light along the trough [deg]. Broadcastable.

    Returns
    -------
    share : 0..1, broadcast shape.

    Raises
    ------
    ValueError : a size that is not above zero, an overhang below 0, an incidence beyond ±90 deg.

    Valid for: a straight pipe in the focus; an overhang of the same length at both ends.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(end_effect(Parabola(0.170, 0.640), 0.022, 0.900, incidence_deg=30), 3)
    0.866

    Source: geometry; agrees with a three-dimensional tracing within 0.0005.
    """
    radius = positive("pipe diameter", tube_diameter, "m")[..., None] / 2
    length = positive("trough length", trough_length, "m")[..., None]
    beyond = within("overhang", overhang, 0, np.inf, "m")[..., None]
    slant = np.tan(np.abs(radians("incidence", incidence_deg)))[..., None]
    curve = with_axis(p)
    path = curve.focal_distance(curve.aperture_width / 2 * NODE) - radius
    lost = np.clip((path * slant - beyond) / length, 0.0, 1.0)
    return plain(1 - lost @ WEIGHT)


def free_incidence_deg(p: Any, tube_diameter: ArrayLike, overhang: ArrayLike) -> Array:
    """Return the slant at which light from the rim begins to pass the pipe's end.

    atan(overhang/(r_rim - a))

    Parameters
    ----------
    p : the mirror. tube_diameter : 2a [m]. overhang : pipe beyond the mirror at each end [m].

    Returns
    -------
    [deg], broadcast shape.

    Raises
    ------
    ValueError : a pipe diameter that is not above zero, an overhang below 0.

    Valid for: a pipe in the focus; below this slant nothing is lost at the ends.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(free_incidence_deg(Parabola(0.170, 0.640), 0.022, 0.25), 1)
    38.9

    Source: `beam_slide` from the rim, turned round.
    """
    path = np.asarray(p.rim_distance) - positive("pipe diameter", tube_diameter, "m") / 2
    return plain(np.degrees(np.arctan(within("overhang", overhang, 0, np.inf, "m") / path)))


def overhang_needed(p: Any, incidence_deg: ArrayLike) -> Array:
    """Return the overhang at each end so that nothing passes: rim distance × tan(incidence).

    Parameters
    ----------
    p : the mirror. incidence_deg : slant of the light along the trough [deg], broadcastable.

    Returns
    -------
    [m], broadcast shape. The pipe's radius is not taken off: a little to spare.

    Raises
    ------
    ValueError : an incidence beyond ±90 deg.

    Valid for: a pipe in the focus.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> round(overhang_needed(Parabola(0.170, 0.640), 30), 3)
    0.185

    Source: `beam_slide` from the rim.
    """
    slant = np.tan(np.abs(radians("incidence", incidence_deg)))
    return plain(np.asarray(p.rim_distance) * slant)


@dataclass(frozen=True)
class LostLight:
    """Light past the pipe's end: share of the reflected light, and the stretch it falls on.

    starts, ends : beyond the end of the mirror, along the pipe's line [m]; nan when all
    is caught. Keep joints, hose and wood out of that stretch.
    """

    share: Array
    starts: Array
    ends: Array


def light_past_end(
    p: Any,
    tube_diameter: ArrayLike,
    trough_length: ArrayLike,
    overhang: ArrayLike = 0.0,
    incidence_deg: ArrayLike = 0.0,
) -> LostLight:
    """Return how much light passes the pipe's end and where it lands, measured from the mirror.

    share = 1 - `end_effect`, from the pipe's end to the rim's slide (r_rim - a) tan(incidence)

    Parameters
    ----------
    p : the mirror. tube_diameter : 2a [m].
    trough_length : of the mirror [m]. overhang : pipe beyond it at each end [m].
    incidence_deg : slant of the light along the trough [deg]. Broadcastable.

    Returns
    -------
    LostLight : share [1] and places [m], broadcast shape; places nan when all is caught.

    Raises
    ------
    ValueError : a size that is not above zero, an overhang below 0, an incidence beyond ±90 deg.

    Valid for: a pipe in the focus. On the side the light comes from, the pipe stays dark.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> lost = light_past_end(Parabola(0.170, 0.640), 0.022, 0.900, 0.25, incidence_deg=45)
    >>> round(lost.share, 3), lost.starts, round(lost.ends, 2)
    (0.007, 0.25, 0.31)

    Source: `end_effect` and `beam_slide`.
    """
    share = 1 - np.asarray(end_effect(p, tube_diameter, trough_length, overhang, incidence_deg))
    slide = np.abs(beam_slide(p, tube_diameter, incidence_deg, np.asarray(p.aperture_width) / 2))
    lost = slide > np.asarray(overhang)
    share, slide, overhang = np.broadcast_arrays(share, slide, np.asarray(overhang, float))
    return LostLight(
        share=plain(np.where(lost, share, 0.0)),
        starts=plain(np.where(lost, overhang, np.nan)),
        ends=plain(np.where(lost, slide, np.nan)),
    )


@dataclass(frozen=True)
class PipePower:
    """Power taken up by the pipe [W]: from the mirror, straight from the sun, and together."""

    reflected: Array
    direct: Array
    total: Array


def pipe_power(
    p: Any,
    tube_diameter: ArrayLike,
    trough_length: ArrayLike,
    tube_length: ArrayLike,
    beam: ArrayLike,
    reflectance: ArrayLike,
    absorptance: ArrayLike,
    caught: ArrayLike = 1.0,
    end_share: ArrayLike = 1.0,
    incidence_deg: ArrayLike = 0.0,
    transmittance: ArrayLike = 1.0,
) -> PipePower:
    """Return the power that the pipe takes up.

    Q = G cos(incidence) alpha tau [(W - D) L rho gamma end + D L_pipe]

    Parameters
    ----------
    p : the mirror. tube_diameter : D [m].
    trough_length, tube_length : mirror L and pipe L_pipe [m].
    beam : direct sunlight square to itself G [W/m2].
    reflectance (in use, dirt included), absorptance, caught, end_share, transmittance : shares.
    incidence_deg : [deg]. All broadcastable.

    Returns
    -------
    PipePower : [W], broadcast shape.

    Raises
    ------
    ValueError : a share outside 0 to 1, a beam outside 0 to 2000 W/m2, a size not above zero.

    Valid for: beam only; the pipe's own sunlight is counted over its whole length.

    Example
    -------
    >>> from solarlib.geometry import Parabola
    >>> p = Parabola(0.170, 0.640)
    >>> round(pipe_power(p, 0.022, 0.9, 1.4, 820, 0.82, 0.92, 0.965, incidence_deg=10).total)
    350

    Source: energy balance of the light; recomputed by two separate codes.
    """
    diameter = positive("pipe diameter", tube_diameter, "m")
    mirror_length = positive("trough length", trough_length, "m")
    pipe_length = positive("tube length", tube_length, "m")
    shares = {
        "reflectance": reflectance, "absorptance": absorptance, "share caught": caught,
        "end share": end_share, "transmittance": transmittance,
    }  # fmt: skip
    rho, alpha, gamma, end, tau = (
        within(name, value, 0, 1, "", "a share of the light") for name, value in shares.items()
    )
    sun = within("beam", beam, 0, 2000, "W/m2") * np.cos(radians("incidence", incidence_deg))
    taken = sun * alpha * tau
    lit_width = np.maximum(np.asarray(p.aperture_width) - diameter, 0.0)
    reflected = taken * lit_width * mirror_length * rho * gamma * end
    direct = taken * diameter * pipe_length
    return PipePower(plain(reflected), plain(direct), plain(reflected + direct))
