"""What rules look at on joints: angles of single joints and of pairs, and angle at speed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from sim.display import SHAFT_SPEED
from sim.judge.part import Array, Part, Where, in_states
from sim.measure.numbers import Numbers
from sim.scene.parts import KindOfJoint

# Largest operating angle against shaft speed: [rpm], [deg].  Printed guide in degrees and minutes,
# from memory (11°30', 8°40', 7°00', 5°50', 5°00', 4°15', 3°40', 3°15'); a drivetrain shop's page of
# 2015 quotes the same in decimals.
TABLE_SPEED = np.array([1500.0, 2000.0, 2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0])
TABLE_ANGLE = np.array([11.5, 8 + 40 / 60, 7.0, 5 + 50 / 60, 5.0, 4.25, 3 + 40 / 60, 3.25])


def allowed_angle(speed: Array) -> Array:
    """Return the largest operating angle that the table allows at a shaft speed.

    Between its rows speed times angle is interpolated; above them that of the last row holds, below
    them the angle of the first.

    Args:
        speed: Shaft speed [rad/s], 0 or more, any shape.

    Returns:
        Angle [deg], same shape.

    Source:
        Spicer DSIG-3311/J3311, largest operating angles, as quoted second-hand.
    """
    rpm = np.maximum(np.asarray(speed, float) / SHAFT_SPEED.size, TABLE_SPEED[0])
    return np.asarray(np.interp(rpm, TABLE_SPEED, TABLE_SPEED * TABLE_ANGLE) / rpm)


def universal_joints(n: Numbers) -> list[Part]:
    """Angle of every universal joint [deg]."""
    return _joints(n, range(len(n.configuration.joints)))


def odd_front_joint(n: Numbers) -> list[Part]:
    """Angle of the front joint of a two-piece shaft [deg]: two joints pair behind it.

    The published sentence is about this joint only ("front propeller shaft as an extension of the
    output").
    """
    return _joints(n, range(1)) if len(n.configuration.shafts) == 2 else []


def coupling_joints(n: Numbers) -> list[Part]:
    """Angle at the front end of every shaft that a bearing carries [deg].

    The published sentence names "the input end of each coupling shaft", however many.
    """
    return _joints(n, range(len(n.configuration.bearings)))


def paired_joints(n: Numbers) -> list[Part]:
    """Angle of every joint that has a partner [deg]: all but the odd front joint."""
    count = len(n.configuration.joints)
    return _joints(n, range(count % 2, count))


def last_two_joints(n: Numbers) -> list[Part]:
    """Angle of the last two joints [deg], those of the last shaft."""
    count = len(n.configuration.joints)
    return _joints(n, range(count - 2, count))


def constant_velocity_joints(n: Numbers) -> list[Part]:
    """Angle of every constant velocity joint, double Cardan ones too [deg]."""
    return _joints(n, range(len(n.configuration.joints)), lambda kind: kind.constant_velocity)


def lone_universal_joint(n: Numbers) -> list[Part]:
    """Angle of the only universal joint beside constant velocity joints [deg]."""
    constant = any(joint.of_kind.constant_velocity for joint in n.configuration.joints)
    universal = universal_joints(n)
    return universal if constant and len(universal) == 1 else []


def flexible_coupling_at_the_output(n: Numbers) -> list[Part]:
    """Angle of a flexible coupling in place of the first joint [deg]."""
    return _joints(n, range(1), lambda kind: kind.stopped_by == "rubber")


def last_pair_difference(n: Numbers) -> list[Part]:
    """Difference of the angles of the last shaft's two universal joints [deg]."""
    last = len(n.configuration.joints) - 1
    return [part for part in pair_differences(n) if part.where.number == last]


def pair_differences(n: Numbers) -> list[Part]:
    """Difference of the angles of two universal joints, pair by pair from the rear [deg].

    With four joints the first two pair as well ("three-piece shafts have four angles").
    """
    last = len(n.configuration.joints) - 1
    return [
        replace(
            in_states(
                n,
                Where(kind="pair", number=rear),
                np.abs(np.rad2deg(n.joint_angle[..., rear - 1] - n.joint_angle[..., rear])),
            ),
            group="pinion" if rear == last else "",
        )
        for rear in range(last, 0, -2)
        if all(j.of_kind.crosses == 1 for j in n.configuration.joints[rear - 1 : rear + 1])
    ]


def slope_difference(n: Numbers) -> list[Part]:
    """How far output and pinion are from parallel in side view [deg]."""
    apart = np.abs(np.rad2deg(n.slope[..., 0] - n.slope[..., -1]))
    return [in_states(n, Where(kind="driveline"), apart)]


def residual_angle(n: Numbers) -> list[Part]:
    """Angle of the one joint that would shake the pinion as much as all do [deg]."""
    return [in_states(n, Where(kind="pinion"), np.rad2deg(n.residual_angle))]


def angle_at_speed(n: Numbers) -> list[Part]:
    """Angle of every universal joint [deg], against what the table allows at its speed."""
    allowed = allowed_angle(n.shaft_speed)
    return [replace(part, limit=allowed) for part in universal_joints(n)]


def without_own_limit(n: Numbers) -> list[Part]:
    """Angle of every universal joint whose own limit nobody wrote [deg]."""
    return [part for part in universal_joints(n) if not _own(n, part.where.number)]


def universal_at_their_limit(n: Numbers) -> list[Part]:
    """Angle of every joint with crosses [deg] against the angle at which its yokes touch."""
    return _at_their_limit(n, "yokes")


def constant_velocity_at_their_limit(n: Numbers) -> list[Part]:
    """Angle of every other constant velocity joint [deg] against the angle at which it binds."""
    return _at_their_limit(n, "housing")


def flexible_at_their_limit(n: Numbers) -> list[Part]:
    """Angle of every flexible coupling [deg] against the angle that its rubber stands."""
    return _at_their_limit(n, "rubber")


def joint_torque(n: Numbers) -> list[Part]:
    """Torque [N m] through every joint whose rated torque the scene gives, either way."""
    return [
        replace(
            in_states(n, Where(kind="joint", number=number), np.abs(n.shaft_torque)),
            limit=_column(joint.rated_torque),
            own=True,
        )
        for number, joint in enumerate(n.configuration.joints, start=1)
        if joint.rated_torque is not None
    ]


def _single(kind: KindOfJoint) -> bool:
    """Say whether a kind is the plain universal joint."""
    return kind.crosses == 1


def _joints(
    n: Numbers, indices: Iterable[int], are: Callable[[KindOfJoint], bool] = _single
) -> list[Part]:
    """Return the angles of joints of some kinds [deg]; a rule for one kind skips the others."""
    return [
        replace(
            in_states(n, Where(kind="joint", number=i + 1), np.rad2deg(n.joint_angle[..., i])),
            group=_group(n, i),
        )
        for i in indices
        if are(n.configuration.joints[i].of_kind)
    ]


def _group(n: Numbers, index: int) -> str:
    """Return the words for a joint and its partner, counted in pairs from the rear; "" if odd."""
    front = index - (index - len(n.configuration.joints)) % 2
    return str(Where(kind="pair", number=front + 1)) if front >= 0 else ""


def _at_their_limit(n: Numbers, stop: str) -> list[Part]:
    """Return the angles of joints that the same stops [deg], each against its own limit."""
    joints = n.configuration.joints
    return [
        replace(
            part,
            limit=np.rad2deg(_column(joints[part.where.number - 1].largest_angle)),
            own=_own(n, part.where.number),
        )
        for part in _joints(n, range(len(joints)), lambda kind: kind.stopped_by == stop)
    ]


def _own(n: Numbers, joint: int) -> bool:
    """Say whether the scene gives a joint's own largest angle."""
    reading = n.configuration.readings.get(f"joint.{joint}.largest_angle")
    return reading is not None and reading.status == "measured"


def _column(value: Array | float) -> Array:
    """Return a number of the designs so that it stands beside their states, (B, 1) or (1, 1)."""
    return np.atleast_1d(np.asarray(value, float))[:, None]
