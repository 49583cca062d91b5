"""The rubric marks inputs only: the demo full, one broken criterion at a time, and hostile files.

Expected scores follow from the rubric's own table of points; the physics behind each limit is
checked in the tests of `solarlib`.
"""

from dataclasses import replace

import numpy as np
import pytest

from autograde import lesson, rubric
from solarlib.design import demo
from tests.bench import SHUT

DEMO = demo()

# One broken criterion each, and whether that opens a gate. R1 moves what a longer focal length
# would break elsewhere out of the way.
MUTANTS = {
    "R1": ({"focal_length": 0.330, "slope_error_mrad": 5.0, "aim_total_deg": 1.0,
            "aim_date_deg": 0.3, "aim_session_deg": 0.5, "aim_setting_deg": 0.2,
            "calendar_band_deg": 0.3, "wood_distance": 0.3}, False),
    "R2": ({"rib_count": 2}, False),
    "R3": ({"sheet_thickness": 0.0015}, False),
    "R4": ({"slope_error_mrad": 2.0}, False),
    "R5": ({"calendar_band_deg": 0.8}, False),
    "R6": ({"pot_loss": 5.0, "water_mass": 3.0, "latest_time": 240 * 60.0}, False),
    "R7": ({"latest_time": 65 * 60.0}, False),
    "R8": ({"slot_clearance": 0.005}, False),
    "R9": ({"plumbing": SHUT}, True),
    "R10": ({"cover_cloth": "clear film"}, True),
    "R11": ({"stored_indoors": False}, False),
    "R12": ({"bar_across": 0.198}, False),
    "R13": ({"pot_volume": 0.0058}, False),
    "R14": ({"left_after_drain": 200e-6}, False),
}  # fmt: skip


def marked(**changes):
    return rubric.mark(replace(DEMO, **changes).to_toml())


def test_points_add_up_to_a_hundred_with_ten_for_a_person():
    rows = marked().criteria
    assert len(rows) == 14
    assert sum(c.points for c in rows) == 100
    assert sum(c.human for c in rows) == rubric.HUMAN_POINTS == 10


def test_demo_gets_every_automatic_point():
    m = marked()
    assert [c.reason for c in m.criteria if not c.full] == []
    assert (m.got, m.automatic, m.percent(), m.gates) == (90, 90, 100, ())
    assert m.percent(human=0) == 90 and m.percent(human=10) == 100
    assert m.percent(human=99) == 100  # a person cannot give more than ten
    assert m.ladder().startswith("checked items complete; show the paper to the adult in charge")
    assert m.clearance == "checked items complete"


@pytest.mark.parametrize("broken", MUTANTS)
def test_mutant_loses_only_its_criterion(broken):
    changes, opens_gate = MUTANTS[broken]
    m = marked(**changes)
    assert [c.id for c in m.criteria if not c.full] == [broken], [
        (c.id, c.reason) for c in m.criteria if not c.full
    ]
    lost = next(c for c in m.criteria if c.id == broken)
    assert lost.got < lost.automatic and len(lost.reason) > 20
    assert bool(m.gates) == opens_gate


@pytest.mark.parametrize("change", [
    {"aperture_width": 0.655}, {"rib_blank_height": 0.181, "backing": 0.006},
    {"rib_blank_height": 0.183, "backing": 0.006}, {"rib_blank_length": 0.6}, {},
])  # fmt: skip
def test_a_rib_blank_loses_points_exactly_when_its_item_is_not_met(change):
    from solarlib.design import evaluate

    lost = next(c for c in marked(**change).criteria if c.id == "R2")
    (item,) = (one for one in evaluate(replace(DEMO, **change)).constraints if one.id == "C17")
    assert lost.full == item.met


