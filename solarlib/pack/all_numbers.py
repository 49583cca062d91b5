"""Two quiet pages with every number of the evaluation that stands nowhere else in the pack.

In: `Facts`. Out: a list with unit and meaning, and tables of what depends on aim, wind,
temperature and each input. Nothing is computed here.
"""

from __future__ import annotations

import numpy as np

from solarlib import units
from solarlib.design.evaluation import LOSS_TEMPERATURES_C
from solarlib.pack.facts import Facts
from solarlib.pack.paper import BODY, Paper
from solarlib.pack.tables import Table

LEFT, TOP, RIGHT, BOTTOM = BODY
WIDE = RIGHT - LEFT
HALF = (WIDE - 6) / 2
TITLE = "All numbers, for whoever checks them"
SHARE_STEP = 5  # of the 61 points of the share curve every fifth is printed
MOST_LEVERS = 8
show = units.show


def number_rows(facts: Facts) -> list[tuple[str, str, str]]:
    """Name, value with its unit, and meaning of each number."""
    e, d, size = facts.evaluation, facts.design, facts.size
    line = e.sheet_line
    return [
        ("edge slope", f"{e.edge_slope_deg:.2f}°", "of the mirror at its rim"),
        ("tightest bend", size(e.bend_radius), "radius of the sheet at the vertex, 2 f"),
        ("thickest sheet", size(e.thickest_sheet), "of this material that takes the bend"),
        ("rim to focus", size(e.rim_distance), "longest way from mirror to pipe"),
        ("mean way to focus", size(e.mean_focal_distance), "over the opening"),
        ("sheet off the curve", size(line.largest_gap), "most between the screws, edges left free"),
        ("edge error", f"{line.edge_slope_error_deg:.2f}°", "slope of the sheet's free edge"),
        ("sheet error, rms", f"{line.rms_slope_error_deg:.2f}°", "slope of the whole sheet"),
        ("opening to pipe", f"{e.width_ratio:.2f}", "W / D, opening by the pipe's diameter"),
        ("area ratio", f"{e.area_ratio:.2f}", "(W − D) / (π D), without the pipe's own shadow"),
        ("acceptance angle", f"{e.acceptance_deg:.2f}°", "each side: rim light misses; sun as a point"),
        ("aim without loss", f"{e.no_loss_aim_deg:.2f}°", "each side: a perfect mirror under the round sun"),
        (f"cosine at {e.incidence_deg:.0f}° slant", f"{e.cosine:.3f}", "share of the beam on the opening"),
        ("light on the pipe's length", show(e.end_share, "%", 3), "the rest slides past the ends"),
        ("by way of the mirror", f"{e.power.reflected:.0f} W", "taken up by the pipe, of the heat in"),
        ("straight from the sun", f"{e.power.direct:.0f} W", "taken up by the pipe, of the heat in"),
        ("a setting lasts", f"{e.minutes_in_band:.0f} min", "within the session's aim share, worst day"),
        ("largest slant", f"{e.session_incidence_deg:.1f}°", "along the trough, within a session"),
        ("water comes to rest at", f"{e.plateau_c:.0f} °C", "if nobody covers it; it may boil first"),
        ("water boils at", f"{e.boiling_c:.1f} °C", "at the height of the site"),
        ("surplus at boiling", f"{_signed(e.surplus_at_boiling)} W", "heat in less losses of the pipe alone"),
        ("steam volume", f"{show(e.steam_volume, 'L/min', 3)}", "from the pipe, if it boils"),
        ("energy needed", show(e.energy_needed, "kJ", 4), "by the water alone"),
        ("energy of a day", _band(facts, "session_energy"), "into water, pipe, pot; 5 to 95 % of clear days"),
        (f"water after {d.latest_time / 60:.0f} min", _band(facts, "final_c"), "middle; 5 to 95 % of days"),
        ("sheet grows", size(e.sheet_growth), "along the trough, 50 K warmer"),
        ("wind moment", show(e.wind_moment, "N m", 3), f"at {d.stow_wind:g} m/s, about the stand's foot"),
        ("sheets of the template", f"{e.template_pages}", "for the rib, at actual size"),
        ("cost", f"{e.cost:.2f}", "your own prices over the cut list"),
    ]  # fmt: skip


def _band(facts: Facts, name: str) -> str:
    """One of the evaluation's bands: the middle, then its ends."""
    low, middle, high = facts.evaluation.bands[name]
    if name == "final_c":
        return f"{middle:.1f} °C ({low:.1f}–{high:.1f})"
    return f"{middle / 1000:.0f} kJ ({low / 1000:.0f}–{high / 1000:.0f})"


def share_table(facts: Facts) -> Table:
    """The share of light caught over the aim error."""
    misaim, share = (np.asarray(v)[::SHARE_STEP] for v in facts.evaluation.share_curve)
    head = ("aim off by °", *(f"{angle:.1f}" for angle in misaim))
    row = ("light caught %", *(f"{100 * one:.1f}" for one in share))
    return Table(head, (row,), "l" + "r" * len(misaim))


