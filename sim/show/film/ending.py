"""The last second and a half: three numbers each, what is gained, what it costs."""

from __future__ import annotations

from textwrap import wrap

from matplotlib.artist import Artist

from sim.show.film.closing import Closing
from sim.show.film.paper import HUGE, LARGE, NORMAL, Sheet
from sim.show.style import INK, LIMIT, PAPER, QUIET, RULE


class Figures:
    """The three numbers of one configuration, over its instruments."""

    def __init__(
        self, sheet: Sheet, corner: tuple[float, float], size: tuple[float, float], closing: Closing
    ) -> None:
        """Write the numbers.

        Args:
            sheet: Where to draw.
            corner: Left and top [points].
            size: Width and height [points].
            closing: What to say.
        """
        left, top = corner
        width, tall = size
        self.artists: list[Artist] = [
            sheet.box(left - 6, top - 4, width + 6, tall, fc=PAPER, ec="none", moves=True)
        ]
        step = min(tall / 3, 96.0)
        right = left + width - 12
        for k, figure in enumerate(closing.figures):
            y = top + k * step
            if k:
                rule = sheet.line([left, right], [y, y], color=RULE, lw=1.0, moves=True)
                self.artists.append(rule)
            self.artists.append(sheet.text(left, y + 24, figure.name, size=NORMAL, moves=True))
            style = {"size": HUGE, "weight": "bold", "color": LIMIT if figure.alarming else INK}
            self.artists.append(
                sheet.text(right, y + 25, figure.text, ha="right", moves=True, **style)
            )
            lines = [part for line in figure.note.split("\n") for part in wrap(line, 40)]
            for row, words in enumerate(lines[:2]):
                self.artists.append(
                    sheet.text(left, y + 44 + 18 * row, words, color=QUIET, moves=True)
                )

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        return self.artists


class Balance:
    """What the second configuration gains over the first, and what it costs."""

    def __init__(
        self,
        sheet: Sheet,
        corner: tuple[float, float],
        size: tuple[float, float],
        names: tuple[str, str],
        balance: tuple[str, str],
    ) -> None:
        """Write both.

        Args:
            sheet: Where to draw.
            corner: Left and top [points].
            size: Width and height [points].
            names: Of the first and of the second configuration.
            balance: What is gained and what it costs.
        """
        left, top = corner
        width, tall = size
        self.artists: list[Artist] = [
            sheet.box(left, top, width, tall, fc=PAPER, ec="none", moves=True),
            sheet.fit(
                sheet.text(
                    16, top + 26, f"{names[1]} in place of {names[0]}", size=NORMAL, weight="bold",
                    moves=True,
                ),
                width - 32,
            ),
        ]  # fmt: skip
        y = top + 58
        for head, words in zip(("gains", "costs"), balance, strict=True):
            self.artists.append(
                sheet.text(16, y, head, size=LARGE, weight="bold", color=INK, moves=True)
            )
            for line in wrap(words, 90)[:2]:
                self.artists.append(sheet.text(102, y, line, size=LARGE, moves=True))
                y += 27

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        return self.artists
