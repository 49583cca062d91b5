"""Whatever was handed in, into a clean notebook on our own frame, with notes in words.

In: a learner's folder or zip, of any kind. Out: `Intake`, the lesson's own locked cells
with the learner's answer cells by name and extra cells in their order, small data files,
the answers of the log, and notes for the instructor. Nothing else of the file is kept: not
points, metadata, outputs, attachments or cell order. Links are never followed, and nothing
on the learner's side is changed.
"""

from __future__ import annotations

import contextlib
import html
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from autograde import handed_log, plain
from autograde.build import cell_id, notebook
from autograde.handed_in import MAX_FILES, gather, shown
from autograde.lesson import Source, lesson_folders
from autograde.log import LOG_FILE
from autograde.numbers import CARD_FILE
from autograde.trial import text_answers

MAX_CELLS = 400
MAX_SOURCE = 100_000  # characters of a cell
MAX_NESTED = 100  # brackets in a notebook file, one in the other
DESIGN = ".toml"  # a design is the learner's to change, measurements of the lesson are not
DATA_KINDS = (".csv", ".txt", ".toml", ".json", ".tsv", ".dat")
TIMESTAMP = "timestamp.txt"
READ_ME = "READ_ME_FIRST.txt"  # lies in every learner's bundle


@dataclass(frozen=True)
class Cell:
    """One cell of the clean notebook. kind and name as in the lesson's text; "extra" if added.

    touched : whether the learner put anything into an answer or write cell.
    """

    id: str
    kind: str
    name: str
    source: str
    is_markdown: bool
    touched: bool = False


@dataclass(frozen=True)
class Intake:
    """A submission, cleaned.

    cells : in the lesson's order. files : data files by name. logged : short name of an exercise
    -> last logged answer. minutes : -> what the log says it took. written : -> answer in a text
    cell. timestamp : ISO text or "".
    notes : sentences for the instructor. readable : whether a notebook could be read.
    """

    cells: tuple[Cell, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    logged: Mapping[str, Any] = field(default_factory=dict)
    minutes: Mapping[str, float] = field(default_factory=dict)
    written: Mapping[str, str] = field(default_factory=dict)
    timestamp: str = ""
    notes: tuple[str, ...] = ()
    readable: bool = True


def take_in(path: Path, source: Source) -> Intake:
    """Clean what lies at `path` (a folder, a zip, or nothing) for a lesson."""
    notes: list[str] = []
    handed = gather(path, notes)
    raw = _the_notebook(handed, source.name, notes)
    given = cells_of(raw, notes) if raw is not None else None
    tries = handed_log.tries(handed.get(LOG_FILE, b""), notes)
    logged = handed_log.last_answers(tries, source.slug)
    cells = _with_log(_on_frame(given or [], frame(source), notes), logged, notes)
    return Intake(
        cells=tuple(cells),
        files=_data_files(handed, source, notes),
        logged=logged,
        minutes=handed_log.minutes(tries, source.slug),
        written=text_answers([c.source for c in cells if c.kind == "extra" and c.is_markdown]),
        timestamp=_timestamp(handed.get(TIMESTAMP, b""), notes),
        notes=tuple(dict.fromkeys(notes)),
        readable=given is not None,
    )


def _data_files(handed: Mapping[str, bytes], source: Source, notes: list[str]) -> dict[str, bytes]:
    """Return the learner's data files and the lesson's own, which win unless they are designs."""
    own = {f.name for f in source.data if not (f.suffix == DESIGN and f.name in handed)}
    changed = [f.name for f in source.data if f.name in own and f.name in handed
               and handed[f.name].split() != f.read_bytes().split()]  # fmt: skip
    if changed:
        notes.append(f"The lesson's own file {', '.join(changed)} was changed; ours is used.")
    rest = [n for n in handed if n not in (*own, LOG_FILE, TIMESTAMP, CARD_FILE, READ_ME)
            and not n.startswith(".") and not n.endswith(".ipynb")]  # fmt: skip
    kept = [n for n in rest if n.lower().endswith(DATA_KINDS) and len(n.encode()) <= 100]
    ours = {path.name for folder in lesson_folders() for path in folder.iterdir()}
    ignored = [shown(n) for n in rest if n not in kept and n not in ours]
    ignored += [shown(n) for n in kept[MAX_FILES:]]
    if ignored:
        notes.append(f"Files that are no data were ignored: {', '.join(ignored[:5])}"
                     f"{' and more' if len(ignored) > 5 else ''}.")  # fmt: skip
    files = {name: handed[name] for name in kept[:MAX_FILES]}
    return files | {f.name: f.read_bytes() for f in source.data if f.name in own}


# --- the notebook's cells ------------------------------------------------------------------------
def _the_notebook(files: Mapping[str, bytes], name: str, notes: list[str]) -> bytes | None:
    if f"{name}.ipynb" in files:
        return files[f"{name}.ipynb"]
    found = sorted(n for n in files if n.endswith(".ipynb") and not n.startswith("."))
    if len(found) == 1:
        notes.append(f"The notebook was called {shown(found[0])}; it was taken as {name}.")
        return files[found[0]]
    alike = [n for n in found if n.startswith(name)]
    if len(alike) == 1:
        notes.append(f"Of {len(found)} notebooks {shown(alike[0])} was taken.")
        return files[alike[0]]
    there = f"there are {', '.join(map(shown, found[:5]))}" if found else "there is none"
    notes.append(f"Expected a notebook called {name}.ipynb; {there}. No cell of it is marked.")
    return None


def cells_of(raw: bytes, notes: list[str]) -> list[dict[str, Any]] | None:
    """Return a notebook's cells as plain data, None when the file cannot be read."""
    try:
        if plain.deepest(plain.outside_texts(raw)) > MAX_NESTED:
            raise ValueError
        data = json.loads(raw.decode("utf-8-sig", "replace"))
        cells = data["cells"]
        if type(cells) is not list:
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError, MemoryError):
        notes.append("The notebook file is damaged and cannot be read: no cell of it is marked. "
                     "Ask for another copy.")  # fmt: skip
        return None
    if len(cells) > MAX_CELLS:
        notes.append(f"The notebook has {len(cells)} cells; the first {MAX_CELLS} are read.")
    read = [_read_cell(cell, notes) for cell in cells[:MAX_CELLS]]
    return [cell for cell in read if cell]


