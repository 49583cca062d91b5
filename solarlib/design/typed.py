"""What a person types for one entry of a design, and what stands in its place when shown.

In: a field of `HeaterDesign` and a text such as "25 3/16 in", "yes" or "4, 5, 6". Out:
the tidied value, or one sentence that names the entry and what is allowed; and back.
"""

from __future__ import annotations

from typing import Any

from solarlib import units
from solarlib.design.entries import DesignError, check, range_text, stored_unit, to_shown
from solarlib.design.plumbing import AIR, Plumbing, PlumbingError

NOT_STATED = "not stated"
YES, NO = "yes", "no"


def shown(one: Any, value: Any) -> str:
    """Return the value of a field as people read it and may type it again."""
    kind = one.metadata["kind"]
    if value is None:
        return NOT_STATED if kind in ("choice", "flag") else ""
    if kind == "number":
        number = f"{to_shown(one, value):.10g}".replace("-", "−")
        return f"{number} {units.label(one.metadata['unit'])}".rstrip()
    if kind == "flag":
        return YES if value else NO
    if kind == "months":
        return ", ".join(str(month) for month in value)
    if kind == "plumbing":
        heights = [f"{part}: {height * 1000:.10g} mm" for part, height in value.parts]
        return "\n".join([*heights, *value.link_words()])
    if kind == "prices":
        return "\n".join(f"{part}: {price:g}" for part, price in value)
    if kind == "changes":
        return "\n".join(" | ".join(row) for row in value)
    return str(value)


def read(one: Any, text: str) -> Any:
    """Return the value that a typed text stands for.

    Raises
    ------
    DesignError : one sentence that names the entry, what came and what is allowed.
    """
    kind, text = one.metadata["kind"], text.strip()
    if one.default is None and text in ("", NOT_STATED) and kind != "text":
        return None
    try:
        value = _READ.get(kind, _as_it_is)(one, text)
    except (units.UnitError, PlumbingError) as error:
        raise DesignError(f"{one.name} ({one.metadata['words']}): {error}") from None
    return check(one, value)


def allowed(one: Any) -> str:
    """Say what may be typed for a field."""
    kind = one.metadata["kind"]
    if kind == "number":
        return range_text(one)
    return {
        "text": "your words, at most 300 letters",
        "months": "numbers of the months, such as 4, 5, 6",
        "plumbing": "a line for each part and its height, such as “pipe: 800 mm”, then a line for "
                    f"each link and what is in it, such as “pot - {AIR}: gap under the lid”",
        "prices": "a line for each part, such as “pipe: 12.50”",
        "changes": "a line for each change: date | what | why",
    }.get(kind, "")  # fmt: skip


def _as_it_is(one: Any, text: str) -> Any:
    return text


def _number(one: Any, text: str) -> Any:
    if not text:
        raise DesignError(f"{one.name} ({one.metadata['words']}) is empty; give "
                          f"{range_text(one)}.")  # fmt: skip
    base = units.parse(text.replace("−", "-"), one.metadata["unit"]).value
    return float(f"{units.from_base(base, stored_unit(one)):.12g}")


def _flag(one: Any, text: str) -> Any:
    known = {YES: True, NO: False, "true": True, "false": False}
    if text.lower() not in known:
        raise DesignError(f"{one.name} is “{text}”; answer {YES} or {NO}.")
    return known[text.lower()]


def _months(one: Any, text: str) -> Any:
    try:
        return [int(word) for word in text.replace(",", " ").split()]
    except ValueError:
        raise DesignError(f"{one.name} is “{text}”; list the months by number, such as 4, 5, 6."
                          ) from None  # fmt: skip


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _plumbing(one: Any, text: str) -> Any:
    heights, links = {}, []
    for line in _lines(text):
        if " - " in line:
            links.append(line)
            continue
        part, colon, height = line.rpartition(":")
        if not colon or not part.strip():
            raise PlumbingError(f"“{line}” is no part and no link; write “pipe: 800 mm”, or "
                                f"“pot - {AIR}: gap under the lid”.")  # fmt: skip
        if part.strip() in heights:  # never the one height in place of the other
            raise PlumbingError(f"“{line}” names {part.strip()} again; name each part once.")
        heights[part.strip()] = float(f"{units.parse(height.strip(), 'mm').value:.12g}")
    return Plumbing.from_words(heights, links)


def _prices(one: Any, text: str) -> Any:
    prices = {}
    for line in _lines(text):
        part, colon, price = line.rpartition(":")
        try:
            prices[part.strip()] = float(price.strip().replace(",", "."))
        except ValueError:
            colon = ""
        if not colon or not part.strip():
            raise DesignError(f"{one.name}: “{line}” cannot be read; write it like “pipe: 12.50”.")
    return prices


def _changes(one: Any, text: str) -> Any:
    rows = [[cell.strip() for cell in line.split("|")] for line in _lines(text)]
    for row in rows:
        if len(row) != 3:
            raise DesignError(f"{one.name}: “{' | '.join(row)}” cannot be read; write date | what "
                              "| why.")  # fmt: skip
    return rows


_READ: dict[str, Any] = {"number": _number, "flag": _flag, "months": _months,
                         "plumbing": _plumbing, "prices": _prices, "changes": _changes}  # fmt: skip
