"""How is a file or a line written whole or not at all, and what is said when it cannot be?

In: a path and what to write. Out: the old file or the new one, never half of one; and for an
error of the system, one sentence.
"""

from __future__ import annotations

import os
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows: one O_APPEND write per line is all the protection there
    fcntl = None  # type: ignore[assignment]


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside its place and move it there; folders above it are made.

    Raises
    ------
    OSError : no space, no permission; what was there before is unchanged, nothing is left behind.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.unfinished")
    try:
        unfinished.write_bytes(data)
        os.replace(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)


def append_line(path: Path, line: str) -> None:
    """Add one line to a file that several processes may add to at the same time.

    Raises
    ------
    OSError : no space, no permission; no half of the line stays behind.
    """
    handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o644)
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX)
        size = os.fstat(handle).st_size
        whole = not size or not hasattr(os, "pread") or os.pread(handle, 1, size - 1) == b"\n"
        # a cut-off line of a crashed process stays a line of its own
        data = f"{'' if whole else chr(10)}{line}\n".encode()
        try:
            while data:
                data = data[os.write(handle, data) :]
        except OSError:
            os.ftruncate(handle, size)
            raise
    finally:
        os.close(handle)


def why(error: Exception) -> str:
    """Say in a few words why a file could not be read or written."""
    if isinstance(error, UnicodeError):
        return "it is not text in UTF-8"
    if isinstance(error, OSError):
        return error.strerror or "the system refuses it"
    return "its content is not what it should be"


def about_file(error: OSError) -> str:
    """Say in one sentence that a file or folder cannot be used, and what to look at."""
    where = str(error.filename or "A file or folder")
    where = where if len(where) <= 120 else f"{where[:40]}…{where[-40:]}"
    return f"{where} cannot be used ({why(error)}); check the name, the folder and the free space."
