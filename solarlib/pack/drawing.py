"""One drawing, in millimetres, that the PDF, the SVG and the DXF all repeat point for point.

In: lines, circles and labels with x to the right and y up, in millimetres of
the real thing. Out: the text of an SVG file, a DXF file, or shapes for `paper`.
Paper is the bench's edge of the library, so lengths here are millimetres and
say so.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import ArrayLike

from solarlib.design.tiling import Window, windows

Point = tuple[float, float]

# name -> (line width on paper [mm], dash and gap [mm] or None)
STROKES: dict[str, tuple[float, tuple[float, float] | None]] = {
    "cut": (0.5, None),
    "mark": (0.25, None),
    "fine": (0.12, None),
    "dashed": (0.25, (4.0, 2.0)),
    "dotted": (0.25, (1.0, 1.5)),
    "solid": (0.1, None),  # a closed line, filled
}


@dataclass(frozen=True)
class Line:
    """An open or closed line through points [mm]; `stroke` is a name in STROKES."""

    points: tuple[Point, ...]
    stroke: str = "cut"
    closed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle of a radius [mm] round (x, y) [mm]."""

    x: float
    y: float
    radius: float
    stroke: str = "cut"


@dataclass(frozen=True)
class Label:
    """Words at (x, y) [mm]: the left end, middle or right end of the base line, turned [deg]."""

    x: float
    y: float
    text: str
    size_pt: float = 10.0
    anchor: str = "start"
    turned_deg: float = 0.0


Shape = Line | Circle | Label


@dataclass(frozen=True)
class Drawing:
    """Shapes of one piece, true to size; name for the file, title for people.

    work : points [mm], close together, along what is sawn or drilled; () for all of it.
    """

    name: str
    title: str
    shapes: tuple[Shape, ...]
    left: float
    bottom: float
    width: float
    height: float
    work: tuple[Point, ...] = ()

    @property
    def right(self) -> float:
        """Largest x [mm]."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Largest y [mm]."""
        return self.bottom + self.height

    def lines(self) -> list[Line]:
        """Every line of the drawing, circles left out."""
        return [shape for shape in self.shapes if isinstance(shape, Line)]

    def labels(self) -> list[Label]:
        """Every label of the drawing."""
        return [shape for shape in self.shapes if isinstance(shape, Label)]


def line(x: ArrayLike, y: ArrayLike, stroke: str = "cut", closed: bool = False) -> Line:
    """Make a line from arrays of x and y [mm]."""
    pairs = zip(np.ravel(np.asarray(x, float)), np.ravel(np.asarray(y, float)), strict=True)
    return Line(tuple((float(a), float(b)) for a, b in pairs), stroke, closed)


def box(left: float, bottom: float, width: float, height: float, stroke: str = "cut") -> Line:
    """Make a rectangle [mm]."""
    right, top = left + width, bottom + height
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return Line(corners, stroke, closed=True)


def slot(x: float, y: float, width: float, length: float, stroke: str = "cut") -> Line:
    """Make an upright slot [mm] with round ends: `length` over all, middle at (x, y)."""
    radius, straight = width / 2, (length - width) / 2
    arc = np.linspace(0, np.pi, 25)
    xs = np.concatenate([x + radius * np.cos(arc), x - radius * np.cos(arc)])
    ys = np.concatenate([y + straight + radius * np.sin(arc), y - straight - radius * np.sin(arc)])
    return line(xs, ys, stroke, closed=True)


def cross(x: float, y: float, arm: float = 4.0, stroke: str = "mark") -> tuple[Line, Line]:
    """Make an upright cross [mm]."""
    return (
        Line(((x - arm, y), (x + arm, y)), stroke),
        Line(((x, y - arm), (x, y + arm)), stroke),
    )


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """Return a shape moved by (dx, dy) [mm]."""
    if isinstance(shape, Line):
        return replace(shape, points=tuple((x + dx, y + dy) for x, y in shape.points))
    return replace(shape, x=shape.x + dx, y=shape.y + dy)


# --- files -------------------------------------------------------------------------------------
def svg(drawing: Drawing, note: str = "") -> str:
    """Return the drawing as an SVG page of its true size; one user unit is one millimetre.

    Parameters
    ----------
    drawing : what to draw. note : identity of the design, kept as the file's description.
    """
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{drawing.width:.4f}mm" '
        f'height="{drawing.height:.4f}mm" '
        f'viewBox="0 0 {drawing.width:.4f} {drawing.height:.4f}">',
        f"<title>{escape(drawing.title)}</title>",
        f"<desc>{escape(note)}</desc>",
        '<g fill="none" stroke="black" font-family="DejaVu Sans, sans-serif">',
    ]
    for shape in drawing.shapes:
        parts.append(_svg_shape(moved(shape, -drawing.left, -drawing.bottom), drawing.height))
    return "\n".join([*parts, "</g>", "</svg>", ""])


