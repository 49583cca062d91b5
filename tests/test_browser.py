"""The course as a learner meets it: every lesson in a real JupyterLab in a real Chromium."""

from __future__ import annotations

import json
import os

import pytest

from autograde import workspace
from autograde.lesson import lesson_folders, load
from tests import lab

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

if lab.CHROMIUM is None and not os.environ.get("CI"):
    pytest.skip("No Chromium on this machine; install it to run the browser tests "
                "(Debian: apt-get install chromium).", allow_module_level=True)  # fmt: skip

LESSONS = [path.name for path in lesson_folders()]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("learner") / "my course"
    workspace.prepare(made)
    workspace.settle(made)
    return made


@pytest.fixture(scope="module")
def address(folder, tmp_path_factory):
    with lab.server(folder, tmp_path_factory.mktemp("log") / "lab.log") as url:
        yield url


@pytest.fixture(scope="module")
def chromium():
    with lab.browser() as made:
        yield made


@pytest.fixture(scope="module", params=LESSONS)
def lesson(request, chromium, address):
    opened = lab.Lesson(chromium, address, f"{request.param}.ipynb")
    opened.name, opened.source = request.param, load(request.param)
    opened.shot(f"{request.param}-opened")
    opened.pictures_before = opened.page.locator("figure img").count()
    opened.run_all()
    yield opened
    opened.page.close()


def explorers(lesson):
    return [cell for cell in lesson.source.cells if cell.kind == "explorer"]


def test_pictures_are_there_before_any_cell_is_run(lesson):
    # JupyterLab draws only what is near the screen, so count in the file it was given
    assert lesson.pictures_before >= (1 if explorers(lesson) else 0)


def test_all_cells_run_without_a_complaint(lesson):
    assert lesson.trouble() == []


def test_predictions_unlock_and_every_slider_moves_its_picture(lesson):
    for cell in explorers(lesson):
        box = lesson.cell(cell.source.splitlines()[-1])
        keep = box.get_by_role("button", name="Keep my guess")
        if keep.count():
            box.locator(".widget-radio-box").first.locator("label").first.click()
            keep.click()
            lesson.page.wait_for_timeout(300)
        handles = box.locator(".noUi-handle")
        assert handles.count() > 0, f"{cell.name}: no slider"
        for k in range(handles.count()):
            before = lesson.picture(box)
            handles.nth(k).focus()
            for key in ("ArrowRight", "ArrowLeft", "ArrowLeft"):
                lesson.page.keyboard.press(key)
                if lesson.until(lambda: lesson.picture(box) != before, 4):  # noqa: B023
                    break
            assert lesson.picture(box) != before, f"{cell.name}: slider {k + 1} moves nothing"
        lesson.shot(f"{lesson.name}-{cell.name}")
    assert lesson.trouble() == []


def wrong_and_right(record, card):
    """Return a wrong answer with a recognised slip, and the right one."""
    from solarlib import units

    wrong = next(s for s in record.slips if not callable(s.wrong) or record.kind == "number")
    if record.kind == "number":
        value = wrong.wrong(card)
        value = value[0] if isinstance(value, tuple) else value
        return wrong, units.show(float(value), record.unit, 8)
    return wrong, wrong.wrong


def answer(lesson, box, words):
    """Press the form's button; tell whether the verdict comes to hold these words."""
    box.get_by_role("button", name="Check my answer").click()
    return lesson.until(lambda: words in box.inner_text(), 30)


def type_number(lesson, box, text, words):
    box.locator("input[type=text]").last.fill(text)
    return answer(lesson, box, words)


def test_numbers_and_choices_get_their_verdict_in_the_form(lesson):
    card = lesson.source.key.demo()
    answered = 0
    for record in lesson.source.key:
        if record.kind == "number" and record.slips:
            box = lesson.cell(f'check("{lesson.source.slug}.{record.name}"')
            slip, text = wrong_and_right(record, card)
            nudge = record.tell(slip.nudge, card, text)[:40]
            assert type_number(lesson, box, text, nudge), f"{record.name}: {box.inner_text()}"
            assert type_number(lesson, box, units_show(record, card), "Right"), record.name
        elif record.kind == "choice" and not record.several:
            box = lesson.cell(f'check("{lesson.source.slug}.{record.name}"')
            letters = list(record.options)
            wrong = next(k for k in letters if k != record.answer)
            for letter, said in ((wrong, "✗"), (record.answer, "Right")):
                box.locator(".widget-radio-box label").nth(letters.index(letter)).click()
                assert answer(lesson, box, said), f"{record.name}: {letter}"
        else:
            continue
        answered += 1
    lesson.shot(f"{lesson.name}-answered")
    assert answered >= 2
    assert lesson.trouble() == []


def units_show(record, card):
    from solarlib import units

    return units.show(float(record.answer(card)), record.unit, 6)


def test_answers_are_in_the_log_and_pictures_in_the_saved_notebook(lesson, folder):
    lesson.save()
    entries = [json.loads(line) for line in (folder / "answers.jsonl").read_text().splitlines()]
    assert any(e["exercise"].startswith(f"{lesson.source.slug}.") for e in entries)
    saved = (folder / f"{lesson.name}.ipynb").read_text()
    assert saved.count("data:image/svg+xml;base64") >= len(explorers(lesson))
