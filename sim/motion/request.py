"""What postures are asked for, and how one that cannot be is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.errors import GeometryError
from sim.scene.parts import Configuration

Array = NDArray[np.float64]
REFERENCE_LABEL = "ride height, no torque"


@dataclass(frozen=True, slots=True, eq=False)
class Request:
    """Heights, rolls and torques at which the posture of one configuration is wanted.

    Attributes:
        configuration: Whose postures.
        travel: Mean axle travel [m], bump positive, shape (S,).
        roll: Axle roll [rad], right side up positive, shape (S,).
        wheel_torque: Both wheels together [N m], drive positive, shape (S,).
        labels: Name of every state for messages; empty: the travel is named instead.
    """

    configuration: Configuration
    travel: Array
    roll: Array
    wheel_torque: Array
    labels: tuple[str, ...] = ()

    def label(self, state: int) -> str:
        """Return the words for one state."""
        if self.labels:
            return self.labels[state]
        return (
            f"travel {self.travel[state] * 1e3:+.1f} mm, roll {np.degrees(self.roll[state]):+.1f} "
            f"deg, {self.wheel_torque[state]:.0f} N m at the wheels"
        )

    def refuse_where(self, wrong: ArrayLike, reason: Callable[[int], str]) -> None:
        """Refuse the first state that is marked wrong, if any.

        Args:
            wrong: Marks, shape (S,).
            reason: Says why, given the number of the state.

        Raises:
            GeometryError: Naming configuration and state.
        """
        marks = np.broadcast_to(np.asarray(wrong, bool), self.travel.shape)
        if marks.any():
            self.refuse(int(np.argmax(marks)), reason)

    def refuse(self, state: int, reason: Callable[[int], str]) -> NoReturn:
        """Refuse one state.

        Raises:
            GeometryError: Always, naming configuration and state.
        """
        raise GeometryError(self.configuration.name, self.label(state), reason(state))

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
    """Return the request for the reference posture: ride height, no roll, no torque.

    A configuration of samples has one for every sample of its output.
    """
    zero = np.zeros(len(np.atleast_2d(configuration.output.point)))
    return Request(configuration, zero, zero, zero, (REFERENCE_LABEL,) * len(zero))