@pytest.mark.parametrize(("rule", "written", "told"), [
    ("", False, "has no rule against a dry pipe"),
    ("never uncover without water", True, "“never uncover without water”, is too short to follow"),
    ("Pim and Ilvane look into the pot before they uncover.", True, ""),
])  # fmt: skip
def test_the_rule_against_a_dry_pipe_is_told_alike_by_item_and_criterion(rule, written, told):
    """A short rule is written, as C9 says, and not enough for the card; it is never called missing."""
    from solarlib.design import evaluate

    design = replace(DEMO, dry_out_control=rule)
    (item,) = (one for one in evaluate(design).constraints if one.id == "C9")
    assert f"a rule against a dry pipe is {'written' if written else 'missing'}" in item.reason
    card = next(c for c in marked(dry_out_control=rule).criteria if c.id == "R14")
    assert card.full == (told == "") and told in card.reason
    assert ("no rule" in card.reason) == (not written)


def test_open_gate_caps_the_grade_and_says_so():
    m = marked(plumbing=SHUT, use="drinking")
    assert m.percent() == m.percent(human=10) == 59
    assert m.percent(cap=None) > 90
    assert m.clearance == "NOT CLEARED: 2 items"
    assert m.ladder() == "meet the instructor"
    assert [gate.split()[0] for gate in m.gates] == ["C10", "C12"]
    assert "valve" in m.gates[0]


def test_ladder_words():
    few = marked(rib_count=2, sheet_thickness=0.0015, stored_indoors=False, bar_across=0.198,
                 bar_down=0.140, left_after_drain=200e-6, calendar_band_deg=0.8)  # fmt: skip
    assert 70 <= few.percent() < 85 and few.ladder().startswith("revise and resubmit")
    cold_hose = marked(hose_rating_c=40.0)  # hardly a point lost, and yet nothing to build from
    assert cold_hose.percent() > 95 and cold_hose.gates == ()
    assert cold_hose.clearance == "not met yet: C9 joints outlast a dry pipe"
    assert cold_hose.ladder() == "revise and resubmit; first C9 joints outlast a dry pipe"
    assert rubric.mark("").ladder() == "not attempted"


def test_resubmission_keeps_the_best_of_each_criterion_and_the_latest_gates():
    first, second = marked(rib_count=2), marked(plumbing=SHUT)
    both = rubric.best(first, second)
    assert both.got == both.automatic
    assert both.gates == second.gates and both.percent() == 59
    assert "kept" in next(c for c in both.criteria if c.id == "R9").reason
    assert rubric.best(second, first).gates == ()
    assert rubric.best(first, rubric.mark("")) == first
    assert rubric.best(rubric.mark(""), first) == first


def test_what_the_file_does_not_state_earns_nothing():
    m = rubric.mark('[site]\nname = "mine"\n')
    silent = [c.id for c in m.criteria if c.got == 0]
    assert {"R1", "R2", "R3", "R5", "R7", "R9", "R10", "R12"} <= set(silent)
    assert len(m.gates) == 4 and m.percent() < 10
    assert "Not stated" in m.criteria[0].reason and "focal_length" in m.criteria[0].reason


def test_twenty_random_valid_designs_score_well():
    """Drawn round the demo, parts sized by the builder's rules of the lessons."""
    dice = np.random.default_rng(7)
    for _ in range(20):
        width, focal = dice.uniform(0.58, 0.66), dice.uniform(0.168, 0.185)
        length = dice.uniform(0.8, 0.95)
        design = replace(
            DEMO, aperture_width=width, focal_length=focal, trough_length=length,
            tube_length=length + 0.52, rib_blank_length=width + 0.03, stock_width=0.8,
            water_mass=dice.uniform(4, 6.5), start_c=dice.uniform(12, 20),
            latitude_deg=dice.choice([-1, 1]) * dice.uniform(30, 42),
            months=tuple(int(m) for m in dice.choice(np.arange(1, 13), 3, replace=False)),
            air_c=dice.uniform(16, 30), site_wind=dice.uniform(0.5, 2.5),
            wood_distance=0.3, support_spacing=dice.uniform(0.7, 0.95),
        )  # fmt: skip
        m = rubric.mark(design.to_toml())
        assert not m.gates and m.percent() >= 85, [c for c in m.criteria if not c.full]


