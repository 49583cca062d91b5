"""The fields under a design board: a labelled field for every entry, a group at a time.

In: a `DesignForm`. Out: widgets with names that a screen reader says, the range and what
is wrong beside each; everything works by keyboard. No limit and no formula here.
"""

from __future__ import annotations

import html
from typing import Any

import ipywidgets as w

from solarlib import units
from solarlib.design import GROUPS, Plumbing
from solarlib.design.typed import NO, NOT_STATED, YES, allowed, shown
from solarlib.design.variation import ENTRIES
from solarlib.explorers.form_notes import StillToState, as_output, link_to
from solarlib.explorers.plumbing_panel import PlumbingRows

_WIDE = w.Layout(width="auto", max_width="58em")
_FIELD = {"width": "auto", "max_width": "58em"}
_NAMED = {"description_width": "21em"}
_NO_CLIP = {"description_width": "initial"}
_LINED_UP = 36  # letters of a name that fit into the width above
_LONG = ("prices", "changes")


def label_of(one: Any) -> str:
    """What stands before a field: its words, and the unit in which it is shown."""
    unit = units.label(one.metadata["unit"]) if one.metadata["kind"] == "number" else ""
    return f"{one.metadata['words']} ({unit})" if unit else str(one.metadata["words"])


class FormPanel:
    """The widgets of a form, and the wires between them and a `DesignForm`."""

    def __init__(self, form: Any):
        self.form = form
        self._quiet = False
        self.fields: dict[str, Any] = {}
        self.beside: dict[str, Any] = {}
        self.path = w.Text(value=str(form.draft.path), description="File of your design:",
                           style=_NAMED, layout=_FIELD)  # fmt: skip
        self.why = w.Text(description="Why? For the change log:", style=_NAMED, layout=_FIELD,
                          placeholder="such as: thin pipe missed too much light")  # fmt: skip
        self.status = w.HTML()
        self.group = w.Dropdown(options=[(f"{name}: {words}", name) for name, words in
                                         GROUPS.items()], description="Show the entries of:",
                                style=_NAMED, layout=_FIELD)  # fmt: skip
        self.boxes = {name: self._group(name) for name in GROUPS}
        self.offers, self.to_state = w.VBox(), StillToState(self.go_to)
        self.verdict, self.pack_link = w.HTML(), w.Output()
        self.read = self._button("Read the file", self._read)
        self.save = self._button("Save", self._save)
        self.helps = self._button("What would help?", self._helps)
        self.hand_in = self._button("Hand in this design", self._hand_in)
        self.pack = self._button("Write the build pack", self._pack)
        self.group.observe(lambda change: self._show_group(change["new"]), "value")
        self._show_group(self.group.value)
        self._show()
        row = w.Layout(flex_flow="row wrap")
        handed = [self.hand_in] if form.checker else []
        self.box = w.VBox([
            self.path, w.HBox([self.read, self.save, self.helps, *handed, self.pack], layout=row),
            self.status, self.pack_link, self.verdict, self.offers, self.to_state.box, self.why,
            self.group, *self.boxes.values(),
        ], layout=_WIDE)  # fmt: skip

    def _button(self, name: str, act: Any) -> w.Button:
        button = w.Button(description=name, tooltip=name,
                          layout=w.Layout(width="auto", flex="0 0 auto"))  # fmt: skip
        button.on_click(lambda _: act())
        return button

    # --- fields ------------------------------------------------------------------------------------
    def _group(self, group: str) -> w.VBox:
        rows = [w.HTML(f"<h3>{html.escape(group)}: {html.escape(GROUPS[group])}</h3>"
                       "<small>Any unit will do: 640 mm, 64 cm, 25 3/16 in, 82 %. By keyboard: Tab goes "
                       "on and takes in what you typed; the space bar opens a list.</small>")]
        for name, one in ENTRIES.items():
            if one.metadata["group"] == group:
                self.fields[name], self.beside[name] = self._field(name, one), w.HTML()
                rows.append(w.VBox([self.fields[name], self.beside[name]]))
        return w.VBox(rows, layout=w.Layout(**_FIELD))  # its own: a group is shown or not

    def _field(self, name: str, one: Any) -> Any:
        about, text, label = one.metadata, self.form.draft.texts[name], label_of(one)
        words: dict[str, Any] = {"description": label, "tooltip": allowed(one) or label,
                 "style": _NAMED if len(label) <= _LINED_UP else _NO_CLIP,
                 "layout": _FIELD}  # fmt: skip
        if about["kind"] == "plumbing":
            words.pop("style")
            rows = PlumbingRows(text, start=shown(one, Plumbing()), **words)
            rows.observe(lambda change: self._typed(name, change["new"]), "value")
            return rows
        if about["kind"] in ("choice", "flag"):
            known = about["options"] if about["kind"] == "choice" else (YES, NO)
            unknown = (NOT_STATED,) if one.default is None else ()
            field = w.Dropdown(options=[*unknown, *known], value=text, **words)
        elif about["kind"] in _LONG:
            field = w.Textarea(value=text, rows=6, continuous_update=False, **words)
        else:
            field = w.Text(value=text, continuous_update=False, **words)
        field.observe(lambda change: self._typed(name, change["new"]), "value")
        return field

    def _typed(self, name: str, text: str) -> None:
        if not self._quiet:
            self.form.type_all({name: text})
            self._show()

    # --- buttons -----------------------------------------------------------------------------------
    def _read(self) -> None:
        self.form.open(self.path.value.strip())
        self.offers.children = ()
        self._show()

    def _save(self) -> None:
        self.form.save(self.path.value.strip(), self.why.value)
        if not self.form.draft.changed:
            self._put(self.why, "")
        self._show()

    def _helps(self) -> None:
        self._say("Trying changes …")
        self.offers.children = tuple(self._offer(change) for change in self.form.tries())
        self._show()

    def _offer(self, change: Any) -> w.HBox:
        def press() -> None:
            self.form.try_it(change)
            self.offers.children = ()
            self._show()

        button = self._button(f"Try it: {change.item}", press)
        button.tooltip = f"Try it: {change.item}, {change.words}"
        words = html.escape(change.sentence)
        told = w.HTML(f'<p style="margin:0">{words}</p>')
        return w.HBox([button, told], layout=w.Layout(max_width="58em"))

    def _hand_in(self) -> None:
        self._say("Checking …")
        result = self.form.hand_in()
        if result is not None:
            page = getattr(result, "_repr_html_", lambda: f"<p>{html.escape(str(result))}</p>")
            self.verdict.value = f'<div style="line-height:1.4">{page()}</div>'
        self._say(self.form.told)

    def _pack(self) -> None:
        written = self.form.write_pack(self._say_last)
        self.pack_link.outputs = as_output(link_to(written) if written else "")
        self._say(self.form.told)

    # --- what is shown -----------------------------------------------------------------------------
    def _show_group(self, chosen: str) -> None:
        for name, box in self.boxes.items():
            box.layout.display = "flex" if name == chosen else "none"

    def go_to(self, name: str) -> None:
        """Open the group of an entry and put the keyboard into its field."""
        self.group.value = ENTRIES[name].metadata["group"]
        self.fields[name].focus()

    def _put(self, widget: Any, text: str) -> None:
        self._quiet = True
        try:
            widget.value = text
        finally:
            self._quiet = False

    def _show(self) -> None:
        """Bring every field and every sentence up to what the draft says."""
        draft = self.form.draft
        for name, field in self.fields.items():
            if field.value != draft.texts[name]:
                self._put(field, draft.texts[name])
            problem = draft.problems.get(name, "")
            if isinstance(field, PlumbingRows):
                field.show(draft.design.plumbing, problem)
                problem = ""  # it is said among the rows
            self.beside[name].value = self._beside(name, problem)
        shown = ENTRIES[next(iter(draft.problems))].metadata["group"] if draft.problems else ""
        if shown and not any(self._in_sight(name) for name in draft.problems):
            self.group.value = shown
        self.to_state.show(self.form.items)
        self._say(self.form.told)

    def _in_sight(self, name: str) -> bool:
        return bool(ENTRIES[name].metadata["group"] == self.group.value)

    def _beside(self, name: str, problem: str) -> str:
        may = "" if name == "plumbing" else allowed(ENTRIES[name])  # its rows say it themselves
        words = [html.escape(may), f"in the file: <code>{name}</code>"]
        small = "; ".join(word for word in words if word)
        said = f'<span role="alert"><strong>✗ {html.escape(problem)}</strong></span><br>' if \
            problem else ""  # fmt: skip
        return f'<div style="margin-left:21em;line-height:1.3">{said}<small>{small}</small></div>'

    def _say(self, sentence: str) -> None:
        words = html.escape(sentence), html.escape(self.form.standing())
        self.status.value = f'<p role="status" style="margin:0"><strong>{words[0]}</strong><br>{words[1]}</p>'

    def _say_last(self, sentence: str) -> None:
        self.form.told = sentence
        self._say(sentence)


def form_panel(form: Any) -> w.VBox:
    """Return the widgets of a form; the wiring is at hand as `.wires`, for tests."""
    panel = FormPanel(form)
    panel.box.wires = panel
    return panel.box