def _read_cell(cell: Any, notes: list[str]) -> dict[str, Any] | None:
    if type(cell) is not dict:
        return None
    source = cell.get("source", "")
    if type(source) is list:
        source = "".join(line for line in source if type(line) is str)
    if type(source) is not str:
        return None
    if len(source) > MAX_SOURCE:
        notes.append(f"A cell is longer than {MAX_SOURCE} characters and was cut off.")
    source = source[:MAX_SOURCE].encode("utf-8", "replace").decode("utf-8").replace("\0", "")
    metadata = cell.get("metadata")
    grading = metadata.get("nbgrader") if type(metadata) is dict else None
    name = grading.get("grade_id") if type(grading) is dict else None
    if cell.get("attachments"):
        notes.append("Attached pictures were dropped.")
    if type(metadata) is dict and "skip-execution" in (metadata.get("tags") or ()):
        notes.append("Tags that would keep cells from running were dropped.")
    names = [n for n in (name, cell.get("id")) if type(n) is str]
    return {"code": cell.get("cell_type") == "code", "names": names, "source": source,
            "graded": type(grading) is dict and bool(grading.get("grade"))}  # fmt: skip


def frame(source: Source) -> tuple[Cell, ...]:
    """Return the lesson's own cells as they are released."""
    made = notebook(source)["cells"]
    return tuple(
        Cell(cell_id(source.slug, cell), cell.kind, cell.name.removeprefix(f"{source.slug}."),
             "".join(one["source"]), cell.is_markdown)
        for cell, one in zip(source.cells, made, strict=True)
    )  # fmt: skip


def _on_frame(
    given: Sequence[dict[str, Any]], ours: Sequence[Cell], notes: list[str]
) -> list[Cell]:
    """Put the learner's cells on the frame: answers by name, extra cells after the same cell."""
    places = {cell.id: place for place, cell in enumerate(ours)}
    copies: dict[int, list[str]] = {}
    extras: dict[int, list[Cell]] = {}
    here, count = -1, 0
    for cell in given:
        place = next((places[n] for n in cell["names"] if n in places), None)
        if place is None:
            if cell["graded"]:
                notes.append("A marked cell that is not of this lesson was taken as an extra cell.")
        else:
            here = place
        if place is not None and _stands_for(cell, ours[place], copies, place, notes):
            continue
        if cell["source"].strip():
            count += 1
            extras.setdefault(here, []).append(_extra(cell, count))
    made: list[Cell] = list(extras.get(-1, []))
    for place, own in enumerate(ours):
        made.append(_filled(own, copies.get(place), bool(given), notes))
        made += extras.get(place, [])
    return made


