"""The answer key: what each kind of record says to right, wrong, empty and hostile answers."""

from __future__ import annotations

import datetime
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from autograde import plain
from autograde.borrowed import leans_on_solarlib
from autograde.key import (
    Choice,
    Factor,
    Function,
    KeyPoint,
    Lesson,
    Number,
    Order,
    Own,
    OwnData,
    Prediction,
    Relative,
    ShortText,
    Slip,
    Within,
)
from autograde.lesson import exercise
from autograde.numbers import load, save

DEPTH = Number(
    name="depth",
    points=2,
    unit="mm",
    answer=lambda n: n.width**2 / (16 * n.f),
    tolerance=Within(0.5, "mm", "a pencil line"),
    slips=[
        Slip(
            "full width", lambda n: n.width**2 / (4 * n.f), "Where does x start?", "Half {width}."
        ),
        Slip("2f", lambda n: (n.width**2 / (8 * n.f), 0.999), "Which f?", "Four f, not two."),
    ],
    worked="{width} and {f} give {answer}.",
)
AREA = Number(
    name="area",
    unit="m2",
    answer=lambda n: n.width * 0.9,
    tolerance=Relative(0.01, "arithmetic"),
    slips=[Slip("sum", lambda n: n.width + 0.9)],
    carry=lambda n, earlier: earlier["depth"] * 0.9,
)
LESSON = Lesson(
    "tiny",
    1,
    "Tiny",
    [DEPTH, AREA],
    {"width": Own(640, "mm", 600, 700, 20, "width"), "f": Own(170, "mm", 150, 200, 10, "f")},
    buildable=lambda n: n.width / n.f < 4,
)
CARD = LESSON.demo()  # depth 0.64**2 / (16 * 0.17) = 150.588 mm, by hand


# --- numbers ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "credit", "slip"),
    [
        ("150.6 mm", 1, None),
        ("150,6 mm", 1, None),
        ("15.06 cm", 1, None),
        ("0.1506 m", 1, None),
        ("5 15/16 in", 1, None),  # 150.81 mm
        ('5.93"', 1, None),
        ("150.588235294117 mm", 1, None),
        ("151 mm", 1, None),
        ("151.2 mm", 0, None),
        ("602 mm", 0, "full width"),
        ("60.2 cm", 0, "full width"),
        ("602", 0, "full width"),
        ("301.2 mm", 0, "2f"),
        ("999 mm", 0, "2f"),
        ("0.1506 mm", 0.5, "unit"),
        ("150.6 cm", 0.5, "unit"),
        ("150.6 kg", 0.5, "unit"),
        ("150.6", 0.5, "no unit"),
        (150.588, 0.5, "no unit"),
        (0.150588, 0.5, "no unit"),
        ((150, 6), 0.5, "no unit"),
        ("", 0, "empty"),
        ("  \n", 0, "empty"),
        ("...", 0, "empty"),
        (None, 0, "empty"),
        ("about so deep", 0, "unreadable"),
        ("nan mm", 0, "unreadable"),
        ("inf", 0, "unreadable"),
        ([150.6], 0, "unreadable"),
        (True, 0, "unreadable"),
        (10**200, 0, "unreadable"),
        ("-150.6 mm", 0, None),
        ("0 mm", 0, None),
        (plain.Fault("NameError", "name 'depth' is not defined"), 0, "empty"),
        (plain.Fault("ZeroDivisionError", "division by zero"), 0, "error"),
        (plain.Other("function"), 0, "unreadable"),
    ],
)
def test_number(text, credit, slip):
    verdict = DEPTH.judge([text], CARD)
    assert (verdict.credit, verdict.slip) == (credit, slip)
    assert verdict.says and "Traceback" not in verdict.says


def test_three_steps_of_help():
    verdict = DEPTH.judge(["602 mm"], CARD)
    assert verdict.at(1) == "Where does x start?"
    assert verdict.at(2) == "Half 640 mm."
    assert verdict.at(3) == verdict.at(9) == "Half 640 mm. 640 mm and 170 mm give 150.6 mm."
    right = DEPTH.judge(["150.6 mm"], CARD)
    assert right.at(1) == right.at(3) and right.right


