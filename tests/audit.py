"""Two looks at a page: what in it keeps people out, and what in it could run.

axe-core checks the rules of WCAG 2.2 level A and AA that a machine can check, and more of its own
(https://github.com/dequelabs/axe-core). A page without findings isn't therefore a good one.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Any

OURS = [[".jp-RenderedMarkdown"], [".jp-OutputArea-output"]]  # the rest is JupyterLab's own
_KEEPS_OUT = ("serious", "critical")


def findings(page: Any, parts: list[list[str]] | None = None) -> list[str]:
    """Return the serious and critical findings, each with the first place where it is found.

    Parameters
    ----------
    page : an open page of Playwright. parts : selectors to look at; the whole page without.
    """
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, context={"include": parts} if parts else None).response
    assert len(found["passes"]) > 3, "the audit looked at nothing"
    return [
        f"{one['id']} ({one['impact']}), {len(one['nodes'])} times: {one['nodes'][0]['html'][:200]}"
        for one in found["violations"]
        if one["impact"] in _KEEPS_OUT
    ]


class _Tags(HTMLParser):
    """Counts the tags of a page and collects those that could run something."""

    def __init__(self) -> None:
        super().__init__()
        self.seen = 0
        self.bad: list[Any] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen += 1
        for name, value in attrs:
            link = re.sub(r"[\s\x00-\x1f]", "", value or "").lower()
            if name.startswith("on") or link.startswith(("javascript:", "data:text")):
                self.bad.append((tag, name, value))
        if tag in ("script", "iframe", "object", "embed", "svg"):
            self.bad.append(tag)


def could_run(page: str, fewest_tags: int = 10) -> list[Any]:
    """Return what could run in the body of a page, which must have some tags to look at."""
    reader = _Tags()
    reader.feed(page[page.index("<body") :])
    assert reader.seen > fewest_tags, "the page is as good as empty"
    return reader.bad
