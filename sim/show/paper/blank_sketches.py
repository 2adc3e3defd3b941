"""Sketches of the measuring sheet: what is meant by each reading, as lines of our own."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sim.show.paper.kit import (
    BOLD,
    CENTER_LINE,
    HIDDEN_LINE,
    PLAIN,
    SMALLEST,
    THIN,
    Align,
    Sheet,
)

WIDE, HIGH = 42.0, 26.0  # of a sketch [mm]


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws on a sheet in millimeters from the corner of a sketch."""

    sheet: Sheet
    left: float
    top: float

    def line(self, *xy: float, wide: float = PLAIN, dash: Sequence[float] = ()) -> None:
        """Draw lines from place to place."""
        places = [(self.left + x, self.top + y) for x, y in zip(xy[::2], xy[1::2], strict=True)]
        self.sheet.lines(places, wide, dash)

    def box(self, left: float, top: float, right: float, low: float, *dash: float) -> None:
        """Draw a rectangle."""
        self.line(left, top, right, top, right, low, left, low, left, top, dash=dash)

    def round(self, x: float, y: float, radius: float, wide: float = PLAIN) -> None:
        """Draw a circle."""
        self.sheet.circle(self.left + x, self.top + y, radius, wide)

    def joint(self, x: float, y: float) -> None:
        """Draw a joint center."""
        self.round(x, y, 1.8)
        self.line(x - 2.6, y, x + 2.6, y, wide=THIN)
        self.line(x, y - 2.6, x, y + 2.6, wide=THIN)

    def across(self, x: float, to_x: float, y: float, text: str, beside: Align = "center") -> None:
        """Draw a dimension across."""
        self.sheet.dimension_across(
            self.left + x, self.left + to_x, self.top + y, text, SMALLEST, beside=beside
        )

    def upright(self, x: float, y: float, to_y: float, text: str, left: bool = False) -> None:
        """Draw a dimension up and down, its name right of it or left."""
        x, y, to_y = self.left + x, self.top + y, self.top + to_y
        self.sheet.dimension_upright(x, y, to_y, text, SMALLEST, beside="left" if left else "right")

    def text(self, x: float, y: float, text: str, align: Align = "left") -> None:
        """Set a word."""
        self.sheet.text(self.left + x, self.top + y, text, SMALLEST, align=align)

    def ground(self, y: float, x: float = 0.0, to_x: float = WIDE) -> None:
        """Draw the ground."""
        self.line(x, y, to_x, y, wide=BOLD)


Sketch = Callable[[Sheet, float, float], None]


def _of(draw: Callable[[Pen], None]) -> Sketch:
    return lambda sheet, left, top: draw(Pen(sheet, left, top))


def _tire(p: Pen) -> None:
    p.ground(25)
    p.round(12, 14.5, 11)
    p.line(12, 14, 26, 14, wide=THIN)
    p.upright(24, 25, 14, "radius")


def _frame(p: Pen) -> None:
    p.line(2, 12, 40, 17, wide=BOLD)
    p.line(2, 17, 40, 22, wide=BOLD)
    p.line(12, 9.5, 26, 11.3, 25.6, 14.6)
    p.line(12, 9.5, 11.6, 12.8)
    p.text(20, 6, "level on the rail", "center")


def _output(p: Pen) -> None:
    p.ground(25)
    p.box(0, 8, 11, 17)
    p.line(11, 12, 16, 12.4)
    p.joint(18.5, 12.6)
    p.line(21, 13.2, 41, 16.5, wide=THIN, dash=CENTER_LINE)
    p.across(0, 18.5, 5, "aft")
    p.upright(18.5, 25, 15.5, "up", left=True)
    p.text(23, 9, "slope")
    p.line(13, 11.9, 36, 11.9, wide=THIN, dash=HIDDEN_LINE)


def _shaft(p: Pen) -> None:
    p.joint(4, 15)
    p.joint(38, 15)
    p.line(8, 12, 34, 12, 34, 18, 8, 18, 8, 12)
    p.across(4, 38, 7.5, "length")
    p.upright(16, 18, 12, "")
    p.text(18, 16, "outside")


def _bearing(p: Pen) -> None:
    p.line(0, 6, 42, 6, wide=BOLD)
    p.round(15, 16, 3.4)
    p.round(15, 16, 1.6)
    p.line(10, 6, 11.5, 16)
    p.line(20, 6, 18.5, 16)
    p.line(0, 15, 13, 15)
    p.line(0, 17, 13, 17)
    p.line(18.5, 16, 26, 16, wide=BOLD)
    p.joint(30, 16)
    p.across(15, 30, 23.5, "to_joint")
    p.upright(38, 16, 25, "up", left=True)


def _spline(p: Pen) -> None:
    p.box(2, 13, 26, 17)
    p.line(14, 10, 36, 10, 36, 20, 14, 20, 14, 18)
    p.line(14, 10, 14, 12)
    p.joint(39, 15)
    p.line(34, 12.5, 34, 17.5)
    p.across(14, 26, 25, "engaged")
    p.across(26, 34, 7.5, "gap")


