"""README and DEVELOPERS tell the truth: commands are run by a test, names exist, links lead on."""

from __future__ import annotations

import ast
import importlib
import re
import shlex
import struct
from pathlib import Path

import pytest

from tests import ROOT, lab, run

DOCS = {n: (ROOT / n).read_text(encoding="utf-8") for n in ("README.md", "DEVELOPERS.md")}
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.M | re.S)

# command of the docs -> the test that runs it, or "here", or the script that is it
WORKSPACE, PACKED = "tests/test_workspace.py::", "tests/test_packaging.py::"
DAY = "tests/test_classes.py::test_every_step_works_and_says_so"
RUN_BY = {
    "python3 -m solarlib learn":
        WORKSPACE + "test_learn_answers_on_its_port_and_leaves_nothing_running_when_it_is_ended",
    "python3 -m solarlib test": ".ci/run",
    "apt-get install chromium bubblewrap poppler-utils": ".ci/run",
    "python3 -m solarlib pack ~/trough-course/ladle.toml": PACKED + "test_the_pack_is_printed",
    "python3 -m solarlib selftest": PACKED + "test_selftest_finds_nothing_missing",
    "python -m autograde selftest": "here",
    "python -m autograde class class roster.csv": DAY,
    "python -m autograde class class roster.csv 01_parabola --due 2026-12-01": DAY,
    'python -m autograde override class 01_parabola L01 why_datum 2 "all three points"': DAY,
    "python -m autograde report class": DAY,
    "python -m autograde collect class 01_parabola in": DAY,
    "python -m autograde grade class 01_parabola": DAY,
    'python -m autograde override class 01_parabola L02 depth 1 "drew it on paper"': DAY,
    "python -m autograde grade class 01_parabola L02": DAY,
    'python -m autograde override class 07_capstone L01 R7 2 "sensible reasons"':
        "tests/test_overrides.py::test_the_command_gives_the_points_of_a_criterion",
    "python -m autograde report class 01_parabola": DAY,
    "python -m autograde paper class-paper --class class":
        "tests/test_paper.py::test_a_class_gets_own_numbers_and_answers_apart",
    "python -m autograde paper my-paper": "tests/test_paper.py::test_a_page_changed_by_hand_is_kept",
    "python3 -m solarlib test tests/test_key.py -k number": "here",
    ".ci/run": ".ci/run",
    ".ci/lowest": ".ci/lowest",
    ".ci/lowest --dry-run": PACKED + "test_the_lowest_versions_can_be_installed_together",
    "ruff check solarlib autograde tests lessons":
        "tests/test_house.py::test_the_linters_are_quiet",
    "mypy": "tests/test_house.py::test_the_linters_are_quiet",
    "python -m tests.benchmark": "here",
    "python -m tests.benchmark slider": "here",
    "python -m autograde benchmark 100": "here",
    "python3 -m solarlib selftest --evidence pages":
        "tests/test_selftest.py::test_evidence_is_written",
    "python -m tests.screenshots": "here",
    "python3 -m solarlib test tests/test_lessons.py -k parabola": ".ci/run",
    "python -m autograde build class 01_parabola": "here",
    "python -m autograde try class/release/01_parabola/01_parabola.ipynb": "here",
    'python -m autograde answer parabola.depth "15.06 cm"': PACKED + "test_an_answer_is_judged",
    "python -m build": PACKED + "test_the_wheel_holds_the_packages_and_the_lessons_and_nothing_else",
    "python3 -m pip install dist/trough_heater_course-0.1.0-py3-none-any.whl":
        PACKED + "test_it_runs_from_its_own_place",
}  # fmt: skip


def commands():
    """Return every command line of the docs without the remark behind it."""
    for name, text in DOCS.items():
        for label, body in FENCE.findall(text):
            if label == "sh":
                for line in body.splitlines():
                    yield name, re.sub(r"\s+#.*$", "", line).strip()


# --- commands ------------------------------------------------------------------------------------
def test_every_block_says_what_it_is_and_hides_no_command():
    for name, text in DOCS.items():
        for label, body in FENCE.findall(text):
            assert label in ("sh", "text", "python"), f"{name}: a block without a kind"
            assert label == "sh" or not re.search(r"^\W*python3? -m", body, re.M), name
        outside = FENCE.sub("", text)
        known = {command for _, command in commands()}
        for inline in re.findall(r"`((?:python3?|pip|apt-get|git|bash|\.ci/)[^`]* [^`]*)`", outside):
            assert inline in known, f"{name}: “{inline}” stands in a sentence only"


