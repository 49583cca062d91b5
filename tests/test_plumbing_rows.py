"""The plumbing of a design by rows: pick lists in, the same text as ever out, and a bubble's way."""

from __future__ import annotations

import base64
import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from matplotlib.figure import Figure

from solarlib.design import DesignError, HeaterDesign, Link, Plumbing, typed, ways_out
from solarlib.design.plumbing import AIR, FREE
from solarlib.design.plumbing_rows import OPEN, PARTS, SHUT, LinkRow, PartRow, Rows
from solarlib.design.variation import ENTRIES
from solarlib.figures.plumbing import FROM, OUT, STOP, draw_plumbing, plumbing_html, sketch_of

ONE = ENTRIES["plumbing"]
LADLE = typed.shown(ONE, Plumbing())
LOOP = Plumbing((("pipe", 0.8), ("loop", 0.5), ("pot", 1.2)),
                (Link("pipe", "loop"), Link("loop", "pot"), Link("pot", AIR, "vent")))  # fmt: skip
TAP = Plumbing((("pipe", 0.8), ("pot", 1.2)),
               (Link("pipe", "pot", "tap"), Link("pot", AIR, "gap under the lid")))  # fmt: skip
ALONE = Plumbing((("pipe", 0.8),), ())


# --- rows and their text -------------------------------------------------------------------------
def test_what_is_offered_as_open_is_open_and_the_rest_counts_as_shut():
    assert set(OPEN) == set(FREE)
    assert all(Link("pipe", "pot", word).blocks for word in SHUT)
    assert not any(Link("pipe", "pot", word).blocks for word in OPEN)


@pytest.mark.parametrize("plumbing", [Plumbing(), LOOP, TAP, ALONE])
def test_a_text_becomes_rows_and_the_same_text_again(plumbing):
    text = typed.shown(ONE, plumbing)
    rows = Rows.from_text(text)
    assert rows.text() == text and rows.wrong == ""
    assert typed.read(ONE, rows.text()) == plumbing


PICKS = some.sampled_from(("", *PARTS, AIR))
ANY_ROWS = some.builds(
    lambda parts, links: Rows(tuple(parts), tuple(links)),
    some.lists(some.builds(PartRow, some.sampled_from(PARTS),
                           some.sampled_from(("", "800 mm", "2 1/2 in", "8 kg", "1e9 m", "high")))),
    some.lists(some.builds(LinkRow, PICKS, some.sampled_from(("", *OPEN, *SHUT)), PICKS)),
)  # fmt: skip


@given(ANY_ROWS)
def test_rows_without_a_fault_are_read_and_no_others(rows):
    """What the rows call finished and what the entry accepts is one and the same."""
    assert Rows.from_text(rows.text()).text() == rows.text(), "nothing is lost"
    try:
        value = typed.read(ONE, rows.text())
    except DesignError:
        value = False
    if not rows.wrong and value is False:  # beyond 100 m, or links without parts
        assert not rows.parts or "1e9 m" in {part.height for part in rows.parts}
    if rows.wrong:
        assert value is False and rows.wrong[-1] in ".?" and "\n" not in rows.wrong
        assert re.match(r"(Part|Link) \d+", rows.wrong)


@pytest.mark.parametrize(("rows", "said"), [
    (Rows((PartRow("pipe", ""),)), "Part 1, pipe, has no height; type one, such as 800 mm."),
    (Rows((PartRow("pipe", "8 kg"),)), "Part 1, pipe: “8 kg” is a mass"),
    (Rows((PartRow("pot", "1 m"), PartRow("pot", "2 m"))), "Part 2 is pot again"),
    (Rows((PartRow("pot", "1 m"),), (LinkRow("pot", "", AIR),)), "Link 1 is not finished"),
    (Rows((PartRow("pot", "1 m"),), (LinkRow("pot", "hose", "pot"),)), "joins pot to itself"),
    (Rows((PartRow("pot", "1 m"),), (LinkRow("pot", "hose", "pipe"),)), "names pipe, which is no part"),
])  # fmt: skip
def test_a_row_that_makes_no_sense_is_named(rows, said):
    assert said in rows.wrong


# --- the widgets ---------------------------------------------------------------------------------
def words(html):
    return re.sub(r"<[^>]+>", " ", html)


def c10(form):
    return next(one for one in form.items if one.id == "C10")


