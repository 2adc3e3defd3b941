"""The sheet that a frame is composed on: one matplotlib canvas measured in points of 1280 × 720.

What never moves is drawn once.  Each frame then copies that into the canvas's own buffer, lays
the pictures in, and draws only what moves.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from numpy.typing import NDArray

from sim.errors import DomainError, EngineError
from sim.show.style import FONT_FAMILY, INK, PAPER

WIDTH, HEIGHT = 1280, 720

SMALL, NORMAL, LARGE, HUGE = 11.0, 12.5, 15.0, 20.0
"""Sizes of letters [pt]; the smallest is 15 pixels high on a frame of 1280 × 720."""

Pixels = NDArray[np.uint8]


class Sheet:
    """A canvas with artists that stay and artists that move.

    Attributes:
        size: Width and height of the frame [pixels].
        scale: Pixels of the frame per point of the sheet.
    """

    def __init__(self, size: tuple[int, int]) -> None:
        width, height = size
        if width % 32 or width * HEIGHT != height * WIDTH:
            raise DomainError(
                f"a film of {width} × {height} pixels: the width must be a multiple of 32 and "
                "the sides must stand 16 to 9, as in 1280 × 720"
            )
        self.size, self.scale = size, width / WIDTH
        figure = Figure(figsize=(12.8, 7.2), dpi=width / 12.8, facecolor=PAPER)
        # matplotlib ships its types, but not those of this canvas.
        self.canvas: Any = FigureCanvasAgg(figure)
        self.axes: Axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_xlim(0, WIDTH)
        self.axes.set_ylim(HEIGHT, 0)
        self.axes.set_axis_off()
        self.still: Pixels | None = None

    def text(self, x: float, y: float, words: str = "", **style: Any) -> Text:
        """Add text with its baseline at y; ``moves=True`` leaves it out of what stays."""
        style = dict[str, Any](size=SMALL, color=INK, family=list(FONT_FAMILY)) | style
        animated = style.pop("moves", False)
        # a dollar sign is a dollar sign
        return self.axes.text(
            x, y, words, va="baseline", animated=animated, parse_math=False, **style
        )

    def line(self, x: Any, y: Any, **style: Any) -> Line2D:
        """Add a line through points; ``moves=True`` leaves it out of what stays."""
        line = Line2D(x, y, animated=style.pop("moves", False), **style)
        self.axes.add_line(line)
        return line

    def box(self, x: float, y: float, width: float, height: float, **style: Any) -> Rectangle:
        """Add a rectangle by its upper left corner; ``moves=True`` leaves it out of what stays."""
        box = Rectangle((x, y), width, height, animated=style.pop("moves", False), **style)
        self.axes.add_patch(box)
        return box

    def fit(self, text: Text, width: float) -> Text:
        """Shorten text, an ellipsis at its end, until it is no wider than width [points]."""
        words = text.get_text()
        while self.extent(text)[2] > width and words:
            words = words[:-1]
            text.set_text(words.rstrip() + "…")
        return text

    def extent(self, text: Text) -> tuple[float, float, float, float]:
        """Return left, top, width and height of text [points]."""
        found = text.get_window_extent(self.canvas.get_renderer())
        left, top = found.x0 / self.scale, HEIGHT - found.y1 / self.scale
        return left, top, found.width / self.scale, found.height / self.scale

    def begin(self, still: Pixels | None = None) -> Pixels:
        """Put everything that stays into the buffer and return the buffer, (h, w, 4), to write to.

        Args:
            still: What stays, from ``kept``; left out, what was added to stay.

        Raises:
            EngineError: If this matplotlib gives no buffer that can be written to.
        """
        if self.still is None:
            self.canvas.draw()
            self.still = np.array(self.canvas.buffer_rgba(), np.uint8)
        buffer: Pixels = np.asarray(self.canvas.buffer_rgba())
        if not buffer.flags.writeable:
            raise EngineError("this version of matplotlib does not let its canvas be written to")
        buffer[:] = self.still if still is None else still
        return buffer

    def kept(self, artists: Iterable[Artist]) -> Pixels:
        """Return what stays with some artists drawn over it, for ``begin``."""
        buffer = self.begin()
        for artist in artists:
            self.axes.draw_artist(artist)
        return buffer.copy()

    def finish(self, artists: Iterable[Artist]) -> bytes:
        """Draw what moves over the buffer and return the frame, rgb rows from the top."""
        for artist in artists:
            self.axes.draw_artist(artist)
        return np.asarray(self.canvas.buffer_rgba())[..., :3].tobytes()
