"""The frame of every explorer: controls -> one calculation -> a picture, its words and a table.

In: a `Scene` (what to compute, how to draw and tell it), the controls and perhaps a question
to guess at first. Out: a picture that stays in the saved notebook as an ordinary output,
replaced in place while the sliders move. No physics and no drawing here.
"""

from __future__ import annotations

import base64
import html
import io
import itertools
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib
from matplotlib.figure import Figure

from solarlib.explorers.in_page import help_keys_and_names

_SVG: Any = {"svg.fonttype": "none", "svg.hashsalt": "explorer", "font.size": 11}
_COUNT = itertools.count(1)
_RUN_FIRST = "Run this cell and make your guess: then come {rest}."
_GUESS_FIRST = "Make your guess first: then come {rest}."


@dataclass(frozen=True)
class Control:
    """What a learner can move: its name in the calculation and the words beside it."""

    name: str
    label: str


@dataclass(frozen=True)
class Slider(Control):
    """A number to move. `value`, `low`, `high` and `step` in `unit`, as the learner sees them."""

    unit: str
    low: float
    high: float
    step: float
    value: float


@dataclass(frozen=True)
class Pick(Control):
    """A choice between a few words; `options` maps the value to what the learner reads."""

    options: Mapping[str, str]
    value: str


@dataclass(frozen=True)
class Scene:
    """One picture: compute(**values) -> result, and four ways to show it.

    frame(figure) draws once what never changes and returns the axes; paint(axes, result) adds the
    rest and returns the new artists; describe(result) -> one paragraph of words;
    table(result) -> (label, value) rows.
    """

    title: str
    compute: Callable[..., Any]
    frame: Callable[[Figure], Any]
    paint: Callable[[Any, Any], Sequence[Any]]
    describe: Callable[[Any], str]
    table: Callable[[Any], Sequence[tuple[str, str]]]
    size: tuple[float, float] = (7.4, 3.7)


@dataclass(frozen=True)
class Guess:
    """What may be seen before a guess, and what it is then compared with.

    opening : the picture as it starts, in words that leave the question open; "" where that picture
        would answer it, which is then not shown before.
    came_out() -> one sentence with what the course computes for the question.
    """

    opening: str
    came_out: Callable[[], str]


