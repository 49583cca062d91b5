"""An automated accessibility audit of an open page: what axe finds that keeps people out.

axe-core checks the rules of WCAG 2.2 level A and AA that a machine can check, and more of its own
(https://github.com/dequelabs/axe-core). A page without findings isn't therefore a good one.
"""

from __future__ import annotations

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
