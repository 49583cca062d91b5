"""The answer key: one record per exercise, and how a record judges an answer.

In: records written beside each lesson (``lessons/NN_slug/key.py``), a learner's
own numbers, and plain values that came from the learner. Out: a `Verdict` with
the credit, the recognised slip and what to say. `asks` gives the expressions to
evaluate on the learner's side; the key itself never goes there.
"""

from autograde.key.function import Function
from autograde.key.lesson import Lesson
from autograde.key.number import Number, WorkOut
from autograde.key.pick import Choice, Order, Prediction
from autograde.key.record import Exercise, Slip, Verdict
from autograde.key.text import KeyPoint, OwnData, ShortText
from autograde.key.tolerance import Factor, Relative, Within
from autograde.numbers import Numbers, Own

__all__ = [
    "Choice", "Exercise", "Factor", "Function", "KeyPoint", "Lesson", "Number", "Numbers", "Order",
    "Own", "OwnData", "Prediction", "Relative", "ShortText", "Slip", "Verdict", "Within",
    "WorkOut",
]  # fmt: skip
