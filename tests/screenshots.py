"""Make the README's three pictures from the real course: ``python -m tests.screenshots``.

In: Chromium and this repository. Out: PNG files in ``.pictures``, each written whole or not
at all. Run it again after a change of what they show, and look at them before you commit.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from autograde import workspace
from tests import ROOT, lab

FOLDER = ROOT / ".pictures"
LESSON = "01_parabola"
EXERCISE = "How deep is your rib?"
PACK_PAGE = "Half rib"  # the first page of the build pack with these words
WIDE = 1000  # pixels, what a README shows without shrinking


def keep(name: str, data: bytes) -> None:
    """Write one picture with few colours, which keeps it small; a half file never stays."""
    from PIL import Image

    picture = Image.open(io.BytesIO(data)).convert("RGB")
    if picture.width > WIDE:
        picture = picture.resize((WIDE, round(picture.height * WIDE / picture.width)))
    unfinished = FOLDER / f".{name}.unfinished"
    picture.quantize(64).save(unfinished, format="png", optimize=True)
    os.replace(unfinished, FOLDER / f"{name}.png")
    print(f"{name}.png: {picture.width} x {picture.height}, "
          f"{(FOLDER / f'{name}.png').stat().st_size // 1000} kB")  # fmt: skip


def explorer(lesson: Any) -> bytes:
    """Lesson 01's first explorer, unlocked by a guess, its first slider moved."""
    box = lesson.cell("explore_curve_and_focus")
    box.locator(".widget-radio-box").first.locator("label").first.click()
    box.get_by_role("button", name="Keep my guess").click()
    lesson.page.wait_for_timeout(500)
    box.locator(".noUi-handle").first.focus()
    before = lesson.picture(box)
    for _ in range(4):
        lesson.page.keyboard.press("ArrowRight")
    lesson.until(lambda: lesson.picture(box) != before, 10)
    lesson.page.wait_for_timeout(1000)
    return bytes(box.locator(".jp-OutputArea").first.screenshot())


def answer(lesson: Any) -> bytes:
    """An exercise with its question, a wrong answer and the hint that names the slip."""
    from autograde.lesson import load
    from solarlib import units

    key = load(LESSON).key
    record, card = key.exercise("depth"), key.demo()
    slip = record.slips[0]
    wrong = slip.wrong(card)
    wrong = wrong[0] if isinstance(wrong, tuple) else wrong
    box = lesson.cell('check("parabola.depth"')
    box.locator("input[type=text]").last.fill(units.show(float(wrong), record.unit, 4))
    for _ in range(2):  # first the nudge, then the hint
        box.get_by_role("button", name="Check my answer").click()
        lesson.page.wait_for_timeout(1500)
    question = lesson.page.locator(".jp-MarkdownCell", has_text=EXERCISE).first
    question.scroll_into_view_if_needed()
    top, below = question.bounding_box(), box.bounding_box()
    part = {"x": top["x"], "y": top["y"], "width": top["width"],
            "height": below["y"] + below["height"] - top["y"]}  # fmt: skip
    return bytes(lesson.page.screenshot(clip=part))


def pack_page(place: Path) -> bytes:
    """A page of the demo heater's build pack."""
    import pymupdf

    words = [sys.executable, "-m", "solarlib", "pack", str(place / "ladle.toml"), "--out",
             str(place / "paper")]  # fmt: skip
    subprocess.run(words, check=True, capture_output=True)
    (path,) = (place / "paper").rglob("*.pdf")
    with pymupdf.open(path) as pdf:
        page = next(page for page in pdf if PACK_PAGE in page.get_text())
        return bytes(page.get_pixmap(dpi=110).tobytes("png"))


def main() -> int:
    """Make all three; return 0, or 2 when there is no Chromium."""
    if lab.CHROMIUM is None:
        print("The pictures need Chromium (Debian: apt-get install chromium).")
        return 2
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as made:
        place = Path(made) / "my course"
        workspace.prepare(place)
        workspace.settle(place)
        with lab.server(place, Path(made) / "lab.log") as address, lab.browser() as chromium:
            lesson = lab.Lesson(chromium, address, f"{LESSON}.ipynb")
            lesson.run_all()
            keep("explorer", explorer(lesson))
            keep("answer", answer(lesson))
        keep("pack", pack_page(place))
    return 0


if __name__ == "__main__":
    sys.exit(main())
