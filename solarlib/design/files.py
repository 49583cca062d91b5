"""Designs as TOML files that people read, change, compare and hand in.

In: a file or its text, numbers plain in the field's own unit or as text with any
unit ("640 mm", "25 3/16 in", "82 %"). Out: a `HeaterDesign`; or one sentence that
names the line's entry, what came and what is allowed. And back to text.
"""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

from solarlib import units
from solarlib.design.entries import (
    DesignError,
    range_text,
    stored_unit,
    to_shown,
    to_stored,
)
from solarlib.design.heater import GROUPS, HeaterDesign
from solarlib.design.plumbing import Plumbing, PlumbingError

LARGEST_FILE = 200_000  # bytes; a design is about 6 kB
MOST_DOTS = 1_000  # in a line; a.b.c… of that depth keeps the TOML reader busy for minutes
_FIELDS = {one.name: one for one in fields(HeaterDesign)}


def read(path: Any) -> HeaterDesign:
    """Read a design file.

    Parameters
    ----------
    path : a TOML file grouped like the demo's; what is left out keeps the demo's value.

    Raises
    ------
    DesignError : no such file, not TOML, an unknown entry, a wrong unit, an impossible heater.
    """
    file = Path(path)
    try:
        if file.exists() and not file.is_file():  # a folder, or a device without an end
            raise DesignError(f"{file} is not a file; name the design's own TOML file.")
        if file.stat().st_size > LARGEST_FILE:
            raise DesignError(f"{file.name} is too large to be a design; choose another file.")
        text = file.read_bytes().decode("utf-8-sig")
    except (FileNotFoundError, NotADirectoryError):
        raise DesignError(f"There is no file {file}; check the name and the folder.") from None
    except UnicodeDecodeError:
        raise DesignError(f"{file.name} is not a text file; save it as UTF-8.") from None
    except OSError as error:
        raise DesignError(f"{str(file)[:60]} cannot be read ({error.strerror}); check the name "
                          "and the folder.") from None  # fmt: skip
    return from_text(text, file.name)


def from_text(text: str, where: str = "the design") -> HeaterDesign:
    """Read a design from TOML text; `where` names it in messages."""
    if any(line.count(".") > MOST_DOTS for line in text.splitlines()):
        raise DesignError(f"{where}: a line has more than {MOST_DOTS} points; write one entry in "
                          "each line.")  # fmt: skip
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # also numbers of thousands of digits
        raise DesignError(
            f"{where} is not readable as TOML: {error}. Write entries like "
            'focal_length = "170 mm" under [trough].'
        ) from None
    values: dict[str, Any] = {}
    for group, entries in data.items():
        if group not in GROUPS:
            raise DesignError(f"{where}: there is no group [{group}]{_like(group, GROUPS)}")
        if not isinstance(entries, dict):
            raise DesignError(f"{where}: {group} is a group; put its entries under [{group}].")
        for name, value in entries.items():
            try:
                values[name] = _value(group, name, value, where)
            except OverflowError:
                raise DesignError(
                    f"{where}: {group}.{name} is a number too large to mean anything; give its "
                    "size in the unit of the entry."
                ) from None
    try:
        return HeaterDesign(**values)
    except DesignError as error:
        raise DesignError(f"{where}: {error}") from None


def _like(name: str, known: Any) -> str:
    near = difflib.get_close_matches(name, list(known), n=1)
    return f"; did you mean {near[0]}?" if near else f"; use one of {', '.join(known)}."


def _value(group: str, name: str, value: Any, where: str) -> Any:
    one = _FIELDS.get(name)
    in_group = [key for key, field in _FIELDS.items() if field.metadata["group"] == group]
    if one is None:
        raise DesignError(f"{where}: [{group}] has no entry {name}{_like(name, in_group)}")
    if one.metadata["group"] != group:
        raise DesignError(
            f"{where}: {name} belongs under [{one.metadata['group']}], not [{group}]."
        )
    kind = one.metadata["kind"]
    try:
        if kind == "number":
            return _read_number(one, value)
        if kind == "plumbing":
            return _read_plumbing(value)
    except (units.UnitError, PlumbingError) as error:
        raise DesignError(f"{where}: {name}: {error}") from None
    return value


def _read_number(one: Any, value: Any) -> Any:
    if isinstance(value, str):
        base = units.parse(value, one.metadata["unit"]).value
        stored = stored_unit(one)
        return float(f"{units.from_base(base, stored):.12g}")
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return to_stored(one, value)
    return value


def _read_plumbing(value: Any) -> Plumbing:
    known = isinstance(value, dict) and set(value) == {"heights", "links"}
    if not known or not isinstance(value["heights"], dict) or not isinstance(value["links"], list):
        raise PlumbingError("give heights = { part = height } and links = [ ... ], as in the demo.")
    heights = {}
    for part, height in value["heights"].items():
        if isinstance(height, str):
            height = units.parse(height, "mm").value
        elif isinstance(height, (int, float)) and not isinstance(height, bool):
            height = float(height) / 1000
        else:
            raise PlumbingError(f"the height of {part} is {height!r}; write it like “800 mm”.")
        heights[str(part)] = float(f"{height:.12g}")
    return Plumbing.from_words(heights, [str(line) for line in value["links"]])


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in escaped) + '"'


def written(one: Any, value: Any) -> str:
    """Write the value of a field as TOML."""
    kind = one.metadata["kind"]
    if kind == "number":
        unit = one.metadata["unit"]
        number = f"{to_shown(one, value):.10g}"
        return number if unit == "1" else _quoted(f"{number} {units.label(unit)}")
    if kind == "flag":
        return "true" if value else "false"
    if kind == "months":
        return str(list(value))
    if kind == "prices":
        return "{" + ", ".join(f"{_quoted(part)} = {price!r}" for part, price in value) + "}"
    if kind == "changes":
        rows = "".join(f"\n  [{', '.join(map(_quoted, row))}]," for row in value)
        return f"[{rows}\n]" if value else "[]"
    if kind == "plumbing":
        heights = ", ".join(f'{_quoted(p)} = "{h * 1000:.10g} mm"' for p, h in value.parts)
        links = "".join(f"\n  {_quoted(line)}," for line in value.link_words())
        return f"{{ heights = {{ {heights} }}, links = [{links}\n] }}"
    return _quoted(value)


def to_text(design: HeaterDesign) -> str:
    """Write a design as TOML; reading it back gives the same design."""
    lines = ["# A trough water heater. Numbers may carry any unit: “640 mm”, “25 3/16 in”, “82 %”."]
    for group, words in GROUPS.items():
        lines += ["", f"[{group}]  # {words}"]
        for one in _FIELDS.values():
            if one.metadata["group"] != group:
                continue
            note = one.metadata["words"]
            if one.metadata["kind"] == "number":
                note += f"; {range_text(one)}"
            elif one.metadata["kind"] == "choice":
                note += "; " + ", ".join(one.metadata["options"])
            if getattr(design, one.name) is None:
                lines.append(f"# {one.name} = ...  # {note}")
                continue
            value = written(one, getattr(design, one.name))
            lines.append(f"# {note}" if "\n" in value else f"{one.name} = {value}  # {note}")
            if "\n" in value:
                lines.append(f"{one.name} = {value}")
    return "\n".join(lines) + "\n"
