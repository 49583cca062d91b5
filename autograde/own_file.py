"""A learner's own file: taken in from an upload and kept beside the notebook.

In: the name and the bytes that the browser sends, or only the name of a file that is there.
Out: where the file lies now, its text, and a sentence about both. A file that is there already
is never touched: the new one gets a name of its own.
"""

from __future__ import annotations

import contextlib
import re
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from autograde import log, plain
from autograde.key.record import UNREADABLE

LONGEST_NAME = 60  # letters; four bytes each still fit what file systems take, 255
_NOT_IN_NAMES = set('<>:"/\\|?*')  # what one system or another forbids


@dataclass(frozen=True)
class Taken:
    """What became of an upload: path (None when it was not kept), text, sentence."""

    path: Path | None
    text: str
    says: str


def take_in(name: str, data: bytes, accepts: str, folder: Path | None = None) -> Taken:
    """Keep an uploaded file and return its text.

    Parameters
    ----------
    name, data : as the browser sends them. accepts : endings, such as ".csv,.txt"; another
        ending gets the first of them behind it. folder : where to keep it, by default here.
    """
    from solarlib.heating_test.table import decode

    name = plain_name(name, accepts.split(","))
    text = decode(data)
    if not text.strip():
        return Taken(None, "", f"“{name}” is empty; choose the file that holds your readings.")
    if len(text) > plain.MAX_TEXT:
        return Taken(None, "", _too_long(name, len(text)))
    try:
        path, said = _keep(name, data, folder or Path.cwd())
    except OSError as error:
        why = error.strerror or str(error)
        return Taken(None, text, f"“{name}” could not be kept beside the notebook ({why}). Its text "
                     "is in the box below and can be checked all the same.")  # fmt: skip
    return Taken(path, text, f"{said} Its text is in the box below; press “Check my answer”. Put "
                 f"the name “{path.name}” into the answer cell too, so that it is handed in with "
                 "the notebook.")  # fmt: skip


# the name of a file and nothing else; a pasted text has more lines than one
_A_NAME = re.compile(r"[^\n]{1,200}\.(?:csv|txt|tsv|toml)", re.IGNORECASE)


def read_named(text: str) -> str | plain.Fault:
    """Return the text of the file of the learner's folder that is named, or `text` if none is.

    Only a plain file of this folder or of the workspace is read; for another name, and for one
    that is not there, a `Fault` says what to do.
    """
    from solarlib.heating_test.table import decode

    name = text.strip(" \t\r\n\"'“”„")
    if not _A_NAME.fullmatch(name):
        return text
    if "/" in name or "\\" in name:
        return plain.Fault(UNREADABLE, f"“{name[:60]}” lies in some folder; put the file into your "
                           "own, beside the notebook, and write its name without a folder.")  # fmt: skip
    there = _own_files()
    if name not in there:
        names = sorted(there)[:5]
        listed = f"there {'is' if len(names) == 1 else 'are'} {' and '.join(names)}" if names else (
            "there is none of its kind")  # fmt: skip
        return plain.Fault(UNREADABLE, f"There is no file “{name[:60]}” in your folder; {listed}. "
                           "Write its name as it is spelt there, or paste its text.")  # fmt: skip
    try:
        with there[name].open("rb") as file:
            found = decode(file.read(4 * plain.MAX_TEXT + 1))
    except OSError as error:
        return plain.Fault(UNREADABLE, f"“{name}” cannot be read ({error.strerror or error}); paste "
                           "its text instead.")  # fmt: skip
    if not found.strip():
        return plain.Fault(UNREADABLE, f"“{name}” is empty; name a file that holds something.")
    if len(found) > plain.MAX_TEXT:
        return plain.Fault(UNREADABLE, _too_long(name, len(found)))
    return found


def _own_files() -> dict[str, Path]:
    """Return the files that may be named: those of the workspace, and nearer ones before them."""
    here, top = Path.cwd().resolve(), log.workspace().resolve()
    found: dict[str, Path] = {}
    for folder in (top, *([here] if here.is_relative_to(top) else [])):
        with contextlib.suppress(OSError):
            found |= {path.name: path for path in folder.iterdir()
                      if _A_NAME.fullmatch(path.name) and not path.name.startswith(".")
                      and path.is_file() and not path.is_symlink()}  # fmt: skip
    return found


def _too_long(name: str, length: int) -> str:
    return (f"“{name}” has {length} letters and digits; {plain.MAX_TEXT} can be checked. One reading "
            "a minute is plenty: leave rows out in a copy of it and choose that.")  # fmt: skip


def plain_name(name: str, endings: list[str]) -> str:
    """Return a name that any folder takes, without a path and never hidden."""
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(c for c in last if c.isprintable() and c not in _NOT_IN_NAMES)
    stem, dot, ending = kept.strip(" .").rpartition(".")
    if not dot or f".{ending.lower()}" not in endings:
        stem, ending = kept.strip(" ."), endings[0].lstrip(".")
    return f"{stem[:LONGEST_NAME].strip(' .') or 'my_file'}.{ending}"


def _keep(name: str, data: bytes, folder: Path) -> tuple[Path, str]:
    """Write the file under its name, or a free one like it; return its path and a sentence."""
    stem, _, ending = name.rpartition(".")
    number = 1
    while True:
        path = folder / (name if number == 1 else f"{stem}-{number}.{ending}")
        try:
            with path.open("xb") as file:  # fails where a file stands, whoever made it just now
                _write_whole(file, data, path)
        except FileExistsError:
            if path.is_file() and path.read_bytes() == data:
                return path, f"“{path.name}” lies beside the notebook already, with the same text."
            number += 1
            continue
        if number == 1:
            return path, f"Kept as “{path.name}” beside the notebook."
        return path, (f"There is another “{name}” beside the notebook. It is left as it was; "
                      f"yours is kept as “{path.name}”.")  # fmt: skip


def _write_whole(file: BinaryIO, data: bytes, path: Path) -> None:
    try:
        file.write(data)
        file.flush()
    except OSError:
        with contextlib.suppress(OSError):
            path.unlink()
        raise
