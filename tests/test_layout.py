"""Where things stand on a page: every option is read whole, sliders are seen with their picture, and
nothing answers a question before it is asked. In a real JupyterLab, on notebooks made for it: one
with all options of the course, one with all explorers.
"""

from __future__ import annotations

import json

import pytest

from autograde import lesson, workspace
from autograde.key import Choice, Prediction
from tests import lab
from tests.lesson_reading import LESSONS

pytestmark = [lab.NEEDS_CHROMIUM, pytest.mark.browser, pytest.mark.timeout(600)]

START = "from autograde import check, predict\nfrom solarlib import explorers"
# the window of many a school laptop, and a narrow one
LAPTOP, NARROW = {"width": 1366, "height": 768}, {"width": 800, "height": 768}
TALL = 30_000  # JupyterLab draws only what is near the screen
EDGE = 1.0  # px: rounding of boxes


def options_asked():
    """Every choice and prediction of the course, as the call that shows its options."""
    for name in LESSONS:
        key = lesson.load_key(name)
        for record in key:
            if isinstance(record, Choice | Prediction):
                call = "predict" if isinstance(record, Prediction) else "check"
                yield f'{call}("{key.id(record)}")', len(record.options)


def explorer_calls():
    """Every explorer of the course, as its lesson calls it."""
    for name in LESSONS:
        for cell in lesson.load(name).cells:
            if cell.kind == "explorer":
                yield cell.source.strip().splitlines()[-1]


CALLS = list(explorer_calls())
ASKING = [call for call in CALLS if "predict(" in call]


def write(path, calls):
    cells = [{"cell_type": "code", "id": f"c{k}", "metadata": {}, "source": source, "outputs": [],
              "execution_count": None} for k, source in enumerate([START, *calls])]  # fmt: skip
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    path.write_text(json.dumps({"cells": cells, "metadata": kernel, "nbformat": 4,
                                "nbformat_minor": 5}))  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("layout") / "course"
    made.mkdir()
    workspace.settle(made)
    write(made / "options.ipynb", [call for call, _ in options_asked()])
    write(made / "explorers.ipynb", CALLS)
    return made


@pytest.fixture(scope="module")
def address(folder, tmp_path_factory):
    with lab.server(folder, tmp_path_factory.mktemp("log") / "lab.log") as url:
        yield url


# --- options -----------------------------------------------------------------------------------
# for each option: is its button to be seen and on top, do its lines stay in its own box
OPTIONS = """() => {
  const labels = [...document.querySelectorAll('.widget-radio-box label, .widget-checkbox label')]
    .filter(label => label.querySelector('input'));
  const boxes = labels.map(label => label.getBoundingClientRect());
  const found = [];
  labels.forEach((label, k) => {
    const button = label.querySelector('input').getBoundingClientRect();
    const x = button.x + button.width / 2, y = button.y + button.height / 2;
    if (button.width < 10 || document.elementFromPoint(x, y) !== label.querySelector('input'))
      found.push('no button: ' + label.textContent);
    const words = document.createRange();
    words.selectNodeContents(label);
    for (const line of words.getClientRects()) {
      if (line.bottom > boxes[k].bottom + EDGE || line.right > innerWidth)
        found.push('out of its box: ' + label.textContent);
      boxes.forEach((box, other) => {
        if (other !== k && line.top < box.bottom - EDGE && line.bottom > box.top + EDGE
            && line.left < box.right && line.right > box.left)
          found.push('over another: ' + label.textContent);
      });
    }
  });
  return [labels.length, found];
}""".replace("EDGE", str(EDGE))


@pytest.fixture(scope="module")
def options(chromium, address):
    opened = lab.Lesson(chromium, address, "options.ipynb")
    opened.page.set_viewport_size({"width": 1280, "height": TALL})
    opened.run_all()
    yield opened
    opened.page.close()


@pytest.mark.parametrize("width", [1280, 800])
def test_every_option_of_the_course_is_read_whole(options, width):
    options.page.set_viewport_size({"width": width, "height": TALL})
    wanted = sum(count for _, count in options_asked())
    assert options.until(lambda: options.page.evaluate(OPTIONS)[0] == wanted, 30)
    assert options.page.evaluate(OPTIONS)[1] == []
    options.shot(f"options-{width}")
    assert options.trouble() == []


def test_the_look_at_options_finds_one_that_hides_the_next(options):
    """Without our style the front end's own height of one line is back."""
    options.page.evaluate("""() => document.querySelectorAll('.widget-html style')
                          .forEach(style => { style.disabled = true; })""")  # fmt: skip
    found = options.page.evaluate(OPTIONS)[1]
    options.page.evaluate("""() => document.querySelectorAll('.widget-html style')
                          .forEach(style => { style.disabled = false; })""")  # fmt: skip
    assert any("plumber" in words and "over another" in words for words in found), found


