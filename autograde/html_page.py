"""How a static page about a class is put together: calm, readable by a screen reader, without scripts.

In: texts, rows, figures. Out: HTML in which whatever a learner wrote stands as words.
"""

from __future__ import annotations

import base64
import html
import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from solarlib.files import write_whole

_STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:60em;margin:2em auto;padding:0 1em;color:#1a1a1a;"
    "background:#fff}table{border-collapse:collapse;margin:1em 0}th,td{border:1px solid #767676;"
    "padding:.2em .6em;text-align:left;vertical-align:top}img{max-width:100%}figure{margin:1em 0}"
    "caption{text-align:left;font-weight:bold}.told{white-space:pre-line}"
    "pre{white-space:pre-wrap;overflow-wrap:anywhere;background:#f3f3f3;padding:.5em .8em}"
    "a{color:#0645ad}.whole{white-space:nowrap}"
)


def e(text: Any) -> str:
    """Return text as it may stand in a page."""
    return html.escape(str(text))


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table; the cells are HTML, the first of each row is its heading."""
    head = "".join(f"<th scope=col>{e(one)}</th>" for one in heads)
    body = "".join(f"<tr><th scope=row>{first}</th>" + "".join(f"<td>{cell}</td>" for cell in rest)
                   + "</tr>" for first, *rest in rows)  # fmt: skip
    return (f"<table><caption>{e(caption)}</caption><thead><tr>{head}</tr></thead>"
            f"<tbody>{body}</tbody></table>")  # fmt: skip


def link(target: str, text: str) -> str:
    """Return a link to a file beside the page."""
    return f'<a href="{e(quote(target))}">{e(text)}</a>'


def picture(figure: Any, words: str) -> str:
    """Return a figure with the same in words."""
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=110)
    data = base64.b64encode(buffer.getvalue()).decode()
    return (f'<figure><img alt="{e(words)}" src="data:image/png;base64,{data}">'
            f"<figcaption>{e(words)}</figcaption></figure>")  # fmt: skip


def write_page(path: Path, title: str, body: str) -> Path:
    """Write a whole page and return where."""
    text = (f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{e(title)}</title>'
            f"<style>{_STYLE}</style></head><body><main><h1>{e(title)}</h1>{body}</main></body>"
            "</html>\n")  # fmt: skip
    write_whole(path, text.encode())
    return path
