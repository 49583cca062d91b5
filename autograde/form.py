"""The forms under a check: answer, pick or order without writing Python.

In: a `Result` or a `Question`. Out: the verdict as an ordinary cell output (kept
in the saved notebook) and, where ipywidgets is there, a form that checks again
and replaces the verdict in place. The only module here that imports ipywidgets.
"""

from __future__ import annotations

import asyncio
import html
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from solarlib.explorers.in_page import STYLE, help_keys_and_names

if TYPE_CHECKING:
    from autograde.check import Question
    from autograde.log import Entry
    from autograde.outdoors import Outdoors
    from autograde.verdict import Result

_TYPING_S = 0.25
_WIDE = {"width": "auto", "max_width": "46em"}
_NO_CLIP = {"description_width": "initial"}


def _bundle(result: Any) -> dict[str, str]:
    return {"text/html": result._repr_html_(), "text/plain": repr(result)}


WIDGET = "application/vnd.jupyter.widget-view+json"
COME_BACK = "Run this cell to get its box or sliders back."


def before_saving(model: dict[str, Any], **_: Any) -> None:
    """Put a sentence in the place of each widget in a notebook that Jupyter is about to save.

    Widgets live only as long as their kernel: reopened, they would say “model not found”. The
    open page keeps them. Jupyter's setting FileContentsManager.pre_save_hook names this function.
    """
    content = model.get("content")
    if model.get("type") != "notebook" or not isinstance(content, dict):
        return
    for cell in content.get("cells", []):
        for output in cell.get("outputs", []):
            if WIDGET in output.get("data", {}):
                output["data"] = {"text/plain": COME_BACK}


def show_result(result: Result) -> None:
    """Show a verdict in Jupyter and, when the exercise has one, its form."""
    from IPython.display import display

    from autograde.check import in_jupyter

    handle = display(_bundle(result), raw=True, display_id=True)
    if not in_jupyter():  # IPython in a terminal has no widgets
        return
    box = answer_form(result.exercise, lambda again: handle.update(_bundle(again), raw=True))
    if box is not None:
        display(_styled(box))
        help_keys_and_names()


def _styled(box: Any) -> Any:
    """Return a form together with the style that gives each option as many lines as it needs."""
    import ipywidgets as w

    return w.VBox([w.HTML(STYLE, layout={"display": "none"}), box])


def answer_form(exercise_id: str, show: Callable[[Result], None]) -> Any:
    """Return the form of an exercise; pressing its button hands the new result to `show`.

    None when ipywidgets is missing or the exercise has no form.
    """
    from autograde import log
    from autograde.check import CourseError, answer, card_of
    from autograde.lesson import LessonError, exercise

    try:
        import ipywidgets as w

        lesson, record = exercise(exercise_id)
        card = card_of(lesson)
    except (ImportError, LessonError, CourseError):
        return None
    made = _fields(w, lesson, record, card)
    if made is None:
        return None
    fields, read = made
    _fill(w, fields, record.kind, log.last(exercise_id))
    button = w.Button(description="Check my answer", tooltip=f"Check {record.title or record.name}")

    def press(_: Any) -> None:
        _soon(lambda: show(answer(exercise_id, read())))

    button.on_click(press)
    for box in (fields, *getattr(fields, "children", ())):
        if isinstance(box, w.Text):
            _on_enter(box, press)
    return w.VBox([fields, button])


def _fill(w: Any, fields: Any, kind: str, last: Entry | None) -> None:
    """Put the answer that is on record into a form that is shown again; a function's is too long."""
    given = last.answer if last is not None else None
    if not isinstance(given, str) or kind == "function":
        return
    boxes = [fields, *getattr(fields, "children", ())]
    letters = [part.strip() for part in given.split(",")]
    picks = [box for box in boxes if isinstance(box, w.RadioButtons | w.Dropdown)]
    for box, letter in zip(picks, letters, strict=False):  # steps may be missing
        if letter in (value for _, value in box.options):
            box.value = letter
    for box in boxes:
        if isinstance(box, w.Checkbox):
            box.value = box.description[:1] in letters
    if kind in ("number", "text", "own data"):
        boxes[-1].value = given


def _soon(action: Callable[[], None]) -> None:
    try:  # the browser sends what was typed last only after the key that ended it
        asyncio.get_running_loop().call_later(_TYPING_S, action)
    except RuntimeError:  # no loop: plain Python
        action()


def _on_enter(box: Any, press: Callable[[Any], None]) -> None:
    with warnings.catch_warnings():  # ipywidgets wants an observer instead, which would press
        warnings.simplefilter("ignore", DeprecationWarning)  # again whenever the box is left
        box.on_submit(press)


def _fields(w: Any, lesson: Any, record: Any, card: Any) -> tuple[Any, Callable[[], str]] | None:
    """Return the input widget of a record and a function that reads it as text."""
    kind = record.kind
    if kind == "number":
        bare = record.is_share or record.unit in ("1", "suns", "clock")
        example = record.example(card)
        if record.is_share:
            example += f" or {float(example.removesuffix(' %')) / 100:g}"
        text = w.Text(
            description="Your answer:" if bare else "Your answer with its unit:",
            placeholder=f"such as {example}",
            style=_NO_CLIP,
            layout=_WIDE,
        )
        fields = w.VBox([_tool(w, record.tool, card), text]) if record.tool else text
        return fields, lambda: text.value
    if kind == "choice" and not record.several:
        radio = w.RadioButtons(
            options=_lettered(record.options), value=None, description="Pick one:", layout=_WIDE
        )
        return radio, lambda: radio.value or ""
    if kind == "choice":
        boxes = {letter: w.Checkbox(description=f"{letter}  {text}", indent=False, layout=_WIDE)
                 for letter, text in record.options.items()}  # fmt: skip
        return w.VBox(list(boxes.values())), lambda: ", ".join(
            k for k, b in boxes.items() if b.value
        )
    if kind == "order":
        menus = [w.Dropdown(options=[("choose a step", ""), *_lettered(record.items)],
                            description=f"Step {place}:", layout=_WIDE)
                 for place in range(1, len(record.items) + 1)]  # fmt: skip
        return w.VBox(menus), lambda: ", ".join(m.value for m in menus if m.value)
    if kind == "function":
        return _rule(w, lesson, record)
    if kind == "own data" and record.accepts:
        return _upload(w, record)
    if kind in ("text", "own data"):
        what = "Your text:" if kind == "text" else "Your data, or a file’s name or text:"
        area = w.Textarea(description=what, rows=6, style=_NO_CLIP, layout=_WIDE)
        return area, lambda: area.value
    return None


