"""Where axle and pinion are, for every kind of suspension."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

import numpy as np

from sim.arrays import Array
from sim.motion.frames import (
    axis_from_slope,
    carried,
    cos_sin,
    rotation_x,
    rotation_y,
    rotation_z,
    stacked,
    vector,
)
from sim.motion.leaf import LeafPosture, leaf_posture
from sim.motion.links import links_posture
from sim.motion.measured import measured_pinion
from sim.motion.motion import Start
from sim.motion.request import Request
from sim.scene.parts import FrameMounted, LeafSprings, Links, MeasuredAxle


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AxlePosture:
    """Where the axle, or a final drive on the frame, is; the pinion rides rigidly with it."""

    center: Array  # axle center [m], (..., 3)
    rotation: Array  # from ride height, vehicle axes, (..., 3, 3)
    wrap: Array  # pinion turn by torque at the same travel [rad], nose up positive, (...)
    start: Start = ()  # what designs near by may start from


def axle_posture(request: Request, start: Start = ()) -> AxlePosture:
    """Return the axle's posture at given travel, roll and wheel torque.

    At ride height, at rest, it is exactly as the scene gives it.

    Raises:
        GeometryError: If the suspension cannot reach a state.
    """
    suspension = request.configuration.suspension
    match suspension:
        case None:
            return _as_given(request)
        case LeafSprings():
            return _on_leaf_springs(request, suspension, start)
        case Links():
            return _on_links(request, suspension, start)
        case FrameMounted():
            return _on_frame(request, suspension)
        case MeasuredAxle():
            return _as_measured(request, suspension)
    assert_never(suspension)


def pinion_of(request: Request, posture: AxlePosture) -> tuple[Array, Array]:
    """Return pinion joint centers [m] and axes [-], both (..., 3), carried by the axle."""
    pinion, axle = request.configuration.pinion, request.configuration.axle
    arm = carried(posture.rotation, pinion.point - axle)
    axis = axis_from_slope(pinion.slope, pinion.plan)
    return posture.center + arm, carried(posture.rotation, axis)


def _as_given(request: Request) -> AxlePosture:
    """Return ride height; without a suspension nothing else can be asked."""
    request.refuse_where(
        (request.travel != 0) | (request.roll != 0),
        lambda s: "the scene has no [suspension]; then only ride height can be looked at",
    )
    level = np.zeros_like(request.travel)
    center = np.broadcast_to(request.configuration.axle, (*level.shape, 3))
    return AxlePosture(center=center, rotation=rotation_y(level), wrap=level)


def _on_leaf_springs(request: Request, springs: LeafSprings, start: Start) -> AxlePosture:
    """Return the axle on leaf springs."""
    posture = leaf_posture(request, springs, start)
    center, rotation = _rolled_on_springs(request, springs, posture)
    return AxlePosture(center=center, rotation=rotation, wrap=posture.wrap, start=posture.start)


def _on_links(request: Request, links: Links, start: Start) -> AxlePosture:
    """Return the axle on links; bushings give way about the axle center."""
    aft, turn = links_posture(request, links, start)
    wrap = _wrap(request, links.wind_up)
    axle = request.configuration.axle
    center = vector(aft, axle[..., 1], axle[..., 2] + request.travel)
    rotation = _rolled_about_middle(request, rotation_y(turn + wrap))
    return AxlePosture(center=center, rotation=rotation, wrap=wrap, start=(aft, turn))


def _on_frame(request: Request, mounts: FrameMounted) -> AxlePosture:
    """Return the final drive tipped on its mounts; travel and roll do nothing."""
    wrap = _wrap(request, mounts.wind_up)
    rotation = rotation_y(wrap)
    center = mounts.mount + carried(rotation, request.configuration.axle - mounts.mount)
    return AxlePosture(center=center, rotation=rotation, wrap=wrap)


def _as_measured(request: Request, table: MeasuredAxle) -> AxlePosture:
    """Return the axle that carries the pinion as it was read; wrap about the axle center."""
    configuration = request.configuration
    ride = configuration.pinion
    point, slope, plan = measured_pinion(request, table)
    at_rest = rotation_z(plan) @ rotation_y(slope - ride.slope) @ rotation_z(-ride.plan)
    center = point - carried(at_rest, ride.point - configuration.axle)
    wrap = _wrap(request, table.wind_up)
    turned = rotation_z(plan) @ rotation_y(slope - ride.slope + wrap) @ rotation_z(-ride.plan)
    return AxlePosture(center=center, rotation=_rolled_about_middle(request, turned), wrap=wrap)


def _wrap(request: Request, wind_up: float) -> Array:
    """Return the turn by the wheel torque against a stiffness that was given, in every row."""
    return np.broadcast_to(request.wheel_torque / wind_up, request.travel.shape)


def _rolled_on_springs(
    request: Request, springs: LeafSprings, posture: LeafPosture
) -> tuple[Array, Array]:
    """Return the axle from how far aft it sits at either leaf spring.

    The axle turns nose up about its own, rolled axis: so its wheels stand as the roll says, and its
    yaw is that of the line through both springs.  The middle between both spring seats stays in
    the middle of the vehicle.

    Axle centers [m], (..., 3), and rotations from ride height, (..., 3, 3).

    Source:
        Derived in DEVELOPERS.md, roll.
    """
    apart = posture.aft[..., 1] - posture.aft[..., 0]
    roll = np.sin(request.roll), np.cos(request.roll)
    yaw = -apart / (springs.spacing * roll[1])  # its sine
    rotation = _turned((yaw, np.sqrt(1 - yaw**2)), roll, posture.turn)
    center = vector(
        posture.aft.mean(axis=-1),
        -springs.seat_height * rotation[..., 1, 2],
        request.configuration.axle[..., 2] + request.travel,
    )
    return center, rotation


def _turned(yaw: tuple[Array, Array], roll: tuple[Array, Array], turn: Array) -> Array:
    """Return yaw times roll times turn, (..., 3, 3); the first two as sine and cosine."""
    (sy, cy), (sr, cr) = yaw, roll
    ct, st = cos_sin(turn)
    aft = vector(cy * ct - sy * sr * st, sy * ct + cy * sr * st, -cr * st)
    right = vector(-sy * cr, cy * cr, sr)
    up = vector(cy * st + sy * sr * ct, sy * st - cy * sr * ct, cr * ct)
    return np.swapaxes(stacked([aft, right, up], 1), -1, -2)


def _rolled_about_middle(request: Request, rotation: Array) -> Array:
    """Return rotations of an axle that rolls about its own center, without yaw or side shift.

    Links seen from the side say nothing of where they pull sideways, so this simple form stands
    for them and for measured axles; it is exact for a roll center at the axle center.

    Source:
        Common practice, no source.
    """
    return np.asarray(rotation_x(request.roll) @ rotation)
