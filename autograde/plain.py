"""Answers as plain data: what may pass from a learner's process to the marking process.

Learner side: `to_plain(value)` turns numbers, texts, lists and arrays into JSON
under limits. Marking side: `read(line)` and `accept(data)` rebuild the value
from scratch, trusting nothing, and `difference(value, expected, near)` compares.
Nothing that came back is ever unpickled, evaluated or imported; whatever breaks
a limit raises `PlainError` and no other exception.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

MAX_BYTES = 1_000_000
MAX_DEPTH = 20
MAX_ITEMS = 20_000
MAX_TEXT = 50_000
MAX_DIGITS = 300


class PlainError(ValueError):
    """Data that is not plain or breaks a limit; the message is one sentence."""


@dataclass(frozen=True)
class Fault:
    """Stands for a value that could not be had: the kind of error and its words."""

    kind: str
    text: str = ""

    @property
    def advice(self) -> str:
        """What to do about it, "" where Python's own words must be enough."""
        return f"; {_ADVICE[self.kind]}" if self.kind in _ADVICE else ""


_ADVICE = {
    "SyntaxError": "write it with + - * / ** and as many closing brackets as opening ones",
    "NameError": "check how the name is spelt",
    "ZeroDivisionError": "check what stands after the /",
}


@dataclass(frozen=True)
class Other:
    """Stands for a value of a type that cannot pass, such as a figure or a module."""

    kind: str


# --- learner side -------------------------------------------------------------------------------
def to_plain(value: Any) -> Any:
    """Turn a value into JSON data; exact built-in types and numpy arrays only.

    Lists, tuples, dicts and sets are tagged ({"list": [...]}), a type that
    cannot pass becomes {"other": its name}, an exception {"fault": [kind, words]}.

    Raises
    ------
    PlainError : too deep, too many items, a text or an integer too long.

    Example
    -------
    >>> to_plain((1, 2.5, None))
    {'tuple': [1, 2.5, None]}
    """
    return _out(value, 0, [0])


def _count(items: list[int], more: int = 1) -> None:
    items[0] += more
    if items[0] > MAX_ITEMS:
        raise PlainError(f"The value holds more than {MAX_ITEMS} items; return a shorter list.")


def _out(value: Any, depth: int, items: list[int]) -> Any:
    if depth > MAX_DEPTH:
        raise PlainError(f"The value is nested more than {MAX_DEPTH} deep; return a flat list.")
    _count(items)
    kind = type(value)
    if value is None or kind is bool:
        return value
    if kind is int:
        if value.bit_length() > 3.33 * MAX_DIGITS:
            raise PlainError(f"The integer has more than {MAX_DIGITS} digits; check the formula.")
        return value
    if kind is float:
        return value if math.isfinite(value) else {"float": repr(value)}
    if kind is complex:
        return {"complex": [repr(value.real), repr(value.imag)]}
    if kind is str:
        if len(value) > MAX_TEXT:
            raise PlainError(f"The text is longer than {MAX_TEXT} characters; shorten it.")
        return value
    if kind in (list, tuple):
        return {kind.__name__: [_out(v, depth + 1, items) for v in value]}
    if kind in (set, frozenset):
        return {"set": [_out(v, depth + 1, items) for v in sorted(value, key=repr)]}
    if kind is dict:
        pairs = [[_out(k, depth + 1, items), _out(v, depth + 1, items)] for k, v in value.items()]
        return {"dict": pairs}
    if kind is Fault:
        return {"fault": [value.kind[:80], value.text[:500]]}
    if isinstance(value, BaseException):
        return {"fault": [kind.__name__[:80], _words(value)]}
    return _numpy(value, depth, items)


def _words(error: BaseException) -> str:
    try:
        return str(error)[:500]
    except Exception:  # a learner's exception class may have a broken __str__
        return "(its message cannot be shown)"


