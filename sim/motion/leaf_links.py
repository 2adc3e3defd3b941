"""One leaf spring as links in side view: geometry, derivatives with slope, hinge springs.

Seat direction t = (cos σ, −sin σ), normal n = (sin σ, cos σ), (aft, up).  The hinges sit on the
seat's tangent; front arm to the front eye, rear arm to the rear eye on the shackle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.motion.frames import cos_sin
from sim.scene.parts import LeafSprings, Vector

HANGING, STANDING = 1.0, -1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafPose:
    """One spring at a height and slope; all of shapes that broadcast."""

    front: Array  # slope of the front arm [rad]
    rear: Array  # slope of the rear arm [rad]
    front_slope: Array  # its derivative with seat slope at fixed height [-]
    rear_slope: Array  # the same of the rear arm
    # derivatives of both with height at fixed slope [rad/m]: few ask for them
    rises: Callable[[], tuple[Array, Array]]
    aft: Array  # aft place of the axle center [m], and ``aft_slope``, its derivative [m/rad]
    aft_slope: Array
    slope: Array  # seat slope [rad]
    arm_reach: Array  # drop of the front arm over its length [-]; it reaches below 1
    span: Array  # rear hinge to shackle pivot [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreeLinks:
    """Fixed numbers of one spring; arrays of samples where the springs are samples."""

    eye: tuple[Any, Any]  # front eye, (aft, up) [m]
    pivot: tuple[Any, Any]  # of the shackle, (aft, up) [m]
    ahead: Any  # seat center to front hinge [m]
    behind: Any  # seat center to rear hinge [m]
    seat: Any  # seat above the axle center [m]
    front_arm: Any  # length [m]
    rear_arm: Any  # length [m]
    shackle: Any  # length [m]
    side: float  # +1 for a hanging shackle, −1 for a standing one
    stiffness: tuple[Any, Any] = (0.0, 0.0)  # of the front and rear hinge [N m/rad]
    preload: tuple[Any, Any] = (0.0, 0.0)  # torque of the front and rear hinge at ride height [N m]
    angle_at_ride: tuple[Any, Any] = (0.0, 0.0)  # hinge angles at ride height [rad]

    def pose(self, height: Array, slope: Array) -> LeafPose:
        """Return the spring at a height of the axle center [m] and a seat slope [rad].

        Out of reach it returns the nearest pose and says so in ``arm_reach`` and ``span``.
        """
        cos, sin = cos_sin(slope)
        ahead, rise = self.ahead * cos, self.ahead * sin  # from the seat center to the front hinge
        lean, seat = self.seat * sin, self.seat * cos  # from the axle center to the seat center
        z1 = height + seat + rise
        reach = (self.eye[1] - z1) / self.front_arm
        sin1 = np.minimum(np.maximum(reach, -1), 1)
        cos1 = np.maximum(np.sqrt(1 - sin1**2), 1e-9)
        far = self.front_arm * cos1
        x1 = self.eye[0] + far
        whole = self.ahead + self.behind
        back, down = whole * cos, whole * sin
        dx, dz = self.pivot[0] - (x1 + back), self.pivot[1] - (z1 - down)
        square = dx**2 + dz**2
        span = np.sqrt(square)
        bend = (self.rear_arm**2 + square - self.shackle**2) / (2 * self.rear_arm * span)
        # cosine of the angle between the rear arm and the span
        bend = np.minimum(np.maximum(bend, -1), 1)
        lift = self.side * np.sqrt(1 - bend**2)
        cos2, sin2 = (dx * bend + dz * lift) / span, (dx * lift - dz * bend) / span
        wx = (self.rear_arm * cos2 - dx) / self.shackle
        wz = (-self.rear_arm * sin2 - dz) / self.shackle
        lever = wx * sin2 + wz * cos2
        turned = self.rear_arm * np.where(np.abs(lever) < 1e-9, 1e-9, lever)
        # derivatives with slope at fixed height
        front_slope = -(ahead - lean) / far
        turn = -self.front_arm * front_slope
        x1_slope, z1_slope = turn * sin1, turn * cos1
        return LeafPose(
            front=np.arcsin(sin1),
            rear=np.arctan2(sin2, cos2),
            front_slope=front_slope,
            rear_slope=(wx * (x1_slope - down) + wz * (z1_slope - back)) / turned,
            rises=lambda: (-1 / far, (wx * sin1 / cos1 + wz) / turned),
            aft=x1 + ahead - lean,
            aft_slope=x1_slope - rise - seat,
            slope=slope,
            arm_reach=np.abs(reach),
            span=span,
        )

    def hinge_torque(self, pose: LeafPose, more: tuple[Any, Any] = (0.0, 0.0)) -> Array:
        """Return the torque of the hinges against a nose-up turn at fixed height [N m].

        Both hinges may carry some torque more [N m], whatever their angle.
        """
        front, rear = self.angles(pose)
        front_torque = self.preload[0] + self.stiffness[0] * (front - self.angle_at_ride[0])
        rear_torque = self.preload[1] + self.stiffness[1] * (rear - self.angle_at_ride[1])
        front_torque, rear_torque = front_torque + more[0], rear_torque + more[1]
        turns = front_torque * (pose.front_slope - 1) + rear_torque * (pose.rear_slope - 1)
        return np.asarray(turns)

    def angles(self, pose: LeafPose) -> tuple[Array, Array]:
        """Return the angles of the front and rear hinge [rad]."""
        return pose.front - pose.slope, pose.rear - pose.slope


def carrying(pose: LeafPose, load: Any) -> tuple[Any, Any]:
    """Return torques of the hinges that do not turn the seat and together carry a load [N]."""
    front_turn, rear_turn = pose.front_slope - 1, pose.rear_slope - 1
    front_rise, rear_rise = pose.rises()
    share = load / (front_turn * rear_rise - rear_turn * front_rise)
    return -rear_turn * share, front_turn * share


def three_links(springs: LeafSprings, axle: Vector) -> ThreeLinks:
    """Return the links of one spring whose axle sits exactly where it was entered.

    Source:
        Rates of the halves as cantilevers clamped at the seat; derived in DEVELOPERS.md.
    """
    ahead = (1 - springs.arm_fraction) * springs.front_half
    eye = _side(springs.front_eye)
    aft, up = _side(axle)
    hinge = (aft - ahead, up + springs.seat_height)
    bare = ThreeLinks(
        eye=eye,
        pivot=_side(springs.shackle_pivot),
        ahead=ahead,
        behind=(1 - springs.arm_fraction) * springs.rear_half,
        seat=springs.seat_height,
        front_arm=np.hypot(hinge[0] - eye[0], hinge[1] - eye[1]),
        rear_arm=springs.arm_fraction * springs.rear_half,
        shackle=springs.shackle,
        side=HANGING if springs.shackle_kind == "hanging" else STANDING,
    )
    return _with_springs(bare, springs, up)


def _side(point: Vector) -> tuple[Any, Any]:
    """Return aft and up of a point."""
    return point[..., 0], point[..., 2]


def _with_springs(bare: ThreeLinks, springs: LeafSprings, height: Any) -> ThreeLinks:
    """Return the links with hinge stiffness, and the preload of ride height."""
    a, b, ratio = springs.front_half, springs.rear_half, springs.half_rates
    front_rate = springs.rate * (b**2 + ratio * a**2) / (a + b) ** 2
    ride = bare.pose(np.asarray(height), np.array(0.0))
    front, rear = bare.angles(ride)
    return replace(
        bare,
        stiffness=(front_rate * bare.front_arm**2, front_rate / ratio * bare.rear_arm**2),
        preload=carrying(ride, springs.load),
        angle_at_ride=(front, rear),
    )
