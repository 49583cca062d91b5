"""Lesson 01 without a mouse: run it, guess, move a slider, answer, with keys alone."""

from __future__ import annotations

import pytest

from autograde import workspace
from tests import lab

pytestmark = [lab.NEEDS_CHROMIUM, pytest.mark.browser, pytest.mark.timeout(600)]

MOST_TABS = 40  # key presses from a cell's frame to anything inside its output
# arrow keys pass over a cell whose code is folded away; Tab from the text above it goes in
BEFORE_EXPLORER = "## Explore: curve and focus"
# the frame of our style; #0b4a8f on white has 9 : 1, WCAG 1.4.11 asks 3 : 1
FRAME = "() => { const s = getComputedStyle(document.activeElement); " \
        "return `${s.outlineStyle} ${s.outlineWidth} ${s.outlineColor}`; }"  # fmt: skip
FOCUSED = "() => { const e = document.activeElement; return e ? e.matches('%s') : false; }"


@pytest.fixture(scope="module")
def lesson(chromium, tmp_path_factory):
    folder = tmp_path_factory.mktemp("keys") / "course"
    workspace.prepare(folder)
    workspace.settle(folder)
    log = tmp_path_factory.mktemp("log") / "lab.log"
    with lab.server(folder, log) as address:
        opened = lab.Lesson(chromium, address, "01_parabola.ipynb")
        opened.page.wait_for_function("() => document.activeElement.closest('.jp-Notebook')")
        opened.page.evaluate("() => { window.presses = 0; "
                             "addEventListener('pointerdown', () => window.presses++, true); }")
        yield opened
        assert opened.page.evaluate("() => window.presses") == 0, "a mouse was used"


def press(lesson, *keys):
    for key in keys:
        lesson.page.keyboard.press(key)


def active(lesson):
    """Return the place of the selected cell in the notebook."""
    return lesson.page.evaluate(
        "() => window.jupyterapp.shell.currentWidget.content.activeCellIndex"
    )


def go_to(lesson, words):
    """Select with the arrow keys the cell whose text holds `words`; return its place."""
    texts = lesson.page.evaluate(
        "() => window.jupyterapp.shell.currentWidget.content.widgets"
        ".map(cell => cell.model.sharedModel.source)"
    )
    wanted = next(k for k, text in enumerate(texts) if words in text)
    if lesson.page.evaluate(FOCUSED % "input, button, .noUi-handle"):
        tab_to(lesson, ".jp-Cell", "Shift+Tab")  # out of a form: back to its cell
    press(lesson, "Escape")
    for _ in range(2 * len(texts)):
        if active(lesson) == wanted:
            break
        press(lesson, "ArrowDown" if active(lesson) < wanted else "ArrowUp")
    assert active(lesson) == wanted
    return wanted


def tab_to(lesson, what, key="Tab"):
    """Press Tab until something that matches the selector has the focus, which must show."""
    for _ in range(MOST_TABS):
        press(lesson, key)
        if lesson.page.evaluate(FOCUSED % what):
            if ".jp-Cell" not in what:
                assert lesson.page.evaluate(FRAME) == "solid 3px rgb(11, 74, 143)"
            return
    pytest.fail(f"{key} does not reach {what}")


def test_every_cell_runs_with_shift_and_enter(lesson):
    press(lesson, "Escape", "Control+Home")
    cells = lesson.page.evaluate(
        "() => window.jupyterapp.shell.currentWidget.content.widgets.length"
    )
    go_to(lesson, "# 01 Parabola")
    for _ in range(cells - 1):
        press(lesson, "Shift+Enter")
        lesson.page.wait_for_timeout(100)
    counts = "() => [...document.querySelectorAll('.jp-InputPrompt')].some(" \
             "e => e.textContent.includes('*'))"  # fmt: skip
    assert lesson.until(lambda: not lesson.page.evaluate(counts), 120)
    assert active(lesson) == cells - 1
    assert lesson.trouble() == []


def test_guess_slider_and_number_box_by_keys(lesson):
    go_to(lesson, BEFORE_EXPLORER)
    cell = lesson.cell("explore_curve_and_focus")
    tab_to(lesson, "input[type=radio]")
    press(lesson, "Space", "ArrowDown", "ArrowDown")
    picked = "() => document.activeElement.matches(':checked') && " \
             "document.activeElement.parentElement.textContent"  # fmt: skip
    assert "all three" in (lesson.page.evaluate(picked) or "")  # each option can be reached
    tab_to(lesson, "button:not([disabled])")
    press(lesson, "Enter")
    assert lesson.until(lambda: "You guessed: all three" in cell.inner_text(), 20)
    before = lesson.picture(cell)
    tab_to(lesson, ".noUi-handle")
    press(lesson, "ArrowLeft", "ArrowLeft")
    assert lesson.until(lambda: lesson.picture(cell) != before, 20)
    before = lesson.picture(cell)
    tab_to(lesson, "input[type=number]")
    press(lesson, "Control+a")
    lesson.page.keyboard.type("300")
    press(lesson, "Enter")
    assert lesson.until(lambda: "300 millimetres wide" in lesson.picture(cell), 20)
    assert lesson.picture(cell) != before


def test_boxes_and_buttons_have_names_that_can_be_said(lesson):
    cell = lesson.cell("explore_curve_and_focus")
    for name in ("width of the opening (mm)", "focal length (mm)", "rays drawn"):
        assert cell.get_by_role("spinbutton", name=name).count() == 1, name
        assert cell.get_by_role("slider", name=name).count() == 1, name
    assert cell.get_by_role("button", name="Reset").count() == 1


def test_letters_on_a_slider_leave_the_notebook_alone(lesson):
    cells = "() => window.jupyterapp.shell.currentWidget.content.widgets.length"
    before = lesson.page.evaluate(cells)
    go_to(lesson, BEFORE_EXPLORER)
    tab_to(lesson, ".noUi-handle")
    press(lesson, "d", "d", "a", "b", "x", "m", "y", "v")
    lesson.page.wait_for_timeout(500)
    assert lesson.page.evaluate(cells) == before


def test_an_answer_by_keys(lesson):
    go_to(lesson, 'check("parabola.depth"')
    cell = lesson.cell('check("parabola.depth"')
    tab_to(lesson, "input[type=text]")
    lesson.page.keyboard.type("150.6 mm")
    press(lesson, "Enter")
    assert lesson.until(lambda: "Right" in cell.inner_text(), 20)
    assert spoken(lesson, "Right: Depth of the rib")
    lesson.shot("keyboard")
    assert lesson.trouble() == []


def spoken(lesson, words):
    """Tell whether the browser hands these words to screen readers in a part that speaks up."""
    session = lesson.page.context.new_cdp_session(lesson.page)
    nodes = {n["nodeId"]: n for n in session.send("Accessibility.getFullAXTree")["nodes"]}
    session.detach()

    def text(node):
        own = node.get("name", {}).get("value", "") if not node.get("childIds") else ""
        inner = [text(nodes[k]) for k in node.get("childIds", []) if k in nodes]
        return " ".join(" ".join([own, *inner]).split()).replace(" :", ":")

    def live(node):
        return any(p["name"] == "live" and p["value"]["value"] == "polite"
                   for p in node.get("properties", []))  # fmt: skip

    return any(words in text(node) for node in nodes.values() if live(node))
