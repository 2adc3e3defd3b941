"""The whirl moment as the film shows it: layouts under each other at one road speed, one bowing."""

from __future__ import annotations

import math

import numpy as np

from sim.arrays import Array
from sim.display import Display
from sim.show.film.bars import Bar, Color, paint_bar, paint_veil
from sim.show.film.meeting import Bow, Meeting, shafts_of
from sim.show.film.paper import Pixels, Sheet
from sim.show.film.story import Take
from sim.show.style import INK, LIMIT, QUIET, RULE, Look
from sim.world.shapes import paint
from sim.world.shapes.sizes import BEARING_HALF, joint_size, journal

SPEED, WORDS = 58.0, 27.0
"""Sizes of letters [pt]: capitals of words are 28 pixels high on a frame of 1280 × 720."""

HEAD, LABEL = 112.0, 62.0  # bottom of the head; room for the words above a driveline [points]
DRAWN = 48.0  # how far the layout that bends most is drawn bent at most [points]
ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)  # what a bow may be drawn times
STRAIGHT = 0.1  # of the largest; what bends less is seen as straight
AHEAD, BEHIND = 0.24, 0.30  # how much is seen ahead of the first joint, behind the axle [m]
VEIL = 0.28  # how plain what the shaft sweeps is [-]


class WhirlCard:
    """Paints the frames of the moment."""

    def __init__(
        self,
        size: tuple[int, int],
        takes: tuple[Take, ...],
        looks: tuple[Look, ...],
        meeting: Meeting,
        display: Display,
    ) -> None:
        """Write the words and draw what stays.

        Args:
            size: Width and height of a frame [pixels], 16 to 9.
            takes: One or two layouts, which stand here as in the first frame of the film.
            looks: Of each.
            meeting: What is shown.
            display: Units to show.
        """
        self.meeting, self.display = meeting, display
        self.sheet = Sheet(size)
        self.sheet.text(
            24, 84, f"At {display.speed.say(meeting.road_speed)}", size=SPEED, weight="bold"
        )
        tall = (720.0 - HEAD) / len(takes)
        for number, (look, take, bow) in enumerate(zip(looks, takes, meeting.bows, strict=True)):
            self._label(HEAD + number * tall, look, take.motion.configuration.name, bow)
        place = _Place(takes, tall - LABEL - 8, self.sheet.scale)
        times = self._times(place)
        self.rows = [
            _Row(take, bow, place, (HEAD + LABEL + number * tall) * self.sheet.scale, times)
            for number, (take, bow) in enumerate(zip(takes, meeting.bows, strict=True))
        ]
        self.base = np.ascontiguousarray(self.sheet.begin()[..., :3])
        for row, look in zip(self.rows, looks, strict=True):
            row.paint_still(self.base, look)

    def _label(self, top: float, look: Look, name: str, bow: Bow) -> None:
        """Write what a layout is called and what it does."""
        self.sheet.line([0, 1280], [top, top], color=RULE, lw=1.0)
        words = self.sheet.text(1256, top + 46, self.says(bow), size=WORDS, ha="right")
        words.set(color=LIMIT if bow.met else INK, weight="bold" if bow.met else "normal")
        self.sheet.line([36], [top + 36], color=look.color, marker=look.marker, ms=13)
        title = self.sheet.text(60, top + 46, name, size=WORDS, weight="bold", color=look.color)
        self.sheet.fit(title, self.sheet.extent(words)[0] - 84)

    def _times(self, place: _Place) -> float:
        """Return how many pixels are drawn for a size of 1, and say how exaggerated that is."""
        most = DRAWN * self.sheet.scale / max(bow.size for bow in self.meeting.bows)
        words = "bending exaggerated"
        if self.meeting.order == 2:
            times = round_down(most / place.per_meter)
            most, words = times * place.per_meter, f"bending drawn {times:.0f} times"
        self.sheet.text(1256, 84, words, size=WORDS, ha="right", color=QUIET)
        return most

    def says(self, bow: Bow) -> str:
        """Return what a layout does at the road speed of the moment, in words."""
        if bow.met:
            return "bows"
        straight = bow.size < STRAIGHT * max(other.size for other in self.meeting.bows)
        return f"bows {'only ' * straight}at {self.display.speed.say(bow.meets_at)}"

    def paint(self, turn: float) -> bytes:
        """Return the frame at an angle of the shafts' turn [rad]."""
        picture = self.base.copy()
        for row in self.rows:
            row.paint(picture, turn, self.meeting.order)
        return picture.tobytes()


