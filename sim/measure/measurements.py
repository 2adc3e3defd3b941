"""Measurements: the numbers read off one motion, in SI units and radians."""

from __future__ import annotations

from dataclasses import dataclass

from sim.arrays import Array, Index, Marks
from sim.measure.clearance.result import ClearanceCurve
from sim.measure.contradictions import CrossCheck
from sim.measure.loads import Loads
from sim.measure.numbers import Numbers
from sim.measure.strength import Strength
from sim.measure.whirl.whirl import Whirl
from sim.motion.states import State
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipLimit:
    """A limit of the spline over continuous travel, in one torque case, found by root finding."""

    case: str  # name of the torque case
    least_gap: float  # to bottoming [m]
    least_gap_travel: float  # where it is [m]
    least_engaged: float  # engaged length [m]
    least_engaged_travel: float  # where it is [m]
    largest_slip: float  # in size, signed [m]
    largest_slip_travel: float  # where it is [m]
    # travels nearest to ride height where the gap or the engaged length reaches 0 [m], or None
    # where it does not
    bottoms_at: float | None
    pulls_out_at: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalSpeed:
    """Bending critical speed of one shaft, simple form (rigid supports, uniform tube)."""

    shaft: int  # number of the shaft, from 1
    length: float  # joint center to joint center that was used [m]
    speed: float  # critical shaft speed [rad/s]
    road_speed: float  # road speed at the critical speed [m/s]
    safe_road_speed: float  # road speed at the safe share of it [m/s]
    half_road_speed: float  # road speed at which twice-per-turn excitation meets it [m/s]
    formula: str  # name of the formula and its source


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """One shaft as it is built: what to order."""

    shaft: int  # number of the shaft, from 1
    length: float  # joint center to joint center in the reference posture [m]
    # gap and engaged length on the bench at that length [m], or None for a shaft without the spline
    bench_gap: float | None
    bench_engaged: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Acceleration:
    """Angular accelerations in every state, at a given speed."""

    torsional: Array  # of the pinion at steady output [rad/s²], (S,)
    inertial_drive: Array  # largest over the shafts at steady output [rad/s²], (S,)
    inertial_coast: Array  # the same at steady pinion [rad/s²], (S,)
    drive_shaft: Index  # that has it, from 1, (S,)
    coast_shaft: Index  # that has it, from 1, (S,)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurements:
    """Everything that is measured on one configuration.  Shapes: see ``motion.motion``.

    Attributes:
        configuration, states: Whose, and in which states.
        numbers: What rules look at, of this one design; by closed forms, whatever the route.
        slope, plan: Slope and plan angle of every member [rad], shape (S, M).
        joint_angle: True joint angle [rad], shape (S, J).
        side_angle, plan_angle: Its side-view and plan parts [rad], signed, shape (S, J).
        wrap: Turn of the pinion by torque at the same travel [rad], nose up positive, shape (S,).
        slip, gap, engaged: Of the spline that follows the axle [m], shape (S,).
        fluctuation: Peak to peak speed ratio over a turn [-], shape (S, M).
        second_order, second_order_phase: Amplitude [-] and phase ψ [rad], shape (S, M).
        matched_phase: Phase γ that would suit each shaft's two joint planes [rad], shape (S, N).
        phase_error: φ − γ, within ± 90 deg [rad], shape (S, N).
        phase_known: Whether γ means anything: both angles at least 0.5 deg, shape (S, N).
        shaft_speed: Mean shaft speed of the state [rad/s], shape (S,).
        acceleration: At that speed.
        acceleration_100: At 100 km/h in every state.
        slip_limits: Per torque case, over continuous travel; empty without travel.
        critical_speeds: Per shaft, simple form.
        whirl: Of all shafts together, beam model.
        strength: What the driveline must carry, and what carries it.
        loads: What joints, bearings and spline feel in every state.
        clearance_curves: Per obstacle and torque case, over travel.
        cross_check: How well readings taken twice agree, or None where none was.
    """

    configuration: Configuration
    states: tuple[State, ...]
    numbers: Numbers
    slope: Array
    plan: Array
    joint_angle: Array
    side_angle: Array
    plan_angle: Array
    wrap: Array
    slip: Array
    gap: Array
    engaged: Array
    fluctuation: Array
    second_order: Array
    second_order_phase: Array
    matched_phase: Array
    phase_error: Array
    phase_known: Marks
    shaft_speed: Array
    acceleration: Acceleration
    acceleration_100: Acceleration
    slip_limits: tuple[SlipLimit, ...]
    critical_speeds: tuple[CriticalSpeed, ...]
    whirl: Whirl
    as_built: tuple[AsBuilt, ...]
    strength: Strength
    loads: Loads
    clearance_curves: tuple[ClearanceCurve, ...] = ()
    cross_check: CrossCheck | None = None

    def __repr__(self) -> str:
        return f"Measurements({self.configuration.name!r}, {len(self.states)} states)"
