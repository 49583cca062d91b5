"""A soft lock before work outdoors: what is still to be learned first, and who may open it.

In: the steps, and the exercises or lessons that come before them; the log of attempts.
Out: the steps, folded away with a list of what is missing until that is complete or an
adult in charge has signed for the day. Nothing here ever says that work is safe.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from autograde import log

SIGNED = "outdoors.signed"  # how the log calls a signature
LONGEST_INITIALS = 12
NO_PERMISSION = ("That is no permission. An adult in charge signs for the day; local rules and your "
                 "school’s own risk assessment come first.")  # fmt: skip


@dataclass(frozen=True)
class Outdoors:
    """Steps for outdoors, open or folded; shows itself as HTML in Jupyter, as text elsewhere.

    steps : sentences. first : ids of exercises ("start.rules") or of lessons ("hazards").
    """

    steps: tuple[str, ...]
    first: tuple[str, ...]

    def state(self) -> tuple[bool, str, list[str]]:
        """Return whether the steps are open, a sentence, and what is not complete."""
        open_items = missing(self.first)
        initials = signed_today()
        if not open_items:
            return True, f"✓ The checked items before this are complete. {NO_PERMISSION}", []
        if initials:
            says = (f"○ Opened for today by {initials}, in charge of this work. Not complete yet, so "
                    "talk about it before you go out:")  # fmt: skip
            return True, says, open_items
        return False, ("○ Not open yet. First complete these; or the adult in charge, who knows the "
                       "work and has read this list, signs for today:"), open_items  # fmt: skip

    def still(self) -> str:
        """Return the HTML of a notebook in which nothing has been run."""
        return self._html(False, "○ Run this cell to see whether these steps are open for you. The "
                          "work on hazards comes first, or an adult in charge signs.", [])  # fmt: skip

    def _repr_html_(self) -> str:
        return self._html(*self.state())

    def _html(self, is_open: bool, says: str, items: Sequence[str]) -> str:
        todo = "".join(f"<li>{html.escape(item)}</li>" for item in items)
        steps = "".join(f"<li>{html.escape(step)}</li>" for step in self.steps)
        return (
            f'<div role="status"><p>{html.escape(says)}</p>{todo and f"<ul>{todo}</ul>"}</div>'
            f"<details{' open' if is_open else ''}><summary>{_title(is_open)}</summary>"
            f"<ol>{steps}</ol></details>"
        )

    def __repr__(self) -> str:
        is_open, says, items = self.state()
        lines = [says, *(f"  - {item}" for item in items)]
        if not is_open:
            lines.append(f'To sign: from autograde.outdoors import sign; sign("initials"), or at '
                         f'the command line: python -m autograde answer {SIGNED} "initials"')  # fmt: skip
        lines.append(f"{_title(is_open)}:")
        return "\n".join([*lines, *(f"  {k}. {step}" for k, step in enumerate(self.steps, 1))])

    def _ipython_display_(self) -> None:
        from autograde import form

        form.show_outdoors(self)


def _title(is_open: bool) -> str:
    return "The steps" if is_open else "The steps, only to read ahead"


def outdoors(*steps: str, first: Sequence[str]) -> Outdoors | None:
    """Return the steps for outdoors with their soft lock; None while marking."""
    from autograde.check import marking

    return None if marking() else Outdoors(steps, tuple(first))


def missing(first: Sequence[str], folder: Path | None = None) -> list[str]:
    """Return in words what is not complete: one entry for an exercise or a lesson."""
    from autograde.lesson import LessonError, exercise, load_key

    right = {entry.exercise for entry in log.read(folder) if entry.credit == 1.0}
    told = []
    for name in first:
        try:
            lesson = exercise(name)[0] if "." in name else load_key(name)
        except LessonError as error:
            told.append(str(error))  # what cannot be looked up is not complete
            continue
        heading = f"lesson {lesson.number:02d}, {lesson.title}"
        if "." in name:
            record = exercise(name)[1]
            if name not in right:
                told.append(f"{heading}: {record.title or record.name}.")
            continue
        marked = [record for record in lesson if record.marked and record.points]
        done = [record for record in marked if lesson.id(record) in right]
        if len(done) < len(marked):
            step = next(record for record in marked if record not in done)
            told.append(f"{heading}: {len(done)} of {len(marked)} exercises are right; next "
                        f"is “{step.title or step.name}”.")  # fmt: skip
    return told


def signed_today(folder: Path | None = None) -> str:
    """Return the initials of the adult who signed last today, "" without one."""
    entry = log.last(SIGNED, folder)
    today = entry is not None and entry.time[:10] == date.today().isoformat()
    return entry.answer if entry and today and isinstance(entry.answer, str) else ""


def sign(initials: str) -> str:
    """Put an adult's signature for today on record and return a sentence."""
    given = " ".join(str(initials).split())
    if not 1 <= len(given) <= LONGEST_INITIALS:
        return (f"Write the initials of the adult in charge, 1 to {LONGEST_INITIALS} letters; "
                f"there are {len(given)}.")  # fmt: skip
    try:
        log.append(SIGNED, given, None, None)
    except OSError as error:
        return (f"The signature could not be saved ({error.strerror or error}); check the folder "
                f"{log.workspace()}.")  # fmt: skip
    return f"{given} has signed for today. Run the cell with the steps again if they are folded."
