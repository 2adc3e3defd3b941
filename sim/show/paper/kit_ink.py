"""Ink on one page of paper, in millimeters from its top left corner.

What would leave the margins or stand over other text is refused, so that no sheet is printed
with a number that cannot be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from reportlab.pdfgen.canvas import Canvas

from sim.errors import DomainError, EngineError, printable
from sim.show.paper.kit_text import (
    FACES,
    FALL,
    MARGIN,
    PAPERS,
    POINT,
    READING,
    RISE,
    SMALLEST,
    Align,
    Box,
    PaperName,
    prepare_fonts,
    width_of,
)

CENTER_LINE = (6.0, 1.2, 1.2, 1.2)
HIDDEN_LINE = (2.0, 1.0)
THIN, PLAIN, BOLD = 0.2, 0.35, 0.7
"""Widths of lines [mm]."""

_TOUCH = 0.05  # text may come as close as this without standing over other text [mm]


class Ink:
    """Draws on one page after the other; every place in mm from the top left corner.

    Attributes:
        canvas: What the page is made of.
        width: Of the page [mm].
        height: Of the page [mm].
        frame: Inside the margins; no text and no middle of a line stands beyond it.
    """

    def __init__(self, canvas: Canvas, paper: PaperName) -> None:
        prepare_fonts()
        self.canvas = canvas
        self.width, self.height = PAPERS[paper]
        self.frame = Box(MARGIN, MARGIN, self.width - MARGIN, self.height - MARGIN)
        self._texts: list[tuple[Box, str]] = []
        self._strokes: list[tuple[float, float, float, float]] = []

    def turn_page(self) -> None:
        """End the page and start a blank one."""
        self.canvas.showPage()
        self._texts.clear()
        self._strokes.clear()

    def keep(self, box: Box, what: str) -> Box:
        """Keep a box free of any text that follows.

        Args:
            box: Where.
            what: Told of it if something else comes to stand there [text].

        Returns:
            The box.

        Raises:
            EngineError: If it leaves the page, or other text stands there.
        """
        self._inside(box, what)
        inner = box.grown(-_TOUCH)
        for other, there in self._texts:
            if inner.meets(other):
                raise EngineError(f'on a sheet of paper "{what}" stands over "{there}"')
        self._texts.append((box, what))
        return box

    def is_free(self, box: Box) -> bool:
        """Return whether a box lies inside the margins with no text and no line in it."""
        clear = not any(box.meets(other) for other, _ in self._texts)
        crossed = any(box.cut_by(*stroke) for stroke in self._strokes)
        return self.frame.holds(box) and clear and not crossed

    def box_of(
        self,
        x: float,
        y: float,
        text: str,
        size: float = READING,
        bold: bool = False,
        align: Align = "left",
        *,
        upright: bool = False,
    ) -> Box:
        """Return the box that a line of text would take.  See ``text``."""
        long, em = width_of(text, size, bold), size * POINT
        back = {"left": 0.0, "center": long / 2, "right": long}[align]
        if upright:
            return Box(x - RISE * em, y + back - long, x + FALL * em, y + back)
        return Box(x - back, y - RISE * em, x - back + long, y + FALL * em)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = READING,
        bold: bool = False,
        align: Align = "left",
        *,
        upright: bool = False,
        white: bool = False,
    ) -> Box:
        """Set one line of text.

        Args:
            x: Of its start, middle or end [mm].
            y: Of its baseline [mm].
            text: What; control characters are spelled out.
            size: Points, 8 or more; 10 for what is read, 16 for key numbers.
            bold: Whether the face is bold.
            align: Which part of it stands at x.
            upright: Whether it runs up the page, read from the right.
            white: Whether it is white, on a black bar.

        Returns:
            The box that it takes.

        Raises:
            EngineError: If it leaves the page, stands over other text, or a line crosses it.
            DomainError: If it is too small to be read.
        """
        if size < SMALLEST:
            raise DomainError(f"text of {size:g} points cannot be read; at least {SMALLEST:g}")
        text = printable(text)
        box = self.box_of(x, y, text, size, bold, align, upright=upright)
        back = box.bottom - y if upright else x - box.left
        if not text.strip():
            return box
        if white:
            self._inside(box, text)
        else:
            self.keep(box, text)
            self._clear_of_lines(box, text)
        self._set(x, y, back, text, (size, bold, upright, white))
        return box

    def _set(
        self, x: float, y: float, back: float, text: str, how: tuple[float, bool, bool, bool]
    ) -> None:
        """Put the letters down, their start this far back from the place [mm]."""
        size, bold, upright, white = how
        canvas = self.canvas
        canvas.saveState()
        canvas.setFillGray(1.0 if white else 0.0)
        canvas.setFont(FACES[bold], size)
        canvas.translate(x / POINT, (self.height - y) / POINT)
        canvas.rotate(90 if upright else 0)
        canvas.drawString(-back / POINT, 0, text)
        canvas.restoreState()

    def line(
        self,
        x: float,
        y: float,
        to_x: float,
        to_y: float,
        wide: float = PLAIN,
        dash: Sequence[float] = (),
        *,
        behind: bool = False,
    ) -> None:
        """Draw a straight line between two places [mm].

        Args:
            x: Of its start [mm].
            y: Of its start [mm].
            to_x: Of its end [mm].
            to_y: Of its end [mm].
            wide: Width of the line [mm].
            dash: Lengths of strokes and breaks [mm]; none for a full line.
            behind: Whether text may stand on it.

        Raises:
            EngineError: If it leaves the page, or crosses text.
        """
        self.lines([(x, y), (to_x, to_y)], wide, dash, behind=behind)

    def lines(
        self,
        places: Sequence[tuple[float, float]],
        wide: float = PLAIN,
        dash: Sequence[float] = (),
        *,
        closed: bool = False,
        fill: bool = False,
        behind: bool = False,
    ) -> None:
        """Draw straight lines from place to place [mm], closed to a shape, or filled black.

        See ``line``.
        """
        ring = [*places, places[0]] if closed or fill else list(places)
        for (x, y), (to_x, to_y) in pairwise(ring):
            self._stroke(x, y, to_x, to_y, behind)
        path = self.canvas.beginPath()
        path.moveTo(*self._points(ring[0]))
        for place in ring[1:]:
            path.lineTo(*self._points(place))
        if closed or fill:
            path.close()
        self._pen(wide, dash)
        self.canvas.drawPath(path, stroke=1, fill=int(fill))

    def rect(
        self, box: Box, wide: float = PLAIN, *, fill: bool = False, behind: bool = False
    ) -> None:
        """Draw a rectangle, or a black one.  See ``line``."""
        corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom)]
        self.lines([*corners, (box.left, box.bottom)], wide, closed=True, fill=fill, behind=behind)

    def circle(self, x: float, y: float, radius: float, wide: float = PLAIN) -> None:
        """Draw a circle about a place [mm]."""
        self._inside(Box(x, y, x, y).grown(radius + wide / 2), "a circle")
        self._pen(wide)
        self.canvas.circle(*self._points((x, y)), radius / POINT, stroke=1, fill=0)

    def disc(self, x: float, y: float, radius: float, *, white: bool = False) -> None:
        """Draw a black disc, or a white one with a black edge, over what is there."""
        self._inside(Box(x, y, x, y).grown(radius + PLAIN / 2), "a disc")
        self._pen(PLAIN)
        self.canvas.setFillGray(1.0 if white else 0.0)
        self.canvas.circle(*self._points((x, y)), radius / POINT, stroke=1, fill=1)
        self.canvas.setFillGray(0.0)

    def _stroke(self, x: float, y: float, to_x: float, to_y: float, behind: bool) -> None:
        """Refuse a line that leaves the page or crosses text; remember it for text to come."""
        (left, right), (top, low) = sorted((x, to_x)), sorted((y, to_y))
        self._inside(Box(left, top, right, low), "a line")
        if behind:
            return
        for box, there in self._texts:
            if box.grown(-0.3).cut_by(x, y, to_x, to_y):
                raise EngineError(f'on a sheet of paper a line crosses "{there}"')
        self._strokes.append((x, y, to_x, to_y))

    def _clear_of_lines(self, box: Box, text: str) -> None:
        """Refuse text that a line crosses."""
        inner = box.grown(-0.3)
        if any(inner.cut_by(*stroke) for stroke in self._strokes):
            raise EngineError(f'on a sheet of paper a line crosses "{text}"')

    def _inside(self, box: Box, what: str) -> None:
        """Refuse what leaves the margins."""
        if not self.frame.grown(1e-6).holds(box):
            raise EngineError(
                f'on a sheet of paper "{what}" leaves the page: {box.left:.1f} to {box.right:.1f} '
                f"by {box.top:.1f} to {box.bottom:.1f} mm; the margins are {MARGIN:g} mm"
            )

    def _points(self, place: tuple[float, float]) -> tuple[float, float]:
        """Return a place [mm] in points from the lower left corner."""
        return place[0] / POINT, (self.height - place[1]) / POINT

    def _pen(self, wide: float, dash: Iterable[float] = ()) -> None:
        """Take a pen of a width [mm] with strokes and breaks [mm]."""
        self.canvas.setLineWidth(wide / POINT)
        self.canvas.setDash([d / POINT for d in dash])
        self.canvas.setLineJoin(1)
