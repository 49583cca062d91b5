"""Every example in a docstring of solarlib gives what it says."""

import doctest
import importlib
import pkgutil

import pytest

import solarlib

MODULES = [
    found.name
    for found in pkgutil.walk_packages(solarlib.__path__, "solarlib.")
    if not found.name.endswith("__main__")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples():
    """An empty search would pass everything."""
    finder = doctest.DocTestFinder()
    count = sum(
        len(one.examples) for name in MODULES for one in finder.find(importlib.import_module(name))
    )
    assert len(MODULES) > 30 and count > 50
