"""The sheets between the templates and the cards: cover, tables, curves, forms.

In: `Facts` (the design, its evaluation and their words). Out: pages of `paper`,
one function a page, body in 10 points or more.
"""

from __future__ import annotations

from collections.abc import Sequence

from solarlib.design.tiling import tile_count
from solarlib.pack import stock, tables, words
from solarlib.pack.axes import axes
from solarlib.pack.drawing import Drawing
from solarlib.pack.facts import Check, Facts
from solarlib.pack.ink import measure, short_line
from solarlib.pack.paper import BAR_ACROSS, BAR_DOWN, BODY, OVERLAP, WINDOW, Paper
from solarlib.pack.tables import Table

LEFT, TOP, RIGHT, BOTTOM = BODY
WIDE = RIGHT - LEFT
STATEMENT = "Supervised, attended, cleaning water only."
ROW = 5.1  # height of a table row [mm]


# --- cover -------------------------------------------------------------------------------------
def cover(paper: Paper, facts: Facts, section: Drawing, rib_pages: tuple[int, int]) -> None:
    """Draw the cover: what it is, its key numbers, what to print first, its state.

    rib_pages : first and last page of the rib's template.
    """
    paper.new_page()
    paper.words(LEFT, TOP + 8, short_line(facts.identity.title), 22, bold=True, within=WIDE)
    y = paper.paragraph(LEFT, TOP + 11, WIDE, "Build pack for a trough mirror water heater", 13)
    head, widths = ["key number", "value"], [50, WIDE - 162]
    paper.table(LEFT + 112, y + 1, head, facts.key_numbers, widths, row_height=5.6)
    paper.sketch(section, LEFT, y + 2, 104, 48)
    low = paper.paragraph(LEFT, y + 52, 106, facts.in_words, 10) + 5
    learner = short_line(facts.identity.learner, 60) or "no learner id"
    sheet = {"a4": "A4", "letter": "Letter"}[paper.size]
    version = f"{facts.identity.fingerprint}, version {short_line(facts.identity.version, 30)}"
    rows = [("learner", learner), ("design", version), ("site", facts.site),
            ("paper", f"{sheet}, long side across")]  # fmt: skip
    for label, text in rows:
        paper.words(LEFT, low, label, 10, bold=True)
        paper.words(LEFT + 20, low, text, 10, within=86)
        low += 5.0
    low = paper.paragraph(LEFT, low - 2.5, 106, words.print_first(*rib_pages), 10) + 1.5
    _state(paper, facts, LEFT, low, 106)


def _state(paper: Paper, facts: Facts, x: float, y: float, width: float) -> None:
    """The state of the checks and the standing statement, boxed."""
    top, mark = y, facts.identity.mark
    y += 1
    for text in (mark, facts.state) if mark else (facts.state,):
        y = paper.paragraph(x + 3, y, width - 6, text, 11, bold=True)
    y = paper.paragraph(x + 3, y, width - 6, STATEMENT, 11, bold=True)
    text = "A tidy paper design, not a permission to build. Local rules and licensed trades decide."
    y = paper.paragraph(x + 3, y, width - 6, text, 10)
    paper.box(x, top, width, y + 1 - top, "cut")