# --- explorers ---------------------------------------------------------------------------------
# what is seen of a cell's output in the window, and whether anything must be scrolled sideways
SEEN = """area => {
  area.scrollIntoView({block: 'start'});
  const pane = area.closest('.jp-WindowedPanel-outer, .jp-NotebookPanel-notebook')
    .getBoundingClientRect();
  const outside = [...area.querySelectorAll('figure img, .noUi-target, input')].filter(part => {
    const box = part.getBoundingClientRect();
    return box.width < 10 || box.top < pane.top - EDGE || box.bottom > innerHeight + EDGE
      || box.left < pane.left - EDGE || box.right > pane.right + EDGE;
  });
  const sideways = [area, ...area.querySelectorAll('*')].filter(part =>
    part.scrollWidth > part.clientWidth + EDGE
    && ['auto', 'scroll'].includes(getComputedStyle(part).overflowX));
  return [outside.map(part => part.className || part.tagName), sideways.map(part => part.className)];
}""".replace("EDGE", str(EDGE))


@pytest.fixture(scope="module")
def page(chromium, address):
    opened = lab.Lesson(chromium, address, "explorers.ipynb")
    opened.page.set_viewport_size(LAPTOP)
    opened.run_all()
    yield opened
    opened.page.close()


def output_of(page, call):
    return page.cell(call.partition("(")[0] + "(").locator(".jp-Cell-outputArea")


def seen(page, call):
    page.page.wait_for_timeout(200)
    return output_of(page, call).evaluate(SEEN)


def test_before_the_guess_there_is_a_question_and_nothing_that_answers_it(page):
    assert len(ASKING) >= 14
    for call in ASKING:
        area = output_of(page, call)
        assert page.until(area.get_by_role("button", name="Keep my guess").is_visible, 20), call
        assert area.get_by_role("button", name="Look without a guess").is_visible()
        assert area.locator("table, .noUi-handle").count() == 0, call
        for size in (LAPTOP, NARROW):
            page.page.set_viewport_size(size)
            assert seen(page, call) == [[], []], call
    page.page.set_viewport_size(LAPTOP)
    page.shot("before-a-guess")


def test_a_guess_or_a_look_without_one_opens_everything(page, folder):
    kept = []
    for k, call in enumerate(ASKING):
        area = output_of(page, call)
        if k:  # one of the two ways for each; the first explorer is opened without a guess
            area.locator("input[type=radio]").first.press("Space")  # by key: pictures above move
            kept.append(call.split('"')[1])
        name = "Keep my guess" if k else "Look without a guess"
        area.get_by_role("button", name=name).press("Enter")
        words = "You guessed: " if k else "No guess is kept. "
        assert page.until(lambda: words in area.inner_text(), 20), call  # noqa: B023
        assert page.until(lambda: area.locator("table").count() == 1, 20), call  # noqa: B023
        assert area.locator(".noUi-handle").count() > 0 and not area.locator(".explorer-panel",
            has_text="Keep my guess").count(), call  # fmt: skip
    log = [json.loads(line) for line in (folder / "answers.jsonl").read_text().splitlines()]
    assert [entry["exercise"] for entry in log] == kept
    assert all(entry["credit"] is None for entry in log), "a guess is never marked"


def test_picture_and_sliders_are_in_the_window_together(page):
    """All explorers of the lessons. The design form of lesson 07 is no explorer with a few sliders:
    its fields fill pages, and it has tests of its own."""
    for call in CALLS:
        assert seen(page, call) == [[], []], call
        area = output_of(page, call)
        picture = area.locator("figure img").bounding_box()
        for slider in area.locator(".noUi-target").all():
            box = slider.bounding_box()
            assert box["x"] > picture["x"] + picture["width"], f"{call}: beside the picture"
        page.shot(f"layout-{call.partition('(')[0].partition('.')[2]}")


def test_in_a_narrow_window_nothing_is_scrolled_sideways(page):
    page.page.set_viewport_size(NARROW)
    for call in CALLS:
        outside, sideways = seen(page, call)
        assert sideways == [] and outside == [], call
    page.page.set_viewport_size(LAPTOP)


def test_a_guess_of_an_earlier_day_opens_it_at_once(page):
    call = ASKING[1]
    page.run_cell(call)
    area = output_of(page, call)
    assert page.until(lambda: area.locator(".noUi-handle").count() > 0, 20)
    assert "You guessed: " in area.inner_text() and area.locator("table").count() == 1
    assert area.get_by_role("button", name="Keep my guess").count() == 0
    assert page.trouble() == []
