"""``measure``: every number that is read off one motion."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.measure.acceleration import measure_acceleration, shaft_speed
from sim.measure.angles import mean_axis, measure_angles
from sim.measure.clearance.clearance import measure_clearances
from sim.measure.contradictions import check_readings
from sim.measure.critical import measure_critical_speeds
from sim.measure.loads import measure_loads
from sim.measure.measurements import Measurements
from sim.measure.order import measure_orders
from sim.measure.ripple import fluctuation, half_turn, matched_phase, second_order, whole_turns
from sim.measure.slip import engaged_length, gap_to_bottom, measure_slip_limits
from sim.measure.spline_force import measure_spline_force
from sim.measure.strength import measure_strength
from sim.measure.whirl.whirl import measure_whirl
from sim.motion.motion import Motion

Array = NDArray[np.float64]

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
    configuration, spline = motion.configuration, motion.configuration.spline
    axis = mean_axis(motion.axis)
    angles = measure_angles(axis)
    slip = motion.slip.mean(axis=1)
    count = whole_turns(motion.turn_angle)
    turn, ratio = motion.turn_angle[:, :count], motion.speed_ratio[:, :count]
    curves = np.moveaxis(ratio, 1, -1)
    amplitude, lag = second_order(turn[:, None], curves)
    matched = matched_phase(axis)
    phase = np.array([shaft.phase for shaft in configuration.shafts])
    speed = shaft_speed(configuration.vehicle, [state.road_speed for state in motion.states])
    common = shaft_speed(configuration.vehicle, np.full(len(motion.states), COMMON_SPEED))
    own, at_common = measure_acceleration(turn, ratio, speed, common)
    near, near_curves = measure_clearances(configuration, motion.states, motion.reference)
    fastest = float(shaft_speed(configuration.vehicle, [configuration.vehicle.top_speed])[0])
    strength = measure_strength(motion, angles.joint, speed, fastest)
    longest = _longest(motion)
    sliding = measure_spline_force(motion, angles.joint)
    return Measurements(
        configuration=configuration,
        states=motion.states,
        slope=angles.slope,
        plan=angles.plan,
        joint_angle=angles.joint,
        side_angle=angles.side,
        plan_angle=angles.top,
        wrap=motion.wrap,
        slip=slip,
        gap=gap_to_bottom(spline, slip),
        engaged=engaged_length(spline, slip),
        fluctuation=fluctuation(curves),
        second_order=amplitude,
        second_order_phase=lag,
        matched_phase=matched,
        phase_error=half_turn(phase - matched),
        phase_known=_phase_known(motion, angles.joint),
        shaft_speed=speed,
        acceleration=own,
        acceleration_100=at_common,
        slip_limits=measure_slip_limits(configuration, motion.states),
        critical_speeds=measure_critical_speeds(configuration, longest),
        whirl=measure_whirl(configuration, longest),
        orders=measure_orders(motion.reference.length, spline, motion.reference.slip),
        strength=strength,
        loads=measure_loads(motion, count, speed, strength.unbalance, sliding),
        clearances=near,
        clearance_curves=near_curves,
        cross_check=check_readings(configuration),
    )


def _phase_known(motion: Motion, joint_angle: Array) -> NDArray[np.bool_]:
    """Return where both joints of a shaft are universal and bent enough to have a plane, (S, N)."""
    single = np.array([joint.kind == "universal" for joint in motion.configuration.joints])
    bent = single & (joint_angle >= STRAIGHT)
    return np.asarray(bent[:, :-1] & bent[:, 1:])


def _longest(motion: Motion) -> Array:
    """Return the largest joint-center distance of every shaft among the states that turn, (N,)."""
    turning = np.array([state.turning for state in motion.states], bool)
    if not turning.any():
        return motion.reference.length
    reach = np.linalg.norm(np.diff(motion.joint_center[turning], axis=2), axis=-1)
    return np.asarray(reach.mean(axis=1).max(axis=0))