def checks_page(paper: Paper, facts: Facts, checks: Sequence[Check], part: str) -> None:
    """List the checked items: what was asked, what came, met or not."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, f"Checked items{part}")
    widths = [14, 107, 34, 34, 27]
    lefts = [LEFT + sum(widths[:i]) for i in range(5)]
    for x, head in zip(lefts, ("item", "what is asked", "yours", "limit", "state"), strict=True):
        paper.words(x + 1, y + 3.5, head, 10, bold=True)
    y += 5
    for check in checks:
        paper.line([(LEFT, y), (RIGHT, y)], "fine")
        cells = (check.id, check.text, check.value, check.limit, check.state)
        bottoms = [
            paper.paragraph(x + 1, y + 0.8, width - 2, text, 10, bold=text.startswith("NOT "))
            for x, width, text in zip(lefts, widths, cells, strict=True)
        ]
        y = max(bottoms) + 0.8
    paper.line([(LEFT, y), (RIGHT, y)], "mark")


def check_height(check: Check) -> float:
    """Height of a line of the checked items [mm]."""
    pairs = ((check.text, 105), (check.value, 32), (check.limit, 32))
    lines = max(len(measure().wrapped(text, width)) for text, width in pairs)
    return lines * 10 * 25.4 / 72 * 1.32 + 1.6


# --- printing ----------------------------------------------------------------------------------
def print_page(paper: Paper, facts: Facts) -> None:
    """Say how to print, what to measure on the print, and what a wrong scale costs."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, "Before you saw: measure this print")
    left = 104.0
    steps = (
        "Print at “Actual size” or 100 %, never “Fit to page”.",
        f"Measure the bar across ({BAR_ACROSS:.0f} mm) and the bar down ({BAR_DOWN:.0f} mm) on a "
        "template page with a steel rule.",
        "Go on only if the bar across measures 199.0 to 201.0 mm and the bar down 149.25 to "
        "150.75 mm. Else correct the scale and print again.",
        "Write both readings here and into the design file (bar_across, bar_down); this page then "
        "states the focal length your print really has.",
        f"Tape the sheets on a table: cross on cross, {OVERLAP:.0f} mm overlap.",
        "Never mix sheets of two printers or of two scales.",
    )  # fmt: skip
    yy = y
    for number, text in enumerate(steps, 1):
        yy = paper.paragraph(LEFT, yy, left, text, 10, bullet=f"{number}") + 1.6
    yy += 3
    readings = ("bar across", facts.design.bar_across), ("bar down", facts.design.bar_down)
    for name, value in readings:
        paper.words(LEFT, yy + 5, f"{name} measures", 11, bold=True)
        paper.box(LEFT + 52, yy - 1, 34, 8.5)
        if value is not None:
            paper.words(LEFT + 55, yy + 5, tables.mm(value, 2), 11)
        paper.words(LEFT + 88, yy + 5, "mm", 11)
        yy += 11
    yy = paper.paragraph(LEFT, yy + 1, left, facts.print_verdict, 11, bold=True)
    needed = facts.design.printer_margin * 1000
    if needed > 12.0:
        text = f"Your printer needs {needed:g} mm of margin: the border, 12 mm inside, gets cut."
        paper.paragraph(LEFT, yy + 2, left, text, 10, bold=True)
    paper.words(LEFT + 112, y + 3, "What a wrong scale costs", 11, bold=True)
    paper.table(
        LEFT + 112,
        y + 5,
        facts.print_table.head,
        facts.print_table.rows,
        [18, 18, 22, 26, 28],
        align=facts.print_table.align,
    )


# --- ribs --------------------------------------------------------------------------------------
def rib_page(paper: Paper, facts: Facts, table: Table) -> None:
    """Print the rib table."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, "Rib table")
    text = (
        "Half a rib; the other half is its mirror image. x from the centre line, y above the "
        f"vertex. {facts.backing_words} Inches to the nearest 1/32."
    )
    y = paper.paragraph(LEFT, y, WIDE, text, 10)
    step = min(ROW, (BOTTOM - y - 12) / (len(table.rows) + 1))
    paper.table(LEFT, y + 1, table.head, table.rows, [26.5] * 8, align=table.align, row_height=step)


def cut_page(paper: Paper, facts: Facts, part: int) -> None:
    """Print the cut list (part 0) or its sketches and hole list (part 1)."""
    paper.new_page()
    if part == 0:
        y = paper.heading(LEFT, TOP, "Cut list")
        kerf = f"{facts.design.saw_kerf * 1000:g} mm"
        text = f"Finished sizes. Saw kerf {kerf}: leave it free between pieces."
        y = paper.paragraph(LEFT, y, WIDE, text, 10)
        table = stock.cut_table(facts.evaluation)
        widths = [28, 15, 36, 42, WIDE - 121]
        paper.table(LEFT, y + 1, table.head, table.rows, widths, align=table.align, row_height=6.4)
        return
    y = paper.heading(LEFT, TOP, "How the pieces lie on the stock; holes")
    for number, (title, drawing, remark) in enumerate(stock.boards(facts.evaluation)):
        x = LEFT + number * (WIDE / 2 + 2)
        paper.words(x, y + 4, title, 10, bold=True, within=WIDE / 2 - 4)
        _nest(paper, drawing, x, y + 7, *stock.SKETCH)
        paper.paragraph(x, y + 83, WIDE / 2 - 6, remark, 10)
    y += 104
    for text in stock.hole_list(facts.evaluation):
        y = paper.paragraph(LEFT, y, WIDE, text, 10, bullet="•") + 0.8


def _nest(paper: Paper, drawing: Drawing, x: float, y: float, width: float, height: float) -> None:
    """Draw a board with its pieces, and the names inside them."""
    scale = paper.sketch(drawing, x, y, width, height)
    x0 = x + (width - drawing.width * scale) / 2 - drawing.left * scale
    y0 = y + (height + drawing.height * scale) / 2 + drawing.bottom * scale
    for label in drawing.labels():
        lines = label.text.split("\n")
        top = y0 - label.y * scale - 2.0 * (len(lines) - 1) + 1.2
        for number, text in enumerate(lines):
            paper.words(x0 + label.x * scale, top + 4.0 * number, text, 9, align="middle")


# --- aiming ------------------------------------------------------------------------------------
def calendar_page(paper: Paper, facts: Facts, table: Table, part: str) -> None:
    """Print a page of the re-tilt calendar."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, f"Re-tilt calendar {facts.year}, {facts.site}{part}")
    widths = [18, 18, 12, 24, 27, 31, 34, 15, 17, 30]
    step = min(5.6, 122 / len(table.rows))
    y = paper.table(LEFT, y, table.head, table.rows, widths, align=table.align, row_height=step)
    paper.paragraph(LEFT, y + 1.5, WIDE, words.calendar_notes(facts), 10)


