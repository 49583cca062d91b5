"""The paper edition: every lesson as a page to read, a workbook to print, a page to teach from.

In: the lesson texts and a card of own numbers. Out: a folder of HTML pages that need no network,
``NN_slug.html`` and ``NN_slug-workbook.html``, with the teacher's pages apart in
``for-teachers/``; where Chromium is installed, the workbooks as PDF too.
"""

from __future__ import annotations

from autograde.paper.command import main

__all__ = ["main"]
