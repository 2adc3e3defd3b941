"""Instruments beside and above a picture: joint tags, joint angles, the spline."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.artist import Artist
from numpy.typing import ArrayLike, NDArray

from sim.display import Display
from sim.scene.parts import Limits, Spline
from sim.show.film.paper import NORMAL, Sheet
from sim.show.film.view import spread
from sim.show.style import FAINT, INK, LIMIT, PANEL, PAPER, QUIET, RULE, Look

Array = NDArray[np.float64]


class Tags:
    """Joint angles in a row above the picture, each led to its joint.

    The row stands still while the axle moves, so that the numbers can be read.
    """

    def __init__(
        self,
        sheet: Sheet,
        box: tuple[float, float, float, float],
        angle: Array,
        look: Look,
        project: Callable[[ArrayLike], Array],
        centers: Array,
    ) -> None:
        """Place the tags.

        Args:
            sheet: Where to draw.
            box: Left, top, width, height of the picture [points].
            angle: Joint angles [rad], shape (F, J).
            look: The configuration's look.
            project: From places [m] to columns and rows of the picture [points].
            centers: Joint centers [m], shape (F, J, 3).
        """
        left, top, width, _ = box
        self.angle = np.degrees(angle)
        self.at = np.array([project(frame) for frame in centers]) + np.array([left, top])
        self.row = top + 24.0
        self.column = spread(self.at[0, :, 0], 92.0, left + 46.0, left + width - 46.0)
        self.leaders = []
        self.tags = []
        for column in self.column:
            line = sheet.line([], [], color=look.color, lw=1.5, moves=True)
            self.leaders.append(line)
            frame = {"boxstyle": "round,pad=0.32", "fc": PAPER, "ec": look.color, "lw": 1.5}
            self.tags.append(
                sheet.text(
                    column, self.row + 6, size=NORMAL, weight="bold", ha="center",
                    moves=True, bbox=frame,
                )
            )  # fmt: skip
        self.ring = sheet.line(
            [], [], color=look.color, lw=0, marker="o", ms=7.0, mfc="none", mew=1.8, moves=True
        )

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        for j, column in enumerate(self.column):
            x, y = self.at[frame, j]
            self.leaders[j].set_data([column, x], [self.row + 12.0, y - 6.0])
            self.tags[j].set_text(f"{self.angle[frame, j]:.1f}°")
        self.ring.set_data(self.at[frame, :, 0], self.at[frame, :, 1])
        return [*self.leaders, self.ring, *self.tags]


class AngleBars:
    """Joint angles as bars on the same scale for every configuration, with the largest so far."""

    STEP, LEFT, RIGHT = 23.0, 66.0, 56.0

    def __init__(
        self,
        sheet: Sheet,
        corner: tuple[float, float],
        width: float,
        angle: Array,
        look: Look,
        scale: float,
    ) -> None:
        """Draw what stays: names, tracks.

        Args:
            sheet: Where to draw.
            corner: Left and top [points].
            width: Width [points].
            angle: Joint angles [rad], shape (F, J).
            look: The configuration's look.
            scale: Angle at the end of a bar [rad].
        """
        left, top = corner
        self.angle, self.most = np.degrees(angle), np.maximum.accumulate(np.degrees(angle))
        self.left = left + self.LEFT
        self.per_degree = (width - self.LEFT - self.RIGHT) / np.degrees(scale)
        self.bars, self.ticks, self.words = [], [], []
        for j in range(angle.shape[1]):
            y = top + j * self.STEP
            sheet.text(left, y + 13, f"joint {j + 1}", color=QUIET)
            sheet.box(self.left, y, width - self.LEFT - self.RIGHT, 14, fc=PANEL, ec="none")
            self.bars.append(sheet.box(self.left, y, 0, 14, fc=look.color, ec="none", moves=True))
            self.ticks.append(sheet.line([], [], color=INK, lw=2.2, moves=True))
            self.words.append(
                sheet.text(left + width, y + 13, ha="right", weight="bold", moves=True)
            )
        self.tops = top + np.arange(angle.shape[1]) * self.STEP

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        for j, top in enumerate(self.tops):
            self.bars[j].set_width(self.angle[frame, j] * self.per_degree)
            x = self.left + self.most[frame, j] * self.per_degree
            self.ticks[j].set_data([x, x], [top - 2, top + 16])
            self.words[j].set_text(f"{self.angle[frame, j]:.1f}°")
        return [*self.bars, *self.ticks, *self.words]


class SplineDial:
    """The spline cut open: a sleeve that stands still and a shaft that slides in it.

    At the closed end the spline bottoms, at the open end it pulls out.
    """

    TALL, OUTSIDE = 26.0, 34.0

    def __init__(
        self,
        sheet: Sheet,
        corner: tuple[float, float],
        width: float,
        spline: Spline,
        limits: Limits,
        slip: Array,
        look: Look,
        display: Display,
    ) -> None:
        """Draw the sleeve, its two ends and the zones in which the spline must not come.

        Args:
            sheet: Where to draw.
            corner: Left and top [points].
            width: Width [points].
            spline: The spline that follows the axle.
            limits: The shop's limits.
            slip: Slip [m], shape (F,).
            look: The configuration's look.
            display: Units to show.
        """
        left, top = corner
        self.display = display
        self.gap = spline.gap + slip
        longest = np.inf if spline.shorter is None else spline.shorter
        self.engaged = np.minimum(spline.engaged - slip, longest)
        self.least = (limits.gap, spline.least_engaged)
        whole = spline.gap + spline.engaged
        self.left, self.mouth = left + 8.0, left + width - self.OUTSIDE
        self.per_meter = (self.mouth - self.left) / whole
        self.end = left + width
        self.top = top + 24.0
        self._draw_sleeve(sheet, left, look)
        self.shaft = sheet.box(0, self.top + 5, 1, self.TALL - 10, fc=look.color, moves=True)
        self.tip = sheet.line([], [], color=INK, lw=2.6, moves=True)
        self.gap_words = sheet.text(left, top + 15, moves=True)
        self.engaged_words = sheet.text(left + width, top + 15, ha="right", moves=True)

    def _draw_sleeve(self, sheet: Sheet, left: float, look: Look) -> None:
        """Draw what stays."""
        bottom = self.top + self.TALL
        inside = self.mouth - self.left
        sheet.box(self.left, self.top + 3, inside, self.TALL - 6, fc=PANEL, ec="none")
        for y in (self.top, bottom - 3):
            sheet.box(self.left, y, inside, 3, fc=FAINT, ec="none")
        gap, engaged = (least * self.per_meter for least in self.least)
        for x, size in ((self.left, gap), (self.mouth - engaged, engaged)):
            sheet.box(x, bottom + 3, size, 4, fc=LIMIT, ec="none")
        sheet.box(left, self.top, 8, self.TALL, fc=FAINT, ec="none")
        sheet.text(left, bottom + 22, "◂ bottoms", color=LIMIT)
        sheet.text(self.mouth, bottom + 22, "pulls out ▸", color=LIMIT, ha="right")

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        gap, engaged = float(self.gap[frame]), float(self.engaged[frame])
        x = self.left + gap * self.per_meter
        self.shaft.set_bounds(x, self.top + 5, max(self.end - x, 0.0), self.TALL - 10)
        self.tip.set_data([x, x], [self.top + 1, self.top + self.TALL - 1])
        self.gap_words.set_text(f"gap {self.display.length.say(gap)}")
        self.engaged_words.set_text(f"in mesh {self.display.length.say(engaged)}")
        for words, value, least in zip(
            (self.gap_words, self.engaged_words), (gap, engaged), self.least, strict=True
        ):
            near = value < least
            words.set(color=LIMIT if near else INK, weight="bold" if near else "normal")
        return [self.shaft, self.tip, self.gap_words, self.engaged_words]


class Scale:
    """One quantity on a line with named places: axle travel, launch torque."""

    def __init__(
        self,
        sheet: Sheet,
        corner: tuple[float, float],
        width: float,
        places: Sequence[tuple[float, str]],
        value: Array,
        say: Callable[[float], str],
    ) -> None:
        """Draw the line and its places.

        Args:
            sheet: Where to draw.
            corner: Left and top [points].
            width: Width [points].
            places: Values with their names, lowest first.
            value: Value in every frame, shape (F,).
            say: Words for a value.
        """
        left, top = corner
        self.value, self.say, self.top = value, say, top
        low, high = places[0][0], places[-1][0]
        span = (high - low) or 1.0
        self.x = left + (value - low) / span * width
        sheet.line([left, left + width], [top + 30, top + 30], color=RULE, lw=5.0)
        for number, (at, name) in enumerate(places):
            x = left + (at - low) / span * width
            side = {0: "left", len(places) - 1: "right"}.get(number, "center")
            sheet.line([x, x], [top + 24, top + 36], color=QUIET, lw=1.2)
            sheet.text(x, top + 52, name, color=QUIET, ha=side)
        self.words = sheet.text(left, top + 15, weight="bold", moves=True)
        self.dot = sheet.line([], [], color=INK, lw=0, marker="o", ms=9.0, moves=True)

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""
        self.dot.set_data([self.x[frame]], [self.top + 30])
        self.words.set_text(self.say(float(self.value[frame])))
        return [self.dot, self.words]
