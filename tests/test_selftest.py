"""The self test says in sentences what is missing, and what the numbers say."""

import sys
from importlib import metadata

import pytest

from solarlib import evidence, selftest


@pytest.fixture
def few_values(monkeypatch):
    """Ask only a few of the published values."""
    few = [evidence.answer(row) for row in evidence.rows("water")[:5]]
    monkeypatch.setattr(evidence, "answers", lambda: few)


def complaints(findings):
    return " ".join(one.says for one in findings if not one.fine)


def test_nothing_is_missing_here(few_values, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert selftest.main([]) == 0
    said = capsys.readouterr().out
    assert "MISSING" not in said and said.endswith("Nothing is missing.\n")
    assert "5 of 5 published values" in said and str(tmp_path) in said
    assert not list(tmp_path.iterdir()), "nothing is left behind"


def test_evidence_is_written(few_values, capsys, tmp_path):
    assert selftest.main(["--evidence", str(tmp_path / "pages")]) == 0
    assert (tmp_path / "pages" / "evidence.html").is_file()
    assert "evidence.md" in capsys.readouterr().out


def test_evidence_in_an_impossible_place(few_values, tmp_path):
    occupied = tmp_path / "file"
    occupied.write_text("mine")
    said = complaints(selftest.selftest(tmp_path, occupied))
    assert "name another folder" in said and str(occupied) in said
    assert occupied.read_text() == "mine"


def test_old_python(monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 10, 4, "final", 0))
    assert complaints(selftest._python()) == "Python 3.10.4 is too old; install Python 3.11 or newer."


@pytest.mark.parametrize(
    "line, expected",
    [
        ("numpy>=2.0", ("numpy", (2, 0), None)),
        ("jupyterlab<5,>=4.2", ("jupyterlab", (4, 2), (5,))),
        ("tqdm", ("tqdm", (0,), None)),
    ],
)
def test_requirements_are_read(line, expected):
    assert selftest._requirement(line) == expected


def test_missing_and_old_packages(monkeypatch):
    versions = {"here": "2.1.0", "old": "1.9.9", "new": "5.0.0"}

    def version(name):
        if name not in versions:
            raise metadata.PackageNotFoundError(name)
        return versions[name]

    lines = ["here>=2.1", "old>=2.0", "new<5,>=4.2", "gone>=1.2", "spare>=1; extra == 'test'"]
    monkeypatch.setattr(metadata, "requires", lambda _: lines)
    monkeypatch.setattr(metadata, "version", version)
    said = complaints(selftest._packages())
    assert "old 1.9.9 does not fit; the course needs 2.0 or newer." in said
    assert "needs 4.2 or newer and older than 5." in said
    assert "gone is missing; run “python3 -m pip install 'gone>=1.2'”" in said
    assert "spare" not in said and "1 of 4 packages" in said


def test_course_that_is_not_installed(monkeypatch):
    monkeypatch.setattr(selftest, "DISTRIBUTION", "no-such-distribution")
    assert "pip install ." in complaints(selftest._packages())


def test_missing_font(monkeypatch, tmp_path):
    import matplotlib

    monkeypatch.setattr(matplotlib, "get_data_path", lambda: str(tmp_path))
    assert "DejaVuSans.ttf is missing" in complaints(selftest._fonts())


def test_folder_that_cannot_be_written(tmp_path):
    assert "choose another folder" in complaints(selftest._folder(tmp_path / "nowhere"))


def test_kernel_that_is_gone(monkeypatch, tmp_path):
    from jupyter_client.kernelspec import KernelSpecManager, NoSuchKernel

    class Spec:
        argv = (str(tmp_path / "python"),)

    monkeypatch.setattr(KernelSpecManager, "get_kernel_spec", lambda self, name: Spec)
    assert "which is gone" in complaints(selftest._kernel())

    def none(self, name):
        raise NoSuchKernel(name)

    monkeypatch.setattr(KernelSpecManager, "get_kernel_spec", none)
    assert "no Python kernel" in complaints(selftest._kernel())


@pytest.mark.parametrize("gone", ["matplotlib", "jupyter_client.kernelspec"])
def test_a_missing_package_is_a_sentence_not_a_traceback(monkeypatch, gone):
    monkeypatch.setitem(sys.modules, gone, None)
    assert "missing" in complaints(selftest._fonts() + selftest._kernel())


def test_numbers_without_numpy(monkeypatch):
    for name in [n for n in sys.modules if n.startswith("solarlib.evidence")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delattr("solarlib.evidence")
    monkeypatch.setitem(sys.modules, "numpy", None)
    monkeypatch.setitem(sys.modules, "solarlib.water", None)
    monkeypatch.setitem(sys.modules, "solarlib.evidence", None)
    assert "could not be checked" in complaints(selftest._numbers_agree(None))


def test_a_disagreement_is_reported(monkeypatch):
    right = evidence.answer(evidence.row("wat-007"))
    wrong = evidence.Answer(right.row, right.got + 1)
    monkeypatch.setattr(evidence, "answers", lambda: [right, wrong])
    found = selftest._numbers_agree(None)
    assert not found[0].fine and "report rows wat-007" in found[0].says