def pick(panel, part=None, link=None, **values):
    """Change widgets of a row as a hand does."""
    if part is not None:
        row = panel.parts[part]
        places = {"name": row.name, "height": row.height}
    else:
        row = panel.links[link]
        places = {"first": row.ends[0], "through": row.through, "second": row.ends[1]}
    for name, value in values.items():
        places[name].value = value


def test_the_whole_way_by_rows_alone(form):
    """As a newcomer does it: parts, heights, links, save; the file is as if it had been typed."""
    panel = form.wires.fields["plumbing"]
    assert panel.add_link.disabled and panel.undo.disabled
    for name, height in (("pipe", "80 cm"), ("rising hose", "1 m"), ("pot", "1250 mm")):
        panel.add_part.click()
        pick(panel, part=-1, name=name)
        assert "has no height" in words(panel.told.value) and 'role="alert"' in panel.told.value
        pick(panel, part=-1, height=height)
    assert "no way to the open air" in words(panel.sketch.value) and c10(form).met is False
    for first, through, second in (("pipe", "joint", "rising hose"), ("rising hose", "hose", "pot"),
                                   ("pot", "gap under the lid", AIR)):  # fmt: skip
        panel.add_link.click()
        assert "is not finished" in words(panel.told.value)
        form.wires.save.click()
        assert not form.draft.path.exists(), "nothing is written while a row is unfinished"
        pick(panel, link=-1, first=first, through=through, second=second)
    assert panel.told.value == "" and c10(form).met is True
    assert "Pipe is open: pipe to rising hose to pot to open air" in words(panel.sketch.value)
    form.wires.save.click()
    design = HeaterDesign.from_toml(form.draft.path)
    assert design.plumbing == Plumbing(
        (("pipe", 0.8), ("rising hose", 1.0), ("pot", 1.25)),
        (Link("pipe", "rising hose", "joint"), Link("rising hose", "pot", "hose"),
         Link("pot", AIR, "gap under the lid")))  # fmt: skip


def test_the_ladle_s_way_is_a_start_and_can_be_undone(form):
    panel = form.wires.fields["plumbing"]
    panel.add_part.click()
    pick(panel, part=0, height="70 cm")
    panel.start.click()
    assert form.draft.design.plumbing == Plumbing() and len(panel.links) == 5
    panel.undo.click()
    assert panel.rows == Rows((PartRow("pipe", "70 cm"),)) and panel.undo.disabled
    assert form.draft.design.plumbing == Plumbing((("pipe", 0.7),), ())


def test_a_part_taken_out_leaves_its_links_to_be_mended_and_comes_back(form):
    panel = form.wires.fields["plumbing"]
    panel.start.click()
    before = form.draft.design
    panel.parts[2].remove.click()  # the pot
    assert "Link 2 names pot, which is no part" in words(panel.told.value)
    assert panel.links[1].ends[1].value == "pot" and form.draft.design == before
    assert [part.name.description for part in panel.parts] == ["Part 1:", "Part 2:", "Part 3:"]
    panel.undo.click()
    assert panel.told.value == "" and form.draft.texts["plumbing"] == LADLE


def test_a_renamed_part_keeps_its_links(form):
    panel = form.wires.fields["plumbing"]
    panel.start.click()
    pick(panel, part=1, name="elbow")
    assert [(row.first, row.second) for row in panel.rows.links[:2]] == [
        ("pipe", "elbow"), ("elbow", "pot")]  # fmt: skip
    assert form.draft.design.plumbing.parts[1] == ("elbow", 1.0)
    assert {AIR, "elbow", "pipe"} <= {name for name, _ in panel.links[4].ends[0].options}
    pick(panel, part=1, name="pot")  # a name that is taken: its links stay where they are
    assert "Part 3 is pot again" in words(panel.told.value)
    assert panel.rows.links[0].second == "elbow"


def test_what_stands_in_the_file_shows_up_in_the_rows(form):
    odd = Plumbing((("pipe", 0.8), ("copper coil ü", 0.9)),
                   (Link("pipe", "copper coil ü", "a cork"), Link("pipe", AIR)))  # fmt: skip
    form.draft.path.write_text(HeaterDesign(plumbing=odd).to_toml(), encoding="utf-8")
    form.wires.read.click()
    panel = form.wires.fields["plumbing"]
    assert [row.name.value for row in panel.parts] == ["pipe", "copper coil ü"]
    assert panel.links[0].through.value == "a cork"
    assert ("a cork, counts as shut", "a cork") in panel.links[0].through.options
    pick(panel, part=0, height="81 cm")
    assert form.draft.design.plumbing.links == odd.links, "a word not in the list stays"


