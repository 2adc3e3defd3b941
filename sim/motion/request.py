"""What postures are asked for, and what becomes of one that cannot be: refused, or marked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array, Index, Marks
from sim.display import DEGREES, display_of
from sim.errors import GeometryError
from sim.scene.parts import Configuration

REFERENCE_LABEL = "ride height, no torque"

Reason = Callable[[int], str]


@dataclass(frozen=True, slots=True, eq=False)
class Request:
    """Heights, rolls and torques at which postures are wanted, of one design or of many at once."""

    configuration: Configuration  # numbers of B designs are floats or arrays of shape (B,)
    travel: Array  # mean axle travel [m], bump positive, (S,), or (S, B) for B designs
    roll: Array  # axle roll [rad], right side up positive; broadcasts with travel
    wheel_torque: Array  # both wheels together [N m], drive positive; broadcasts with travel
    labels: tuple[str, ...] = ()  # of every state for messages; empty: its travel is named
    # rows that cannot be reached, marked as postures are sought, in the shape of travel; None: the
    # first row that cannot be is refused, and rows are the states of one design
    lost: Marks | None = None
    # load on one leaf spring beyond what its rate says at that height [N], or None; broadcasts with
    # travel
    excess: Array | None = None

    def label(self, state: int) -> str:
        """Return the words for one state."""
        if self.labels:
            return self.labels[state]
        roll, torque = DEGREES.say(self.roll[state], signed=True), self.wheel_torque[state]
        at_wheels = display_of(self.configuration.display).torque.say(torque)
        return (
            f"travel {self.say(self.travel[state], True)}, roll {roll}, {at_wheels} at the wheels"
        )

    def say(self, length: float, signed: bool = False) -> str:
        """Return a length [m] in words, in the units of the reader."""
        display = display_of(self.configuration.display)
        return display.length.say(length, signed, display.coarse)

    def refuse_where(self, wrong: ArrayLike, reason: Reason) -> None:
        """Mark the rows that are wrong, or refuse the first; the reason is asked for by state.

        Raises:
            GeometryError: Naming configuration and state, where nothing is marked.
        """
        if self.lost is not None:
            np.logical_or(self.lost, wrong, out=self.lost)
        elif np.any(wrong):
            state = int(np.argmax(np.broadcast_to(wrong, self.travel.shape)))
            raise GeometryError(self.configuration.name, self.label(state), reason(state))

    def part(self, states: Index) -> Request:
        """Return the request for some of the states."""
        travel = self.travel[states]
        return Request(
            self.configuration,
            travel,
            self.roll[states],
            self.wheel_torque[states],
            tuple(self.labels[state] for state in states) if self.labels else (),
            None if self.lost is None else np.zeros(travel.shape, bool),
            None if self.excess is None else self.excess[states],
        )

    def adopt(self, part: Request, states: Index, numbers: Index) -> None:
        """Mark states whose rows a part has marked, by the number of its state for each."""
        if self.lost is not None and part.lost is not None:
            self.lost[states] |= part.lost[numbers]

    def look_at(self, state: int, *paths: str) -> str:
        """Return where the user should look: the stop that this travel nears, and scene keys."""
        stops = {-1.0: ["travel.droop"], 0.0: [], 1.0: ["travel.bump"]}
        readings = self.configuration.readings
        named = [
            f"{path} (line {readings[path].line})"
            if path in readings and readings[path].line
            else path
            for path in [*stops[float(np.sign(self.travel[state]))], *paths]
        ]
        return "look at " + " and ".join(filter(None, [", ".join(named[:-1]), named[-1]]))


def reference_request(configuration: Configuration) -> Request:
    """Return the request for the reference posture of one design: ride height, at rest."""
    zero = np.zeros(1)
    return Request(configuration, zero, zero, zero, (REFERENCE_LABEL,))
