"""Pictures of lesson 00: the opening of a trough beside a kettle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure

from solarlib.figures.ink import HATCHES, INK, SHADES, number

KETTLE_W = 2000.0  # common practice, no source: an ordinary household kettle


@dataclass(frozen=True)
class SunsShare:
    """width, length [m], sun [W/m²]; power through the opening and likely in the water [W];
    ideal and likely litres warmed by 30 K in an hour."""

    width: float
    length: float
    sun: float
    power: float
    likely: float
    litres: float
    likely_litres: float


def frame_suns_share(figure: Figure) -> Any:
    """Draw the axes: a plan of the opening at the left, bars of watts at the right."""
    plan = figure.add_axes((0.08, 0.16, 0.32, 0.78))
    plan.set_xlim(0, 2.05)
    plan.set_ylim(0, 1.35)
    plan.set_aspect("equal")
    plan.set_xlabel("length, m")
    plan.set_ylabel("width, m")
    watts = figure.add_axes((0.60, 0.16, 0.37, 0.78))
    watts.set_xlim(0, 2600)
    watts.set_xlabel("watts")
    watts.set_yticks([0, 1, 2], ["likely in\nthe water", "through the\nopening", "a kettle"])
    watts.set_ylim(-0.6, 2.6)
    return plan, watts


def paint_suns_share(axes: Any, r: SunsShare) -> list[Any]:
    """Draw the opening to scale and three bars of watts."""
    from matplotlib.patches import Rectangle

    plan, watts = axes
    opening = Rectangle((0, 0), r.length, r.width, facecolor="#e8e8e8", edgecolor=INK, hatch="//")
    made = [plan.add_patch(opening)]
    made.append(plan.text(r.length / 2, r.width + 0.06, f"{r.width * r.length:.2f} m²",
                          ha="center"))  # fmt: skip
    for row, power in enumerate((r.likely, r.power, KETTLE_W)):
        bar = watts.barh(row, min(power, 2600), height=0.6, facecolor=SHADES[row + 1],
                         edgecolor=INK, hatch=HATCHES[row + 1])  # fmt: skip
        made += [bar, watts.text(min(power, 2000) + 40, row, f"{power:.0f} W", va="center")]
    return made


def describe_suns_share(r: SunsShare) -> str:
    """Say what the bars show."""
    share = KETTLE_W / r.likely if r.likely > 0 else float("inf")
    return (
        f"An opening of {r.width:.2f} by {r.length:.2f} metres in sun of {r.sun:.0f} watts per "
        f"square metre takes in {r.power:.0f} watts. About {r.likely:.0f} watts are likely to "
        f"reach the water: one part in {share:.0f} of a 2000 watt kettle. In an hour that warms "
        f"about {r.likely_litres:.1f} litres by 30 degrees."
    )


def table_suns_share(r: SunsShare) -> list[tuple[str, str]]:
    """List the numbers of the picture."""
    return [
        ("opening area", number(r.width * r.length, "m²")),
        ("power through the opening", number(r.power, "W")),
        ("likely in the water", number(r.likely, "W")),
        ("litres warmed by 30 °C in an hour, ideal", number(r.litres, "L")),
        ("the same, likely", number(r.likely_litres, "L")),
    ]
