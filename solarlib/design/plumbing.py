"""Can steam always get out? The water's way as a small graph of parts and links.

In: the parts that hold water with their heights, and the links between them, each
with what stands in it. Out: for every part the way to the open air that passes no
valve, cap or trap and never dips on its way up, or the reason why there is none.
"""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass

AIR = "open air"
FREE = ("open", "vent", "gap under the lid", "spout", "joint", "hose")  # what cannot shut
_HIGHEST = 100.0  # m; farther up or down is no part of a small heater


class PlumbingError(ValueError):
    """Parts or links that cannot be read; one sentence."""


@dataclass(frozen=True)
class Link:
    """Two parts joined; `through` names what stands between them."""

    first: str
    second: str
    through: str = "open"

    @property
    def blocks(self) -> bool:
        """Something in this link can shut: whatever is not known to be open counts as shut."""
        return self.through not in FREE


@dataclass(frozen=True)
class Plumbing:
    """Parts that hold water, with the height of each part's top [m], and the links.

    Heights count from the ground. The demo: a pipe, a hose up to a lidded pot whose lid
    leaves a gap, a second hose from the pot back to the pipe.
    """

    parts: tuple[tuple[str, float], ...] = (
        ("pipe", 0.80),
        ("rising hose", 1.00),
        ("pot", 1.25),
        ("return hose", 1.00),
    )
    links: tuple[Link, ...] = (
        Link("pipe", "rising hose", "joint"),
        Link("rising hose", "pot", "open"),
        Link("pot", "return hose", "open"),
        Link("return hose", "pipe", "joint"),
        Link("pot", AIR, "gap under the lid"),
    )

    def __post_init__(self) -> None:
        names = [name for name, _ in self.parts]
        if not names or len(set(names)) != len(names) or AIR in names:
            raise PlumbingError(
                f"name each part once; “{AIR}” is the world outside and needs no height."
            )
        for name, height in self.parts:
            if not abs(height) <= _HIGHEST:  # also refuses nan, which is neither above nor below
                raise PlumbingError(
                    f"the height of {name} is {height:g} m; it must lie between −{_HIGHEST:g} and "
                    f"{_HIGHEST:g} m."
                )
        for link in self.links:
            for end in (link.first, link.second):
                if end not in names and end != AIR:
                    known = ", ".join(names)
                    raise PlumbingError(
                        f"a link names “{end}”, which is no part; the parts are {known} and {AIR}."
                    )

    @classmethod
    def from_words(cls, heights: dict[str, float], links: list[str]) -> Plumbing:
        """Read links like "pot - open air: gap under the lid"; heights in metres."""
        found = []
        for line in links:
            ends, _, through = line.partition(":")
            pair = [end.strip() for end in ends.split(" - ")]
            if len(pair) != 2 or not all(pair):
                raise PlumbingError(
                    f"“{line}” is no link; write it like “pot - {AIR}: gap under the lid”."
                )
            found.append(Link(pair[0], pair[1], through.strip().lower() or "open"))
        return cls(tuple(heights.items()), tuple(found))

    def link_words(self) -> list[str]:
        """The links as `from_words` reads them."""
        return [f"{one.first} - {one.second}: {one.through}" for one in self.links]


@dataclass(frozen=True)
class Way:
    """The way of one part to the open air: open or not, the parts on it, a sentence.

    tried : where there is none, the way to where it is stopped, between the last two parts.
    """

    part: str
    is_open: bool
    path: tuple[str, ...]
    reason: str
    tried: tuple[str, ...] = ()


def ways_out(plumbing: Plumbing) -> tuple[Way, ...]:
    """Return for every part its way to the open air, best possible.

    A way counts when no link on it can shut and no part on it lies lower than the part
    before: water stands in a dip and makes it a trap.
    """
    heights = dict(plumbing.parts)
    return tuple(_way(plumbing, heights, name) for name in heights)


def joined(plumbing: Plumbing, first: str, second: str) -> bool:
    """Tell whether water can get from one part to another; the air between two vents does not count."""
    reached, more = {first}, True
    while more:
        ends = [(one.first, one.second) for one in plumbing.links]
        found = {b if a in reached else a for a, b in ends if (a in reached) != (b in reached)}
        more = bool(found - {AIR})
        reached |= found - {AIR}
    return second in reached


def _way(plumbing: Plumbing, heights: dict[str, float], start: str) -> Way:
    path = _search(plumbing, heights, start, may_shut=False, may_dip=False)
    if path:
        steps = " to ".join(path)
        return Way(start, True, path, f"{start} is open: {steps}, rising all the way.")
    dips = _search(plumbing, heights, start, may_shut=False, may_dip=True)
    if dips:
        end = next(k for k, (a, b) in enumerate(itertools.pairwise(dips), 2)
                   if b != AIR and heights[b] < heights[a])  # fmt: skip
        return Way(start, False, (), f"{start} reaches the air only through {dips[end - 1]}, which "
                   "lies lower: water stands there and shuts the way.", dips[:end])  # fmt: skip
    shut = _search(plumbing, heights, start, may_shut=True, may_dip=True)
    for end, pair in enumerate(itertools.pairwise(shut), 2):
        blocked = [one for one in plumbing.links if {one.first, one.second} == set(pair)]
        if blocked and all(one.blocks for one in blocked):
            return Way(start, False, (), f"{start} reaches the air only past "
                       f"“{blocked[0].through}”, which can shut.", shut[:end])  # fmt: skip
    return Way(start, False, (), f"{start} has no way to the open air at all.")


def _search(
    plumbing: Plumbing, heights: dict[str, float], start: str, may_shut: bool, may_dip: bool
) -> tuple[str, ...]:
    """Return the shortest way from a part to the air under the given rules, () if none."""
    order = itertools.count()  # of two ways as short, the one whose links stand first
    queue: list[tuple[int, int, tuple[str, ...]]] = [(0, next(order), (start,))]
    seen: set[str] = set()
    while queue:
        *_, path = heapq.heappop(queue)
        here = path[-1]
        if here == AIR:
            return path
        if here in seen:
            continue
        seen.add(here)
        for link in plumbing.links:
            if here not in (link.first, link.second) or (link.blocks and not may_shut):
                continue
            there = link.second if link.first == here else link.first
            dips = there != AIR and heights[there] < heights[here] - 1e-9
            if there not in path and (may_dip or not dips):
                heapq.heappush(queue, (len(path), next(order), (*path, there)))
    return ()
