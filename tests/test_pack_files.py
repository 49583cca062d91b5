"""Files of the build pack: whole or not at all, kept, the same every time; and its command."""

from __future__ import annotations

import dataclasses
import os
import re
import signal
import subprocess
import sys

import pymupdf
import pytest

from solarlib import pack
from solarlib.design import demo
from solarlib.pack import build
from solarlib.pack.facts import fingerprint
from solarlib.pack.files import CONTENTS, write_files
from tests import run
from tests.pdf_reading import words_of


# --- files ----------------------------------------------------------------------------------------
def test_files_changed_by_hand_are_kept(tmp_path):
    assert write_files(tmp_path, {"a.csv": b"one", "b.pdf": b"two"}) == []
    (tmp_path / "a.csv").write_text("my own prices")
    kept = write_files(tmp_path, {"a.csv": b"three", "b.pdf": b"four"})
    assert len(kept) == 1 and "a.kept-1.csv" in kept[0]
    assert (tmp_path / "a.kept-1.csv").read_text() == "my own prices"
    assert (tmp_path / "a.csv").read_bytes() == b"three"
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "a.csv", "a.kept-1.csv", "b.pdf", CONTENTS]  # fmt: skip


KILLED = """
import os, sys, time
from pathlib import Path
from solarlib.pack import files
real, name = getattr(os, sys.argv[2]), sys.argv[2]
def slow(*args):
    done = real(*args)
    print("now", flush=True)
    time.sleep(60)
    return done
setattr(os, name, slow)
files.write_files(Path(sys.argv[1]), {"build_pack.pdf": b"new" * 100_000, "rib_table.csv": b"new"})
"""


@pytest.mark.parametrize("moment", ["fsync", "replace"])
def test_a_killed_run_leaves_whole_files(tmp_path, moment):
    """SIGKILL while the first file is being written, and between two moves."""
    old = {"build_pack.pdf": b"old pdf", "rib_table.csv": b"old table"}
    write_files(tmp_path, old)
    killed = subprocess.Popen([sys.executable, "-c", KILLED, str(tmp_path), moment],
                              stdout=subprocess.PIPE)  # fmt: skip
    assert killed.stdout.readline().strip() == b"now"
    killed.send_signal(signal.SIGKILL)
    killed.wait()
    killed.stdout.close()
    new = {"build_pack.pdf": b"new" * 100_000, "rib_table.csv": b"new"}
    for name in old:
        assert (tmp_path / name).read_bytes() in (old[name], new[name])
    if moment == "fsync":
        assert (tmp_path / "build_pack.pdf").read_bytes() == old["build_pack.pdf"]
    left = list(tmp_path.glob(".making-*"))
    assert len(left) == 1
    os.utime(left[0], (0, 0))
    write_files(tmp_path, new)  # a later run works and sweeps up
    assert {p.name for p in tmp_path.iterdir()} == {*new, CONTENTS}


@pytest.mark.parametrize("moment", ["Drawing", "Writing"])
def test_a_killed_command_leaves_the_good_pack_alone(tmp_path, moment):
    """SIGKILL to the whole command, at each step it tells of: the pack before stays, each byte."""
    (tmp_path / "mine.toml").write_text(demo().to_toml(), encoding="utf-8")
    write_files(tmp_path / "mine-pack", {build.PDF: b"%PDF the good one", "rib_table.csv": b"good"})
    before = {p.name: p.read_bytes() for p in (tmp_path / "mine-pack").iterdir()}
    words = [sys.executable, "-m", "solarlib", "pack", "mine.toml"]
    with subprocess.Popen(words, cwd=tmp_path, stdout=subprocess.PIPE, text=True) as command:
        for line in command.stdout:
            if line.startswith(moment):
                command.kill()
    assert command.returncode == -signal.SIGKILL
    after = {p.name: p.read_bytes() for p in (tmp_path / "mine-pack").iterdir() if p.is_file()}
    # “Writing” may have come as far as the first moves: then a file is the whole new one
    for name, content in before.items():
        whole = after[name].startswith(b"%PDF-") and after[name].rstrip().endswith(b"%%EOF")
        assert after[name] == content or (moment == "Writing" and (name != build.PDF or whole))
    if moment != "Writing":
        assert after == before


# --- same input, same output ----------------------------------------------------------------------
def test_fingerprint_follows_the_design_not_the_paper():
    mark = fingerprint(demo())
    assert mark == fingerprint(demo()) and re.fullmatch("[0-9a-f]{8}", mark)
    for change in ({"focal_length": 0.171}, {"on_roof": True}, {"hose": "x"}, {"months": (1,)}):
        assert fingerprint(dataclasses.replace(demo(), **change)) != mark
    for change in ({"bar_across": 0.199}, {"paper": "letter"}, {"prices": (("rib", 1.0),)}):
        assert fingerprint(dataclasses.replace(demo(), **change)) == mark


def test_two_runs_write_the_same_bytes(tmp_path):
    (tmp_path / "mine.toml").write_text(demo().to_toml(), encoding="utf-8")
    packs = []
    for seed in ("1", "2"):
        done = run("solarlib", "pack", "mine.toml", "--date", "2026-03-01", "--out", seed,
                   cwd=tmp_path, env={**os.environ, "PYTHONHASHSEED": seed})  # fmt: skip
        assert done.returncode == 0, done.stderr
        packs.append({p.name: p.read_bytes() for p in (tmp_path / seed).iterdir()})
    assert packs[0] == packs[1]
    assert "build_pack.pdf" in packs[0] and "checked items complete" in done.stdout.lower()
    assert all(line.endswith((".", "…")) for line in done.stdout.strip().splitlines())


# --- the command ----------------------------------------------------------------------------------
def test_the_command_says_what_would_help(tmp_path, capsys):
    design = dataclasses.replace(demo(), tube_diameter=0.015, frost=None, joint=None)
    (tmp_path / "mine.toml").write_text(design.to_toml(), encoding="utf-8")
    assert pack.main([str(tmp_path / "mine.toml")]) == 0
    lines = capsys.readouterr().out.splitlines()
    unknown = "C9, joints outlast a dry pipe, is not known. Not stated: “kind of pipe joint” (plumbing)."
    assert unknown in lines
    helped = next(line for line in lines if line.startswith("C4, light caught"))
    assert "is not met. With “" in helped and "would be met" in helped
    assert all(line.endswith((".", "…")) for line in lines)


def test_bars_on_the_command_line_reach_the_page(tmp_path):
    design = tmp_path / "mine.toml"
    design.write_text(demo().to_toml(), encoding="utf-8")
    before = design.read_bytes()
    words = ["--bars", "7 7/8 in", "150,3 mm", "--paper", "letter", "--learner", "pim-03"]
    assert pack.main([str(design), *words]) == 0
    document = pymupdf.open(tmp_path / "mine-pack" / "build_pack.pdf")
    text = words_of(document)
    assert "bar across measures 200.02 mm bar down measures 150.30 mm" in text
    assert all("pim-03" in page.get_text() for page in document)
    assert design.read_bytes() == before
    assert [float(v) for v in document[0].mediabox_size] == pytest.approx([792, 612], abs=0.02)
