"""A design file being filled in: what is typed, what is wrong with it, and how it gets to disk.

In: the path of a TOML file and texts typed entry by entry. Out: a `HeaterDesign` whenever
the texts make one, a sentence beside each entry that is wrong, and a file written whole:
beside its place, then moved there. Comments and spellings of the file stay. A file that
somebody else changed meanwhile is not touched.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from datetime import date
from pathlib import Path
from typing import Any

from solarlib.design import files, typed
from solarlib.design.entries import LETTERS, DesignError
from solarlib.design.heater import GROUPS, HeaterDesign
from solarlib.design.variation import ENTRIES
from solarlib.files import write_whole

MOST_NAMED = 6  # entries in one sentence
RECORD = ("learner", "version", "changes")


class Draft:
    """One design file and what is typed for it.

    texts : entry -> what stands in its field. problems : entry -> a sentence; {} when all fit.
    design : the last heater that the texts made. is_new : there is no file of this name yet.
    blocked : why the file cannot be read or written; empty when it can.

    A new design has the demo's sizes, and states nothing that decides a hazard.
    """

    def __init__(self, path: Any) -> None:
        self.open(path)

    def open(self, path: Any) -> None:
        """Take up a file, or start a new one of that name; what was typed before is gone."""
        self.path = Path(path)
        self.blocked = _refused_name(self.path)
        self._disk: bytes | None = None
        self.design = HeaterDesign()
        if not self.blocked and os.path.lexists(self.path):
            try:
                self.design = HeaterDesign.from_toml(self.path)
                self._disk = self.path.read_bytes()
            except (DesignError, OSError) as error:
                self.blocked = f"{_sentence(error)} Nothing is written to it until it can be read."
        self.saved = self.design
        self.problems: dict[str, str] = {}
        self.texts = {name: typed.shown(one, self._value(name)) for name, one in ENTRIES.items()}

    @property
    def is_new(self) -> bool:
        """Whether there was no such file when it was opened."""
        return self._disk is None and not self.blocked

    @property
    def changed(self) -> tuple[str, ...]:
        """The entries that differ from the file as it was read or saved last."""
        return tuple(name for name in ENTRIES
                     if getattr(self.design, name) != getattr(self.saved, name))  # fmt: skip

    @staticmethod
    def named(names: Iterable[str]) -> str:
        """Entries as a form shows them, such as "“outside diameter”, “wall” and 3 more"."""
        words = [f"“{ENTRIES[name].metadata['words']}”" for name in names]
        more = len(words) - MOST_NAMED
        return ", ".join(words[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")

    def _value(self, name: str) -> Any:
        return getattr(self.design, name)

    # --- typing ----------------------------------------------------------------------------------
    def type(self, name: str, text: str) -> None:
        """Take in what was typed for an entry; sets `problems` and, where all fits, `design`."""
        self.type_all({name: text})

    def type_all(self, texts: Mapping[str, str]) -> None:
        """Take in several entries at once, as for a pipe and its wall."""
        self.texts.update(texts)
        self.problems = {}
        values = {}
        for name, one in ENTRIES.items():
            if self.texts[name] == typed.shown(one, self._value(name)):
                values[name] = self._value(name)
                continue
            try:
                values[name] = typed.read(one, self.texts[name])
            except DesignError as error:
                self.problems[name] = _sentence(error)
        if self.problems:
            return
        try:
            self.design = HeaterDesign(**values)
        except DesignError as error:  # two entries that cannot be together: beside the one typed
            named = [name for name in texts if name in str(error)]
            self.problems[(named or [next(iter(texts))])[0]] = _sentence(error)

    # --- writing ---------------------------------------------------------------------------------
    def save(self, why: str = "", today: date | None = None) -> str:
        """Write the file; return a sentence that says what was done, or why nothing was.

        Parameters
        ----------
        why : reason for the change log; a log line is added when it is given.
        """
        refused = self._why_not()
        if refused:
            return refused
        design = self.design
        if why.strip() and self.changed:
            day = (today or date.today()).isoformat()
            rows = (*design.changes, (day, self.changes_in_words()[: LETTERS],
                                      why.strip()[: LETTERS]))  # fmt: skip
            design = replace(design, changes=rows)
        try:
            content = self._content(design).encode("utf-8")
            write_whole(self.path, content)
        except DesignError as error:
            return _sentence(error)
        except OSError as error:
            return (f"{self.path.name} cannot be written ({error.strerror or error}); nothing is "
                    "changed, so free the folder or give another name.")  # fmt: skip
        many = len(self.changed)
        new, self._disk = self._disk is None, content
        self.design = self.saved = design
        self.texts["changes"] = typed.shown(ENTRIES["changes"], design.changes)
        what = "all entries" if new else f"{many} changed entr{'y' if many == 1 else 'ies'}"
        return f"{self.path.name} is written, {what}."

    def _why_not(self) -> str:
        if self.blocked:
            return self.blocked
        if self.problems:
            return (f"Nothing is written: mend {self.named(self.problems)} first; the reason stands "
                    "beside the entry.")  # fmt: skip
        try:
            there = self.path.read_bytes() if os.path.lexists(self.path) else None
        except OSError as error:
            return f"{self.path.name} cannot be read ({error.strerror}); nothing is written."
        if there != self._disk:
            now = "is gone" if there is None else "was changed outside this form" \
                if self._disk is not None else "has appeared meanwhile"  # fmt: skip
            return (f"{self.path.name} {now} after it was read here, so nothing is written. Give "
                    "another name to keep what you typed, or read the file again.")  # fmt: skip
        return ""

    def changes_in_words(self) -> str:
        """What differs from the file, such as "tube_diameter 15 mm to 22 mm"."""
        words = []
        for name in self.changed:
            one = ENTRIES[name]
            before, after = (typed.shown(one, getattr(d, name)) for d in (self.saved, self.design))
            long = "\n" in before + after or name in RECORD
            words.append(name if long else f"{name} {before or 'nothing'} to {after or 'nothing'}")
        return "; ".join(words)

    def save_as(self, path: Any) -> str:
        """Give what is typed another file name, which must be free; return a sentence."""
        target = Path(path)
        refused = _refused_name(target)
        if refused or os.path.lexists(target):
            return refused or f"{target.name} exists already; read it, or give another name."
        if self.problems:
            return self._why_not()
        before = self.path, self._disk, self.blocked, self.saved
        self.path, self._disk, self.blocked = target, None, ""
        said = self.save()
        if self._disk is None:
            self.path, self._disk, self.blocked, self.saved = before
        return said

    def _content(self, design: HeaterDesign) -> str:
        if self._disk is None:
            return design.to_toml()
        try:
            text = rewritten(self._disk.decode("utf-8-sig"), design)
            kept = _same(HeaterDesign.from_text(text), design)
        except (ValueError, TypeError, AttributeError, KeyError):  # an unusual spelling of TOML
            kept = False
        if not kept:  # never write what would read otherwise
            raise DesignError(f"{self.path.name} is written in a way that this form cannot keep; "
                              "give another name to save it afresh.")  # fmt: skip
        return text


def _sentence(error: Exception) -> str:
    text = " ".join(str(error).split())
    return text if text.endswith((".", "?")) else f"{text}."


def _refused_name(path: Path) -> str:
    """Why a file of this name is not for designs; empty when it is."""
    if path.suffix != ".toml" or path.name == ".toml":
        return f"“{path.name}” is no name for a design file; let it end with .toml."
    if path.is_dir() or not path.parent.is_dir():
        return f"{path} is no file in a folder that exists; give another name."
    return ""


def _same(a: HeaterDesign, b: HeaterDesign) -> bool:
    """Equal but for the last digits that a file leaves out."""
    for one in fields(HeaterDesign):
        x, y = getattr(a, one.name), getattr(b, one.name)
        if isinstance(x, float) and isinstance(y, float):
            if abs(x - y) > 1e-9 * max(abs(x), abs(y)) + 1e-12:
                return False
        elif x != y:
            return False
    return True


def rewritten(text: str, design: HeaterDesign) -> str:
    """Return the text of a design file with other values; what stays the same is not touched.

    Parameters
    ----------
    text : of a file that reads as a design. design : what it shall say.
    """
    import tomlkit

    was = HeaterDesign.from_text(text)
    document: Any = tomlkit.parse(text)
    for name, one in ENTRIES.items():
        before, now = getattr(was, name), getattr(design, name)
        if before == now:
            continue
        group = one.metadata["group"]
        if group not in document:
            document.add(tomlkit.nl())
            document.add(group, tomlkit.table().comment(GROUPS[group]))
        table = document[group]
        if now is None:
            table.pop(name, None)
            continue
        item: Any = tomlkit.parse(f"{name} = {files.written(one, now)}\n").item(name)
        if name in table:  # the comment behind the old value stays behind the new one
            old = table.value.item(name).trivia
            item.trivia.comment_ws, item.trivia.comment = old.comment_ws, old.comment
            table[name] = item
        else:
            item.comment(one.metadata["words"])
            table.add(name, item)
    return str(tomlkit.dumps(document))