def _numpy(value: Any, depth: int, items: list[int]) -> Any:
    module = type(value).__module__
    if module == "numpy" and hasattr(value, "tolist"):
        import numpy

        if type(value) is numpy.ndarray or isinstance(value, numpy.generic):
            _count(items, int(value.size))
            listed = value.tolist()
            if type(listed) in (bool, int, float, complex, str, list):
                return _out(listed, depth, items)
    return {"other": type(value).__name__[:80]}


# --- marking side -------------------------------------------------------------------------------
def read(line: bytes | str) -> Any:
    """Decode one line of JSON under the limits; raise PlainError for whatever is not that."""
    raw = line.encode("utf-8", "replace") if isinstance(line, str) else line
    if len(raw) > MAX_BYTES:
        raise PlainError(f"The reply is longer than {MAX_BYTES} bytes.")
    # the decoder recurses, so depth is limited before it sees the text; accept() counts exactly
    refuse_hard_to_read(outside_texts(raw))
    try:
        return json.loads(raw.decode("utf-8"), parse_constant=_no_constant)
    except PlainError:
        raise
    except (ValueError, RecursionError):
        raise PlainError("The reply is not readable.") from None


def _no_constant(name: str) -> Any:
    raise PlainError(f"The reply holds {name} outside its tag.")


# a run of digits is looked at once, from its beginning
_TOO_MANY_DIGITS = re.compile(rb"(?<!\d)\d{%d}" % (MAX_DIGITS + 1))


def outside_texts(raw: bytes) -> bytes:
    """Return JSON without its texts; every byte is read once, also where a text has no end."""
    return re.sub(rb'"(?:[^"\\]|\\.)*+(?:"|\Z)', b"", raw, flags=re.DOTALL)


def deepest(bare: bytes) -> int:
    """Return how deep brackets are nested in JSON without its texts."""
    depth = most = 0
    for char in re.findall(rb"[][{}]", bare):
        depth += 1 if char in b"[{" else -1
        most = max(most, depth)
    return most


def refuse_hard_to_read(bare: bytes) -> None:
    """Raise PlainError for JSON that would keep its decoder busy; `bare` is without its texts."""
    if deepest(bare) > 4 * MAX_DEPTH + 20:
        raise PlainError("The reply is nested too deep.")
    if _TOO_MANY_DIGITS.search(bare):
        raise PlainError(f"The reply holds a number of more than {MAX_DIGITS} digits.")


def accept(data: Any) -> Any:
    """Rebuild a value from decoded JSON, from scratch and under the limits.

    Returns
    -------
    None, bool, int, float, complex, str, list, tuple, dict, frozenset (of plain
    values), `Fault` or `Other`. Arrays arrive as nested lists.

    Raises
    ------
    PlainError : unknown tag, wrong shape of a tag, or a limit broken.
    """
    return _in(data, 0, [0])


def _in(data: Any, depth: int, items: list[int]) -> Any:
    if depth > MAX_DEPTH:
        raise PlainError(f"The value is nested more than {MAX_DEPTH} deep.")
    _count(items)
    kind = type(data)
    if data is None or kind is bool:
        return data
    if kind is int:
        if data.bit_length() > 3.4 * MAX_DIGITS:
            raise PlainError(f"The integer has more than {MAX_DIGITS} digits.")
        return data
    if kind is float:
        return data  # "1e999" decodes to inf: a value like any other, never equal to an answer
    if kind is str:
        if len(data) > MAX_TEXT:
            raise PlainError(f"The text is longer than {MAX_TEXT} characters.")
        return data.encode("utf-8", "replace").decode("utf-8")
    if kind is not dict or len(data) != 1:
        raise PlainError("The value is not plain data.")
    ((tag, body),) = data.items()
    if tag == "float" and body in ("nan", "inf", "-inf"):
        return float(body)
    if tag == "complex" and _texts(body, 2) and all(_FLOAT.fullmatch(part) for part in body):
        return complex(float(body[0]), float(body[1]))
    if tag == "fault" and _texts(body, 2):
        return Fault(_safe(body[0], 80), _safe(body[1], 500))
    if tag == "other" and type(body) is str:
        return Other(_safe(body, 80))
    if tag in ("list", "tuple", "set") and type(body) is list:
        values = [_in(item, depth + 1, items) for item in body]
        if tag == "list":
            return values
        return tuple(values) if tag == "tuple" else frozenset(_hashable(v) for v in values)
    if tag == "dict" and type(body) is list and all(type(p) is list and len(p) == 2 for p in body):
        return {_hashable(_in(k, depth + 1, items)): _in(v, depth + 1, items) for k, v in body}
    raise PlainError("The value has an unknown or malformed tag.")


