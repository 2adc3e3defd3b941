"""One frame: pictures under each other, an instrument column at their right, a strip below.

Configurations lie one above the other, so that joints of both are seen on the same upright line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from matplotlib.artist import Artist
from numpy.typing import ArrayLike, NDArray

from sim.display import Display
from sim.errors import EngineError
from sim.show.film.closing import Closing
from sim.show.film.dials import AngleBars, Scale, SplineDial, Tags
from sim.show.film.ending import Balance, Figures
from sim.show.film.meeting import Meeting
from sim.show.film.paper import HUGE, LARGE, Pixels, Sheet
from sim.show.film.story import Script, Take
from sim.show.film.trace import Trace
from sim.show.film.view import camera_for
from sim.show.film.whirl import WhirlCard
from sim.show.style import QUIET, RULE, Look
from sim.world.camera import Stage
from sim.world.poses import body_poses
from sim.world.shapes import build_shapes

HEAD, FOOT = 46.0, 556.0
PICTURE, COLUMN, EDGE = 888.0, 906.0, 1266.0
"""Bottom of the head, top of the strip; right end of pictures, both ends of the column [points]."""

WHIRL_SHARE = 0.27
"""How long the whirl moment is for what is shown beside it: 1.6 s for 6 s."""

NOTE = (
    "Calculated from the scene's readings; certifies nothing. "
    "Not to scale of time: the shafts turn slowly here."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Story:
    """Everything that a frame is painted from.

    Attributes:
        title: Title of the scene.
        display: Units to show.
        script: Course of the film.
        takes, looks, closings: Of every configuration; one or two.
        balance: What the second gains and what it costs, or None for a single one.
        meeting: What the whirl moment shows ahead of the closing numbers, or None without one.
    """

    title: str
    display: Display
    script: Script
    takes: tuple[Take, ...]
    looks: tuple[Look, ...]
    closings: tuple[Closing, ...]
    balance: tuple[str, str] | None
    meeting: Meeting | None

    @property
    def whirling(self) -> range:
        """Frames of the whirl moment, which lie between those of the script."""
        first = self.script.closing
        last = first if self.meeting is None else first + round(WHIRL_SHARE * self.script.frames)
        return range(first, last)

    @property
    def frames(self) -> int:
        """Number of frames of the whole film."""
        return self.script.frames + len(self.whirling)


class Dial(Protocol):
    """An instrument."""

    def show(self, frame: int) -> list[Artist]:
        """Return what to draw in a frame."""


class Painter:
    """Paints the frames of a story, in any order."""

    def __init__(self, story: Story, size: tuple[int, int]) -> None:
        """Build the stages and draw what stays.

        Args:
            story: What to paint.
            size: Width and height of a frame [pixels], 16 to 9.
        """
        self.story, self.size = story, size
        self.sheet = Sheet(size)
        self.stages: list[Stage] = []
        self.boxes: list[tuple[float, float, float, float]] = []
        self.dials: list[Dial] = []
        self.ending: list[Dial] = []
        self.kept: Pixels | None = None  # what stays in the closing, once it was drawn
        self._head()
        tall = (FOOT - HEAD) / len(story.takes)
        for number in range(len(story.takes)):
            self.boxes.append(self._whole_pixels(0.0, HEAD + number * tall, PICTURE, tall))
        self._stages()
        for number in range(len(story.takes)):
            self._column(number)
        self._strip()
        self.card: WhirlCard | None = None
        if story.meeting is not None:
            self.card = WhirlCard(size, story.takes, story.looks, story.meeting, story.display)

    def paint(self, frame: int) -> bytes:
        """Return one frame.

        Args:
            frame: Its number, from 0.

        Returns:
            Red, green, blue of every pixel, rows from the top.

        Raises:
            EngineError: If a picture came out all one color.
        """
        whirling = self.story.whirling
        if self.card is not None and frame in whirling:
            return self.card.paint(2 * np.pi * whirling.index(frame) / len(whirling))
        return self._paint(frame if frame < whirling.start else frame - len(whirling))

    def _paint(self, frame: int) -> bytes:
        """Return one frame of the script."""
        closing = frame >= self.story.script.closing
        if closing and self.kept is None and self.story.balance:
            over = (artist for dial in self.ending for artist in dial.show(frame))
            self.kept = self.sheet.kept(over)
        dials = self._dials(closing)
        buffer = self.sheet.begin(self.kept if closing else None)
        for number, take in enumerate(self.story.takes):
            picture = self.stages[number].picture(body_poses(take.motion, frame, 0))
            if (picture == picture[0, 0]).all():
                name = take.motion.configuration.name
                raise EngineError(f'frame {frame} of "{name}" came out all one color')
            left, top, right, bottom = self._pixels(number)
            buffer[top:bottom, left:right, :3] = picture
        return self.sheet.finish(artist for dial in dials for artist in dial.show(frame))

    def _dials(self, closing: bool) -> list[Dial]:
        """Return what is drawn over the pictures: at the end, where nothing else is seen, tags."""
        if self.kept is None or not closing:
            return [*self.dials, *self.ending] if closing else self.dials
        return [dial for dial in self.dials if isinstance(dial, Tags)]

    def _whole_pixels(
        self, left: float, top: float, width: float, tall: float
    ) -> tuple[float, float, float, float]:
        """Return a box moved to the nearest edges of pixels [points]."""
        edges = np.array([left, top, left + width, top + tall]) * self.sheet.scale
        a, b, c, d = (round(float(edge)) / self.sheet.scale for edge in edges)
        return a, b, c - a, d - b

    def _pixels(self, number: int) -> tuple[int, int, int, int]:
        """Return left, top, right and bottom of a picture [pixels]."""
        left, top, width, tall = self.boxes[number]
        edges = np.array([left, top, left + width, top + tall]) * self.sheet.scale
        a, b, c, d = (round(float(edge)) for edge in edges)
        return a, b, c, d

    def _stages(self) -> None:
        """Build the parts of every configuration in front of the common camera."""
        takes = self.story.takes
        edges = [self._pixels(number) for number in range(len(takes))]
        sizes = [(right - left, bottom - top) for left, top, right, bottom in edges]
        casts = [build_shapes(take.motion.configuration, take.motion) for take in takes]
        self.stages = [Stage(cast, size) for cast, size in zip(casts, sizes, strict=True)]
        for stage, size, take in zip(self.stages, sizes, takes, strict=True):
            camera = camera_for(takes, size)
            stage.look(camera.eye, camera.target, camera.fov)
            # The first picture places the lamp: the same one, whichever frame is painted first.
            stage.picture(body_poses(take.motion, 0, 0))

    def _head(self) -> None:
        """Write the title and the rules of the sheet."""
        title = self.sheet.text(16, 32, self.story.title, size=HUGE, weight="bold")
        self.sheet.fit(title, 860)
        if len(self.story.takes) > 1:
            words = "same camera, same road, same moments"
            self.sheet.text(EDGE, 31, words, ha="right", color=QUIET)
        note = self.sheet.text(16, 711, NOTE, color=QUIET)
        self.sheet.fit(note, 1250)

    def _column(self, number: int) -> None:
        """Draw the instruments of one configuration."""
        story, sheet = self.story, self.sheet
        take, look = story.takes[number], story.looks[number]
        configuration = take.motion.configuration
        box = self.boxes[number]
        _, top, _, tall = box
        width = EDGE - COLUMN
        stage = self.stages[number]

        def project(points: ArrayLike) -> NDArray[np.float64]:
            return stage.project(points) / sheet.scale

        sheet.line([0, 1280], [top, top], color=RULE, lw=1.0)
        sheet.line(
            [COLUMN, COLUMN + 40], [top + 22, top + 22], color=look.color, lw=3.0,
            dashes=look.dashes or (None, None), marker=look.marker, markevery=[1], ms=8,
        )  # fmt: skip
        name = sheet.text(
            COLUMN + 54, top + 28, configuration.name, size=LARGE, weight="bold", color=look.color
        )
        sheet.fit(name, width - 54)
        largest = max(float(t.joint_angle.max()) for t in story.takes)
        corner = (COLUMN, top + 48.0)
        bars = AngleBars(sheet, corner, width, take.joint_angle, look, largest * 1.02 + 1e-3)
        spline = SplineDial(
            sheet, (COLUMN, top + 48.0 + 23 * take.joint_angle.shape[1] + 8), width,
            configuration.spline, configuration.limits, take.slip, look, story.display,
        )  # fmt: skip
        centers = take.motion.joint_center[:, 0]
        self.dials += [Tags(sheet, box, take.joint_angle, look, project, centers), bars, spline]
        above = 42.0 if story.balance else 48.0 + 23 * take.joint_angle.shape[1] + 108
        self.ending.append(
            Figures(
                sheet, (COLUMN, top + above), (width + 12, tall - above - 2), story.closings[number]
            )
        )

    def _strip(self) -> None:
        """Draw the trace and the two scales below the pictures."""
        story, sheet = self.story, self.sheet
        script = story.script
        sheet.line([0, 1280], [FOOT, FOOT], color=RULE, lw=1.0)
        last = max(script.closing - 1, 1) if story.balance else script.frames - 1
        box = (62.0, FOOT + 28, PICTURE - 76, 82.0)
        self.dials.append(Trace(sheet, box, story.takes, story.looks, script, last))
        torque = story.display.torque
        if script.droop + script.bump > 0:
            places = [(-script.droop, "droop"), (0.0, "ride"), (script.bump, "bump")]
            self.dials.append(
                Scale(
                    sheet, (COLUMN, FOOT + 6), EDGE - COLUMN, places, script.travel, self._height
                )
            )  # fmt: skip
        launch = story.takes[0].launch
        if launch is not None:
            most = launch.wheel_torque
            self.dials.append(
                Scale(
                    sheet, (COLUMN, FOOT + 76), EDGE - COLUMN, [(0.0, "none"), (1.0, launch.name)],
                    script.torque, lambda share: f"wheel torque {torque.say(share * most)}",
                )
            )  # fmt: skip
        if story.balance:
            names = (story.closings[0].configuration, story.closings[1].configuration)
            self.ending.append(
                Balance(sheet, (0.0, FOOT + 1), (1280.0, 142.0), names, story.balance)
            )

    def _height(self, travel: float) -> str:
        """Return the axle's height in words."""
        if abs(travel) < 5e-4:
            return "axle at ride height"
        side = "up" if travel > 0 else "down"
        return f"axle {self.story.display.length.say(abs(travel))} {side} from ride height"