def test_every_control_of_a_row_has_a_name_of_its_own(form):
    panel = form.wires.fields["plumbing"]
    panel.start.click()
    for rows, kind in ((panel.parts, "part"), (panel.links, "link")):
        for k, row in enumerate(rows, 1):
            assert all(widget.description for widget in row.box.children)
            assert row.remove.description == f"Remove {kind} {k}"
            assert f"{kind.title()} {k}" in row.first.description
    assert "(mm)" in panel.parts[0].height.description, "the unit stands in the label"


# --- the sketch ----------------------------------------------------------------------------------
def drawn(plumbing):
    axes = draw_plumbing(Figure(), sketch_of(plumbing))
    marks = {name: [line.get_xydata()[0] for line in axes.lines if line.get_marker() == look["marker"]]
             for name, look in (("out", OUT), ("stop", STOP))}  # fmt: skip
    return {line.get_label(): line.get_xydata() for line in axes.lines}, marks, axes


def test_the_sketch_draws_the_way_that_was_found():
    lines, marks, axes = drawn(Plumbing())
    heights = {"pipe": 800, "rising hose": 1000, "pot": 1250}
    way = next(way for way in ways_out(Plumbing()) if way.part == "pipe")
    found = [heights[name] for name in way.path[:-1]]
    assert np.allclose(lines["pipe"][:-1, 1], found)
    assert np.all(np.diff(lines["pipe"][:, 1]) > 0), "a bubble rises"
    assert len(marks["out"]) == 2 and not marks["stop"]
    shown = {text.get_text() for text in axes.texts}
    assert {"pipe\n800 mm", "pot\n1250 mm", "gap under the lid", "joint", AIR} <= shown


@pytest.mark.parametrize(("plumbing", "below", "above"), [
    (LOOP, 500, 800),  # on the way down into the loop
    (TAP, 800, 1200),  # at the tap between pipe and pot
])  # fmt: skip
def test_the_cross_stands_where_the_bubble_is_stopped(plumbing, below, above):
    lines, marks, _ = drawn(plumbing)
    (cross,) = marks["stop"]
    assert below < cross[1] < above and np.allclose(lines["pipe"][-1], cross)
    assert len(marks["out"]) == 1, "the pot's own bubble gets out"


def test_a_part_without_any_way_is_crossed_out():
    _, marks, _ = drawn(ALONE)
    assert len(marks["stop"]) == 1 and not marks["out"]
    assert "There is no pot among the parts." in sketch_of(ALONE).words


@pytest.mark.parametrize("plumbing", [Plumbing(), LOOP, TAP, ALONE])
def test_the_sketch_has_its_words(plumbing):
    page = plumbing_html(sketch_of(plumbing))
    alt = re.search(r'alt="([^"]+)"', page)[1]
    for way in ways_out(plumbing):
        if way.part in FROM:
            assert way.reason[1:] in alt.replace("&quot;", '"')
    assert base64.b64decode(re.search(r"base64,([^\"]+)", page)[1]).startswith(b"<?xml")


def test_more_parts_than_fit_are_told_in_words_and_break_nothing():
    names = ["pipe", *(f"hose {k}" for k in range(30)), "pot"]
    parts = tuple((name, 0.5 + 0.01 * k) for k, name in enumerate(names))
    links = (*(Link(a, b) for a, b in pairwise(names)), Link("pot", AIR, "vent"))
    r = sketch_of(Plumbing(parts, links))
    assert "hose 29 to pot to open air" in r.words and "base64" in plumbing_html(r)


# --- where a way is stopped ----------------------------------------------------------------------
def test_a_way_that_is_stopped_says_how_far_it_was_tried():
    def tried(plumbing):
        return {way.part: way.tried for way in ways_out(plumbing)}

    assert tried(LOOP) == {"pipe": ("pipe", "loop"), "loop": (), "pot": ()}
    assert tried(TAP) == {"pipe": ("pipe", "pot"), "pot": ()}
    assert tried(ALONE) == {"pipe": ()}