def on_the_day_page(paper: Paper, facts: Facts, table: Table) -> None:
    """Print the noon tilts for setting on the day, and how to check with the pin."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, f"Set on the day: tilt {facts.year}, {facts.site}")
    y = paper.paragraph(LEFT, y, WIDE, words.on_the_day(facts), 10)
    y = paper.table(LEFT, y + 1, table.head, table.rows, _even(18, table), align=table.align)
    y += 3
    for text in words.aiming(facts):
        y = paper.paragraph(LEFT, y, WIDE, text, 10, bullet="•") + 0.6


def _even(first: float, table: Table) -> list[float]:
    """Column widths: a first one, the rest alike over the page."""
    many = len(table.head) - 1
    return [first] + [min((WIDE - first) / many, 26.0)] * many


# --- warming up --------------------------------------------------------------------------------
def warm_page(paper: Paper, facts: Facts, table: Table) -> None:
    """Draw the predicted warm-up with its band, the table, and blank axes for the own test."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, "Warm-up: prediction and your own test")
    wide = (WIDE - 6) / 2
    axes(paper, facts, LEFT, y, wide, 92, "predicted: middle, and 5–95 % band", curves=True)
    axes(paper, facts, LEFT + wide + 6, y, wide, 92, "your test: draw your points here", False)
    y += 95
    across = [("minutes", *(row[0] for row in table.rows))]
    for number, label in ((1, "5 % °C"), (2, "middle °C"), (3, "95 % °C"), (4, "yours °C")):
        across.append((label, *(row[number] for row in table.rows)))
    columns = len(across[0]) - 1
    cell = min((WIDE - 22) / columns, 17)
    widths, align = [22] + [cell] * columns, "l" + "r" * columns
    y = paper.table(LEFT, y, across[0], across[1:], widths, align=align, grid=True)
    paper.paragraph(LEFT, y + 1.5, WIDE, words.band(facts), 10)


