"""Does a function that was to be written call the course's library instead?

In: source code, of one function or of the cells of a notebook. Out: yes or no, and a function's
own code. Nothing is run.
"""

from __future__ import annotations

import ast
import textwrap
from collections.abc import Sequence
from typing import Any

_SOLARLIB = {
    "reference", "units", "geometry", "optics", "sun", "water", "heat", "heating_test", "hazards",
    "design", "pack",
}  # fmt: skip


def leans_on_solarlib(source: str) -> bool:
    """Tell whether code calls the course's library (`solarlib` or one of its modules)."""
    try:
        tree = ast.parse(source)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        return False
    own = {a.arg for node in ast.walk(tree) if isinstance(node, ast.arguments)
           for a in [*node.posonlyargs, *node.args, *node.kwonlyargs]}  # fmt: skip
    own |= {node.id for node in ast.walk(tree)
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)}  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Import) and any(a.name.startswith("solarlib") for a in node.names):
            return True
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("solarlib"):
            return True
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            name = node.value.id
            if name == "solarlib" or (name in _SOLARLIB and name not in own):
                return True
    return False


def borrows(source: Any) -> bool:
    """Tell whether the source of a learner's function, as the log keeps it, calls the library."""
    return isinstance(source, str) and leans_on_solarlib(textwrap.dedent(source))


def source_of(cells: Sequence[str], name: str) -> str:
    """Return the code of the last function of that name in some code cells, "" without one.

    Names that stand for the course's library under another name are traced: a function
    that uses one leans on the library as much as one that names it.
    """
    aliases: set[str] = set()
    found = ""
    for cell in cells:
        try:
            tree = ast.parse(cell)
        except (SyntaxError, ValueError, RecursionError, MemoryError):
            continue
        for node in tree.body:
            if isinstance(node, ast.ImportFrom | ast.Import):
                aliases |= _library_names(node)
            elif isinstance(node, ast.Assign) and _root(node.value) in aliases:
                aliases |= {t.id for t in node.targets if isinstance(t, ast.Name)}
            elif isinstance(node, ast.FunctionDef) and node.name == name:
                found = ast.get_source_segment(cell, node) or ""
                if aliases & _taken_from_outside(node):
                    found += "\nimport solarlib"
    return found


def _taken_from_outside(function: ast.FunctionDef) -> set[str]:
    names = [node for node in ast.walk(function) if isinstance(node, ast.Name)]
    own = {node.id for node in names if isinstance(node.ctx, ast.Store)}
    own |= {node.arg for node in ast.walk(function) if isinstance(node, ast.arg)}
    return {node.id for node in names} - own


def _library_names(node: ast.ImportFrom | ast.Import) -> set[str]:
    origin = node.module or "" if isinstance(node, ast.ImportFrom) else ""
    return {(alias.asname or alias.name).split(".")[0] for alias in node.names
            if (origin or alias.name).split(".")[0] == "solarlib"}  # fmt: skip


def _root(node: ast.expr) -> str | None:
    while isinstance(node, ast.Attribute):
        node = node.value
    return node.id if isinstance(node, ast.Name) else None