def _stands_for(
    cell: dict[str, Any], ours: Cell, copies: dict[int, list[str]], place: int, notes: list[str]
) -> bool:
    """Tell whether a cell is our cell, or a copy or changed version of it that does not count."""
    if ours.kind not in ("answer", "write"):
        if place in copies:
            notes.append(f"The cell {ours.id} stands there more than once; ours counts.")
        elif cell["source"].strip() != ours.source.strip() or cell["code"] == ours.is_markdown:
            notes.append(f"The locked cell {ours.id} was changed; ours is used.")
        copies.setdefault(place, []).append("")
        return True
    if cell["code"] == ours.is_markdown:
        notes.append(f"The answer cell {ours.id} was turned into another kind of cell.")
        return False
    if place in copies:
        notes.append(f"The answer cell {ours.id} stands there more than once; the first one with "
                     "an answer counts.")  # fmt: skip
        if copies[place][0].strip() != ours.source.strip():
            return cell["source"].strip() == copies[place][0].strip()
        copies[place] = [cell["source"]]
        return True
    copies[place] = [cell["source"]]
    return True


def _filled(ours: Cell, copies: list[str] | None, any_given: bool, notes: list[str]) -> Cell:
    if copies is None and any_given and ours.kind in ("answer", "write", "check"):
        notes.append(f"The cell {ours.id} was missing; it was put back.")
    if copies is None or ours.kind not in ("answer", "write"):
        return ours
    text = _harmless(copies[0]) if ours.is_markdown else copies[0]
    return replace(ours, source=text, touched=copies[0].strip() != ours.source.strip())


def _with_log(cells: Sequence[Cell], logged: Mapping[str, Any], notes: list[str]) -> list[Cell]:
    """Put text answers of the log where a cell holds none, so that a person sees them."""
    made = []
    for cell in cells:
        text = logged.get(cell.name)
        if cell.kind == "write" and type(text) is str and not cell.touched:
            notes.append(f"The text of {cell.name} comes from the log of attempts.")
            cell = replace(cell, source=_harmless(text), touched=True)
        made.append(cell)
    return made


def _extra(cell: dict[str, Any], number: int) -> Cell:
    text = cell["source"] if cell["code"] else _harmless(cell["source"])
    return Cell(f"extra-{number:03d}", "extra", f"{number:03d}", text, not cell["code"])


# a page shows text cells as they are: no tags, and no links that run something
_INVISIBLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u2028-\u202e\ufeff]")
_LINK = re.compile(r"(?i)(?:java|vb)script\s*:|data\s*:\s*text|data\s*:[^,;]{0,99}(?:html|svg|xml)")


def _harmless(text: str) -> str:
    """Return a text cell that shows the same words and can do nothing."""
    text = _INVISIBLE.sub("", text)
    text = re.sub(r"<(?=[a-zA-Z/!?])", "&lt;", text)  # only these begin a tag
    if _LINK.search(_unescaped(text)):
        return "```\n" + text.replace("```", "'''") + "\n```"
    return text


def _unescaped(text: str) -> str:
    """Return text as a browser would read it in a link: entities and escapes undone."""
    for _ in range(3):
        text = unquote(html.unescape(text))
    return re.sub(r"[\s\\]+", "", text)


# --- timestamp -------------------------------------------------------------------------
def _timestamp(raw: bytes, notes: list[str]) -> str:
    text = raw.decode("utf-8-sig", "replace").strip()
    if not text:
        return ""
    with contextlib.suppress(ValueError, OverflowError, TypeError):
        from dateutil.parser import parse

        moment = parse(text[:100])
        moment = moment.astimezone(UTC) if moment.tzinfo else moment
        return moment.strftime("%Y-%m-%d %H:%M:%S UTC")
    notes.append(f"{TIMESTAMP} cannot be read as a time and was ignored.")
    return ""