def test_carried_error():
    earlier = LESSON.earlier({"depth": "300 mm", "nothing": "x"})
    assert earlier == {"depth": pytest.approx(0.3)}
    verdict = AREA.judge(["0.27 m2"], CARD, earlier)
    assert (verdict.credit, verdict.slip) == (1.0, "carried")
    assert AREA.judge(["0.27 m2"], CARD).credit == 0
    assert AREA.judge(["0.576 m2"], CARD, earlier).slip is None
    assert AREA.judge(["0.27"], CARD, earlier).slip == "no unit"


def test_a_carry_without_earlier_answer_or_with_nonsense_is_no_error():
    for carry in (
        lambda n, e: e["x"],
        lambda n, e: None,
        lambda n, e: 1 / 0,
        lambda n, e: math.inf,
    ):
        record = Number(
            name="a", unit="m2", answer=lambda n: 1.0, carry=carry, tolerance=Relative(0.01, "test")
        )
        assert record.judge(["7 m2"], CARD).credit == 0


@pytest.mark.parametrize(
    ("unit", "answer", "text", "credit", "slip"),
    [
        ("%", 0.14, "14 %", 1, None),
        ("%", 0.14, "14", 1, None),
        ("%", 0.14, "0.14", 1, None),  # a share of 1
        ("%", 0.14, "0.14 %", 0.5, "unit"),
        ("1", 8.94, "8.94", 1, None),
        ("1", 8.94, "894 %", 1, None),
        ("1", 8.94, "0.894", 0.5, "unit"),
        ("clock", 724.0, "12:04", 1, None),
        ("clock", 724.0, "12:14", 0, None),
        ("clock", 724.0, "noon", 0, "unreadable"),
        ("degC", 60.0, "140 °F", 1, None),
        ("degC", 60.0, "60", 0.5, "no unit"),
        ("degC", 60.0, "140 °C", 0, None),
        ("W", 490.0, "0.49 kW", 1, None),
        ("W", 490.0, "0.49 W", 0.5, "unit"),
        ("W", 490.0, "490 W/m2", 0.5, "unit"),
        ("deg", 14.6, "0.2548 rad", 1, None),
        ("deg", 14.6, "0.2548 deg", 0.5, "unit"),
    ],
)
def test_kinds_of_units(unit, answer, text, credit, slip):
    tolerance = Within(2, "clock", "two minutes") if unit == "clock" else Relative(0.01, "test")
    record = Number(name="a", unit=unit, answer=lambda n: answer, tolerance=tolerance)
    verdict = record.judge([text], CARD)
    assert (verdict.credit, verdict.slip) == (credit, slip)


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=30) | st.floats() | st.integers() | st.lists(st.integers(), max_size=2))
def test_no_answer_breaks_a_number(value):
    verdict = DEPTH.judge([plain.accept(plain.to_plain(value))], CARD)
    assert verdict.credit in (0, 0.5, 1)


# --- tolerances ---------------------------------------------------------------------------------
def test_tolerances_measure_distance_in_themselves():
    assert Within(0.5, "mm", "t").apart(0.150, 0.152) == pytest.approx(4)
    assert Within(3, "degC", "t").apart(100.0, 94.0) == pytest.approx(2)
    assert Within(9, "degF", "t").apart(100.0, 95.0) == pytest.approx(1)  # 9 °F is 5 K
    assert Relative(0.02, "t").apart(100.0, 90.0) == pytest.approx(5)
    assert Factor(2.0, "t").apart(10.0, 80.0) == pytest.approx(3)  # 80 = 10 × 2³
    assert Factor(1.15, "t").near(100, 87) and not Factor(1.15, "t").near(100, 86)
    assert Factor(1.15, "t").apart(1.0, -1.0) == math.inf


