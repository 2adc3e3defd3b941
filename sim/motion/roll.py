"""A rigid axle with one wheel up and one down."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.motion.frames import rotation_x, rotation_y, rotation_z
from sim.motion.leaf import LeafPosture
from sim.motion.request import Request
from sim.scene.parts import LeafSprings

Array = NDArray[np.float64]


def roll_on_springs(
    request: Request, springs: LeafSprings, posture: LeafPosture
) -> tuple[Array, Array]:
    """Return the axle from how far aft it sits at either leaf spring.

    The axle turns nose up about its own, rolled axis: so its wheels stand as the roll says, and its
    yaw is that of the line through both springs.  The middle between both spring seats stays in
    the middle of the vehicle.

    Args:
        request: Travel and roll of every state.
        springs: The springs.
        posture: From ``leaf_posture``.

    Returns:
        Axle center [m], shape (S, 3), and rotation from ride height, shape (S, 3, 3).

    Source:
        Derived in DEVELOPERS.md, roll.
    """
    apart = posture.aft[:, 1] - posture.aft[:, 0]
    yaw = -np.arcsin(apart / (springs.spacing * np.cos(request.roll)))
    rotation = rotation_z(yaw) @ rotation_x(request.roll) @ rotation_y(posture.turn)
    center = np.stack(
        [
            posture.aft.mean(axis=-1),
            -springs.seat_height * rotation[:, 1, 2],
            request.configuration.axle[..., 2] + request.travel,
        ],
        axis=-1,
    )
    return center, rotation


def roll_about_middle(request: Request, rotation: Array) -> Array:
    """Return rotations of an axle that rolls about its own center, without yaw or side shift.

    Links seen from the side say nothing of where they pull sideways, so this simple form stands
    for them and for measured axles; it is exact for a roll center at the axle center.

    Args:
        request: Roll of every state.
        rotation: Rotation of the axle with both wheels level, shape (S, 3, 3).

    Returns:
        Rotations with the roll, shape (S, 3, 3).

    Source:
        Common practice, no source.
    """
    return np.asarray(rotation_x(request.roll) @ rotation)
