"""What a form says between its buttons and its fields: what is still to state, and the way to the pack.

In: the checked items of a design, or the path of a PDF. Out: buttons that open the place of an
entry, and a link that JupyterLab opens from the notebook's folder.
"""

from __future__ import annotations

import html
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

import ipywidgets as w

from solarlib.design.variation import ENTRIES

_WRAP = w.Layout(flex_flow="row wrap", align_items="center", width="auto")


class StillToState:
    """A line for each item that cannot be told, with a button for each entry it waits for."""

    def __init__(self, go_to: Callable[[str], None]):
        self.go_to = go_to
        self.box = w.VBox()
        self.buttons: dict[str, w.Button] = {}
        self._shown: list[Any] | None = None

    def show(self, items: Sequence[Any]) -> None:
        """Bring the lines up to the items of a design, gates first."""
        waiting = sorted((one for one in items if one.missing), key=lambda one: one.kind != "gate")
        now = [(one.id, one.missing) for one in waiting]
        if now == self._shown:  # new buttons would take the focus away
            return
        self._shown, self.buttons = now, {}
        rows: list[Any] = []
        for one in waiting:
            gate = ", a gate" if one.kind == "gate" else ""
            name = w.HTML(f"<span>? <strong>{one.id} {html.escape(one.name)}</strong>{gate}:</span>")
            rows.append(w.HBox([name, *map(self._button, one.missing)], layout=_WRAP))
        if rows:
            rows.insert(0, w.HTML("<p><strong>Not stated yet.</strong> A button opens the place "
                                  "where you state it.</p>"))  # fmt: skip
        self.box.children = rows

    def _button(self, entry: str) -> w.Button:
        about = ENTRIES[entry].metadata
        words = f"{about['group']}: {about['words']}"
        button = w.Button(description=words, tooltip=f"Go to {words}",
                          layout=w.Layout(width="auto", flex="0 1 auto"))  # fmt: skip
        button.on_click(lambda _: self.go_to(entry))
        self.buttons[entry] = button
        return button


def link_to(path: Path) -> str:
    """Return the way to a written file: a link where it lies in the notebook's folder."""
    way = Path(os.path.relpath(path))
    if way.is_absolute() or ".." in way.parts:
        return f'<p role="status">The pack is {html.escape(str(path))}; open it from there.</p>'
    shown = html.escape(way.as_posix())
    folder = html.escape(way.parent.as_posix())
    return (f'<p role="status">Open it: <a href="{quote(way.as_posix())}">{shown}</a>. The menu Tabs '
            f"leads back here. Or open the folder <em>{folder}</em> in the list of files at the "
            "left.</p>")  # fmt: skip


def as_output(page: str) -> tuple[dict[str, Any], ...]:
    """Return HTML as the outputs of an output widget, where JupyterLab makes its links work."""
    data = {"text/html": page, "text/plain": ""}
    return ({"output_type": "display_data", "data": data, "metadata": {}},) if page else ()
