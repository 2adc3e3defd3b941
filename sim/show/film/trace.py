"""The speed variation of the pinion along the film: all configurations on one scale."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D
from matplotlib.text import Text
from numpy.typing import NDArray

from sim.show.film.paper import NORMAL, Sheet
from sim.show.film.story import Script, Take
from sim.show.style import FAINT, INK, QUIET, RULE, Look

Array = NDArray[np.float64]

_NICE = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


class Trace:
    """Speed variation in percent over the course of the film, with a cursor that moves along."""

    def __init__(
        self,
        sheet: Sheet,
        box: tuple[float, float, float, float],
        takes: Sequence[Take],
        looks: Sequence[Look],
        script: Script,
        last: int,
    ) -> None:
        """Draw axes, the whole course faintly, and the range that a turn of the shafts covers.

        Args:
            sheet: Where to draw.
            box: Left, top, width, height of the plot [points].
            takes: One or two.
            looks: Their looks.
            script: Course of the film.
            last: Last frame that is plotted, 1 or more.
        """
        self.left, self.top, self.width, self.height = box
        self.last = last
        largest = max(
            float(np.abs([take.lowest, take.highest])[:, : last + 1].max()) for take in takes
        )
        self.scale = max(largest * 1.12, 5e-4)
        self.variation = [take.variation[: last + 1] for take in takes]
        self.swing = [take.highest - take.lowest for take in takes]
        self._draw_axes(sheet, script)
        self.x = self._column(np.arange(last + 1))
        self.lines: list[Line2D] = []
        for take, look in zip(takes, looks, strict=True):
            low, high = self._row(take.lowest[: last + 1]), self._row(take.highest[: last + 1])
            sheet.axes.fill_between(self.x, low, high, color=look.color, alpha=0.16, lw=0)
            style = {"color": look.color, "dashes": look.dashes or (None, None)}
            sheet.line(self.x, self._row(take.variation[: last + 1]), lw=1.0, alpha=0.45, **style)
            self.lines.append(sheet.line([], [], lw=2.4, moves=True, **style))
        self.cursor = sheet.line([], [], color=INK, lw=1.4, moves=True)
        self.dots = [
            sheet.line(
                [], [], color=k.color, lw=0, marker=k.marker, ms=7.5, mec="white", moves=True
            )
            for k in looks
        ]
        self._draw_legend(sheet, takes, looks)

    def _column(self, frame: Array | NDArray[np.int_]) -> Array:
        """Return the columns of frames [points]."""
        return np.asarray(self.left + np.asarray(frame) / self.last * self.width)

    def _row(self, variation: Array) -> Array:
        """Return the rows of speed variations [points]."""
        middle = self.top + self.height / 2
        return np.asarray(middle - np.asarray(variation) / self.scale * self.height / 2)

    def _draw_axes(self, sheet: Sheet, script: Script) -> None:
        """Draw the frame, three values and the moments of the film."""
        sheet.box(self.left, self.top, self.width, self.height, fc="white", ec=FAINT, lw=0.8)
        tick = max((n for n in _NICE if n / 100 <= self.scale), default=_NICE[0])
        for value in (-tick, 0.0, tick):
            y = float(self._row(np.array(value / 100)))
            sheet.line([self.left, self.left + self.width], [y, y], color=RULE, lw=0.8)
            text = f"{value:+g}".replace("-", "−") if value else "0"
            sheet.text(self.left - 6, y + 5, text, ha="right", color=QUIET)
        for frame, words in script.marks:
            if frame <= self.last:
                x = float(self._column(np.array(frame)))
                sheet.line([x, x], [self.top, self.top + self.height + 4], color=FAINT, lw=0.8)
                side = "left" if frame == 0 else "center"
                sheet.text(x, self.top + self.height + 19, words, ha=side, color=QUIET)

    def _draw_legend(self, sheet: Sheet, takes: Sequence[Take], looks: Sequence[Look]) -> None:
        """Draw the title and, for each configuration, a sample of its line and a number."""
        y = self.top - 10
        sheet.text(self.left, y, "Speed variation of the pinion, %", weight="bold")
        self.numbers: list[Text] = []
        right = self.left + self.width
        for k in range(len(takes) - 1, -1, -1):
            number = sheet.text(right, y, ha="right", size=NORMAL, weight="bold", moves=True)
            sample = sheet.line(
                [right - 106, right - 74], [y - 5, y - 5], color=looks[k].color, lw=2.4,
                dashes=looks[k].dashes or (None, None),
            )  # fmt: skip
            sample.set_marker(looks[k].marker)
            sample.set(markevery=[1], markersize=6)
            self.numbers.insert(0, number)
            right -= 130
        sheet.text(right, y, "peak to peak now:", ha="right", color=QUIET)

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        at = min(frame, self.last)
        x = float(self.x[at])
        self.cursor.set_data([x, x], [self.top, self.top + self.height])
        for line, dot, variation in zip(self.lines, self.dots, self.variation, strict=True):
            rows = self._row(variation[: at + 1])
            line.set_data(self.x[: at + 1], rows)
            dot.set_data([x], rows[-1:])
        for number, swing in zip(self.numbers, self.swing, strict=True):
            number.set_text(f"{100 * swing[frame]:.2f}")
        return [*self.lines, self.cursor, *self.dots, *self.numbers]
