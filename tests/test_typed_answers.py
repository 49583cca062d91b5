"""What is typed into a form is read as it was meant, echoed as it was read, and answered in kind.

No Python is needed for full credit: a rule of one line stands in the place of the marked line of
the function as it is handed out. What cannot be read is named every time and costs nothing.
"""

from __future__ import annotations

import re

import pytest

from autograde import lesson, log
from autograde.asking import ask, evaluate
from autograde.check import answer
from autograde.key import Choice, Function, Number, Order
from tests.lesson_reading import LESSONS

pytestmark = pytest.mark.usefixtures("workspace")

KEYS = [lesson.load_key(folder) for folder in LESSONS]
FUNCTIONS = [(key, record) for key in KEYS for record in key if isinstance(record, Function)]


def names(pairs):
    return [key.id(record) for key, record in pairs]


# --- shares ---------------------------------------------------------------------------------------
SHARES = [
    # typed for a share of 50 % -> right, what the verdict must say
    ("50 %", True, ["50 %"]),
    ("50", True, ["50 %"]),
    ("0.5", True, ["0.5 (50 %)"]),
    ("0,5", True, ["0,5 (50 %)"]),
    ("0.6", False, ["0.6 (60 %)", "too large"]),
    ("60 %", False, ["You gave 60 %;", "too large"]),
    ("0.9", False, ["0.9 (90 %)", "too large"]),
    ("0.3", False, ["0.3 (30 %)", "too small"]),
    ("30", False, ["You gave 30 %;", "too small"]),
]


@pytest.mark.parametrize(("text", "right", "said"), SHARES, ids=[row[0] for row in SHARES])
def test_a_share_is_echoed_as_it_was_read(text, right, said):
    result = answer("heat_loss.useful_share", text)
    assert result.right == right
    assert all(words in result.says for words in said), result.says


@pytest.mark.parametrize(("text", "said"), [
    ("56 %", "56 % (0.56)"),
    ("90 %", "You gave 90 % (0.9); that is too large"),
    ("0.9", "You gave 0.9; that is too large"),
])  # fmt: skip
def test_a_percentage_for_a_plain_share_is_echoed_as_typed(text, said):
    assert said in answer("heating_test.efficiency", text).says


def test_a_share_counts_the_same_for_what_follows_from_it():
    record = lesson.exercise("heat_loss.useful_share")[1]
    assert record.reading("0.3") == record.reading("30 %") == record.reading("30") == 0.3


# --- what cannot be read --------------------------------------------------------------------------
UNREADABLE = [
    ("start.opening_area", "about half", ["about half"]),
    ("start.opening_area", "12 kg", ["12 kg", "a mass", "an area"]),
    ("parabola.depth", "12 kg", ["12 kg", "a mass", "a length"]),
    ("parabola.depth", "12 m²", ["an area", "a length"]),
    ("sun.solar_noon", "about noon", ["about noon"]),
    ("parabola.short_bar", "z", ["z"]),
    ("hazards.shutdown", "a", ["a"]),
    ("start.power", "area times sun", ["area times sun"]),
    ("start.power", "area * mirror", ["mirror"]),
    ("start.power", "area * (sun", ["area * (sun"]),
]


@pytest.mark.parametrize(("full_id", "text", "named"), UNREADABLE,
                         ids=[f"{row[0]}: {row[1]}" for row in UNREADABLE])  # fmt: skip
def test_what_cannot_be_read_is_named_at_any_try_and_costs_none(full_id, text, named):
    told, *again = [answer(full_id, text).says for _ in range(4)]
    key, record = lesson.exercise(full_id)
    assert {*again} == {told} and all(words in told for words in named), told
    worked = record.tell(record.worked, key.demo())
    assert worked not in told and log.misses(full_id) == []


def test_a_rule_that_runs_and_stops_says_so_at_every_try():
    told = [answer("start.power", "area / 0").says for _ in range(3)]
    assert all("ZeroDivisionError" in says for says in told)
    assert "watts = area * sun" not in told[1] and "watts = area * sun" in told[2]


@pytest.mark.parametrize("text", ["0,576 qm", "0.576 sqm", "0.576 sq m", "6.2 sq ft", "6.2 sqft",
                                  "6.2 square feet", "5760 qcm", "0.576 square metres",
                                  "893 sq in"])  # fmt: skip
