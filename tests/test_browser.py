"""The course as a learner meets it: every lesson in a real JupyterLab in a real Chromium."""

from __future__ import annotations

import json

import pytest

import solarlib.explorers
from autograde import workspace
from autograde.lesson import lesson_folders, load
from tests import audit, lab

pytestmark = [lab.NEEDS_CHROMIUM, pytest.mark.browser, pytest.mark.timeout(600)]

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


@pytest.fixture(scope="module", params=LESSONS)
def lesson(request, chromium, address):
    opened = lab.Lesson(chromium, address, f"{request.param}.ipynb")
    opened.name, opened.source = request.param, load(request.param)
    opened.shot(f"{request.param}-opened")
    pictures = opened.page.locator("figure img")
    opened.until(lambda: pictures.count() > 0 or not shown_first(opened), 10)  # drawn after the text
    opened.pictures_before = pictures.count()
    opened.run_all()
    yield opened
    opened.page.close()


def explorers(lesson):
    return [cell for cell in lesson.source.cells if cell.kind == "explorer"]


def shown_first(lesson):
    """The explorers with a picture that does not answer what is asked before."""
    stills = {cell.name: getattr(solarlib.explorers, f"explore_{cell.name}")().still_html()
              for cell in explorers(lesson)}  # fmt: skip
    return [name for name, still in stills.items() if "<img" in still]


def test_no_buttons_stand_in_a_cell(lesson):
    """A cell that is picked looks as before: nothing there copies, moves or deletes it."""
    lesson.page.locator(".jp-CodeCell").first.click()
    lesson.page.wait_for_timeout(300)
    assert lesson.page.locator(".jp-cell-toolbar").count() == 0


def test_pictures_are_there_before_any_cell_is_run(lesson):
    # JupyterLab draws only what is near the screen, so count in the file it was given
    assert lesson.pictures_before >= (1 if shown_first(lesson) else 0)


def test_all_cells_run_without_a_complaint(lesson):
    assert lesson.trouble() == []


def test_predictions_unlock_and_every_slider_moves_its_picture(lesson):
    for cell in explorers(lesson):
        box = lesson.cell(cell.source.splitlines()[-1])
        keep = box.get_by_role("button", name="Keep my guess")
        if keep.count():
            box.locator(".widget-radio-box").first.locator("label").first.click()
            keep.click()
        handles = box.locator(".noUi-handle")
        assert lesson.until(lambda: handles.count() > 0, 20), f"{cell.name}: no slider"  # noqa: B023
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


@pytest.mark.parametrize("lesson", ["07_capstone"], indirect=True)
def test_the_design_form_writes_a_file_by_keyboard(lesson, folder):
    box, file = lesson.cell("design_form("), folder / "my-trough.toml"
    keys, before = lesson.page.keyboard, lesson.picture(box)
    assert not file.exists()
    box.get_by_label("Show the entries of:").focus()
    for key in ("Space", *["ArrowDown"] * 5, "Enter"):  # site to pipe
        keys.press(key)
    field = box.get_by_label("outside diameter (mm)", exact=True)
    field.wait_for(timeout=10_000)
    for text, said in (("8 kg", "is a mass"), ("15 mm", "Changed and not saved: “outside diameter”")):
        field.fill(text)
        keys.press("Tab")
        assert lesson.until(lambda: said in box.inner_text(), 10), box.inner_text()  # noqa: B023
    assert lesson.picture(box) != before and "is a mass" not in box.inner_text()
    box.get_by_role("button", name="What would help?").press("Enter")
    assert lesson.until(lambda: "“outside diameter”" in box.inner_text(), 30)
    lesson.shot(f"{lesson.name}-form-help")
    box.get_by_role("button", name="Save", exact=True).press("Enter")
    assert lesson.until(file.exists, 10)
    assert 'tube_diameter = "15 mm"' in file.read_text(encoding="utf-8")
    assert lesson.until(lambda: "my-trough.toml is written" in box.inner_text(), 10)
    lesson.shot(f"{lesson.name}-form")
    assert lesson.trouble() == []


