"""Plumbing as the rows of a form: one for each part with its height, one for each link.

In: the text that stands for plumbing in a form (`typed.shown`). Out: rows that are changed one
by one and may be unfinished, their text, and what is wrong with them in one sentence that
names the row. An unfinished row makes a text that `typed.read` refuses, so it is never saved.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from solarlib import units
from solarlib.design.plumbing import AIR

PARTS = ("pipe", "pot", "rising hose", "return hose", "vent pipe", "elbow", "T-piece", "funnel",
         "drain hose", "second pipe", "second pot")  # fmt: skip
OPEN = {"open": "open, nothing between", "joint": "joint", "hose": "open hose", "vent": "open vent",
        "gap under the lid": "gap under the lid", "spout": "open spout"}  # fmt: skip
SHUT = {"valve": "valve, can shut", "tap": "tap, can shut", "relief valve": "relief valve, can shut",
        "cap": "cap, can shut", "tight lid": "tight lid, can shut",
        "dip": "dip, water stands in it"}  # fmt: skip
_NOT_PICKED = "?"


@dataclass(frozen=True)
class PartRow:
    """A part and the height of its top as it was typed."""

    name: str
    height: str

    def line(self) -> str:
        """The row as a line of the text."""
        return f"{self.name}: {self.height}"


@dataclass(frozen=True)
class LinkRow:
    """What joins two parts; "" for what is not picked yet."""

    first: str
    through: str
    second: str

    @property
    def finished(self) -> bool:
        """Whether it can be a link."""
        return all((self.first, self.through, self.second)) and self.first != self.second

    def line(self) -> str:
        """The row as a line of the text; of an unfinished one no link can be read."""
        if self.finished:
            return f"{self.first} - {self.second}: {self.through}"
        return " - ".join(word or _NOT_PICKED for word in (self.first, self.second, self.through))


@dataclass(frozen=True)
class Rows:
    """All rows of a form."""

    parts: tuple[PartRow, ...] = ()
    links: tuple[LinkRow, ...] = ()

    @classmethod
    def from_text(cls, text: str) -> Rows:
        """Take a text apart, whatever stands in it."""
        parts, links = [], []
        for line in filter(None, map(str.strip, text.splitlines())):
            if " - " in line:
                ends, colon, through = line.partition(":")
                words = [end.strip() for end in ends.split(" - ")] + [""]
                through = (through.strip() or "open") if colon or len(words) == 3 else words[2]
                picked = ("" if word == _NOT_PICKED else word for word in (words[0], through, words[1]))
                links.append(LinkRow(*picked))
            else:
                name, colon, height = line.rpartition(":")
                parts.append(PartRow(name.strip() if colon else line, height.strip() if colon else ""))
        return cls(tuple(parts), tuple(links))

    def text(self) -> str:
        """The text that stands for the rows."""
        lines = [part.line() for part in self.parts] + [link.line() for link in self.links]
        return "\n".join(lines)

    @property
    def wrong(self) -> str:
        """The first row that makes no sense, in one sentence; "" when all do."""
        return next(self._wrong(), "")

    def _wrong(self) -> Iterator[str]:
        names: list[str] = []
        for k, part in enumerate(self.parts, 1):
            if part.name in names:
                yield f"Part {k} is {part.name} again; pick another name, or remove the row."
            names.append(part.name)
            try:
                units.parse(part.height, "mm")
            except units.UnitError as error:
                yield (f"Part {k}, {part.name}: {error}" if part.height.strip() else
                       f"Part {k}, {part.name}, has no height; type one, such as 800 mm.")  # fmt: skip
        for k, link in enumerate(self.links, 1):
            if not link.finished:
                same = link.first and link.first == link.second
                yield (f"Link {k} joins {link.first} to itself; pick another part." if same else
                       f"Link {k} is not finished; pick both ends and what stands between.")  # fmt: skip
            for end in (link.first, link.second):
                if end and end != AIR and end not in names:
                    yield f"Link {k} names {end}, which is no part; add that part or pick another."

    def unused_name(self) -> str:
        """A name for one more part."""
        names = {part.name for part in self.parts}
        free = (name for name in PARTS if name not in names)
        return next(free, f"part {len(self.parts) + 1}")
