"""What rules look at: every quantity gives one entry per part, in the unit of its rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.measure.measurements import Measurements
from sim.measure.ripple import half_turn
from sim.motion.states import State

Array = NDArray[np.float64]
States = NDArray[np.int64]  # indices of the states in which a rule applies

MM = 1000.0
KMH = 3.6
RPM = 60 / (2 * np.pi)

# Largest operating angle against shaft speed [rpm], [deg]: Spicer DSIG-3311/J3311 as quoted
# second-hand.  Outside the table its ends are carried on at the same speed times angle.
TABLE_SPEED = np.array([1500.0, 2000.0, 2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0])
TABLE_ANGLE = np.array([11.5, 8.7, 7.0, 5.8, 5.0, 4.2, 3.7, 3.2])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """Values of one part in some states.

    Attributes:
        where: The part, as in "joint 2".
        values: In the unit of the rule, shape (L,).
        states: Label of the state of each value; "" where no state causes it.
        limit: The part's own limit, or None where the rule gives it.
        own: Whether that limit was written for this very part: then it may fail.
    """

    where: str
    values: Array
    states: tuple[str, ...]
    limit: float | None = None
    own: bool = False


Quantity = Callable[[Measurements, States], list[Part]]


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


def gap(m: Measurements, chosen: States) -> list[Part]:
    """Gap to bottoming [mm], in the states and over continuous travel."""
    more = [(s.least_gap, s.least_gap_travel, s.case) for s in m.slip_limits]
    return [_spline(m, chosen, m.gap, more)]


def engaged(m: Measurements, chosen: States) -> list[Part]:
    """Engaged length of the spline [mm], in the states and over continuous travel."""
    more = [(s.least_engaged, s.least_engaged_travel, s.case) for s in m.slip_limits]
    return [_spline(m, chosen, m.engaged, more)]


def whirl_limit(m: Measurements, chosen: States) -> list[Part]:
    """Road speed [km/h] at the share of the critical speed that may be used, against top speed."""
    top = m.configuration.vehicle.top_speed * KMH
    return [
        Part(
            where=f"shaft {critical.shaft}",
            values=np.array([critical.safe_road_speed * KMH]),
            states=("",),
            limit=top,
        )
        for critical in m.critical_speeds
    ]


def joint_over_its_limit(m: Measurements, chosen: States) -> list[Part]:
    """Angle of every joint [deg] against the angle at which it binds."""
    parts = []
    for index, joint in enumerate(m.configuration.joints):
        reading = m.configuration.readings.get(f"joint.{index + 1}.largest_angle")
        parts.append(
            Part(
                where=f"joint {index + 1}",
                values=np.rad2deg(m.joint_angle[chosen, index]),
                states=_labels(m, chosen),
                limit=float(np.rad2deg(joint.largest_angle)),
                own=reading is not None and reading.status == "measured",
            )
        )
    return parts


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
            states=_labels(m, chosen),
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
                states=part.states[worst : worst + 1],
                limit=float(allowed[worst] * rpm[worst]),
            )
        )
    return parts


def phase(m: Measurements, chosen: States) -> list[Part]:
    """How far the yokes of a shaft are from in line, or from suiting its joints' planes [deg]."""
    parts = []
    for index, shaft in enumerate(m.configuration.shafts):
        if any(joint.kind != "universal" for joint in m.configuration.joints[index : index + 2]):
            continue
        off = [abs(float(half_turn(shaft.phase)))]
        off += [
            abs(float(m.phase_error[s, index])) for s in ride_height(m) if m.phase_known[s, index]
        ]
        parts.append(_without_state(f"shaft {index + 1}", float(np.rad2deg(min(off)))))
    return parts


def bracket_skew(m: Measurements, chosen: States) -> list[Part]:
    """How far a bearing's bracket is out of square [deg]."""
    return [
        _without_state(f"bearing {number}", float(np.rad2deg(abs(bearing.skew))))
        for number, bearing in enumerate(m.configuration.bearings, start=1)
    ]


def torsional(m: Measurements, chosen: States) -> list[Part]:
    """Torsional acceleration of the pinion [rad/s²]."""
    return [_of_all("pinion", m, chosen, m.acceleration.torsional)]


def inertial_drive(m: Measurements, chosen: States) -> list[Part]:
    """Inertial acceleration under drive [rad/s²] of the shaft that has the largest."""
    return _by_shaft(m, chosen, m.acceleration.inertial_drive, m.acceleration.drive_shaft)