def test_collisions_are_found():
    close = Number(
        name="a",
        unit="mm",
        answer=lambda n: 0.1,
        tolerance=Within(1, "mm", "t"),
        slips=[Slip("near", lambda n: 0.102), Slip("far", lambda n: (0.2, 0.3))],
    )
    assert len(close.collisions(CARD)) == 1 and "near" in close.collisions(CARD)[0]


# --- own numbers --------------------------------------------------------------------------------
def test_cards_are_drawn_by_learner_lesson_and_secret():
    first = LESSON.draw("pim", "secret")
    assert dict(first) == dict(LESSON.draw("pim", "secret"))
    others = [LESSON.draw(f"learner {i}", "secret") for i in range(200)]
    assert len({tuple(card.values()) for card in others}) > 15  # of 36, less the unbuildable
    assert any(dict(LESSON.draw("pim", s)) != dict(first) for s in ("a", "b", "c"))
    for card in others:
        assert card.width / card.f < 4 and round(card.width * 1000) % 20 == 0


def test_ranges_that_cannot_be_built_are_said():
    hopeless = Lesson("tiny", 1, "Tiny", [], LESSON.numbers, buildable=lambda n: False)
    with pytest.raises(ValueError, match="widen the ranges"):
        hopeless.draw("pim", "secret")
    with pytest.raises(ValueError, match="the demo must lie in the range"):
        Own(5, "mm", 10, 20, 1, "width")


def test_a_card_shows_itself_and_survives_its_file(tmp_path):
    assert "640 mm" in repr(CARD) and "640 mm" in CARD._repr_html_()
    assert "<th scope" in CARD._repr_html_()
    save(tmp_path / "numbers.json", "pim", {"tiny": CARD})
    again = load(tmp_path / "numbers.json")["tiny"]
    assert dict(again) == dict(CARD) and repr(again) == repr(CARD)
    with pytest.raises(AttributeError, match="the card holds: width, f"):
        _ = CARD.depth
    (tmp_path / "numbers.json").write_text('{"numbers": 3}')
    with pytest.raises(ValueError, match="copy it again"):
        load(tmp_path / "numbers.json")


# --- functions ----------------------------------------------------------------------------------
POWER = Function(
    name="power",
    signature="power(area, sun)",
    examples=[(0.5, 800)],
    cases=lambda n, rng: [(rng.uniform(0.1, 2), rng.randrange(200, 900)) for _ in range(4)],
    reference=lambda area, sun: area * sun,
    tolerance=Relative(1e-9, "same arithmetic"),
    slips=[
        Slip("prints", lambda area, sun: None, "hands nothing back", "return it"),
        Slip("constant", Function.CONSTANT, "same every time", "use the names"),
        Slip("stops", lambda area, sun: 1 / 0, "stops", "stops", credit=0.25),
    ],
    hint="area times sun",
)


def answers(function, seed=0):
    space = {"power": function}
    values = []
    for expression in POWER.asks(CARD, seed):
        try:
            values.append(plain.accept(plain.to_plain(eval(expression, space))))
        except Exception as error:
            values.append(plain.accept(plain.to_plain(error)))
    return values


@pytest.mark.parametrize(
    ("function", "credit", "slip"),
    [
        (lambda a, s: a * s, 1, None),
        (lambda a, s: None, 0, "prints"),
        (lambda a, s: 490.0, 0, "constant"),
        (lambda a, s: a / 0, 0.25, "stops"),
        (lambda a, s: a + s, 0, None),
        (lambda a, s: 400.0 if a == 0.5 else 0.0, 0, None),
        (lambda a, s: "400", 0, None),
        (lambda a, s: math.nan, 0, None),
    ],
)
def test_function(function, credit, slip):
    verdict = POWER.judge(answers(function, 7), CARD, seed=7)
    assert (verdict.credit, verdict.slip) == (credit, slip)


