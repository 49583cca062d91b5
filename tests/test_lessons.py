"""Every lesson, the same questions: does the solution score full, an untouched notebook nothing,
each slip its own hint; can any card be told apart; is the text readable; does nothing leak?

Tolerances and the factor 3 between a slip and the answer are the course's own rules (common
practice, no source); the answers themselves are checked in the tests of `solarlib`.
"""

from __future__ import annotations

import itertools
import json
import re
import shutil
from functools import lru_cache

import pytest

from autograde import build, lesson, plain
from autograde.key import Choice, Function, Number, Order, Prediction, ShortText
from autograde.numbers import save
from autograde.trial import try_notebook
from solarlib import units
from tests.lesson_reading import LESSONS

VARIANTS = 500
SOLVED_VARIANTS = 50
LEAST_APART = 3.0  # tolerances between an answer and a slip, and between two slips

pytestmark = pytest.mark.parametrize("folder", LESSONS)


@lru_cache
def source_of(folder):
    return lesson.load(folder)


@lru_cache
def cards(folder, count):
    key = source_of(folder).key
    return [key.demo(), *(key.draw(f"learner {i}", "test secret") for i in range(count))]


def numbers_of(folder):
    return [record for record in source_of(folder).key if isinstance(record, Number)]


def try_it(folder, tmp_path, monkeypatch, solved, card=None):
    """Run a lesson's notebook in a workspace of its own; return the lines of its checks."""
    source = source_of(folder)
    for path in source.data:
        shutil.copy(path, tmp_path)
    if card is not None:
        save(tmp_path / "numbers.json", "test", {source.slug: card})
    notebook = tmp_path / f"{source.name}.ipynb"
    if not notebook.exists():
        build.write_notebook(build.notebook(source, solved), notebook)
    monkeypatch.setenv("AUTOGRADE_MARKING", "1")
    monkeypatch.setenv("AUTOGRADE_WORKSPACE", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    return list(try_notebook(notebook))


# --- solved, untouched, every slip --------------------------------------------------------------
def test_solution_scores_full(folder, tmp_path, monkeypatch):
    lines = try_it(folder, tmp_path, monkeypatch, solved=True)
    wrong = [line.text for line in lines if line.points and line.credit != 1.0]
    assert not wrong
    marked = [e for e in source_of(folder).key if e.points and not isinstance(e, ShortText)]
    assert sum(line.points for line in lines if line.credit == 1.0) == sum(e.points for e in marked)
    assert not [line.text for line in lines if not line.exercise]  # no cell stopped


def test_untouched_scores_nothing_and_stops_nowhere(folder, tmp_path, monkeypatch):
    lines = try_it(folder, tmp_path, monkeypatch, solved=False)
    assert [line.text for line in lines if line.credit and line.points] == []
    assert [line.text for line in lines if not line.exercise] == []


def outcome(function, call):
    try:
        return plain.accept(plain.to_plain(function(*call)))
    except Exception as error:  # a slip's wrong function may stop, as the learner's would
        return plain.Fault(type(error).__name__, str(error))


def subsets(options):
    for count in range(1, len(options) + 1):
        yield from (set(c) for c in itertools.combinations(options, count))


def given(record, slip, card):
    """Return values a learner who makes this slip would hand in."""
    if isinstance(record, Number):
        wrong = slip.wrong(card)
        first = wrong[0] if isinstance(wrong, tuple) else wrong
        return (
            [f"{units.from_base(first, record.unit)!r} {record.unit}"]
            if (record.unit not in ("clock", "1", "suns"))
            else [units.show(first, record.unit, 9)]
        )
    if isinstance(record, Function):
        calls = record.calls(card)
        if slip.wrong == Function.CONSTANT:
            return [42.0 for _ in calls]
        return [outcome(slip.wrong, call) for call in calls]
    if isinstance(record, Choice):
        picks = subsets(record.options) if record.several else ({o} for o in record.options)
        for pick in picks:
            made = (
                slip.wrong(pick)
                if callable(slip.wrong)
                else (pick == ({slip.wrong} if isinstance(slip.wrong, str) else set(slip.wrong)))
            )
            if made and record.judge([", ".join(sorted(pick))], card).slip == slip.name:
                return [", ".join(sorted(pick))]
    if isinstance(record, Order):
        for order in itertools.permutations(record.items):
            made = (
                slip.wrong(order)
                if callable(slip.wrong)
                else (order[: len(slip.wrong)] == tuple(slip.wrong))
            )
            if made and record.judge([", ".join(order)], card).slip == slip.name:
                return [", ".join(order)]
    raise AssertionError(f"nobody can make the slip “{slip.name}” of {record.name}")


def test_each_slip_gets_its_own_nudge_then_its_name(folder):
    card = source_of(folder).key.demo()
    for record in source_of(folder).key:
        told = []
        for slip in record.slips:
            verdict = record.judge(given(record, slip, card), card)
            assert verdict.slip == slip.name, (record.name, slip.name, verdict)
            assert verdict.credit == slip.credit < 1
            assert verdict.says == record.tell(slip.nudge, card, given="").replace(
                "{given}", ""
            ) or "{given}" in str(slip.nudge)
            assert verdict.at(1) != verdict.at(2), (record.name, slip.name)
            told += [verdict.at(1), verdict.at(2)]
        assert all(told), f"{record.name}: a slip without nudge or hint"
        assert len(set(told)) == len(told), f"{record.name}: two slips say the same"


# --- numbers with units -------------------------------------------------------------------------
def test_right_answer_in_any_unit(folder):
    """At least three ways of writing each answer; kinds with one unit use another number format."""
    card = source_of(folder).key.demo()
    more = {"area": ("mm2", "ft2"), "power": ("MW",), "angle": ("arcmin",)}
    for record in numbers_of(folder):
        answer = float(record.answer(card))
        kind = units.kind(record.unit)
        if kind == "clock":
            hour, minute = divmod(round(answer), 60)
            ways = [
                f"{hour:02d}:{minute:02d}",
                f"{hour}h{minute:02d}",
                f"{(hour - 1) % 12 + 1}:{minute:02d} {'pm' if hour >= 12 else 'am'}",
            ]
        else:
            ways = []
            for unit in dict.fromkeys((record.unit, *units.KINDS[kind][2], *more.get(kind, ()))):
                zero = units.parse(f"0 {'' if unit == '1' else unit}", record.unit).value
                one = units.parse(f"1 {'' if unit == '1' else unit}", record.unit).value - zero
                ways.append(f"{(answer - zero) / one:.9g} {'' if unit == '1' else unit}")
            number = units.from_base(answer, record.unit)
            suffix = "" if record.unit == "1" else record.unit
            ways += [f"{number:.6f}".replace(".", ",") + f" {suffix}", f"{number:.8e}{suffix}"]
        assert len(set(ways)) >= 3
        for way in ways:
            verdict = record.judge([way], card)
            assert verdict.credit == 1.0, (record.name, way, verdict)


def test_wrong_unit_is_a_case_of_its_own(folder):
    card = source_of(folder).key.demo()
    for record in numbers_of(folder):
        kind = units.kind(record.unit)
        if kind in ("clock", "ratio", "temperature"):
            continue
        number = f"{units.from_base(float(record.answer(card)), record.unit):.8g}"
        other = "kg" if kind != "mass" else "mm"
        verdict = record.judge([f"{number} {other}"], card)
        assert (verdict.slip, verdict.credit) == ("unit", 0.5), (record.name, verdict)
        verdict = record.judge([number], card)
        assert (verdict.slip, verdict.credit) == ("no unit", 0.5), (record.name, verdict)


def test_significant_figures_are_never_rejected(folder):
    card = source_of(folder).key.demo()
    for record in numbers_of(folder):
        if units.kind(record.unit) == "clock":
            continue
        answer = float(record.answer(card))
        number = units.from_base(answer, record.unit)
        unit = "" if record.unit == "1" else record.unit
        tried = 0
        for digits in range(1, 15):
            rounded = f"{number:.{digits}g}"
            text = f"{rounded} {unit}"
            if "e" in rounded or not record.tolerance.near(
                units.parse(text, record.unit).value, answer
            ):
                continue  # rounded so far that it is another number
            tried += 1
            assert record.judge([text], card).credit == 1.0, (record.name, text)
        assert tried >= 3, record.name


def test_carried_error_earns_full_credit(folder):
    key = source_of(folder).key
    card = key.demo()
    for record in numbers_of(folder):
        if record.carry is None:
            continue
        earlier = {r.name: 1.17 * float(r.answer(card)) for r in numbers_of(folder)}
        follows = record.carry(card, earlier)
        assert follows is not None and not record.tolerance.near(follows, record.answer(card))
        text = f"{units.from_base(follows, record.unit):.9g} {record.unit.replace('1', '')}"
        verdict = record.judge([text], card, earlier)
        assert (verdict.credit, verdict.slip) == (1.0, "carried"), record.name
        assert record.judge([text], card).credit != 1.0


# --- own numbers --------------------------------------------------------------------------------
def test_no_slip_is_near_the_answer_or_another_slip(folder):
    for card in cards(folder, VARIANTS):
        for record in numbers_of(folder):
            assert record.collisions(card, LEAST_APART) == [], dict(card)


def test_cards_differ_and_are_buildable(folder):
    key = source_of(folder).key
    drawn = cards(folder, VARIANTS)
    if key.numbers:
        assert len({tuple(card.values()) for card in drawn}) > 20
    if key.buildable is not None:
        assert all(key.buildable(card) for card in drawn)
    assert dict(key.draw("learner 1", "test secret")) == dict(drawn[2])
    if key.numbers:
        assert any(dict(key.draw(f"learner {i}", "other")) != dict(drawn[i + 1]) for i in range(3))


def test_solution_solves_random_cards(folder, tmp_path, monkeypatch):
    for card in cards(folder, VARIANTS)[:: VARIANTS // SOLVED_VARIANTS]:
        for line in try_it(folder, tmp_path, monkeypatch, True, card):
            assert line.credit in (1.0, None), (dict(card), line.text)


# --- the text -----------------------------------------------------------------------------------
def test_text_is_short_and_headings_never_skip(folder):
    level, problems = 0, []
    cells = source_of(folder).cells
    assert cells[0].is_markdown and cells[0].source.startswith("# ")
    for cell in cells:
        if not cell.is_markdown:
            code = [line for line in cell.solved.splitlines() if "### " not in line]
            if len(code) > 15:
                problems.append(f"line {cell.line}: {len(code)} lines of code")
            continue
        words = len(cell.source.split())
        if words > 120:
            problems.append(f"line {cell.line}: {words} words")
        for line in cell.source.splitlines():
            match = re.match(r"(#+) ", line)
            if match:
                if len(match[1]) > level + 1 or (level and len(match[1]) == 1):
                    problems.append(f"line {cell.line}: heading {line}")
                level = len(match[1])
    assert not problems


def test_skeleton_is_complete(folder):
    text = "\n".join(c.source for c in source_of(folder).cells if c.is_markdown).lower()
    for part in ("question", "you can", "hands-on", "safety", "key points", "permission"):
        assert part in text, part
    kinds = [c.kind for c in source_of(folder).cells]
    explorers = [i for i, k in enumerate(kinds) if k == "explorer"]
    if "predict" in kinds:
        assert kinds.index("predict") < (explorers or [len(kinds)])[0]


def test_first_code_cell_shows_the_card(folder):
    first = next(c for c in source_of(folder).cells if not c.is_markdown).source
    assert f'my = numbers("{source_of(folder).slug}")' in first
    assert first.rstrip().endswith("\nmy")


def test_texts_of_the_key_can_be_told(folder):
    key = source_of(folder).key
    for card in cards(folder, 3):
        for record in key:
            texts = [record.hint, record.worked]
            texts += [t for slip in record.slips for t in (slip.nudge, slip.hint)]
            for text in texts:
                told = record.tell(text, card, given="x")
                assert "{" not in told and "nan" not in told.split(), (record.name, told)
            if isinstance(record, Number | Function):
                assert record.worked, f"{record.name} has no worked step"
            if isinstance(record, Prediction):
                assert record.question and len(record.options) >= 2


# --- what is handed out -------------------------------------------------------------------------
def test_release_holds_no_solution(folder):
    source = source_of(folder)
    text = json.dumps(build.notebook(source), ensure_ascii=False)
    for mark in ("BEGIN SOLUTION", "END SOLUTION", "### START", "LESSON"):
        assert mark not in text
    released = {line.strip() for c in source.cells for line in c.released.splitlines()}
    for cell in source.cells:
        for line in set(map(str.strip, cell.source.splitlines())) - released:
            plain_line = json.dumps(line, ensure_ascii=False)[1:-1]
            if len(line) > 12 and not line.startswith("###"):
                assert plain_line not in text, line
    demo = source.key.demo()
    for record in source.key:
        for slip in record.slips:
            for told in (record.tell(slip.nudge, demo), record.tell(slip.hint, demo)):
                assert json.dumps(told, ensure_ascii=False)[1:-1] not in text, told
