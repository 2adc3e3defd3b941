"""A page of paper with head and foot that is filled from the top down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from sim.errors import EngineError
from sim.show.paper.kit_drawing import Drawing
from sim.show.paper.kit_ink import THIN
from sim.show.paper.kit_text import (
    FALL,
    POINT,
    READING,
    RISE,
    STEP,
    Box,
    PaperName,
    shortened,
    width_of,
    wrap,
)

CAUTION = (
    "Checked by calculation from readings; certifies nothing. The vehicle maker's data, local "
    "codes and licensed practice come first."
)
_BAR, _TICK = 9.0, 4.0  # height of the head bar, of a box to tick [mm]


@dataclass(frozen=True, slots=True)
class Label:
    """What head and foot of every page say.

    Attributes:
        sheet: Name of the sheet, as in "Answer".
        title: Of the scene.
        configuration: Its name; empty on a sheet that is for none.
        digest: SHA-256 of the scene, of which 8 digits are printed; empty without a scene.
        caution: Line at the foot.
    """

    sheet: str
    title: str
    configuration: str = ""
    digest: str = ""
    caution: str = CAUTION


class Page(Drawing):
    """A page after the other, filled from the top down.

    Attributes:
        y: How far down the page is filled [mm].
        top: Where content starts, below the head [mm].
        bottom: Where content ends, above the foot [mm].
        label: Of head and foot.
        page: Number of the page.
        one_page: Whether a second page is refused.
    """

    def __init__(
        self, canvas: Canvas, paper: PaperName, label: Label, pages: int, one_page: bool
    ) -> None:
        super().__init__(canvas, paper)
        self.label, self.page, self.one_page = label, 1, one_page
        self.y, self.top, self.bottom = self.frame.top, self.frame.top, self.frame.bottom
        self._pages = pages
        self._head_and_foot()

    @property
    def left(self) -> float:
        """Where content starts, across the page [mm]."""
        return self.frame.left

    @property
    def right(self) -> float:
        """Where content ends, across the page [mm]."""
        return self.frame.right

    @property
    def wide(self) -> float:
        """Width of the content [mm]."""
        return self.right - self.left

    @property
    def room(self) -> float:
        """What is left of the page below what is filled [mm]."""
        return self.bottom - self.y

    def next_page(self) -> None:
        """Go on at the top of a new page.

        Raises:
            EngineError: If the sheet must stay on one page.
        """
        if self.one_page:
            raise EngineError(f'the sheet "{self.label.sheet}" does not fit on one page')
        self.turn_page()
        self.page += 1
        self._head_and_foot()

    def need(self, height: float) -> None:
        """Go on to a new page unless a height [mm] is left.

        Raises:
            EngineError: If no page has that room, or the sheet must stay on one page.
        """
        if height > self.bottom - self.top + 1e-6:
            raise EngineError(f"a block of {height:.0f} mm is higher than a page of paper")
        if height > self.room + 1e-6:
            self.next_page()

    def space(self, height: float) -> None:
        """Leave a height [mm] free, but not beyond the end of the page."""
        self.y = min(self.y + height, self.bottom)

    def heading(self, text: str, size: float = 12.0, below: float = 14.0) -> None:
        """Set a heading over a rule, together with what follows it by a height [mm]."""
        self.need(size * STEP + 2 + below)
        self.set_line(self.left, text, size, True)
        self.line(self.left, self.y + 0.4, self.right, self.y + 0.4, 0.5)
        self.y += 1.6

    def paragraph(
        self,
        text: str,
        size: float = READING,
        bold: bool = False,
        *,
        left: float | None = None,
        wide: float | None = None,
    ) -> None:
        """Set text in as many lines as it takes.

        Args:
            text: What; its line ends are kept.
            size: Points.
            bold: Whether the face is bold.
            left: Where it starts [mm]; left out: at the margin.
            wide: Width to fill [mm]; left out: up to the other margin.

        Raises:
            EngineError: If it does not fit where it must.
        """
        left = self.left if left is None else left
        for line in wrap(text, self.right - left if wide is None else wide, size, bold):
            self.need(size * STEP)
            self.set_line(left, line, size, bold)

    def ticks(self, lines: Sequence[str], size: float = READING) -> None:
        """Set lines with a box to tick ahead of each."""
        for text in lines:
            rows = wrap(text, self.wide - _TICK - 2.5, size)
            self.need(len(rows) * size * STEP + 1)
            self.rect(Box(self.left, self.y + 0.1, self.left + _TICK, self.y + 0.1 + _TICK))
            for row in rows:
                self.set_line(self.left + _TICK + 2.5, row, size, False)
            self.y += 1

    def set_line(self, left: float, text: str, size: float, bold: bool) -> None:
        """Set a line at how far the page is filled, and go below it."""
        self.text(left, self.y + baseline(size), text, size, bold)
        self.y += size * STEP

    def _head_and_foot(self) -> None:
        """Draw the bar and the names at the top, and the foot."""
        label, edge = self.label, self.frame
        bar = Box(edge.left, edge.top, edge.right, edge.top + _BAR).grown(-THIN)
        self.rect(self.keep(bar, "the head of the page"), 2 * THIN, fill=True, behind=True)
        count = f"page {self.page} of {self._pages}"
        name = shortened(label.sheet, self.wide - width_of(count) - 14, 14, True)
        self.text(edge.left + 3, edge.top + 6.3, name, 14, True, white=True)
        self.text(edge.right - 3, edge.top + 6.1, count, align="right", white=True)
        self.y = edge.top + _BAR + 1.2
        self.bottom = edge.bottom
        whose = ", ".join(part for part in (label.title, label.configuration) if part)
        for line in wrap(whose, self.wide, 11, True) if whose else ():
            self.set_line(edge.left, line, 11, True)
        self.top = self.y = self.y + 1.5
        self.bottom = self._foot()

    def _foot(self) -> float:
        """Set the foot; return where content must end [mm]."""
        mark = f"scene {self.label.digest[:8]}" if self.label.digest else ""
        lines = wrap(self.label.caution, self.wide - width_of(mark) - 4)
        y = self.frame.bottom - FALL * READING * POINT
        self.text(self.right, y, mark, align="right")
        for line in reversed(lines):
            self.text(self.left, y, line)
            y -= READING * STEP
        self.line(self.left, y + 0.5, self.right, y + 0.5, THIN)
        return y - 1.0


def baseline(size: float) -> float:
    """Return how far below the top of its line the baseline of a text stands [mm]."""
    return (RISE + (STEP / POINT - RISE - FALL) / 2) * size * POINT
