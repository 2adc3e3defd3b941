"""Parts of a vehicle: what guides its driven axle, and how far.

SI units and radians, vehicle axes; see ``parts``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafSprings:
    """Leaf springs, both alike; points of one spring in side view, (aft, 0, up) [m].

    Attributes:
        front_eye, shackle_pivot: Frame points [m], shape (3,).
        shackle: Shackle length, pivot to eye [m].
        shackle_kind: "hanging" or "standing".
        front_half, rear_half: Eye to center bolt along the spring [m].
        seat_height: Spring seat above the axle center [m]; negative for spring under axle.
        rate: Vertical rate of one spring [N/m].
        load: Sprung load on one spring at ride height [N].
        arm_fraction: Share of a half length that acts as a rigid arm [-].
        half_rates: Rate of the front half over that of the rear half [-].
        spacing: Distance of the springs, left to right [m].
        wind_up: Measured wind-up stiffness [N m/rad of wheel torque, thrust included], or None:
            then the spring's own rate and halves give it.
        wrap_control: Stiffness of a traction bar [N m/rad]; 0 without one.
    """

    front_eye: Vector
    shackle_pivot: Vector
    shackle: float
    shackle_kind: Literal["hanging", "standing"]
    front_half: float
    rear_half: float
    seat_height: float
    rate: float
    load: float
    arm_fraction: float
    half_rates: float
    spacing: float
    wind_up: float | None
    wrap_control: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Links:
    """A live axle on side-view links, (aft, 0, up) [m]; wrap from the bushings.

    Attributes:
        lower_frame, lower_axle, upper_frame, upper_axle: Link ends at ride height [m], shape (3,).
        wind_up: Wheel torque per turn of the pinion [N m/rad], thrust included.
    """

    lower_frame: Vector
    lower_axle: Vector
    upper_frame: Vector
    upper_axle: Vector
    wind_up: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameMounted:
    """A final drive in rubber on the frame, which does not move with the wheels.

    Attributes:
        mount: Point about which it tips [m], shape (3,).
        wind_up: Wheel torque per tip [N m/rad].
    """

    mount: Vector
    wind_up: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasuredAxle:
    """Any axle, followed through readings of the pinion joint at two or more heights.

    Attributes:
        travel: Axle travel of each reading [m], rising, with 0 among them; shape (R,).
        point: Pinion joint center at each [m], shape (R, 3).
        slope: Pinion slope at each [rad], shape (R,).
        plan: Pinion plan angle at each [rad], shape (R,).
        wind_up: Wheel torque per turn of the pinion [N m/rad].
    """

    travel: Vector
    point: Vector
    slope: Vector
    plan: Vector
    wind_up: float


Suspension = LeafSprings | Links | FrameMounted | MeasuredAxle


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """A named height of the axle.

    Attributes:
        name: As in "ride height", "full droop", "loaded", "parked low".
        left, right: Wheel travel from ride height [m], bump positive.
        turning: Whether the shafts may turn there; they do not when parked low.
        cases: Names of the torque cases that run there; empty means all.
        axle_load: Weight on the driven axle there [N], or None: that of the vehicle.
    """

    name: str
    left: float
    right: float
    turning: bool = True
    cases: tuple[str, ...] = ()
    axle_load: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """How far the axle goes from ride height [m], both as positive distances, and its roll.

    Attributes:
        droop, bump: To full droop and to the solid bump stop [m].
        parked_low: Up to where it parks with empty air springs [m], or None.
        roll: How far the axle rolls to each side [rad].
        heights: The named heights besides ride height, full droop, full bump and parked low.
    """

    droop: float
    bump: float
    parked_low: float | None
    roll: float
    heights: tuple[Height, ...] = ()