def test_every_command_is_accounted_for_and_none_is_stale():
    assert {command for _, command in commands()} == set(RUN_BY)


@pytest.mark.parametrize("command", RUN_BY)
def test_the_named_test_exists_and_calls_the_command(command):
    where, _, test = RUN_BY[command].partition("::")
    words = shlex.split(command)
    at = words.index("-m") + 1 if "-m" in words[:2] else 0
    called = words[at + 1] if words[at] in ("solarlib", "autograde", "pip") else words[at]
    if where == "here":
        where, test = "tests/test_docs.py", "test_" + HERE[command]
    text = (ROOT / where).read_text(encoding="utf-8")
    if not test:  # a script
        assert (ROOT / where).stat().st_mode & 0o100
        if called == "apt-get":
            assert "apt-get install" in text and all(word in text for word in words[2:])
        elif words[0] != where:
            assert "python3 -m solarlib test" in text
        return
    defined = {node.name for node in ast.parse(text).body if isinstance(node, ast.FunctionDef)}
    assert test in defined
    asked = {node.value for node in ast.walk(ast.parse(text))
             if isinstance(node, ast.Constant) and isinstance(node.value, str)}  # fmt: skip
    # `learn` and its like are words of a call; `main` of the module that is the command will do
    assert called in asked or f"{called}.main(" in text or f"{called} import main" in text or (
        words[0] in asked or words[-1] in asked
    ), f"{where} never says “{called}”"


# which test of this file runs a command
HERE = {
    "python -m autograde selftest": "the_classs_selftest_runs",
    "python3 -m solarlib test tests/test_key.py -k number": "a_part_of_the_tests_can_be_run",
    "python -m tests.benchmark": "the_benchmark_prints_a_figure_and_names_the_machine",
    "python -m tests.benchmark slider": "the_benchmark_prints_a_figure_and_names_the_machine",
    "python -m autograde benchmark 100": "the_benchmark_of_marking_is_called_by_the_other",
    "python -m tests.screenshots": "the_pictures_are_made_by_their_script",
    "python -m autograde build class 01_parabola": "a_contributor_builds_and_tries_a_lesson",
    "python -m autograde try class/release/01_parabola/01_parabola.ipynb":
        "a_contributor_builds_and_tries_a_lesson",
}  # fmt: skip


def test_the_classs_selftest_runs():
    from autograde.runner import sandbox

    done = run("autograde", "selftest")
    assert done.returncode == (1 if sandbox.why_not() else 0), done.stdout + done.stderr


def test_a_part_of_the_tests_can_be_run():
    """Only collected: the test itself runs with all others."""
    done = run("solarlib", "test", "tests/test_key.py", "-k", "number", "-n0", "--collect-only")
    assert done.returncode == 0 and "::test_" in done.stdout, done.stdout + done.stderr


def test_the_benchmark_prints_a_figure_and_names_the_machine():
    done = run("tests.benchmark", "dry pipe")
    assert done.returncode == 0, done.stderr
    assert "processors" in done.stdout.splitlines()[0]
    assert re.search(r"^one dry pipe +[\d.]+ ms +50 ms +[\d.]+$", done.stdout, re.M)
    assert "slider" not in done.stdout and "marking" not in done.stdout


def test_the_benchmark_of_marking_is_called_by_the_other(monkeypatch, capsys):
    """Marking a hundred submissions takes minutes: here only that the words arrive."""
    from autograde import benchmark as marking
    from tests import benchmark

    asked = []
    monkeypatch.setattr(marking, "main", lambda words: asked.append(words) or 3)
    assert benchmark.main(["marking"]) == 3 and asked == [[]]
    monkeypatch.undo()
    assert run("autograde", "benchmark", "many").returncode == 2


def test_a_contributor_builds_and_tries_a_lesson(tmp_path):
    done = run("autograde", "build", "class", "01_parabola", cwd=tmp_path)
    assert done.returncode == 0, done.stdout
    done = run("autograde", "try", "class/release/01_parabola/01_parabola.ipynb", cwd=tmp_path)
    assert done.returncode == 1 and done.stderr == "", done.stderr  # nothing is answered yet
    assert re.search(r"^0 of \d+ points", done.stdout, re.M), done.stdout


