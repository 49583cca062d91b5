"""A number with a unit: right, a known slip, the wrong unit, or following from an earlier slip."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from autograde import plain
from autograde.key.record import Exercise, Verdict
from autograde.key.tolerance import Tolerance
from autograde.numbers import Numbers


@dataclass(frozen=True)
class WorkOut:
    """Something the form works out before the answer: what a learner would else ask of the library.

    inputs : the words beside each box -> its unit. button : the words on it.
    work : the card and the values in base units -> what to show; ValueError for others.
    """

    inputs: Mapping[str, str]
    button: str
    work: Callable[..., str]


@dataclass(frozen=True, kw_only=True)
class Number(Exercise):
    """A number with a unit. `answer` and the slips' `wrong` give base units (SI, deg, °C).

    tool : what the form can work out first.
    share : whether an answer in "1" is a part of a whole, which may be given in % too.
    carry : the answer that follows from the learner's own earlier answers,
        ``lambda n, earlier: ... earlier["depth"] ...``; raise KeyError or return None without one.
    """

    unit: str
    answer: Callable[[Numbers], float]
    tolerance: Tolerance
    share: bool = False
    tool: WorkOut | None = None
    carry: Callable[[Numbers, Mapping[str, float]], float | None] | None = None

    kind = "number"

    def _nothing(self) -> str:
        unit = "" if self.unit in ("1", "suns", "clock") else " with its unit"
        return f"Nothing is answered here yet. Write your answer{unit} and check again."

    def reading(self, value: Any) -> float | None:
        """Return a learner's value in base units, None when it cannot be read as this quantity."""
        from solarlib import units

        try:
            return self._read(self._as_text(value)).value
        except units.UnitError:
            return None

    def _read(self, text: str) -> Any:
        """Return the `units.Reading` of a text; of percentages a bare 0.14 means 14 %."""
        from solarlib import units

        reading = units.parse(text, self.unit)
        share = 100 * reading.value
        if self.unit == "%" and reading.unit is None and abs(share) <= 1:
            return replace(reading, value=share)
        return reading

    def _echo(self, reading: Any) -> str:
        """Write a reading as it was understood: "60 %", "0.6 (60 %)" where it was typed otherwise."""
        from solarlib import units

        read = units.show(reading.value, self.unit)
        share = reading.value != units.parse(reading.text, self.unit).value
        percent = reading.unit == "%" and self.unit == "1"
        return f"{reading.text} ({read})" if share or percent else read

    def _as_text(self, value: Any) -> str:
        from solarlib import units

        if isinstance(value, str):
            return units.one_line(value)
        return repr(value) if plain.is_number(value) else ""

    def _judge(self, value: Any, n: Numbers, earlier: Mapping[str, float]) -> Verdict:
        from solarlib import units

        if isinstance(value, tuple) and len(value) == 2 and all(map(plain.is_number, value)):
            value = f"{value[0]},{value[1]}"  # 150,6 without quotes is a pair in Python
        if not plain.is_number(value) and not isinstance(value, str):
            return Verdict(0.0, "unreadable", f"That is {plain.kind_in_words(value)}. Write one "
                           f"number with its unit in quotes, like \"{self.example(n)}\".")  # fmt: skip
        text = self._as_text(value)
        answer = float(self.answer(n))
        try:
            reading = self._read(text)
        except units.UnitError as error:
            return self._unreadable(text, answer, str(error), n)
        near, given = self.tolerance.near, self._echo(reading)
        carried = self._carried(n, earlier)
        right = near(reading.value, answer)
        if right or (carried is not None and near(reading.value, carried)):
            if reading.unit is None and units.kind(self.unit) not in ("ratio", "clock"):
                return self._say_the_unit(given, n)
            if right:
                return self._right(f"{given}.")
            return Verdict(
                1.0, "carried", f"Right with your earlier answer: {given}. Check that one again."
            )
        for slip in self.slips:
            if any(near(reading.value, wrong) for wrong in several(slip.wrong(n))):
                return self._slipped(slip, n, given)
        if self._in_another_unit(reading.value, answer):
            if reading.unit is None and units.kind(self.unit) != "ratio":
                return self._say_the_unit(text, n)
            return self._unit_slip(text, n)
        less, more = ("early", "late") if self.unit == "clock" else ("small", "large")
        unit = "" if units.kind(self.unit) in ("clock", "ratio") else "the unit, then "
        return self._wrong(
            n,
            None,
            f"You gave {given}; that is too {more if reading.value > answer else less}. Check "
            f"{unit}which numbers of your card you used.",
        )

    def _carried(self, n: Numbers, earlier: Mapping[str, float]) -> float | None:
        if self.carry is None:
            return None
        try:
            value = self.carry(n, earlier)
            return None if value is None or not math.isfinite(value) else float(value)
        except (KeyError, ValueError, ZeroDivisionError, OverflowError):
            return None  # no usable earlier answer

    def _unreadable(self, text: str, answer: float, problem: str, n: Numbers) -> Verdict:
        from solarlib import units

        number = re.match(r"[-+−]?[\d.,]+", text)
        try:
            value = units.parse(number[0] if number else "", self.unit).value
        except units.UnitError:
            return self._wrong(n, "unreadable", problem)
        if self.tolerance.near(value, answer):
            return self._unit_slip(text, n)
        return self._wrong(n, "unreadable", problem)

    def _in_another_unit(self, value: float, answer: float) -> bool:
        """Tell whether the digits are right: a power of ten, or one unit read as another."""
        from solarlib import units

        if value * answer <= 0:
            return False
        kind = units.kind(self.unit)
        if kind in ("clock", "temperature"):
            return False
        if not 1e-12 < value / answer < 1e12:
            return False
        power = round(math.log10(value / answer))
        factors = {10.0**power} if power else set()
        sizes = [_size(u) for u in units.KINDS[kind][2]]
        factors |= {a / b for a in sizes for b in sizes if a != b}
        return any(self.tolerance.near(value / f, answer) for f in factors)

    def _unit_slip(self, given: str, n: Numbers) -> Verdict:
        from solarlib import units

        if units.kind(self.unit) == "ratio":
            says = f"You gave {given}. The digits are right, the decimal point is not."
            hint = "Is it a share of 1 or a percentage? 0.14 and 14 % are the same."
        else:
            says = (
                f"You gave {given}. The digits are right, the unit is not. "
                "How long, heavy or strong would that be in real life?"
            )
            hint = f"The number fits another unit than yours. Is it {self._units()}?"
        return self._wrong(n, "unit", says, hint, 0.5)

    def _say_the_unit(self, given: str, n: Numbers) -> Verdict:
        return self._wrong(
            n,
            "no unit",
            f"The number {given.split(' ')[0]} can be right. Say the unit too, "
            f'like "{self.example(n)}".',
            f"A bare number can be read in several ways. Write {self._units()} behind it.",
            0.5,
        )

    def _units(self) -> str:
        from solarlib import units

        return " or ".join(map(units.label, units.KINDS[units.kind(self.unit)][2][:4]))

    def example(self, n: Numbers) -> str:
        """Return how one may write such an answer, like "12.3 mm"; neither right nor a slip."""
        from solarlib import units

        if self.unit == "clock":
            written = ["15:30", "9:10"]
        else:
            unit = "%" if self.is_share else self.unit
            values = (units.to_base(number, unit) for number in (12.3, 30.0, 5.6, 2.7, 80.0))
            written = [units.show(value, unit) for value in values]
        tries = ((text, self._judge(text, n, {})) for text in written)
        return next((text for text, v in tries if v.credit == 0 and v.slip is None), written[0])

    @property
    def is_share(self) -> bool:
        """Whether the answer is a part of a whole."""
        return self.unit == "%" or self.share

    def solution(self, n: Numbers) -> str:
        from solarlib import units

        return units.show(float(self.answer(n)), self.unit)

    def collisions(self, n: Numbers, least: float = 3.0) -> list[str]:
        """List the pairs among answer and slips that lie closer than `least` tolerances."""
        values = [("the answer", float(self.answer(n)))]
        for slip in self.slips:
            values += [(slip.name, float(w)) for w in several(slip.wrong(n))]
        return [
            f"{self.name}: {one} ({a:.6g}) and {two} ({b:.6g})"
            for i, (one, a) in enumerate(values)
            for two, b in values[i + 1 :]
            if one != two and self.tolerance.apart(a, b) < least
        ]


def several(value: Any) -> tuple[float, ...]:
    """Return a slip's wrong value or values as a tuple."""
    return tuple(value) if isinstance(value, tuple | list) else (float(value),)


def _size(unit: str) -> float:
    from solarlib import units

    return units.parse("1", unit).value