_FLOAT = re.compile(r"[+-]?(?:nan|inf|\d{1,20}(?:\.\d{0,20})?(?:e[+-]?\d{1,3})?)")


def _texts(body: Any, count: int) -> bool:
    return type(body) is list and len(body) == count and all(type(t) is str for t in body)


def _safe(text: str, length: int) -> str:
    return text[:length].encode("utf-8", "replace").decode("utf-8")


def _hashable(value: Any) -> Any:
    try:
        hash(value)
    except TypeError:
        raise PlainError("A list cannot be a key or a member of a set.") from None
    return value


# --- comparing ----------------------------------------------------------------------------------
def is_number(value: Any) -> bool:
    """Tell whether a plain value is a number; True and False are not."""
    return type(value) in (int, float)


def difference(value: Any, expected: Any, near: Callable[[float, float], bool]) -> str | None:
    """Say how two accepted values differ, None when they agree.

    A list agrees with a tuple or an array of the same shape, 4 with 4.0; text
    and truth values must be exactly equal. `near(value, expected)` decides on numbers.
    """
    if isinstance(value, Fault):
        said = f"it stopped with {value.kind}: {value.text}" if value.text else value.kind
        return said.rstrip(".") + value.advice
    if isinstance(value, Other):
        return f"it gave back a {value.kind}, which is neither a number nor a list"
    if is_number(expected):
        if value is None:
            return "it gave back nothing (None)"
        if not is_number(value):
            return f"it gave back {kind_in_words(value)} instead of a number"
        number = _as_float(value)
        if not math.isfinite(number):
            return f"it gave back {number}, which is not a finite number"
        return None if near(number, _as_float(expected)) else f"it gave back {short(value)}"
    if isinstance(expected, list | tuple):
        if not isinstance(value, list | tuple):
            return f"it gave back {kind_in_words(value)} instead of a list"
        if len(value) != len(expected):
            return f"its list has {len(value)} entries instead of {len(expected)}"
        for place, (mine, wanted) in enumerate(zip(value, expected, strict=True)):
            words = difference(mine, wanted, near)
            if words:
                return f"in entry {place + 1} of its list {words}"
        return None
    if isinstance(expected, dict) and isinstance(value, dict):
        if set(value) != set(expected):
            return f"its names are {short(sorted(map(str, value)))}"
        for key, wanted in expected.items():
            words = difference(value[key], wanted, near)
            if words:
                return f"under {short(key)} {words}"
        return None
    same = type(value) is type(expected) and value == expected
    return None if same else f"it gave back {short(value)}"


def _as_float(value: int | float) -> float:
    try:
        return float(value)
    except OverflowError:
        return math.inf


def kind_in_words(value: Any) -> str:
    """Name the kind of a plain value: "a text", "a list of 3", "nothing (None)"."""
    if value is None:
        return "nothing (None)"
    if isinstance(value, bool):
        return f"the truth value {value}"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    names = {str: "a text", dict: "a dictionary", int: "a number", float: "a number"}
    if isinstance(value, Fault | Other):
        return f"a {value.kind}"
    return names.get(type(value), f"a {type(value).__name__}")


def short(value: Any, length: int = 60) -> str:
    """Write a plain value in few characters."""
    text = f"{value:.6g}" if type(value) is float else repr(value)
    return text if len(text) <= length else text[: length - 1] + "…"
