"""What every page carries, so that a wrong print shows before wood is sawn.

In: the paper, the identity of the design. Out: a PDF in true millimetres whose
pages all hold a border of stated size, a 200 mm bar across, a 150 mm bar down
(inches beside them), a 20 mm square and who, what and when.

All pages lie on their long side: the bar across then always tells the same
printer axis. The border fits A4 and Letter with margins of at least 11.9 mm. x
runs right and y down from the border's top left corner, in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime

from solarlib.design.cutting import TILE, TILE_OVERLAP
from solarlib.pack.drawing import Circle, Drawing, Label, Line, Shape, Tile
from solarlib.pack.ink import Ink, day_text, short_line

PAPERS = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}  # ISO 216; ANSI Y14.1 (8.5 x 11 in)
BORDER = (254.0, 186.0)
WINDOW = (TILE[0] * 1000, TILE[1] * 1000)  # what a template page can show
STRIP = BORDER[1] - WINDOW[1]  # identity along the lower edge of the border
OVERLAP = TILE_OVERLAP * 1000  # of neighbouring template pages
BAR_ACROSS, BAR_DOWN, SQUARE = 200.0, 150.0, 20.0
RULER = 9.5  # room a bar takes beside its length
MARGIN = 4.0
# room for words and tables on an ordinary page: left, top, right, bottom
BODY = (MARGIN, MARGIN, BORDER[0] - SQUARE - MARGIN, WINDOW[1] - RULER - MARGIN)


@dataclass(frozen=True)
class Identity:
    """What stands on every page; `not_cleared` counts the gates that are not met."""

    learner: str
    title: str
    version: str
    fingerprint: str
    day: date
    not_cleared: int

    @property
    def mark(self) -> str:
        """The mark of a design with open gates; empty when all are met."""
        if not self.not_cleared:
            return ""
        return f"NOT CLEARED: {self.not_cleared} item{'s' if self.not_cleared > 1 else ''}"


class Paper(Ink):
    """The pages of one pack.

    Parameters
    ----------
    size : "a4" or "letter". identity : who, what and when. pages : how many will come.

    Raises
    ------
    ValueError : another paper size.
    """

    def __init__(self, size: str, identity: Identity, pages: int) -> None:
        if size not in PAPERS:
            raise ValueError(f"Paper “{size}” is not known; use {' or '.join(PAPERS)}.")
        width, height = PAPERS[size]
        self.identity, self.pages, self.size = identity, pages, size
        super().__init__(width, height, (width - BORDER[0]) / 2, (height - BORDER[1]) / 2)
        self.pdf.set_creation_date(
            datetime(identity.day.year, identity.day.month, identity.day.day, 12, tzinfo=UTC)
        )
        self.pdf.set_title(f"{short_line(identity.title)} – build pack")
        self.pdf.set_creator("solarlib pack")
        self.pdf.set_lang("en")

    def bytes(self) -> bytes:
        """The finished file."""
        return bytes(self.pdf.output())

    def heading(self, x: float, y: float, text: str, size: float = 15) -> float:
        """Write a heading whose top is at y; returns the y below it."""
        return self.paragraph(x, y, BODY[2] - x, text, size, bold=True) + 1.5

    # --- the page ------------------------------------------------------------------------------
    def new_page(self, rulers: bool = True) -> None:
        """Begin a page with border, identity and, unless the page places them itself, the bars."""
        self.pdf.add_page()
        number = self.pdf.page_no()
        self.box(0, 0, *BORDER, "cut")
        self.line([(0, WINDOW[1]), (BORDER[0], WINDOW[1])], "fine")
        base, who = BORDER[1] - 1.4, self.identity
        end = BORDER[0] - MARGIN / 2
        end -= self.width_of(f"page {number} of {self.pages}", 10)
        self.words(end, base, f"page {number} of {self.pages}", 10)
        if who.mark:
            width = self.width_of(who.mark, 10, bold=True) + 4
            end -= width + 3
            self.filled(_corners(end, WINDOW[1] + 0.4, width, STRIP - 0.8))
            self.pdf.set_text_color(255)
            self.words(end + 2, base, who.mark, 10, bold=True)
            self.pdf.set_text_color(0)
        learner = short_line(who.learner, 24) or "no learner id"
        text = f"{learner} · version {short_line(who.version, 12)} · {day_text(who.day)}"
        text += f" · design {who.fingerprint} · {short_line(who.title, 40)}"
        self.words(MARGIN / 2, base, text, 10, within=end - MARGIN)
        if rulers:
            self.bar_across(BODY[0], WINDOW[1] - RULER)
            self.bar_down(BORDER[0] - RULER - 1.0, MARGIN)
            self.square(BORDER[0] - SQUARE - 2.0, WINDOW[1] - SQUARE - 1.5)

    def bar_across(self, x: float, y: float) -> None:
        """Draw the 200 mm bar with its top left corner at (x, y)."""
        words = f"{BAR_ACROSS:.0f} mm across"
        self._bar(x, y, BAR_ACROSS, words, "border 254 × 186 mm (10 × 7 5/16 in)")

    def bar_down(self, x: float, y: float) -> None:
        """Draw the 150 mm bar with its top left corner at (x, y)."""
        middle = self._left + x, self._top + y
        with self.pdf.rotation(-90, *middle):
            self._bar(x, y - RULER, BAR_DOWN, f"{BAR_DOWN:.0f} mm down", "")

    def _bar(self, x: float, y: float, length: float, words: str, note: str) -> None:
        """Draw a ruler: the measured line, millimetres above it, inches below it."""
        middle = y + RULER / 2
        self.line([(x, middle), (x + length, middle)], "cut")
        for millimetre in range(0, int(length) + 1, 10):
            at, end = x + millimetre, millimetre in (0, int(length))
            tick = 4.2 if end else 2.0 if millimetre % 50 else 3.0
            self.line([(at, middle - tick), (at, middle)], "cut" if end else "fine")
        quarters = int(length / 6.35)
        for quarter in range(quarters + 1):
            tick = 3.0 if quarter % 4 == 0 else 1.6 if quarter % 2 else 2.2
            at = x + quarter * 6.35
            self.line([(at, middle), (at, middle + tick)], "fine")
        self.words(x + 1.2, middle - 0.9 - 2.0, words, 7, bold=True)
        if note:
            self.words(x + length - 1.2, middle - 2.9, note, 7, align="right")
        for inch in range(1, int(length / 25.4) + 1):
            self.words(x + inch * 25.4 + 0.6, middle + 4.2, f"{inch} in", 7)

    def square(self, x: float, y: float) -> None:
        """Draw the 20 mm square with its top left corner at (x, y)."""
        self.box(x, y, SQUARE, SQUARE, "mark")
        self.words(x + SQUARE / 2, y + SQUARE / 2 - 0.5, "20 mm", 9, align="middle")
        self.words(x + SQUARE / 2, y + SQUARE / 2 + 4, "square", 9, align="middle")

    # --- drawings ------------------------------------------------------------------------------
    def shape(self, shape: Shape, scale: float, x0: float, y0: float) -> None:
        """Draw one shape: drawing (0, 0) lands on page (x0, y0), y up becomes y down."""
        if isinstance(shape, Line):
            points = [(x0 + x * scale, y0 - y * scale) for x, y in shape.points]
            self.line(points, shape.stroke, shape.closed)
        elif isinstance(shape, Circle):
            self.circle(
                x0 + shape.x * scale, y0 - shape.y * scale, shape.radius * scale, shape.stroke
            )
        else:
            side = {"start": "left", "middle": "middle", "end": "right"}[shape.anchor]
            self.words(
                x0 + shape.x * scale,
                y0 - shape.y * scale,
                shape.text,
                shape.size_pt,
                align=side,
                turned_deg=shape.turned_deg,
            )

    def sketch(self, drawing: Drawing, x: float, y: float, width: float, height: float) -> float:
        """Draw a piece small enough for a box whose top left is (x, y); returns the scale."""
        scale = min(width / drawing.width, height / drawing.height)
        x0 = x + (width - drawing.width * scale) / 2 - drawing.left * scale
        y0 = y + (height + drawing.height * scale) / 2 + drawing.bottom * scale
        for shape in drawing.shapes:
            if not isinstance(shape, Label):
                self.shape(shape, scale, x0, y0)
        return scale

    def strip_piece(self, strip: Drawing, start: float, end: float, x: float, y: float) -> None:
        """Draw a strip from `start` to `end` [mm] at true size, its top left corner at (x, y)."""
        self.box(x, y, end - start, strip.height, "mark")
        with self.pdf.rect_clip(self._left + x, self._top + y, end - start, strip.height):
            for shape in strip.shapes:
                self.shape(shape, 1.0, x - start, y + strip.top)

    def tile(self, tile: Tile) -> tuple[float, float]:
        """Draw a page's window of a piece at true size; returns the page place of its (0, 0)."""
        x0, y0 = -tile.left, WINDOW[1] + tile.bottom
        with self.pdf.rect_clip(self._left, self._top, *WINDOW):
            for shape in tile.drawing.shapes:
                self.shape(shape, 1.0, x0, y0)
        return x0, y0


def _corners(x: float, y: float, width: float, height: float) -> list[tuple[float, float]]:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