def test_areas_as_people_write_them(text):
    # 1 ft is 0.3048 m and 1 in 25.4 mm exactly: 6.2 ft² is 0.5760 m², 893 in² is 0.5761 m²
    assert answer("start.opening_area", text).right


@pytest.mark.parametrize("text", ["12.04", "12:04", "12h04", "12.04 pm"])
def test_a_point_may_stand_in_a_clock_time(text):
    result = answer("sun.solar_noon", text)
    assert result.right and "12:04" in result.says


def test_a_wrong_clock_time_is_early_or_late():
    assert "You gave 12:30; that is too late. Check which numbers" in answer(
        "sun.solar_noon", "12.30").says  # fmt: skip
    assert log.misses("sun.solar_noon")[0].slip is None


# --- help, step by step ---------------------------------------------------------------------------
def says(*texts):
    return [answer("parabola.depth", text).says for text in texts]


NUDGE, HINT, WORKED = "Where does x start?", "You put in the full width", "150.6 mm"


def test_a_slip_made_three_times_is_asked_then_named_then_worked():
    first, second, third = says("602 mm", "602 mm", "602 mm")
    assert NUDGE in first and HINT not in first
    assert HINT in second and WORKED not in second
    assert HINT in third and WORKED in third


def test_a_new_slip_at_the_second_try_is_asked_before_it_is_named():
    assert NUDGE in says("77 mm", "602 mm")[1]
    assert HINT in says("602 mm")[0]  # the third try


def test_a_slip_is_named_at_its_first_appearance_after_other_misses():
    third = says("77 mm", "78 mm", "602 mm")[2]
    assert HINT in third and WORKED in third


@pytest.mark.parametrize(("full_id", "wrong"), [("sun.southern_direction", "bcd")])
def test_each_wrong_pick_gets_words_of_its_own(full_id, wrong):
    key, record = lesson.exercise(full_id)
    told = [answer(full_id, letter).says for letter in wrong]
    hints = [record.tell(slip.hint, key.demo()) for slip in record.slips]
    assert hints[2] in told[2] and len(set(told)) == 3


# --- rules typed into the box -----------------------------------------------------------------------
@pytest.mark.parametrize(("key", "record"), FUNCTIONS, ids=names(FUNCTIONS))
def test_the_worked_rule_typed_as_it_is_told_is_right(key, record):
    told = record.tell(record.worked, key.demo())
    for typed in (told, told.partition(" = ")[2], f"{told}."):
        result = answer(key.id(record), typed)
        assert result.right, (typed, result.says)


@pytest.mark.parametrize(("key", "record"), FUNCTIONS, ids=names(FUNCTIONS))
def test_the_line_as_handed_out_is_not_right_and_knows_all_its_names(key, record):
    marked = record.marked_line(lesson.handed_out(key.slug, record.name))
    result = answer(key.id(record), marked.partition("#")[0])
    assert not result.right and result.slip not in ("error", "unreadable"), result.says


@pytest.mark.parametrize(("key", "record"), FUNCTIONS, ids=names(FUNCTIONS))
def test_the_solution_typed_as_one_rule_is_right(key, record):
    if not (lines := solution_of(key, record)):
        pytest.skip("an installed course has no solutions")
    *before, last = lines
    rule = last.partition(" = ")[2]
    for line in before:  # a name of its own is put in, as on paper
        name, _, value = line.partition(" = ")
        rule = re.sub(rf"\b{name}\b", f"({value})", rule)
    assert answer(key.id(record), rule).right


def solution_of(key, record):
    cells = lesson.load(lesson.find(key.slug).name).cells
    source = next(c.source for c in cells if c.kind == "answer" and c.name == record.name)
    if "### BEGIN SOLUTION" not in source:
        return []
    inside = source.partition("### BEGIN SOLUTION")[2].partition("### END SOLUTION")[0]
    return [line.strip() for line in inside.splitlines() if line.strip()]


