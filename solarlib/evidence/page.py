"""The evidence as a page to read: one HTML file, and the same table in Markdown."""

from __future__ import annotations

from collections import Counter
from html import escape
from pathlib import Path
from platform import python_version

from solarlib import __version__
from solarlib.evidence.answers import SUBJECTS, Answer, answers
from solarlib.evidence.table import STATUS
from solarlib.files import write_whole

_HEAD = ("row", "quantity", "inputs", "expected", "tolerance", "got", "unit", "result", "source")
_STYLE = """
body { font: 16px/1.45 system-ui, sans-serif; margin: 2rem auto; max-width: 90rem; padding: 0 1rem;
       color: #1b1b1b; background: #fff; }
table { border-collapse: collapse; width: 100%; margin: 0.5rem 0 2rem; }
th, td { border: 1px solid #999; padding: 0.25rem 0.5rem; text-align: left; vertical-align: top; }
td.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
td:first-child { white-space: nowrap; }
tr.wrong td { background: #fde8e0; font-weight: bold; }
@media print { body { font-size: 9px; margin: 0; } }
"""


def _verdict(one: Answer) -> str:
    return {True: "agrees", False: "DISAGREES", None: "left out"}[one.agrees]


def _cells(one: Answer) -> tuple[str, ...]:
    row = one.row
    return (
        row.id,
        row.quantity,
        row.given,
        f"{row.expected:.6g}",
        f"{row.tolerance:.2g}",
        "" if one.got is None else f"{one.got:.6g}",
        row.unit,
        _verdict(one) + (f": {one.remark}" if one.remark else ""),
        f"{row.source} ({row.status})",
    )


def summary(found: list[Answer]) -> str:
    """Say in one sentence how many rows agree.

    Parameters
    ----------
    found : from `answers`.

    Returns
    -------
    a sentence.

    Example
    -------
    >>> from solarlib.evidence import answer, row
    >>> summary([answer(row("geo-001"))]).split(",")[0]
    '1 of 1 published values are reproduced within their tolerance'
    """
    agree = sum(one.agrees is True for one in found)
    wrong = sum(one.agrees is False for one in found)
    out = len(found) - agree - wrong
    return (
        f"{agree} of {len(found)} published values are reproduced within their tolerance, "
        f"{wrong} {'is' if wrong == 1 else 'are'} not, {out} left out with a reason."
    )


def _sources(found: list[Answer]) -> str:
    """Say how sure the sources are: a value recomputed is not one read in a book."""
    counts = Counter(one.row.status for one in found)
    parts = [f"{counts[status]} {status}" for status in STATUS.values() if counts[status]]
    return f"Where they come from: {', '.join(parts)}."


def _markdown(found: list[Answer], title: str, words: list[str]) -> str:
    lines = [f"# {title}", "", *(f"{line}\n" for line in words)]
    for subject in SUBJECTS:
        lines += ["", f"## {subject.capitalize()}", ""]
        lines += ["| " + " | ".join(_HEAD) + " |", "|" + " --- |" * len(_HEAD)]
        for one in found:
            if one.row.module == subject:
                lines.append("| " + " | ".join(c.replace("|", "\\|") for c in _cells(one)) + " |")
    return "\n".join(lines) + "\n"


def _html(found: list[Answer], title: str, words: list[str]) -> str:
    parts = [
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">',
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escape(title)}</h1>",
        *(f"<p>{escape(line)}</p>" for line in words),
    ]
    for subject in SUBJECTS:
        name = subject.capitalize()
        parts.append(f'<h2 id="{subject}">{name}</h2><table><thead><tr>')
        parts += [f'<th scope="col">{head}</th>' for head in _HEAD]
        parts.append("</tr></thead><tbody>")
        for one in found:
            if one.row.module != subject:
                continue
            parts.append('<tr class="wrong">' if one.agrees is False else "<tr>")
            for head, cell in zip(_HEAD, _cells(one), strict=True):
                number = ' class="number"' if head in ("expected", "tolerance", "got") else ""
                parts.append(f"<td{number}>{escape(cell)}</td>")
            parts.append("</tr>")
        parts.append("</tbody></table>")
    return "\n".join([*parts, "</body></html>\n"])


def write_pages(folder: Path, found: list[Answer] | None = None) -> tuple[Path, Path]:
    """Write evidence.html and evidence.md into a folder; return their paths.

    Both are made anew from the published values and today's answers; older pages of these names
    are replaced.

    Parameters
    ----------
    folder : made when missing. found : from `answers`; asked anew when left out.

    Returns
    -------
    paths of the page and of the table.

    Raises
    ------
    OSError : the folder can't be written.

    Example
    -------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     [path.name for path in write_pages(Path(folder), [])]
    ['evidence.html', 'evidence.md']
    """
    found = answers() if found is None else found
    title = "What the course's numbers were checked against"
    words = [
        f"{summary(found)} {_sources(found)}",
        "A value agrees when it lies within the tolerance printed beside it, which is the rounding "
        "of the source or the accuracy its author claims. Values marked “recomputed” were found "
        "by independent code; “from memory” means that nobody has looked the value up again.",
        f"Made by version {__version__} of the course with Python {python_version()}. A value that "
        "agrees says that the formula is computed rightly, not that a heater built by it is safe.",
    ]
    page, table = folder / "evidence.html", folder / "evidence.md"
    write_whole(page, _html(found, title, words).encode())
    write_whole(table, _markdown(found, title, words).encode())
    return page, table
