"""One glossary for all lessons: every word in it is taught, and no lesson's word is missing."""

from __future__ import annotations

import re
from functools import lru_cache

import pytest

from autograde import lesson
from tests.lesson_reading import LESSONS, text_of

FILE = lesson.lessons_folder() / "00_start_here" / "glossary.md"
# bold in an idea for weight, not because a word is new
STRESSED = {"worked number", "place", "date", "west", "ahead", "earlier", "later", "not", "range",
            "seconds", "how long", "middle", "early", "late"}  # fmt: skip


@lru_cache
def rows():
    """Return {word: (unit, meaning, number of the lesson)}."""
    found = {}
    for line in FILE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if line.startswith("|") and len(cells) == 4 and re.fullmatch(r"\d\d", cells[3]):
            assert cells[0] not in found, f"“{cells[0]}” stands twice"
            found[cells[0]] = tuple(cells[1:])
    return found


def plain(word):
    return re.sub(r"\s+", " ", word).strip(" .,:;?!").lower()


def known(word):
    """Whether the glossary has a word, or its singular."""
    words = {plain(re.sub(r"\(.*\)", "", entry)) for entry in rows()}
    return bool({word, word.removesuffix("s"), word.removesuffix("es")} & words)


def test_the_glossary_is_in_order_and_says_something_of_each_word():
    assert len(rows()) > 50
    words = [plain(word) for word in rows()]
    assert words == sorted(words)
    for word, (unit, meaning, _) in rows().items():
        assert unit and meaning.endswith(".") and 3 <= len(meaning.split()) <= 20, word


@pytest.mark.parametrize("word", sorted(rows()))
def test_each_word_is_taught_where_the_glossary_says(word):
    _, _, number = rows()[word]
    folder = next(name for name in LESSONS if name.startswith(number))
    taught = re.sub(r"\s+", " ", text_of(folder).lower())
    stem = re.escape(plain(re.sub(r"\(.*\)", "", word)))
    assert re.search(rf"\b{stem}", taught), f"lesson {number} never says “{word}”"


@pytest.mark.parametrize("folder", LESSONS)
def test_each_new_word_of_a_lesson_is_in_the_glossary(folder):
    new = re.search(r"\*\*Words\.\*\*(.*?)(\n\n|\Z)", text_of(folder), re.S)
    assert new, "the lesson has no list of new words"
    listed = [plain(word) for word in re.findall(r"\*([^*]+)\*", new[1])]
    listed = [re.sub(r" ?\(.*\)", "", word) for word in listed]
    assert len(listed) >= 3
    assert [word for word in listed if not known(word)] == []


@pytest.mark.parametrize("folder", LESSONS)
def test_a_bold_word_of_an_idea_is_a_new_word(folder):
    cells = [c for c in lesson.load(folder).cells if re.match(r"##+ The idea", c.source)]
    assert cells
    bold = {plain(word) for cell in cells for word in re.findall(r"\*\*([^*?]+)\*\*", cell.source)}
    short = {word for word in bold if len(word.split()) <= 2}
    assert {word for word in short if not known(word)} - STRESSED == set()


@pytest.mark.parametrize("folder", LESSONS)
def test_each_lesson_links_to_the_glossary(folder):
    assert "](glossary.md)" in text_of(folder)


def test_links_between_lessons_lead_somewhere():
    shipped = {f"{name}.ipynb" for name in LESSONS}
    shipped |= {path.name for name in LESSONS for path in lesson.load(name).data}
    for folder in LESSONS:
        for target in re.findall(r"\]\(([^)]+)\)", text_of(folder)):
            assert target in shipped, f"{folder} links to {target}"
