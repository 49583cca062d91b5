"""The controls under an explorer's picture: sliders with number boxes, picks, presets, reset.

A slider's handle has no name of its own that a screen reader could say: each has a
number box beside it that has, and the page gives it the name of its label.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import ipywidgets as w

from solarlib.explorers.base import Pick, Slider

if TYPE_CHECKING:
    from solarlib.explorers.base import Explorer

_WIDE = w.Layout(width="auto", max_width="48em")
_PLAIN_LABEL = {"description_width": "initial"}


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
    """Return the controls of an explorer; locked ones come with the prediction to make."""
    link = _Link(explorer)
    rows = [_row(link, control) for control in explorer.controls.values()]
    buttons = [_button(link, name, dict(v)) for name, v in explorer.presets.items()]
    buttons.append(_button(link, "Reset", dict(explorer.start)))
    box = w.VBox([*rows, w.HBox(buttons, layout=w.Layout(flex_flow="row wrap"))], layout=_WIDE)
    parts = [x for many in link.widgets.values() for x in many] + buttons
    if explorer.locked:
        return w.VBox([_prediction(explorer, parts), box], layout=_WIDE)
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
                           tooltip=label, style={"description_width": "20em"},
                           layout=w.Layout(width="37em"))  # fmt: skip
    box = w.BoundedFloatText(value=control.value, **limits, tooltip=label, description=label,
                             style={"description_width": "0"},
                             layout=w.Layout(width="7em"))  # fmt: skip
    link.widgets[control.name] = [slider, box]
    for widget in (slider, box):
        widget.observe(lambda change: link.moved(control.name, change["new"]), "value")
    return w.HBox([slider, box], layout=w.Layout(flex_flow="row wrap"))


def _button(link: _Link, name: str, values: dict[str, Any]) -> w.Button:
    button = w.Button(description=name, tooltip=f"{name}: set the sliders",
                      layout=w.Layout(width="auto"))  # fmt: skip
    button.on_click(lambda _: link.put(values))
    return button


def _prediction(explorer: Explorer, parts: list[Any]) -> w.VBox:
    """Ask for the guess that unlocks the controls."""
    question = explorer.question
    for part in parts:
        part.disabled = True
    options = [(text, letter) for letter, text in question.options.items()]
    pick = w.RadioButtons(options=options, value=None, layout=_WIDE)
    button = w.Button(description="Keep my guess", tooltip="Keep my guess and unlock the sliders")
    told = w.HTML('<p role="status">First say what you expect; then the sliders unlock.</p>')

    def keep(_: Any) -> None:
        if pick.value is not None:
            question.record(pick.value)
        unlock()

    def unlock() -> None:
        if not question.answered:
            told.value = '<p role="status">Pick one first. A guess is never marked.</p>'
            return
        for part in parts:
            part.disabled = False
        told.value = '<p role="status">Noted. The sliders are unlocked: look for yourself.</p>'

    button.on_click(keep)
    return w.VBox([w.HTML(f"<p><strong>{question.question}</strong></p>"), pick, button, told])
