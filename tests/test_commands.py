"""At the command line: one answer, a whole notebook; and the progress and freshness it tells of."""

from __future__ import annotations

import json

import pytest

from autograde import __main__, log
from autograde.check import check, predict
from autograde.progress import judge_freshness, progress

pytestmark = pytest.mark.usefixtures("workspace")


LOG = "time (min);water (°C);wind (m/s);sun (W/m2)\n" + "".join(
    f"{5 * k};{18 + 2 * k},0;1;800\n" for k in range(9)
)


# --- progress, fresh, commands --------------------------------------------------------------------
def test_progress_counts_the_best_try():
    assert "No answers yet" in repr(progress())
    check("start.opening_area", "0.576 m2")
    check("start.opening_area", "3 m2")
    check("start.power_in", "490")
    row = next(r for r in progress().rows if r.lesson.startswith("00"))
    assert (row.right, row.tried, row.points) == (1, 2, 3.0)  # 2 and half of 2
    assert row.next_step == "2 The power"
    html = progress()._repr_html_()
    assert '<th scope="row"' in html and "1 of 5" in html


def cell(source, count):
    return {"source": source, "execution_count": count}


@pytest.mark.parametrize(
    ("cells", "ran", "ok", "words"),
    [
        ([cell("a=1", 1), cell("b=a", 2)], ["", "a=1", "b=a"], True, "2 code cells ran in order"),
        ([cell("a=1", 2), cell("b=a", 1)], ["", "b=a", "a=1"], False, "ran before a cell above"),
        ([cell("a=2", 1), cell("b=a", 2)], ["", "a=1", "b=a"], False, "changed after it ran"),
        ([cell("a=1", None), cell("b=a", 1)], ["", "b=a"], False, "has not run"),
        ([cell("a=1", 7), cell("b=a", 8)], [""], True, "0 code cells ran"),  # kernel restarted
        ([cell("a=1", None)], ["", "a=1", "fresh()"], False, "save it"),
        ([cell("a=1", 1), cell("b=a", None)], ["", "a=1"], True, "1 below"),
        ([cell("fresh()", 9), cell("a=1", 1)], ["", "a=1"], True, "1 code cells"),
    ],
)
def test_fresh(cells, ran, ok, words):
    found = judge_freshness(cells, ran)
    assert found.ok == ok and words in repr(found)
    assert ok or "Restart Kernel" in repr(found) or "Save Notebook" in repr(found)


def test_answer_command(capsys):
    assert __main__.main(["answer", "parabola.depth", "602 mm"]) == 0
    assert __main__.main(["answer", "parabola.depth", "5 15/16 in"]) == 0
    out = capsys.readouterr().out
    assert "✗ Not yet" in out and "✓ Right" in out and "Traceback" not in out
    assert len(log.history("parabola.depth")) == 2


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("parabola.depth", "15,06 cm", "✓ Right"),
        ("parabola.depth", "150.6 kg", "The digits are right, the unit is not"),
        ("parabola.depth", "150.6", "Say the unit too"),
        ("parabola.depth", "150.6123456 mm", "✓ Right"),
        ("parabola.depth", "151 mm", "✓ Right"),
        ("start.stale", "B", "✓ Right"),
        ("start.rules", "a b c and d", "✓ Right"),
        ("hazards.shutdown", "b e d a f c", "✓ Right"),
        ("hazards.shutdown", "bedafc", "✓ Right"),
        ("hazards.shutdown", "b, e, d, f, c, a", "◐ Partly right"),
        ("hazards.shutdown", "b, e", "Write every letter once"),
        ("sun.solar_noon", "12:04", "✓ Right"),
        ("start.power", "area * sun", "✓ Right"),
        ("hazards.visitor_rule", "Stay behind the tape; the cover stays on; call Maruk.",
         "3 of 3 key points seen. A person reads"),
        ("heating_test.weak_part", "c", "○ Noted"),
        ("start.bars", "200 mm, 150 mm", "✓ Right"),
    ],
)  # fmt: skip
def test_every_kind_of_answer_at_the_command_line_and_in_a_text_cell(
    name, text, words, tmp_path, capsys
):
    assert __main__.main(["answer", name, text]) == 0
    assert words in capsys.readouterr().out
    (tmp_path / log.LOG_FILE).unlink()
    short = name.partition(".")[2]
    path = notebook_at(
        tmp_path / "n.ipynb",
        ("code", f'from autograde import check\n{short} = ""'),
        ("markdown", f"answer {short}: {text}"),
        ("code", f'check("{name}", {short})'),
    )
    __main__.main(["try", path])
    assert words in capsys.readouterr().out


def test_an_error_is_carried_at_the_command_line(capsys):
    __main__.main(["answer", "start.opening_area", "0,7 m2"])
    __main__.main(["answer", "start.power_in", "595 W"])  # 0.7 × 850
    assert "Right with your earlier answer" in capsys.readouterr().out


def test_a_file_at_the_command_line_in_any_writing(tmp_path, capsys):
    path = tmp_path / "log.csv"
    for coding in ("utf-8-sig", "cp1252", "utf-16"):
        path.write_bytes(LOG.encode(coding))
        assert __main__.main(["answer", "heating_test.own_file", f"@{path}"]) == 0
    assert capsys.readouterr().out.count("✓ Right") == 3


def test_a_mistyped_guess_leaves_the_one_before(capsys):
    __main__.main(["answer", "heating_test.weak_part", "C"])
    __main__.main(["answer", "heating_test.weak_part", "z"])
    assert predict("heating_test.weak_part").answer == "c"


def test_asking_for_help_is_no_mistake(capsys):
    assert __main__.main(["--help"]) == 0
    assert "answer" in capsys.readouterr().out


def notebook_at(path, *sources):
    cells = [{"cell_type": kind, "source": text, "metadata": {}} for kind, text in sources]
    path.write_text(json.dumps({"cells": cells}))
    return str(path)


def test_try_uses_cell_then_text_then_log(tmp_path, capsys):
    path = notebook_at(
        tmp_path / "n.ipynb",
        ("code", 'from autograde import check\ndepth = ""\nthickest = "1.03 mm"\nshort_bar = ""'),
        ("markdown", "answer depth: 150,6 mm\nanswer thickest: 9 mm"),
        ("code", 'check("parabola.depth", depth)\n'),
        ("code", 'check("parabola.thickest", thickest)'),
        ("code", 'check("parabola.short_bar", short_bar)'),
    )
    log.append("parabola.short_bar", "a", 1.0, None)
    assert __main__.main(["try", path]) == 0
    assert capsys.readouterr().out.strip().endswith("5 of 5 points.")


def test_try_fails_on_a_wrong_answer_and_a_stopped_cell(tmp_path, capsys):
    path = notebook_at(
        tmp_path / "n.ipynb",
        ("code", "1 / 0"),
        ("code", 'depth = "602 mm"'),
        ("code", 'check("parabola.depth", depth)'),
    )
    assert __main__.main(["try", path]) == 1
    out = capsys.readouterr().out
    assert "Cell 1 stopped with ZeroDivisionError" in out and "✗ Not yet: parabola.depth" in out
    assert not (tmp_path / log.LOG_FILE).exists()
