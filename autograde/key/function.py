"""A function the learner writes, called on shown examples and hidden cases."""

from __future__ import annotations

import datetime
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from autograde import plain
from autograde.key.record import UNTOUCHED, Exercise, Slip, Verdict
from autograde.key.tolerance import Tolerance
from autograde.numbers import Numbers


@dataclass(frozen=True, kw_only=True)
class Function(Exercise):
    """A function to write. `examples` are shown; `cases` are hidden and change with the seed.

    reference, and each slip's `wrong`, take the same arguments. A slip is recognised when all
    results agree with its wrong function (an exception agrees with any exception);
    ``Function.CONSTANT`` stands for a function that gives one number whatever goes in.
    """

    CONSTANT: ClassVar[str] = "one number whatever goes in"

    signature: str
    cases: Callable[[Numbers, random.Random], Sequence[Sequence[Any]]]
    reference: Callable[..., Any]
    tolerance: Tolerance | None = None
    examples: Sequence[Sequence[Any]] = ()

    kind = "function"

    def calls(self, n: Numbers, seed: int | str = 0) -> list[tuple[Any, ...]]:
        """Return the arguments of every call: the shown examples, then the hidden cases."""
        hidden = self.cases(n, random.Random(f"{self.name}/{seed}"))
        return [tuple(c) for c in (*self.examples, *hidden)]

    def asks(self, n: Numbers, seed: int | str = 0) -> list[str]:
        return [f"{self.name}({', '.join(map(_literal, c))})" for c in self.calls(n, seed)]

    def judge(
        self,
        values: Sequence[Any],
        n: Numbers,
        earlier: Mapping[str, float] | None = None,
        seed: int | str = 0,
    ) -> Verdict:
        calls = self.calls(n, seed)
        if len(values) != len(calls):
            return Verdict(0.0, "error", "The function could not be called on every case.")
        faults = [v for v in values if isinstance(v, plain.Fault)]
        if len(faults) == len(values) and (
            faults[0].kind == UNTOUCHED
            or (faults[0].kind == "NameError" and f"'{self.name}'" in faults[0].text)
        ):
            return self._fault(faults[0])
        expected = [_outcome(self.reference, c) for c in calls]
        wrong = [(c, words) for c, v, e in zip(calls, values, expected, strict=True)
                 if (words := self._difference(v, e))]  # fmt: skip
        if not wrong:
            return self._right(f"{self.name} is right in all {len(calls)} cases.")
        for slip in self.slips:
            if self._made(slip, values, calls):
                return self._slipped(slip, n)
        call, words = next(((c, w) for c, w in wrong if c in map(tuple, self.examples)), wrong[0])
        hidden = call not in map(tuple, self.examples)
        place = "a case that is not shown" if hidden else f"{self.name}{_shown(call)}"
        score = f"{len(calls) - len(wrong)} of {len(calls)} cases are right."
        return self._wrong(
            n,
            "error" if len(faults) == len(values) else None,
            f"{score} In {place} {'the result is not right' if hidden else words}.",
        )

    def _made(self, slip: Slip, values: Sequence[Any], calls: Sequence[Sequence[Any]]) -> bool:
        if slip.wrong == self.CONSTANT:
            same = all(plain.is_number(v) and v == values[0] for v in values)
            return same and len(set(map(repr, calls))) > 1
        outcomes = [_outcome(slip.wrong, c) for c in calls]
        return all(_alike(v, o, self._near) for v, o in zip(values, outcomes, strict=True))

    def from_text(self, text: str) -> str:
        """Return the source of the function for what was typed: the whole of it, or one rule.

        A rule such as "area × sun" becomes the line after `return`; lists among the arguments
        become arrays, so that a rule works on them too.
        """
        if f"def {self.name}" in text:
            return text
        rule = text.strip().removeprefix("return ").strip()
        name, equals, rest = rule.partition("=")
        if equals and name.strip().isidentifier():
            rule = rest.strip()
        for typed, python in (("×", "*"), ("·", "*"), ("÷", "/"), ("²", "**2"), ("^", "**"),
                              ("−", "-")):  # fmt: skip
            rule = rule.replace(typed, python)
        inside = self.signature.partition("(")[2].rpartition(")")[0]
        names = ", ".join(part.partition("=")[0].strip() for part in inside.split(","))
        return (
            f"def {self.signature}:\n"
            "    import math\n"
            "    import numpy as np\n"
            f"    {names} = (np.array(v) if isinstance(v, list) else v for v in ({names},))\n"
            f"    return ({rule})\n"
        )

    def _near(self, a: float, b: float) -> bool:
        return a == b if self.tolerance is None else self.tolerance.near(a, b)

    def _difference(self, value: Any, expected: Any) -> str | None:
        if isinstance(expected, plain.Fault):  # the reference refuses this input
            return None if isinstance(value, plain.Fault) else "it should refuse this input"
        return plain.difference(value, expected, self._near)

    def _nothing(self) -> str:
        return f"{self.name} is still as it was handed out. Change its rule and check again."

    def borrowed(self) -> Verdict:
        """Return the verdict for a function that calls the course's library."""
        return Verdict(0.0, "borrowed", f"{self.name} calls solarlib. Write this one yourself: "
                       "one line of arithmetic is enough.")  # fmt: skip


def _literal(value: Any) -> str:
    if isinstance(value, datetime.date):  # also datetime; their repr names the module
        return "__import__('datetime')" + repr(value).removeprefix("datetime")
    if isinstance(value, list | tuple):
        inside = ", ".join(map(_literal, value))
        return f"[{inside}]" if isinstance(value, list) else f"({inside},)"
    return repr(value)


def _shown(call: Sequence[Any]) -> str:
    return "(" + ", ".join(map(repr, call)) + ")"


def _outcome(function: Callable[..., Any], call: Sequence[Any]) -> Any:
    try:
        return plain.accept(plain.to_plain(function(*call)))
    except Exception as error:  # a wrong function may fail in any way; that is its outcome
        return plain.Fault(type(error).__name__, str(error))


def _alike(value: Any, outcome: Any, near: Callable[[float, float], bool]) -> bool:
    if isinstance(outcome, plain.Fault):
        return isinstance(value, plain.Fault)
    return plain.difference(value, outcome, near) is None
