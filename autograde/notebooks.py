"""Notebooks for nbgrader: a clean one of each submission, and marks in words written into it.

In: an `Intake` and a lesson, or such a notebook and `Marks`. Out: nbformat, with our metadata and
checksums, whose outputs nbgrader's own preprocessors save as points.
"""

from __future__ import annotations

from typing import Any

from autograde.build import notebook
from autograde.intake import Intake
from autograde.lesson import Source
from autograde.marks import Marks
from solarlib.commands import Refusal


class GradebookError(Refusal):
    """The gradebook cannot be used; the message is one sentence."""


def clean_notebook(intake: Intake, source: Source) -> Any:
    """Return the clean notebook of a submission (nbformat), with our metadata and checksums."""
    from nbgrader.utils import compute_checksum

    released = notebook(source)
    ours = {cell["id"]: cell for cell in as_nbformat(released).cells}
    cells: list[dict[str, Any]] = []
    for cell in intake.cells:
        kind = "markdown" if cell.is_markdown else "code"
        one: dict[str, Any] = {
            "id": cell.id,
            "cell_type": kind,
            "metadata": {},
            "source": cell.source,
        }
        if kind == "code":
            one |= {"execution_count": None, "outputs": []}
        if cell.id in ours:
            mark = {"checksum": compute_checksum(ours[cell.id]), "cell_type": kind}
            metadata = ours[cell.id].metadata
            one["metadata"] = {**metadata, "nbgrader": {**metadata.nbgrader, **mark}}
        cells.append(one)
    return as_nbformat({**released, "cells": cells})


def write_marks(nb: Any, marks: Marks) -> None:
    """Put outputs, marks in words and scores into a clean notebook."""
    import nbformat

    shown = {mark.cell: mark for mark in marks.marks if mark.text}
    for count, cell in enumerate(nb.cells, start=1):
        if cell.cell_type != "code":
            continue
        outputs = [nbformat.from_dict(o) for o in marks.outputs.get(cell.id, ())]
        if cell.id in shown:
            mark = shown[cell.id]
            outputs = [nbformat.v4.new_output("stream", name="stdout", text=mark.text + "\n")]
            if cell.metadata.nbgrader.get("grade"):
                score = mark.score if mark.score is not None else 0.0
                plain = {"text/plain": repr(float(score))}
                outputs.append(
                    nbformat.v4.new_output("execute_result", plain, execution_count=count)
                )
        elif cell.metadata.get("nbgrader", {}).get("grade"):
            raise GradebookError(f"The marked cell {cell.id} got no mark.")
        cell.outputs, cell.execution_count = outputs, count
    if marks.notes:
        lines = "\n".join(f"- {note}" for note in marks.notes)
        text = f"**Notes of the marking program**\n\n{lines}"
        nb.cells.insert(0, nbformat.v4.new_markdown_cell(text, id="notes-of-the-marking"))


def as_nbformat(data: dict[str, Any]) -> Any:
    """Return a notebook as nbformat holds it, every source as one text."""
    import nbformat

    return nbformat.from_dict({**data, "cells": [
        {**cell, "source": "".join(cell["source"])} for cell in data["cells"]]})  # fmt: skip
