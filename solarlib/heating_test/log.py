"""What does the learner's table say, and what is wrong with it?

In: a text file with commas, semicolons or tabs. Out: readings in SI units, nan for
what is missing, and one sentence for everything that was not plain. The file
itself is never written to.
"""

from __future__ import annotations

from pathlib import Path

from solarlib.commands import Refusal
from solarlib.files import why
from solarlib.heating_test.reader import Reader
from solarlib.heating_test.records import Log, Problem
from solarlib.heating_test.table import decode

MOST_BYTES = 2_000_000


class LogFileError(Refusal, ValueError):
    """One sentence about a file that cannot be opened; Jupyter shows it without a traceback."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


def read_log(path: str | Path) -> Log:
    """Read a log from a file: UTF-8 with or without a byte-order mark, UTF-16, or Windows text.

    Parameters
    ----------
    path : of the file, which is only read.

    Returns
    -------
    Log : readings in SI units (nan for gaps) and one sentence for every problem; see `parse_log`.

    Raises
    ------
    LogFileError : there is no such file, or it can't be opened. Whatever a file holds comes back
        as readings and problems.

    Valid for: files up to 2 MB and 20 000 rows; beyond, the problem list says what was not read.

    Example
    -------
    >>> read_log("no such log.csv")  # doctest: +IGNORE_EXCEPTION_DETAIL
    Traceback (most recent call last):
    LogFileError: “no such log.csv” cannot be read; check the name and folder.

    Source: none; the ways to write a table are those the tests list.
    """
    return parse_log(_bytes_of(path))


def read_text(path: str | Path) -> str:
    """Return the text of a file in any of the writings that `read_log` knows.

    Parameters
    ----------
    path : of the file, which is only read.

    Returns
    -------
    text : as it stands there, without a byte-order mark.

    Raises
    ------
    LogFileError : as `read_log`.

    Valid for: files up to 2 MB; of a longer one the beginning.

    Example
    -------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "log.csv"
    ...     _ = file.write_bytes("water (°C)".encode("utf-16"))
    ...     read_text(file)
    'water (°C)'

    Source: none; the ways to write a table are those the tests list.
    """
    return decode(_bytes_of(path))


def _bytes_of(path: str | Path) -> bytes:
    try:
        file = Path(path)
        if file.exists() and not file.is_file():  # a folder, or a device without an end
            raise LogFileError(f"“{path}” cannot be read, it is not a file; name the log's own file.")
        with file.open("rb") as content:
            return content.read(MOST_BYTES + 1)
    except LogFileError:
        raise
    except (OSError, ValueError) as error:
        says = why(error) if isinstance(error, OSError) else "no file can have this name"
        raise LogFileError(f"“{path}” cannot be read ({says}); check the name and folder.") from None


def parse_log(content: str | bytes) -> Log:
    """Read a log from a text, or from the bytes of a file.

    Parameters
    ----------
    content : lines of cells; the first line that isn't a comment (#) names the columns: time and
        water, and if there are any air, wind, sun and remark, with units such as "water (°C)".

    Returns
    -------
    Log : readings in SI units (nan for gaps) and one sentence for every problem.

    Raises
    ------
    nothing for what the text holds; a problem says it.

    Valid for: one day's log with commas, semicolons, tabs or bars between the cells, decimal
    points or commas, clock times or minutes, °C or °F.

    Example
    -------
    >>> log = parse_log("time (min);water (°C)\\n0;18,0\\n15;27,4\\n")
    >>> log.values("water_c").tolist(), log.problems
    ([18.0, 27.4], ())

    Source: none; the ways to write a table are those the tests list.
    """
    if len(content) > MOST_BYTES:
        says = f"it is larger than {MOST_BYTES // 1_000_000} MB; send the log as a small table."
        return Log((), (Problem(0, "", says),), (), ())
    return Reader(decode(content)).log()
