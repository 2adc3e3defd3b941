"""The measuring sheet: what is read on a new vehicle, in the order of the walk along it.

What stands on it is what ``halfturn new`` asks, from the same tables.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath

from sim.display import DisplayName
from sim.scene.keys import ChoiceKey
from sim.scene.stations import OBSTACLES as OBSTACLES_STATION
from sim.show.paper.blank_boxes import LINES, NAME, NOTE, Reading, blanks, height_of, set_blanks
from sim.show.paper.blank_overview import overview
from sim.show.paper.blank_sketches import HIGH, SKETCHES, WIDE
from sim.show.paper.blank_strips import Strip, strips
from sim.show.paper.kit import (
    STEP,
    THIN,
    Box,
    Cell,
    Label,
    PaperName,
    Sheet,
    wrap,
    write_sheet,
)

CAUTION = "Level ground, wheels blocked, rated stands, engine off, key out. The maker's data first."
NEVER = (
    "Never measure under what only a jack holds, nor near a turning shaft. Before drilling look "
    "behind the rail for lines, wiring and tank."
)
HOW = (
    "As the tape shows it, ± how far off it may be: {}. Blank is not known: what stands in [ ] "
    "holds then. Back from the truck, halfturn new my_truck.toml asks the same in the same order."
)
SKETCH, GAP = WIDE, 3.0  # room for a sketch across, and beside it [mm]
HEADING = 5.6  # height of the heading of a strip [mm]
BESIDE, ACROSS = 4, 6  # boxes in a row beside a sketch, and without one
OBSTACLES = 4  # rows to write in
SIDES = ("aft", "up / down", "right / left")
TITLES = {
    "obstacle NAME": "What is near",
    "complaint NAME": "On the road: what the driver feels",
    "left hole NAME": "Hole, left rail",
    "right hole NAME": "Hole, right rail",
}
HALF = 40.0  # room that two short strips may take [mm]


def write_blank(
    path: FilePath, kind: str = "leaf", display: DisplayName = "metric", paper: PaperName = "a4"
) -> FilePath:
    """Write the measuring sheet as a PDF file.

    Args:
        path: Where it belongs.
        kind: Of the suspension.
        display: Units of the boxes.
        paper: Size of the page.

    Returns:
        The path.
    """
    label = Label(f"Measuring sheet, suspension: {kind}", "", caution=CAUTION)
    return write_sheet(path, label, lambda sheet: _fill(sheet, kind, display), paper=paper)


def _fill(sheet: Sheet, kind: str, display: DisplayName) -> None:
    """Fill the sheet."""
    _head(sheet, kind, display)
    waiting = strips(kind)
    while waiting:
        strip = waiting.pop(0)
        if strip.station.name.startswith("obstacle"):
            _obstacles(sheet, strip, display)
        elif strip.is_short and waiting and waiting[0].is_short:
            _pair(sheet, (strip, waiting.pop(0)), display)
        else:
            _strip(sheet, strip, display, sheet.left, sheet.right)


def _head(sheet: Sheet, kind: str, display: DisplayName) -> None:
    """Set who read it when, how it is filled, and where each strip is on the vehicle."""
    widths = (1.6, 5, 1, 3, 1, 3)
    row = [Cell("vehicle"), Cell(box=True), Cell("who"), Cell(box=True), Cell("date")]
    sheet.table(widths, [[*row, Cell(box=True)]], rules=False)
    example = "1745 ± 3" if display == "metric" else "68-3/4 ± 1/8"
    sheet.paragraph(HOW.format(example), NAME)
    sheet.paragraph(f"{NEVER} Here: display = {display}, suspension.kind = {kind}.", NAME)
    sheet.space(1)
    letters = {_base(strip): strip.letter for strip in reversed(strips(kind))}
    height = 46.0
    sheet.need(height)
    overview(sheet, Box(sheet.left, sheet.y, sheet.right, sheet.y + height), kind, letters)
    sheet.y += height + 1


def _base(strip: Strip) -> str:
    """Return the name of a strip's sketch: that of its station without number or name."""
    return re.sub(r" (\d|N|NAME)$", "", strip.station.name)


