"""The kit of which every sheet of paper is made: pages with head and foot, text, tables, boxes.

Text is measured before it is set and flows down the page; a sheet that must stay on one page is
refused where it does not fit.  The same content gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from sim.show.files import write_bytes
from sim.show.paper.kit_drawing import Drawing, Scale
from sim.show.paper.kit_ink import BOLD, CENTER_LINE, HIDDEN_LINE, PLAIN, THIN
from sim.show.paper.kit_page import CAUTION, Label, Page, baseline
from sim.show.paper.kit_text import (
    FACES,
    KEY,
    MARGIN,
    PAPERS,
    POINT,
    READING,
    SMALLEST,
    STEP,
    Align,
    Box,
    PaperName,
    prepare_fonts,
    shortened,
    width_of,
    wrap,
)

__all__ = [
    "BOLD",
    "CAUTION",
    "CENTER_LINE",
    "HIDDEN_LINE",
    "KEY",
    "MARGIN",
    "PAPERS",
    "PLAIN",
    "POINT",
    "READING",
    "SMALLEST",
    "STEP",
    "THIN",
    "Align",
    "Box",
    "Cell",
    "Drawing",
    "Label",
    "PaperName",
    "Scale",
    "Sheet",
    "pages_of",
    "room_left",
    "shortened",
    "width_of",
    "wrap",
    "write_sheet",
]

_PAD = 1.0  # inside a cell [mm]


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a table.

    Attributes:
        text: What it says; beside a box, the unit of what is written there.
        size: Points.
        bold: Whether the face is bold.
        box: Whether there is a box to write in.
        align: Where the text stands.
    """

    text: str = ""
    size: float = READING
    bold: bool = False
    box: bool = False
    align: Align = "left"


class Sheet(Page):
    """A sheet of one or more pages, with tables and boxes to write in.  See ``Page``."""

    def table(
        self,
        widths: Sequence[float],
        rows: Sequence[Sequence[str | Cell]],
        *,
        head: Sequence[str] = (),
        least: float = 0.0,
        rules: bool = True,
    ) -> None:
        """Set a table with a rule under each row; its head is repeated on every page.

        Args:
            widths: Shares of the width of the page, one a column.
            rows: Cells; a text alone is a plain cell.
            head: Of the columns; empty for none.
            least: Least height of a row [mm]; 8 or more where somebody writes.
            rules: Whether rules stand between the rows.

        Raises:
            EngineError: If a row is higher than a page.
            ValueError: If a row has another count of cells than there are widths.
        """
        edges = [self.left]
        for share in widths:
            edges.append(edges[-1] + share * self.wide / sum(widths))
        top = [Cell(text, bold=True) for text in head]
        if top:
            self._row(edges, top, 0.0, 0.5)
        for row in rows:
            cells = [cell if isinstance(cell, Cell) else Cell(cell) for cell in row]
            page = self.page
            self.need(self._height(edges, cells, least))
            if top and self.page != page:
                self._row(edges, top, 0.0, 0.5)
            self._row(edges, cells, least, THIN if rules else 0.0)

    def _row(
        self, edges: Sequence[float], cells: Sequence[Cell], least: float, rule: float
    ) -> None:
        """Set a row of a table and the rule under it."""
        height = self._height(edges, cells, least)
        self.need(height)
        for left, right, cell in zip(edges[:-1], edges[1:], cells, strict=True):
            if cell.box:
                self._box(Box(left, self.y, right, self.y + height), cell)
            else:
                self._cell(left, right, height, cell)
        self.y += height
        if rule:
            self.line(edges[0], self.y, edges[-1], self.y, rule)

    def _cell(self, left: float, right: float, height: float, cell: Cell) -> None:
        """Set the text of a cell in the middle of its height."""
        lines = wrap(cell.text, right - left - 2 * _PAD, cell.size, cell.bold)
        step = cell.size * STEP
        y = self.y + (height - len(lines) * step) / 2 + baseline(cell.size)
        shares = {"left": left + _PAD, "center": (left + right) / 2, "right": right - _PAD}
        for line in lines:
            self.text(shares[cell.align], y, line, cell.size, cell.bold, cell.align)
            y += step

    def _box(self, room: Box, cell: Cell) -> None:
        """Draw a box to write in, its unit behind it."""
        unit = width_of(cell.text, cell.size) + _PAD if cell.text else 0.0
        box = Box(room.left + _PAD, room.top + 0.9, room.right - _PAD - unit, room.bottom - 0.9)
        self.write_box(box)
        middle = (room.top + room.bottom) / 2 + 0.36 * cell.size * POINT
        self.text(room.right - _PAD, middle, cell.text, cell.size, align="right")

    def write_box(self, box: Box) -> None:
        """Draw a box to write in, which stays free of text."""
        self.keep(box, "a box to write in")
        self.rect(box, 0.4)

    def _height(self, edges: Sequence[float], cells: Sequence[Cell], least: float) -> float:
        """Return how high a row gets [mm]."""
        highest = least
        for left, right, cell in zip(edges[:-1], edges[1:], cells, strict=True):
            lines = (
                1
                if cell.box
                else len(wrap(cell.text, right - left - 2 * _PAD, cell.size, cell.bold))
            )
            highest = max(highest, lines * cell.size * STEP + 2 * _PAD * 0.6, 8.0 * cell.box)
        return highest


