"""What rules look at on joints: angles of single joints and of pairs, and angle times speed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.judge.part import Array, Part, States, some_states, values_of
from sim.measure.measurements import Measurements

RPM = 60 / (2 * np.pi)
CONSTANT = ("constant velocity", "double cardan")

# Largest operating angle against shaft speed [rpm], [deg]: Spicer DSIG-3311/J3311 as quoted
# second-hand.  Outside the table its ends are carried on at the same speed times angle.
TABLE_SPEED = np.array([1500.0, 2000.0, 2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0])
TABLE_ANGLE = np.array([11.5, 8.7, 7.0, 5.8, 5.0, 4.2, 3.7, 3.2])


def allowed_angle(speed: Array) -> Array:
    """Return the largest operating angle that the published table allows at a shaft speed.

    Args:
        speed: Shaft speed [rad/s], above 0, any shape.

    Returns:
        Angle [deg], same shape.

    Source:
        Spicer DSIG-3311/J3311, largest operating angles, as quoted second-hand.
    """
    rpm = speed * RPM
    within = np.clip(rpm, TABLE_SPEED[0], TABLE_SPEED[-1])
    return np.asarray(np.interp(within, TABLE_SPEED, TABLE_ANGLE) * within / rpm)


def yokes_at_their_limit(m: Measurements, chosen: States) -> list[Part]:
    """Angle of every joint with crosses [deg] against the angle at which its yokes touch."""
    return _at_their_limit(m, chosen, ("universal", "double cardan"))


def constant_velocity_at_its_limit(m: Measurements, chosen: States) -> list[Part]:
    """Angle of every other constant velocity joint [deg] against the angle at which it binds."""
    return _at_their_limit(m, chosen, ("constant velocity",))


def flexible_at_its_limit(m: Measurements, chosen: States) -> list[Part]:
    """Angle of every flexible coupling [deg] against the angle that its rubber stands."""
    return _at_their_limit(m, chosen, ("flexible",))


def joint_torque(m: Measurements, chosen: States) -> list[Part]:
    """Torque [N m] through every joint whose rated torque the scene gives, either way."""
    torque = np.array([abs(state.shaft_torque) for state in m.states])
    return [
        replace(values_of(f"joint {number}", m, chosen, torque), limit=float(joint.rated_torque))
        for number, joint in enumerate(m.configuration.joints, start=1)
        if joint.rated_torque is not None
    ]


def universal_joints(m: Measurements, chosen: States) -> list[Part]:
    """Angle of every universal joint [deg]."""
    return _joints(m, chosen, range(len(m.configuration.joints)))


def odd_joint(m: Measurements, chosen: States) -> list[Part]:
    """Angle of the front joint of a two-piece shaft [deg]: two joints pair behind it.

    The published light-duty sentence is about this joint only ("front propeller shaft as an
    extension of the output").
    """
    return _joints(m, chosen, range(1) if len(m.configuration.shafts) == 2 else range(0))


def coupling_joints(m: Measurements, chosen: States) -> list[Part]:
    """Angle at the front end of every shaft that a bearing carries [deg].

    The published heavy-duty sentence names "the input end of each coupling shaft", however many.
    """
    return _joints(m, chosen, range(len(m.configuration.bearings)))


def coupling_joints_of_three(m: Measurements, chosen: States) -> list[Part]:
    """The same with three or more shafts [deg], which no light-duty sentence is about."""
    return coupling_joints(m, chosen) if len(m.configuration.shafts) > 2 else []


def paired_joints(m: Measurements, chosen: States) -> list[Part]:
    """Angle of the last two joints [deg], those of the last shaft."""
    count = len(m.configuration.joints)
    return _joints(m, chosen, range(count - 2, count))


def constant_velocity_joints(m: Measurements, chosen: States) -> list[Part]:
    """Angle of every constant velocity joint, double Cardan ones too [deg]."""
    return _joints(m, chosen, range(len(m.configuration.joints)), CONSTANT)


def lone_universal_joint(m: Measurements, chosen: States) -> list[Part]:
    """Angle of the only universal joint beside constant velocity joints [deg]."""
    kinds = [joint.kind for joint in m.configuration.joints]
    alone = kinds.count("universal") == 1 and any(kind in CONSTANT for kind in kinds)
    return universal_joints(m, chosen) if alone else []


def pair_difference(m: Measurements, chosen: States) -> list[Part]:
    """Difference of the angles of the last shaft's two universal joints [deg]."""
    if any(joint.kind != "universal" for joint in m.configuration.joints[-2:]):
        return []
    last = np.rad2deg(m.joint_angle[chosen][:, -2:])
    count = len(m.configuration.joints)
    return [
        Part(
            where=f"joints {count - 1} and {count}",
            values=np.abs(last[:, 0] - last[:, 1]),
            states=some_states(m, chosen),
        )
    ]


def pair_difference_one_piece(m: Measurements, chosen: States) -> list[Part]:
    """The same, for one shaft only [deg]."""
    return pair_difference(m, chosen) if len(m.configuration.shafts) == 1 else []


def pair_difference_more_pieces(m: Measurements, chosen: States) -> list[Part]:
    """The same, behind at least one center bearing [deg]."""
    return pair_difference(m, chosen) if len(m.configuration.shafts) > 1 else []


def angle_times_speed(m: Measurements, chosen: States) -> list[Part]:
    """Speed times angle of every universal joint [rpm deg], where it uses most of its allowance."""
    turns = chosen[m.shaft_speed[chosen] > 0]
    if not turns.size:
        return []
    rpm = m.shaft_speed[turns] * RPM
    allowed = allowed_angle(m.shaft_speed[turns])
    parts = []
    for part in universal_joints(m, turns):
        worst = int(np.argmax(part.values / allowed))
        parts.append(
            Part(
                where=part.where,
                values=(part.values * rpm)[worst : worst + 1],
                states=(m.states[turns[worst]],),
                at_speed=True,
                limit=float(allowed[worst] * rpm[worst]),
            )
        )
    return parts


def _joints(
    m: Measurements, chosen: States, numbers: range, kinds: tuple[str, ...] = ("universal",)
) -> list[Part]:
    """Return the angles of joints of some kinds [deg]; a rule for one kind skips the others."""
    return [
        values_of(f"joint {index + 1}", m, chosen, np.rad2deg(m.joint_angle[:, index]))
        for index in numbers
        if m.configuration.joints[index].kind in kinds
    ]


def _at_their_limit(m: Measurements, chosen: States, kinds: tuple[str, ...]) -> list[Part]:
    """Return the angles of joints of some kinds [deg], each against its own limit."""
    parts = []
    for part in _joints(m, chosen, range(len(m.configuration.joints)), kinds):
        number = int(part.where.removeprefix("joint "))
        reading = m.configuration.readings.get(f"joint.{number}.largest_angle")
        limit = float(np.rad2deg(m.configuration.joints[number - 1].largest_angle))
        own = reading is not None and reading.status == "measured"
        parts.append(replace(part, limit=limit, own=own))
    return parts
