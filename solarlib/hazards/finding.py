"""How is one hazard number told, so that nobody takes it for more than it is?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from solarlib import reference


@dataclass(frozen=True)
class Finding:
    """One hazard number: value [unit], nan when unknown, with source, status and a sentence.

    The text of a finding ends with its source; a value from memory says that it must be looked
    up before anybody relies on it.
    """

    value: float
    unit: str
    source: str
    status: str
    sentence: str

    def __float__(self) -> float:
        return self.value

    @property
    def known(self) -> bool:
        """False where no source covers the case: treat it as dangerous."""
        return not math.isnan(self.value)

    def __str__(self) -> str:
        look_up = "; look it up before you rely on it" if self.status == reference.MEMORY else ""
        return f"{self.sentence} Source: {self.source} ({self.status}{look_up})."


def duration(seconds: float) -> str:
    """Write a time the way people say it: "0.5 s", "87 s", "4.2 min", "6 h"."""
    if seconds < 1:
        return f"{seconds:.2g} s"
    if seconds < 120:
        return f"{seconds:.0f} s" if seconds >= 10 else f"{seconds:.1f} s".replace(".0 s", " s")
    if seconds < 7200:
        return f"{seconds / 60:.1f} min".replace(".0 min", " min")
    return f"{seconds / 3600:.1f} h".replace(".0 h", " h")
