"""Numbers: what rules look at, of many designs at once.

One design is a batch of one; nothing here knows whether a row is a design of its own or one sample
of what readings allow.  Letters of shapes: B designs of one structure, S states, N shafts,
J = N + 1 joints, M = N + 2 members, P pairs of a part and an obstacle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from sim.arrays import Array, Marks
from sim.errors import DomainError
from sim.measure.clearance.result import Clearance
from sim.motion.motion import Start
from sim.motion.states import State
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Deep:
    """Numbers that cost more: beam whirl, shake where it is met, torque, life, clearance."""

    beam_speed: Array  # critical speed of every shaft by the beam model [rad/s], (B, N)
    bearing_mode: Array  # of every bearing on its rubber, with its shafts [rad/s], (B, N − 1)
    # where joints meet the bounce of a bearing at launch, (B, S, N − 1): road speed [m/s], force
    # into its bracket [N], swing in its rubber [m]; 0 in other states
    bounce_speed: Array
    bounce_force: Array
    bounce_swing: Array
    # of the joints at half of every critical speed, where that is in reach, with the usual, a
    # large and a small loss of a tube (``peaks``), at every place [N], (B, 3, N, N + 1)
    half_critical_force: Array
    yield_torque: Array  # at which every tube yields or buckles [N m], (B, N)
    life: Array  # of the joints' bearings under the duty [s], inf where nothing wears, (B, J)
    life_distance: Array  # the same as distance driven [m], (B, J)
    # part, obstacle (or "ground") and whether the part's size is known, of ``clearance``
    pairs: tuple[tuple[str, str, bool], ...]
    clearance: Array  # distance at the posture [m], negative where bodies overlap, (B, S, P)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Apart:
    """Clearance alone, of parts whose size the scene gives."""

    pairs: tuple[tuple[str, str, bool], ...]  # part, obstacle (or "ground"), True
    clearance: Array  # distance at the posture [m], negative where bodies overlap, (B, S, P)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Numbers:
    """Numbers of B designs in S states; every array is read-only.

    Attributes:
        configuration: What the designs are; its numbers are floats or arrays, (B,) or (B, 3).
        states: The states, as they stand in the first design.
        lost: Whether a state cannot be reached; its numbers mean nothing then, shape (B, S).
        slope: Slope of every member [rad], shape (B, S, M).
        joint_angle: True joint angle [rad], shape (B, S, J).
        slip, gap, engaged: Of the spline that follows the axle [m], shape (B, S).
        wrap: Turn of the pinion by torque at the same travel [rad], shape (B, S).
        fluctuation: Of every member behind a joint, peak to peak [-], shape (B, S, J).
        residual_angle: Angle of the one joint that would shake the pinion as much [rad], (B, S).
        torsional: Acceleration of the pinion at steady output [rad/s²], shape (B, S).
        inertial_drive, inertial_coast: Of every shaft, at steady output and at steady pinion
            [rad/s²], shape (B, S, N).
        in_line: Fluctuation of the pinion with the yokes of each shaft in line [-], (B, S, N).
        matched_phase: Phase that would suit each shaft's two joint planes [rad], (B, S, N).
        shaft_speed, road_speed: Of the state [rad/s], [m/s], shape (B, S).
        shaft_torque, wheel_torque: Of the state [N m], shape (B, S).
        travel: Of both wheels [m], shape (B, S).
        length: Joint center to joint center of every shaft [m], shape (B, S, N).
        critical_speed: Of every shaft by the published form, at its longest while it turns
            [rad/s], shape (B, N).
        deep: What costs more, or None where it was not asked for.
        apart: Clearance where only that was asked for beyond the rest, else None.
        near: Clearances between the states too, per obstacle (the ground last), part and torque
            case, of one design whose continuous motion was followed; else none.
        start: What designs near by may start from in the same states, of one design.
    """

    configuration: Configuration
    states: tuple[State, ...]
    lost: Marks
    slope: Array
    joint_angle: Array
    slip: Array
    gap: Array
    engaged: Array
    wrap: Array
    fluctuation: Array
    residual_angle: Array
    torsional: Array
    inertial_drive: Array
    inertial_coast: Array
    in_line: Array
    matched_phase: Array
    shaft_speed: Array
    road_speed: Array
    shaft_torque: Array
    wheel_torque: Array
    travel: Array
    length: Array
    critical_speed: Array
    deep: Deep | None = None
    apart: Apart | None = None
    near: tuple[Clearance, ...] = ()
    start: Start = ()

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, np.ndarray):
                value.setflags(write=False)

    def start_in(self, states: Sequence[State]) -> Start:
        """Return what designs near by may start from in some states; none if one is lost.

        Raises:
            DomainError: If there are no states, or others than those of the numbers.
        """
        number = {state: number for number, state in enumerate(self.states)}
        some = [number[state] for state in states if state in number]
        if not states or len(some) < len(states):
            raise DomainError("near goes with states, each one of those that it was worked out in")
        return () if self.lost.any() else tuple(column[some] for column in self.start)

    def __repr__(self) -> str:
        designs, states = self.lost.shape
        return f"Numbers({self.configuration.name!r}, {designs} designs, {states} states)"
