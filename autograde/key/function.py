"""A function the learner writes, called on shown examples and hidden cases."""

from __future__ import annotations

import ast
import datetime
import random
import re
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
        stopped = None if len(faults) < len(values) else (
            "unreadable" if faults[0].kind in _CANNOT_BE_READ else "error")  # fmt: skip
        says = f"{score} In {place} {'the result is not right' if hidden else words}."
        return self._wrong(n, stopped, says)

    def _made(self, slip: Slip, values: Sequence[Any], calls: Sequence[Sequence[Any]]) -> bool:
        if slip.wrong == self.CONSTANT:
            same = all(plain.is_number(v) and v == values[0] for v in values)
            return same and len(set(map(repr, calls))) > 1
        outcomes = [_outcome(slip.wrong, c) for c in calls]
        return all(_alike(v, o, self._near) for v, o in zip(values, outcomes, strict=True))

    # --- a rule typed in words of Python ----------------------------------------------------------
    def from_text(self, text: str, handed_out: str = "") -> str:
        """Return the source of the function for what was typed: the whole of it, or one rule.

        A rule such as "area × sun" takes the place of the marked line in the cell that was
        `handed_out`, so that all names of that cell and those of `math` may stand in it. Lists of
        numbers among the arguments become arrays, so that a rule works on them too.
        """
        start = handed_out if self.marked_line(handed_out) else (
            f"def {self.signature}:\n    result = 0  # {MARKED}\n    return result")  # fmt: skip
        if f"def {self.name}" in text:
            above = start.partition(f"def {self.name}")[0]
            return text if above.strip() in text else above + text
        left, rule = _rule(text)
        marked = self.marked_line(start)
        target = marked.partition(" = ")[0]
        of_all = left == "return" or re.match(rf"{self.name}\b", left) is not None
        line = f"return {rule}" if of_all else f"{target} = {rule}"
        names = ", ".join(self.arguments)
        arrays = (f"{names}, = (np.array(v) if isinstance(v, list) and not isinstance(v[0], tuple) "
                  f"else v for v in ({names},))")  # fmt: skip
        head = f"def {self.signature}:\n"
        inside = start.replace(head, f"{head}    {arrays}\n").replace(marked, line)
        return f"import math\nimport numpy as np\nfrom math import *\n{inside}\n"

    @property
    def arguments(self) -> list[str]:
        """The names that stand in the brackets."""
        inside = self.signature.partition("(")[2].rpartition(")")[0]
        return [part.partition("=")[0].strip() for part in inside.split(",")]

    def marked_line(self, handed_out: str) -> str:
        """Return the one line to change of a cell as it is handed out, "" without one."""
        lines = map(str.strip, handed_out.splitlines())
        return next((line for line in lines if line.endswith(MARKED)), "")

    def usable(self, handed_out: str) -> list[str]:
        """Return the names that may stand in a typed rule: the function's own first."""
        marked = self.marked_line(handed_out)
        place = handed_out[: handed_out.find(marked)].count("\n") + 1
        inside, above = list(self.arguments), []
        for node in ast.walk(ast.parse(handed_out)):
            if getattr(node, "lineno", place) >= place and not isinstance(node, ast.alias):
                continue
            if isinstance(node, ast.ImportFrom):
                above += [alias.asname or alias.name for alias in node.names]
            elif isinstance(node, ast.FunctionDef) and node.name != self.name:
                above.append(node.name)
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                (inside if node.col_offset else above).append(node.id)
        return list(dict.fromkeys([*inside, *above]))

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


MARKED = "change only this line"  # the comment behind the line that a typed rule replaces
_CANNOT_BE_READ = ("SyntaxError", "NameError")  # faults of writing, not of thinking
_SIGNS = (("×", "*"), ("·", "*"), ("÷", "/"), ("²", "**2"), ("^", "**"), ("−", "-"))
# "watts =", "new change =" or "power(area, sun) =", but not "max(a, key=" and not "a =="
_LEFT = re.compile(r"(return\b|[^\W\d][\w ]*(?:\([\w ,]*\))?\s*=(?!=))\s*(.*)")


def _rule(text: str) -> tuple[str, str]:
    """Split a typed rule into what stands left of its equals sign, "" for nothing, and Python."""
    line = " ".join(text.split()).removesuffix(".")
    for typed, python in _SIGNS:
        line = line.replace(typed, python)
    match = _LEFT.fullmatch(line)
    return (match[1].rstrip(" ="), match[2]) if match else ("", line)


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