@pytest.mark.browser
@pytest.mark.slow
@lab.NEEDS_CHROMIUM
def test_the_pictures_are_made_by_their_script(tmp_path, monkeypatch, capsys):
    from tests import screenshots

    monkeypatch.setattr(screenshots, "FOLDER", tmp_path)
    assert screenshots.main() == 0, capsys.readouterr().out
    for path in sorted((ROOT / ".pictures").glob("*.png")):
        old, new = size(path), size(tmp_path / path.name)
        assert old[0] == new[0], f"{path.name} is out of date; run python -m tests.screenshots"


def size(path):
    """Return width and height of a PNG file [pixels], from its header (ISO/IEC 15948, 11.2.2)."""
    return struct.unpack(">II", path.read_bytes()[16:24])


# --- words, names, links -------------------------------------------------------------------------
def test_the_readme_opens_with_the_job_and_names_the_two_commands():
    first = DOCS["README.md"].split("\n\n")[1]
    assert "heat water" in first and "parabolic trough" in first
    assert "python3 -m solarlib learn" in DOCS["README.md"]
    assert "python3 -m solarlib test" in DOCS["README.md"]


def test_named_files_and_commands_exist():
    from autograde.__main__ import COMMANDS
    from solarlib.__main__ import NEEDS

    text = "".join(DOCS.values())
    assert set(re.findall(r"-m solarlib (\w+)", text)) <= set(NEEDS)
    assert set(re.findall(r"-m autograde (\w+)", text)) <= set(COMMANDS)
    named = re.findall(r"`((?:solarlib|autograde|lessons|tests)/[\w/.]+)`", text)
    assert len(named) > 3
    for name in named:
        assert (ROOT / name).exists(), name


def test_every_picture_has_words_and_is_there():
    found = re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", DOCS["README.md"])
    assert {path for _, path in found} == {
        f".pictures/{p.name}" for p in (ROOT / ".pictures").glob("*.png")
    }
    assert len(found) == 3
    for words, path in found:
        assert 60 < len(words) < 400, path
        assert 300 <= size(ROOT / path)[0] <= 1000 and (ROOT / path).stat().st_size < 200_000


def test_links_lead_to_files():
    for name, text in DOCS.items():
        for path in re.findall(r"\]\((?!https?:)([^)#]+)\)", text):
            assert (ROOT / path).exists(), f"{name}: {path}"


HOMES = ("solarlib", "autograde", "autograde.runner", "solarlib.geometry", "solarlib.units")


def leads_somewhere(dotted):
    """Tell whether "design.light.sun_then" or "Parabola.height" is a thing of the code."""
    for home in HOMES:
        found, words = None, re.sub("^(solarlib|autograde)[.]", "", dotted).split(".")
        module = importlib.import_module(home)
        for place, word in enumerate(words):
            try:
                module = importlib.import_module(f"{module.__name__}.{word}")
            except ImportError:
                found = module
                words = words[place:]
                break
        else:
            return True
        for word in words:
            fields = getattr(found, "__dataclass_fields__", {})
            found = True if word in fields else getattr(found, word, None)
        if found is not None:
            return True
    return False


def test_names_in_the_walks_are_names_in_the_code():
    named = set()
    for part in re.split(r"^## ", DOCS["DEVELOPERS.md"], flags=re.M):
        named |= set(re.findall(r"`((?:[a-z]\w*|Parabola)(?:\.\w+)+)`", FENCE.sub("", part)))
    files = {n for n in named if Path(n).suffix in (".py", ".md", ".toml", ".json", ".jsonl", ".txt")}
    exercises = {"parabola.depth"}
    assert exercises <= named
    for name in named - files - exercises:
        assert leads_somewhere(name), name
    assert len(named - files) > 40
    assert not leads_somewhere("check.no_such_thing") and not leads_somewhere("optics.nothing")


def test_the_sample_slip_of_the_guide_is_a_slip():
    from autograde.key import Slip
    from autograde.lesson import load_key

    (sample,) = [body for label, body in FENCE.findall(DOCS["DEVELOPERS.md"]) if label == "python"]
    slip = eval(sample, {"Slip": Slip})
    card = load_key("parabola").demo()
    assert slip.wrong(card) == pytest.approx(4 * 0.640**2 / (16 * 0.170))  # x = W, not W/2
    assert "{aperture_width}" in slip.hint
