"""The whole chain against geometry built again from crosses with perpendicular pins.

Source: the definition of a universal joint (two pins at a right angle in one cross) and of the
parts; joint centers by root finding, speeds by differentiating angles (mechanisms/crosses.py).
None of the formulas under test are used.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from reference.mechanisms.crosses import (
    Ends,
    Posture,
    assemble,
    direction,
    pins_and_places,
    reference_lengths,
    speeds,
)

from sim.measure.angles import measure_angles
from sim.measure.waves import unevenness_of
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import OutputSpline

DEG = np.pi / 180
TURN = np.linspace(0.1, 2 * np.pi + 0.1, 24, endpoint=False)
TIPPED = samples.TorqueCase(name="tipped", output_move=(0.003, -0.002, 0.006), output_tip=0.008)


def state(travel: float, roll: float = 0.0, torque: float = 0.0, case: str = "no torque") -> State:
    return State(
        height="",
        case=case,
        travel=travel,
        roll=roll,
        wheel_torque=torque,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


STATES = (
    state(-0.1),
    state(-0.03, roll=2 * DEG),
    state(0.0),
    state(0.0, torque=5000.0),
    state(0.05, torque=-1500.0, case="tipped"),
    state(0.08, roll=-3 * DEG, torque=2000.0),
)


def skewed(configuration, *phases: float):
    """Return a configuration with output and pinion askew, and yokes out of line."""
    output = replace(
        configuration.output,
        point=np.add(configuration.output.point, [0, -0.004, 0]),
        plan=0.6 * DEG,
    )
    shafts = tuple(
        replace(shaft, phase=phase * DEG)
        for shaft, phase in zip(configuration.shafts, phases, strict=True)
    )
    return replace(
        samples.rigid(configuration),
        output=output,
        pinion=replace(configuration.pinion, plan=-0.9 * DEG),
        shafts=shafts,
        torque_cases=(*configuration.torque_cases, TIPPED),
    )


def with_spline(configuration, at: str):
    return replace(configuration, spline=replace(configuration.spline, at=at))


CONFIGURATIONS = {
    "one piece, output spline": skewed(samples.one_piece(), 8),
    "one piece, spline inside": skewed(with_spline(samples.one_piece(), "shaft"), -12),
    "two pieces, midship": skewed(samples.two_piece(), 10, -5),
    "two pieces, spline inside": skewed(with_spline(samples.two_piece(), "shaft"), 0, 22.5),
    "three pieces, midship": skewed(samples.three_piece(), 0, 10, -5),
    "three pieces, spline inside": skewed(with_spline(samples.three_piece(), "shaft"), 30, 10, -5),
}


@pytest.fixture(params=CONFIGURATIONS, scope="module")
def motion(request) -> Motion:
    return solve(CONFIGURATIONS[request.param], states=STATES, turn_angle=TURN)


def ends_of(motion: Motion, number: int) -> Ends:
    """Return where output and pinion are: the pinion is part of the axle, a rigid body."""
    c, s = motion.configuration, motion.states[number]
    case = {t.name: t for t in c.torque_cases}[s.case]
    rotation = motion.axle_rotation[number]
    return Ends(
        c.output.point + np.array(case.output_move),
        direction(c.output.slope + case.output_tip, c.output.plan),
        motion.axle_center[number] + rotation @ (c.pinion.point - c.axle),
        rotation @ direction(c.pinion.slope, c.pinion.plan),
    )


def rederived(motion: Motion) -> list[Posture]:
    lengths = reference_lengths(motion.configuration)
    return [
        assemble(motion.configuration, ends_of(motion, number), lengths)
        for number in range(len(motion.states))
    ]


def test_joint_centers_are_where_bearings_and_lengths_put_them(motion):
    centers = np.array([posture.centers for posture in rederived(motion)])
    assert np.abs(motion.joint_center[:, 0] - centers).max() < 1e-12


def test_axes_are_those_of_the_hanging_shafts(motion):
    axes = np.array([posture.axes for posture in rederived(motion)])
    assert np.abs(motion.axis[:, 0] - axes).max() < 1e-12


def test_slip_is_where_a_ball_about_the_far_joint_meets_the_spline(motion):
    slips = np.array([posture.slip for posture in rederived(motion)])
    assert np.abs(motion.slip[:, 0] - slips).max() < 1e-12
    assert np.ptp(slips) > 1e-3  # the states do move the spline


def test_slip_is_nothing_in_the_reference_posture(motion):
    still = solve(motion.configuration, states=(state(0.0),), turn_angle=np.zeros(1))
    assert abs(still.slip[0, 0]) < 1e-12


def test_pins_are_where_crosses_let_them_be(motion):
    phases = [shaft.phase for shaft in motion.configuration.shafts]
    for number, posture in enumerate(rederived(motion)):
        driving, driven, _ = pins_and_places(posture, phases, TURN)
        # A pin has two ends: its direction counts, not its sense.
        for mine, theirs in ((motion.driving_pin, driving), (motion.driven_pin, driven)):
            assert np.abs(np.abs(np.sum(mine[number] * theirs, axis=-1)) - 1).max() < 1e-12
            assert np.linalg.norm(np.cross(mine[number], theirs), axis=-1).max() < 1e-12


def test_speeds_are_how_fast_the_yokes_move(motion):
    phases = [shaft.phase for shaft in motion.configuration.shafts]
    expected = np.array([speeds(posture, phases, TURN) for posture in rederived(motion)])
    # Rounding of an angle over the step of the difference leaves about 1e-13.
    assert np.abs(motion.speed_ratio - expected).max() < 1e-12
    assert np.ptp(expected[..., -1]) > 1e-3  # there is something to see


def test_closed_forms_swing_as_far_as_the_yokes_do(motion):
    c = motion.configuration
    phases = [shaft.phase for shaft in c.shafts]
    fine = np.linspace(0, np.pi, 720, endpoint=False)
    for number, posture in enumerate(rederived(motion)):
        expected = speeds(posture, phases, fine)
        uneven = unevenness_of(c, posture.axes[None])
        assert np.abs(2 * uneven.swing[0] - np.ptp(expected[:, 1:], axis=0)).max() < 1e-6
        # The angle between two unit axes from half their difference, not from a cross product.
        half = np.linalg.norm(np.diff(posture.axes, axis=0), axis=-1) / 2
        angle = measure_angles(motion.axis[number, 0]).joint
        assert np.abs(angle - 2 * np.arcsin(half)).max() < 1e-12


def test_a_double_cardan_joint_is_two_crosses_about_a_middle_yoke():
    joints = (samples.joint("double cardan"), *samples.two_piece().joints[1:])
    c = replace(skewed(samples.two_piece(), 10, -5), joints=joints)
    motion = solve(c, states=STATES, turn_angle=TURN)
    phases = [0.0, *(shaft.phase for shaft in c.shafts)]
    for number, posture in enumerate(rederived(motion)):
        front, rear = posture.axes[:2]
        middle = (front + rear) / np.linalg.norm(front + rear)
        doubled = Posture(posture.centers, np.insert(posture.axes, 1, middle, axis=0), posture.slip)
        expected = np.delete(speeds(doubled, phases, TURN), 1, axis=1)
        assert np.abs(motion.speed_ratio[number] - expected).max() < 1e-12
        driven = pins_and_places(doubled, phases, TURN)[1][:, 1]
        assert np.linalg.norm(np.cross(motion.driven_pin[number, :, 0], driven), axis=-1).max() < (
            1e-12
        )


def test_a_slip_yoke_ahead_of_a_bearing_lets_the_front_shaft_keep_its_length():
    c = replace(
        skewed(samples.two_piece(), 10, -5), output_spline=OutputSpline(gap=0.02, engaged=0.08)
    )
    motion = solve(c, states=STATES, turn_angle=TURN)
    centers = motion.joint_center[:, 0]
    # The bearing holds the front shaft along its axis: the same metal stays in it.
    ahead = np.linalg.norm(c.bearings[0].point - centers[:, 0], axis=-1)
    at_ride = np.linalg.norm(c.bearings[0].point - c.output.point)
    assert np.abs(ahead - at_ride).max() < 1e-12
    for number in range(len(STATES)):
        ends = ends_of(motion, number)
        moved = centers[number, 0] - ends.output
        assert np.abs(np.cross(moved, ends.output_axis)).max() < 1e-12
        assert abs(motion.output_slip[number, 0] - moved @ ends.output_axis) < 1e-12
    assert np.ptp(motion.output_slip) > 1e-3  # the case that moves the output moves the yoke
