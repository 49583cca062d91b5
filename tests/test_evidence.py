"""Every published value is asked of the library; nothing on the evidence page is hand-copied."""

import re
from dataclasses import replace

import pytest

from solarlib import evidence
from solarlib.evidence.answers import SUBJECTS, Answer, questions

ROWS = evidence.rows()


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_published_value(row):
    one = evidence.answer(row)
    if one.got is None:
        pytest.skip(one.remark)
    assert one.agrees, (
        f"{row.id}, {row.quantity} ({row.given}): {one.got:.6g} {row.unit} came, {row.expected:g} "
        f"± {row.tolerance:.2g} {row.unit} is expected. Source: {row.source} ({row.status})"
    )


def test_the_table_is_whole():
    assert len(ROWS) == 541
    assert len({row.id for row in ROWS}) == len(ROWS)
    assert {row.module for row in ROWS} == set(SUBJECTS)
    assert all(row.source and row.tolerance > 0 for row in ROWS)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_question_has_a_row_and_every_gap_a_reason(subject):
    ask, left_out = questions(subject)
    rows = evidence.rows(subject)
    names = {row.id for row in rows} | {row.quantity for row in rows}
    assert not set(ask) - names, "a question names no row"
    assert not set(left_out) - {row.id for row in rows}, "a row that doesn't exist is left out"
    assert all(len(reason.split()) >= 4 for reason in left_out.values()), "say why"


def test_a_row_nobody_asks_is_an_error():
    with pytest.raises(LookupError, match="xyz"):
        evidence.answer(replace(evidence.row("wat-007"), id="wat-999", quantity="xyz"))


def test_a_wrong_answer_is_seen_and_shown(tmp_path):
    right = evidence.answer(evidence.row("wat-007"))
    wrong = replace(right, got=right.row.expected + 2 * right.row.tolerance)
    out = Answer(right.row, None, "there is a reason for that")
    assert right.agrees is True and wrong.agrees is False and out.agrees is None
    assert evidence.summary([right, wrong, out]).startswith("1 of 3 published values")
    page, table = evidence.write_pages(tmp_path, [right, wrong, out])
    for text in (page.read_text(encoding="utf-8"), table.read_text(encoding="utf-8")):
        assert text.count("DISAGREES") == 1
        assert "left out: there is a reason for that" in text
    assert page.read_text(encoding="utf-8").count('class="wrong"') == 1


def test_pages_hold_every_row_with_its_source(tmp_path):
    some = [evidence.answer(row) for row in evidence.rows("water")]
    page, table = evidence.write_pages(tmp_path / "new" / "folder", some)
    html, markdown = page.read_text(encoding="utf-8"), table.read_text(encoding="utf-8")
    for one in some:
        assert f"<td>{one.row.id}</td>" in html and f"| {one.row.id} |" in markdown
        assert f"| {one.got:.6g} |" in markdown
    lines = [line for line in markdown.splitlines() if line.startswith("| wat-")]
    assert {len(re.findall(r"(?<!\\)\|", line)) for line in lines} == {10}
    memory = sum(one.row.status == "from memory of the source" for one in some)
    assert memory > 0 and f"{memory} from memory of the source" in markdown
    assert "not that a heater built by it is safe" in html and "IAPWS" in html
    assert not re.search(r"<(script|link|img)|https?://", html), "the page needs nothing else"