def _pair(sheet: Sheet, pair: Sequence[Strip], display: DisplayName) -> None:
    """Set two short strips side by side."""
    sheet.need(HALF)
    top, middle, low = sheet.y, (sheet.left + sheet.right) / 2, []
    for strip, left in zip(pair, (sheet.left, middle + GAP / 2), strict=True):
        sheet.y = top
        _strip(sheet, strip, display, left, left + middle - GAP / 2 - sheet.left)
        low.append(sheet.y)
    sheet.y = max(low)


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where the parts of a strip stand, before any of it is set."""

    left: float  # of words and boxes, right of a sketch [mm]
    wide: float  # of a column [mm]
    says: list[str]  # how it is read, in lines
    rows: list[list[Reading]]
    start: float  # of the short lines [mm]
    lines: list[list[tuple[str, str]]]
    beside: bool  # whether they stand right of the last boxes

    @classmethod
    def of(cls, strip: Strip, display: DisplayName, left: float, right: float) -> _Plan:
        """Return the plan of a strip in its part of the width [mm]."""
        left += SKETCH + GAP if strip.sketch else 0.0
        columns = BESIDE if strip.sketch else ACROSS
        wide = (right - left) / columns
        cells = [Reading.of(one, strip.prefix, display, wide - GAP) for one in strip.asks]
        if "NAME" in strip.station.name and cells:
            cells.insert(0, Reading("name", "", (), ()))
        rows = [cells[k : k + columns] for k in range(0, len(cells), columns)]
        taken = len(rows[-1]) if rows else columns
        beside = columns - taken >= 2
        start = left + taken * wide if beside else left
        lines = list(blanks(strip.more, strip.prefix, display, right - start))
        says = wrap(strip.station.says, right - left, NOTE + 1)
        return cls(left, wide, says, rows, start, lines, beside)

    @property
    def high(self) -> float:
        """How high it gets below its heading [mm]."""
        *above, last = map(height_of, self.rows) if self.rows else (0.0,)
        lines = len(self.lines) * LINES
        end = max(last, lines) if self.beside else last + lines
        return len(self.says) * (NOTE + 1) * STEP + sum(above) + end

    def set(self, sheet: Sheet) -> None:
        """Set it from where the sheet is filled."""
        for line in self.says:
            sheet.set_line(self.left, line, NOTE + 1, False)
        y = sheet.y
        for row in self.rows:
            y, at = sheet.y, self.left
            for cell in row:
                cell.set(sheet, at, cell.span * self.wide - GAP)
                at += cell.span * self.wide
            sheet.y += height_of(row)
        sheet.y = y if self.beside else sheet.y
        for one in self.lines:
            set_blanks(sheet, one, self.start)


def _strip(sheet: Sheet, strip: Strip, display: DisplayName, left: float, right: float) -> None:
    """Set one strip: its heading, a sketch, boxes, and lines for what is rarely known."""
    plan = _Plan.of(strip, display, left, right)
    high = HEADING + max(plan.high, HIGH if strip.sketch else 0.0)
    sheet.need(high + 1.2)
    top = sheet.y
    _heading(sheet, strip, left, right)
    if strip.sketch:
        strip.sketch(sheet, left, sheet.y + 0.5)
    plan.set(sheet)
    sheet.y = top + high + 1.2


def _heading(sheet: Sheet, strip: Strip, left: float, right: float) -> None:
    """Set the letter and the name of a strip, and what its keys begin with."""
    sheet.line(left, sheet.y, right, sheet.y, THIN)
    base = sheet.y + 4.4
    sheet.text(left, base, strip.letter, 11, True)
    title = strip.station.title.replace('"NAME"', "NAME")
    title = TITLES.get(strip.station.name, title)
    sheet.text(left + 6, base, title, 11, True)
    prefix = ".".join((*strip.prefix, ""))
    sheet.text(right, base, prefix, NAME, True, "right")
    sheet.y += HEADING


def _obstacles(sheet: Sheet, strip: Strip, display: DisplayName) -> None:
    """Set a table of what the shafts might touch, its sketch beside how it is read."""
    rows = [[Cell("", box=True) for _ in range(9)] for _ in range(OBSTACLES)]
    sheet.need(27 + 14 + OBSTACLES * 8 + 7)
    _heading(sheet, strip, sheet.left, sheet.right)
    top = sheet.y
    SKETCHES["obstacle"](sheet, sheet.left, top + 0.5)
    left = sheet.left + SKETCH + GAP
    kinds = next(one.key for one in strip.more if one.path[-1] == "kind")
    assert isinstance(kinds, ChoiceKey)
    unit = "mm" if display == "metric" else "in"
    for text in (
        f"{OBSTACLES_STATION.says}  {strip.station.says}",
        f"Lengths: {unit}.  kind: {', '.join(kinds.choices)}.  pipe: outside; blank: box.",
        "Beside the name, where it is so: moves (how far), rides_on (axle), least_clearance.",
    ):
        sheet.paragraph(text, NAME, left=left)
    sheet.y = max(sheet.y, top + 27)
    head = ("NAME", "kind", "pipe", *(f"{end} {way}" for end in ("from", "to") for way in SIDES))
    sheet.table((34, 20, 14, *(19.5,) * 6), rows, head=head)
    sheet.y += 2
