"""Motion: where everything is, in every state, over a turn of the output.

``solve`` (exact) and ``world.simulate`` (rigid bodies) both return this noun.  Letters of shapes:
S states, T output angles over one turn, N shafts, J = N + 1 joints, M = N + 2 members (output,
shafts from the front, pinion).  K is 1 where the posture is held exactly while the shafts turn
(``solve``), or T where the engine was read at every angle (``simulate``).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal

import numpy as np

from sim.arrays import Array
from sim.motion.states import State
from sim.scene.parts import Configuration

# What designs near by may start from in the same states, each of shape (S,); or (S, 1) for many of
# them at once.  Empty: every state is followed from ride height.
Start = tuple[Array, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reference:
    """Lengths in the reference posture: ride height, no roll, no torque, output at rest.

    Of B designs each number may be an array of shape (B,), behind the parts.
    """

    length: Array  # joint center to joint center of every shaft as built [m], (N,)
    to_joint: Array  # bearing center to the joint behind it [m], (N − 1,)
    # force of the shafts' weight on every bearing, which stands in the places that were read [N],
    # vehicle axes, (N − 1, 3); 0 where a place is planned, which no shaft weighed on
    weight: Array
    # slip of the reference posture against the spline's marks [m]; 0 unless the shafts were cut for
    # another configuration
    slip: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Where the shafts hang."""

    joint_center: Array  # joint centers [m], (..., J, 3)
    axis: Array  # unit axes of all members, pointing aft, (..., M, 3)
    slip: Array  # slip of the spline that follows the axle [m], drawing apart positive, (...)
    output_slip: Array  # slip of a slip yoke on the output ahead of a bearing [m], (...)
    bearing_center: Array  # where the bearings sit on their shafts [m], (..., N − 1, 3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Motion:
    """Positions, axes, pins and speed ratios of one configuration; arrays are read-only.

    Attributes:
        configuration: Whose motion it is.
        route: "solve" or "simulate".
        states: The S states.
        reference: Lengths in the reference posture.
        turn_angle: Rotation θ of the output [rad], shape (S, T); 0 with its pin horizontal.
        joint_center: Joint centers [m], shape (S, K, J, 3).
        axis: Unit axes of all members, pointing aft, shape (S, K, M, 3).
        slip: Slip of the spline that follows the axle [m], shape (S, K), drawing apart positive.
        output_slip: Slip of a slip yoke on the output ahead of a bearing [m], shape (S, K); 0
            without one.
        bearing_center: Where the bearings sit on their shafts [m], shape (S, K, N − 1, 3); off the
            place that the scene gives by what their rubber gives way.
        axle_center: Axle center [m], shape (S, 3).
        axle_rotation: Rotation of the axle from ride height, vehicle axes, shape (S, 3, 3).
        wrap: Pinion turn by torque at the same travel [rad], nose up positive, shape (S,).
        driving_pin, driven_pin: Unit pins of every joint, shape (S, T, J, 3).
        speed_ratio: Speed of every member over that of the output [-], shape (S, T, M).
        start: What designs near by may start from in the same states; empty of an engine.
    """

    configuration: Configuration
    route: Literal["solve", "simulate"]
    states: tuple[State, ...]
    reference: Reference
    turn_angle: Array
    joint_center: Array
    axis: Array
    slip: Array
    output_slip: Array
    bearing_center: Array
    axle_center: Array
    axle_rotation: Array
    wrap: Array
    driving_pin: Array
    driven_pin: Array
    speed_ratio: Array
    start: Start = ()

    def __repr__(self) -> str:
        states, angles = self.turn_angle.shape
        return (
            f"Motion({self.configuration.name!r}, {self.route}, {states} states, {angles} angles)"
        )

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, np.ndarray):
                value.setflags(write=False)
