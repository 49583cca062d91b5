"""An explorer without its sliders: the picture, then what a few moves make of it, and a table.

In: the name of an explorer. Out: HTML with the words of every picture as its alternative text
and one table of all their numbers; in grey where it will be printed.
"""

from __future__ import annotations

import base64
import re
from dataclasses import dataclass
from functools import lru_cache

from autograde.paper.text import escape

START = "as it starts"
_MOST_ROWS = 12  # a longer table gets no column for each move
_COLOUR = re.compile(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})\b")


@dataclass(frozen=True)
class Still:
    """One picture of an explorer: which move made it, SVG, words and (label, value) rows."""

    move: str
    svg: str
    words: str
    rows: tuple[tuple[str, str], ...]


@lru_cache(maxsize=32)
def stills(name: str) -> tuple[str, tuple[Still, ...]]:
    """Return an explorer's title and its pictures: the first one, and one for each preset."""
    from solarlib import explorers

    explorer = getattr(explorers, f"explore_{name}")()
    found: list[Still] = []
    for move, values in ((START, {}), *explorer.presets.items()):
        wanted = {**explorer.start, **values}
        if found and wanted == explorer.start:
            continue  # a button that leads back to the start
        explorer.set(**wanted)
        result = explorer.result()
        rows = tuple((str(a), str(b)) for a, b in explorer.scene.table(result))
        found.append(Still(move, explorer.svg(result), explorer.scene.describe(result), rows))
    return explorer.scene.title, tuple(found)


def in_grey(svg: str) -> str:
    """Return a drawing whose colours are the greys that a black-and-white printer makes of them.

    Lightness Y' = 0.299 R + 0.587 G + 0.114 B. Source: ITU-R BT.601.
    """

    def grey(match: re.Match[str]) -> str:
        red, green, blue = (int(part, 16) for part in match.groups())
        light = round(0.299 * red + 0.587 * green + 0.114 * blue)
        return f"#{light:02x}{light:02x}{light:02x}"

    return _COLOUR.sub(grey, svg)


def to_html(name: str, grey: bool = False) -> str:
    """Return an explorer as pictures, words and a table."""
    title, (first, *others) = stills(name)
    stop = "" if title.endswith("?") else "."
    parts = [f"<figure>{_image(first, grey)}<figcaption><strong>{escape(title)}{stop}</strong> "
             f"{escape(first.words)}</figcaption></figure>"]  # fmt: skip
    small = "".join(f"<figure>{_image(other, grey)}<figcaption><strong>{escape(other.move)}"
                    "</strong></figcaption></figure>" for other in others)  # fmt: skip
    if small:
        parts.append(f'<div class="moves">{small}</div>')
    return "".join([*parts, _table(title, [first, *others])]) + "\n"


def _image(still: Still, grey: bool) -> str:
    svg = in_grey(still.svg) if grey else still.svg
    data = base64.b64encode(svg.encode()).decode()
    return f'<img alt="{escape(still.words)}" src="data:image/svg+xml;base64,{data}">'


def _table(title: str, found: list[Still]) -> str:
    if len(found[0].rows) > _MOST_ROWS:
        found = found[:1]
    heads = "".join(f'<th scope="col">{escape(head)}</th>'
                    for head in ("what", *(still.move for still in found)))  # fmt: skip
    rows = "".join(f'<tr><th scope="row">{escape(label)}</th>{_values(label, found)}</tr>'
                   for label in _labels(found))  # fmt: skip
    return (f"<table><caption>{escape(title)}: numbers</caption><thead><tr>{heads}</tr></thead>"
            f"<tbody>{rows}</tbody></table>")  # fmt: skip


def _labels(found: list[Still]) -> list[str]:
    """Return every row's label once, those in the same place of different moves together."""
    most = max(len(still.rows) for still in found)
    rows = [still.rows[k][0] for k in range(most) for still in found if k < len(still.rows)]
    return list(dict.fromkeys(rows))


def _values(label: str, found: list[Still]) -> str:
    values = [dict(still.rows).get(label, "–") for still in found]
    if len(values) > 1 and len(set(values)) == 1:
        return f'<td colspan="{len(values)}">{escape(values[0])}</td>'
    return "".join(f"<td>{escape(value)}</td>" for value in values)
