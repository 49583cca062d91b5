"""What is packed, by rule; and the packed course at work far from its source folder, off line.

The rules come from the repository itself: what lies in it is compared with what lies in the
archives, and what a command does from the wheel with what it does from the source.
"""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

from autograde import build
from autograde.cells import BEGIN, END, LEFT_OUT
from autograde.lesson import load
from autograde.runner import sandbox
from tests import ROOT
from tests.lesson_reading import LESSONS, solution_lines

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
# a file of another kind in a package is a slip until somebody adds its kind here
KINDS = {".py", ".toml", ".txt", ".cff", ".md", ".csv", ".css", ".js", ".svg", ".ttf", ".json"}


def files(*folders):
    """Return the names of all files in folders of the repository, without caches."""
    found = {p.relative_to(ROOT).as_posix() for f in folders for p in (ROOT / f).rglob("*")
             if p.is_file() and not {"__pycache__", ".ipynb_checkpoints"} & set(p.parts)}  # fmt: skip
    return {name for name in found if not name.endswith((".pyc", ".unfinished"))}


@pytest.fixture(scope="module")
def packed(tmp_path_factory):
    """Build both archives as a release does, the wheel from the sdist; off line."""
    folder = tmp_path_factory.mktemp("dist")
    words = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(words, capture_output=True, text=True, cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(folder.glob("*.whl")), next(folder.glob("*.tar.gz"))


@pytest.fixture(scope="module")
def wheel(packed):
    with zipfile.ZipFile(packed[0]) as archive:
        yield archive


# --- what is in the archives ---------------------------------------------------------------------
def test_the_wheel_holds_the_packages_and_the_lessons_and_nothing_else(wheel):
    about = {n for n in wheel.namelist() if ".dist-info/" in n}
    assert {Path(n).name for n in about} == {"METADATA", "WHEEL", "RECORD", "LICENSE.txt"}
    lessons = {f"autograde/{name}" for name in files("lessons")}
    assert set(wheel.namelist()) - about == files("solarlib", "autograde") | lessons


def test_the_sdist_holds_what_the_wheel_is_made_of_and_nothing_else(packed):
    with tarfile.open(packed[1]) as archive:
        names = {n.partition("/")[2] for n in archive.getnames()}
    assert names == files("solarlib", "autograde", "lessons", ".pictures") | {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "PKG-INFO", ".gitignore",
        ".ci/leave_out.py",
    }  # fmt: skip


def test_no_tests_no_caches_and_only_known_kinds_of_file(packed, wheel):
    with tarfile.open(packed[1]) as archive:
        names = [n for n in archive.getnames() if not n.split("/")[1].startswith(".")]
    for name in [n for n in wheel.namelist() if ".dist-info/" not in n] + names:
        parts = Path(name).parts
        assert not {"tests", "__pycache__", "conftest.py"} & set(parts), name
        assert not re.match(r"test_\w+\.py$", parts[-1]), name
        assert Path(name).suffix in KINDS or parts[-1] == "PKG-INFO", name


@pytest.mark.parametrize("name", LESSONS)
def test_an_installed_lesson_has_no_solution_and_gives_the_same_notebook(wheel, name, tmp_path):
    ours = (ROOT / "lessons" / name / "lesson.py").read_text(encoding="utf-8")
    inside = [n for n in wheel.namelist() if n.startswith(f"autograde/lessons/{name}/")]
    wheel.extractall(tmp_path, inside)
    folder = tmp_path / "autograde" / "lessons"
    text = (folder / name / "lesson.py").read_text(encoding="utf-8")
    marks = [line.strip() for line in text.splitlines()]
    assert BEGIN not in marks and END not in marks
    elsewhere = {line.strip() for line in build_text(name, solved=False).splitlines()}
    for line in solution_lines(ours):
        assert line not in marks or line in elsewhere, line
    theirs = load(name, folder)
    for cell in load(name).cells:
        if cell.kind == "write":  # the model answer is a solution too
            assert cell.source not in text
    assert build.notebook(theirs) == build.notebook(load(name))
    # where an instructor's notebook would have solutions, it has the learner's start
    assert build.notebook(theirs, solved=True) == build.notebook(theirs)
    assert LEFT_OUT not in json.dumps(build.notebook(theirs))


def build_text(name, solved):
    return "\n".join("".join(c["source"]) for c in build.notebook(load(name), solved)["cells"])


def test_keys_lie_beside_their_lessons_and_nowhere_else(wheel):
    """Self-study is judged on the learner's own machine, so its keys must be there, once."""
    keys = [n for n in wheel.namelist() if n.endswith("/key.py")]
    assert keys == [f"autograde/lessons/{name}/key.py" for name in LESSONS]
    others = [n for n in wheel.namelist() if n.endswith(".py") and n not in keys]
    assert not [n for n in others if b"\nLESSON = Lesson(" in wheel.read(n)]


# --- what the archives say about themselves ------------------------------------------------------
def test_the_version_is_one_and_the_licence_is_with_it(wheel):
    import solarlib

    about = next(n for n in wheel.namelist() if n.endswith("/METADATA"))
    told = wheel.read(about).decode()
    assert solarlib.__version__ == PROJECT["version"]
    assert f"Version: {PROJECT['version']}\n" in told
    assert f"License-Expression: {PROJECT['license']}\n" in told
    text = wheel.read(next(n for n in wheel.namelist() if n.endswith("LICENSE.txt"))).decode()
    assert text.startswith(f"{PROJECT['license']} License")
    citation = (ROOT / "solarlib" / "CITATION.cff").read_text(encoding="utf-8")
    assert f'version: "{PROJECT["version"]}"' in citation
    assert f"license: {PROJECT['license']}" in citation
    assert PROJECT["authors"][0]["name"] in citation


def third_party(folder):
    """Return the modules that a package imports and neither Python nor this project has."""
    own = {p.stem for p in (ROOT / "autograde" / "runner" / "inside").glob("*.py")}
    found = set()
    for path in (ROOT / folder).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
    return found - set(sys.stdlib_module_names) - own - {"solarlib", "autograde"}


def test_everything_imported_is_asked_for_at_the_install():
    """Each import comes with a stated dependency, or with what that one needs itself."""
    extras = PROJECT["optional-dependencies"]
    stated = [Requirement(line).name for line in
              (*PROJECT["dependencies"], *extras["cluster"], *extras["dxf"])]  # fmt: skip
    given = {name.lower().replace("_", "-") for name in stated}
    for name in stated:
        for line in metadata.requires(name) or ():
            need = Requirement(line)
            if need.marker is None or need.marker.evaluate({"extra": ""}):
                given.add(need.name.lower().replace("_", "-"))
    # ipykernel comes with jupyterlab; what the class's benchmark counts with comes with it
    given |= {"psutil"}
    provides = metadata.packages_distributions()
    for module in third_party("solarlib") | third_party("autograde"):
        homes = {home.lower().replace("_", "-") for home in provides[module]}
        assert homes & given, f"{module} comes with none of the stated dependencies"


@pytest.mark.slow
def test_the_lowest_versions_can_be_installed_together():
    """Nothing is installed here, only worked out: a floor that fits no release would show."""
    if sys.platform == "win32":
        pytest.skip("the command is a shell script")
    done = subprocess.run([ROOT / ".ci" / "lowest", "--dry-run"], capture_output=True, text=True,
                          env={**os.environ, "PYTHON": sys.executable})  # fmt: skip
    if "error sending request" in done.stderr or "Failed to fetch" in done.stderr:
        pytest.skip("no network to ask for releases")
    assert done.returncode == 0, done.stderr
    told = dict(re.findall(r"^ \+ ([\w.-]+)==(\S+)$", done.stderr, re.M))
    for line in PROJECT["dependencies"]:
        need = Requirement(line)
        lowest = next(s.version for s in need.specifier if s.operator == ">=")
        assert Version(told[need.name.lower()]) == Version(lowest), line


# --- the wheel at work ---------------------------------------------------------------------------
@pytest.fixture(scope="module")
def installed(packed, tmp_path_factory):
    """Install the wheel into an environment of its own, which borrows only the dependencies."""
    folder = tmp_path_factory.mktemp("elsewhere")
    venv.create(folder / "env", symlinks=os.name != "nt")
    site = Path(sysconfig.get_path("purelib", vars={"base": str(folder / "env")}))
    # a plain path: no .pth file of the lender is read, so no editable install comes along
    (site / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    for name in ("share", "etc"):  # JupyterLab's pages and the kernel
        lender, place = Path(sys.prefix) / name, folder / "env" / name
        if lender.is_dir() and not place.exists():
            place.symlink_to(lender, target_is_directory=True)
    python = folder / "env" / "bin" / "python"
    # nbgrader calls this program by its name; a true install has it there
    (python.parent / "alembic").symlink_to(Path(sysconfig.get_path("scripts")) / "alembic")
    words = [sys.executable, "-m", "pip", "--python", str(python), "install", "-q", "--no-deps",
             "--no-index", "--ignore-installed", str(packed[0])]  # fmt: skip
    done = subprocess.run(words, capture_output=True, text=True, cwd=folder)
    assert done.returncode == 0, done.stderr
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "JUPYTER"))}
    environment["AUTOGRADE_WORKSPACE"] = str(folder / "mine")

    def run(*words, before=()):
        return subprocess.run([*before, str(python), *words], cwd=folder, env=environment,
                              capture_output=True, text=True, timeout=280)  # fmt: skip

    run.folder, run.site = folder, site
    done = run("-m", "solarlib", "learn", "mine", "--no-start")
    assert done.returncode == 0, done.stdout + done.stderr
    return run


