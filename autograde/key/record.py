"""What every record of the key has, and the verdict it gives."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from autograde import plain
from autograde.numbers import Numbers

if TYPE_CHECKING:
    from autograde.rubric import Marked

Text = str | Callable[[Numbers], str]  # a text may use {aperture_width}, or be made from the card


@dataclass(frozen=True)
class Verdict:
    """What a record says about one answer.

    credit : share of the points, 0 to 1; None when nothing is marked by machine.
    slip : name of the recognised slip ("unit", "empty", "error", ... or the key's own), or None.
    says, hint, worked : texts for the first, the second and every later wrong try.
    design : its criteria (`autograde.rubric.Marked`) when a rubric marked it.
    """

    credit: float | None
    slip: str | None
    says: str
    hint: str = ""
    worked: str = ""
    design: Marked | None = None

    @property
    def right(self) -> bool:
        """Whether the full points are given."""
        return self.credit == 1.0

    @property
    def empty(self) -> bool:
        """Whether nothing was answered."""
        return self.slip == "empty"

    def at(self, attempt: int) -> str:
        """Return the text for the first (1), second (2) or a later try.

        What could not be read gets the same words every time: they say how to write it. What
        stopped is named every time, with the help behind it.
        """
        if self.right or self.empty or self.slip == "unreadable" or attempt <= 1:
            return self.says
        if self.slip == "error":
            return f"{self.says} {self.hint if attempt == 2 else self.worked or self.hint}".strip()
        if attempt == 2 or not self.worked:
            return self.hint or self.says
        return self.worked


@dataclass(frozen=True)
class Slip:
    """A wrong answer that tells what went wrong.

    wrong : for a number, a function of the card giving the wrong value [base unit], or a tuple of
        values; for a function, the wrong function; for a choice, the wrong pick (or a function of
        the picked set that says whether the slip was made); for an order, likewise.
    nudge, hint : what to say first, and what to say second, which names the slip.
    """

    name: str
    wrong: Any
    nudge: Text = ""
    hint: Text = ""
    credit: float = 0.0


UNTOUCHED = "Untouched"  # the kind of fault that stands for a cell as it was handed out
UNREADABLE = "Unreadable"  # for an answer that says nothing; its text tells why
_BLANK = " \t\r\n\u00a0.…?_"  # a text of only these is no answer


@dataclass(frozen=True, kw_only=True)
class Exercise:
    """What every record has.

    name : the exercise's short name, also the variable or function the learner fills.
    points : of a full answer. title : a few plain words.
    slips : recognised wrong answers. hint, worked : said on the second and third wrong try when
    no slip tells more. after : key points shown once the answer is right.
    """

    name: str
    points: float = 0.0
    title: str = ""
    slips: Sequence[Slip] = ()
    hint: Text = ""
    worked: Text = ""
    after: Sequence[str] = ()

    kind = "exercise"
    marked = True  # by machine
    keeps_versions = False  # whether what was handed in before still counts

    def asks(self, n: Numbers, seed: int | str = 0) -> list[str]:
        """Return the Python expressions to evaluate in the learner's namespace."""
        return [self.name]

    def judge(
        self,
        values: Sequence[Any],
        n: Numbers,
        earlier: Mapping[str, float] | None = None,
        seed: int | str = 0,
    ) -> Verdict:
        """Judge the plain values that the expressions of `asks` gave (same card, same seed)."""
        value = values[0] if values else None
        if value is None or (isinstance(value, str) and value.strip(_BLANK) == ""):
            return Verdict(0.0 if self.marked else None, "empty", self._nothing())
        if isinstance(value, plain.Fault):
            return self._fault(value)
        return self._judge(value, n, earlier or {})

    def judge_after(
        self, past: Sequence[str], cap: float | None, values: Sequence[Any], n: Numbers
    ) -> Verdict:
        """Judge values that were handed in after others, where `keeps_versions` says so.

        past : what was handed in before, oldest first. cap : percent at most while a gate is open.
        """
        return self.judge(values, n)

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        raise NotImplementedError

    def _nothing(self) -> str:
        return "Nothing is answered here yet. Write your answer and check again."

    def _fault(self, fault: plain.Fault) -> Verdict:
        if fault.kind == UNTOUCHED:
            return Verdict(0.0, "empty", self._nothing())
        if fault.kind == UNREADABLE:
            return Verdict(0.0, "unreadable", fault.text)
        if fault.kind == "NameError":
            return Verdict(
                0.0, "empty", f"“{self.name}” has no value yet: its own cell has not run to the "
                "end. Run that cell, then check again."
            )
        return Verdict(0.0, "error", f"Your code stopped with {fault.kind}: {fault.text}",
                       "Read the last line of the message, find that place in your code, "
                       "change it and run the cell again.")  # fmt: skip

    def _right(self, words: str) -> Verdict:
        return Verdict(1.0, None, " ".join([words, *self.after]))

    def _slipped(self, slip: Slip, n: Numbers, given: str = "") -> Verdict:
        says = self.tell(slip.nudge, n, given)
        return self._wrong(n, slip.name, says, self.tell(slip.hint, n, given), slip.credit)

    def _wrong(
        self, n: Numbers, slip: str | None, says: str, hint: str = "", credit: float = 0.0
    ) -> Verdict:
        worked = self.tell(self.worked, n)
        if slip and hint and worked:  # a slip is named before the answer is worked out
            worked = f"{hint} {worked}"
        return Verdict(credit, slip, says, hint or self.tell(self.hint, n), worked)

    def tell(self, text: Text, n: Numbers, given: str = "") -> str:
        """Make a text: call it with the card, or fill in {card_name}, {answer} and {given}."""
        if callable(text):
            return text(n)
        if "{" not in text:
            return text
        shown = {name: n.shown(name) for name in n if "{" + name in text}
        answer = self.solution(n) if "{answer" in text else ""
        return text.format(**shown, given=given, answer=answer)

    def solution(self, n: Numbers) -> str:
        """Return the answer in words, for an instructor's sheet."""
        return ""
