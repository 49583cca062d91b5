"""The whole pack: pages in order, the files beside them, the command that writes both.

In: a design file, the paper, a date. Out: one PDF and, from the same numbers, the
rib table, cut list and calendar as CSV, the templates as SVG (and DXF where the
optional library is installed).
"""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from solarlib import units
from solarlib.commands import Words, cannot
from solarlib.design import HeaterDesign, evaluate
from solarlib.pack import all_numbers, assembly, cards, drawing, sheets, stock
from solarlib.pack.drawing import Drawing
from solarlib.pack.facts import Facts
from solarlib.pack.files import write_files
from solarlib.pack.paper import BODY, OVERLAP, PAPERS, WINDOW, Paper
from solarlib.pack.tables import Table
from solarlib.pack.tilepage import tile_page

PDF = "build_pack.pdf"
Page = Callable[[Paper], None]


def pages(facts: Facts) -> list[Page]:
    """List the pages in order; each draws exactly one."""
    found = [*_checks(facts), _bind(sheets.print_page, facts)]
    sizes = []
    for piece, note in facts.templates:
        cut = drawing.tiles(piece, WINDOW, OVERLAP)
        sizes.append(len(cut))
        found += [_bind(tile_page, tile, note) for tile in cut]
    first = len(found) + 2 - sum(sizes)  # the cover comes before, and counts from 1
    found.insert(0, _bind(sheets.cover, facts, facts.section, (first, first + sizes[0] - 1)))
    found += _strips(facts.strips)
    found.append(lambda paper: sheets.rib_page(paper, facts, facts.rib_table))
    found += [_bind(sheets.cut_page, facts, part) for part in (0, 1)]
    found.append(_bind(assembly.assembly_page, facts))
    found += [
        _bind(cards.assembly_page, facts, "frame", cards.FRAME_CHECKS),
        _bind(cards.assembly_page, facts, "mirror and pipe", cards.MIRROR_CHECKS),
    ]
    if facts.design.axis == "east-west":  # another axis follows the sun and needs no calendar
        found += _calendar(facts, facts.calendar_table())
    found += [
        _bind(sheets.on_the_day_page, facts, facts.on_the_day_table),
        _bind(sheets.warm_page, facts, facts.warm_table),
        _bind(cards.cards_page, facts),
        _bind(sheets.test_page, facts),
        _bind(all_numbers.list_page, facts),
        _bind(all_numbers.tables_page, facts),
        _bind(sheets.parts_page, facts),
        _bind(sheets.change_page, facts),
    ]
    return found


def _bind(page: Callable[..., None], *args: Any) -> Page:
    return lambda paper: page(paper, *args)


def _checks(facts: Facts) -> list[Page]:
    """Share the checked items out over as many pages as they need."""
    room = BODY[3] - BODY[1] - 16
    shares: list[list[Any]] = [[]]
    used = 0.0
    for check in facts.checks:
        height = sheets.check_height(check)
        if used + height > room:
            shares.append([])
            used = 0.0
        shares[-1].append(check)
        used += height
    many = len(shares)
    return [
        _bind(sheets.checks_page, facts, share, f", {number} of {many}" if many > 1 else "")
        for number, share in enumerate(shares, 1)
    ]


