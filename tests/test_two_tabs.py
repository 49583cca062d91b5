"""One lesson open twice: in two tabs of one JupyterLab, and in two that were started on one folder.

What is typed into cells can be kept by one tab only, and JupyterLab asks which. What was
answered is kept in any case.
"""

from __future__ import annotations

import contextlib
import json
from types import SimpleNamespace

import pytest

from autograde import build, workspace
from autograde.lesson import load
from solarlib import units
from tests import lab

pytestmark = [lab.NEEDS_CHROMIUM, pytest.mark.browser, pytest.mark.timeout(600)]

LESSON = load("parabola")
FILE = f"{LESSON.name}.ipynb"
TYPED = ("depth", "old_focal_length")  # one in each tab


@pytest.fixture(scope="module", params=[1, 2], ids=["one server", "two servers"])
def tabs(request, chromium, tmp_path_factory):
    """Yield the workspace and the same lesson open in two tabs of one browser."""
    folder = tmp_path_factory.mktemp("learner") / "my course"
    build.write_notebook(build.notebook(LESSON), folder / FILE)
    workspace.settle(folder)
    logs = tmp_path_factory.mktemp("log")
    with contextlib.ExitStack() as stack:
        urls = [stack.enter_context(lab.server(folder, logs / f"{k}.log"))
                for k in range(request.param)]  # fmt: skip
        window = stack.enter_context(chromium.new_context(viewport={"width": 1100, "height": 1400}))
        tab = SimpleNamespace(new_page=lambda viewport: window.new_page())  # the window has a size
        yield folder, [lab.Lesson(tab, url, FILE) for url in (urls[0], urls[-1])]


def sources(folder):
    """Return the cells of the notebook on disk, id -> text; None while it is not whole JSON."""
    try:
        saved = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except json.JSONDecodeError:
        return None  # JupyterLab is writing it just now; whoever asks looks again
    return {cell["id"]: "".join(cell["source"]) for cell in saved["cells"]}


def tries(folder):
    """Return exercise, answer and credit of each line of the log; each must be whole JSON."""
    text = (folder / "answers.jsonl").read_text(encoding="utf-8")
    assert text.endswith("\n")
    told = [json.loads(line) for line in text.splitlines()]
    return [(one["exercise"], one["answer"], one["credit"]) for one in told]


def right(name):
    record = LESSON.key.exercise(name)
    return units.show(float(record.answer(LESSON.key.demo())), record.unit, 6)


def attempt(name):
    return f"parabola.{name}", right(name), 1.0


def typed(name):
    return f'{name} = "{right(name)}"'


def type_and_check(tab, name):
    """Write the answer into its cell and run the check below."""
    tab.page.locator(".jp-CodeCell .cm-content", has_text=f'{name} = ""').first.click()
    tab.page.keyboard.press("Control+a")
    tab.page.keyboard.insert_text(typed(name))
    tab.run_cell(typed(name))
    tab.run_cell(f'check("parabola.{name}"')
    box = tab.cell(f'check("parabola.{name}"')
    assert tab.until(lambda: "Right" in box.inner_text(), 30), box.inner_text()


def fill_in(tab, name):
    """Give the answer in the form under the check."""
    tab.run_cell(f'{name} = ""')
    tab.run_cell(f'check("parabola.{name}"')
    box = tab.cell(f'check("parabola.{name}"')
    box.locator("input[type=text]").last.fill(right(name))
    box.get_by_role("button", name="Check my answer").click()
    assert tab.until(lambda: "Right" in box.inner_text(), 30), box.inner_text()


def save_and_be_asked(tab):
    """Save as Ctrl+S does; return JupyterLab's question which version is to stay."""
    tab.page.evaluate("() => { window.jupyterapp.commands.execute('docmanager:save'); }")
    asked = tab.page.locator(".jp-Dialog", has_text="has changed on disk")
    asked.wait_for(timeout=30_000)
    return asked


def press(asked, button):
    asked.get_by_role("button", name=button).click()
    asked.wait_for(state="detached", timeout=30_000)


def test_what_is_typed_in_two_tabs_is_kept_or_asked_for(tabs):
    folder, (first, second) = tabs
    before = sources(folder)
    for tab, name in zip((first, second), TYPED, strict=True):
        tab.run_cell("from autograde import")
        type_and_check(tab, name)
    told = [attempt(name) for name in TYPED]
    assert tries(folder) == told

    one, other = ({**before, f"parabola-answer-{name}": typed(name)} for name in TYPED)
    first.save()
    assert first.until(lambda: sources(folder) == one, 10)
    asked = save_and_be_asked(second)
    assert sources(folder) == one
    press(asked, "Cancel")
    assert sources(folder) == one
    press(save_and_be_asked(second), "Overwrite")
    assert second.until(lambda: sources(folder) == other, 10)
    assert tries(folder) == told  # the answer that was overwritten in the notebook is here


def test_what_is_filled_in_in_two_tabs_is_kept(tabs):
    folder, (first, second) = tabs
    before, told = sources(folder), tries(folder)
    fill_in(first, "sheet")
    second.run_cell("from autograde import")
    fill_in(second, "depth")
    press(save_and_be_asked(first), "Revert")  # the other tab saved last
    second.save()
    assert sources(folder) == before
    assert [one for one in tries(folder)[len(told):] if one[1]] == [
        attempt("sheet"), attempt("depth")]  # fmt: skip
