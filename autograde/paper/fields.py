"""Where the answer goes: boxes and lines for a pencil, or the words that tell how to answer.

In: a record of the key and the lesson text above it. Out: HTML that holds nothing of the key but
the question's own options: no answer, no slip, no hint.
"""

from __future__ import annotations

from typing import Any

from autograde.key import Choice, Exercise, Function, Number, Order, OwnData, Prediction, ShortText
from autograde.paper.text import escape
from solarlib import units

_NO_UNIT = ("1", "suns", "clock")  # display units that need no word behind the number
_TEXT_LINES, _DATA_LINES, _RULE_LINES = 7, 6, 4
HANDS_ON_ROWS = 8
_BLANK = '<span class="blank"></span>'
_SHORT = '<span class="blank short"></span>'


def on_paper(record: Exercise, above: str, start: str = "") -> str:
    """Return the field for a pencil; `above` asks, `start` is the answer cell as handed out."""
    if isinstance(record, Prediction):
        return _field("Your guess, never marked. Make it before you look at the picture.",
                      f"<p>{escape(record.question)}</p>{_ticks(record.options)}")  # fmt: skip
    title = f"Your answer{_points(record)}"
    if isinstance(record, Number):
        unit = "" if record.unit in _NO_UNIT else f" unit {_SHORT}"
        return _field(title, f'<div class="working">working</div><p>{_BLANK}{unit}</p>')
    if isinstance(record, Choice):
        many = "Tick all that are right." if record.several else "Tick one."
        return _field(f"{title}. {many}", _ticks(record.options, above))
    if isinstance(record, Order):
        places = " ".join(f'<span class="tick">{place}. {_SHORT}</span>'
                          for place in range(1, len(record.items) + 1))  # fmt: skip
        return _field(title, f"{_letters(record.items, above)}<p>The letters in order: {places}</p>")
    if isinstance(record, Function):
        left = record.marked_line(start).partition(" = ")[0] or record.signature
        return _field(title, f"<p><code>{escape(left)}</code> =</p>{_lines(_RULE_LINES)}")
    return _field(title, _lines(_TEXT_LINES if isinstance(record, ShortText) else _DATA_LINES))


def on_screen(record: Exercise, full_id: str, above: str) -> str:
    """Return what stands under an exercise in the edition for reading."""
    options = getattr(record, "options", None) or getattr(record, "items", None) or {}
    asked = f"<p>{escape(record.question)}</p>" if isinstance(record, Prediction) else ""
    if isinstance(record, Prediction):
        title = "Predict. A guess is never marked"
    else:
        title = f"Answer{_points(record)}"
    words = f"python -m autograde answer {full_id} {_example(record)}"
    return _field(title, f"{asked}{_letters(options, above)}<p>In the notebook, on paper, or as a "
                  f"command: <code>{escape(words)}</code></p>")  # fmt: skip


def hands_on_table(about: str) -> str:
    """Return an empty table for what was measured."""
    heads = "".join(f'<th scope="col">{head}</th>'
                    for head in ("no.", "what I measured", "value", "unit", "remark"))  # fmt: skip
    rows = "".join(f'<tr><th scope="row">{n}</th>{"<td></td>" * 4}</tr>'
                   for n in range(1, HANDS_ON_ROWS + 1))  # fmt: skip
    return (f'<table class="fill-in"><caption>{escape(about)}: my measurements</caption>'
            f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>")  # fmt: skip


def _field(title: str, inside: str) -> str:
    return f'<div class="field"><p><strong>{escape(title)}</strong></p>{inside}</div>\n'


def _points(record: Exercise) -> str:
    if not record.points:
        return " (not marked)"
    return f" ({record.points:g} point{'' if record.points == 1 else 's'})"


def _example(record: Exercise) -> str:
    if isinstance(record, Number):
        unit = "%" if record.is_share else units.label(record.unit)
        example = "12:30" if record.unit == "clock" else f"12.3 {unit}".removesuffix(" 1").strip()
        return f'"{example}"'
    if isinstance(record, Function):
        return '"a + b"'
    if isinstance(record, ShortText | OwnData):
        return "@my-text.txt"
    return '"a, b"' if getattr(record, "several", True) and record.kind != "prediction" else '"a"'


def _ticks(options: Any, above: str = "") -> str:
    """Return boxes to tick; the words of an option only where the text above lacks them."""
    if _listed(options, above):
        boxes = " ".join(f'<span class="tick">☐ {escape(letter)}</span>' for letter in options)
        return f"<p>{boxes}</p>"
    rows = "".join(f"<li>☐ {escape(letter)}: {escape(words)}</li>"
                   for letter, words in options.items())  # fmt: skip
    return f'<ul class="ticks">{rows}</ul>'


def _letters(options: Any, above: str) -> str:
    if not options or _listed(options, above):
        return ""
    rows = "".join(f"<li>{escape(letter)}: {escape(words)}</li>"
                   for letter, words in options.items())  # fmt: skip
    return f'<ul class="ticks">{rows}</ul>'


def _listed(options: Any, above: str) -> bool:
    """Tell whether the text lists the options itself: "- a: …", "- b: …"."""
    return all(f"- {letter}:" in above for letter in options)


def _lines(count: int) -> str:
    return '<div class="line"></div>' * count
