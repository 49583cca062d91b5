"""What is a log made of: readings, and a sentence for everything that was not plain."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Problem:
    """Something about one place of the file: line number (0: the whole file), column, sentence."""

    row: int
    column: str
    says: str

    def __str__(self) -> str:
        where = f"Line {self.row}" if self.row else "The file"
        return f"{where}{f', {self.column}' if self.column else ''}: {self.says}"


@dataclass(frozen=True)
class Reading:
    """One line of the log; nan where nothing usable stands.

    row in the file, time_s [s] (after midnight for clock times, else as given), water_c and
    air_c [°C], wind [m/s], sun [W/m2], remark as written.
    """

    row: int
    time_s: float = math.nan
    water_c: float = math.nan
    air_c: float = math.nan
    wind: float = math.nan
    sun: float = math.nan
    remark: str = ""


@dataclass(frozen=True)
class Log:
    """A heating test as written: readings in file order, problems, comment lines, columns found.

    by_clock : whether the times are times of day, not minutes since a start.
    """

    readings: tuple[Reading, ...]
    problems: tuple[Problem, ...]
    comments: tuple[str, ...]
    columns: tuple[str, ...]
    by_clock: bool = False

    def __str__(self) -> str:
        lines = ["  time   water    sun  remark"]
        for r in self.readings:
            minute = r.time_s / 60
            time = f"{minute:.1f}" if math.isfinite(minute) else "–"
            if self.by_clock and time != "–":
                time = f"{round(minute) // 60 % 24:02d}:{round(minute) % 60:02d}"
            water = f"{r.water_c:.1f}" if math.isfinite(r.water_c) else "–"
            sun = f"{r.sun:.0f}" if math.isfinite(r.sun) else "–"
            lines.append(f"{time:>6}  {water:>6}  {sun:>5}  {r.remark}".rstrip())
        return "\n".join(lines)

    def values(self, name: str) -> NDArray[np.float64]:
        """Return one quantity of all readings, such as "water_c" or "time_s"."""
        return np.array([getattr(reading, name) for reading in self.readings], dtype=float)

    @property
    def simulated(self) -> bool:
        """Whether the file's first comment says that it is simulated."""
        return bool(self.comments) and "simulated" in self.comments[0].lower()