SLIPS = [
    ("start.power", "area + sun", "added"),
    ("start.power", "490", "constant"),
    ("parabola.rib_height", "x / (4 * f_mm)", "not squared"),
    ("parabola.rib_height", "height = x**2 / (2 * f_mm)", "2f"),
    ("concentration.share_caught", "(right_end - left_end) / band", "below zero"),
    ("concentration.share_caught", "max(0, right_end - left_end) / pipe", "share of the pipe"),
    ("concentration.share_caught", "min(band, pipe) / band", "offset forgotten"),
    ("sun.declination", "longitude", "longitude itself"),
    ("sun.declination", "-asin(sin(lean) × sin(longitude))", "winter in June"),
    ("sun.tilt_needed", "degrees(atan(tan(d) / cos(w)))", "plain arctangent"),
    ("sun.tilt_needed", "degrees(atan2(sin(dec), cos(dec) * cos(hour_angle)))",
     "degrees fed to sine"),
    ("heat_loss.step", "POWER * dt_s / CAPACITY", "loss forgotten"),
    ("heat_loss.step", "(POWER − LOSS × temp) × dt_s ÷ CAPACITY", "air forgotten"),
    ("heating_test.interval_powers", "mass_kg * 4186 * (b - a) / (60 * (t2 - t1))", "units mixed"),
]  # fmt: skip


@pytest.mark.parametrize(("full_id", "typed", "slip"), SLIPS,
                         ids=[f"{row[0]}: {row[2]}" for row in SLIPS])  # fmt: skip
def test_a_wrong_rule_gets_its_slip(full_id, typed, slip):
    assert answer(full_id, typed).slip == slip


@pytest.mark.parametrize(
    ("full_id", "typed"),
    [
        ("concentration.share_caught",
         "max(0, min(pipe/2, offset + band/2) - max(-pipe/2, offset - band/2)) / band"),
        ("concentration.share_caught", "return max(0, right_end - left_end) / band"),
        ("heat_loss.step", "step(temp, dt_s) = temp + (POWER-LOSS*(temp-AIR))*dt_s/CAPACITY"),
        ("heat_loss.step", "step = temp + (POWER-LOSS*(temp-AIR))*dt_s/CAPACITY"),
        ("heat_loss.step", "return temp + (POWER-LOSS*(temp-AIR))*dt_s/CAPACITY"),
        ("heat_loss.step", "new change = (POWER-LOSS*(temp-AIR))*dt_s/CAPACITY"),
        ("parabola.rib_height", "x_mm² / (4·f_mm)"),
        ("parabola.rib_height", "x * x / (4 * f_mm)"),
        ("start.power", "def power(area, sun):\n    return area * sun"),
    ],
)  # fmt: skip
def test_other_ways_of_typing_a_right_rule(full_id, typed):
    result = answer(full_id, typed)
    assert result.right, result.says


@pytest.mark.parametrize(("key", "record"), FUNCTIONS, ids=names(FUNCTIONS))
def test_a_rule_kept_in_the_log_stands_on_its_own(key, record):
    """A class gets the log: the kept source must run in an empty namespace, and be right again."""
    told = record.tell(record.worked, key.demo())
    kept = log.last(key.id(record)) if answer(key.id(record), told).right else None
    space = {"__name__": "answer"}
    exec(kept.answer, space)
    values = [evaluate(call, space) for call in record.asks(key.demo(), 5)]
    assert record.judge(values, key.demo(), seed=5).right
    again, _ = ask(key, record, kept.answer, {}, key.demo(), seed=6)
    assert record.judge(again, key.demo(), seed=6).right


def test_a_rule_in_a_text_cell_is_put_into_the_function_for_the_class_too(tmp_path):
    from autograde.intake import Intake, frame
    from autograde.marks import make_job
    from autograde.runner.job import Limits

    source = lesson.load("heat_loss")
    card = source.key.demo()
    rule = "change = (POWER - LOSS * (temp - AIR)) * dt_s / CAPACITY"
    job = make_job(Intake(frame(source), written={"step": rule}), source.key, card, "s", Limits())
    typed = next(step.define for step in job.steps if step.define)
    space = {"__name__": "answer"}
    exec(typed, space)
    # by hand: 350 W less 4 W/K × 40 K is 190 W; for 60 s into 26 000 J/K that is 0.4385 °C
    assert space["step"](60.0, 60.0) == pytest.approx(60.4385, abs=1e-4)


