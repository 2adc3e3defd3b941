"""A rigid axle with one wheel up and one down."""

from __future__ import annotations

import numpy as np

from sim.arrays import Array
from sim.motion.frames import rotation_x, stacked, vector
from sim.motion.leaf import LeafPosture
from sim.motion.request import Request
from sim.scene.parts import LeafSprings


def roll_on_springs(
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
    st, ct = np.sin(turn), np.cos(turn)
    aft = vector(cy * ct - sy * sr * st, sy * ct + cy * sr * st, -cr * st)
    right = vector(-sy * cr, cy * cr, sr)
    up = vector(cy * st + sy * sr * ct, sy * st - cy * sr * ct, cr * ct)
    return np.swapaxes(stacked([aft, right, up], 1), -1, -2)


def roll_about_middle(request: Request, rotation: Array) -> Array:
    """Return rotations of an axle that rolls about its own center, without yaw or side shift.

    Links seen from the side say nothing of where they pull sideways, so this simple form stands
    for them and for measured axles; it is exact for a roll center at the axle center.

    Source:
        Common practice, no source.
    """
    return np.asarray(rotation_x(request.roll) @ rotation)
