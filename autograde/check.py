"""What a learner calls: check an answer, make a prediction, see the card of own numbers.

In: an exercise id and the learner's value. Out: at once, a verdict in words with
a hint, and one more line in the log of attempts. In Jupyter it is shown with a
form to answer in, in plain Python it is printed, under nbgrader it becomes the
score (or, when validating, an error that says what is wrong); while a class is
being marked (AUTOGRADE_MARKING) all of this does nothing.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from autograde import log, plain
from autograde.asking import NOT_GIVEN, ask
from autograde.borrowed import borrows
from autograde.numbers import CARD_FILE, Numbers
from autograde.numbers import load as load_cards
from autograde.verdict import Result, trouble

if TYPE_CHECKING:
    from autograde.key import Lesson, Verdict


class CourseError(ValueError):
    """One clear sentence for a learner; Jupyter shows it without a traceback."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


class CheckError(CourseError):
    """Raised under nbgrader's validate; the message holds the lines with ✗."""


def marking() -> bool:
    """Tell whether a class is being marked, when checks and explorers do nothing."""
    return os.environ.get("AUTOGRADE_MARKING", "") not in ("", "0")


def check(exercise_id: str, value: Any = NOT_GIVEN) -> Result | float | None:
    """Check an answer and say at once what to make of it.

    Parameters
    ----------
    exercise_id : such as "parabola.depth".
    value : the answer; without it the variable or function of the exercise's short name is read.

    Returns
    -------
    Result : the verdict; under nbgrader's autograde the points (float); None while marking.

    Example
    -------
    >>> check("parabola.depth", "602 mm")  # doctest: +SKIP
    ✗ Not yet: full width used ...
    """
    if marking():
        return None
    names = sys._getframe(1).f_globals
    result = _checked(exercise_id, value, names, recalls=True)
    mode = os.environ.get("NBGRADER_EXECUTION")
    if mode and result.slip == "trouble":
        raise CheckError(result.text)  # an error, because no output would mean full points
    if mode == "autograde":
        return round((result.credit or 0.0) * result.points, 4) if result.points else None
    if mode == "validate":
        if result.points and not result.right:
            raise CheckError(result.text)
        return None
    if not _interactive():
        print(result.text)
    return result


def _interactive() -> bool:
    """Tell whether the caller shows the value of the last line by itself."""
    return hasattr(sys, "ps1") or in_jupyter()


def in_jupyter() -> bool:
    """Tell whether this runs in a Jupyter kernel, without importing IPython."""
    module = sys.modules.get("IPython")
    shell = module.get_ipython() if module else None
    return shell is not None and hasattr(shell, "kernel")


def _checked(
    exercise_id: str, value: Any, names: Mapping[str, Any], recalls: bool = False
) -> Result:
    """Judge an answer and log it. recalls : judge the one on record where none is given."""
    from autograde.lesson import LessonError, exercise

    try:
        lesson, record = exercise(str(exercise_id))
        card = card_of(lesson)
    except (LessonError, CourseError) as error:
        return trouble(str(exercise_id), str(error))
    full_id, alone = lesson.id(record), not _under_nbgrader()
    misses = log.misses(full_id) if alone else []
    seed = len(misses)  # other hidden cases at every try, so that copying them into the code is no use

    def judged(value: Any) -> tuple[Verdict, Any]:
        values, given = ask(lesson, record, value, names, card, seed)
        try:
            verdict = record.judge(values, card, earlier_numbers(lesson, names), seed=seed)
            if record.kind == "function" and verdict.credit and borrows(given):
                verdict = record.borrowed()  # type: ignore[attr-defined]
        except Exception as error:  # a fault of the key must not look like the learner's
            sentence = f"This check has a fault of its own ({type(error).__name__}: {error}). "
            sentence += "Your answer is kept; tell whoever gave you the course."
            return trouble(full_id, sentence).verdict, given
        return verdict, given

    verdict, given = judged(value)
    if verdict.slip == "trouble":
        return trouble(full_id, verdict.says)
    points = record.points if record.marked else 0.0
    before = log.last(full_id) if verdict.empty and alone and recalls else None
    if before is not None and before.answer:
        verdict, _ = judged(before.answer)
        return Result(full_id, record.title, verdict, max(len(misses), 1), points, "", before)
    attempt = len(misses) + (verdict.slip not in log.NO_TRY)
    if attempt == 2 and verdict.slip and verdict.slip != misses[0].slip:
        attempt = 1  # a slip that is new at the second try is asked about before it is named
    saved = _save(full_id, given, verdict) if alone and not verdict.empty else ""
    return Result(full_id, record.title, verdict, attempt, points, saved)