def _rule(w: Any, lesson: Any, record: Any) -> tuple[Any, Callable[[], str]]:
    """Return a box for one rule, with the names that may stand in it."""
    from autograde.lesson import handed_out

    start = handed_out(lesson.slug, record.name)
    marked = record.marked_line(start)
    names = record.usable(start) if marked else record.arguments
    listed = ", ".join(f"<code>{html.escape(name)}</code>" for name in names)
    told = w.HTML(f"<p style=\"margin:0\">You may use {listed}, numbers, and + − * / ** ( ).</p>")
    left = marked.partition(" = ")[0] if marked else record.signature
    rule = w.Text(description=f"{left} =", placeholder="the rule that stands here instead",
                  style=_NO_CLIP, layout=_WIDE)  # fmt: skip
    return w.VBox([told, rule]), lambda: rule.value


def _tool(w: Any, tool: Any, card: Any) -> Any:
    """Return boxes with a button that works something out; what it says stands below."""
    from solarlib import units

    boxes = {label: w.Text(description=label, placeholder=f"in {units.label(unit)}",
                           style=_NO_CLIP, layout={"width": "22em"})
             for label, unit in tool.inputs.items()}  # fmt: skip
    told = w.HTML('<p role="status"></p>')

    def said() -> str:
        values = []
        for label, unit in tool.inputs.items():
            try:
                values.append(units.parse(boxes[label].value, unit).value)
            except units.UnitError as error:
                return f"{label} {error}"
        try:
            return str(tool.work(card, *values))
        except ValueError as error:
            return str(error)

    def show() -> None:
        told.value = f'<p role="status">{html.escape(said())}</p>'

    button = w.Button(description=tool.button, layout={"width": "auto", "align_self": "flex-start"})
    for box in boxes.values():
        _on_enter(box, lambda _: _soon(show))
    button.on_click(lambda _: _soon(show))
    return w.VBox([*boxes.values(), button, told])


def _upload(w: Any, record: Any) -> tuple[Any, Callable[[], str]]:
    """Return a button that takes in a file, with a box that shows its text or takes a pasted one."""
    from autograde import own_file

    choose = w.FileUpload(accept=record.accepts, multiple=False, description="Choose your file",
                          tooltip=f"Choose a file for {record.title or record.name}",
                          layout={"width": "auto", "align_self": "flex-start"})  # fmt: skip
    told = w.HTML('<p role="status">Choose a file, or write its name or its text below.</p>')
    area = w.Textarea(description="Its name or text:", rows=8, style=_NO_CLIP, layout=_WIDE)

    def take(change: Any) -> None:
        for file in change["new"]:
            taken = own_file.take_in(file["name"], bytes(file["content"]), record.accepts)
            area.value = taken.text
            told.value = f'<p role="status">{html.escape(taken.says)}</p>'

    choose.observe(take, "value")
    return w.VBox([choose, told, area]), lambda: area.value


def _lettered(options: Any) -> list[tuple[str, str]]:
    return [(f"{letter}  {text}", letter) for letter, text in options.items()]


def show_question(question: Question) -> None:
    """Show a prediction with its options; picking one records it at once."""
    from IPython.display import display

    def bundle(words: str) -> dict[str, str]:
        return {
            "text/html": f'<p role="status"><strong>Predict first.</strong> '
            f"{html.escape(question.question)}<br>{html.escape(words)}</p>",
            "text/plain": repr(question),
        }

    guess = question.answer
    handle = display(
        bundle(f"Your guess: {guess}." if guess else "No guess yet. It is never marked."),
        raw=True,
        display_id=True,
    )
    try:
        import ipywidgets as w
    except ImportError:
        return
    radio = w.RadioButtons(
        options=_lettered(question.options), value=guess, description="Your guess:", layout=_WIDE
    )
    radio.observe(
        lambda change: handle.update(bundle(question.record(change["new"])), raw=True), "value"
    )
    display(_styled(radio))
    help_keys_and_names()


def show_outdoors(lock: Outdoors) -> None:
    """Show steps for outdoors; while they are not open, a box for the adult who signs."""
    from IPython.display import display

    from autograde.outdoors import sign

    handle = display(_bundle(lock), raw=True, display_id=True)
    try:
        import ipywidgets as w
    except ImportError:
        return
    if lock.state()[0]:
        return
    initials = w.Text(description="Initials of the adult in charge:", style=_NO_CLIP,
                      layout={"width": "22em"})  # fmt: skip
    button = w.Button(description="I am in charge and sign for today", layout={"width": "auto"},
                      tooltip="Open the steps for today")  # fmt: skip
    told = w.HTML()

    def press(_: Any) -> None:
        told.value = f'<p role="status">{html.escape(sign(initials.value))}</p>'
        handle.update(_bundle(lock), raw=True)

    button.on_click(press)
    display(w.VBox([w.HBox([initials, button], layout={"flex_flow": "row wrap"}), told]))
