"""The rows of the form's plumbing: pick lists for parts and links, and a sketch of a bubble's way.

In: the text that the draft keeps for the entry `plumbing`. Out: a widget whose `value` is that
text, changed row by row. What rows mean and what is wrong with one stands in
`design.plumbing_rows`; the sketch is drawn by `figures.plumbing`.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable
from typing import Any

import ipywidgets as w
from traitlets import Unicode

from solarlib.design.plumbing import AIR, Plumbing
from solarlib.design.plumbing_rows import OPEN, PARTS, SHUT, LinkRow, PartRow, Rows

_ROW = w.Layout(flex_flow="row wrap", width="auto")
_LABEL = {"description_width": "initial"}
PICK = "pick one"


def _size(width: str) -> w.Layout:
    return w.Layout(width=width, flex="0 1 auto")


def _button(name: str, act: Callable[[], None]) -> w.Button:
    button = w.Button(description=name, tooltip=name, layout=w.Layout(
        width="auto", flex="0 0 auto", align_self="flex-start"))  # fmt: skip
    button.on_click(lambda _: act())
    return button


class _Row:
    """One row: its widgets, and the words that tell them apart."""

    box: w.HBox
    first: Any  # takes the focus

    def number(self, k: int) -> None:
        """Say on every control which row it is."""
        raise NotImplementedError

    def _wire(self, panel: PlumbingRows, parts: list[Any]) -> None:
        self.remove = _button("Remove", lambda: panel.remove(self))
        for widget in parts:
            widget.observe(panel.moved, "value")
        self.first = parts[0]
        self.box = w.HBox([*parts, self.remove], layout=_ROW)


class _Part(_Row):
    def __init__(self, panel: PlumbingRows, row: PartRow):
        names = list(dict.fromkeys((*PARTS, row.name)))
        self.name = w.Dropdown(options=names, value=row.name, style=_LABEL, layout=_size("16em"))
        self.height = w.Text(value=row.height, placeholder="such as 800 mm", style=_LABEL,
                             continuous_update=False, layout=_size("17em"))  # fmt: skip
        self._wire(panel, [self.name, self.height])

    def number(self, k: int) -> None:
        self.name.description = f"Part {k}:"
        self.height.description = "height (mm):"
        self.height.tooltip = f"Part {k}: height of its top above the ground, with unit"
        self.remove.description = f"Remove part {k}"
        self.remove.tooltip = f"Remove part {k}, {self.name.value}"

    def row(self) -> PartRow:
        return PartRow(self.name.value, self.height.value.strip())


class _Link(_Row):
    def __init__(self, panel: PlumbingRows, row: LinkRow):
        between = {**OPEN, **SHUT}
        between.setdefault(row.through, f"{row.through}, counts as shut")
        between.pop("", None)
        options = [(PICK, ""), *((shown, word) for word, shown in between.items())]
        self.ends = [w.Dropdown(options=[*dict.fromkeys(("", end))], value=end, style=_LABEL,
                                layout=_size(width))
                     for end, width in ((row.first, "15em"), (row.second, "11em"))]  # fmt: skip
        self.through = w.Dropdown(options=options, value=row.through, style=_LABEL,
                                  layout=_size("18em"))  # fmt: skip
        self._wire(panel, [self.ends[0], self.through, self.ends[1]])

    def number(self, k: int) -> None:
        words = (f"Link {k}, from:", "through:", "to:")
        for widget, word in zip((self.ends[0], self.through, self.ends[1]), words, strict=True):
            widget.description = word
            widget.tooltip = f"Link {k} {word.removeprefix(f'Link {k}, ').rstrip(':')}"
        self.remove.description = f"Remove link {k}"
        self.remove.tooltip = self.remove.description

    def offer(self, names: Iterable[str]) -> None:
        """Offer these parts at both ends; what is picked stays, even where it is no part any more."""
        for widget in self.ends:
            picked = widget.value
            every = dict.fromkeys(("", *names, AIR, picked))
            options = tuple((name or PICK, name) for name in every)
            if widget.options != options:
                widget.options = options
                widget.value = picked

    def row(self) -> LinkRow:
        return LinkRow(self.ends[0].value, self.through.value, self.ends[1].value)


class PlumbingRows(w.VBox):
    """Rows of parts and links as one field; `value` is their text, as other fields have one."""

    value = Unicode("")
    description = Unicode("")
    tooltip = Unicode("")  # ours alone: the browser draws no box that has one

    def __init__(self, value: str, description: str, tooltip: str, layout: Any, start: str):
        self._quiet = True
        self._before: list[Rows] = []
        self._names: tuple[str, ...] = ()
        self._drawn: Plumbing | None = None
        self.parts: list[_Part] = []
        self.links: list[_Link] = []
        self._part_box, self._link_box = w.VBox(), w.VBox()
        self.told, self.sketch = w.HTML(), w.HTML()
        self.start = _button("Start from the Ladle's way",
                             lambda: self._replace(Rows.from_text(start)))  # fmt: skip
        self.undo = _button("Undo", self._undo)
        self.undo.tooltip = "Bring back the rows as they were before the last button"
        self.add_part = _button("Add a part", self._add_part)
        self.add_link = _button("Add a link", self._add_link)
        super().__init__(
            [w.HTML(f"<p><strong>{html.escape(description)}.</strong> A part holds water; "
                    "its height is that of its top above the ground, in any unit. A link says what "
                    "joins two parts, or a part and the open air. Water stands in a part that lies "
                    "lower than its neighbours.</p>"),
             w.HBox([self.start, self.undo], layout=_ROW), self._part_box, self.add_part,
             self._link_box, self.add_link, self.told, self.sketch],
            description=description, tooltip=tooltip, layout=layout,
        )  # fmt: skip
        self.value = value
        self.observe(self._given, "value")
        self._put(Rows.from_text(value))

    @property
    def rows(self) -> Rows:
        """What the rows say now."""
        return Rows(tuple(part.row() for part in self.parts), tuple(link.row() for link in self.links))

    def focus(self) -> None:
        """Put the keyboard where the first thing is to do."""
        (self.parts[0].first if self.parts else self.start).focus()

    # --- from outside ------------------------------------------------------------------------------
    def _given(self, change: Any) -> None:
        if change["new"] != self.rows.text():
            self._put(Rows.from_text(change["new"]))

    def _put(self, rows: Rows) -> None:
        """Show other rows, without telling anybody."""
        self._quiet = True
        try:
            self.parts = [_Part(self, row) for row in rows.parts]
            self.links = [_Link(self, row) for row in rows.links]
            self._names = tuple(row.name for row in rows.parts)
            self._arrange()
        finally:
            self._quiet = False

    def _arrange(self) -> None:
        for rows, box in ((self.parts, self._part_box), (self.links, self._link_box)):
            for k, row in enumerate(rows, 1):
                row.number(k)
            boxes = tuple(row.box for row in rows)
            if box.children != boxes:
                box.children = boxes
        for link in self.links:
            link.offer(self._names)
        self.undo.disabled = not self._before
        self.add_link.disabled = not self.parts

    # --- changes by hand ---------------------------------------------------------------------------
    def moved(self, _: Any = None) -> None:
        """Take in what a row says now; a part that was renamed keeps its links."""
        if self._quiet:
            return
        self._quiet = True
        try:
            names = tuple(part.name.value for part in self.parts)
            if len(names) == len(self._names):
                renamed = [(a, b) for a, b in zip(self._names, names, strict=True) if a != b]
                for old, new in renamed:
                    self._rename(old, new, names)
            self._names = names
            self._arrange()
        finally:
            self._quiet = False
        self.value = self.rows.text()

    def _rename(self, old: str, new: str, names: tuple[str, ...]) -> None:
        if old in names or names.count(new) > 1:
            return
        for link in self.links:
            link.offer((*self._names, new))
            for end in link.ends:
                if end.value == old:
                    end.value = new

    def _replace(self, rows: Rows) -> None:
        self._before.append(self.rows)
        self._put(rows)
        self.value = self.rows.text()

    def _undo(self) -> None:
        if self._before:
            self._put(self._before.pop())
            self.value = self.rows.text()

    def _add_part(self) -> None:
        name = self.rows.unused_name()
        self.parts.append(_Part(self, PartRow(name, "")))
        self.moved()
        self.parts[-1].first.focus()

    def _add_link(self) -> None:
        self.links.append(_Link(self, LinkRow("", "", "")))
        self.moved()
        self.links[-1].first.focus()

    def remove(self, row: _Row) -> None:
        """Take a row out; Undo brings it back."""
        self._before.append(self.rows)
        rows: list[Any] = self.parts if row in self.parts else self.links
        place = rows.index(row)
        rows.remove(row)
        self.moved()
        near = rows[min(place, len(rows) - 1)].remove if rows else self.add_part
        near.focus()

    # --- what is shown -----------------------------------------------------------------------------
    def show(self, plumbing: Plumbing | None, problem: str) -> None:
        """Say what is wrong with a row, or show how far bubbles get in these rows."""
        wrong = self.rows.wrong or problem
        if not wrong and plumbing is not None and plumbing == self._drawn:
            return
        if wrong:
            self.told.value = f'<p role="alert"><strong>✗ {html.escape(wrong)}</strong></p>'
            self.sketch.value = "<p>The sketch waits until all rows make sense.</p>"
        elif plumbing is None:
            self.told.value = '<p role="status">No parts yet: start from the Ladle\'s way, or add a part.</p>'
            self.sketch.value = ""
        else:
            from solarlib.figures.plumbing import plumbing_html, sketch_of

            self.told.value = ""
            self.sketch.value = plumbing_html(sketch_of(plumbing))
        self._drawn = None if wrong else plumbing
