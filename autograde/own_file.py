"""A learner's own file: taken in from an upload and kept beside the notebook.

In: the name and the bytes that the browser sends. Out: where the file lies now, its
text, and a sentence about both. A file that is there already is never touched: the
new one gets a name of its own.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from autograde import plain

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
        return Taken(None, "", f"“{name}” has {len(text)} letters and digits; {plain.MAX_TEXT} can "
                     "be checked. One reading a minute is plenty: leave rows out in a copy of it "
                     "and choose that.")  # fmt: skip
    try:
        path, said = _keep(name, data, folder or Path.cwd())
    except OSError as error:
        why = error.strerror or str(error)
        return Taken(None, text, f"“{name}” could not be kept beside the notebook ({why}). Its text "
                     "is in the box below and can be checked all the same.")  # fmt: skip
    return Taken(path, text, f"{said} Its text is in the box below; press “Check my answer”. Put "
                 f"the name “{path.name}” into the answer cell too, so that it is handed in with "
                 "the notebook.")  # fmt: skip


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
