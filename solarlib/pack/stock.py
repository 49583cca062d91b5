"""The cut list, what it costs, and how its pieces lie on the stock.

In: an evaluation with its cut list and screws. Out: tables for page and CSV file,
and drawings of the boards. Sizes and counts come from `solarlib.design`.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from solarlib.design import Evaluation, Part
from solarlib.design.cutting import blank_too_small
from solarlib.pack.drawing import Drawing, Label, Line, Shape, box
from solarlib.pack.ink import short_line
from solarlib.pack.nesting import Nest, Piece, nest
from solarlib.pack.tables import Table, inches, mm

# half and whole length of the usual 2440 mm plywood sheet (common practice, no source)
BOARDS = (1.220, 2.440)
SKETCH = (107.0, 74.0)  # room for a board's sketch on the page [mm]
_GRAIN = {"rib": "grain along", "rail": "grain along", "end bracket": "grain along"}


def _size(part: Part, write: Any, last: Any = None) -> str:
    sizes = [write(part.length), write(part.width)] if part.width else [write(part.length)]
    if part.thickness:
        sizes.append((last or write)(part.thickness))
    return " × ".join(sizes) if part.length else "–"


def cut_table(e: Evaluation) -> Table:
    """Part, count, size in millimetres and inches, grain, material."""
    rows = []
    for part in e.cut_list:
        fine = short_line(part.note, 80)
        words = ", ".join(text for text in (fine, _GRAIN.get(part.name, "")) if text)
        size = _size(part, lambda v: mm(v, 0), lambda v: f"{v * 1000:g}")
        small = " × ".join(inches(size) for size in (part.length, part.width) if size) or "–"
        rows.append((part.name, str(part.count), size, small, words))
    return Table(("part", "count", "size mm", "size in, to 1/32", "remark"), tuple(rows), "lllll")


def parts_table(e: Evaluation) -> Table:
    """The same parts with the learner's own prices; empty cells are left to fill in."""
    prices = dict(e.design.prices)
    rows = []
    for part in e.cut_list:
        price = prices.get(part.name)
        each = "" if price is None else f"{price:.2f}"
        total = "" if price is None else f"{price * part.count:.2f}"
        size = _size(part, lambda v: mm(v, 0), lambda v: f"{v * 1000:g}")
        rows.append((part.name, str(part.count), size, short_line(part.note, 60), each, total))
    named = {part.name for part in e.cut_list}
    for name, price in prices.items():
        if name not in named:
            rows.append((short_line(name, 30), "1", "–", "own entry", f"{price:.2f}", f"{price:.2f}"))
    head = ("part", "count", "size mm", "stock", "price each", "price")
    return Table(head, tuple(rows), "llllrr")


def boards(e: Evaluation) -> list[tuple[str, Drawing, str]]:
    """Sketches of the mirror stock and of the plywood: title, drawing, one sentence."""
    d: Any = e.design
    parts = {part.name: part for part in e.cut_list}
    sheet = _piece(parts["mirror sheet"])
    mirror = nest([sheet], d.stock_length, d.stock_width, 0.0)
    wood = [_piece(parts[name]) for name in ("rib", "end bracket")]
    length = next((one for one in BOARDS if one >= max(p.length for p in wood)), BOARDS[-1])
    plywood = nest(wood, length, 10.0, d.saw_kerf)
    used = plywood.used_width
    small = f" {small}." if (small := blank_too_small(d)) else ""
    missing = " It does not fit: take larger stock." if mirror.missing else ""
    return [
        (
            "Mirror sheet, film side up",
            _drawing("mirror_stock", mirror, d.stock_width, {"mirror sheet": "film side up"}),
            f"Stock {mm(d.stock_length, 0)} × {mm(d.stock_width, 0)} mm, mirror "
            f"{mm(sheet.length, 0)} × {mm(sheet.width)} mm with {mm(d.edge_trim, 0)} mm trim on "
            f"each long edge.{missing}",
        ),
        (
            f"Plywood {d.board_thickness * 1000:g} mm, grain along the ribs",
            _drawing("plywood", plywood, used, {"rib": "TOO SMALL"} if small else {}),
            f"{d.rib_count} ribs and 2 end brackets take {mm(length, 0)} × "
            f"{np.ceil(used * 1000):.0f} mm in all, kerf {d.saw_kerf * 1000:g} mm kept free.{small}",
        ),
    ]


def _piece(part: Part) -> Piece:
    return Piece(part.name, part.length, part.width, part.count)


def _drawing(name: str, board: Nest, width: float, words: dict[str, str]) -> Drawing:
    long, wide = board.board_length * 1000, width * 1000
    scale = min(SKETCH[0] / long, SKETCH[1] / wide)
    shapes: list[Shape] = [box(0.0, 0.0, long, wide, "dashed")]
    for one in board.placed:
        x, y, a, b = (v * 1000 for v in (one.x, one.y, one.length, one.width))
        shapes.append(box(x, y, a, b, "mark"))
        label = tuple(
            text for text in (one.name, f"{a:.0f} × {b:.0f}", words.get(one.name, "")) if text
        )
        if b * scale > 4.0 * len(label) + 1 and a * scale > 20:  # no room for words: none
            shapes.append(Label(x + a / 2, y + b / 2, "\n".join(label), anchor="middle"))
        if one.name != "mirror sheet":
            shapes.append(Line(((x + 20, y + b - 15), (x + a - 20, y + b - 15)), "dotted"))
    return Drawing(name, name, tuple(shapes), 0.0, 0.0, long, wide)


def hole_list(e: Evaluation) -> list[str]:
    """What to drill where, as sentences."""
    d: Any = e.design
    along = np.asarray(e.screws.along) + d.trough_length / 2
    across = np.asarray(e.screws.across_arc) + e.sheet_width / 2 + d.edge_trim
    middle_along, middle_across = along[len(along) // 2], across[len(across) // 2]

    def row(places: Any) -> str:
        return ", ".join(f"{place * 1000:.0f}" for place in places)

    return [
        f"Rim strips and long edges of the sheet, from the left end: {row(along)} mm. Round hole "
        f"at {middle_along * 1000:.0f} mm, slots along the strip elsewhere.",
        f"Sheet along each rib, from the sheet's edge along the curve: {row(across)} mm. Round "
        f"hole at {middle_across * 1000:.0f} mm, slots elsewhere.",
        "Holes 1.6 mm wider than the screw at the ends, washers, no countersinks: the sheet "
        f"grows about {mm(e.sheet_growth)} mm along the trough.",
        "Ribs: both datum holes through the stack before sawing. Brackets: the same two holes.",
    ]
