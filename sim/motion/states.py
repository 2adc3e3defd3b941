"""A state of the driveline: one height of the axle, one roll, one torque case."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from sim.display import DEGREES, DisplayName, display_of

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
        axle_load: Weight on the driven axle there [N], or None: that of the vehicle, as it stands
            at ride height.
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
    axle_load: float | None = None

    @property
    def label(self) -> str:
        """Words for people, as in "full bump, hard launch" or "40 mm droop, cruise"."""
        return self.say()

    def say(self, display: DisplayName = "metric", *, at_speed: bool = False) -> str:
        """Return the state in words, in the units of the reader.

        Args:
            display: Units of its travel and road speed.
            at_speed: Whether to name the road speed too, for what depends on it.

        Returns:
            As in "54 mm droop, cruise, at 155 km/h" [text].

        Example:
            >>> State(height="", case="cruise", travel=-0.0541, roll=0.0, wheel_torque=600.0,
            ...       shaft_torque=150.0, turning=True, road_speed=27.78).say("inch", at_speed=True)
            '2.13 in droop, cruise, at 62 mph'
        """
        shown, way = display_of(display), "bump" if self.travel > 0 else "droop"
        height = self.height or f"{shown.length.say(abs(self.travel), digits=shown.coarse)} {way}"
        roll = f", rolled {DEGREES.say(self.roll, signed=True, digits=1)}" if self.roll else ""
        speed = f", at {shown.speed.say(self.road_speed)}" if at_speed else ""
        return f"{height}{roll}, {self.case}{speed}"