@pytest.mark.parametrize("lesson", ["07_capstone"], indirect=True)
def test_plumbing_by_rows_is_handed_in_and_its_pack_opened_by_keyboard(lesson, folder):
    box, page = lesson.cell("design_form("), lesson.page
    page.set_viewport_size({"width": 800, "height": 1400})

    def press(name, said, gone=False):
        """Press a button until the form says something, or says it no more.

        A key that comes while the page is still being laid out is lost; one presses again.
        """
        button = box.get_by_role("button", name=name, exact=True).first
        button.wait_for(timeout=90_000)
        for _ in range(3):
            button.press("Enter")
            if lesson.until(lambda: (said in box.inner_text()) != gone, 20):
                return
        raise AssertionError((name, said, lesson.complaints, box.inner_text()))

    def on(words):
        return lesson.until(lambda: page.evaluate(
            "words => (document.activeElement.labels?.[0] ?? document.activeElement)"
            ".textContent.includes(words)", words), 10)  # fmt: skip

    press("trough: stands on a roof", "the mirror's size and how it stands")
    assert on("stands on a roof"), "the button puts the keyboard into the field"
    press("plumbing: parts, heights and links", "No parts yet")
    assert on("Start from the Ladle's way")
    press("Start from the Ladle's way", "Pipe is open: pipe to rising hose to pot to open air")
    through = box.get_by_label("through:").nth(4)  # ipywidgets writes hard spaces into its options
    tap = next(o for o in through.locator("option").all() if "tap," in o.text_content())
    through.select_option(tap.get_attribute("value"))
    assert lesson.until(lambda: "only past “tap”, which can shut" in box.inner_text(), 20)
    press("Add a part", "Part 5, vent pipe, has no height")
    assert on("Part 5:")
    cut = "e => e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX === 'hidden'"
    shown = box.locator(".widget-label, button").locator("visible=true")
    assert [text for text in shown.all() if text.evaluate(cut)] == []
    lesson.shot(f"{lesson.name}-form-rows")
    press("Remove part 5", "has no height", gone=True)
    press("Save", "my-trough.toml is written")
    press("Hand in this design", "of 20 points. Last saved")
    assert "Gate C10 always open to the air: Pipe reaches the air only past “tap”" in box.inner_text()
    assert "capstone.design_file" in (folder / "answers.jsonl").read_text(encoding="utf-8")
    press("Write the build pack", "Open it: my-trough-pack/build_pack.pdf")
    box.get_by_role("link", name="my-trough-pack/build_pack.pdf").press("Enter")
    assert lesson.until(lambda: page.url.endswith("my-trough-pack/build_pack.pdf"), 20), page.url
    page.get_by_role("menuitem", name="Tabs").click()  # as the form says
    page.get_by_role("menuitem", name=f"{lesson.name}.ipynb").click()
    assert lesson.until(box.is_visible, 20) and lesson.trouble() == []


LOG = "time (min);water (°C);wind (m/s);sun (W/m2)\n" + "".join(
    f"{5 * k};{'warm' if k == 2 else 18 + 2 * k};1;800\n" for k in range(12)
)


def test_a_file_is_uploaded_and_told_row_by_row(lesson, folder, tmp_path):
    for record in lesson.source.key:
        if not getattr(record, "accepts", ""):
            continue  # nothing to upload here
        theirs = (folder / "demo_log.csv").read_bytes()
        box = lesson.cell(f'check("{lesson.source.slug}.{record.name}"')
        file = tmp_path / "demo_log.csv"  # a name that is taken
        file.write_text(LOG, encoding="utf-8")
        with lesson.page.expect_file_chooser() as chooser:
            box.get_by_role("button", name="Choose your file").press("Enter")
        chooser.value.set_files(file)
        assert lesson.until(lambda: "yours is kept as “demo_log-2.csv”" in box.inner_text(), 20)  # noqa: B023
        assert answer(lesson, box, "Line 4, water (°C): “warm” cannot be read"), box.inner_text()
        assert (folder / "demo_log-2.csv").read_bytes() == file.read_bytes()
        assert (folder / "demo_log.csv").read_bytes() == theirs
        lesson.shot(f"{lesson.name}-uploaded")
    assert lesson.trouble() == []


def test_steps_for_outdoors_unfold_when_an_adult_signs(lesson):
    for cell in lesson.source.cells:
        if cell.name != "outdoors":
            continue
        box = lesson.cell("outdoors(")
        steps = box.locator("details")
        lesson.shot(f"{lesson.name}-outdoors")
        if steps.get_attribute("open") is None:  # nobody has signed today
            assert "Not open yet" in box.inner_text()
            assert not box.locator("details li").first.is_visible()
            box.locator("input[type=text]").last.fill("MT")
            box.get_by_role("button", name="I am in charge and sign for today").click()
        assert lesson.until(lambda: steps.get_attribute("open") is not None, 20)  # noqa: B023
        assert "Opened for today by MT" in box.inner_text()
        assert box.locator("details li").first.is_visible()
        lesson.shot(f"{lesson.name}-outdoors-open")


def test_answers_are_in_the_log_and_pictures_in_the_saved_notebook(lesson, folder):
    lesson.save()
    entries = [json.loads(line) for line in (folder / "answers.jsonl").read_text().splitlines()]
    assert any(e["exercise"].startswith(f"{lesson.source.slug}.") for e in entries)
    saved = (folder / f"{lesson.name}.ipynb").read_text()
    assert saved.count("data:image/svg+xml;base64") >= len(explorers(lesson))


def test_nothing_keeps_anybody_out(lesson):
    # JupyterLab draws only what is near the screen, so the screen is made tall enough for all
    lesson.page.set_viewport_size({"width": 1100, "height": 30_000})
    cells = "() => window.jupyterapp.shell.currentWidget.content.widgets.length"
    drawn = lesson.page.locator(".jp-Notebook .jp-Cell")
    assert lesson.until(lambda: drawn.count() == lesson.page.evaluate(cells), 20)
    named = "() => [...document.querySelectorAll('.noUi-handle')].every(e => e.ariaLabel)"
    assert lesson.until(lambda: lesson.page.evaluate(named), 10)
    assert audit.findings(lesson.page, audit.OURS) == []
