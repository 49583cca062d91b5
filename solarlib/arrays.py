"""What every formula of the course does with a number that comes in: check it, in one sentence.

In: a float, a list or an array, and the limits it must keep. Out: a float array,
or a ValueError that names the value, its unit and what is allowed.
"""

from __future__ import annotations

from typing import Any, NoReturn

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = Any  # a float or a float array: what goes in scalar comes out scalar


def plain(value: ArrayLike) -> Array:
    """Hand a 0-d array back as a Python float."""
    array = np.asarray(value, dtype=float)
    return float(array) if array.ndim == 0 else array


def _numbers(name: str, value: ArrayLike, unit: str) -> NDArray:
    wanted = f"a number in {unit}" if unit else "a plain number"
    if value is None:  # numpy would make nan of it
        raise ValueError(f"{name} is None; give {wanted}.")
    try:
        return np.asarray(value, dtype=float)
    except OverflowError:
        raise ValueError(f"{name} is too large to mean anything; give {wanted}.") from None
    except (TypeError, ValueError):
        raise ValueError(f"{name} is {repr(value)[:60]}; give {wanted}.") from None


def _refuse(
    name: str, array: NDArray, good: NDArray, unit: str, allowed: str, hint: str
) -> NoReturn:
    bad = np.ravel(array)[~np.ravel(good)][0]
    unit = f" {unit}" if unit else ""
    raise ValueError(f"{name} is {bad:g}{unit}; {allowed}{f': {hint}' if hint else ''}.")


def within(
    name: str, value: ArrayLike, low: float, high: float, unit: str, hint: str = ""
) -> NDArray:
    """Return the value as a float array; refuse what lies outside low..high, and nan."""
    array = _numbers(name, value, unit)
    inside = (array >= low) & (array <= high)
    if not np.all(inside):
        end = f" {unit}" if unit else ""
        allowed = f"it must lie between {low:g} and {high:g}{end}"
        _refuse(name, array, inside, unit, allowed, hint)
    return array


def positive(name: str, value: ArrayLike, unit: str, hint: str = "") -> NDArray:
    """Return the value as a float array; refuse what is not above zero and finite."""
    array = _numbers(name, value, unit)
    good = (array > 0) & np.isfinite(array)
    if not np.all(good):
        end = f" {unit}" if unit else ""
        _refuse(name, array, good, unit, f"it must be above 0{end}", hint)
    return array


def not_negative(name: str, value: ArrayLike, unit: str = "", hint: str = "") -> NDArray:
    """Return the value as a float array; refuse what is below zero or not finite."""
    array = _numbers(name, value, unit)
    good = (array >= 0) & np.isfinite(array)
    if not np.all(good):
        _refuse(name, array, good, unit, "it must be 0 or more", hint)
    return array


def together(**named: ArrayLike) -> None:
    """Refuse arrays that cannot be used together, by their names and shapes."""
    shapes = {name.replace("_", " "): np.shape(value) for name, value in named.items()}
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        said = ", ".join(f"{name} {shape}" for name, shape in shapes.items() if shape)
        raise ValueError(f"The shapes do not fit together: {said}; give arrays of one shape, or "
                         "single numbers.") from None  # fmt: skip


def root(balance: Any, low: ArrayLike, high: ArrayLike, tolerance: float) -> NDArray:
    """Return where `balance` changes sign between low and high, element by element.

    Ridders' method: the bracket at least halves in every round, so it can't run away.

    Parameters
    ----------
    balance : function of an array of the brackets' shape; opposite signs at low and high.
    low, high : brackets, same shape. tolerance : of the answer, in its own unit.

    Source: Ridders, IEEE Trans. Circuits Syst. 26 (1979) 979, formula from memory.
    """
    low, high = np.array(low, float), np.array(high, float)
    at_low, at_high = balance(low), balance(high)
    guess = low
    for _ in range(100):
        middle = (low + high) / 2
        at_middle = balance(middle)
        width = np.sqrt(at_middle**2 - at_low * at_high)
        step = np.sign(at_low - at_high) * at_middle / np.where(width > 0, width, 1.0)
        last, guess = guess, middle + (middle - low) * step
        at_guess = balance(guess)
        if np.all(np.minimum(np.abs(guess - last), high - low) <= tolerance):
            break
        # keep the narrowest pair of neighbours with opposite signs
        left, right = np.minimum(middle, guess), np.maximum(middle, guess)
        at_left = np.where(middle < guess, at_middle, at_guess)
        at_right = np.where(middle < guess, at_guess, at_middle)
        first = np.sign(at_low) != np.sign(at_left)
        last_part = ~first & (np.sign(at_left) == np.sign(at_right))
        low, at_low = (
            np.where(first, low, np.where(last_part, right, left)),
            np.where(first, at_low, np.where(last_part, at_right, at_left)),
        )
        high, at_high = (
            np.where(first, left, np.where(last_part, high, right)),
            np.where(first, at_left, np.where(last_part, at_high, at_right)),
        )
    return guess
