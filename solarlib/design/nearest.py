"""What would help? For an item that is not met, the nearest change of each input that meets it.

In: a design and an item such as "C4". Out: changes that were tried on the whole evaluation,
nearest first, each with the items that it would spoil. Nothing here is a rule of thumb: a
change is named because the item was met when it was tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from solarlib import reference
from solarlib.design.constraints import constraint
from solarlib.design.cutting import rib_size, round_up
from solarlib.design.entries import DesignError, limits, to_shown, to_stored
from solarlib.design.evaluation import Evaluation, evaluate
from solarlib.design.heater import HeaterDesign, demo
from solarlib.design.plumbing import AIR, Link, Plumbing, ways_out
from solarlib.design.typed import shown
from solarlib.design.variation import ENTRIES, with_entry

# what a builder can change for each item: no weather, no claim about a material
HELPS: dict[str, tuple[str, ...]] = {
    "C1": ("stock_width", "stock_length", "aperture_width", "focal_length", "trough_length"),
    "C2": ("sheet_thickness", "focal_length"),
    "C3": ("focal_length", "aperture_width"),
    "C4": ("tube_diameter", "aim_total_deg", "slope_error_mrad", "focal_length", "aperture_width",
           "tube_dx", "tube_dy"),
    "C5": ("focal_length", "aperture_width", "tube_diameter", "tube_dy", "pipe_guarded"),
    "C6": ("calendar_band_deg", "aim_date_deg", "aim_session_deg", "aim_setting_deg",
           "aim_total_deg"),
    "C7": ("water_mass", "target_c", "latest_time", "trough_length", "aperture_width",
           "reflectance_used", "absorptance", "slope_error_mrad", "usual_misaim_deg",
           "usual_incidence_deg", "tube_dx", "tube_dy", "tube_diameter", "pot_loss", "stop_c"),
    "C8": ("slot_clearance", "one_end_slides"),
    "C9": ("joint", "joint_distance", "dry_out_control", "hose_rating_c"),
    "C9a": ("tube_length", "session_half_h", "end_shields"),
    "C10": ("plumbing",),
    "C11": ("cover_cloth", "park_position", "attended_only", "wood_distance", "wood_gap"),
    "C12": ("on_roof", "joined_to_mains", "fill_method", "use"),
    "C13": ("stop_c", "delivery"),
    "C14": ("ballast", "half_base", "stored_indoors"),
    "C15": ("left_after_drain",),
    "C16": ("rib_template", "aperture_width", "focal_length"),
    "C17": ("rib_blank_length", "aperture_width", "focal_length"),  # the height comes with it
    "C18": ("beam_noon",),
}  # fmt: skip
_STEPS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)  # of the way from a value to the end of its range
_HALVINGS = 9
Meets = Callable[[HeaterDesign | None], bool]


@dataclass(frozen=True)
class WhatIf:
    """Changes that together meet an item.

    item, kind : "C4", "hard" (see `Constraint`). entries : (name, value as the design holds it).
    words : what to change. breaks : items that are met now and would not be then.
    size : how far the farthest number moves, as a share of its range; 0 for a decision.
    """

    item: str
    kind: str
    entries: tuple[tuple[str, Any], ...]
    words: str
    breaks: tuple[str, ...]
    size: float

    @property
    def sentence(self) -> str:
        """The change in words."""
        what = "gate" if self.kind == "gate" else "item"
        but = f", but {' and '.join(self.breaks)} no more" if self.breaks else ""
        return f"With {self.words} this {what} would be met{but}."


def what_if(e: Evaluation, item: str) -> tuple[WhatIf, ...]:
    """Return the changes that would meet an item, nearest first; () where none was found.

    Parameters
    ----------
    e : the evaluation of the design as it is. item : "C1" to "C18" or "C9a".

    Raises
    ------
    ValueError : an item that is not known.
    """
    state = {one.id: one for one in e.constraints}
    if item not in state:
        raise ValueError(f"There is no item “{item}”; there are {', '.join(state)}.")
    if state[item].met:
        return ()
    d = e.design

    def meets(changed: HeaterDesign | None) -> bool:
        if changed is None:
            return False
        return constraint(evaluate(changed, e.when), item).met is True

    found = [one for name in HELPS[item] for one in _changes(d, name, meets)]
    together = [] if found else _together(d, HELPS[item], meets)
    answers = [_worded(e, state, item, entries) for entries in (*found, *together)]
    return tuple(sorted(answers, key=lambda one: (len(one.breaks), one.size)))


def _worded(e: Evaluation, state: Any, item: str, entries: tuple[tuple[str, Any], ...]) -> WhatIf:
    d, size, words = e.design, 0.0, []
    for name, value in entries:
        one, now = ENTRIES[name], getattr(d, name)
        if name == "tube_wall":
            continue  # comes with its pipe
        if name == "plumbing":
            words.append(_plumbing_words(now, value))
            continue
        words.append(f"“{one.metadata['words']}” {_as_words(one, value)} instead of "
                     f"{_as_words(one, now)}")  # fmt: skip
        if one.metadata["kind"] == "number" and now is not None:
            low, high = limits(one)
            size = max(size, abs(value - now) / (high - low))
    then = {one.id: one for one in evaluate(apply(d, entries), e.when).constraints}
    breaks = tuple(n for n, one in state.items() if one.met and then[n].met is not True)
    return WhatIf(item, state[item].kind, entries, " and ".join(words), breaks, size)


def _as_words(one: Any, value: Any) -> str:
    if one.metadata["kind"] == "text":
        return f"“{value}”" if value else "nothing"
    return shown(one, value) or "not stated"


def apply(d: HeaterDesign, entries: tuple[tuple[str, Any], ...]) -> HeaterDesign:
    """Return the design with the entries of a `WhatIf` changed."""
    if len(entries) == 1:
        changed = with_entry(d, *entries[0])
        if changed is not None:
            return changed
    return replace(d, **dict(entries))


# --- one input at a time -------------------------------------------------------------------------
def _changes(d: HeaterDesign, name: str, meets: Meets) -> Iterator[tuple[tuple[str, Any], ...]]:
    """The nearest changes of one entry that meet the item, upward and downward."""
    one, now = ENTRIES[name], getattr(d, name)
    kind = one.metadata["kind"]
    if name == "tube_diameter":
        yield from _pipes(d, meets)
    elif name == "rib_blank_length":
        sizes = zip(("rib_blank_length", "rib_blank_height"), rib_size(d), strict=True)
        blank = {side: round_up(size) for side, size in sizes if size > getattr(d, side)}
        if meets(_replaced(d, blank)):
            yield tuple(blank.items())
    elif name == "plumbing":
        found = False
        for mended in _mended(now):
            if meets(with_entry(d, name, mended)):
                found = True
                yield ((name, mended),)
        if now and not found:  # several faults: a vent on each part that is shut
            shut = [Link(way.part, AIR, "vent") for way in ways_out(now) if not way.is_open]
            vented = Plumbing(now.parts, (*now.links, *shut))
            if meets(with_entry(d, name, vented)):
                yield ((name, vented),)
    elif name in ("tube_dx", "tube_dy"):  # to the focus, never to where one aim error is mended
        if now and meets(with_entry(d, name, 0.0)):
            yield ((name, 0.0),)
    elif kind == "number":
        low, high = limits(one)
        if now is None:
            now = one.metadata["demo"]
            if meets(with_entry(d, name, now)):
                yield ((name, now),)
                return
        for end in (low, high):
            value = _nearest(one, now, end, lambda v: meets(with_entry(d, name, v)))
            if value is not None:
                yield ((name, value),)
    elif kind in ("choice", "flag"):
        options = one.metadata["options"] if kind == "choice" else (True, False)
        for value in options:
            if value != now and meets(with_entry(d, name, value)):
                yield ((name, value),)
                return
    elif kind == "text" and meets(with_entry(d, name, one.metadata["demo"])):
        yield ((name, one.metadata["demo"]),)


def _nearest(one: Any, now: float, end: float, good: Callable[[float], bool]) -> float | None:
    """The value nearest to `now`, on the way to `end`, that is good; rounded so that it stays."""
    if isinstance(one.metadata["demo"], int) or math.isclose(now, end):
        return None
    bad = now
    for step in _STEPS:
        value = now + (end - now) * step
        if good(value):
            break
        bad = value
    else:
        return None
    for _ in range(_HALVINGS):
        middle = (bad + value) / 2
        bad, value = (bad, middle) if good(middle) else (middle, value)
    return next((tidy for tidy in _rounded(one, value, end > now) if good(tidy)), value)


def _rounded(one: Any, value: float, up: bool) -> Iterator[float]:
    """Rounder numbers close to a value and within the range, the roundest first."""
    seen, (low, high) = to_shown(one, value), limits(one)
    size = math.floor(math.log10(max(abs(seen), 1e-9)))
    near = [round(seen, digits - size) for digits in (0, 1)]
    tidy = [v for v in near if abs(v - seen) <= 0.01 * abs(seen)]
    step = 10.0 ** (size - 2)
    tidy.append((math.ceil if up else math.floor)(round(seen / step, 6)) * step)
    for shown_value in tidy:
        stored = to_stored(one, float(f"{shown_value:.10g}"))
        if low <= stored <= high:
            yield stored


def _pipes(d: HeaterDesign, meets: Meets) -> Iterator[tuple[tuple[str, Any], ...]]:
    """The nearest thicker and the nearest thinner pipe that is sold and meets the item."""
    sizes = {tube.outside_diameter: tube.wall for tube in reversed(reference.TUBES.values())}
    for thicker in (True, False):
        for diameter in sorted(sizes, key=lambda size: abs(size - d.tube_diameter)):
            if diameter == d.tube_diameter or (diameter > d.tube_diameter) != thicker:
                continue
            entries = (("tube_diameter", diameter), ("tube_wall", sizes[diameter]))
            if meets(_replaced(d, dict(entries))):
                yield entries
                break


def _replaced(d: HeaterDesign, change: dict[str, Any]) -> HeaterDesign | None:
    try:
        return replace(d, **change)
    except DesignError:
        return None


# --- several at once -----------------------------------------------------------------------------
def _together(
    d: HeaterDesign, names: tuple[str, ...], meets: Meets
) -> list[tuple[tuple[str, Any], ...]]:
    """All entries as the demo has them, then as many as can be given back."""
    entries = {name: getattr(demo(), name) for name in names}
    entries = {name: value for name, value in entries.items() if value != getattr(d, name)}

    if not meets(_replaced(d, entries)):
        return []
    for name in list(entries):
        kept = entries.pop(name)
        if not meets(_replaced(d, entries)):
            entries[name] = kept
    return [tuple(entries.items())]


# --- plumbing ------------------------------------------------------------------------------------
def _mended(plumbing: Plumbing | None) -> Iterator[Plumbing]:
    """Plumbing with one thing mended: a block taken out, a dip lifted, a vent added."""
    if plumbing is None:
        yield Plumbing()
        return
    links, heights = plumbing.links, dict(plumbing.parts)
    for k, link in enumerate(links):
        if link.blocks:
            yield Plumbing(plumbing.parts, (*links[:k], replace(link, through="open"),
                                            *links[k + 1 :]))  # fmt: skip
    for part, height in plumbing.parts:
        around = [heights[end] for link in links for end in (link.first, link.second)
                  if part in (link.first, link.second) and end not in (part, AIR)]  # fmt: skip
        for higher in sorted({h for h in around if h > height}):
            yield Plumbing(tuple({**heights, part: higher}.items()), links)
    for way in ways_out(plumbing):
        if not way.is_open:
            yield Plumbing(plumbing.parts, (*links, Link(way.part, AIR, "vent")))


def _plumbing_words(now: Plumbing | None, value: Plumbing) -> str:
    if now is None:
        return "parts and links stated as the demo's are"
    words = [f"“{one.first} - {one.second}” open instead of “{old.through}”"
             for old, one in zip(now.links, value.links, strict=False) if old != one]  # fmt: skip
    words += [f"{part} at {1000 * height:.0f} mm instead of {1000 * old:.0f} mm"
              for (part, old), (_, height) in zip(now.parts, value.parts, strict=True)
              if old != height]  # fmt: skip
    words += [f"an open vent on {one.first}" for one in value.links[len(now.links) :]]
    return " and ".join(words)
