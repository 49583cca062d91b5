"""How is a table written: which letters, which separator, what does a heading mean?

In: the bytes or lines of a file. Out: text, cells, and columns with their unit.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass

GAPS = {"", "-", "--", "–", "—", "?", "n/a", "na", "nan", "none", "null", "#n/a", "."}
KEYWORDS = {
    "time": ("time", "clock", "minute", "minutes", "elapsed", "hour", "date"),
    "water": ("water", "pot", "tank"),
    "air": ("air", "ambient", "shade"),
    "wind": ("wind",),
    "sun": ("sun", "beam", "dni", "irradiance", "solar", "sunlight"),
    "remark": ("remark", "remarks", "note", "notes", "comment", "comments", "sky"),
}
# what a column holds: unit in which it is read, plausible range, unit in words
KINDS = {
    "time": ("min", (0.0, 48 * 3600.0), "min"),
    "water": ("degC", (0.0, 105.0), "°C"),
    "air": ("degC", (-30.0, 55.0), "°C"),
    "wind": ("m/s", (0.0, 40.0), "m/s"),
    "sun": ("W/m2", (0.0, 1400.0), "W/m²"),
}
CLOCK_UNITS = {"clock", "hh:mm", "h:mm", "hh:mm:ss", "local", "utc"}
CLOCK = re.compile(r"(\d{1,2})\s*[:h]\s*(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*(am|pm|a\.m\.|p\.m\.)?")
DATE = re.compile(r"^(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./]\d{1,2}[./]\d{2,4})[T ]+(?=\d)")


def decode(content: str | bytes) -> str:
    """Return the text of a file: UTF-8, UTF-16 by its mark, else Windows letters."""
    if isinstance(content, str):
        return content.removeprefix("\ufeff")
    for mark, name in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"", "utf-8-sig")):
        if content.startswith(mark):
            try:
                return content.decode(name)
            except UnicodeDecodeError:
                continue
    damaged = content.decode("utf-8-sig", errors="replace")
    if any(letter > "\x7f" and letter != "\ufffd" for letter in damaged):
        return damaged  # UTF-8 with a broken letter here and there
    return content.decode("cp1252", errors="replace")


@dataclass
class Column:
    """One column: the kind of quantity ("" when unknown), its heading and its unit."""

    kind: str
    heading: str
    unit: str  # as written in the header, "" when the cell alone decides
    usable: bool = True


def find_separator(header: str) -> str:
    """Return the mark between the headings; one inside brackets or quotes doesn't count."""
    outside = re.sub(r'"[^"]*"|\([^)]*\)|\[[^\]]*\]', "", header)
    return next((mark for mark in ("\t", ";", ",", "|") if mark in outside), ",")


def split_cells(line: str, separator: str) -> list[str]:
    """Cut one line into cells, quotes taken off; a stray quote can't swallow the next line."""
    try:
        cells = next(csv.reader([line], delimiter=separator, skipinitialspace=True))
    except (csv.Error, StopIteration):
        cells = line.split(separator)
    return [cell.strip().strip('"').strip() for cell in cells]


def uses_decimal_comma(rows: Iterable[list[str]]) -> bool:
    """Say whether the table writes 18,5 and never 18.5."""
    cells = [cell for row in rows for cell in row]
    comma = any(re.match(r"[-−+]?\d+,\d{1,2}(?!\d)", cell) for cell in cells)
    return comma and not any(re.match(r"[-−+]?\d+\.\d", cell) for cell in cells)


def name_and_unit(heading: str) -> tuple[str, str]:
    """Split "water (°C)", "water [degC]", "water in °C", "water_c" or "wind, m/s" in two."""
    bracket = re.search(r"[(\[]([^)\]]*)[)\]]", heading)
    if bracket:
        return heading[: bracket.start()], bracket[1].strip()
    parts = re.split(r",\s*|\s+in\s+|\s*/\s*(?=[°A-Za-z]+$)", heading, maxsplit=1)
    if len(parts) == 2 and parts[0].strip():
        return parts[0], parts[1].strip()
    tail = re.fullmatch(r"(.*?)[_ ](°?[cCfF]|deg[cCfF]|min|s|h|m_s|km_h|mph|w_m2|W/m2|m/s|bft)",
                        heading.strip())  # fmt: skip
    if tail:
        spelled = {"c": "degC", "f": "degF", "m_s": "m/s", "km_h": "km/h", "w_m2": "W/m2"}
        return tail[1], spelled.get(tail[2].lower(), tail[2])
    return heading, ""
