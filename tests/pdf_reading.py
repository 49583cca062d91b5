"""Read a printed pack back as a stranger would: lengths in millimetres, words as text."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

import numpy as np
import pymupdf

POINT = 25.4 / 72  # mm
BAR_TOLERANCE = 0.05  # mm: what a steel rule can show
DAY = date(2026, 3, 1)


def opened(content: bytes) -> pymupdf.Document:
    return pymupdf.open(stream=content, filetype="pdf")


@lru_cache(maxsize=4)
def strokes(page: pymupdf.Page) -> list[np.ndarray]:
    """Every stroked line of a page as points [mm from the top left of the sheet]."""
    found = []
    for path in page.get_drawings():
        points: list[tuple[float, float]] = []
        for item in path["items"]:
            if item[0] == "l":
                if not points or np.hypot(*(np.array(points[-1]) - item[1])) > 1e-3:
                    points.append(tuple(item[1]))
                points.append(tuple(item[2]))
            elif item[0] == "re":
                r = item[1]
                points += [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1), (r.x0, r.y0)]
        if path.get("closePath") and points:
            points.append(points[0])
        if points:
            found.append(np.array(points) * POINT)
    return found


def border_corner(page: pymupdf.Page) -> np.ndarray:
    """Top left of the border on the sheet [mm], found by its stated size."""
    for points in strokes(page):
        size = np.ptp(points, axis=0)
        if np.allclose(size, (254.0, 186.0), atol=BAR_TOLERANCE) and len(points) == 5:
            return points.min(axis=0)
    raise AssertionError("no border of 254 x 186 mm on this page")


def straight(page: pymupdf.Page, length: float, axis: int) -> int:
    """How many straight lines of a length [mm] run along an axis (0 across, 1 down)."""
    count = 0
    for points in strokes(page):
        size = np.ptp(points, axis=0)
        count += abs(size[axis] - length) < BAR_TOLERANCE and size[1 - axis] < 0.01
    return count


def words_of(document: pymupdf.Document) -> str:
    text = "\n".join(page.get_text() for page in document).replace("\u00a0", " ")
    return " ".join(text.split())


def outside_border(document: pymupdf.Document) -> list[str]:
    """Words that leave the border of their page."""
    found = []
    for page in document:
        corner = border_corner(page)
        low, high = corner / POINT - 1, (corner + np.array([254.0, 186.0])) / POINT + 1
        if "this way" in page.get_text():
            continue  # a template's words may run over the edge of its sheet, where it is clipped
        for x0, y0, x1, y1, word, *_ in page.get_text("words"):
            if x0 < low[0] or y0 < low[1] or x1 > high[0] or y1 > high[1]:
                found.append(f"page {page.number + 1}: {word}")
    return found