def _brace(p: Pen) -> None:
    p.line(0, 4, 42, 4, wide=BOLD)
    p.box(2, 8, 18, 18, *HIDDEN_LINE)
    p.round(10, 13, 2.6)
    p.round(2, 18, 0.7)
    p.round(18, 8, 0.7)
    p.text(0, 22.5, "from")
    p.text(19.5, 9, "to")
    p.line(40, 8, 33, 8, 33, 20, 40, 20, wide=BOLD)  # a rail, cut across
    p.upright(28.5, 8, 20, "")
    p.text(24, 24.5, "height")


def _pinion(p: Pen) -> None:
    p.ground(25)
    p.round(32, 13, 7)
    p.line(25.5, 11, 17, 11.6)
    p.line(25.5, 14.5, 17, 13.6)
    p.joint(14, 12.4)
    p.line(0, 9.5, 11.5, 12, wide=THIN, dash=CENTER_LINE)
    p.across(0, 14, 5.5, "aft")
    p.upright(14, 25, 15.5, "up")
    p.text(16, 8, "slope")


def _axle(p: Pen) -> None:
    p.box(4, 4, 9, 22)
    p.box(33, 4, 38, 22)
    p.line(9, 12, 33, 12, wide=BOLD)
    p.line(9, 14, 33, 14, wide=BOLD)
    p.round(21, 13, 4)
    p.across(6.5, 35.5, 25, "track")


def _spring_front(p: Pen) -> None:
    p.round(4, 10, 1.8)
    arc(p, (4, 12), (24, 15), 2.4)
    p.line(24, 15, 40, 13.2, wide=THIN)
    p.round(24, 21, 3)
    p.line(24, 8, 24, 14, wide=THIN)
    p.across(4, 24, 6, "front_half")
    p.upright(32, 21, 14.2, "seat")
    p.line(28, 21, 34, 21, wide=THIN)


def _spring_rear(p: Pen) -> None:
    arc(p, (4, 16), (32, 13), 2.4)
    p.round(32, 13, 1.5)
    p.round(35.5, 5, 1.5)
    p.line(32.5, 11.4, 34.9, 6.6)
    p.text(31, 6, "shackle", "right")
    p.across(4, 32, 22, "rear_half")


def _link(upper: bool) -> Callable[[Pen], None]:
    def draw(p: Pen) -> None:
        p.round(33, 14, 7)
        for high, own in ((8.0, upper), (20.0, not upper)):
            wide = BOLD if own else THIN
            p.line(5, high, 30, high + 1, wide=wide)
            p.round(4, high, 1.2)
            p.round(31, high + 1, 1.2)
        p.text(2, 5 if upper else 25, "frame")
        p.text(42, 5 if upper else 25, "axle", "right")

    return draw


def _mount(p: Pen) -> None:
    p.line(0, 5, 42, 5, wide=BOLD)
    p.round(28, 14, 6)
    p.line(22.5, 12, 13, 12.4, 13, 15, 22.5, 16)
    p.box(24, 5.6, 32, 7.6)
    p.joint(9, 13.7)
    p.text(21, 24.5, "mount: tips about it", "center")


def _readings(p: Pen) -> None:
    for y, dash in ((9.0, HIDDEN_LINE), (18.0, ())):
        p.round(30, y, 5, PLAIN if not dash else THIN)
        p.line(25, y, 15, y - 0.6, wide=PLAIN if not dash else THIN, dash=dash)
    p.joint(12, 17.3)
    p.joint(12, 8.3)
    p.upright(39, 18, 9, "", left=True)
    p.text(42, 25, "bump / droop", "right")


def _travel(p: Pen) -> None:
    p.line(0, 3, 42, 3, wide=BOLD)
    p.box(13, 3.6, 19, 7)
    p.round(16, 15, 3)
    p.line(4, 15, 38, 15, wide=THIN, dash=CENTER_LINE)
    p.upright(23, 15, 7, "bump")
    p.upright(29, 15, 24, "droop", left=True)


def _obstacle(p: Pen) -> None:
    p.box(6, 9, 17, 17)
    p.round(6, 17, 0.8)
    p.round(17, 9, 0.8)
    p.text(4, 21.5, "from")
    p.text(18, 8, "to")
    p.line(26, 18, 39, 14)
    p.line(26.7, 20.4, 39.7, 16.4)
    p.text(26, 25, "pipe")


def arc(p: Pen, start: tuple[float, float], end: tuple[float, float], sag: float) -> None:
    """Draw a leaf spring between two places, hanging through by so much [mm]."""
    places = []
    for k in range(13):
        t = k / 12
        y = start[1] + (end[1] - start[1]) * t + sag * math.sin(math.pi * t)
        places += [start[0] + (end[0] - start[0]) * t, y]
    p.line(*places, wide=BOLD)


SKETCHES: dict[str, Sketch] = {
    "tire": _of(_tire),
    "frame": _of(_frame),
    "output": _of(_output),
    "shaft": _of(_shaft),
    "bearing": _of(_bearing),
    "spline": _of(_spline),
    "brace": _of(_brace),
    "pinion": _of(_pinion),
    "axle": _of(_axle),
    "spring front": _of(_spring_front),
    "spring rear": _of(_spring_rear),
    "link lower": _of(_link(upper=False)),
    "link upper": _of(_link(upper=True)),
    "mount": _of(_mount),
    "readings": _of(_readings),
    "travel": _of(_travel),
    "obstacle": _of(_obstacle),
}
