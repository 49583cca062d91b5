"""Check values from outside the code, row by row: `published.toml` in, pytest functions out.

In a test file::

    import published

    ADAPTERS = {  # quantity as the table names it -> the library's answer, in the row's unit
        "trough depth": lambda i: Parabola(i.f_m, i.W_m).depth,
    }
    LEFT_OUT = {"geo-099": "why this row is not used"}
    test_published, test_every_row_is_used = published.tests("geometry", ADAPTERS, LEFT_OUT)

`i` holds a row's inputs by name; rows of the case "demo_base" start from the
demo heater's defaults. An adapter is looked up by the row's id first, then by
its quantity.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

TABLE = Path(__file__).parents[1] / "solarlib" / "evidence" / "published.toml"
STATUS = {"C": "read in the source", "S": "read in a copy", "V": "recomputed only",
          "M": "from memory", "P": "common practice"}  # fmt: skip


@dataclass(frozen=True)
class Row:
    """One check value: a correct result lies within `tolerance` of `expected` [row's unit]."""

    id: str
    module: str
    quantity: str
    inputs: SimpleNamespace
    expected: float
    tolerance: float
    unit: str
    source: str

    def __str__(self) -> str:
        return self.id


@cache
def _table() -> tuple[Row, ...]:
    data = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    rows = []
    for row in data["check"]:
        case = row["inputs"].get("case")
        inputs = {**(data["defaults"][case] if case else {}), **row["inputs"]}
        relative = row.get("tol_rel", 0.0) * abs(row["expected"])
        rows.append(
            Row(
                id=row["id"],
                module=row["module"],
                quantity=row["quantity"],
                inputs=SimpleNamespace(**inputs),
                expected=row["expected"],
                tolerance=max(row.get("tol_abs", 0.0), relative),
                unit=row["unit"],
                source=f"{row['source']} ({STATUS[row['status']]})",
            )
        )
    return tuple(rows)


def rows(module: str) -> list[Row]:
    """Return the rows of one module, in the table's order."""
    return [row for row in _table() if row.module == module]


def tests(
    module: str,
    adapters: Mapping[str, Callable[[Any], float]],
    left_out: Mapping[str, str] | None = None,
) -> tuple[Callable[..., None], Callable[[], None]]:
    """Return two pytest functions: one check per row, and "no row is forgotten"."""
    left_out = left_out or {}

    def adapter(row: Row) -> Callable[[Any], float] | None:
        return adapters.get(row.id) or adapters.get(row.quantity)

    used = [row for row in rows(module) if adapter(row) and row.id not in left_out]

    @pytest.mark.parametrize("row", used, ids=str)
    def test_published(row: Row) -> None:
        find = adapter(row)
        assert find is not None
        value = float(find(row.inputs))
        assert abs(value - row.expected) <= row.tolerance, (
            f"{row.id}, {row.quantity}: {value:.6g} {row.unit} came, "
            f"{row.expected:g} ± {row.tolerance:.2g} {row.unit} is expected. Source: {row.source}"
        )

    def test_every_row_is_used() -> None:
        ids = {row.id for row in rows(module)}
        quantities = {row.quantity for row in rows(module)}
        forgotten = [f"{r.id} {r.quantity}" for r in rows(module)
                     if not adapter(r) and r.id not in left_out]  # fmt: skip
        assert not forgotten, f"rows without an adapter or a reason: {forgotten}"
        assert not set(adapters) - ids - quantities, "an adapter names no row"
        assert not set(left_out) - ids, "a row that doesn't exist is left out"
        assert all(len(reason.split()) >= 3 for reason in left_out.values()), "say why"

    return test_published, test_every_row_is_used
