"""What a hostile piece of work is, and how one is entered into the table of attacks.

In: a number, a name, what the answers in it are worth, and how it is handed in. Out: `ATTACKS`.
"""

from __future__ import annotations

import io
import json
import zipfile

from tests import bench

ATTACKS: dict[str, Attack] = {}


class Attack:
    """A behaviour. hand_in(scene) puts it into submitted/; score : what its answers are worth."""

    def __init__(self, name, score, hand_in, says="", never=""):
        self.name, self.score, self.hand_in = name, score, hand_in
        self.says, self.never = says, never


class Scene:
    """Where an attack takes place: the course, a classmate's work, a listener on the network."""

    def __init__(self, course, port):
        self.course, self.port, self.source = course, port, course.source

    def work(self, solved=False):
        return bench.Work(self.source, solved)


def attack(number, name, score=0.0, says="", never=""):
    """Register a function (scene, learner) as an attack."""

    def register(hand_in):
        ATTACKS[number] = Attack(name, score, hand_in, says, never)
        return hand_in

    return register


def code(number, name, source, score=0.0, solved=None, before="", **more):
    """Register code in a cell of its own; `solved` work (by default where there is a score)."""

    def hand_in(scene, learner):
        text = source(scene) if callable(source) else source
        work = scene.work(solved if solved is not None else score > 0)
        work.code(text, before).hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, **more)


def raw(number, name, change, score=5.0, solved=True, says=""):
    """Register a change of the file's bytes."""

    def hand_in(scene, learner):
        work = scene.work(solved)
        work.raw = change(json.dumps(work.nb, ensure_ascii=False).encode())
        work.hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, says)


def named(number, name, change, score=5.0, says=""):
    """Register a change of the folder in which a solved notebook lies."""

    def hand_in(scene, learner):
        change(scene.work(True).hand_in(scene.course, learner))

    ATTACKS[number] = Attack(name, score, hand_in, says)


def function(number, name, source, score=0.0, **more):
    """Register the function `area` of the lesson, all else untouched."""

    def hand_in(scene, learner):
        scene.work().answer("area", source).hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, **more)


def log(*entries):
    """Return lines of a log."""
    return b"".join(json.dumps({"time": "2026-05-01T10:00:00", "credit": None, "slip": None, **e})
                    .encode() + b"\n" for e in entries)  # fmt: skip


def filed(number, name, files, score=0.0, says=""):
    """Register untouched work with files beside it."""

    def hand_in(scene, learner):
        work = scene.work()
        work.files = files() if callable(files) else files
        work.hand_in(scene.course, learner)

    ATTACKS[number] = Attack(name, score, hand_in, says)


def zipped(number, name, fill, score=0.0, says=""):
    """Register a zip in place of a notebook; `fill(archive, solved notebook)` fills it."""

    def hand_in(scene, learner):
        folder = scene.course.folder / "submitted" / learner / bench.NAME
        folder.mkdir(parents=True)
        data = io.BytesIO()
        with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
            fill(archive, json.dumps(scene.work(True).nb))
        (folder / "work.zip").write_bytes(data.getvalue())

    ATTACKS[number] = Attack(name, score, hand_in, says)