def _svg_shape(shape: Shape, height: float) -> str:
    if isinstance(shape, Label):
        anchor = f' text-anchor="{shape.anchor}"' if shape.anchor != "start" else ""
        x, y = shape.x, height - shape.y
        turn = f' transform="rotate({-shape.turned_deg:g} {x:.3f} {y:.3f})"'
        size = shape.size_pt * 25.4 / 72
        return (
            f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:.3f}" fill="black" stroke="none"'
            f"{anchor}{turn if shape.turned_deg else ''}>{escape(shape.text)}</text>"
        )
    width, dash = STROKES[shape.stroke]
    look = f'stroke-width="{width:g}"'
    if dash:
        look += f' stroke-dasharray="{dash[0]:g} {dash[1]:g}"'
    if isinstance(shape, Circle):
        x, y = shape.x, height - shape.y
        return f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{shape.radius:.4f}" {look}/>'
    points = " ".join(f"{x:.4f},{height - y:.4f}" for x, y in shape.points)
    return f'<{"polygon" if shape.closed else "polyline"} points="{points}" {look}/>'


def can_write_dxf() -> bool:
    """Say whether the optional library for DXF files is installed."""
    import importlib.util

    return importlib.util.find_spec("ezdxf") is not None


def dxf(drawing: Drawing) -> bytes:
    """Return the drawing as a DXF file in millimetres; needs the optional library `ezdxf`."""
    import ezdxf

    ezdxf.options.write_fixed_meta_data_for_testing = True  # same design, same bytes
    document = ezdxf.new("R2010", units=4)  # 4 is millimetres
    for name in STROKES:
        document.layers.add(name.upper())
    document.layers.add("WORDS")
    space = document.modelspace()
    for shape in drawing.shapes:
        if isinstance(shape, Line):
            space.add_lwpolyline(
                shape.points, close=shape.closed, dxfattribs={"layer": shape.stroke.upper()}
            )
        elif isinstance(shape, Circle):
            space.add_circle(
                (shape.x, shape.y), shape.radius, dxfattribs={"layer": shape.stroke.upper()}
            )
        else:
            words = space.add_text(
                shape.text,
                height=shape.size_pt * 25.4 / 72,
                rotation=shape.turned_deg,
                dxfattribs={"layer": "WORDS"},
            )
            words.set_placement((shape.x, shape.y))
    for kind in sorted(document.entitydb.dxf_types_in_use()):  # else in the order of a set
        document.classes.add_class(kind)
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")


# --- tiles -------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Tile(Window):
    """One page's window [mm] on a drawing.

    printed : the places of all the drawing's sheets; the others hold nothing to saw or drill.
    """

    drawing: Drawing
    printed: tuple[tuple[int, int], ...]

    @property
    def name(self) -> str:
        """A1 is top left, B1 to its right, A2 below."""
        return _name(*self.place)

    @property
    def names(self) -> list[str]:
        """The names of all sheets of the drawing, in the order of printing."""
        return [_name(*place) for place in self.printed]

    def has(self, right: int, below: int) -> bool:
        """Tell whether the sheet so many columns to the right and rows below is printed."""
        return (self.column + right, self.row + below) in self.printed


def _name(column: int, row: int) -> str:
    return f"{chr(ord('A') + column)}{row + 1}"


def tiles(drawing: Drawing, window: tuple[float, float], overlap: float) -> list[Tile]:
    """Cut a drawing into page windows [mm] that overlap, top row first.

    A window without any of the drawing's work is left out; see `design.tiling`.
    """
    box = drawing.left, drawing.bottom, drawing.width, drawing.height
    found = windows(*box, window, overlap, drawing.work)
    printed = tuple(one.place for one in found)
    return [Tile(**vars(one), drawing=drawing, printed=printed) for one in found]


def seam_crosses(
    tile: Tile, window: tuple[float, float], overlap: float
) -> list[tuple[float, float, str]]:
    """Return the crosses (x, y [mm] on the drawing, name) to lay on the neighbour's crosses.

    They stand in the middle of the overlap; both neighbours name them alike.
    """
    crosses = []
    for step in (-1, 1):
        if tile.has(step, 0):
            x = tile.left + (overlap / 2 if step < 0 else window[0] - overlap / 2)
            first = min(tile.column, tile.column + step)
            for number, share in ((1, 0.10), (2, 0.90)):
                y = tile.bottom + share * window[1]
                name = f"{chr(ord('A') + first)}{chr(ord('B') + first)}{tile.row + 1}.{number}"
                crosses.append((x, y, name))
    for step in (-1, 1):
        if tile.has(0, step):
            y = tile.bottom + (window[1] - overlap / 2 if step < 0 else overlap / 2)
            first = min(tile.row, tile.row + step)
            for number, share in ((1, 0.15), (2, 0.85)):
                x = tile.left + share * window[0]
                letter = chr(ord("A") + tile.column)
                crosses.append((x, y, f"{letter}{first + 1}{first + 2}.{number}"))
    return crosses
