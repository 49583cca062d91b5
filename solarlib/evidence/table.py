"""Which values from outside the code must the course reproduce, and how closely?

In: `published.toml`, one row per value. Out: rows with inputs, expected value,
tolerance, unit, source and how sure the source is.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import SimpleNamespace

STATUS = {
    "C": "read in the source",
    "S": "read in a copy",
    "V": "recomputed by independent code",
    "M": "from memory of the source",
    "P": "common practice, no source",
}


@dataclass(frozen=True)
class Row:
    """One check value: a correct result lies within `tolerance` of `expected`, both in `unit`.

    `inputs` holds the row's inputs by name; rows of the case "demo_base" start from the demo
    heater's defaults. `given` are the inputs as the row itself names them, in words.
    """

    id: str
    module: str
    quantity: str
    inputs: SimpleNamespace
    given: str
    expected: float
    tolerance: float
    unit: str
    source: str
    status: str

    def __str__(self) -> str:
        return self.id


@cache
def _table() -> tuple[Row, ...]:
    text = (files("solarlib.evidence") / "published.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    found = []
    for row in data["check"]:
        own = dict(row["inputs"])
        case = own.pop("case", None)
        defaults = data["defaults"][case] if case else {}
        words = [f"{name} {value}" for name, value in own.items()]
        relative = row.get("tol_rel", 0.0) * abs(row["expected"])
        found.append(
            Row(
                id=row["id"],
                module=row["module"],
                quantity=row["quantity"],
                inputs=SimpleNamespace(**{**defaults, **own}),
                given=", ".join((["demo heater"] if case else []) + words),
                expected=row["expected"],
                tolerance=max(row.get("tol_abs", 0.0), relative),
                unit="" if row["unit"] == "-" else row["unit"],
                source=row["source"],
                status=STATUS[row["status"]],
            )
        )
    return tuple(found)


def rows(module: str | None = None) -> list[Row]:
    """Return the rows of one module, or all of them, in the table's order.

    Parameters
    ----------
    module : such as "optics"; all when left out.

    Returns
    -------
    list of Row.

    Example
    -------
    >>> len(rows()) > 500, {one.module for one in rows("water")}
    (True, {'water'})
    """
    return [row for row in _table() if module in (None, row.module)]


def row(row_id: str) -> Row:
    """Return one row by its id.

    Parameters
    ----------
    row_id : such as "geo-001".

    Returns
    -------
    Row

    Raises
    ------
    LookupError : no row has this id.

    Example
    -------
    >>> row("geo-001").module
    'geometry'
    """
    for one in _table():
        if one.id == row_id:
            return one
    raise LookupError(f"No published value is called “{row_id}”; ids look like geo-001.")
