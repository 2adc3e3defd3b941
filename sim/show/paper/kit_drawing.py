"""What a drawing to scale needs beside lines: dimensions, arrows, arcs, hatching, a scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sim.show.paper.kit_ink import PLAIN, THIN, Ink
from sim.show.paper.kit_text import FALL, POINT, READING, Align, Box

_SCALES = (1, 2, 2.5, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 30, 35, 40, 50, 60, 80, 100)


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a place of the vehicle, in side view or from above, stands on the page.

    Attributes:
        left: Where ``x`` stands on the page [mm].
        low: Where ``z`` stands, from the top of the page [mm].
        x: Coordinate across the page [m].
        z: Coordinate up the page [m].
        one_to: How much smaller the drawing is.
    """

    left: float
    low: float
    x: float
    z: float
    one_to: float

    @classmethod
    def fitting(cls, box: Box, x: tuple[float, float], z: tuple[float, float]) -> Scale:
        """Return the largest usual scale at which a range fits a box, in the middle of its width.

        Args:
            box: Room on the page.
            x: From and to, across [m].
            z: From and to, up [m].
        """
        wide, high = box.right - box.left, box.bottom - box.top
        least = max((x[1] - x[0]) * 1e3 / wide, (z[1] - z[0]) * 1e3 / high)
        one_to = next((s for s in _SCALES if s >= least), math.ceil(least))
        spare = wide - (x[1] - x[0]) * 1e3 / one_to
        return cls(box.left + spare / 2, box.bottom, x[0], z[0], one_to)

    def at(self, x: float, z: float) -> tuple[float, float]:
        """Return a place [m] on the page [mm]."""
        return self.left + self.long(x - self.x), self.low - self.long(z - self.z)

    def long(self, length: float) -> float:
        """Return a length [m] on the page [mm]."""
        return length * 1e3 / self.one_to


class Drawing(Ink):
    """Draws dimensions, arrows, arcs and hatching.  See ``Ink``."""

    def arc(
        self, x: float, y: float, radius: float, start: float, extent: float, wide: float = PLAIN
    ) -> None:
        """Draw an arc about a place [mm]; angles counterclockwise from 3 o'clock [rad]."""
        steps = [start + extent * k / 24 for k in range(25)]
        self.lines(
            [(x + radius * math.cos(a), y - radius * math.sin(a)) for a in steps],
            wide,
            behind=True,
        )

    def hatch(self, box: Box, apart: float = 1.6, wide: float = 0.15) -> None:
        """Hatch a rectangle with lines that rise to the right, and draw its edge."""
        self._inside(box, "hatching")
        path = self.canvas.beginPath()
        high = box.bottom - box.top
        left, low = self._points((box.left, box.bottom))
        path.rect(left, low, (box.right - box.left) / POINT, high / POINT)
        self.canvas.saveState()
        self.canvas.clipPath(path, stroke=0)
        self._pen(wide)
        for k in range(int((box.right - box.left + high) / apart) + 1):
            x = box.left + k * apart
            self.canvas.line(*self._points((x - high, box.bottom)), *self._points((x, box.top)))
        self.canvas.restoreState()
        self.rect(box, THIN + 0.1, behind=True)

    def arrow(self, x: float, y: float, to_x: float, to_y: float, wide: float = 0.25) -> None:
        """Draw a line with a head at its end."""
        self.line(x, y, to_x, to_y, wide)
        self.head(to_x, to_y, math.atan2(to_y - y, to_x - x))

    def head(self, x: float, y: float, way: float, long: float = 2.2) -> None:
        """Draw the head of an arrow that points down the page by an angle from the right [rad]."""
        sides = (
            (x - long * math.cos(way + s), y - long * math.sin(way + s)) for s in (-0.28, 0.28)
        )
        self.lines([(x, y), *sides], 0.1, fill=True, behind=True)

    def dimension_across(
        self,
        x: float,
        to_x: float,
        y: float,
        text: str,
        size: float = READING,
        *,
        beside: Align = "center",
    ) -> None:
        """Draw a dimension across the page, its number above the line.

        Args:
            x: From here [mm].
            to_x: To there [mm].
            y: Of the line [mm].
            text: The number with its unit.
            size: Points.
            beside: Where the number stands: above the middle, or left or right of the line.
        """
        low, high = sorted((x, to_x))
        if high - low > 6:
            self.line(low, y, high, y, 0.25)
            ends = ((low, math.pi), (high, 0.0))
        else:  # heads from outside
            self.line(low - 5, y, high + 5, y, 0.25)
            ends = ((low, 0.0), (high, math.pi))
        for place, way in ends:
            self.head(place, y, way)
        past = 6.0 if high - low <= 6 else 1.2
        drop = 0.36 * size * POINT
        if beside == "center":
            self.text((low + high) / 2, y - 1 - FALL * size * POINT, text, size, True, "center")
        elif beside == "left":
            self.text(low - past, y + drop, text, size, True, "right")
        else:
            self.text(high + past, y + drop, text, size, True)

    def dimension_upright(
        self,
        x: float,
        y: float,
        to_y: float,
        text: str,
        size: float = READING,
        *,
        beside: Literal["left", "right"] = "right",
        at: float | None = None,
    ) -> None:
        """Draw a dimension up the page, its number beside the line.

        Args:
            x: Of the line [mm].
            y: From here [mm].
            to_y: To there [mm].
            text: The number with its unit.
            size: Points.
            beside: On which side the number stands.
            at: Where its middle stands [mm]; left out: at the middle of the line.
        """
        top, low = sorted((y, to_y))
        if low - top > 6:
            self.line(x, top, x, low, 0.25)
            ends = ((top, -math.pi / 2), (low, math.pi / 2))
        else:  # heads from outside
            self.line(x, top - 5, x, top, 0.25)
            self.line(x, low, x, low + 5, 0.25)
            ends = ((top, math.pi / 2), (low, -math.pi / 2))
        for place, way in ends:
            self.head(x, place, way)
        base = ((top + low) / 2 if at is None else at) + 0.36 * size * POINT
        if beside == "right":
            self.text(x + 1.5, base, text, size, True)
        else:
            self.text(x - 1.5, base, text, size, True, "right")
