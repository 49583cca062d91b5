"""The learner's own numbers: one card per lesson, the same formula for everybody, other values.

In: the ranges an answer key declares (`Own`), a learner's id and the
instructor's secret. Out: `Numbers`, a namespace of plain SI floats
(``n.aperture_width``) that also shows itself as a small table. Self-study uses
the demo trough's values; a class draws its own by a keyed hash, so the values
can be drawn again at any time and guessed by nobody who lacks the secret.
"""

from __future__ import annotations

import hashlib
import hmac
import html
import json
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CARD_FILE = "numbers.json"
_TRIES = 1000


@dataclass(frozen=True)
class Own:
    """One number of the card: what the demo trough has and what a class may draw.

    Parameters
    ----------
    demo, low, high, step : values in `unit`; a class draws low, low + step, ... up to high.
    unit : display unit as in `solarlib.units`, such as "mm" or "degC".
    label : the words on the card, such as "width of the opening".
    """

    demo: float
    unit: str
    low: float
    high: float
    step: float
    label: str

    def __post_init__(self) -> None:
        if not (self.low <= self.demo <= self.high and self.step > 0):
            raise ValueError(
                f"“{self.label}”: demo {self.demo}, range {self.low} to {self.high}, step "
                f"{self.step} {self.unit}; the demo must lie in the range and the step above 0."
            )

    def values(self) -> list[float]:
        """Return every value a class may draw [in `unit`]."""
        count = int((self.high - self.low) / self.step + 1e-9) + 1
        return [round(self.low + k * self.step, 9) for k in range(count)]


class Numbers(Mapping[str, float]):
    """A card of numbers: ``n.aperture_width`` or ``n["aperture_width"]``, in SI base units."""

    def __init__(self, entries: Mapping[str, tuple[float, str, str]]):
        """Take name -> (value in base units, display unit, label)."""
        self._entries = {name: (float(v), str(u), str(w)) for name, (v, u, w) in entries.items()}

    def __getitem__(self, name: str) -> float:
        return self._entries[name][0]

    def __getattr__(self, name: str) -> float:
        if name.startswith("_"):
            raise AttributeError(name)
        try:
            return self._entries[name][0]
        except KeyError:
            known = ", ".join(self._entries) or "none"
            raise AttributeError(
                f"No number is called “{name}”; the card holds: {known}."
            ) from None

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def shown(self, name: str, digits: int = 6) -> str:
        """Return one number for people, such as "640 mm"."""
        from solarlib import units

        value, unit, _ = self._entries[name]
        return units.show(value, unit, digits)

    def as_dict(self) -> dict[str, list[Any]]:
        """Return plain data that `Numbers` takes back: name -> [value, unit, label]."""
        return {name: list(entry) for name, entry in self._entries.items()}

    def __repr__(self) -> str:
        if not self._entries:
            return "This lesson has no numbers of your own."
        rows = [(label, self.shown(name), f"my.{name}")
                for name, (_, _, label) in self._entries.items()]  # fmt: skip
        wide = [max(len(row[i]) for row in rows) for i in range(2)]
        lines = [f"{a:<{wide[0]}}  {b:>{wide[1]}}  {c}" for a, b, c in rows]
        return "\n".join(["Your own numbers", *lines])

    def _repr_html_(self) -> str:
        if not self._entries:
            return f"<p>{self!r}</p>"
        rows = "".join(
            f'<tr><th scope="row" style="text-align:left">{html.escape(label)}</th>'
            f"<td>{html.escape(self.shown(name))}</td><td><code>my.{html.escape(name)}</code></td></tr>"
            for name, (_, _, label) in self._entries.items()
        )
        return (
            '<table><caption style="text-align:left"><strong>Your own numbers</strong></caption>'
            '<thead><tr><th scope="col">what</th><th scope="col">value</th>'
            f'<th scope="col">in Python (SI units)</th></tr></thead><tbody>{rows}</tbody></table>'
        )


def _card(own: Mapping[str, Own], values: Mapping[str, float]) -> Numbers:
    from solarlib import units

    entries = {}
    for name, o in own.items():
        clock = units.kind(o.unit) == "clock"
        base = values[name] if clock else units.parse(repr(float(values[name])), o.unit).value
        entries[name] = (base, o.unit, o.label)
    return Numbers(entries)


def demo(own: Mapping[str, Own]) -> Numbers:
    """Return the demo trough's card, used for self-study."""
    return _card(own, {name: o.demo for name, o in own.items()})


def draw(
    own: Mapping[str, Own],
    learner: str,
    lesson: str,
    secret: str,
    buildable: Callable[[Numbers], bool] | None = None,
) -> Numbers:
    """Draw one learner's card by a keyed hash of learner, lesson and secret.

    Values that make no buildable thing are drawn again, which also depends on
    nothing but the three texts: the same call gives the same card for ever.

    Raises
    ------
    ValueError : no buildable card in 1000 draws; the ranges of the key are wrong.
    """
    for attempt in range(_TRIES):
        values = {}
        for name, o in own.items():
            message = "\0".join((learner, lesson, name, str(attempt))).encode("utf-8", "replace")
            digest = hmac.new(secret.encode("utf-8", "replace"), message, hashlib.sha256).digest()
            choices = o.values()
            values[name] = choices[int.from_bytes(digest, "big") % len(choices)]
        card = _card(own, values)
        if buildable is None or buildable(card):
            return card
    raise ValueError(
        f"Lesson “{lesson}”: none of {_TRIES} draws can be built; widen the ranges in its key."
    )


def as_text(learner: str, cards: Mapping[str, Numbers]) -> str:
    """Return a learner's cards (lesson slug -> card) as the text of the file in a bundle."""
    data = {"learner": learner, "numbers": {slug: n.as_dict() for slug, n in cards.items()}}
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


def save(path: str | Path, learner: str, cards: Mapping[str, Numbers]) -> None:
    """Write a learner's cards to a file that `load` reads."""
    from solarlib.files import write_whole

    write_whole(Path(path), as_text(learner, cards).encode())


def load(path: str | Path) -> dict[str, Numbers]:
    """Read the cards that `save` wrote; a damaged file gives one clear sentence (ValueError)."""
    try:
        data = json.loads(Path(path).read_text(encoding="utf-8-sig"))
        cards = {slug: Numbers(card) for slug, card in data["numbers"].items()}
        if not all(math.isfinite(value) for card in cards.values() for value in card.values()):
            raise ValueError
        return cards
    except (OSError, ValueError, KeyError, TypeError, AttributeError, OverflowError,
            RecursionError):  # fmt: skip
        raise ValueError(
            f"The file {path} cannot be read as a card of numbers; "
            "copy it again from the folder your teacher gave you."
        ) from None
