"""How far the shafts sag by their weight below a bearing's height that is planned on paper.

A height that was read with the shafts in holds their weight already.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.motion.chain import ends_at_ride, hang, reference_of
from sim.motion.frames import angle_between
from sim.motion.request import reference_request
from sim.scene.parts import Configuration

RUBBER_SHARE = 0.60  # half of its band, where its stiffness has no ±; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Sag:
    """How far one bearing sags at ride height without torque, and how joint 1 changes.

    Each as the rubber is read, then at the stiff and at the soft end of its band.
    """

    bearing: int  # its number, from 1
    planned: bool  # whether its height is planned; else what it would sag if it were
    rubber_read: bool  # whether the stiffness of its rubber was read; else it is a usual one
    down: tuple[float, float, float]  # [m]
    joint_1: tuple[float, float, float]  # change of the angle at joint 1 [rad]


def sags_of(configuration: Configuration) -> tuple[Sag, ...]:
    """Return how far every bearing sags, or would, each by itself.

    Args:
        configuration: One complete vehicle with one driveline.

    Returns:
        One a bearing, from the front.

    Source:
        Statics: weight over stiffness, derived in DEVELOPERS.md, what the bearing feels.
    """
    return tuple(
        _sag(configuration, number) for number in range(1, len(configuration.bearings) + 1)
    )


def _sag(configuration: Configuration, number: int) -> Sag:
    bearing = configuration.bearings[number - 1]
    read = configuration.readings.get(f"bearing.{number}.radial")
    measured = read is not None and read.status == "measured"
    share = read.spread / read.value if read is not None and read.spread else RUBBER_SHARE
    height, straight = _stands(configuration, number, planned=False, radial=bearing.radial)
    found = [
        _stands(configuration, number, planned=True, radial=bearing.radial * (1 + off))
        for off in (0.0, share, -share)
    ]
    usual, stiff, soft = ((height - up, angle - straight) for up, angle in found)
    down, joint_1 = zip(usual, stiff, soft, strict=True)
    return Sag(
        bearing=number, planned=bearing.planned, rubber_read=measured, down=down, joint_1=joint_1
    )


def _stands(
    configuration: Configuration, number: int, *, planned: bool, radial: float
) -> tuple[float, float]:
    """Return height of the bearing [m] and angle at joint 1 [rad], at ride height at rest."""
    bearings = list(configuration.bearings)
    bearings[number - 1] = replace(bearings[number - 1], planned=planned, radial=radial)
    made = replace(configuration, bearings=tuple(bearings))
    chain = hang(reference_request(made), reference_of(made), ends_at_ride(made))
    angle = angle_between(chain.axis[0, 0], chain.axis[0, 1])
    return float(chain.bearing_center[0, number - 1, 2]), float(np.asarray(angle))