# --- words ------------------------------------------------------------------------------------------
MARKDOWN = re.compile(r"(?<![\w)\]])\*\*\S|`|\]\(|(?<![\w/])_\w[^_]*_(?!\w)")


@pytest.mark.parametrize("key", KEYS, ids=LESSONS)
def test_no_text_of_a_verdict_holds_markdown(key):
    """A verdict is shown as plain words: stars would be read as stars."""
    card = key.demo()
    for record in key:
        texts = [record.hint, record.worked, *record.after]
        texts += [text for slip in record.slips for text in (slip.nudge, slip.hint)]
        for told in (record.tell(text, card) for text in texts):
            assert not MARKDOWN.search(told), (record.name, told)


@pytest.mark.parametrize("key", KEYS, ids=LESSONS)
def test_a_right_pick_says_why(key):
    for record in key:
        if not isinstance(record, Choice | Order):
            continue
        why = " ".join(record.after)
        assert 4 <= len(why.split()) <= 25 and why.endswith("."), (record.name, why)
        assert why in record.judge([record.solution(key.demo())], key.demo()).says


def test_nothing_picked_is_said_in_words_of_picking():
    for full_id, word in (("start.stale", "Pick"), ("start.rules", "Tick"),
                          ("hazards.shutdown", "order")):  # fmt: skip
        told = answer(full_id, "").says
        assert word in told and "unit" not in told
    assert "unit" in answer("parabola.depth", "").says
    assert "unit" not in answer("sun.solar_noon", "").says


@pytest.mark.parametrize("key", KEYS, ids=LESSONS)
def test_an_example_of_an_answer_gives_nothing_away(key):
    cards = [key.demo(), *(key.draw(f"learner {i}", "s") for i in range(30))]
    for record in key:
        if isinstance(record, Number):
            for card in cards:
                typed = record.example(card)
                verdict = record.judge([typed], card)
                assert verdict.credit == 0 and verdict.slip is None, (record.name, typed, dict(card))
                assert "degC" not in typed and "m2" not in typed


# --- the form itself --------------------------------------------------------------------------------
def form_of(full_id):
    from autograde import form

    results = []
    fields, button = form.answer_form(full_id, results.append).children
    return fields, button, results


@pytest.mark.parametrize(
    ("full_id", "label", "example"),
    [
        ("heating_test.efficiency", "Your answer:", "such as 12.3 % or 0.123"),
        ("heat_loss.useful_share", "Your answer:", "such as 12.3 % or 0.123"),
        ("heating_test.combined", "Your answer:", "such as 30 % or 0.3"),  # 12.4 % is right there
        ("concentration.ratio", "Your answer:", "such as 12.3"),
        ("heat_loss.dry_temp", "Your answer with its unit:", "such as 12.3 °C"),
        ("start.opening_area", "Your answer with its unit:", "such as 12.3 m²"),
        ("sun.june_tilt", "Your answer with its unit:", "such as 12.3°"),
        ("sun.solar_noon", "Your answer:", "such as 15:30"),
    ],
)
def test_a_box_says_how_to_write_the_answer(full_id, label, example):
    box = form_of(full_id)[0]
    assert (box.description, box.placeholder) == (label, example)


@pytest.mark.parametrize(
    ("full_id", "left", "names"),
    [
        ("sun.declination", "height =", ["date", "longitude", "lean", "sin", "asin", "degrees"]),
        ("heat_loss.step", "change =", ["temp", "dt_s", "POWER", "LOSS", "CAPACITY", "AIR"]),
        ("concentration.share_caught", "share =", ["band", "right_end", "left_end"]),
        ("heating_test.interval_powers", "power =", ["mass_kg", "a", "unit_a", "t2", "celsius"]),
    ],
)
def test_a_rule_box_says_what_it_stands_for_and_what_may_be_used(full_id, left, names):
    fields, button, results = form_of(full_id)
    told, rule = fields.children
    assert rule.description == left
    listed = re.sub("<[^>]*>", "", told.value)
    assert listed.startswith("You may use")
    assert set(names) <= set(re.findall(r"\w+", listed)), listed
    rule.value = lesson.exercise(full_id)[1].worked
    button.click()
    assert results[0].right


