"""All records of one lesson, and the card of own numbers they are judged with."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from autograde.key.number import Number
from autograde.key.record import Exercise
from autograde.numbers import Numbers, Own, demo, draw


@dataclass(frozen=True)
class Lesson:
    """A lesson's answer key.

    slug, number, title : as in the folder name and the heading.
    numbers : the card (name -> Own). buildable(n) : refuses cards that make no buildable thing.
    """

    slug: str
    number: int
    title: str
    exercises: Sequence[Exercise]
    numbers: Mapping[str, Own] = field(default_factory=dict)
    buildable: Callable[[Numbers], bool] | None = None

    def __post_init__(self) -> None:
        names = [e.name for e in self.exercises]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"Key of lesson “{self.slug}”: {', '.join(twice)} stands twice.")

    def __iter__(self) -> Iterator[Exercise]:
        return iter(self.exercises)

    def exercise(self, name: str) -> Exercise:
        """Return the record called `name` ("depth" or "parabola.depth")."""
        short = name.rpartition(".")[2]
        for exercise in self.exercises:
            if exercise.name == short:
                return exercise
        known = ", ".join(e.name for e in self.exercises)
        raise KeyError(f"Lesson “{self.slug}” has no exercise “{short}”; it has {known}.")

    def id(self, exercise: Exercise) -> str:
        """Return the full id of an exercise, such as "parabola.depth"."""
        return f"{self.slug}.{exercise.name}"

    def demo(self) -> Numbers:
        """Return the demo trough's card, for self-study."""
        return demo(self.numbers)

    def draw(self, learner: str, secret: str) -> Numbers:
        """Return a learner's own card (see `autograde.numbers.draw`)."""
        return draw(self.numbers, learner, self.slug, secret, self.buildable)

    def earlier(self, given: Mapping[str, Any]) -> dict[str, float]:
        """Read a learner's raw answers (short name -> plain value) as numbers in base units."""
        readings = {}
        for exercise in self.exercises:
            if isinstance(exercise, Number) and exercise.name in given:
                value = exercise.reading(given[exercise.name])
                if value is not None:
                    readings[exercise.name] = value
        return readings
