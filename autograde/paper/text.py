"""Lesson text into HTML: Markdown, its tables with captions, its formulas as MathML.

In: the Markdown of a cell. Out: HTML that a screen reader can read and that loads nothing from
the network. Formulas between $ or $$ become MathML, which browsers draw by themselves.
"""

from __future__ import annotations

import html
import re
from typing import Any

import mistune
from latex2mathml.converter import convert

_FORMULA = r"\$\$(?P<block>[\s\S]+?)\$\$|\$(?=\S)(?P<inline>[^$\n]+?)(?<=\S)\$"
_OTHER_PAGE = re.compile(r"^(?P<name>\w+)\.(ipynb|md)$")


class _Html(mistune.HTMLRenderer):
    """HTML in which every table has a caption: the heading above it and the names of its columns."""

    def __init__(self) -> None:
        super().__init__(escape=True)
        self._heading = ""

    def heading(self, text: str, level: int, **attrs: Any) -> str:
        self._heading = re.sub(r"<[^>]+>", "", text)
        return super().heading(text, level)

    def caption(self, heads: list[str]) -> str:
        """Return the caption of a table with these column heads."""
        return ": ".join(part for part in (self._heading, ", ".join(heads)) if part)

    def link(self, text: str, url: str, title: str | None = None) -> str:
        """Let a link to a notebook or a text beside it lead to the page made of it."""
        return super().link(text, _OTHER_PAGE.sub(r"\g<name>.html", url), title)


def _table(renderer: _Html, text: str) -> str:
    heads = re.findall(r'<th scope="col">(.*?)</th>', text)
    return f"<table><caption>{renderer.caption(heads)}</caption>\n{text}</table>\n"


def _head_cell(renderer: _Html, text: str, align: str | None = None, head: bool = False) -> str:
    return f'<th scope="col">{text}</th>\n' if head else f"<td>{text}</td>\n"


def _read_formula(inline: Any, match: re.Match[str], state: Any) -> int:
    display = "block" if match["block"] else "inline"
    words = " ".join((match["block"] or match["inline"]).split())
    state.append_token({"type": "formula", "raw": words, "attrs": {"display": display}})
    return match.end()


def _formula(renderer: _Html, text: str, display: str) -> str:
    return convert(text, display=display)


def to_html(markdown: str) -> str:
    """Return the HTML of a Markdown text."""
    renderer = _Html()
    reader = mistune.create_markdown(renderer=renderer, plugins=["table"])
    reader.inline.register("formula", _FORMULA, _read_formula, before="escape")
    renderer.register("formula", _formula)
    renderer.register("table", _table)
    renderer.register("table_cell", _head_cell)
    return str(reader(markdown))


def escape(text: Any) -> str:
    """Return a text as it may stand in HTML."""
    return html.escape(str(text))


def heading(markdown: str) -> str:
    """Return the first heading of a Markdown text, "" without one."""
    found = re.search(r"^#+ (.+)$", markdown, re.MULTILINE)
    return found[1].strip() if found else ""
