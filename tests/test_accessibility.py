"""Can everybody use it? An audit of our pages in a real browser, contrast, and line styles in grey.

The audit runs over one lesson's pages on paper; AUDIT=all runs it over those of all lessons. The
lessons in JupyterLab are audited in `test_browser`, pages about a class in `test_classes`.
"""

from __future__ import annotations

import os
from functools import cache
from itertools import combinations

import pytest
from matplotlib.colors import to_rgba
from matplotlib.lines import Line2D
from matplotlib.text import Text

from autograde.paper import command
from solarlib import explorers
from tests import audit, lab
from tests.lesson_reading import LESSONS
from tests.picture_reading import whole

# formulas, a log, a signature, every kind of field but an order
ON_PAPER = LESSONS if os.environ.get("AUDIT") == "all" else ["05_heating_test"]


# --- the audit ---------------------------------------------------------------------------------
@lab.NEEDS_CHROMIUM
@pytest.mark.browser
def test_the_audit_finds_planted_faults(chromium):
    page = chromium.new_page()
    page.set_content(
        "<main><h1>Title</h1><p>text</p><ul><li>item</li></ul><img src='data:,'>"
        "<p style='color:#aaa;background:#fff'>pale</p><input></main>"
    )
    found = " ".join(audit.findings(page))
    assert all(rule in found for rule in ("image-alt", "color-contrast", "label"))
    page.close()


@lab.NEEDS_CHROMIUM
@pytest.mark.browser
def test_paper_pages_keep_nobody_out(chromium, tmp_path_factory):
    folder = tmp_path_factory.mktemp("paper") / "pages"
    command.write(folder, ON_PAPER)
    page = chromium.new_page(viewport={"width": 1000, "height": 900})
    found = {}
    for path in sorted(folder.rglob("*.html")):
        page.goto(path.as_uri())
        found[path.name] = audit.findings(page)
    page.close()
    assert len(found) >= 2 + 2 * len(ON_PAPER)
    assert not any(found.values()), found


# --- contrast ----------------------------------------------------------------------------------
# WCAG 2.2, success criteria 1.4.3 (text 4.5 : 1) and 1.4.11 (what a picture needs 3 : 1);
# relative luminance and contrast ratio as defined there, in "Terms"
TEXT, LINE = 4.5, 3.0


def luminance(colour):
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(colour, alpha=None, below=(1.0, 1.0, 1.0)):
    *rgb, own = to_rgba(colour)
    alpha = own if alpha is None else alpha
    seen = [alpha * c + (1 - alpha) * b for c, b in zip(rgb, below, strict=True)]
    low, high = sorted((luminance(seen), luminance(below)))
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_the_published_ratios():
    # WCAG: black on white is 21 : 1; #767676 on white is the lightest grey with 4.5 : 1 (WebAIM)
    assert contrast("black") == pytest.approx(21.0)
    assert contrast("#767676") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777") < TEXT


@cache
def drawn(name):
    """Return for the start and each preset the axes of an explorer with all that is seen."""
    explorer = getattr(explorers, name)()
    seen = []
    for move in ({}, *explorer.presets.values()):
        explorer.set(**{**explorer.start, **move})
        explorer.svg(explorer.result())
        with whole(explorer) as shown:
            for axes in shown:
                parts = [p for p in axes.findobj() if p.get_visible()]
                texts = [(t.get_text(), t.get_color(), t.get_alpha()) for t in parts
                         if isinstance(t, Text) and t.get_text().strip()]  # fmt: skip
                seen.append((texts, [look(line) for line in axes.lines if line.get_visible()]))
    return seen


def look(line: Line2D):
    stroke = line.get_linestyle() not in ("None", "") and len(line.get_xdata()) > 1
    marker = line.get_marker() if line.get_marker() not in ("None", "", " ") else None
    return {"label": line.get_label(), "colour": line.get_color(), "alpha": line.get_alpha(),
            "points": len(line.get_xdata()), "stroke": stroke, "marker": marker,
            "edge": line.get_markeredgecolor(), "width": line.get_linewidth(),
            "dashes": line._unscaled_dash_pattern}  # fmt: skip


@pytest.mark.parametrize("name", explorers.NAMES)
def test_words_and_lines_stand_out_from_the_paper(name):
    for texts, lines in drawn(name):
        for words, colour, alpha in texts:
            assert contrast(colour, alpha) >= TEXT, (words, colour)
        for line in lines:
            if line["stroke"]:
                assert contrast(line["colour"], line["alpha"]) >= LINE, line
            if line["marker"]:
                assert contrast(line["edge"], line["alpha"]) >= LINE, line


def lightness(colour):
    red, green, blue, _ = to_rgba(colour)
    return 0.299 * red + 0.587 * green + 0.114 * blue  # ITU-R BT.601, as a grey print makes of it


@pytest.mark.parametrize("name", explorers.NAMES)
def test_curves_are_told_apart_without_colour(name):
    """Two curves of one picture differ in dashes, marks, clearly in width, or in lightness."""
    for _, lines in drawn(name):
        curves = [line for line in lines if line["stroke"] and line["points"] > 2]  # no guide lines
        for one, two in combinations(curves, 2):
            thin, thick = sorted((one["width"], two["width"]))
            assert (
                one["dashes"] != two["dashes"]
                or one["marker"] != two["marker"]
                or thick >= 1.6 * thin
                or abs(lightness(one["colour"]) - lightness(two["colour"])) >= 0.25
            ), (one, two)


@pytest.mark.parametrize("name", explorers.NAMES)
def test_the_table_of_every_picture_has_heads_and_a_name(name):
    explorer = getattr(explorers, name)()
    explorer.refresh()
    shown = explorer.shown["text/html"]
    assert shown.count('<th scope="row"') >= len(explorer.scene.table(explorer.result()))
    assert "<table aria-label=" in shown
