"""Only numbers: speed ratios, joint angles and slip, without frames for pictures.

``ratios_angles_slip`` is the lean path; ``solve`` gives the same numbers with every pin, and
``separable.separable_ratio`` the pinion's ratio alone, much faster.  tests/bench measures the three
beside another engine's forward kinematics.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.frames import angle_between
from sim.motion.joints import kinds_of, phases_of, pin_planes, shares_of
from sim.motion.postures import Postures
from sim.motion.separable import speed_waves
from sim.scene.parts import Configuration

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeanMotion:
    """Numbers of a motion.

    Attributes:
        speed_ratio: Speed of every member over that of the output [-], shape (M, S, T): here
            members come first.
        joint_angle: True joint angles [rad], shape (S, J).
        slip: Slip of the spline that follows the axle [m], shape (S,).
    """

    speed_ratio: Array
    joint_angle: Array
    slip: Array


def ratios_angles_slip(
    configuration: Configuration, held: Postures, turn_angle: ArrayLike
) -> LeanMotion:
    """Return speed ratios of all members, joint angles and slip.

    Args:
        configuration: Its joints and phases.
        held: Postures of the S states, from ``postures``.
        turn_angle: Rotation of the output [rad], shape (T,).

    Returns:
        The numbers, equal to those of ``solve`` to rounding.

    Example:
        >>> from sim.scene.reader import load_scene
        >>> truck = load_scene("scenes/orchard_service_truck.toml").configuration("two-piece")
        >>> from sim.motion.postures import postures
        >>> held = postures(truck, [-0.05, 0.0, 0.05])
        >>> ratios_angles_slip(truck, held, [0.0, 1.0]).speed_ratio.shape
        (4, 3, 2)
    """
    theta = np.asarray(turn_angle, float)
    planes = pin_planes(
        held.axis, phases_of(configuration), kinds_of(configuration), shares_of(configuration)
    )
    waves = speed_waves(planes)
    doubled = np.stack([np.ones_like(theta), np.cos(2 * theta), np.sin(2 * theta)])
    states, joints, _ = waves.shape
    ratio = np.ones((joints + 1, states, len(theta)))
    for joint in range(joints):
        np.matmul(waves[:, joint], doubled, out=ratio[joint + 1])
    np.reciprocal(ratio[1:], out=ratio[1:])
    angle = angle_between(held.axis[:, :-1], held.axis[:, 1:])
    return LeanMotion(speed_ratio=ratio, joint_angle=angle, slip=held.slip)
