"""How close is close enough, with the reason: absolute, relative, or on a log scale."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Within:
    """An absolute tolerance, such as ``Within(0.5, "mm", "half the width of a saw cut")``."""

    amount: float
    unit: str
    why: str

    def apart(self, a: float, b: float) -> float:
        """Return the distance of two values in tolerances."""
        return abs(a - b) / self._base()

    def near(self, value: float, answer: float) -> bool:
        """Tell whether a value is as good as the answer."""
        return self.apart(value, answer) <= 1 + 1e-9

    def _base(self) -> float:
        from solarlib import units

        if self.unit == "clock":  # minutes of clock time
            return self.amount
        difference = {"degC": "K", "degF": "K"}.get(self.unit, self.unit)
        factor = 5 / 9 if self.unit == "degF" else 1.0
        return factor * units.parse(repr(float(self.amount)), difference).value


@dataclass(frozen=True)
class Relative:
    """A tolerance as a share of the answer, such as ``Relative(0.02, "plain arithmetic")``."""

    share: float
    why: str

    def apart(self, a: float, b: float) -> float:
        """Return the distance of two values in tolerances of the larger one."""
        scale = max(abs(a), abs(b))
        return 0.0 if a == b else abs(a - b) / (self.share * scale)

    def near(self, value: float, answer: float) -> bool:
        """Tell whether a value is as good as the answer."""
        return abs(value - answer) <= self.share * abs(answer) * (1 + 1e-9)


@dataclass(frozen=True)
class Factor:
    """A tolerance on a log scale: ``Factor(1.15, why)`` takes answer/1.15 to answer × 1.15."""

    factor: float
    why: str

    def apart(self, a: float, b: float) -> float:
        """Return the distance of two values in tolerances."""
        if a * b <= 0:
            return 0.0 if a == b else math.inf
        return abs(math.log(a / b)) / math.log(self.factor)

    def near(self, value: float, answer: float) -> bool:
        """Tell whether a value is as good as the answer."""
        return self.apart(value, answer) <= 1 + 1e-9


Tolerance = Within | Relative | Factor
