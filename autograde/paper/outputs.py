"""What the course's own code cells show: the card of own numbers and the worked numbers.

In: a lesson's `Source` and a card. Out: cell name -> HTML. No answer cell is run, so no solution
can come out, and checks and predictions do nothing: the learner's log is left alone.
"""

from __future__ import annotations

import ast
import contextlib
import io
from typing import Any

from autograde.lesson import LessonError, Source, exercise, load_key
from autograde.numbers import Numbers
from autograde.outdoors import NO_PERMISSION, Outdoors
from autograde.paper.text import escape


def run_cells(source: Source, card: Numbers) -> dict[str, str]:
    """Run the course's own code cells for a card; return cell name -> HTML of what they show.

    Checks, predictions and the learner's log are left alone: their calls do nothing here.

    Raises
    ------
    LessonError : a cell stopped; names file, line and reason.
    """

    space: dict[str, Any] = {
        "numbers": lambda _slug: card,
        "outdoors": lambda *steps, first: Outdoors(steps, tuple(first)),
    }
    shown = {}
    with contextlib.chdir(source.folder):
        for cell in source.cells:
            if cell.kind != "code":
                continue
            out = io.StringIO()
            try:
                with contextlib.redirect_stdout(out):
                    value = _run(cell.source, space)
            except Exception as error:
                where = f"{source.folder / 'lesson.py'}:{cell.line}"
                raise LessonError(f"{where}: {type(error).__name__}: {error}") from error
            shown[cell.name] = _printed(out.getvalue()) + _value(value)
    return shown


def _nothing(*_: Any, **__: Any) -> None:
    return None


def _run(code: str, space: dict[str, Any]) -> Any:
    """Run a cell; return the value of its last line.

    What it imports from autograde is about a learner at a computer and does nothing here.
    """
    tree = ast.parse(code)
    for node in list(tree.body):
        if isinstance(node, ast.ImportFrom) and node.module == "autograde":
            tree.body.remove(node)
            for alias in node.names:
                space.setdefault(alias.asname or alias.name, _nothing)
    last = tree.body[-1] if tree.body else None
    if not isinstance(last, ast.Expr):
        exec(compile(tree, "lesson.py", "exec"), space)
        return None
    tree.body.pop()
    exec(compile(tree, "lesson.py", "exec"), space)
    return eval(compile(ast.Expression(last.value), "lesson.py", "eval"), space)


def _printed(text: str) -> str:
    return f"<pre>{escape(text.rstrip())}</pre>\n" if text.strip() else ""


def _value(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Outdoors):
        return _outdoors(value)
    return card_table(value) if isinstance(value, Numbers) else _printed(repr(value))


def _outdoors(lock: Outdoors) -> str:
    """Return steps for outdoors with what comes first, to tick, and where the adult signs."""
    ticks = "".join(f"<li>☐ {escape(_whole(name))}</li>" for name in lock.first)
    steps = "".join(f"<li>{escape(step)}</li>" for step in lock.steps)
    return (
        "<p>Complete before going out, or the adult in charge, who knows the work, signs for the "
        f'day:</p><ul class="ticks">{ticks}</ul><p class="who">Signed <span class="blank"></span> '
        f'on <span class="blank short"></span></p><p>{NO_PERMISSION}</p><ol>{steps}</ol>\n'
    )


def _whole(name: str) -> str:
    """Return an exercise ("start.rules") or a whole lesson ("hazards") in words."""
    lesson = load_key(name.partition(".")[0])
    what = exercise(name)[1].title if "." in name else "all exercises"
    return f"lesson {lesson.number:02d}, {lesson.title}: {what}"


def card_table(card: Numbers) -> str:
    """Return a card of own numbers as a table, "" when it holds none."""
    rows = "".join(
        f'<tr><th scope="row">{escape(label)}</th><td>{escape(card.shown(name))}</td></tr>'
        for name, (_, _, label) in card.as_dict().items()
    )
    if not rows:
        return ""
    return ('<table><caption>Your own numbers</caption><thead><tr><th scope="col">what</th>'
            f'<th scope="col">value</th></tr></thead><tbody>{rows}</tbody></table>\n')  # fmt: skip