def answer(exercise_id: str, text: str) -> Result:
    """Check an answer given as text, by a form or on the command line."""
    if len(text) > plain.MAX_TEXT:
        return trouble(exercise_id, f"“{text[:20]}…” is {len(text)} letters long; write an answer "
                       f"of at most {plain.MAX_TEXT}.")  # fmt: skip
    return _checked(exercise_id, text, {})


def _under_nbgrader() -> bool:
    return bool(os.environ.get("NBGRADER_EXECUTION"))


def _save(full_id: str, given: Any, verdict: Any) -> str:
    try:
        entry = log.append(full_id, given, verdict.credit, verdict.slip)
    except OSError as error:
        return (
            f"Not saved: {log.workspace() / log.LOG_FILE} cannot be written "
            f"({error.strerror or error}). Note your answer on paper and check the folder."
        )
    return f"Last saved {entry.clock}."


# --- the learner's own numbers ------------------------------------------------------------------
def numbers(slug: str) -> Numbers:
    """Return the card of your own numbers for a lesson, such as ``my = numbers("parabola")``."""
    from autograde.lesson import LessonError, load_key

    try:
        return card_of(load_key(slug))
    except LessonError as error:
        raise CourseError(str(error)) from None


def _cards() -> dict[str, Numbers]:
    path = log.workspace() / CARD_FILE
    if not path.is_file():
        return {}
    try:
        return load_cards(path)
    except ValueError as error:
        raise CourseError(str(error)) from None


def card_of(lesson: Lesson) -> Numbers:
    """Return the card that this workspace holds for a lesson, or the demo trough's."""
    cards = _cards()
    if lesson.slug not in cards:
        return lesson.demo()
    missing = [name for name in lesson.numbers if name not in cards[lesson.slug]]
    if missing:
        raise CourseError(
            f"The card {log.workspace() / CARD_FILE} lacks {missing[0]} for {lesson.slug}; copy it "
            "again from the folder your teacher gave you."
        )
    return cards[lesson.slug]


# --- what went before ---------------------------------------------------------------------------
def earlier_numbers(lesson: Lesson, names: Mapping[str, Any]) -> dict[str, float]:
    """Return the learner's own earlier numbers of this lesson, from the notebook or the log."""
    given: dict[str, Any] = {}
    if not _under_nbgrader():
        for entry in log.read():
            slug, _, name = entry.exercise.partition(".")
            if slug == lesson.slug and isinstance(entry.answer, str | int | float):
                given[name] = entry.answer
    for record in lesson:
        value = names.get(record.name)
        if type(value) in (str, int, float) and value != "":
            given[record.name] = value
    return lesson.earlier(given)


# --- predictions --------------------------------------------------------------------------------
class Question:
    """A guess to make before looking; explorers stay locked until it is `answered`."""

    def __init__(self, question_id: str, question: str, options: Mapping[str, str]):
        self.id = question_id
        self.question = question
        self.options = dict(options)

    @property
    def answer(self) -> str | None:
        """The option picked last, None before."""
        typed = [str(entry.answer).strip(" .)").lower() for entry in log.history(self.id)]
        return next((letter for letter in reversed(typed) if letter in self.options), None)

    @property
    def answered(self) -> bool:
        """Whether a guess is on record."""
        return self.answer is not None

    def record(self, option: str) -> str:
        """Put a guess on record and return a sentence; it is never marked."""
        if option not in self.options:
            return f"Pick one of {', '.join(self.options)}; you gave {plain.short(option)}."
        try:
            log.append(self.id, option, None, None)
        except OSError as error:
            return f"Your guess {option} could not be saved ({error.strerror or error})."
        return f"Noted: {option}. Now look whether it comes out that way."

    def __repr__(self) -> str:
        lines = [f"Predict first: {self.question}"]
        lines += [f"  {letter}  {text}" for letter, text in self.options.items()]
        guess = self.answer
        lines.append(
            f"Your guess: {guess}" if guess else f'Answer: predict("{self.id}").record("a")'
        )
        return "\n".join(lines)

    def _ipython_display_(self) -> None:
        from autograde import form

        form.show_question(self)


def predict(question_id: str) -> Question | None:
    """Return the prediction of that id, shown with a form in Jupyter; None while marking."""
    from autograde.lesson import LessonError, exercise

    if marking():
        return None
    try:
        _, record = exercise(str(question_id))
    except LessonError as error:
        raise CourseError(str(error)) from None
    options = getattr(record, "options", {})
    return Question(str(question_id), getattr(record, "question", "") or record.title, options)
