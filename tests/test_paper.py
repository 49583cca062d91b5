"""The paper edition: whole lessons, good HTML, nothing from the key, the same bytes every time."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from base64 import b64decode
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from unicodedata import normalize

import bs4
import html5lib
import pytest

from autograde.cells import WRITE_HERE
from autograde.key import Choice, Function, Number, Order, ShortText
from autograde.lesson import lesson_folders, load
from autograde.numbers import save as save_cards
from autograde.paper import command, main, pictures
from autograde.paper.edition import Edition
from autograde.paper.text import to_html
from tests import lab
from tests.lesson_reading import LESSONS, solution_lines
from tests.refusals import MARKING, said_by


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    """Return the folder of all pages for the demo numbers."""
    folder = tmp_path_factory.mktemp("paper") / "pages"
    command.write(folder)
    return folder


def for_learners(name):
    return (f"{name}.html", f"{name}-workbook.html")


def all_pages(name):
    return (*for_learners(name), f"{command.TEACHERS}/{name}.html")


def soup(pages, name):
    return bs4.BeautifulSoup((pages / name).read_text(encoding="utf-8"), "html.parser")


def words(text):
    return " ".join(re.findall(r"\w+", text))


# --- good HTML -------------------------------------------------------------------------------
@pytest.mark.parametrize("name", LESSONS)
def test_pages_follow_the_html_standard(pages, name):
    for page in (*all_pages(name), "index.html"):
        # the standard's own parsing rules (WHATWG HTML, 13.2), strict: any parse error is raised
        html5lib.HTMLParser(strict=True).parse((pages / page).read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", LESSONS)
def test_a_screen_reader_finds_its_way(pages, name):
    for page in all_pages(name):
        made = soup(pages, page)
        assert made.html["lang"] == "en" and made.title.string.strip()
        skip = made.find("a")
        assert skip["href"] == "#main" and made.find(id="main").name == "main"
        levels = [int(h.name[1]) for h in made.find_all(re.compile(r"^h[1-6]$"))]
        assert levels[0] == 1 and levels.count(1) == 1
        assert all(b <= a + 1 for a, b in pairwise(levels)), (page, levels)
        ids = Counter(part["id"] for part in made.find_all(id=True))
        assert max(ids.values()) == 1
        for image in made.find_all("img"):
            assert len(image["alt"].split()) >= 20, "the words of the picture are its alternative"
        for table in made.find_all("table"):
            assert table.caption and table.caption.get_text(strip=True)
            assert table.find_all("th") and all(th.get("scope") for th in table.find_all("th"))


@pytest.mark.parametrize("name", LESSONS)
def test_nothing_is_loaded_from_anywhere(pages, name):
    for page in (*all_pages(name), "index.html"):
        text, made = (pages / page).read_text(encoding="utf-8"), soup(pages, page)
        assert not made.find_all(["script", "link", "iframe", "object", "embed"])
        assert "@import" not in text and "url(" not in text
        for part in made.find_all(src=True):
            assert part["src"].startswith("data:image/svg+xml;base64,")
        for link in made.find_all(href=True):
            target = link["href"]
            if target.startswith("#"):
                assert made.find(id=target[1:]), target
            else:
                assert (pages / page).parent.joinpath(target).is_file(), target


def test_formulas_are_mathml_and_need_no_program(pages):
    shown = to_html("$$q = \\frac{a_1}{\\sqrt{b}}$$\n\nand $x < 3$ at 5 °C")
    made = bs4.BeautifulSoup(shown, "html.parser")
    assert [m["display"] for m in made.find_all("math")] == ["block", "inline"]
    assert made.mfrac and made.msqrt and made.msub  # MathML 3, chapter 3: elements for layout
    for name in LESSONS:
        assert "$$" not in soup(pages, f"{name}.html").get_text()


# --- whole lessons ---------------------------------------------------------------------------
@pytest.mark.parametrize("name", LESSONS)
def test_no_word_of_the_lesson_is_missing(pages, name):
    source = load(name)
    for page in for_learners(name):
        shown = words(soup(pages, page).get_text())
        for cell in source.cells:
            if cell.kind != "text":
                continue
            text = re.sub(r"\$\$[\s\S]+?\$\$|\]\([^)]*\)", " ", cell.source)
            for line in text.splitlines():
                line = re.sub(r"^\s*(\d+\.|[-#>|]+)", " ", line)
                assert words(line) in shown, (page, line)


@pytest.mark.parametrize("name", LESSONS)
def test_every_exercise_has_its_field_and_every_guess_its_options(pages, name):
    source = load(name)
    workbook = soup(pages, f"{name}-workbook.html")
    fields = workbook.find_all(class_="field")
    assert len(fields) == len(source.key.exercises)
    asked = [f.get_text(" ", strip=True) for f in fields]
    lesson = "\n".join(cell.source for cell in source.cells if cell.kind == "text")
    for record in source.key:
        if record.points:
            assert any(f"({record.points:g} point" in text for text in asked)
        assert words(getattr(record, "question", "")) in words(workbook.get_text())
        for letter, text in getattr(record, "options", {}).items():
            listed = f"- {letter}: " in lesson and record.kind == "choice"
            assert any(f"☐ {letter}" + ("" if listed else f": {text}") in box for box in asked)
    command_lines = soup(pages, f"{name}.html").get_text()
    for record in source.key:
        assert f"python -m autograde answer {source.key.id(record)} " in command_lines


@pytest.mark.parametrize("name", LESSONS)
def test_every_explorer_is_there_with_all_its_moves(pages, name):
    shown = [cell.name for cell in load(name).cells if cell.kind == "explorer"]
    for page in for_learners(name):
        made = soup(pages, page)
        alts = [image["alt"] for image in made.find_all("img")]
        text = words(made.get_text())
        expected = [still for cell in shown for still in pictures.stills(cell)[1]]
        assert alts == [still.words for still in expected]
        assert len({*alts}) == len(alts), "each move shows something else"
        for still in expected:
            if len(still.rows) <= 12:
                assert all(words(label) in text and words(value) in text
                           for label, value in still.rows)  # fmt: skip


def test_steps_for_outdoors_come_with_a_line_for_the_adults_signature(pages):
    made = soup(pages, "03_sun-workbook.html")
    assert "Stand a straight stick upright" in made.get_text()
    assert any("Signed" in p.get_text() for p in made.find_all(class_="who"))
    assert "no permission" in made.get_text()
    test = words(soup(pages, "05_heating_test-workbook.html").get_text())
    assert "lesson 00 Start here The standing rules" in test
    assert "lesson 06 Burns and other hazards all exercises" in test


# --- nothing from the key --------------------------------------------------------------------
@pytest.mark.parametrize("name", LESSONS)
def test_learners_pages_hold_no_solution(pages, name):
    source = load(name)
    for page in for_learners(name):
        text = soup(pages, page).get_text()
        shown = words(text)
        assert "###" not in text and WRITE_HERE not in text
        handed_out = "\n".join(c.source for c in source.cells if c.kind in ("text", "code"))
        taught = words(handed_out)
        for cell in source.cells:
            for line in solution_lines(cell.source) if cell.kind == "answer" else ():
                assert line not in text or line in handed_out, (page, line)
            if cell.kind == "write" and cell.source != WRITE_HERE:
                assert words(cell.source) not in shown
        for record in source.key:
            for told in (record.hint, record.worked,
                         *(t for s in record.slips for t in (s.nudge, s.hint))):  # fmt: skip
                if isinstance(told, str) and len(told.split()) > 5 and "{" not in told:
                    assert words(told) not in shown or words(told) in taught, (page, told)


def other_key(record):
    """Return a record that asks the same and wants something else."""
    if isinstance(record, Number):
        return replace(record, answer=lambda n: 12345.678, slips=())
    if isinstance(record, Choice):
        wrong = next(letter for letter in record.options if letter not in record.answer)
        return replace(record, answer={wrong} if record.several else wrong, slips=())
    if isinstance(record, Order):
        return replace(record, answer=tuple(reversed(list(record.answer))), slips=())
    if isinstance(record, Function):
        return replace(record, reference=lambda *_: 12345.678, slips=())
    return record


@pytest.mark.parametrize("name", LESSONS)
def test_another_key_gives_the_same_pages_to_learners(pages, name):
    source = load(name)
    turned = replace(source, key=replace(source.key, exercises=[*map(other_key, source.key)]))
    other = Edition(turned, source.key.demo())
    assert other.workbook() == (pages / f"{name}-workbook.html").read_text(encoding="utf-8")
    assert other.lesson() == (pages / f"{name}.html").read_text(encoding="utf-8")
    if any(isinstance(record, Number) for record in source.key):
        teachers = (pages / command.TEACHERS / f"{name}.html").read_text(encoding="utf-8")
        assert other.teacher() != teachers, "the turned key must tell somewhere"


def test_the_teachers_page_works_out_the_answers(pages):
    made = soup(pages, f"{command.TEACHERS}/01_parabola.html")
    rows = {tr.th.get_text(): tr.find_all("td")[-1].get_text()
            for tr in made.find("caption", string=re.compile("answers")).parent.tbody("tr")}  # fmt: skip
    # depth = W²/(16 f), from y = x²/(4 f) at the rim: 640²/(16 · 170) = 150.588 mm
    assert float(rows["Depth of the rib"].removesuffix(" mm")) == pytest.approx(150.588, abs=0.05)
    assert "x**2 / (4 * f_mm)" in rows["A rule for the rib's height"]
    assert rows["The bar is short"] == "a"


@pytest.mark.parametrize("name", LESSONS)
def test_the_teachers_page_parts_the_points_of_a_text(pages, name):
    text = words_with_signs(soup(pages, f"{command.TEACHERS}/{name}.html").get_text(" "))
    for record in load(name).key:
        if isinstance(record, ShortText):
            said = [words_with_signs(point.text.rstrip(".")) for point in record.points_looked_for]
            assert f"{'; '.join(said)}." in text, record.name


def words_with_signs(text):
    return " ".join(text.split())


def test_a_learners_own_numbers_are_printed(tmp_path):
    key = load("parabola").key
    card = key.draw("L02", "any secret")
    save_cards(tmp_path / "numbers.json", "L02", {"parabola": card})
    assert main([str(tmp_path / "own"), "01", "--numbers", str(tmp_path / "numbers.json")]) == 0
    text = soup(tmp_path / "own", "01_parabola-workbook.html").table.get_text(" ")
    assert card.shown("aperture_width") in text
    answers = soup(tmp_path / "own", f"{command.TEACHERS}/01_parabola.html").get_text(" ")
    depth = 1000 * card.aperture_width**2 / (16 * card.focal_length)
    assert f"{depth:.1f}"[:-1] in answers


# --- the same every time, and nobody's work lost ------------------------------------------------
def test_two_builds_are_the_same_byte_for_byte(pages, tmp_path):
    made = tmp_path / "again"
    environment = {**os.environ, "PYTHONHASHSEED": "7", "LC_ALL": "C", "TZ": "Asia/Tokyo"}
    subprocess.run([sys.executable, "-m", "autograde", "paper", str(made), "01", "06"], check=True,
                   env=environment, capture_output=True)  # fmt: skip
    for name in ("01_parabola", "06_hazards"):
        for page in all_pages(name):
            assert (made / page).read_bytes() == (pages / page).read_bytes(), page


def test_a_page_changed_by_hand_is_kept(tmp_path, capsys):
    command.write(tmp_path, ["01"])
    mine = tmp_path / "01_parabola-workbook.html"
    mine.write_text("my own page", encoding="utf-8")
    command.write(tmp_path, ["01"])
    kept = [p for p in tmp_path.glob("01_parabola-workbook*") if p.read_text() == "my own page"]
    assert len(kept) == 1 and kept[0] != mine
    assert kept[0].name in capsys.readouterr().out


def test_a_class_gets_own_numbers_and_answers_apart(tmp_path):
    (tmp_path / "roster.csv").write_text("id\nL1\nL2\n")
    folder, paper = tmp_path / "class", tmp_path / "paper"
    folder.mkdir()
    (folder / "secret.txt").write_text("a secret that gives neither of them the demo's numbers")
    assert said_by(MARKING, ["class", str(folder), str(tmp_path / "roster.csv"), "01"])[0] == 0
    code, said = said_by(MARKING, ["paper", str(paper), "01", "--class", str(folder)])
    assert code == 0 and "Workbooks: 2" in said
    secret, key = (folder / "secret.txt").read_text().strip(), load("01").key
    answer = {who: key.exercise("depth").solution(key.draw(who, secret)) for who in ("L1", "L2")}
    assert answer["L1"] != answer["L2"]
    for who, other in (("L1", "L2"), ("L2", "L1")):
        name = "01_parabola-workbook.html"
        assert [p.name for p in (paper / who).glob("*.html")] == [name]  # no answers lie beside it
        work = (paper / who / name).read_text(encoding="utf-8")
        key_page = (paper / command.TEACHERS / who / "01_parabola.html").read_text(encoding="utf-8")
        assert f"Numbers of {who}." in work and answer[who] not in work
        assert answer[who] in key_page and answer[other] not in key_page


BAD = {
    "two kinds of numbers": (["pages", "--class", "class", "--numbers", "n.json"], "--numbers"),
    "no class": (["pages", "01", "--class", "nowhere"], "nowhere"),
    "no folder": ([], "folder"),
    "unknown lesson": (["pages", "99"], "There is no lesson “99”"),
    "unknown paper": (["pages", "--paper", "a3"], "a3"),
    "unknown word": (["pages", "--glossy"], "glossy"),
    "no such card": (["pages", "01", "--numbers", "none.json"], "none.json"),
    "lesson texts": (["LESSONS", "01"], "lesson texts"),
    "one lesson's text": (["LESSONS/01_parabola", "01"], "lesson texts"),
    "a file": (["a-file", "01"], "is a file"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_gets_one_sentence_and_writes_nothing(case, tmp_path, monkeypatch):
    given, words = BAD[case]
    monkeypatch.chdir(tmp_path)
    Path("a-file").write_text("mine")
    lessons = str(lesson_folders()[0].parent)
    code, said = said_by(MARKING, ["paper", *[word.replace("LESSONS", lessons) for word in given]])
    assert code == 2 and words in said and len(said.splitlines()) == 1
    assert [p.name for p in tmp_path.iterdir()] == ["a-file"]
    assert Path("a-file").read_text() == "mine"


# --- on paper ----------------------------------------------------------------------------------
def test_grey_is_as_light_as_the_colour():
    # ITU-R BT.601: Y' = 0.299 R + 0.587 G + 0.114 B
    assert pictures.in_grey("fill: #ff0000; stroke: #00ff00") == "fill: #4c4c4c; stroke: #969696"
    assert pictures.in_grey("url(#clip01) #abc") == "url(#clip01) #abc"


@pytest.mark.parametrize("name", LESSONS)
def test_pictures_of_the_workbook_are_black_and_white(pages, name):
    for image in soup(pages, f"{name}-workbook.html").find_all("img"):
        svg = b64decode(image["src"].partition(",")[2]).decode()
        colours = set(re.findall(r"(?:fill|stroke|stop-color): ?(#\w{6})\b", svg))
        assert colours and all(c[1:3] == c[3:5] == c[5:7] for c in colours), colours
        named = re.findall(r"(?:fill|stroke): ?([a-z]\w*)", svg)
        assert set(named) <= {"none", "url"}


@lab.NEEDS_CHROMIUM
def test_a_workbook_prints_on_its_paper(pages, tmp_path):
    import pypdf

    source = pages / "01_parabola-workbook.html"
    page = tmp_path / source.name
    page.write_bytes(source.read_bytes())
    made = pypdf.PdfReader(command.print_pdf(page, lab.CHROMIUM))
    sizes = {tuple(round(float(side) * 25.4 / 72) for side in p.mediabox[2:]) for p in made.pages}
    assert sizes == {(210, 297)}  # ISO 216: A4
    # a PDF may join f and l to one sign; NFKC parts them again
    text = words(normalize("NFKC", " ".join(p.extract_text() for p in made.pages)))
    asked = soup(pages, source.name).find_all("h3")
    assert asked and all(words(h.get_text()) in text for h in asked)
    count = len(made.pages)
    assert f"page {count} of {count}" in text


def test_without_a_browser_the_pages_remain(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(command, "browser", lambda: None)
    assert main([str(tmp_path / "pages"), "00", "--pdf"]) == 0
    assert "No Chromium is found" in capsys.readouterr().out
    assert (tmp_path / "pages" / "00_start_here-workbook.html").is_file()
