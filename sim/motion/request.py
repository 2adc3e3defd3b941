"""What postures are asked for, and what becomes of one that cannot be: refused, or marked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array, Index, Marks
from sim.display import DEGREES, display_of
from sim.errors import GeometryError
from sim.scene.parts import Configuration

REFERENCE_LABEL = "ride height, no torque"


Reason = Callable[[int], str]


class Policy(Protocol):
    """What becomes of a row that cannot be."""

    def rule_out(self, request: Request, wrong: Marks, reason: Reason) -> None:
        """Rule out the rows of a request that are marked wrong."""

    def part(self, shape: tuple[int, ...]) -> Policy:
        """Return the same policy for a request of another shape."""


class Refuse:
    """Refuse the first row that cannot be; rows are the states of one design."""

    def rule_out(self, request: Request, wrong: Marks, reason: Reason) -> None:
        """Refuse the first state that is marked wrong, if any.

        Raises:
            GeometryError: Naming configuration and state.
        """
        if wrong.any():
            state = int(np.argmax(wrong))
            raise GeometryError(request.configuration.name, request.label(state), reason(state))

    def part(self, shape: tuple[int, ...]) -> Refuse:
        """Return this policy, which keeps nothing."""
        return self


class Mark:
    """Mark rows that cannot be, and go on.

    Attributes:
        lost: Rows that cannot be reached, in the shape of the rows; filled as postures are sought.
    """

    def __init__(self, shape: tuple[int, ...]) -> None:
        self.lost = np.zeros(shape, bool)

    def rule_out(self, request: Request, wrong: Marks, reason: Reason) -> None:
        """Mark the rows that are wrong."""
        self.lost |= wrong

    def part(self, shape: tuple[int, ...]) -> Mark:
        """Return marks of another shape, none of them set."""
        return Mark(shape)


@dataclass(frozen=True, slots=True, eq=False)
class Request:
    """Heights, rolls and torques at which postures are wanted, of one design or of many at once."""

    configuration: Configuration  # numbers of B designs are floats or arrays of shape (B,)
    travel: Array  # mean axle travel [m], bump positive, (S,), or (S, B) for B designs
    roll: Array  # axle roll [rad], right side up positive; broadcasts with travel
    wheel_torque: Array  # both wheels together [N m], drive positive; broadcasts with travel
    labels: tuple[str, ...] = ()  # of every state for messages; empty: its travel is named
    policy: Policy = Refuse()  # noqa: RUF009 - it keeps nothing
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
        """Rule out the rows marked wrong as the policy says; the reason is asked for by state.

        Raises:
            GeometryError: Naming configuration and state, where the policy is to refuse.
        """
        marks = np.broadcast_to(np.asarray(wrong, bool), self.travel.shape)
        self.policy.rule_out(self, marks, reason)

    def part(self, states: Index) -> Request:
        """Return the request for some of the states."""
        travel = self.travel[states]
        return Request(
            self.configuration,
            travel,
            self.roll[states],
            self.wheel_torque[states],
            tuple(self.labels[state] for state in states) if self.labels else (),
            self.policy.part(travel.shape),
            None if self.excess is None else self.excess[states],
        )

    def adopt(self, part: Request, states: Index, numbers: Index) -> None:
        """Mark states whose rows a part has marked, by the number of its state for each."""
        if isinstance(self.policy, Mark) and isinstance(part.policy, Mark):
            self.policy.lost[states] |= part.policy.lost[numbers]

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