def _calendar(facts: Facts, table: Table) -> list[Page]:
    """Share the calendar out evenly over pages of at most 22 lines and the notes."""
    many = -(-len(table.rows) // 22)
    each = -(-len(table.rows) // many)
    found = []
    for number in range(many):
        share = Table(table.head, table.rows[number * each : (number + 1) * each], table.align)
        part = f", {number + 1} of {many}" if many > 1 else ""
        found.append(_bind(sheets.calendar_page, facts, share, part))
    return found


def _strips(strips: Sequence[Drawing]) -> list[Page]:
    found: list[Page] = []
    for strip in strips:
        pieces = [(strip, number) for number in range(sheets.strip_pieces(strip))]
        for start in range(0, len(pieces), 5):
            found.append(_bind(sheets.strip_page, pieces[start : start + 5], strip.title))
    return found


def pdf(facts: Facts, size: str) -> bytes:
    """Draw the whole pack; the same design and date give the same bytes.

    Raises
    ------
    ValueError : a paper size that isn't known.
    """
    todo = pages(facts)
    paper = Paper(size, facts.identity, len(todo))
    for page in todo:
        page(paper)
    return paper.bytes()


def side_files(facts: Facts) -> dict[str, bytes]:
    """Return the CSV and SVG files, and the DXF files where they can be written."""
    note = facts.note
    found = {
        "rib_table.csv": facts.rib_table.csv(note),
        "cut_list.csv": stock.cut_table(facts.evaluation).csv(note),
        "calendar.csv": facts.calendar_table(full_dates=True).csv(note),
        "warm_up.csv": facts.warm_table.csv(note),
    }
    pieces = [piece for piece, _ in facts.templates] + list(facts.strips)
    for piece in pieces:
        found[f"{piece.name}.svg"] = drawing.svg(piece, note)
    files = {name: text.encode("utf-8") for name, text in found.items()}
    if drawing.can_write_dxf():
        for piece in pieces:
            files[f"{piece.name}.dxf"] = drawing.dxf(piece)
    return files


# --- the command -------------------------------------------------------------------------------
def _parser() -> Words:
    parser = Words(
        prog="python -m solarlib pack",
        description="Write the build pack of a design: templates, tables, calendar and cards.",
    )
    parser.add_argument("design", type=Path, metavar="DESIGN.toml")
    parser.add_argument("--paper", choices=sorted(PAPERS), help="default: what the design says")
    parser.add_argument("--out", type=Path, help="folder; default: beside the design file")
    parser.add_argument("--learner", default="", help="your id, printed on every page")
    parser.add_argument("--date", help="day of the pack, like 2026-03-01; default: today")
    parser.add_argument(
        "--bars",
        nargs=2,
        metavar=("ACROSS", "DOWN"),
        help="the two bars measured on a printed template page, like “199.5 mm” “149.8 mm”",
    )
    return parser


def _day(text: str | None) -> date:
    """Read the day of the pack; today when left out."""
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"Date “{text}” cannot be read; write it like 2026-03-01.") from None


def _with_bars(design: HeaterDesign, bars: Sequence[str] | None) -> HeaterDesign:
    """Put the measured bars into the design."""
    if not bars:
        return design
    across, down = (units.parse(text, "mm").value for text in bars)
    return dataclasses.replace(design, bar_across=across, bar_down=down)


def _say(sentence: str) -> None:
    print(sentence, flush=True)


def write_pack(
    design: HeaterDesign,
    folder: Path,
    day: date,
    size: str,
    learner: str = "",
    say: Callable[[str], None] = _say,
) -> list[str]:
    """Work a design out and write its pack; says in sentences what it does.

    Parameters
    ----------
    folder : where the files go. day : printed on every page; its year is the calendar's.
    size : "a4" or "letter". learner : id on every page; the design's own when empty.
    say : takes a sentence a step.

    Returns
    -------
    names of the files written.

    Raises
    ------
    ValueError, OSError : nothing was changed.
    """
    say("Working the design out …")
    facts = Facts.of(evaluate(design), day, learner)
    say(f"Drawing the pages for {'A4' if size == 'a4' else 'Letter'} paper …")
    files = side_files(facts)
    files[PDF] = pdf(facts, size)
    say(f"Writing {len(files)} files to {folder} …")
    for kept in write_files(folder, files):
        say(kept)
    open_gates = ", ".join(one.id for one in facts.evaluation.gates_open)
    mark = f"{facts.identity.mark} ({open_gates})" if open_gates else facts.state
    for sentence in _open_items(facts):
        say(sentence)
    say(f"Done: {folder / PDF}. {mark[:1].upper()}{mark[1:]}; not a permission "
        "to build.")  # fmt: skip
    return sorted(files)


def _open_items(facts: Facts) -> list[str]:
    """Name each item that is not met, and the nearest change that was tried and would meet it."""
    told = []
    for one in facts.evaluation.constraints:
        if one.met is None:
            told.append(f"{one.id}, {one.name}, is not known. {one.reason}")
        elif not one.met:
            found = facts.evaluation.what_if(one.id)
            told.append(f"{one.id}, {one.name}, is not met. "
                        f"{found[0].sentence if found else one.change}")  # fmt: skip
    return told


def main(argv: Sequence[str] | None = None) -> int:
    """Run ``python -m solarlib pack DESIGN.toml``; return the exit code, 2 for bad input."""
    try:
        asked = _parser().parse_args(argv)
        day = _day(asked.date)
        _say(f"Reading {asked.design} …")
        design = _with_bars(HeaterDesign.from_toml(asked.design), asked.bars)
        folder = asked.out or asked.design.parent / f"{asked.design.stem}-pack"
        write_pack(design, folder, day, asked.paper or design.paper, asked.learner)
    except ValueError as error:
        return cannot(error)
    except OSError as error:
        where = str(error.filename or "The folder")[:80]
        return cannot(f"{where} cannot be written ({error.strerror or error}); choose another "
                      "folder with --out.")  # fmt: skip
    except KeyboardInterrupt:
        print("Stopped; what was there before is unchanged.", file=sys.stderr)
        return 130
    return 0
