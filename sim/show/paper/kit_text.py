"""Text and places on paper: faces, sizes, widths and lines, all in millimeters."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Literal

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from sim.errors import EngineError, printable

POINT = 25.4 / 72
"""One point [mm]."""
READING, KEY = 10.0, 16.0
"""Sizes of text that is read, and of key numbers [pt]."""
SMALLEST = 8.0
"""Least size of text, for marks on a drawing [pt]."""
STEP = 1.25 * POINT
"""From one line of text to the next [mm per pt]."""
MARGIN = 12.0
"""Left free all around the page: what shop printers need, and some more [mm]."""
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of a page [mm] (ISO 216; ANSI/ASME Y14.1 size A)."""

PaperName = Literal["a4", "letter"]
Align = Literal["left", "center", "right"]

RISE, FALL = 0.76, 0.236
"""How far letters of the faces reach above and below their baseline [em]."""
FACES = {False: "DejaVuSans", True: "DejaVuSans-Bold"}
"""Names of the faces, by whether they are bold."""

_UNIT = re.compile(r"(?<=\d) (?=(?:mm|in|deg|km/h|mph|kg|lb|N m|%)(?:\W|$))")


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the page.

    Attributes:
        left: From the left edge of the page [mm].
        top: From the top edge of the page [mm].
        right: From the left edge [mm].
        bottom: From the top edge [mm].
    """

    left: float
    top: float
    right: float
    bottom: float

    def grown(self, by: float) -> Box:
        """Return the box with every edge moved outward [mm]."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def holds(self, other: Box) -> bool:
        """Return whether another box lies wholly inside."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def meets(self, other: Box) -> bool:
        """Return whether another box lies over this one."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def cut_by(self, x: float, y: float, to_x: float, to_y: float) -> bool:
        """Return whether a straight line [mm] enters the box."""
        begin, end = 0.0, 1.0
        for start, way, low, high in (
            (x, to_x - x, self.left, self.right),
            (y, to_y - y, self.top, self.bottom),
        ):
            if abs(way) < 1e-12:
                if not low < start < high:
                    return False
                continue
            near, far = sorted(((low - start) / way, (high - start) / way))
            begin, end = max(begin, near), min(end, far)
        return begin < end


def prepare_fonts() -> None:
    """Register the two faces that every sheet embeds.

    They come with matplotlib, which is not imported for them: that would take a second.

    Raises:
        EngineError: If matplotlib's font files are missing.
    """
    if FACES[False] in pdfmetrics.getRegisteredFontNames():
        return
    spec = find_spec("matplotlib")
    folder = Path(next(iter((spec and spec.submodule_search_locations) or ("",))))
    for face in FACES.values():
        file = folder / "mpl-data" / "fonts" / "ttf" / f"{face}.ttf"
        if not file.is_file():
            raise EngineError(f"the font {face}.ttf is not where matplotlib keeps it: {file}")
        pdfmetrics.registerFont(TTFont(face, str(file)))


@lru_cache(maxsize=20_000)  # a sheet is filled more than once
def width_of(text: str, size: float = READING, bold: bool = False) -> float:
    """Return the width of a text in one line [mm], its size in points."""
    prepare_fonts()
    return float(pdfmetrics.stringWidth(printable(text), FACES[bold], size)) * POINT


def wrap(text: str, width: float, size: float = READING, bold: bool = False) -> list[str]:
    """Return a text in lines no wider than a width [mm]; a longer word is cut anywhere.

    Line ends of the text are kept, and a number stays with its unit.  An empty text is one empty
    line.
    """
    lines = []
    for part in text.split("\n"):
        line = ""
        for word in _words(part):
            together = f"{line} {word}" if line else word
            if width_of(together, size, bold) <= width:
                line = together
                continue
            if line:
                lines.append(line)
            *full, line = _cut(word, width, size, bold)
            lines += full
        lines.append(line)
    return lines


def _words(text: str) -> list[str]:
    """Return the words of a text; a number and its unit are one."""
    together = _UNIT.sub("\0", " ".join(text.split()))
    return [word.replace("\0", " ") for word in together.split()]


def _cut(word: str, width: float, size: float, bold: bool) -> list[str]:
    """Return a word in pieces no wider than a width [mm]."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_of(pieces[-1] + letter, size, bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def shortened(text: str, width: float, size: float = READING, bold: bool = False) -> str:
    """Return a text that fits in one line of a width [mm], its end as "…" where it is longer."""
    if width_of(text, size, bold) <= width:
        return text
    while text and width_of(f"{text}…", size, bold) > width:
        text = text[:-1].rstrip()
    return f"{text}…"