def inertial_coast(m: Measurements, chosen: States) -> list[Part]:
    """Inertial acceleration on the overrun [rad/s²] of the shaft that has the largest."""
    return _by_shaft(m, chosen, m.acceleration.inertial_coast, m.acceleration.coast_shaft)


def pinion_fluctuation(m: Measurements, chosen: States) -> list[Part]:
    """Speed fluctuation of the pinion behind two or more joints, peak to peak [%]."""
    return [_of_all("pinion", m, chosen, 100 * m.fluctuation[:, -1])]


CONSTANT = ("constant velocity", "double cardan")

QUANTITIES: dict[str, Quantity] = {
    "gap": gap,
    "engaged": engaged,
    "whirl limit": whirl_limit,
    "joint over its limit": joint_over_its_limit,
    "universal joints": universal_joints,
    "odd joint": odd_joint,
    "coupling joints": coupling_joints,
    "coupling joints of three or more": coupling_joints_of_three,
    "paired joints": paired_joints,
    "constant velocity joints": constant_velocity_joints,
    "lone universal joint": lone_universal_joint,
    "pair difference": pair_difference,
    "pair difference, one-piece": pair_difference_one_piece,
    "pair difference, more pieces": pair_difference_more_pieces,
    "angle times speed": angle_times_speed,
    "phase": phase,
    "bracket skew": bracket_skew,
    "torsional acceleration": torsional,
    "inertial drive acceleration": inertial_drive,
    "inertial coast acceleration": inertial_coast,
    "fluctuation of the pinion": pinion_fluctuation,
}


def ride_height(m: Measurements) -> States:
    """Return the state at ride height without torque and roll, where trade rules are read."""
    rest = m.configuration.torque_cases[0].name
    return np.flatnonzero(
        [s.height == "ride height" and s.case == rest and not s.roll for s in m.states]
    )


def other_heights(m: Measurements) -> States:
    """Return the states without torque at the scene's own named heights, as in "loaded"."""
    travel, rest = m.configuration.travel, m.configuration.torque_cases[0].name
    named = {height.name for height in (travel.heights if travel else ()) if height.turning}
    return np.flatnonzero([s.height in named and s.case == rest for s in m.states])


def _labels(m: Measurements, chosen: States) -> tuple[str, ...]:
    """Return the labels of some states."""
    return tuple(m.states[index].label for index in chosen)


def _of_all(where: str, m: Measurements, chosen: States, values: Array) -> Part:
    """Return one part's values in the chosen states."""
    return Part(where=where, values=values[chosen], states=_labels(m, chosen))


def _without_state(where: str, value: float) -> Part:
    """Return a value that no state changes."""
    return Part(where=where, values=np.array([value]), states=("",))


def _joints(
    m: Measurements, chosen: States, numbers: range, kinds: tuple[str, ...] = ("universal",)
) -> list[Part]:
    """Return the angles of joints of some kinds [deg]; a rule for one kind skips the others."""
    return [
        _of_all(f"joint {index + 1}", m, chosen, np.rad2deg(m.joint_angle[:, index]))
        for index in numbers
        if m.configuration.joints[index].kind in kinds
    ]


def _by_shaft(
    m: Measurements, chosen: States, values: Array, shaft: NDArray[np.int64]
) -> list[Part]:
    """Return the largest value over the shafts, under the name of the shaft that has it."""
    if not chosen.size:
        return []
    worst = chosen[np.argmax(values[chosen])]
    return [_of_all(f"shaft {shaft[worst]}", m, chosen, values)]


def _spline(
    m: Measurements, chosen: States, length: Array, more: list[tuple[float, float, str]]
) -> Part:
    """Return a length of the spline [mm] in the states, then at its extremes between them."""
    values = np.concatenate([length[chosen], [value for value, _, _ in more]])
    labels = _labels(m, chosen) + tuple(_nearest(m, travel, case) for _, travel, case in more)
    return Part(where="spline", values=MM * values, states=labels)


def _nearest(m: Measurements, travel: float, case: str) -> str:
    """Return the label of the state at a travel, by its name where one is within half a mm."""
    same = [s for s in m.states if s.case == case and not s.roll]
    same.sort(key=lambda s: (abs(s.travel - travel) > 0.5e-3, not s.height))
    if abs(same[0].travel - travel) <= 0.5e-3:
        return same[0].label
    return State(
        height="",
        case=case,
        travel=travel,
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    ).label