class Explorer:
    """A scene with its controls; shows itself in Jupyter, and works as a plain object in tests.

    Parameters
    ----------
    scene, controls : what to show and what can be moved.
    question : a prediction with .question, .options, .answer, .answered and .record(option); until
        it is answered, or `look` is called, words, table and controls are not shown. None: unlocked.
    presets : name on a button -> values it sets.
    guess : what belongs to the question that the lesson asks here.
    """

    def __init__(
        self,
        scene: Scene,
        controls: Sequence[Any],
        question: Any = None,
        presets: Mapping[str, Any] | None = None,
        guess: Guess | None = None,
    ):
        self.scene = scene
        self.controls: dict[str, Any] = {control.name: control for control in controls}
        self.question = question
        self.presets = dict(presets or {})
        self.guess = guess
        self._looked = False
        self.start = {name: control.value for name, control in self.controls.items()}
        self.values: dict[str, Any] = dict(self.start)
        self.refreshes = 0
        self._figure: Figure | None = None
        self._axes: Any = None
        self._artists: Sequence[Any] = ()
        self._fixed: dict[Any, bool] = {}  # what the frame drew, and whether it is to be seen
        self._frames: dict[tuple[bool, ...], str] = {}  # the frame as SVG, by which axes show
        self._handle: Any = None
        self._panel: Any = None
        self._number = next(_COUNT)

    @property
    def locked(self) -> bool:
        """Whether a prediction is still to be made."""
        return self.question is not None and not self.question.answered and not self._looked

    def look(self) -> None:
        """Show everything, also to somebody who does not want to guess."""
        self._looked = True
        self.refresh()

    def compared(self) -> str:
        """Return one line: the guess, and what the course computes."""
        picked = self.question.answer
        guess = f"You guessed: {self.question.options[picked]}." if picked else "No guess is kept."
        return f"{guess} {self.guess.came_out()}" if self.guess else guess

    def set(self, **values: Any) -> None:
        """Set several controls at once and refresh the picture once.

        Raises ValueError naming the control, the value and the range, and PermissionError while
        the prediction is open.
        """
        if self.locked:
            raise PermissionError("Make your prediction first; then the sliders unlock. Without one, "
                                  "call look().")  # fmt: skip
        for name, value in values.items():
            self._refuse_impossible(name, value)
        self.values.update(values)
        self.refresh()

    def _refuse_impossible(self, name: str, value: Any) -> None:
        control = self.controls.get(name)
        if control is None:
            known = ", ".join(self.controls)
            raise ValueError(f"There is no control “{name}”; this explorer has {known}.")
        if isinstance(control, Pick):
            if value not in control.options:
                known = ", ".join(control.options)
                raise ValueError(f"“{control.label}” is {value!r}; pick one of {known}.")
        elif not control.low <= value <= control.high:
            raise ValueError(f"“{control.label}” is {value} {control.unit}; allowed is "
                             f"{control.low:g} to {control.high:g} {control.unit}.")  # fmt: skip

    def result(self) -> Any:
        """Compute the scene for the present values."""
        return self.scene.compute(**self.values)

    def svg(self, result: Any) -> str:
        """Draw a result over its frame: only what changes is removed, painted and drawn again."""
        if self._figure is None:
            self._figure = Figure(figsize=self.scene.size)
            self._axes = self.scene.frame(self._figure)
            parts = [part for axes in self._figure.axes for part in axes.get_children()]
            self._fixed = {part: part.get_visible() for part in (*parts, self._figure.patch)}
        self._paint(result)
        shown = tuple(axes.get_visible() for axes in self._figure.axes)
        if shown not in self._frames:
            self._wipe()
            for part, visible in self._fixed.items():
                part.set_visible(visible)
            self._frames[shown] = self._draw()
            for part in self._fixed:
                part.set_visible(False)
            self._paint(result)
        below, above = self._frames[shown], self._draw()
        return below[: below.rindex("</svg>")] + above[above.index("<g ") :]

    def _paint(self, result: Any) -> None:
        self._wipe()
        self._artists = list(self.scene.paint(self._axes, result))

    def _wipe(self) -> None:
        for artist in self._artists:
            artist.remove()
        self._artists = ()

    def _draw(self) -> str:
        """Return what is visible of the figure as SVG."""
        assert self._figure is not None
        buffer = io.StringIO()
        with matplotlib.rc_context(_SVG):
            self._figure.savefig(buffer, format="svg", metadata={"Date": None})
        return buffer.getvalue()

    def still_html(self) -> str:
        """Return what a notebook shows before it is run: picture, words and table.

        Where a guess comes first, nothing of it answers the question.
        """
        return self._opening_html(_RUN_FIRST) if self.guess else self._html(self.result())

    def still_text(self) -> str:
        """Return the same as plain text."""
        return self._opening_text(_RUN_FIRST) if self.guess else self._text(self.result())

    def _opening(self, next_step: str) -> tuple[str, str]:
        """Return the words of the picture as it starts, "" without one, and what comes next."""
        words = self.guess.opening if self.guess else ""
        rest = "the numbers and the sliders" if words else "the picture, its numbers and its sliders"
        return words, next_step.format(rest=rest)

    def _opening_html(self, next_step: str) -> str:
        words, comes = (html.escape(part) for part in self._opening(next_step))
        told = f"<strong>{html.escape(self.scene.title)}{self._stop()}</strong>"
        if not words:
            return f"<p>{told} {comes}</p>"
        return (f'<figure style="margin:0">{self._image(self.result(), words)}'
                f"<figcaption>{told} {words} {comes}</figcaption></figure>")  # fmt: skip

    def _opening_text(self, next_step: str) -> str:
        told = (f"{self.scene.title}{self._stop()}", *self._opening(next_step))
        return " ".join(part for part in told if part)

    def _image(self, result: Any, words: str) -> str:
        picture = base64.b64encode(self.svg(result).encode()).decode()
        return (f'<img alt="{words}" style="max-width:100%;background:#fff" '
                f'src="data:image/svg+xml;base64,{picture}">')  # fmt: skip

    def _html(self, result: Any) -> str:
        words = html.escape(self.scene.describe(result))
        rows = "".join(
            '<tr><th scope="row" style="text-align:left;white-space:nowrap">'
            f'{html.escape(label)}</th><td style="text-align:left">{html.escape(value)}</td></tr>'
            for label, value in self.scene.table(result)
        )
        title, stop = html.escape(self.scene.title), self._stop()
        return (
            f'<figure style="margin:0">{self._image(result, words)}'
            f"<figcaption><strong>{title}{stop}</strong> {words}</figcaption></figure>"
            f'<table aria-label="{title}: numbers"><tbody>{rows}</tbody></table>'
        )

    def _text(self, result: Any) -> str:
        rows = [f"  {label}: {value}" for label, value in self.scene.table(result)]
        return "\n".join([f"{self.scene.title}{self._stop()} {self.scene.describe(result)}", *rows])

    def _stop(self) -> str:
        return "" if self.scene.title.endswith("?") else "."

    def refresh(self) -> None:
        """Draw the present values; an error is shown in words and raised again."""
        self.refreshes += 1
        try:
            bundle = self._bundle()
        except Exception as error:
            sentence = f"This setting cannot be drawn: {error} Move a slider or press Reset."
            self._show({"text/html": f'<p role="alert">{html.escape(sentence)}</p>',
                        "text/plain": sentence})  # fmt: skip
            raise
        self._show(bundle)

    def _bundle(self) -> dict[str, str]:
        if self.locked:
            return {"text/html": self._opening_html(_GUESS_FIRST),
                    "text/plain": self._opening_text(_GUESS_FIRST)}  # fmt: skip
        result = self.result()
        return {"text/html": self._html(result), "text/plain": self._text(result)}

    def _show(self, bundle: dict[str, str]) -> None:
        self.shown = bundle
        if self._handle is not None:
            self._handle.update(bundle, raw=True)

    def __repr__(self) -> str:
        return self._bundle()["text/plain"]

    def _ipython_display_(self) -> None:
        """Show the picture first, as an output that stays; then the controls, as an upgrade."""
        from IPython.display import display

        if os.environ.get("AUTOGRADE_MARKING", "") not in ("", "0"):
            return
        self.refresh()
        self._handle = display(self.shown, raw=True, display_id=f"explorer-{self._number}")
        try:
            self._panel = self._controls()
        except ImportError:
            self.look()  # no ipywidgets: the still picture, its words and table
            return
        display(self._panel)
        help_keys_and_names()

    def _controls(self) -> Any:
        """Return the widgets that go beside the picture, or under it."""
        from solarlib.explorers.panel import panel

        return panel(self)
