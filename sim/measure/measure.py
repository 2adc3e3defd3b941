"""``measure``: every number that is read off one motion."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.arrays import Array, Marks
from sim.measure.acceleration import shaft_speed, unevenness_of_turn
from sim.measure.angles import mean_axis, measure_angles
from sim.measure.clearance.clearance import measure_clearances
from sim.measure.contradictions import check_readings
from sim.measure.critical import measure_critical_speeds
from sim.measure.deep import deep_numbers
from sim.measure.held import lengths_of, longest, numbers_of
from sim.measure.loads import measure_loads, measure_spline_force
from sim.measure.measurements import Measurements
from sim.measure.ripple import half_turn, second_order, whole_turns
from sim.measure.slip import as_built, measure_slip_limits
from sim.measure.strength import measure_strength
from sim.measure.waves import unevenness_of
from sim.measure.whirl.whirl import measure_whirl
from sim.motion.motion import Motion
from sim.motion.postures import Postures
from sim.motion.rows import rows_of

COMMON_SPEED = 100 / 3.6  # [m/s], so that configurations can be compared at one road speed
STRAIGHT = np.deg2rad(0.5)  # under this angle the plane of a joint means nothing


def measure(motion: Motion) -> Measurements:
    """Return everything that is measured on a motion.

    Args:
        motion: From ``solve`` or ``simulate``; its output turns through at least half a turn.

    Returns:
        Measurements in SI units and radians.  The spline's limits over continuous travel always
        come from exact postures, whatever route the motion came by.

    Raises:
        DomainError: If the output's angles are not even steps through whole half turns.
    """
    configuration = motion.configuration
    axis = mean_axis(motion.axis)
    angles = measure_angles(axis)
    uneven = unevenness_of(configuration, axis)
    rows = rows_of(configuration, motion.states)
    held = _held_of(motion, axis)
    numbers = numbers_of(configuration, motion.reference, rows, held, uneven)
    count = whole_turns(motion.turn_angle)
    curves = np.moveaxis(motion.speed_ratio[:, :count], 1, -1)
    amplitude, lag = second_order(motion.turn_angle[:, None, :count], curves)
    phase = np.array([shaft.phase for shaft in configuration.shafts])
    speed, joint_angle = numbers.shaft_speed[0], numbers.joint_angle[0]
    seen = uneven
    if motion.route == "simulate":  # what an engine turned is read off its curves
        turned = motion.turn_angle[:, :count], motion.speed_ratio[:, :count]
        seen = unevenness_of_turn(*turned)
    common = shaft_speed(configuration.vehicle, np.full(len(speed), COMMON_SPEED))
    course = configuration, motion.states, motion.reference, motion.start
    near, near_curves = measure_clearances(*course)
    fastest = float(shaft_speed(configuration.vehicle, [configuration.vehicle.top_speed])[0])
    strength = measure_strength(numbers, motion.reference, fastest)
    long = longest(motion.reference, rows, lengths_of(held))
    sliding = measure_spline_force(motion, joint_angle)
    deep = deep_numbers(numbers, rows, held, long)
    numbers = replace(numbers, near=near, deep=deep)
    return Measurements(
        configuration=configuration,
        states=motion.states,
        numbers=numbers,
        slope=numbers.slope[0],
        plan=angles.plan,
        joint_angle=joint_angle,
        side_angle=angles.side,
        plan_angle=angles.top,
        wrap=numbers.wrap[0],
        slip=numbers.slip[0],
        gap=numbers.gap[0],
        engaged=numbers.engaged[0],
        fluctuation=np.pad(2 * seen.swing, ((0, 0), (1, 0))),  # none of the steady output
        second_order=amplitude,
        second_order_phase=lag,
        matched_phase=numbers.matched_phase[0],
        phase_error=half_turn(phase - numbers.matched_phase[0]),
        phase_known=_phase_known(motion, joint_angle),
        shaft_speed=speed,
        acceleration=seen.accelerations(speed),
        acceleration_100=seen.accelerations(common),
        slip_limits=measure_slip_limits(*course),
        critical_speeds=measure_critical_speeds(configuration, long),
        whirl=measure_whirl(configuration, long),
        as_built=as_built(motion.reference.length, configuration.spline, motion.reference.slip),
        strength=strength,
        loads=measure_loads(motion, count, speed, strength.unbalance, sliding),
        clearance_curves=near_curves,
        cross_check=check_readings(configuration),
    )


def _held_of(motion: Motion, axis: Array) -> Postures:
    """Return the postures of a motion, the mean of a turn where an engine turned it."""
    return Postures(
        joint_center=motion.joint_center.mean(axis=1),
        axis=axis,
        slip=motion.slip.mean(axis=1),
        output_slip=motion.output_slip.mean(axis=1),
        bearing_center=motion.bearing_center.mean(axis=1),
        axle_center=motion.axle_center,
        axle_rotation=motion.axle_rotation,
        wrap=motion.wrap,
        start=motion.start,
    )


def _phase_known(motion: Motion, joint_angle: Array) -> Marks:
    """Return where both joints of a shaft are universal and bent enough to have a plane, (S, N)."""
    single = np.array([joint.of_kind.crosses == 1 for joint in motion.configuration.joints])
    bent = single & (joint_angle >= STRAIGHT)
    return np.asarray(bent[:, :-1] & bent[:, 1:])