def write_sheet(
    path: Path,
    label: Label,
    fill: Callable[[Sheet], None],
    *,
    paper: PaperName = "a4",
    one_page: bool = False,
    true_scale: bool = False,
) -> Path:
    """Write a sheet as a PDF file, all or nothing.

    It is filled twice, since only then it is known how many pages there are.

    Args:
        path: Where the file belongs; its folder is made.
        label: What head and foot say.
        fill: Draws on the sheet that it is given, from the top of its first page.
        paper: Size of the page.
        one_page: Whether a second page is refused.
        true_scale: Whether a viewer is asked to print it without scaling.

    Returns:
        The path.

    Raises:
        EngineError: If something leaves the page, stands over something else or does not fit.
    """
    pages = _filled(label, fill, paper, one_page, true_scale, 1)[1]
    content, _ = _filled(label, fill, paper, one_page, true_scale, pages)
    return write_bytes(path, content)


def pages_of(label: Label, fill: Callable[[Sheet], None], paper: PaperName) -> int:
    """Return how many pages a sheet comes to.  See ``write_sheet``."""
    return _filled(label, fill, paper, one_page=False, true_scale=False, pages=1)[1]


def room_left(label: Label, fill: Callable[[Sheet], None], *, paper: PaperName = "a4") -> float:
    """Return how much of a page some content leaves free [mm]; below 0 if it needs more pages.

    Nothing is written.  See ``write_sheet``.
    """
    prepare_fonts()
    sheet = Sheet(Canvas(BytesIO()), paper, label, 1, one_page=False)
    fill(sheet)
    return sheet.room if sheet.page == 1 else -1.0


def _filled(
    label: Label,
    fill: Callable[[Sheet], None],
    paper: PaperName,
    one_page: bool,
    true_scale: bool,
    pages: int,
) -> tuple[bytes, int]:
    """Return the bytes of a filled sheet that says how many pages it has, and how many it has."""
    prepare_fonts()
    held = BytesIO()
    size = tuple(side / POINT for side in PAPERS[paper])
    canvas = Canvas(held, pagesize=size, invariant=1, initialFontName=FACES[False])
    name = ", ".join(part for part in (label.sheet, label.title, label.configuration) if part)
    canvas.setTitle(name)
    canvas.setAuthor("")
    canvas.setSubject(f"scene {label.digest[:8]}" if label.digest else "")
    canvas.setCreator("halfturn")
    if true_scale:
        canvas.setViewerPreference("PrintScaling", "None")
    sheet = Sheet(canvas, paper, label, pages, one_page)
    fill(sheet)
    canvas.save()
    return held.getvalue(), sheet.page