def loss_table(facts: Facts) -> Table:
    """Heat lost by pipe and pot at three winds, and the dry pipe in the same winds."""
    e = facts.evaluation
    rows = [(f"{wind:.1f}", *(f"{lost:.0f}" for lost in losses), f"{dry:.0f}")
            for wind, losses, dry in zip(e.winds, e.loss_table, e.dry_pipe_c, strict=True)]  # fmt: skip
    temps = (f"{temp:.0f} °C" for temp in LOSS_TEMPERATURES_C)
    return Table(("wind m/s", *temps, "dry pipe °C"), tuple(rows), "r" * 7)


def balance_table(facts: Facts) -> Table:
    """Absorbed, lost and useful power at the start, half-way and at the target."""
    rows = [(f"{one['temp_c']:.1f}", *(_signed(one[name]) for name in ("absorbed", "lost", "useful")))
            for one in facts.evaluation.heat_balance]  # fmt: skip
    return Table(("water °C", "taken up W", "lost W", "kept W"), tuple(rows), "rrrr")


def _signed(value: float) -> str:
    return f"{value:.0f}".replace("-", "−")


def lever_table(facts: Facts) -> Table:
    """The inputs that move the time to the target most."""
    rows = [(one.words, _minutes(one.below), _minutes(one.above))
            for one in facts.evaluation.levers[:MOST_LEVERS]]  # fmt: skip
    return Table(("input", "10 % less", "10 % more"), tuple(rows), "lrr")


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.1f}" if np.isfinite(seconds) else "never"


# --- pages -------------------------------------------------------------------------------------
def list_page(paper: Paper, facts: Facts) -> None:
    """Print the list of numbers."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, f"{TITLE}, 1 of 2")
    y = paper.paragraph(LEFT, y, WIDE, "What does not stand on the cover, in usual sun.", 10)
    rows = number_rows(facts)
    step = min(5.1, (BOTTOM - y - 7) / len(rows))
    paper.table(LEFT, y, ("number", "value", "what it is"), rows, [56, 56, WIDE - 112],
                row_height=step)  # fmt: skip


def tables_page(paper: Paper, facts: Facts) -> None:
    """Draw what depends on aim, wind, temperature and the inputs."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, f"{TITLE}, 2 of 2")
    e, x = facts.evaluation, LEFT + HALF + 6
    paper.words(LEFT, y + 4, "Light caught over the aim error", 10, bold=True)
    _share_plot(paper, facts, LEFT + 12, y + 7, HALF - 16, 46)
    low = _titled(paper, LEFT, y + 66, "Heat lost by pipe and pot, W; dry pipe in full sun",
                  loss_table(facts), [18, *[15.0] * 5, 18])  # fmt: skip
    high = _titled(paper, x, y, "Where the heat goes, usual sun and wind", balance_table(facts),
                   [HALF / 4] * 4)  # fmt: skip
    base = _minutes(e.levers[0].base)
    title = f"Minutes to the target, {base} as designed"
    high = _titled(paper, x, high + 6, title, lever_table(facts), [HALF - 40, 20, 20])
    table = share_table(facts)
    many = len(table.head) - 1
    _titled(paper, LEFT, max(low, high) + 6, f"Light caught at {e.incidence_deg:.0f}° slant", table,
            [30, *[(WIDE - 30) / many] * many])  # fmt: skip


def _titled(
    paper: Paper, x: float, y: float, title: str, table: Table, widths: list[float]
) -> float:
    paper.words(x, y + 4, title, 10, bold=True, within=sum(widths))
    return paper.table(x, y + 6, table.head, table.rows, widths, align=table.align)


def _share_plot(
    paper: Paper, facts: Facts, x: float, y: float, width: float, height: float
) -> None:
    """Draw the share curve with its axes; the aim budget is dotted."""
    misaim, share = facts.evaluation.share_curve
    end = float(misaim[-1])

    def place(angle: float, part: float) -> tuple[float, float]:
        return x + width * angle / end, y + height * (1 - part)

    for percent in range(0, 101, 20):
        paper.line([place(0, percent / 100), place(end, percent / 100)], "fine")
        at = place(0, percent / 100)
        paper.words(at[0] - 1.5, at[1] + 1.2, f"{percent}", 9, align="right")
    for angle in range(int(end) + 1):
        paper.line([place(angle, 0), place(angle, 1)], "fine")
        paper.words(place(angle, 0)[0], y + height + 4.2, f"{angle}", 9, align="middle")
    paper.line([place(a, s) for a, s in zip(misaim, share, strict=True)], "cut")
    budget = facts.design.aim_total_deg
    paper.line([place(budget, 0), place(budget, 1)], "dashed")
    paper.words(x + width, y + height + 8.4, f"aim off by °; dashed: aim budget {budget:g}°", 9,
                align="right")  # fmt: skip
    paper.words(x - 12, y + height / 2, "%", 9)
