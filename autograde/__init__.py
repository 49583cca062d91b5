"""Lessons into notebooks, answers into verdicts, a class into a gradebook.

A learner needs these names; everything else is imported from its module, as in
``from autograde.key import Number``. (`check` and `numbers` here are the functions; the modules of
the same name are reached by ``from autograde.numbers import Own``.)
"""

from autograde.check import check, numbers, predict
from autograde.outdoors import outdoors
from autograde.progress import fresh, progress

__all__ = ["check", "fresh", "numbers", "outdoors", "predict", "progress"]
