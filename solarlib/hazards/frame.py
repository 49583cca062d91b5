"""What do wind and a dry pipe do to the heater itself?

In: wind speed, opening area, where the wind's centre and the base lie; the kind of
joint and how hot the dry pipe gets. Out: force, overturning moment, ballast, margin.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from solarlib import reference
from solarlib.arrays import Array, plain, positive, within
from solarlib.hazards.finding import Finding


def wind_force(
    speed: ArrayLike,
    area: ArrayLike,
    drag: ArrayLike = reference.DRAG_TROUGH.value,
    air_density: ArrayLike = reference.AIR_DENSITY.value,
) -> Array:
    """Return the wind's force on the open mirror: F = 0.5 rho V² Cd A.

    Parameters
    ----------
    speed : gust [m/s]. area : of the opening [m2].
    drag : Cd [1]; 1.4 is the low end for a short trough, 2.3 that of a long half shell.
    air_density : [kg/m3].

    Returns
    -------
    [N], broadcast shape.

    Raises
    ------
    ValueError : a wind outside 0 to 80 m/s; area, drag or density not above zero.

    Valid for: a steady wind into the open side; gusts shake more.

    Example
    -------
    >>> round(wind_force(20, 0.576))
    198

    Source: drag equation; Cd from copies of a fluid-mechanics figure and a data book.
    """
    wind = within("wind speed", speed, 0, 80, "m/s", "metres per second; 20 m/s is 72 km/h")
    pressure = 0.5 * positive("air density", air_density, "kg/m3") * wind**2
    return plain(pressure * positive("drag coefficient", drag, "") * positive("area", area, "m2"))


def overturning_moment(force: ArrayLike, height: ArrayLike) -> Array:
    """Return the moment of a force above the base: F h.

    Parameters
    ----------
    force : F [N], 0 or more. height : h of its centre above the base [m]. Broadcastable.

    Returns
    -------
    [N m], broadcast shape.

    Raises
    ------
    ValueError : a force outside 0 to 1 MN, a height that is not above zero.

    Valid for: a level push; wind from below lifts too.

    Example
    -------
    >>> round(overturning_moment(wind_force(20, 0.576), 0.75))
    148

    Source: definition of the moment.
    """
    push = within("force", force, 0, 1e6, "N")
    return plain(push * positive("height", height, "m"))


def ballast_mass(
    force: ArrayLike,
    height: ArrayLike,
    half_base: ArrayLike,
    margin: ArrayLike = reference.OVERTURNING_MARGIN.value,
) -> Array:
    """Return the mass that keeps the stand on its feet: m = margin F h/(b g).

    Parameters
    ----------
    force : wind F [N]. height : h of its centre above the ground [m].
    half_base : b, from the middle of the mass to the tipping edge [m]. margin : [1], 1 or more.

    Returns
    -------
    [kg] of frame and ballast together, broadcast shape.

    Raises
    ------
    ValueError : a force below 0, a length not above zero, a margin outside 1 to 10.

    Valid for: tipping on firm level ground; sliding and soft soil need more.

    Example
    -------
    >>> round(ballast_mass(wind_force(20, 0.576), height=0.75, half_base=0.35))
    65

    Source: moments about the tipping edge; the margin is common practice.
    """
    more = within("margin", margin, 1, 10, "", "1.5 is usual")
    moment = overturning_moment(force, height)
    gravity = reference.GRAVITY.value
    return plain(more * moment / (positive("half base", half_base, "m") * gravity))


def joint(kind: str, dry_pipe_c: float) -> Finding:
    """Say whether a joint in the lit zone outlasts a pipe that ran dry.

    margin = temperature at which the joint gives way - hottest dry pipe

    Parameters
    ----------
    kind : a name in reference.JOINT_LIMIT_C. dry_pipe_c : hottest dry pipe [°C].

    Returns
    -------
    Finding : margin [K] and a sentence.

    Raises
    ------
    ValueError : an unknown joint, a temperature outside 0 to 1000 °C.

    Valid for: a short dry run; in service a soldered joint ends at 121 °C.

    Example
    -------
    >>> joint("tin-antimony solder", 225).value
    7.0

    Source: the joint's own, named in the finding; the margin is this course's.
    """
    if kind not in reference.JOINT_LIMIT_C:
        known = ", ".join(reference.JOINT_LIMIT_C)
        raise ValueError(f"Joint {kind!r} is not known; use one of {known}.")
    limit, wanted = reference.JOINT_LIMIT_C[kind], reference.JOINT_MARGIN_K.value
    hot = float(within("dry pipe", dry_pipe_c, 0, 1000, "°C", "see heat.dry_pipe_c"))
    margin = limit.value - hot
    verdict = f"This course asks for {wanted:.0f} K: not acceptable in the lit zone."
    if margin >= wanted:
        verdict = f"It keeps the {wanted:.0f} K this course asks for; check the maker’s own limit."
    service = ""
    if "solder" in kind:
        service = (
            f" Soldered joints are made for {reference.SOLDER_SERVICE_C.value:.0f} °C in service."
        )
    sentence = (
        f"{kind.capitalize()} holds to {limit.value:.0f} °C, the dry pipe reaches {hot:.0f} °C: "
        f"{f'{margin:.0f}'.replace('-', '−')} K of margin. {verdict}{service}"
    )
    return Finding(margin, "K", limit.source, limit.status, sentence)
