"""Every public formula tells its story in one order, so that a learner finds what they look for."""

import importlib
import inspect
import re

import pytest

PARTS = ("Parameters", "Returns", "Raises", "Valid for", "Example", "Source")
PHYSICS = ("geometry", "optics", "sun", "water", "heat", "heating_test", "hazards")
TOOLS = ("units", "evidence")  # no physics in them: nothing to be valid for, no source


def functions(room):
    module = importlib.import_module(f"solarlib.{room}")
    own = [n for n, o in vars(module).items() if inspect.getmodule(o) is module and n[0] != "_"]
    found = {name: getattr(module, name) for name in getattr(module, "__all__", own)}
    return {name: each for name, each in found.items() if inspect.isfunction(each)}


def places(said):
    """Where each part begins, at the left edge of the text; None where it is missing."""
    found = (re.search(rf"^{part}(:|$)", said, re.MULTILINE) for part in PARTS)
    return [match.start() if match else None for match in found]


CASES = [(room, name, each) for room in PHYSICS + TOOLS for name, each in functions(room).items()]


@pytest.mark.parametrize(("room", "name", "function"), CASES)
def test_docstring_has_its_parts_in_order(room, name, function):
    said = inspect.getdoc(function)
    found = dict(zip(PARTS, places(said), strict=True))
    wanted = PARTS if room in PHYSICS else ("Returns", "Example")
    missing = [part for part in wanted if found[part] is None]
    assert not missing, f"{room}.{name} lacks {missing}"
    order = [place for place in found.values() if place is not None]
    assert order == sorted(order), f"{room}.{name}: the parts are out of order"
    first = said.split("\n\n")[0]
    assert first[0].isupper() and first[-1] in ".?", f"{room}.{name} begins with no sentence"


@pytest.mark.parametrize(("room", "name", "function"), CASES)
def test_docstring_names_every_input(room, name, function):
    """By its name, or by 'as in `...`' for a family of functions that share theirs."""
    said = inspect.getdoc(function)
    inputs = inspect.signature(function).parameters
    start, end = places(said)[:2]
    told = said[start:end] if start is not None else ""
    assert told or not inputs, f"{room}.{name} tells nothing of its inputs"
    missing = [one for one in inputs if not re.search(rf"\b{one}\b", told)]
    assert not missing or re.search(r"as (there|in) `?|those of `|others", told), f"{room}.{name}: {missing}"


def test_the_search_finds_the_formulas():
    """An empty search would pass everything."""
    assert len(CASES) > 140
    found = places("Say it.\n\nReturns\n-------\n[m]\n\nParameters\n----------\nx : [m].\n")
    assert found[1] < found[0] and found[2:] == [None] * 4
