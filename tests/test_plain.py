"""Plain data: the round trip is exact, limits hold, and no reply can break the parser."""

from __future__ import annotations

import json
import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from autograde import plain
from autograde.plain import Fault, Other, PlainError, accept, difference, read, to_plain

MUTATIONS = 10_000


def trip(value):
    return accept(read(json.dumps(to_plain(value))))


# --- the round trip -----------------------------------------------------------------------------
scalars = st.none() | st.booleans() | st.integers(-(10**30), 10**30) | st.floats(allow_nan=False)
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
values = st.recursive(
    scalars | texts,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.lists(inner, max_size=4).map(tuple)
        | st.dictionaries(texts, inner, max_size=4)
    ),
    max_leaves=20,
)


@settings(max_examples=200, deadline=None)
@given(values)
def test_what_goes_in_comes_out(value):
    assert trip(value) == value
    assert type(trip(value)) is type(value)


def test_nan_inf_complex_and_sets():
    assert math.isnan(trip(math.nan)) and trip(-math.inf) == -math.inf
    assert trip(3 - 2j) == 3 - 2j
    assert trip({"a", "b"}) == frozenset({"a", "b"})


def test_arrays_arrive_as_nested_lists():
    assert trip(np.arange(6).reshape(2, 3)) == [[0, 1, 2], [3, 4, 5]]
    assert trip(np.float64(2.5)) == 2.5
    assert type(trip(np.int64(3))) is int
    assert trip(np.array(4.0)) == 4.0


class AlwaysEqual(float):
    def __eq__(self, other):
        return True

    def __hash__(self):
        return 1


class BadWordsError(Exception):
    def __str__(self):
        raise RuntimeError


def test_only_exact_types_pass():
    assert trip(AlwaysEqual(1.0)) == Other("AlwaysEqual")
    assert trip(json) == Other("module")
    assert trip(np.array([json], dtype=object)) == [Other("module")]
    assert trip(ZeroDivisionError("by zero")) == Fault("ZeroDivisionError", "by zero")
    assert trip(BadWordsError()).kind == "BadWordsError"


def test_lone_surrogates_are_replaced():
    assert trip("a\ud800b") == "a?b"


# --- limits -------------------------------------------------------------------------------------
def nested(depth):
    value = []
    for _ in range(depth):
        value = [value]
    return value


@pytest.mark.parametrize(
    "value",
    [nested(1000), list(range(plain.MAX_ITEMS + 1)), 10**400, "x" * (plain.MAX_TEXT + 1),
     np.zeros(plain.MAX_ITEMS + 1)],
    ids=["deep", "many", "digits", "text", "array"],
)  # fmt: skip
def test_the_learner_side_refuses_what_is_too_large(value):
    with pytest.raises(PlainError):
        to_plain(value)


def test_a_list_inside_itself_is_refused():
    value: list = []
    value.append(value)
    with pytest.raises(PlainError):
        to_plain(value)


@pytest.mark.parametrize(
    "line",
    [
        b"[" * 5000,
        b'{"list":[' * 2000 + b"]}" * 2000,
        b"1" * 5000,
        b'{"list": ["' + b"x" * 1_000_001 + b'"]}',
        b'{"pickle": "gASVAA=="}',
        b'{"list": 3}',
        b'{"list": [], "tuple": []}',
        b'{"dict": [[{"list": []}, 1]]}',
        b'{"set": [{"list": []}]}',
        b'{"float": "1"}',
        b'{"complex": ["__import__", "1"]}',
        b'{"fault": ["a"]}',
        b"[1, 2]",
        b"NaN",
        b"\xff\xfe",
        b"",
    ],
)
def test_the_marking_side_refuses(line):
    with pytest.raises(PlainError):
        accept(read(line))


def test_ten_thousand_mutated_replies_raise_nothing_else():
    """Random damage to good replies gives a value or PlainError, never another exception."""
    random_source = random.Random(20_240_611)
    good = [
        json.dumps(to_plain(v)).encode()
        for v in ([1, 2.5, "ä"], {"a": (1, None)}, math.nan, {3, 4}, Fault("E", "w"), 2j, nested(5),
                  [[True] * 5] * 5, "text", 10**40)
    ]  # fmt: skip
    pieces = [
        b"{",
        b"}",
        b"[",
        b"]",
        b'"',
        b":",
        b",",
        b"\\",
        b"1e999",
        b"-",
        b"NaN",
        b"\x00",
        b'{"list":[',
        b"9" * 400,
        b"\xed\xa0\x80",
        b'"dict"',
        b"null",
        b'{"set":[[]]}',
    ]
    kept = refused = 0
    for _ in range(MUTATIONS):
        reply = bytearray(random_source.choice(good))
        for _ in range(random_source.randint(1, 6)):
            place = random_source.randint(0, len(reply))
            action = random_source.random()
            if action < 0.4:
                reply[place : place + random_source.randint(0, 3)] = random_source.choice(pieces)
            elif action < 0.7 and reply:
                reply[place % len(reply)] = random_source.randrange(256)
            else:
                reply[place:place] = reply[: random_source.randint(0, len(reply))]
        try:
            value = accept(read(bytes(reply)))
            difference(value, [1.0, "x"], math.isclose)
            kept += 1
        except PlainError:
            refused += 1
    assert kept + refused == MUTATIONS
    assert kept > 100 and refused > 1000  # both sides of the fence were really visited


# --- comparing ----------------------------------------------------------------------------------
def near(a, b):
    return abs(a - b) <= 0.01


@pytest.mark.parametrize(
    ("value", "expected"),
    [(4, 4.0), ([1, 2], (1.0, 2.005)), (np.array([[1.0], [2.0]]), [[1], [2]]), ("a", "a"),
     ({"x": 1}, {"x": 1.001}), (None, None), (True, True)],
)  # fmt: skip
def test_alike(value, expected):
    assert difference(trip(value), trip(expected), near) is None


@pytest.mark.parametrize(
    ("value", "expected"),
    [(4.02, 4.0), ([1, 2], [1, 2, 3]), ([[1], [2]], [1, 2]), (1, True), (True, 1), ("4", 4),
     (math.nan, 4.0), (math.inf, 4.0), (None, 0), (10**299, 4.0), ({"x": 1}, {"y": 1}),
     (math.nan, math.nan), (Fault("E"), 1), (Other("Figure"), 1), ([1, "a"], [1, 2])],
)  # fmt: skip
def test_different_and_said_in_words(value, expected):
    words = difference(trip(value), trip(expected), near)
    assert words and "Traceback" not in words
