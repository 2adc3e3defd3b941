"""A state of the driveline: one height of the axle, one roll, one torque case."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Situation = Literal[
    "ride height",
    "loaded",
    "cruise",
    "overrun",
    "pull-away",
    "hard launch",
    "travel",
    "extreme",
    "parked",
]
"""What a state is to a rule, and so whether the rule may fail there, may only watch, or is silent.

"ride height" and "loaded" without torque; "cruise", "overrun", "pull-away" and "hard launch" with
the torque of that kind at either of these two; "travel" any other height without torque, met for a
moment; "extreme" any other height, or one wheel up, under torque; "parked" where nothing turns.
"""
SITUATIONS: tuple[Situation, ...] = get_args(Situation)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One held posture that the driveline is looked at in.

    Attributes:
        height: Name of the height ("full droop", "ride height", "loaded", "parked low"), or ""
            for a point of the sweep without a name.
        case: Name of the torque case.
        travel: Mean travel of both wheels [m], bump positive.
        roll: Roll of the axle [rad], right side up positive.
        wheel_torque: Both wheels together [N m], drive positive.
        shaft_torque: In the shaft [N m].
        turning: Whether the shafts turn there.
        situation: What the state is to a rule.
        road_speed: Road speed that belongs to it [m/s]; 0 when the shafts do not turn.
    """

    height: str
    case: str
    travel: float
    roll: float
    wheel_torque: float
    shaft_torque: float
    turning: bool
    road_speed: float
    situation: Situation = "ride height"

    @property
    def label(self) -> str:
        """Words for people, as in "full bump, hard launch" or "40 mm droop, cruise"."""
        way = "bump" if self.travel > 0 else "droop"
        height = self.height or f"{abs(self.travel) * 1000:.0f} mm {way}"
        roll = f", rolled {self.roll * 57.29577951308232:+.1f} deg" if self.roll else ""
        return f"{height}{roll}, {self.case}"

    @property
    def label_at_speed(self) -> str:
        """The same with its road speed, for what depends on it: "…, cruise, at 155 km/h"."""
        return f"{self.label}, at {self.road_speed * 3.6:.0f} km/h"