def test_it_runs_from_its_own_place(installed):
    done = installed("-c", "import solarlib, autograde; print(solarlib.__file__, autograde.__file__)")
    places = done.stdout.split()
    assert len(places) == 2 and all(place.startswith(str(installed.site)) for place in places)
    words = [sys.executable, "-m", "pip", "--python", str(installed.folder / "env/bin/python")]
    checked = subprocess.run([*words, "check"], capture_output=True, text=True).stdout
    assert PROJECT["name"] not in checked, checked


def test_learn_gives_the_same_notebooks_as_the_source_folder(installed):
    for name in LESSONS:
        theirs = json.loads((installed.folder / "mine" / f"{name}.ipynb").read_text("utf-8"))
        ours = json.loads(json.dumps(build.notebook(load(name))))
        assert theirs == ours, name


def test_an_answer_is_judged(installed):
    done = installed("-m", "autograde", "answer", "parabola.depth", "15.06 cm")
    assert done.returncode == 0 and "Right" in done.stdout, done.stdout + done.stderr
    assert (installed.folder / "mine" / "answers.jsonl").is_file()


def test_the_pack_is_printed(installed):
    done = installed("-m", "solarlib", "pack", "mine/ladle.toml", "--out", "paper")
    assert done.returncode == 0, done.stdout + done.stderr
    (pdf,) = (installed.folder / "paper").rglob("*.pdf")
    assert pdf.read_bytes().startswith(b"%PDF-")


