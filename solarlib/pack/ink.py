"""Words, tables and lines on a PDF page, placed in millimetres.

In: text and points, x right and y down from an origin that the page sets. Out: ink.
Letters that the fonts lack become □; text that is too long is wrapped or cut, so
that nothing a person typed can spoil a page.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

import numpy as np
from fpdf import FPDF
from fpdf.fonts import TTFFont

from solarlib import units
from solarlib.pack.drawing import STROKES

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_PT = 25.4 / 72
_FONTS = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}


def day_text(day: date) -> str:
    """Write a date without numbers that two countries read in two ways: 1 Mar 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def short_line(text: str, longest: int = 60) -> str:
    """Make foreign text fit to print: one line, no control or direction marks, not too long."""
    kept = units.one_line(str(text))
    return kept if len(kept) <= longest else kept[: longest - 1] + "…"


class Ink:
    """A PDF with two fonts and an origin.

    Parameters
    ----------
    width, height : of the paper [mm]. left, top : where x and y are 0 [mm].
    """

    def __init__(self, width: float, height: float, left: float, top: float) -> None:
        self._left, self._top = left, top
        self.pdf = FPDF(unit="mm", format=(width, height))
        self.pdf.set_auto_page_break(False)
        self.pdf.alias_nb_pages("")  # a learner called {nb} stays {nb}
        for style, name in _FONTS.items():
            self.pdf.add_font("dejavu", style, _font_folder() / name)
        font = self.pdf.fonts["dejavu"]
        assert isinstance(font, TTFFont)
        self._known = set(font.cmap)

    # --- words ---------------------------------------------------------------------------------
    def _printable(self, text: str) -> str:
        return "".join(c if ord(c) in self._known or c == "\n" else "□" for c in text)

    def width_of(self, text: str, size: float = 10, bold: bool = False) -> float:
        """Width of one line of words [mm]."""
        self.pdf.set_font("dejavu", "B" if bold else "", size)
        return float(self.pdf.get_string_width(self._printable(text)))

    def words(
        self,
        x: float,
        y: float,
        text: str,
        size: float = 10,
        bold: bool = False,
        align: str = "left",
        within: float | None = None,
        turned_deg: float = 0.0,
    ) -> float:
        """Write one line with its base line at y; returns where the line ends.

        within : room [mm]; the line is cut with … when it is too long.
        """
        text = self._printable(text)
        if within is not None and self.width_of(text, size, bold) > within:
            while text and self.width_of(text + "…", size, bold) > within:
                text = text[:-1]
            text += "…"
        width = self.width_of(text, size, bold)
        x -= {"left": 0.0, "middle": width / 2, "right": width}[align]
        place = self._left + x, self._top + y
        if turned_deg:
            with self.pdf.rotation(turned_deg, *place):
                self.pdf.text(*place, text)
        else:
            self.pdf.text(*place, text)
        return x + width

    def wrapped(self, text: str, width: float, size: float = 10, bold: bool = False) -> list[str]:
        """Break words into lines that fit a width [mm]."""
        lines: list[str] = []
        for paragraph in text.split("\n"):
            current = ""
            for word in self._short_words(paragraph, width, size, bold):
                longer = f"{current} {word}" if current else word
                if current and self.width_of(longer, size, bold) > width:
                    lines.append(current)
                    current = word
                else:
                    current = longer
            lines.append(current)
        return lines

    def _short_words(self, text: str, width: float, size: float, bold: bool) -> Iterator[str]:
        """The words of a text; one that is wider than the line comes in pieces."""
        for word in text.split(" "):
            # no letter is wider than its size, so most words need no measuring
            while len(word) * size * _PT > width < self.width_of(word, size, bold):
                lengths = range(len(word) - 1, 1, -1)
                fits = next((n for n in lengths if self.width_of(word[:n], size, bold) <= width), 1)
                yield word[:fits]
                word = word[fits:]
            yield word

    def paragraph(
        self,
        x: float,
        y: float,
        width: float,
        text: str,
        size: float = 10,
        bold: bool = False,
        bullet: str = "",
    ) -> float:
        """Write wrapped words whose top is at y; returns the y below them."""
        step = size * _PT * 1.32
        indent = self.width_of(bullet + " ", size) if bullet else 0.0
        for number, line in enumerate(self.wrapped(text, width - indent, size, bold)):
            if bullet and number == 0:
                self.words(x, y + step * 0.78, bullet, size)
            self.words(x + indent, y + step * 0.78, line, size, bold)
            y += step
        return y

    def table(
        self,
        x: float,
        y: float,
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        widths: Sequence[float],
        size: float = 10,
        align: str = "",
        row_height: float | None = None,
        grid: bool = False,
    ) -> float:
        """Write a table whose top is at y; returns the y below it.

        align : a letter a column, l or r; left when left out. grid : lines round every cell.
        """
        step = row_height or size * _PT * 1.45
        align = align or "l" * len(widths)
        heads = [
            self.wrapped(text, width - 2, size, bold=True)
            for text, width in zip(head, widths, strict=True)
        ]
        head_step = size * _PT * 1.22
        top, deepest = y, max(len(lines) for lines in heads)
        y += deepest * head_step + 1.2
        lefts = _starts(x, widths)
        for lines, left, width, letter in zip(heads, lefts, widths, align, strict=True):
            for number, text in enumerate(reversed(lines)):
                at, side = (left + width - 1, "right") if letter == "r" else (left + 1, "left")
                self.words(at, y - 1.4 - number * head_step, text, size, bold=True, align=side)
        total = sum(widths)
        self.line([(x, y), (x + total, y)], "mark")
        for row in rows:
            base = y + step / 2 + size * _PT * 0.36
            for text, left, width, letter in zip(row, lefts, widths, align, strict=True):
                at, side = (left + width - 1, "right") if letter == "r" else (left + 1, "left")
                self.words(at, base, text, size, align=side, within=width - 1.5)
            y += step
            self.line([(x, y), (x + total, y)], "fine")
        if grid:
            for left in [*lefts, x + total]:
                self.line([(left, top), (left, y)], "fine")
            self.line([(x, top), (x + total, top)], "fine")
        return y

    # --- lines ---------------------------------------------------------------------------------
    def line(
        self, points: Sequence[tuple[float, float]], stroke: str = "mark", closed: bool = False
    ) -> None:
        """Draw a line through points."""
        if stroke == "solid":
            return self.filled(points)
        self._pen(stroke)
        shifted = [(self._left + x, self._top + y) for x, y in points]
        if closed:
            self.pdf.polygon(shifted)
        else:
            self.pdf.polyline(shifted)

    def box(self, x: float, y: float, width: float, height: float, stroke: str = "mark") -> None:
        """Draw a rectangle from its top left corner."""
        self._pen(stroke)
        self.pdf.rect(self._left + x, self._top + y, width, height)

    def circle(
        self, x: float, y: float, radius: float, stroke: str = "mark", filled: bool = False
    ) -> None:
        """Draw a circle."""
        self._pen(stroke)
        self.pdf.circle(self._left + x, self._top + y, radius, "FD" if filled else "D")

    def filled(self, points: Sequence[tuple[float, float]], grey: int = 0) -> None:
        """Fill a polygon; grey runs from 0 (black) to 255 (white)."""
        self.pdf.set_fill_color(grey)
        self.pdf.polygon([(self._left + x, self._top + y) for x, y in points], style="F")
        self.pdf.set_fill_color(0)  # words are filled shapes, too

    def _pen(self, stroke: str) -> None:
        width, dash = STROKES[stroke]
        self.pdf.set_draw_color(0)
        self.pdf.set_line_width(width)
        self.pdf.set_dash_pattern(*(dash or (0, 0)))


def _starts(x: float, widths: Sequence[float]) -> list[float]:
    return [x, *(x + np.cumsum(widths)[:-1])]


@functools.lru_cache(maxsize=1)
def measure() -> Ink:
    """A sheet that is never printed, to measure words on."""
    return Ink(100.0, 100.0, 0.0, 0.0)


@functools.lru_cache(maxsize=1)
def _font_folder() -> Path:
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"