def test_hidden_cases_follow_the_seed_and_are_not_told():
    assert POWER.asks(CARD, 1) == POWER.asks(CARD, 1) != POWER.asks(CARD, 2)
    assert POWER.asks(CARD, 1)[0] == POWER.asks(CARD, 2)[0] == "power(0.5, 800)"
    known = {
        eval(e.removeprefix("power")): v
        for e, v in zip(POWER.asks(CARD, 1), answers(lambda a, s: a * s, 1), strict=True)
    }
    by_heart = lambda a, s: known.get((a, s), 0.0)  # noqa: E731
    assert POWER.judge(answers(by_heart, 1), CARD, seed=1).credit == 1
    verdict = POWER.judge(answers(by_heart, 2), CARD, seed=2)
    assert verdict.credit == 0
    for expression in POWER.asks(CARD, 2)[1:]:
        assert expression not in verdict.says + verdict.hint


def test_dates_and_lists_can_be_asked():
    record = Function(
        name="f",
        signature="f(x)",
        reference=lambda x: 0,
        cases=lambda n, rng: [
            (datetime.date(2025, 3, 1),),
            ([1, (2.0, "a")],),
            (datetime.datetime(2025, 3, 1, 12),),
        ],
    )
    seen = [eval(e, {"f": lambda x: x}) for e in record.asks(CARD)]
    assert seen == [c[0] for c in record.calls(CARD)]


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("area * sun", True),
        ("area × sun", True),
        ("return area*sun", True),
        ("watts = area * sun", True),
        ("def power(area, sun):\n    return area * sun", True),
        ("area + sun", False),
    ],
)
def test_a_rule_typed_as_text(text, right):
    space = {}
    exec(POWER.from_text(text), space)
    assert (POWER.judge(answers(space["power"]), CARD).credit == 1) == right


@pytest.mark.parametrize(
    ("source", "leans"),
    [
        ("def f(x):\n    return geometry.Parabola(x, 1).depth", True),
        ("from solarlib.geometry import Parabola", True),
        ("import solarlib.sun as s", True),
        ("def f(x):\n    import solarlib\n    return solarlib.sun.position(x)", True),
        ("def power(area, sun):\n    return area * sun", False),
        ("def power(area, sun):\n    return area * sun.real", False),
        ("def f(x):\n    return np.asarray(x)", False),
        ("this is not Python", False),
        ("(" * 500, False),
    ],
)
def test_leaning_on_the_library_is_seen(source, leans):
    assert leans_on_solarlib(source) == leans


# --- picking and ordering -----------------------------------------------------------------------
ONE = Choice(name="c", options={"a": "x", "b": "y"}, answer="a", slips=[Slip("b", "b", "n", "h")])
MANY = Choice(
    name="m",
    options={"a": "x", "b": "y", "c": "z"},
    answer={"a", "b"},
    slips=[Slip("greedy", lambda picked: "c" in picked, "n", "h")],
)
ROW = Order(
    name="o",
    items={"a": "1", "b": "2", "c": "3"},
    answer=("a", "b", "c"),
    credit=lambda order: 0.5 if order[0] == "a" else 0.0,
    slips=[Slip("backwards", ("c", "b"), "n", "h")],
)


@pytest.mark.parametrize(
    ("record", "value", "credit", "slip"),
    [
        (ONE, "a", 1, None),
        (ONE, " A) ", 1, None),
        (ONE, ["a"], 1, None),
        (ONE, "b", 0, "b"),
        (ONE, "a, b", 0, "unreadable"),
        (ONE, "z", 0, "unreadable"),
        (ONE, 3, 0, "unreadable"),
        (MANY, "b, a", 1, None),
        (MANY, {"a", "b"}, 1, None),
        (MANY, "B and A", 1, None),
        (MANY, "ab", 1, None),
        (MANY, "abd", 0, "unreadable"),
        (ONE, "ab", 0, "unreadable"),
        (MANY, "a", 0, None),
        (MANY, "a, b, c", 0, "greedy"),
        (ROW, "a, b, c", 1, None),
        (ROW, ("a", "c", "b"), 0.5, None),
        (ROW, "c b a", 0, "backwards"),
        (ROW, "cba", 0, "backwards"),
        (ROW, "a then b then c", 1, None),
        (ROW, "c, b, a", 0, "backwards"),
        (ROW, "a, b, c, c", 0, "unreadable"),
        (ROW, "a, b", 0, "unreadable"),
        (ROW, {"a", "b", "c"}, 0, "unreadable"),  # a set has no order
    ],
)
def test_picks(record, value, credit, slip):
    verdict = record.judge([plain.accept(plain.to_plain(value))], CARD)
    assert (verdict.credit, verdict.slip) == (credit, slip)