# --- forms -------------------------------------------------------------------------------------
def test_page(paper: Paper, facts: Facts) -> None:
    """Print the test sheet: conditions, instruments, sixteen rows, stop rule, result."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, "Heating test")
    for row in (("date", "place", "sky", "adult in charge", "second person"),
                ("water kg", "start °C", "lid", "tilt set °", "hose rated °C")):  # fmt: skip
        for number, label in enumerate(row):
            x = LEFT + number * WIDE / 5
            end = paper.words(x, y + 4.5, label, 10)
            paper.line([(end + 1, y + 5.2), (x + WIDE / 5 - 2, y + 5.2)], "fine")
        y += 7.5
    paper.words(LEFT, y + 4.5, "instruments ±", 10, bold=True)
    for number, label in enumerate(("thermometer ± K", "scale ± g", "sun ± %", "wind ± %")):
        x = LEFT + 32 + number * (WIDE - 32) / 4
        end = paper.words(x, y + 4.5, label, 10)
        paper.line([(end + 1, y + 5.2), (x + (WIDE - 32) / 4 - 3, y + 5.2)], "fine")
    head = ["", "clock", "water °C", "air °C", "wind m/s", "sun W/m²", "tilt °", "remark"]
    rows = [[str(number), *[""] * 7] for number in range(1, 17)]
    y = paper.table(LEFT, y + 8, head, rows, [9, 24, 26, 22, 26, 26, 20, WIDE - 153],
                    row_height=5.6, grid=True)  # fmt: skip
    y = paper.paragraph(LEFT, y + 1.5, WIDE, words.stop_rule(facts), 10, bold=True) + 1
    for number, label in enumerate(("power W", "± W", "efficiency %", "± %", "signed")):
        x = LEFT + number * WIDE / 5
        end = paper.words(x, y + 4.5, label, 10)
        paper.line([(end + 1, y + 5.2), (x + WIDE / 5 - 2, y + 5.2)], "mark")


def parts_page(paper: Paper, facts: Facts) -> None:
    """Print the parts and price sheet, prices left for the learner where none are given."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, "Parts and prices")
    y = paper.paragraph(LEFT, y, WIDE, "Your own prices; tax and delivery included.", 10)
    table = stock.parts_table(facts.evaluation)
    widths = [25, 15, 33, WIDE - 121, 24, 24]
    y = paper.table(LEFT, y + 1, table.head, table.rows, widths, align=table.align,
                    row_height=6.2, grid=True)  # fmt: skip
    paper.words(RIGHT - 27, y + 6, "total", 11, bold=True, align="right")
    paper.box(RIGHT - 24, y + 1, 24, 7)
    if any(row[5] for row in table.rows):
        total = sum(float(row[5]) for row in table.rows if row[5])
        paper.words(RIGHT - 1, y + 6, f"{total:.2f}", 10, align="right")


def change_page(paper: Paper, facts: Facts) -> None:
    """Print the change log, with empty lines to go on by hand."""
    paper.new_page()
    y = paper.heading(LEFT, TOP, "What I changed and why")
    changes = facts.design.changes[-12:]
    rows = [[short_line(cell, 90) for cell in row] for row in changes]
    rows += [["", "", ""]] * (16 - len(rows))
    paper.table(LEFT, y, ["date", "what", "why"], rows, [28, 88, WIDE - 116],
                row_height=8.6, grid=True)  # fmt: skip


def strip_page(paper: Paper, strips: Sequence[tuple[Drawing, int]], title: str) -> None:
    """Draw pieces of screw strips at true size, one below the other.

    strips : (strip, number of its piece); a piece is PIECE long and overlaps the next.
    """
    paper.new_page()
    y = paper.heading(LEFT, TOP, title)
    text = ("Cut the pieces out, lay cross on cross and tape. Numbers are millimetres from the "
            "left end. Round hole: fixed screw. Slot: the sheet may slide.")  # fmt: skip
    y = paper.paragraph(LEFT, y, WIDE, text, 10) + 2
    for strip, number in strips:
        start = number * (PIECE - OVERLAP)
        end = min(start + PIECE, strip.right)
        paper.words(LEFT, y + 3.5, f"{strip.title}, piece {number + 1}", 9)
        paper.strip_piece(strip, start, end, LEFT, y + 5)
        for at in (start + OVERLAP / 2, end - OVERLAP / 2):
            if OVERLAP < at < strip.right - OVERLAP:
                x, middle = LEFT + at - start, y + 5 + strip.height / 2
                paper.line([(x, middle - 9), (x, middle + 9)], "mark")
                paper.circle(x, middle, 1.5, "mark")
        y += strip.height + 8


PIECE = min(WIDE, WINDOW[0])  # longest piece of a strip on one page


def strip_pieces(strip: Drawing) -> int:
    """How many pieces a strip is cut into."""
    return tile_count(strip.width, PIECE, OVERLAP)
