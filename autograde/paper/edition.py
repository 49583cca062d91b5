"""A lesson on paper, from the same text as its notebook: to read, to fill in, and to teach from.

In: a lesson's `Source` and a card of own numbers. Out: three pages of HTML. Only the teacher's
page holds answers; they are computed by the key from the card that the pages show.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from autograde.cells import LEFT_OUT, Cell
from autograde.key import Exercise, Function, Lesson, Prediction
from autograde.lesson import Source
from autograde.numbers import Numbers
from autograde.paper import fields, pictures
from autograde.paper.outputs import card_table, run_cells
from autograde.paper.page import contents, page
from autograde.paper.text import escape, to_html

_PREDICT = re.compile(r"""predict\(\s*["'][\w]+\.(\w+)["']""")
_HANDS_ON = re.compile(r"^#+ (Hands-on.*)$", re.MULTILINE)
_WHO = ('<p class="who">Name <span class="blank"></span> Date <span class="blank short"></span>'
        ' Group <span class="blank short"></span></p>\n')  # fmt: skip
_ON_PAPER = ("This is the workbook for paper. Sliders have become printed pictures, boxes have "
             "become lines. Take a pencil, a ruler and a calculator. What the text says about "
             "cells, forms and checks belongs to the notebook: on paper, skip it.")  # fmt: skip


def title_of(lesson: Lesson) -> str:
    """Return number and title of a lesson, such as "01 Parabola"."""
    return f"{lesson.number:02d} {lesson.title}"


@dataclass(frozen=True)
class Edition:
    """One lesson with one card of own numbers; `who` is the id of the learner it belongs to."""

    source: Source
    card: Numbers
    who: str = ""

    @property
    def title(self) -> str:
        """Number and title of the lesson."""
        return title_of(self.source.key)

    def lesson(self) -> str:
        """Return the page for reading, on a screen or with a screen reader."""
        links, body = contents("".join(self._cells(for_print=False)))
        end = body.index("</h1>") + len("</h1>")
        return page(self.title, body[:end] + links + body[end:])

    def workbook(self, size: str = "A4") -> str:
        """Return the page for printing and filling in, for paper of this size."""
        body = "".join(self._cells(for_print=True))
        whose = f"<p><strong>Numbers of {escape(self.who)}.</strong></p>" if self.who else ""
        before = f"{_WHO}{whose}<p>{_ON_PAPER}</p>\n"
        return page(f"{self.title}, workbook", body, before, size)

    def teacher(self, size: str = "A4") -> str:
        """Return the teacher's page with the answers for this card."""
        text = self.source.folder / "teacher.md"
        words = to_html(text.read_text(encoding="utf-8")) if text.is_file() else (
            f"<h1>{escape(self.title)}: teacher's page</h1>")  # fmt: skip
        whose = f"the card of {escape(self.who)}" if self.who else "the card shown here"
        body = f"{words}<h2>Answers for {whose}</h2>{card_table(self.card)}{self._answers()}"
        return page(f"{self.title}, teacher's page", body, size=size)

    # --- the cells in their order ---------------------------------------------------------------
    def _cells(self, for_print: bool) -> list[str]:
        made: list[str] = []
        asked: set[str] = set()
        above = hands_on = ""
        ran = run_cells(self.source, self.card)
        for cell in self.source.cells:
            if cell.kind == "text":
                if hands_on and cell.source.startswith("## "):  # the part on it ends here
                    made.append(fields.hands_on_table(hands_on))
                    hands_on = ""
                above = cell.source
                made.append(to_html(above))
                if for_print and (found := _HANDS_ON.search(above)):
                    hands_on = found[1]
            elif cell.kind == "code":
                made.append(ran[cell.name] + ("" if for_print else _folded(cell.source)))
            elif cell.kind == "answer" and not for_print:
                made.append(self._start(cell))
            for record in self._asked_by(cell):
                if record.name not in asked:
                    asked.add(record.name)
                    field = self._field(record, above, for_print)
                    made.append(f'<div class="together">{made.pop()}{field}</div>\n')
            if cell.kind == "explorer":
                made.append(pictures.to_html(cell.name, grey=for_print))
        return made

    def _asked_by(self, cell: Cell) -> list[Exercise]:
        """Return the exercises for which a cell has a field."""
        if cell.kind in ("check", "predict", "write"):
            return [self.source.key.exercise(cell.name)]
        if cell.kind == "explorer":
            return [self.source.key.exercise(name) for name in _PREDICT.findall(cell.source)]
        return []

    def _field(self, record: Exercise, above: str, for_print: bool) -> str:
        if for_print:
            start = next((c.released for c in self.source.cells
                          if c.kind == "answer" and c.name == record.name), "")  # fmt: skip
            return fields.on_paper(record, above, start)
        return fields.on_screen(record, self.source.key.id(record), above)

    def _start(self, cell: Cell) -> str:
        """Return the start of a function to write; other answer cells hold only an empty name."""
        record = next((e for e in self.source.key if e.name == cell.name), None)
        return _folded(cell.released) if isinstance(record, Function) else ""

    # --- what a key gives -----------------------------------------------------------------------
    def _answers(self) -> str:
        solved = {c.name: c.source for c in self.source.cells if c.kind == "answer"}
        rows = "".join(
            f'<tr><th scope="row">{escape(e.title or e.name)}</th><td>{e.points:g}</td>'
            f"<td>{self._answer(e, solved.get(e.name, ''))}</td></tr>"
            for e in self.source.key
            if not isinstance(e, Prediction)
        )
        heads = "".join(f'<th scope="col">{h}</th>' for h in ("exercise", "points", "answer"))
        return (f"<table><caption>{escape(self.title)}: answers</caption><thead><tr>{heads}</tr>"
                f"</thead><tbody>{rows}</tbody></table>\n")  # fmt: skip

    def _answer(self, record: Exercise, solved: str) -> str:
        if words := record.solution(self.card):
            return escape(words)
        if isinstance(record, Function) and solved and LEFT_OUT not in solved:
            lines = [line for line in solved.splitlines() if not line.lstrip().startswith("###")]
            return f"<pre>{escape(chr(10).join(lines))}</pre>"
        return "differs from learner to learner; see the solved notebook"


def _folded(code: str) -> str:
    return ("<details><summary>For those who code</summary>"
            f"<pre><code>{escape(code)}</code></pre></details>\n")  # fmt: skip
