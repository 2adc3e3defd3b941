"""What rules look at: every quantity gives one entry per part, in the unit of its rules."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from sim.judge import clearance_quantities as clearance
from sim.judge import joint_quantities as joints
from sim.judge import set_up_quantities as set_up
from sim.judge import strength_quantities as strength
from sim.judge import whirl_quantities as whirl
from sim.judge.part import (
    Array,
    Part,
    States,
    some_states,
    values_at_speed,
    values_of,
    without_state,
)
from sim.measure.measurements import Measurements
from sim.motion.states import State
from sim.scene.parts import plunging_joint

MM = 1000.0
KMH = 3.6

Quantity = Callable[[Measurements, States], list[Part]]


def gap(m: Measurements, chosen: States) -> list[Part]:
    """Gap to bottoming [mm], in the states and over continuous travel."""
    return [] if plunging_joint(m.configuration) else [_gap(m, chosen, "spline")]


def engaged(m: Measurements, chosen: States) -> list[Part]:
    """Engaged length of the spline [mm], in the states and over continuous travel."""
    return [] if plunging_joint(m.configuration) else [_engaged(m, chosen, "spline")]


def plunge_left(m: Measurements, chosen: States) -> list[Part]:
    """Plunge left at both ends of a joint that slides in place of a spline [mm]."""
    number = plunging_joint(m.configuration)
    if not number:
        return []
    joint = f"joint {number}"
    return [_gap(m, chosen, f"{joint}, inward"), _engaged(m, chosen, f"{joint}, outward")]


def axle_wrap(m: Measurements, chosen: States) -> list[Part]:
    """Turn of the pinion by torque [deg], either way."""
    return [values_of("pinion", m, chosen, np.rad2deg(np.abs(m.wrap)))]


def whirl_limit(m: Measurements, chosen: States) -> list[Part]:
    """Road speed [km/h] at the share of the critical speed that may be used, against top speed."""
    top = m.configuration.vehicle.top_speed * KMH
    return [
        Part(
            where=f"shaft {critical.shaft}",
            values=np.array([critical.safe_road_speed * KMH]),
            states=(None,),
            limit=top,
        )
        for critical in m.critical_speeds
    ]


def bracket_skew(m: Measurements, chosen: States) -> list[Part]:
    """How far a bearing's bracket is out of square [deg]."""
    return [
        without_state(f"bearing {number}", float(np.rad2deg(abs(bearing.skew))))
        for number, bearing in enumerate(m.configuration.bearings, start=1)
    ]


def torsional(m: Measurements, chosen: States) -> list[Part]:
    """Torsional acceleration of the pinion [rad/s²]."""
    return [values_at_speed("pinion", m, chosen, m.acceleration.torsional)]


def inertial_drive(m: Measurements, chosen: States) -> list[Part]:
    """Inertial acceleration under drive [rad/s²] of the shaft that has the largest."""
    return _by_shaft(m, chosen, m.acceleration.inertial_drive, m.acceleration.drive_shaft)


def inertial_coast(m: Measurements, chosen: States) -> list[Part]:
    """Inertial acceleration on the overrun [rad/s²] of the shaft that has the largest."""
    return _by_shaft(m, chosen, m.acceleration.inertial_coast, m.acceleration.coast_shaft)


def pinion_fluctuation(m: Measurements, chosen: States) -> list[Part]:
    """Speed fluctuation of the pinion behind two or more joints, peak to peak [%]."""
    return [values_of("pinion", m, chosen, 100 * m.fluctuation[:, -1])]


QUANTITIES: dict[str, Quantity] = {
    **clearance.QUANTITIES,
    **set_up.QUANTITIES,
    **strength.QUANTITIES,
    **whirl.QUANTITIES,
    "gap": gap,
    "engaged": engaged,
    "plunge left": plunge_left,
    "axle wrap": axle_wrap,
    "whirl limit": whirl_limit,
    "yokes at their limit": joints.yokes_at_their_limit,
    "constant velocity joint at its limit": joints.constant_velocity_at_its_limit,
    "flexible coupling at its limit": joints.flexible_at_its_limit,
    "joint torque": joints.joint_torque,
    "universal joints": joints.universal_joints,
    "odd joint": joints.odd_joint,
    "coupling joints": joints.coupling_joints,
    "coupling joints of three or more": joints.coupling_joints_of_three,
    "paired joints": joints.paired_joints,
    "constant velocity joints": joints.constant_velocity_joints,
    "lone universal joint": joints.lone_universal_joint,
    "pair difference": joints.pair_difference,
    "pair difference, one-piece": joints.pair_difference_one_piece,
    "pair difference, more pieces": joints.pair_difference_more_pieces,
    "angle times speed": joints.angle_times_speed,
    "bracket skew": bracket_skew,
    "torsional acceleration": torsional,
    "inertial drive acceleration": inertial_drive,
    "inertial coast acceleration": inertial_coast,
    "fluctuation of the pinion": pinion_fluctuation,
}


def _by_shaft(
    m: Measurements, chosen: States, values: Array, shaft: NDArray[np.int64]
) -> list[Part]:
    """Return the largest value over the shafts, under the name of the shaft that has it."""
    if not chosen.size:
        return []
    worst = chosen[np.argmax(values[chosen])]
    return [values_at_speed(f"shaft {shaft[worst]}", m, chosen, values)]


def _gap(m: Measurements, chosen: States, where: str) -> Part:
    """Return what is left to slide together [mm], in the states and over continuous travel."""
    more = [(s.least_gap, s.least_gap_travel, s.case) for s in m.slip_limits]
    return _slide(where, m, chosen, m.gap, more)


def _engaged(m: Measurements, chosen: States, where: str) -> Part:
    """Return what is left to draw apart [mm], in the states and over continuous travel."""
    more = [(s.least_engaged, s.least_engaged_travel, s.case) for s in m.slip_limits]
    return _slide(where, m, chosen, m.engaged, more)


def _slide(
    where: str,
    m: Measurements,
    chosen: States,
    length: Array,
    more: list[tuple[float, float, str]],
) -> Part:
    """Return a length of what slides [mm] in the states, then at its extremes between them."""
    values = np.array([*length[chosen], *(value for value, _, _ in more)])
    between = tuple(_nearest(m, travel, case) for _, travel, case in more)
    return Part(where=where, values=MM * values, states=some_states(m, chosen) + between)


def _nearest(m: Measurements, travel: float, case: str) -> State:
    """Return the state at a travel, by its name where one is within half a mm."""
    same = [s for s in m.states if s.case == case and not s.roll]
    same.sort(key=lambda s: (abs(s.travel - travel) > 0.5e-3, not s.height))
    if abs(same[0].travel - travel) <= 0.5e-3:
        return same[0]
    return State(
        height="",
        case=case,
        travel=travel,
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )
