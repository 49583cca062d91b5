"""How do the finished files reach the folder whole, and what if somebody changed the old ones?

In: names and bytes. Out: files that are either the old or the new ones, never half
of one: all are written in a hidden folder beside their place and then moved. A
file that was changed by hand since the last run is kept under another name.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

CONTENTS = "contents.json"  # name -> SHA-256 of what this program wrote last
_MAKING = ".making-"
_STALE = 3600.0  # a hidden folder this old [s] was left by a run that was killed


def write_files(folder: Path, files: Mapping[str, bytes]) -> list[str]:
    """Write files into a folder, each one whole or not at all.

    Parameters
    ----------
    folder : made when missing. files : name -> content; names without a path.

    Returns
    -------
    sentences about files of the user's that were kept under another name.

    Raises
    ------
    OSError : the folder cannot be made or written; what was there is unchanged.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name in files:
        if (folder / name).is_dir():  # found now, before anything is moved
            says = "a folder of that name is in the way"
            raise IsADirectoryError(errno.EISDIR, says, str(folder / name))
    _sweep(folder)
    written = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
    before = _contents(folder)
    making = Path(tempfile.mkdtemp(prefix=_MAKING, dir=folder))
    try:
        contents = json.dumps(written, indent=1, sort_keys=True).encode() + b"\n"
        for name, content in {**files, CONTENTS: contents}.items():
            with open(making / name, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
        kept = [_keep(folder / name, before.get(name), written[name]) for name in files]
        for name in (*files, CONTENTS):
            os.replace(making / name, folder / name)
    finally:
        shutil.rmtree(making, ignore_errors=True)
    return [sentence for sentence in kept if sentence]


def _contents(folder: Path) -> dict[str, str]:
    try:
        found = json.loads((folder / CONTENTS).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _keep(path: Path, ours: str | None, new: str) -> str:
    """Move a file that isn't as we left it out of the way; say so in a sentence."""
    if not path.is_file():
        return ""
    there = hashlib.sha256(path.read_bytes()).hexdigest()
    if there in (ours, new):
        return ""
    number = 1
    while (kept := path.with_name(f"{path.stem}.kept-{number}{path.suffix}")).exists():
        number += 1
    os.replace(path, kept)
    return f"{path.name} had been changed by hand; your version is kept as {kept.name}."


def _sweep(folder: Path) -> None:
    """Remove what a killed run left behind."""
    for left in folder.glob(f"{_MAKING}*"):
        if time.time() - left.stat().st_mtime > _STALE:
            shutil.rmtree(left, ignore_errors=True)
