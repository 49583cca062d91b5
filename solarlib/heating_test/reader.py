"""How is a text read row by row, and what is said about everything that was not plain?

In: the text of a file. Out: readings and problems. Units in the header or in the
cell, decimal points or commas, clock times or minutes, gaps and comments.

Nothing is dropped without a word and nothing is corrected without saying so.
"""

from __future__ import annotations

import math
import re
from typing import Any

from solarlib import units
from solarlib.heating_test.records import Log, Problem, Reading
from solarlib.heating_test.table import (
    CLOCK,
    CLOCK_UNITS,
    DATE,
    GAPS,
    KEYWORDS,
    KINDS,
    Column,
    find_separator,
    name_and_unit,
    split_cells,
    uses_decimal_comma,
)

MOST_ROWS = 20_000
MOST_COLUMNS = 40
MOST_LETTERS = 4_000  # in a line


class Reader:
    """Walks through one text; collects problems on the way."""

    def __init__(self, text: str) -> None:
        self.problems: list[Problem] = []
        self.comments: list[str] = []
        self.lines: list[tuple[int, str]] = []
        for number, line in enumerate(re.split(r"\r\n|\r|\n", text.replace("\0", "")), start=1):
            if line.lstrip().startswith("#"):
                self.comments.append(line.strip().lstrip("#").strip())
            elif len(line) > MOST_LETTERS:
                self.say(number, "", f"{len(line)} letters, too long to be read; write one reading "
                         "in a line.")  # fmt: skip
            elif line.strip():
                self.lines.append((number, line))
        self.first_date: str | None = None
        self.by_clock: bool | None = None
        self.last_time = -math.inf

    def say(self, row: int, column: str, says: str) -> None:
        self.problems.append(Problem(row, column, says))

    def log(self) -> Log:
        if not self.lines:
            self.say(0, "", "it holds no table; the first line must name the columns.")
            return self._done((), ())
        (header_row, header), *body = self.lines
        self.separator = find_separator(header)
        columns = self._columns(header_row, split_cells(header, self.separator))
        if not self._complete(header_row, columns):
            return self._done((), columns)
        if len(body) > MOST_ROWS:
            self.say(0, "", f"only the first {MOST_ROWS} of {len(body)} rows were read; keep "
                     "fewer.")  # fmt: skip
            body = body[:MOST_ROWS]
        table = [(row, split_cells(line, self.separator)) for row, line in body]
        self.decimal_comma = uses_decimal_comma(cells for _, cells in table)
        readings = tuple(self._reading(row, cells, columns) for row, cells in table)
        if not readings:
            self.say(0, "", "it has a header and no rows; write a row for each reading.")
        self._one_word_for_empty_columns(columns, len(readings))
        return self._done(readings, columns)

    def _done(self, readings: tuple[Reading, ...], columns: Any) -> Log:
        kinds = tuple(column.kind for column in columns if column.usable)
        problems = tuple(sorted(self.problems, key=lambda problem: problem.row))
        return Log(readings, problems, tuple(self.comments), kinds, bool(self.by_clock))

    # --- header --------------------------------------------------------------------------------
    def _columns(self, row: int, headings: list[str]) -> list[Column]:
        columns: list[Column] = []
        if len(headings) > MOST_COLUMNS:
            self.say(row, "", f"{len(headings)} headings, of which the first {MOST_COLUMNS} are "
                     "read; keep only the columns of the test.")  # fmt: skip
        for heading in headings[:MOST_COLUMNS]:
            name, unit = name_and_unit(heading)
            words = set(re.findall(r"[a-z]+", name.lower()))
            kind = next((k for k, keys in KEYWORDS.items() if words & set(keys)), "")
            column = Column(kind, heading or "unnamed column", unit)
            if not kind:
                column.usable = False
                if heading:
                    self.say(row, heading, "this column is not known here; nothing in it is used.")
            elif any(other.kind == kind and other.usable for other in columns):
                column.usable = False
                self.say(row, heading, f"there are two {kind} columns; the first one is used.")
            elif kind != "remark":
                self._check_unit(row, column)
            columns.append(column)
        return columns

    def _check_unit(self, row: int, column: Column) -> None:
        expects, _, words = KINDS[column.kind]
        lower = column.unit.lower()
        if column.kind == "time" and (lower in CLOCK_UNITS or not column.unit):
            column.unit = ""
        elif not column.unit:
            self.say(row, column.heading, f"no unit in the header; {words} is assumed.")
            column.unit = expects
        elif column.kind == "wind" and lower in ("bft", "beaufort"):
            column.unit = "bft"
        else:
            try:
                units.parse(f"1 {column.unit}", expects)
            except units.UnitError as error:
                column.usable = False
                self.say(row, column.heading, f"the unit cannot be used: {error}")

    def _complete(self, row: int, columns: list[Column]) -> bool:
        found = {column.kind for column in columns if column.usable}
        for kind, example in (("time", "time (min)"), ("water", "water (°C)")):
            if kind not in found:
                self.say(row, kind, f"no usable {kind} column; name one like “{example}”.")
        return {"time", "water"} <= found

    # --- rows ----------------------------------------------------------------------------------
    def _reading(self, row: int, cells: list[str], columns: list[Column]) -> Reading:
        extra = cells[len(columns) :]
        if any(extra) or len(extra) > 1:  # one empty cell at the end is a habit of some programs
            hint = ""
            if self.separator == ",":
                hint = "; numbers with decimal commas need semicolons between the cells"
            self.say(
                row, "", f"{len(cells)} cells under {len(columns)} headings; not used{hint}."
            )  # fmt: skip
            return Reading(row)
        cells = cells + [""] * (len(columns) - len(cells))
        found: dict[str, Any] = {}
        for column, cell in zip(columns, cells, strict=False):
            if not column.usable:
                continue
            if column.kind == "remark":
                found["remark"] = cell
            elif column.kind == "time":
                found["time_s"] = self._time(row, column, cell)
            else:
                name = column.kind + ("_c" if column.kind in ("water", "air") else "")
                found[name] = self._value(row, column, cell)
        return Reading(row, **found)

    def _value(self, row: int, column: Column, cell: str) -> float:
        if cell.lower() in GAPS:
            self.say(row, column.heading, "nothing is written here; counted as a gap.")
            return math.nan
        expects, (low, high), words = KINDS[column.kind]
        text = cell.replace(",", ".") if self.decimal_comma and cell.count(",") == 1 else cell
        own_unit = bool(re.search(r"[A-Za-zµ°%'\"]", re.sub(r"(?<=\d)[eE](?=[+-]?\d)", "", text)))
        try:
            if column.unit == "bft" and not own_unit:
                force = units.parse(text, "1").value
                value = 0.836 * max(force, 0.0) ** 1.5  # WMO scale, from memory
            else:
                value = units.parse(text if own_unit else f"{text} {column.unit}", expects).value
        except units.UnitError as error:
            self.say(row, column.heading, f"{error} Counted as a gap.")
            return math.nan
        if not low <= value <= high:
            self.say(
                row,
                column.heading,
                f"“{cell}” is {value:.4g} {words}, outside {low:g} to {high:g} {words}; "
                "counted as a gap.",
            )
            return math.nan
        if own_unit and column.unit != "bft" and self._other_unit(text, column, expects):
            self.say(row, column.heading, f"“{cell}” has a unit of its own; read as "
                     f"{value:.1f} {words}.")  # fmt: skip
        return value

    def _other_unit(self, text: str, column: Column, expects: str) -> bool:
        """Whether the cell's own unit gives another value than the header's unit would."""
        number = re.match(r"[-−+]?[\d.,]+", text)
        if not number:
            return True
        try:
            by_header = units.parse(f"{number[0]} {column.unit or expects}", expects).value
            return abs(by_header - units.parse(text, expects).value) > 1e-9
        except units.UnitError:
            return True

    # --- time ----------------------------------------------------------------------------------
    def _time(self, row: int, column: Column, cell: str) -> float:
        if cell.lower() in GAPS:
            self.say(row, column.heading, "no time is written; the row cannot be used.")
            return math.nan
        time, by_clock = self._time_in_seconds(row, column, cell)
        if math.isnan(time):
            return math.nan
        if self.by_clock is None:
            self.by_clock = by_clock
        if by_clock != self.by_clock:
            kind = "a clock time" if by_clock else "a number"
            self.say(row, column.heading, f"“{cell}” is {kind} unlike the rows above; not used.")
            return math.nan
        if time <= self.last_time:
            self.say(
                row,
                column.heading,
                f"“{cell}” is not later than the row before; not used. After noon write 13:05, "
                "or 1:05 pm.",
            )
            return math.nan
        self.last_time = time
        return time

    def _time_in_seconds(self, row: int, column: Column, cell: str) -> tuple[float, bool]:
        date = DATE.match(cell)
        if date:
            self.first_date = self.first_date or date[1]
            if date[1] != self.first_date:
                self.say(row, column.heading, f"another day ({date[1]}); a log is one day’s. "
                         "Not used.")  # fmt: skip
                return math.nan, True
        rest = re.sub(r"(Z|[+-]\d{2}:?\d{2})$", "", cell[date.end() :] if date else cell).strip()
        clock = CLOCK.fullmatch(rest.lower())
        if clock:
            hour, minute, second = int(clock[1]), int(clock[2]), int(clock[3] or 0)
            if clock[4] and 1 <= hour <= 12:
                hour = hour % 12 + (12 if clock[4][0] == "p" else 0)
            if hour > 23 or minute > 59 or second > 59:
                self.say(row, column.heading, f"“{cell}” is not a clock time; not used.")
                return math.nan, True
            return 3600.0 * hour + 60.0 * minute + second, True
        text = rest.replace(",", ".") if self.decimal_comma and rest.count(",") == 1 else rest
        own_unit = bool(re.search(r"[A-Za-z]", text))
        if not column.unit and not own_unit and self.by_clock is None:
            self.say(row, column.heading, "no unit in the header; minutes are assumed.")
        try:
            value = units.parse(text if own_unit else f"{text} {column.unit or 'min'}", "min").value
        except units.UnitError as error:
            self.say(row, column.heading, f"{error} The row cannot be used.")
            return math.nan, False
        low, high = KINDS["time"][1]
        if not low <= value <= high:
            self.say(row, column.heading, f"“{cell}” is outside 0 to 48 h; not used.")
            return math.nan, False
        return value, False

    def _one_word_for_empty_columns(self, columns: list[Column], rows: int) -> None:
        """Say once, not row by row, that a whole optional column is empty."""
        for column in columns:
            gaps = [p for p in self.problems if p.column == column.heading and "a gap" in p.says
                    and p.says.startswith("nothing")]  # fmt: skip
            if column.kind in ("air", "wind", "sun") and rows > 1 and len(gaps) == rows:
                self.problems = [p for p in self.problems if p not in gaps]
                words = f"the {column.kind} column is empty in all rows; fill it or leave it out."
                self.say(0, column.heading, words)
