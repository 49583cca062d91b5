"""What is an answer worth looking at? The learner's value, or what their function gives.

In: a record of the key and a value, a text from a form, or the names of a notebook. Out: the plain
values that the record asks for, and the answer as the log keeps it. A learner's function runs here
under a time limit; whatever it does, what comes out is plain data or a `Fault`.
"""

from __future__ import annotations

import contextlib
import inspect
import io
import signal
import threading
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from autograde import own_file, plain
from autograde.numbers import Numbers

if TYPE_CHECKING:
    from autograde.key import Exercise, Lesson

TIME_LIMIT_S = 5.0
NOT_GIVEN = object()


class _TooLong(BaseException):
    """Ends a learner's function at the time limit, past any `except Exception`."""


def ask(
    lesson: Lesson, record: Exercise, value: Any, names: Mapping[str, Any], card: Numbers, seed: int
) -> tuple[list[Any], Any]:
    """Return the plain values that the record asks for, and the answer as the log keeps it."""
    if value is NOT_GIVEN:
        missing = plain.Fault("NameError", f"name '{record.name}'") if record.marked else ""
        value = names.get(record.name, missing)
    if record.kind == "function":
        return _called(lesson, record, value, names, card, seed)
    if record.kind == "own data" and isinstance(value, str):
        read = own_file.read_named(value)
        if isinstance(read, plain.Fault):
            return [read], value
        value = read
    try:
        data = plain.to_plain(value)
        accepted = plain.accept(data)
    except plain.PlainError as error:
        accepted = plain.Fault("ValueError", str(error))
        data = plain.to_plain(accepted)
    return [accepted], data


def _called(
    lesson: Lesson, record: Exercise, value: Any, names: Mapping[str, Any], card: Numbers, seed: int
) -> tuple[list[Any], Any]:
    from autograde.key.record import UNTOUCHED
    from autograde.lesson import handed_out

    source = source_of(value)
    if isinstance(value, str):  # typed into the form or on the command line
        start = handed_out(lesson.slug, record.name)
        source = record.from_text(value, start) if value.strip() else ""  # type: ignore[attr-defined]
        value = _made_from(source, record.name) if source else plain.Fault(UNTOUCHED)
    if source and source.strip() in handed_out(lesson.slug, record.name):
        value = plain.Fault(UNTOUCHED)
    expressions = record.asks(card, seed)
    if isinstance(value, plain.Fault):
        return [value] * len(expressions), source or None
    space = {**names, record.name: value}
    results = []
    with contextlib.redirect_stdout(io.StringIO()), time_limit(TIME_LIMIT_S):
        for expression in expressions:
            results.append(evaluate(expression, space))
    return results, source or None


def _made_from(source: str, name: str) -> Any:
    """Return the function that a source text defines, or the `Fault` that it runs into."""
    space: dict[str, Any] = {}
    try:
        exec(compile(source, "<your rule>", "exec"), space)
        return space[name]
    except Exception as error:  # the text may be anything; what is wrong with it is the answer
        line = str(getattr(error, "text", None) or source.splitlines()[-1]).strip()
        words = f"{getattr(error, 'msg', error)} in “{line}”"
        return plain.accept(plain.to_plain(plain.Fault(type(error).__name__, words)))


def evaluate(expression: str, space: dict[str, Any]) -> Any:
    """Evaluate one expression of the key on the learner's side; an error becomes a `Fault`."""
    try:
        return plain.accept(plain.to_plain(eval(expression, space)))
    except _TooLong:
        return plain.Fault("TimeoutError", f"stopped after {TIME_LIMIT_S:g} s; is it a loop "
                           "without an end?")  # fmt: skip
    except KeyboardInterrupt:
        return plain.Fault("KeyboardInterrupt", "stopped by hand")
    except BaseException as error:  # the learner's code may raise anything, SystemExit too
        return plain.accept(plain.to_plain(error))


@contextlib.contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Interrupt what runs inside after so many seconds; without a limit where signals lack."""
    usable = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if not usable:
        yield
        return

    def ring(number: int, frame: Any) -> None:
        raise _TooLong

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds, 0.5)  # again and again: code may swallow one
    try:
        yield
    except _TooLong:
        pass  # rang between two evaluations
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def source_of(function: Any) -> str:
    """Return the code of a learner's function, "" when Python does not have it."""
    try:
        return inspect.getsource(function)
    except (OSError, TypeError):
        return ""