def round_down(value: float) -> float:
    """Return the largest round number up to a value above 0: 1, 1.5, 2 … 8 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(value))
    return max(step for step in ROUND if step * power <= value * (1 + 1e-12)) * power


class _Place:
    """Where points of the vehicle are drawn: seen from the left side, alike for all layouts."""

    def __init__(self, takes: tuple[Take, ...], tall: float, scale: float) -> None:
        joints = np.concatenate([take.motion.joint_center[0, 0] for take in takes])
        axle = max(float(take.motion.axle_center[0, 0]) for take in takes)
        self.front = float(joints[:, 0].min()) - AHEAD
        self.middle = float(joints[:, 2].max() + joints[:, 2].min()) / 2
        thick = max(s.tube.outside for take in takes for s in take.motion.configuration.shafts)
        wide = axle + BEHIND - self.front
        high = float(np.ptp(joints[:, 2])) + thick
        self.per_meter = scale * min(1280.0 / wide, (tall - 2 * DRAWN) / high)
        self.half = scale * tall / 2
        self.left = (scale * 1280.0 - wide * self.per_meter) / 2

    def of(self, points: Array, top: float) -> Array:
        """Return columns and rows [pixels] of points [m], (..., 3), in a row that starts at top."""
        column = self.left + (points[..., 0] - self.front) * self.per_meter
        row = top + self.half - (points[..., 2] - self.middle) * self.per_meter
        return np.stack([column, row], axis=-1)


class _Row:
    """One driveline from the side."""

    def __init__(self, take: Take, bow: Bow, place: _Place, top: float, times: float) -> None:
        self.configuration = take.motion.configuration
        self.drawn, self.per_meter = times * bow.size, place.per_meter
        self.joints = place.of(take.motion.joint_center[0, 0], top)
        ends = take.motion.axis[0, 0, [0, -1]] * place.per_meter
        self.ends = np.stack([ends[:, 0], -ends[:, 2]], axis=-1)
        self.axle = place.of(take.motion.axle_center[0], top)
        self.shafts = shafts_of(bow.mode)
        lengths = take.motion.reference.length
        self.lengths = [float(length) for length in lengths]
        self.bearings = [
            1 - float(behind) / length
            for behind, length in zip(take.motion.reference.to_joint, self.lengths, strict=False)
        ]

    def _bar(
        self, number: int, radius: Array | float, swing: float, between: tuple[float, float]
    ) -> Bar:
        """Return part of a shaft, bent as far as its mode swings [pixels]; its radius in meters."""
        share, deflection = self.shafts[number]
        wide = np.broadcast_to(np.asarray(radius) * self.per_meter, share.shape)
        return Bar(
            start=self.joints[number],
            end=self.joints[number + 1],
            share=share,
            radius=wide,
            bend=swing * deflection,
            between=between,
        )

    def _tube(self, number: int) -> tuple[float, float]:
        """Return the shares of a shaft's length between which its tube is."""
        length, radius = self.lengths[number], self.configuration.shafts[number].tube.outside / 2
        front, rear = (
            joint_size(self.configuration, joint).reach / length for joint in (number, number + 1)
        )
        hangs = number < len(self.bearings)
        return front, self.bearings[number] - (0.05 + radius) / length if hangs else 1 - rear

    def _round(self, start: Array, end: Array, radius: list[tuple[float, float]]) -> Bar:
        """Return a straight bar between places [pixels], by its shares and radii [m]."""
        share, wide = np.array(radius).T
        return Bar(
            start=start, end=end, share=share, radius=wide * self.per_meter, bend=0.0 * share
        )

    def paint_still(self, picture: Pixels, look: Look) -> None:
        """Paint output, axle, brackets, and what the shafts sweep."""
        first, last = self.joints[0], self.joints[-1]
        tail = self._round(first - 0.30 * self.ends[0], first, [(0, 0.085), (0.35, 0.075),
                           (0.45, 0.05), (0.72, 0.045), (0.74, 0.032), (1, 0.032)])  # fmt: skip
        paint_bar(picture, tail, paint.HOUSING)
        pinion = [(0, 0.032), (0.2, 0.034), (0.25, 0.05), (0.6, 0.08), (1, 0.08)]
        paint_bar(picture, self._round(last, self.axle, pinion), paint.AXLE)
        self._paint_ball(picture, self.axle, 0.15, paint.AXLE)
        for number, at in enumerate(self.bearings):
            here = self.joints[number] + at * (self.joints[number + 1] - self.joints[number])
            up = np.array([0.0, -0.16 * self.per_meter])
            paint_bar(picture, self._round(here, here + up, [(0, 0.028), (1, 0.028)]), paint.BRACE)
            foot = here + up + np.array([[-0.07], [0.07]]) * self.per_meter * [1.0, 0.0]
            paint_bar(picture, self._round(foot[0], foot[1], [(0, 0.012), (1, 0.012)]), paint.BRACE)
        color = tuple(int(look.color[k : k + 2], 16) / 255 for k in (1, 3, 5))
        for number, (_, deflection) in enumerate(self.shafts):
            tube = self.configuration.shafts[number].tube.outside / 2
            swept = tube + np.abs(deflection) * self.drawn / self.per_meter
            veil = self._bar(number, swept, 0.0, self._tube(number))
            paint_veil(picture, veil, (color[0], color[1], color[2]), VEIL)

    def paint(self, picture: Pixels, turn: float, order: int) -> None:
        """Paint what turns, at an angle of its turn [rad]; it goes round so often in a turn."""
        swing = self.drawn * float(np.cos(order * turn))
        for number in range(len(self.shafts)):
            self._paint_shaft(picture, number, swing, turn)
        for number, center in enumerate(self.joints):
            size = joint_size(self.configuration, number)
            at = min(number, len(self.shafts) - 1)
            bend = self.shafts[at][1][-1 if number > at else 0] * swing
            self._paint_ball(picture, center - [0.0, bend], 0.95 * size.half_span, paint.CAST)
            self._paint_ball(picture, center - [0.0, bend], 1.3 * size.cap, paint.BRIGHT)

    def _paint_shaft(self, picture: Pixels, number: int, swing: float, turn: float) -> None:
        """Paint one shaft: yokes and stub, its tube with an index stripe, its bearing."""
        part, length = self.configuration.shafts[number], self.lengths[number]
        radius = part.tube.outside / 2
        front, stop = self._tube(number)
        rear = joint_size(self.configuration, number + 1).reach / length
        hangs = number < len(self.bearings)
        neck = journal(self.configuration, number) if hangs else 0.8 * radius
        paint_bar(picture, self._bar(number, neck, swing, (front, 1.0)), paint.BRIGHT)
        for between in ((0.0, front), (1 - rear, 1.0), (stop, stop + 0.6 * radius / length)):
            paint_bar(picture, self._bar(number, 0.8 * radius, swing, between), paint.CAST)
        stripe = (np.pi / 2 - turn, paint.stripe_color(number))
        tube = self._bar(number, radius, swing, (front, stop))
        paint_bar(picture, tube, paint.tube_color(number), stripe)
        for seam in (front, stop):
            weld = (seam - 0.004 / length, seam + 0.004 / length)
            paint_bar(picture, self._bar(number, 1.04 * radius, swing, weld), paint.SEAM)
        if hangs:
            at, half = self.bearings[number], BEARING_HALF / length
            ring = self._bar(number, 1.35 * radius, 0.0, (at - half, at + half))
            paint_bar(picture, ring, paint.RUBBER)

    def _paint_ball(self, picture: Pixels, center: Array, radius: float, color: Color) -> None:
        """Paint a ball, its center [pixels], its radius [m]."""
        half = np.array([radius * self.per_meter, 0.0])
        around = np.linspace(0.0, np.pi, 33)
        share, wide = (1 - np.cos(around)) / 2, radius * np.sin(around)
        ball = self._round(center - half, center + half, list(zip(share, wide, strict=True)))
        paint_bar(picture, ball, color)
