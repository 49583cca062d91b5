"""What lies in a learner's folder or zip: bare names and bytes, read without believing anything.

In: a path. Out: regular files within limits, and notes for the instructor in words. Links
are not followed, folders in a zip are not made, and sizes are counted while reading.
"""

from __future__ import annotations

import io
import os
import stat
import zipfile
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Any

MAX_NOTEBOOK = 25_000_000  # bytes; most of a large one is pictures, which are dropped
MAX_DATA = 2_000_000
MAX_FILES = 40  # looked at: five times as many
MAX_TOTAL = 60_000_000


def gather(path: Path, notes: list[str]) -> dict[str, bytes]:
    """Return the regular files of a folder or a zip by their bare names, within limits."""
    if path.is_symlink():
        notes.append(f"{shown(path.name)} is a link and was not followed.")
        return {}
    if path.suffix.lower() == ".zip" and path.is_file():
        return dict(_unzipped(_read_regular(path, MAX_NOTEBOOK, notes) or b"", notes))
    files: dict[str, bytes] = {}
    for file in sorted(_listed(path, notes)):
        data = _read_regular(file, _most(file.name), notes)
        if data is not None and _fits(file.name, data, files, notes):
            files[file.name] = data
    zips = [name for name in files if name.endswith(".zip")]
    if len(zips) == 1 and not any(name.endswith(".ipynb") for name in files):
        notes.append(f"The work was taken out of {shown(zips[0])}.")
        files |= dict(_unzipped(files.pop(zips[0]), notes))
    return files


def _listed(path: Path, notes: list[str]) -> Iterator[Path]:
    """Yield what lies in a folder, and one folder further down."""
    seen = 0
    for folder in (path, *_subfolders(path)):
        try:
            entries = sorted(os.scandir(folder), key=lambda e: e.name)
        except OSError:
            continue
        for entry in entries:
            seen += 1
            if seen > 5 * MAX_FILES:
                notes.append("There are very many files; the rest was not looked at.")
                return
            if entry.is_symlink():
                notes.append(f"{shown(entry.name)} is a link and was not followed.")
            elif not entry.is_dir(follow_symlinks=False):
                yield Path(entry.path)


def _subfolders(path: Path) -> list[Path]:
    try:
        folders = [Path(e.path) for e in os.scandir(path) if e.is_dir(follow_symlinks=False)]
    except OSError:
        return []
    return sorted(f for f in folders if not f.name.startswith((".", "__")))[:10]


def _read_regular(path: Path, most: int, notes: list[str]) -> bytes | None:
    """Return the bytes of a regular file; None, and a note, for anything else."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = os.open(path, flags)
    except OSError as error:
        notes.append(f"{shown(path.name)} cannot be opened ({error.strerror}).")
        return None
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            notes.append(f"{shown(path.name)} is no ordinary file and was ignored.")
            return None
        data = file.read(most + 1)
    if len(data) > most:
        notes.append(f"{shown(path.name)} is larger than {most // 1_000_000} MB: ignored.")
        return None
    return data


def _most(name: str) -> int:
    return MAX_NOTEBOOK if name.endswith((".ipynb", ".zip")) else MAX_DATA


def _fits(name: str, data: bytes, files: Mapping[str, bytes], notes: list[str]) -> bool:
    if name in files:
        notes.append(f"{shown(name)} lies there more than once; the first one counts.")
        return False
    if sum(map(len, files.values())) + len(data) > MAX_TOTAL:
        notes.append(f"All files together are larger than {MAX_TOTAL // 1_000_000} MB; the rest "
                     "was ignored.")  # fmt: skip
        return False
    return True


def _unzipped(data: bytes, notes: list[str]) -> Iterator[tuple[str, bytes]]:
    """Yield the files of a zip by bare name; paths, links and sizes in it are not believed."""
    seen: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for info in archive.infolist()[: 5 * MAX_FILES]:
                name = PurePosixPath(info.filename.replace("\\", "/")).name
                if info.is_dir() or not name or name.startswith((".", "__MACOSX")):
                    continue
                kind = stat.S_IFMT(info.external_attr >> 16)
                if kind not in (0, stat.S_IFREG):
                    notes.append(f"{shown(name)} in the zip is a link and was not followed.")
                    continue
                content = _unpacked(archive, info, _most(name), notes)
                if content is not None and _fits(name, content, seen, notes):
                    seen[name] = content
    except (zipfile.BadZipFile, NotImplementedError, OSError, ValueError, RuntimeError):
        notes.append("The zip is damaged; what could be read of it was taken.")
    yield from seen.items()


def _unpacked(archive: zipfile.ZipFile, info: Any, most: int, notes: list[str]) -> bytes | None:
    name = shown(PurePosixPath(info.filename).name)
    try:
        with archive.open(info) as file:
            data = file.read(most + 1)
    except Exception as error:  # zlib, lzma, a password, a wrong checksum: all the same to us
        notes.append(f"{name} in the zip cannot be read ({type(error).__name__}).")
        return None
    if len(data) > most:
        notes.append(f"{name} in the zip unpacks to more than {most // 1_000_000} MB: ignored.")
        return None
    return data


def last_changed(path: Path) -> str:
    """Return when a zip, or what lies in a folder, was last changed (UTC), "" when nobody knows.

    A learner's clock may be wrong, and copying may set a new date: for people to look at only.
    """
    try:
        files = [path] if path.is_file() else [f for f in path.iterdir() if f.is_file()]
        latest = max(f.lstat().st_mtime for f in files)
        return f"{datetime.fromtimestamp(latest, UTC):%Y-%m-%d %H:%M:%S UTC}"
    except (OSError, ValueError, OverflowError):
        return ""


def shown(name: str) -> str:
    """Return a file's name as it may stand in a note."""
    safe = "".join(c if c.isprintable() and c not in "<>&`|" else "?" for c in name)
    return safe if len(safe) <= 60 else safe[:57] + "..."
