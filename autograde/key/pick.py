"""Picking and ordering: a choice, an order, and a prediction that is never marked."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from autograde import plain
from autograde.key.record import Exercise, Verdict
from autograde.numbers import Numbers


def _picked(value: Any, options: Collection[str]) -> list[str] | None:
    """Read "b", "a, c", "a and c", "ac", ["a", "c"] or {"a"} as option letters; else None."""
    parts = _letters(value, options) if isinstance(value, str) else value
    if not isinstance(parts, list | tuple | set | frozenset):
        return None
    if not all(isinstance(p, str) for p in parts):
        return None
    names = {o.lower(): o for o in options}
    found = [names.get(p.strip(" .)'\"“”").lower()) for p in parts if p.strip()]
    return None if None in found or not found else [f for f in found if f]


def _letters(text: str, options: Collection[str]) -> list[str]:
    """Cut a typed answer into letters, however somebody parts them."""
    parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
    known = {option.lower() for option in options}
    words = [w for w in re.findall(r"\w+", text.lower()) if w not in ("and", "then")]
    if all(len(option) == 1 for option in options) and words and known.issuperset("".join(words)):
        return [letter for word in words for letter in word]
    return parts


@dataclass(frozen=True, kw_only=True)
class Choice(Exercise):
    """One answer out of several, or several (`answer` is then a set).

    A slip's `wrong` is an option, a set of options, or a function of the picked set.
    """

    options: Mapping[str, str]
    answer: str | Collection[str]

    kind = "choice"

    @property
    def several(self) -> bool:
        """Whether more than one option may be picked."""
        return not isinstance(self.answer, str)

    def _nothing(self) -> str:
        if self.several:
            return "Nothing is ticked yet. Tick all that are right and check again."
        return "Nothing is picked yet. Pick one and check again."

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        letters = ", ".join(self.options)
        picked = _picked(value, self.options)
        if picked is None or (len(set(picked)) > 1 and not self.several):
            many = "one or more of" if self.several else "one of"
            return Verdict(0.0, "unreadable", f"Pick {many} {letters}; you gave "
                           f"{plain.short(value)}.")  # fmt: skip
        chosen = set(picked)
        if chosen == ({self.answer} if isinstance(self.answer, str) else set(self.answer)):
            return self._right(f"{', '.join(sorted(chosen))}.")
        for slip in self.slips:
            if _matches(slip.wrong, chosen):
                return self._slipped(slip, n)
        return self._wrong(n, None, "Not yet. Read every option once more, aloud if that helps.")

    def solution(self, n: Numbers) -> str:
        return self.answer if isinstance(self.answer, str) else ", ".join(sorted(self.answer))


def _matches(wrong: Any, given: Any) -> bool:
    if callable(wrong):
        return bool(wrong(given))
    return given == ({wrong} if isinstance(wrong, str) else set(wrong))


@dataclass(frozen=True, kw_only=True)
class Order(Exercise):
    """Things to put in order. `credit` gives the share for a wrong order, None for none.

    A slip's `wrong` is a tuple of items that the order starts with, or a function of the order.
    """

    items: Mapping[str, str]
    answer: Sequence[str]
    credit: Callable[[Sequence[str]], float] | None = None

    kind = "order"

    def _nothing(self) -> str:
        return "Nothing is put in order yet. Choose a step for each place and check again."

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        order = None if isinstance(value, set | frozenset) else _picked(value, self.items)
        if order is None or sorted(order) != sorted(self.items):
            every = ", ".join(self.items)
            return Verdict(0.0, "unreadable", f"Write every letter once, in your order, like "
                           f"“{every}”; you gave {plain.short(value)}.")  # fmt: skip
        if list(order) == list(self.answer):
            return self._right(f"{', '.join(order)}.")
        share = self.credit(order) if self.credit else 0.0
        for slip in self.slips:
            made = slip.wrong(order) if callable(slip.wrong) else (
                list(order[: len(slip.wrong)]) == list(slip.wrong))  # fmt: skip
            if made:
                told = self._slipped(slip, n)
                return replace(told, credit=max(share, slip.credit))
        return self._wrong(
            n, None, "Not yet. Start with the step that must come before all others.", credit=share
        )

    def solution(self, n: Numbers) -> str:
        return ", ".join(self.answer)


@dataclass(frozen=True, kw_only=True)
class Prediction(Exercise):
    """A guess before looking: recorded, never marked."""

    options: Mapping[str, str]
    question: str = ""

    kind = "prediction"
    marked = False

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        picked = _picked(value, self.options)
        if picked is None or len(picked) != 1:
            return Verdict(None, "unreadable", f"Pick one of {', '.join(self.options)}.")
        return Verdict(None, None, f"Noted: {picked[0]}. Now look whether it comes out that way.")