# --- what a person marks, and own data ----------------------------------------------------------
TEXT = ShortText(
    name="why",
    points_looked_for=[
        KeyPoint("twist", ("twist",), "It twists."),
        KeyPoint("line", ("one line",), "One line."),
    ],
)


def test_text_is_never_marked_only_hinted():
    full = TEXT.judge(["Otherwise it TWISTS and leaves\n one  line."], CARD)
    part = TEXT.judge(["It is twisted."], CARD)
    assert full.credit is None and part.credit is None
    assert "2 of 2" in full.says and part.slip == "missing points"
    assert "One line." in part.at(3) and "It twists." not in part.at(3)
    assert TEXT.judge([""], CARD).credit is None


def test_prediction_is_never_marked():
    guess = Prediction(name="p", question="?", options={"a": "x", "b": "y"})
    assert guess.judge(["b"], CARD).credit is None
    assert guess.judge(["z"], CARD).slip == "unreadable"


def test_own_data_counts_its_checks():
    record = OwnData(
        name="d", points=2, checks=lambda t: [("8" in t, "No 8."), ("t" in t, "No t.")]
    )
    assert record.judge(["8 t"], CARD).credit == 1
    half = record.judge(["8"], CARD)
    assert half.credit == 0.5 and "No t." in half.says
    assert record.judge([3], CARD).credit == 0


def test_own_data_names_its_rows_and_stays_short():
    record = OwnData(
        name="d", points=2, checks=lambda t: [("8" in t, "No 8.")],
        problems=lambda t: [f"Line {k}: odd." for k in range(len(t))],
    )  # fmt: skip
    assert "· Line 0: odd.\n· Line 1: odd." in record.judge(["8 "], CARD).says
    wrong = record.judge(["x" * 40], CARD)
    assert wrong.says.endswith("Line 24: odd.\n· and 15 more like these.") and "Line 3" in wrong.hint


# --- lessons 00 and 01: answers by hand -----------------------------------------------------------
@pytest.mark.parametrize(
    ("full_id", "by_hand"),
    [
        ("start.opening_area", 0.640 * 0.900),
        ("start.power_in", 0.640 * 0.900 * 850),
        ("parabola.depth", 0.320**2 / (4 * 0.170)),
        ("parabola.old_focal_length", 0.320**2 / (4 * 0.128)),
        # arc length by integrating sqrt(1 + (dy/dx)²), another way than the closed formula
        ("parabola.sheet", 2 * quad(lambda x: math.hypot(1, x / (2 * 0.170)), 0, 0.320)[0]),
        ("parabola.thickest", 2 * 0.170 / 330),
        # x²/(4y) with every y multiplied by 0.98
        ("parabola.printed_focal_length", 0.320**2 / (4 * 0.98 * 0.320**2 / (4 * 0.170))),
    ],
)
def test_demo_answers_by_hand(full_id, by_hand):
    key, record = exercise(full_id)
    assert record.answer(key.demo()) == pytest.approx(by_hand, rel=1e-9)


def test_the_rib_rule_by_hand_and_the_printer_hint():
    key, record = exercise("parabola.rib_height")
    assert record.reference([-40.0, 0.0, 320.0], 170.0) == pytest.approx(
        [1600 / 680, 0.0, 102400 / 680]
    )
    _, choice = exercise("parabola.short_bar")
    hint = choice.judge(["c"], key.demo()).hint
    # f' = f sx²/sy: 170 (1 − 0.97) = 5.1 mm, 170 (1 − 0.97²) = 10.05 mm
    assert "5.1 mm" in hint and "10 mm" in hint
