"""How a verdict looks: words and a sign, as text and as HTML, never colour alone.

In: the verdict of a check, the count of tries, when it was saved. Out: a
`Result` that shows itself in Jupyter, and as plain text everywhere else.
"""

from __future__ import annotations

import html
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from autograde.key import Verdict
    from autograde.log import Entry


@dataclass(frozen=True)
class Result:
    """One checked answer.

    exercise, title : id and plain words. verdict : credit, slip and texts of the key.
    attempt : which wrong try this is, from 1. points : of a full answer.
    saved : "Last saved 14:02." before : the answer on record that is judged, when none is given.
    """

    exercise: str
    title: str
    verdict: Verdict
    attempt: int
    points: float
    saved: str
    before: Entry | None = None

    @property
    def credit(self) -> float | None:
        """Share of the points, None when no machine marks this."""
        return self.verdict.credit

    @property
    def slip(self) -> str | None:
        """Name of the recognised slip."""
        return self.verdict.slip

    @property
    def right(self) -> bool:
        """Whether the full points are given."""
        return self.verdict.right

    @property
    def says(self) -> str:
        """The text for this try: nudge, hint or worked step."""
        if self.before is not None:
            return f"{_before(self.before)} {self.verdict.at(self.attempt)}".strip()
        return self.verdict.at(self.attempt)

    @property
    def heading(self) -> str:
        """Sign and words, such as "✓ Right"."""
        if self.slip == "trouble":
            return "○ Not checked"
        return heading(self.credit, self.verdict.empty)

    @property
    def text(self) -> str:
        """The result as plain text."""
        name = f"{self.exercise} ({self.title})" if self.title else self.exercise
        return "\n".join(
            part for part in (f"{self.heading}: {name}", self.says, self._foot) if part
        )

    @property
    def _foot(self) -> str:
        if not self.points or self.verdict.empty:
            return self.saved
        got = (self.credit or 0.0) * self.points
        return f"{got:g} of {self.points:g} points. {self.saved}".strip()

    def __repr__(self) -> str:
        return self.text

    def _repr_html_(self) -> str:
        style = _STYLES[self.heading[0]]
        name = html.escape(self.title or self.exercise)
        foot = f"<br><small>{html.escape(self._foot)}</small>" if self._foot else ""
        says = html.escape(self.says).replace("\n", "<br>")
        return (
            f'<div role="status" style="border-left:6px {style};padding:0.3em 0.8em">'
            f"<strong>{html.escape(self.heading)}</strong>: {name}<br>{says}{foot}</div>"
        )

    def _ipython_display_(self) -> None:
        from autograde import form

        form.show_result(self)


# the border's line style differs too, for a print in black and white
_STYLES = {
    "✓": "solid #1b7837",
    "◐": "dashed #9a6700",
    "✗": "double #b2182b",
    "○": "dotted #555555",
}


def heading(credit: float | None, empty: bool = False) -> str:
    """Return sign and words for a credit: ✓ Right, ◐ Partly right, ✗ Not yet, ○ Noted."""
    if empty:
        return "○ No answer yet"
    if credit is None:
        return "○ Noted"
    if credit == 1.0:
        return "✓ Right"
    return "◐ Partly right" if credit > 0 else "✗ Not yet"


def _before(entry: Entry) -> str:
    given = entry.answer if isinstance(entry.answer, str) else ""
    what = f" (“{given[:60]}”)" if given and "\n" not in given else ""
    return f"On record is your answer of {entry.clock}{what}."


def trouble(exercise: str, sentence: str) -> Result:
    """Return a result that says why nothing could be checked."""
    from autograde.key import Verdict

    verdict: Any = Verdict(0.0, "trouble", sentence)
    return Result(exercise, "", verdict, 1, 0.0, "")
