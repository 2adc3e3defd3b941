"""Where the parts of the answer are, as a tape finds them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sim.arrays import Array
from sim.display import Display, on_tape
from sim.judge.notes import planned_words
from sim.measure.hook import Hook, hook_near
from sim.measure.measurements import Measurements
from sim.measure.sag import Sag, sags_of
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration, Rail


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Point:
    """A joint or a center bearing at ride height.

    Attributes:
        name: As in "joint 2" or "bearing 1".
        place: Its center from the datum [m], (3,).
    """

    name: str
    place: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Span:
    """A length along a shaft, from one center to the next.

    Attributes:
        start: The one ahead.
        end: The one behind.
        length: Between both [m].
    """

    start: Point
    end: Point
    length: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hang:
    """Where a center bearing hangs.

    Attributes:
        number: Of the bearing, from 1.
        place: Its center from the datum [m], (3,).
        output: Joint 1 from the datum [m], (3,).
        hook: What a tape can hook on, or None.
        rails: The rails that its brace is bolted to; may be empty.
        sag: How far the shafts sag below its height, where that is planned.
    """

    number: int
    place: Array
    output: Array
    hook: Hook | None
    rails: tuple[Rail, ...]
    sag: Sag

    @property
    def along(self) -> float:
        """How far the bearing is ahead of the face of the hook [m]; behind it is negative."""
        return self.hook.aft - float(self.place[0]) if self.hook else 0.0

    @property
    def below(self) -> float:
        """How far the bearing is below the lower edge of the hook [m]; above is negative."""
        return self.hook.under - float(self.place[2]) if self.hook else 0.0

    def by_tape(self, display: Display) -> tuple[tuple[str, str], ...]:
        """Return lengths that a tape finds, each with the words behind it.

        From the hook; where there is none, along the frame from joint 1 and up from the rails.
        """
        if self.hook is None:
            behind = on_tape(float(self.place[0] - self.output[0]), display.name)
            first = (behind, "behind joint 1, along the frame,")
            return (first, *(_parted(said) for said in self.from_rails(display)))
        ahead = "ahead of" if self.along >= 0 else "behind"
        below = "below" if self.below >= 0 else "above"
        face = f"{ahead} the {self.hook.face} face of the {self.hook.name},"
        return (
            (on_tape(abs(self.along), display.name), face),
            (on_tape(abs(self.below), display.name), f"{below} it"),
        )

    def from_datum(self, display: Display) -> str:
        """Return the place from the datum, as in "2395 mm aft, in the middle, 521 mm up"."""
        aft, right, up = (float(value) for value in self.place)
        aside = f"{on_tape(abs(right), display.name)} {'right' if right > 0 else 'left'}"
        return ", ".join(
            (
                f"{on_tape(abs(aft), display.name)} {'aft' if aft >= 0 else 'forward'}",
                aside if abs(right) >= 5e-4 else "in the middle",
                f"{on_tape(abs(up), display.name)} {'up' if up >= 0 else 'down'}",
            )
        )

    def from_rails(self, display: Display) -> Iterator[str]:
        """Yield the height over or under the rails' lower edges: once where both are alike."""
        heights = {rail.side: float(self.place[2]) - rail.up for rail in self.rails}
        said = {side: _over(height, display) for side, height in heights.items()}
        if len(set(said.values())) == 1:
            yield f"{next(iter(said.values()))} the rails' bottom edges"
        else:
            yield from (f"{text} the {side} rail's bottom edge" for side, text in said.items())

    def sags(self, display: Display) -> tuple[str, ...]:
        """Return how far the shafts sag below a planned height in a clause; none for one read."""
        said = planned_words(self.sag, display.name)
        return (said,) if said else ()


def _parted(said: str) -> tuple[str, str]:
    """Return a length with its unit, and the words behind it."""
    number, unit, words = said.split(" ", 2)
    return f"{number} {unit}", words


def _over(height: float, display: Display) -> str:
    """Return how far something is over or under, in words."""
    return f"{on_tape(abs(height), display.name)} {'above' if height >= 0 else 'below'}"


def ride_state(m: Measurements) -> int:
    """Return the number of the state at ride height without torque."""
    return next(k for k, state in enumerate(m.states) if state.situation == "ride height")


def points_of(m: Measurements) -> tuple[Point, ...]:
    """Return joints and bearings at ride height without torque, from the front."""
    state: State = m.states[ride_state(m)]
    motion = solve(m.configuration, states=(state,))
    joints, bearings = motion.joint_center[0, 0], motion.bearing_center[0, 0]
    points = [Point(name="joint 1", place=joints[0])]
    for number, center in enumerate(joints[1:], start=1):
        if number <= len(bearings):
            points.append(Point(name=f"bearing {number}", place=bearings[number - 1]))
        points.append(Point(name=f"joint {number + 1}", place=center))
    return tuple(points)


def spans_of(m: Measurements) -> tuple[Span, ...]:
    """Return the lengths along the shafts at ride height, from center to center."""
    return tuple(
        Span(start=a, end=b, length=float(np.linalg.norm(b.place - a.place)))
        for a, b in pairwise(points_of(m))
    )


def hangs_of(configuration: Configuration) -> tuple[Hang, ...]:
    """Return where the center bearings hang, from the front."""
    return tuple(
        Hang(
            number=number,
            place=bearing.point,
            output=configuration.output.point,
            hook=hook_near(configuration, float(bearing.point[0])),
            rails=configuration.rails,
            sag=sag,
        )
        for number, (bearing, sag) in enumerate(
            zip(configuration.bearings, sags_of(configuration), strict=True), start=1
        )
    )
