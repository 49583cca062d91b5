"""What comes in is checked in one sentence; roots are found like a library finds them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from solarlib import arrays


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: arrays.positive("width", 0, "m"), "width is 0 m; it must be above 0 m."),
        (lambda: arrays.positive("width", [1, np.inf], "m"), "width is inf m; it must be above 0 m."),
        (lambda: arrays.not_negative("loss", [2, -1], "W/K"), "loss is -1 W/K; it must be 0 or more."),
        (lambda: arrays.not_negative("loss", np.nan), "loss is nan; it must be 0 or more."),
        (lambda: arrays.within("share", 2, 0, 1, "", "a part of 1"),
         "share is 2; it must lie between 0 and 1: a part of 1."),
        (lambda: arrays.within("tilt", "steep", 0, 90, "deg"),
         "tilt is 'steep'; give a number in deg."),
        (lambda: arrays.within("tilt", None, 0, 90, "deg"), "tilt is None; give a number in deg."),
        (lambda: arrays.within("share", 10**400, 0, 1, ""),
         "share is too large to mean anything; give a plain number."),
        (lambda: arrays.together(tube_diameter=np.ones(3), beam=np.ones(4)),
         "The shapes do not fit together: tube diameter (3,), beam (4,); give arrays of one shape, "
         "or single numbers."),
    ],
)  # fmt: skip
def test_one_sentence_names_the_value_and_what_is_allowed(call, sentence):
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == sentence


def test_what_is_allowed_comes_back_as_a_float_array():
    assert arrays.not_negative("loss", [0, 2]).tolist() == [0.0, 2.0]
    assert arrays.within("tilt", 90, 0, 90, "deg") == 90.0
    assert isinstance(arrays.plain(np.float64(3)), float)
    assert arrays.plain([[1], [2]]).shape == (2, 1)
    arrays.together(one=np.ones((3, 1)), other=np.ones(4), third=2.0)


@given(st.lists(st.floats(-0.9, 0.9), min_size=1, max_size=5))
def test_roots_are_those_of_a_library(levels):
    """x³ + x = level has one root; scipy's brentq finds it one by one."""
    level = np.array(levels)
    found = arrays.root(lambda x: x**3 + x - level, -np.ones(len(level)), np.ones(len(level)), 1e-12)
    theirs = [brentq(lambda x, one=one: x**3 + x - one, -1, 1, xtol=1e-14) for one in levels]
    assert found == pytest.approx(theirs, abs=1e-10)