def test_selftest_finds_nothing_missing(installed):
    done = installed("-m", "solarlib", "selftest")
    assert done.returncode == 0 and done.stdout.endswith("Nothing is missing.\n"), done.stdout


def test_the_tests_are_said_to_be_elsewhere(installed):
    done = installed("-m", "solarlib", "test")
    assert done.returncode == 2 and "not part of" in done.stderr


def test_a_class_is_marked(installed):
    if words := sandbox.why_not():
        pytest.skip(words)
    place = installed.folder
    (place / "roster.csv").write_text("id,name,email\nL01,Ann,\n", encoding="utf-8")
    done = installed("-m", "autograde", "class", "class", "roster.csv", "01_parabola")
    assert done.returncode == 0 and "no solutions" in done.stdout, done.stdout + done.stderr
    with zipfile.ZipFile(place / "class" / "bundles" / "L01.zip") as bundle:
        bundle.extractall(place / "in" / "L01")
    work = place / "in" / "L01" / "01_parabola.ipynb"
    solved = build.notebook(load("parabola"), solved=True)
    build.write_notebook(solved, work)
    for words in (("collect", "class", "parabola", "in"), ("grade", "class", "parabola")):
        done = installed("-m", "autograde", *words)
        assert done.returncode == 0, done.stdout + done.stderr
    asked = sum(c.points for c in load("parabola").cells if c.kind == "check")
    assert f"L01: {asked:g} of {asked:g} points" in done.stdout, done.stdout


OFFLINE = '''
"""Inside a network of its own, where only this machine answers: open the course, read lesson 00."""
import os, signal, subprocess, sys, time, urllib.error, urllib.request
words = [sys.executable, "-m", "solarlib", "learn", "mine", "--no-browser"]
running = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
                           start_new_session=True)
try:
    address = next(w for line in running.stdout if "token=" in line
                   for w in line.split() if "token=" in w)
    base, _, token = address.partition("/doc/")
    token = token.split("token=")[1]
    for path in ("/doc/tree/00_start_here.ipynb", "/api/contents/00_start_here.ipynb"):
        end = time.monotonic() + 60
        while True:
            try:
                with urllib.request.urlopen(f"{base}{path}?token={token}", timeout=20) as answer:
                    print(path, answer.status, len(answer.read()))
                break
            except urllib.error.URLError:
                assert time.monotonic() < end
                time.sleep(0.3)
    try:
        urllib.request.urlopen("http://192.0.2.1", timeout=2)  # RFC 5737: an address for examples
        print("there is a network")
    except OSError:
        print("no network")
finally:
    os.killpg(running.pid, signal.SIGTERM)
    running.wait(20)
'''


def test_the_course_opens_without_a_network(installed):
    if words := sandbox.why_not():
        pytest.skip(words)
    alone = ["bwrap", "--dev-bind", "/", "/", "--unshare-net", "--die-with-parent"]
    done = installed("-c", OFFLINE, before=alone)
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"^/doc/tree/00_start_here.ipynb 200 \d{4,}$", done.stdout, re.M)
    assert re.search(r"^/api/contents/00_start_here.ipynb 200 \d{4,}$", done.stdout, re.M)
    assert "no network" in done.stdout