PARTS = ", ".join(f'"p{i}" = 800' for i in range(500))
HOSTILE = {
    "nothing": "",
    "no text": 5,
    "blank": " \n\t",
    "empty group": "[site]",
    "no group": "x = 1",
    "not TOML": "{{{",
    "deep": "a = " + "[" * 20_000,
    "deep tables": "[" + "a." * 20_000 + "a]",
    "huge": "#" * (rubric.LARGEST + 1),
    "huge integer": "[site]\nlatitude_deg = 1" + "0" * 400,
    "longer integer": "[site]\nlatitude_deg = 1" + "0" * 5000,
    "not a number": "[site]\nlatitude_deg = nan",
    "infinite": "[need]\nwater_mass = inf",
    "out of range": "[need]\nwater_mass = 1e9",
    "wrong kind": "[mirror]\nmirror = 3",
    "nested": "[site]\nmonths = [[1]]",
    "claims": "[results]\npercent = 100",
    "many parts": f"[plumbing]\nplumbing = {{ heights = {{ {PARTS} }}, links = [] }}",
    "date": "[site]\nlatitude_deg = 2026-01-01",
    "zero bytes": "[site]\nname = \x00",
    "code": "[need]\nuse = \"__import__('os').system('ls')\"",
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_file_gets_one_sentence(kind):
    m = rubric.mark(HOSTILE[kind])
    assert m.got == 0 and m.percent() == 0 and m.ladder() == "not attempted"
    assert len(m.criteria) == 14
    assert m.trouble.endswith(".") and "\n" not in m.trouble and 30 < len(m.trouble) < 700
    assert "Traceback" not in m.trouble


@pytest.mark.parametrize(
    "changes",
    [
        {"latitude_deg": 60.0, "months": (12,)},
        {"beam_noon": 400.0, "air_c": 0.0, "site_wind": 8.0, "water_mass": 8.0},
        {"usual_misaim_deg": 6.0, "usual_incidence_deg": 80.0},
        {"slope_error_mrad": 60.0, "tube_dx": 0.03, "tube_dy": -0.03},
        {"elevation": 4500.0, "start_c": 30.0, "target_c": 35.0, "pot_loss": 20.0},
    ],
)
def test_absurd_but_possible_designs_are_marked(changes):
    m = marked(**changes)
    assert not m.trouble and m.got < 90
    assert all(np.isfinite(c.got) and "nan" not in c.reason.split() for c in m.criteria)


def test_lesson_file_is_the_demo_and_its_lever_is_the_largest_of_the_four():
    from solarlib.design import evaluate

    source = lesson.load("07_capstone")
    (path,) = [p for p in source.data if p.name == "ladle.toml"]
    assert path.read_text(encoding="utf-8") == DEMO.to_toml()
    saved = {one.name: one.effect for one in evaluate(DEMO).levers}
    rivals = ("slope_error_mrad", "site_wind", "shelter", "pot_heat_capacity")
    assert all(saved["reflectance_used"] > 3 * saved[name] for name in rivals)


def test_lesson_shows_the_reason_for_each_lost_criterion():
    key = lesson.load("07_capstone").key
    record, card = key.exercise("design_file"), key.demo()
    verdict = record.judge([replace(DEMO, rib_count=2).to_toml()], card)
    assert verdict.credit == pytest.approx(88 / 90)
    assert "R2 ribs, 6 of 8" in verdict.says
    verdict = record.judge([replace(DEMO, plumbing=SHUT).to_toml()], card)
    assert verdict.credit == 0.59 and "Gate C10" in verdict.says
    assert record.judge(["{{{"], card).credit == 0.0


@pytest.mark.parametrize("changes", [{"plumbing": SHUT}, {"target_c": 60.0, "beam_noon": 400.0}])
def test_a_verdict_tells_somebody_alone_what_is_next(changes):
    key = lesson.load("07_capstone").key
    record = next(one for one in key if one.name == "design_file")
    text = replace(DEMO, **changes).to_toml()
    said = record.judge([text], key.demo(), {}).says
    assert "Next: " in said and "instructor" not in said
    assert ("close the gates first" in said) == bool(rubric.mark(text).gates)