def test_the_three_times_are_worked_out_in_the_form_without_code():
    fields, button, results = form_of("capstone.middle")
    tool, box = fields.children
    water, target, work, told = tool.children
    water.value, target.value = "6 kg", "55 °C"
    work.click()
    times = re.findall(r"\d+\.\d min", told.value)
    assert len(times) == 3 and "in no special order" in told.value and 'role="status"' in told.value
    late, early, middle = (float(time[:-4]) for time in times)
    assert early < middle < late
    for full_id, time in zip(("late", "early", "middle"), times, strict=True):
        assert answer(f"capstone.{full_id}", time).right
    box.value = times[2]
    button.click()
    assert results[0].right


@pytest.mark.parametrize(
    ("water", "target", "names"),
    [
        ("", "55 °C", ["Your water", "kg"]),
        ("six", "55 °C", ["Your water", "six"]),
        ("6 kg", "55 kg", ["Water wanted", "55 kg", "temperature"]),
        ("6 kg", "10 °C", ["10 °C", "18 °C"]),
        ("6 kg", "101", ["101 °C", "95 °C"]),
        ("-1 kg", "55", ["−1 kg"]),
        ("600 kg", "55", ["600 kg", "50 kg"]),
        ("<b>", "55", ["&lt;b&gt;"]),
    ],
)
def test_a_tool_names_what_it_cannot_use(water, target, names):
    tool = form_of("capstone.middle")[0].children[0]
    first, second, work, told = tool.children
    first.value, second.value = water, target
    work.click()
    assert all(name in told.value for name in names), told.value
    assert not re.search(r"\d min", told.value) and "<b>" not in told.value


# --- a file by its name ------------------------------------------------------------------------------
LOG = "time (min);water (°C);wind (m/s);sun (W/m2)\n" + "".join(
    f"{5 * k};{18 + 2 * k},0;1;800\n" for k in range(9)
)


def test_a_file_is_read_by_its_name(workspace, monkeypatch):
    (workspace / "inside").mkdir()
    (workspace / "demo.csv").write_text(LOG, encoding="utf-8")
    (workspace / "answers.jsonl").touch()
    monkeypatch.chdir(workspace / "inside")
    for typed in ("demo.csv", " “demo.csv” "):
        assert answer("heating_test.own_file", typed).right
    assert log.last("heating_test.own_file").answer == LOG  # a class sees what was read
    (workspace / "inside" / "demo.csv").write_text("time (min)\n1\n", encoding="utf-8")
    assert not answer("heating_test.own_file", "demo.csv").right  # beside the notebook comes first


def test_a_design_is_read_by_its_name(workspace, monkeypatch):
    from solarlib.design import demo

    monkeypatch.chdir(workspace)
    text = demo().to_toml()
    (workspace / "my-trough.toml").write_text(text, encoding="utf-8")
    by_name = answer("capstone.design_file", "my-trough.toml")
    assert "machine points" in by_name.says
    assert by_name.says == answer("capstone.design_file", text).says


def test_only_files_of_the_workspace_are_read_by_name(workspace, tmp_path_factory, monkeypatch):
    outside = tmp_path_factory.mktemp("outside") / "secret.csv"
    outside.write_text(LOG, encoding="utf-8")
    (workspace / "link.csv").symlink_to(outside)
    (workspace / ".hidden.csv").write_text(LOG, encoding="utf-8")
    (workspace / "folder.csv").mkdir()
    (workspace / "long.csv").write_text(LOG * 400, encoding="utf-8")
    (workspace / "empty.csv").write_text("\n", encoding="utf-8")
    monkeypatch.chdir(outside.parent)
    for typed, named in (
        (str(outside), "without a folder"), ("../secret.csv", "without a folder"),
        ("C:\\secret.csv", "without a folder"), ("secret.csv", "secret.csv"),
        ("link.csv", "link.csv"), (".hidden.csv", ".hidden.csv"), ("folder.csv", "folder.csv"),
        ("nothing.csv", "there are empty.csv and long.csv"), ("long.csv", "50000"),
        ("empty.csv", "is empty"),
    ):  # fmt: skip
        result = answer("heating_test.own_file", typed)
        assert result.slip == "unreadable" and named in result.says, (typed, result.says)
        assert log.last("heating_test.own_file").answer == typed
    assert log.misses("heating_test.own_file") == []
