"""The design board of a learner's own file: every input as a field, the items they meet above.

In: the name of a TOML file. Out: a picture of the checked items with its words and a table
of reasons, and under it a form that reads and writes the file. What is typed, wrong or
written is kept by `solarlib.design.draft`; the fields themselves are in `form_panel`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from solarlib.explorers.base import Explorer, Scene
from solarlib.explorers.capstone import board_of
from solarlib.figures import capstone as draw

MOST_TRIES = 12  # changes offered at once


class DesignForm(Explorer):
    """The board and the form of one design file; a plain object in tests.

    Parameters
    ----------
    path : of the file, such as "my-trough.toml". It is made when it is saved first.
    hand_in : takes the text of the saved file and returns a verdict that shows itself as HTML;
        None: there is nobody to hand it in to.
    """

    def __init__(self, path: Any = "my-trough.toml", hand_in: Callable[[str], Any] | None = None):
        from solarlib.design.draft import Draft

        self.draft = Draft(path)
        self.checker = hand_in
        self._worked_out: Any = None
        scene = Scene("Design board", self._board, draw.frame_design_board,
                      draw.paint_design_board, draw.describe_design_board,
                      draw.table_own_design, size=(7.8, 5.0))  # fmt: skip
        super().__init__(scene, ())
        self.told = self._opened()

    def _board(self) -> draw.DesignBoard:
        return board_of(self._evaluation)

    @property
    def _evaluation(self) -> Any:
        """The design as it stands in the form, worked out once."""
        from solarlib.design import evaluate

        if self._worked_out is None or self._worked_out.design is not self.draft.design:
            self._worked_out = evaluate(self.draft.design)
        return self._worked_out

    @property
    def items(self) -> Any:
        """The checked items of the design as it stands in the form."""
        return self._evaluation.constraints

    def standing(self) -> str:
        """Say in a line which items are open, gates first; the board has the reasons."""
        kinds = {"gates open": lambda c: c.kind == "gate" and c.met is not True,
                 "not met": lambda c: c.kind != "gate" and c.met is False,
                 "not known": lambda c: c.kind != "gate" and c.met is None}  # fmt: skip
        told = []
        for words, open_one in kinds.items():
            ids = [one.id for one in self._evaluation.constraints if open_one(one)]
            told += [f"{words}: {', '.join(ids)}"] if ids else []
        return f"On the board: {'; '.join(told) or 'checked items complete'}."

    def _opened(self) -> str:
        name = self.draft.path.name
        if self.draft.blocked:
            return self.draft.blocked
        if self.draft.is_new:
            return (f"There is no {name} yet: the sizes are the demo's, and what decides a hazard "
                    "is not stated. Save makes the file.")  # fmt: skip
        return f"{name} is read."

    # --- what the buttons do -----------------------------------------------------------------------
    def type_all(self, texts: Mapping[str, str]) -> None:
        """Take in what was typed, and draw the board again when it makes a design."""
        before = self.draft.design
        self.draft.type_all(texts)
        if self.draft.problems:
            self.told = "Not yet a design: see the sentence beside the entry. Nothing is written."
        elif self.draft.changed:
            self.told = f"Changed and not saved: {self.draft.named(self.draft.changed)}."
        else:
            self.told = "As in the file."
        if self.draft.design != before:
            self.refresh()

    def open(self, path: Any) -> None:
        """Read a file; what was typed and not saved is gone."""
        self.draft.open(path)
        self.told = self._opened()
        self.refresh()

    def save(self, path: Any = None, why: str = "") -> None:
        """Write the file, or one of another name that is still free."""
        if path is None or Path(path) == self.draft.path:
            self.told = self.draft.save(why)
        else:
            self.told = self.draft.save_as(path)
        self.refresh()

    def tries(self) -> list[Any]:
        """Find the changes that would meet the open items, gates first, nearest first."""
        e = self._evaluation
        missed = [one for one in e.constraints if one.met is False]
        unknown = [one.id for one in e.constraints if one.met is None]
        found: list[Any] = []
        for one in sorted(missed, key=lambda one: one.kind != "gate"):
            found += e.what_if(one.id)[:3]
        none = [one.id for one in missed if one.id not in {change.item for change in found}]
        told = []
        if found:
            told.append("Each change below was tried. Press one to put it into the form.")
        if none:
            told.append(f"No change was found for {', '.join(none)}; see the reasons above.")
        if unknown:  # a precaution is stated by a person, never filled in
            told.append(f"{', '.join(unknown)} cannot be told: state what the table above names.")
        self.told = " ".join(told) or (
            "Every item is met: checked items complete, not a permission to build."
        )
        return found[:MOST_TRIES]

    def try_it(self, change: Any) -> None:
        """Put a change that was found into the form; it is not saved."""
        from solarlib.design.nearest import apply
        from solarlib.design.typed import shown
        from solarlib.design.variation import ENTRIES

        changed = apply(self.draft.design, change.entries)
        self.type_all({
            name: shown(one, getattr(changed, name)) for name, one in ENTRIES.items()
            if getattr(changed, name) != getattr(self.draft.design, name)
        })  # fmt: skip

    def _unsaved(self, why: str) -> bool:
        """Say so when what the form shows is not what stands in the file."""
        waits = self.draft.changed or self.draft.problems or self.draft.is_new
        if waits or self.draft.blocked:
            self.told = self.draft.blocked or f"Save the design first: {why}"
        return bool(waits or self.draft.blocked)

    def hand_in(self) -> Any:
        """Have the saved file checked and return the verdict; None when it cannot be, see `told`."""
        if self.checker is None or self._unsaved("the file is what is handed in."):
            return None
        name = self.draft.path.name
        try:
            text = self.draft.path.read_text(encoding="utf-8-sig")
        except (OSError, ValueError) as error:
            self.told = f"{name} cannot be read any more ({error}); save it again."
            return None
        self.told = f"{name} was checked as it is saved; the verdict stands below."
        return self.checker(text)

    def write_pack(self, say: Callable[[str], None], today: date | None = None) -> Path | None:
        """Write the build pack of the saved file beside it and return the PDF's path.

        `say` gets a sentence a step; None when nothing was written, see `told`.
        """
        from solarlib.pack import write_pack

        if self._unsaved("the pack is made from the file."):
            return None
        design, path = self.draft.design, self.draft.path
        folder = path.parent / f"{path.stem}-pack"
        try:
            names = write_pack(design, folder, today or date.today(), design.paper,
                               say=say)  # fmt: skip
        except OSError as error:
            self.told = f"The pack cannot be written ({error.strerror or error})."
            return None
        return next(folder / name for name in names if name.endswith(".pdf"))

    def _controls(self) -> Any:
        from solarlib.explorers.form_panel import form_panel

        return form_panel(self)
