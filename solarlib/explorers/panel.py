"""The controls beside an explorer's picture: sliders with number boxes, picks, presets, reset.

Where a guess comes first, its question stands in their place. A slider's handle has no name of
its own that a screen reader could say: each has a number box beside it that has, and the page
gives it the name of its label.
"""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import ipywidgets as w

from solarlib.explorers.base import Pick, Slider
from solarlib.explorers.in_page import STYLE

if TYPE_CHECKING:
    from solarlib.explorers.base import Explorer

_WIDE = w.Layout(width="auto", max_width="48em")
_PLAIN_LABEL = {"description_width": "initial"}
_PICKED_S = 0.25  # while Python is busy the browser keeps back a pick, but not the button after it


class _Link:
    """Carries values between an explorer and its widgets, one refresh per change."""

    def __init__(self, explorer: Explorer):
        self.explorer = explorer
        self.widgets: dict[str, list[Any]] = {}
        self._quiet = False

    def moved(self, name: str, value: Any) -> None:
        """Hand a widget's new value to the explorer and to the widget beside it."""
        if self._quiet:
            return
        control = self.explorer.controls[name]
        if isinstance(control, Slider):  # the browser's 79.00000000000001 is the step 79
            near = control.low + round((value - control.low) / control.step) * control.step
            value = round(near, 9) if abs(value - near) < 1e-6 * control.step else value
        if value != self.explorer.values[name]:
            self.put({name: value})
        else:
            self.show({name: value})

    def put(self, values: dict[str, Any]) -> None:
        """Show values on all widgets, then refresh once."""
        self.show(values)
        self.explorer.set(**values)

    def show(self, values: dict[str, Any]) -> None:
        """Show values on all widgets, without a refresh."""
        self._quiet = True
        try:
            for name, value in values.items():
                for widget in self.widgets[name]:
                    widget.value = value
        finally:
            self._quiet = False


def panel(explorer: Explorer) -> w.VBox:
    """Return the controls of an explorer; while it is locked, the prediction to make."""
    style = w.HTML(STYLE, layout=w.Layout(display="none"))
    controls = _controls(explorer)
    box = w.VBox([style, controls])
    box.add_class("explorer-panel")
    if explorer.question is not None:
        told = w.HTML()

        def unlock() -> None:
            told.value = _said(explorer.compared())
            box.children = (style, told, controls)

        if explorer.locked:
            box.children = (style, told, _prediction(explorer, told, unlock))
        else:
            unlock()
    return box


def _said(words: str) -> str:
    return f'<p role="status">{html.escape(words)}</p>'


def _controls(explorer: Explorer) -> w.Box:
    link = _Link(explorer)
    rows = [_row(link, control) for control in explorer.controls.values()]
    buttons = [_button(link, name, dict(v)) for name, v in explorer.presets.items()]
    buttons.append(_button(link, "Reset", dict(explorer.start)))
    last = w.HBox(buttons, layout=w.Layout(flex_flow="row wrap"))
    last.add_class("explorer-buttons")
    box = w.Box([*rows, last])
    box.add_class("explorer-controls")
    return box


def _row(link: _Link, control: Slider | Pick) -> Any:
    if isinstance(control, Pick):
        options = [(text, value) for value, text in control.options.items()]
        pick = w.RadioButtons(options=options, value=control.value, description=control.label,
                              layout=_WIDE, style=_PLAIN_LABEL)  # fmt: skip
        link.widgets[control.name] = [pick]
        pick.observe(lambda change: link.moved(control.name, change["new"]), "value")
        return pick
    label = f"{control.label} ({control.unit})" if control.unit else control.label
    limits = {"min": control.low, "max": control.high, "step": control.step}
    slider = w.FloatSlider(value=control.value, **limits, readout=False, description=label,
                           tooltip=label, style={"description_width": "100%"},
                           layout=w.Layout(width="auto", height="auto", flex="1 1 auto",
                                           flex_flow="row wrap"))  # fmt: skip
    box = w.BoundedFloatText(value=control.value, **limits, tooltip=label, description=label,
                             style={"description_width": "0"},
                             layout=w.Layout(width="6.5em", flex="none"))  # fmt: skip
    link.widgets[control.name] = [slider, box]
    for widget in (slider, box):
        widget.observe(lambda change: link.moved(control.name, change["new"]), "value")
    return w.HBox([slider, box])


def _button(link: _Link, name: str, values: dict[str, Any]) -> w.Button:
    button = w.Button(description=name, tooltip=f"{name}: set the sliders",
                      layout=w.Layout(width="auto"))  # fmt: skip
    button.on_click(lambda _: link.put(values))
    return button


def _prediction(explorer: Explorer, told: w.HTML, unlock: Callable[[], None]) -> w.VBox:
    """Ask for the guess that unlocks the controls; there is a way on without one."""
    question = explorer.question
    told.value = _said("Guess first, then look. A guess is kept and never marked.")
    options = [(text, letter) for letter, text in question.options.items()]
    pick = w.RadioButtons(options=options, value=None, description="Your guess:", layout=_WIDE,
                          style=_PLAIN_LABEL)  # fmt: skip
    keep = w.Button(description="Keep my guess", tooltip="Keep my guess and show the rest",
                    layout=w.Layout(width="auto"))  # fmt: skip
    skip = w.Button(description="Look without a guess", tooltip="Show the rest without a guess",
                    layout=w.Layout(width="auto"))  # fmt: skip

    def look(_: Any) -> None:
        explorer.look()
        unlock()

    def press(_: Any) -> None:
        try:
            asyncio.get_running_loop().call_later(_PICKED_S, record)
        except RuntimeError:  # no loop: plain Python
            record()

    def record() -> None:
        said = question.record(pick.value) if pick.value is not None else "Pick one first."
        if question.answered:  # it may have been made above, meanwhile
            look(None)
        else:
            told.value = _said(f"{said} Or press “{skip.description}”.")

    keep.on_click(press)
    skip.on_click(look)
    buttons = w.HBox([keep, skip], layout=w.Layout(flex_flow="row wrap"))
    asked = w.HTML(f"<p><strong>{html.escape(question.question)}</strong></p>")
    return w.VBox([asked, pick, buttons], layout=_WIDE)
