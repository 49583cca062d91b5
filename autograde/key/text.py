"""A short text that a person marks, and a file of the learner's own data."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from autograde.key.record import Exercise, Verdict
from autograde.numbers import Numbers

MOST_TOLD = 25  # sentences about rows in one verdict; a file of another kind has one for each row


@dataclass(frozen=True)
class KeyPoint:
    """A point a text should make: recognised by any of `words` (word starts), told by `text`."""

    name: str
    words: tuple[str, ...]
    text: str

    @property
    def bare(self) -> str:
        """The text as it stands in a list or a sentence of ours."""
        return self.text.rstrip(".")


@dataclass(frozen=True, kw_only=True)
class ShortText(Exercise):
    """A text read by a person; the machine only says which key points it found."""

    points_looked_for: Sequence[KeyPoint]

    kind = "text"
    marked = False

    def _nothing(self) -> str:
        return "Nothing is written here yet. Write a few words of your own and check again."

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        if not isinstance(value, str):
            return Verdict(None, "unreadable", "Write your answer as a text in quotes.")
        lower = f" {' '.join(value.lower().split())}"
        found = [p for p in self.points_looked_for
                 if any(f" {w.lower()}" in lower for w in p.words)]  # fmt: skip
        missing = [p for p in self.points_looked_for if p not in found]
        told = "; ".join(p.bare for p in missing)
        seen = f"{len(found)} of {len(self.points_looked_for)} key points seen"
        if not missing:
            return Verdict(None, None, f"{seen}. A person reads and marks this text.")
        return Verdict(None, "missing points", f"{seen}. A person marks this text; read it once "
                       "more before you hand it in.",
                       f"{seen}. Have you said this? {missing[0].bare}.",
                       f"{seen}. Good answers say: {told}.")  # fmt: skip

    def solution(self, n: Numbers) -> str:
        return "; ".join(point.bare for point in self.points_looked_for) + "."


@dataclass(frozen=True, kw_only=True)
class OwnData(Exercise):
    """The learner's own file. `checks(text)` gives (passed, sentence) pairs, credit their share.

    problems(text) : sentences about single rows, told with every verdict and not marked.
    accepts : endings of a file that the form lets a learner upload, such as ".csv,.txt".
    """

    checks: Callable[[str], Sequence[tuple[bool, str]]]
    problems: Callable[[str], Sequence[str]] = lambda text: ()
    accepts: str = ""

    kind = "own data"

    def _nothing(self) -> str:
        return "Nothing is given here yet. Paste your data, or write the name of your file."

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        if not isinstance(value, str):
            return Verdict(0.0, "unreadable", "Give the text of your file: open it, or paste it.")
        results = list(self.checks(value))
        failed = [words for passed, words in results if not passed]
        share = 1 - len(failed) / max(len(results), 1)
        rows = _row_by_row(self.problems(value))
        if not failed:
            return self._right(f"All {len(results)} checks are met.{rows}")
        all_failed = " ".join(failed) + rows
        return Verdict(share, None, f"{len(results) - len(failed)} of {len(results)} checks are "
                       f"met. Next: {failed[0]}{rows}", all_failed, all_failed)  # fmt: skip


def _row_by_row(problems: Sequence[str]) -> str:
    told = [f"\n· {problem}" for problem in problems[:MOST_TOLD]]
    more = len(problems) - len(told)
    return "".join([*told, f"\n· and {more} more like these." if more > 0 else ""])
