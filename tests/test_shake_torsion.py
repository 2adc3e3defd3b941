"""Torque that the joints leave in the shafts, against rotors written down one by one here."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import samples

from sim.explore.shaken import shake_of
from sim.measure.shake.couples import joint_waves, polar_inertia
from sim.measure.shake.torsion import twist_torque, uneven_torque
from sim.measure.torsional_modes import rotors_of
from sim.motion.solve import solve
from sim.scene.parts import Torsion
from sim.scene.reader import load_scene

INERTIA, STIFFNESS, LOSS, HELD = np.array([2.0, 0.3, 0.5]), np.array([3e4, 5e4]), 0.04, 4e3
ERRORS = np.array([1e-3, 0.5e-3 + 0.2e-3j, -0.7e-3j])
SPEEDS = np.array([10.0, 200.0, 330.0, 700.0])  # [rad/s]
TYPICAL = Torsion(  # a truck's engine in first gear: common practice, no source
    engine_inertia=0.35, axle_inertia=0.05, half_shaft_stiffness=30e3, gear=4.17
)


@pytest.mark.parametrize("omega", SPEEDS)
def test_two_free_rotors_swing_as_the_closed_form_says(omega):
    # T = k e / (1 − (k/ω²)(1/J1 + 1/J2)), from −ω² J θ = ∓T at both rotors and T = k (θ1 + e − θ2)
    stiff = 3e4 * (1 + 0.02j)
    joints = np.array([1e-3, 0.5e-3 + 0.2e-3j])
    expected = stiff * joints.sum() / (1 - stiff / omega**2 * (1 / 2.0 + 1 / 0.5))
    found = twist_torque([2.0, 0.5], [3e4], 0.02, joints, omega)
    assert found == pytest.approx([abs(expected)], rel=1e-12)


def by_hand(omega: float, held: float) -> np.ndarray:
    """Return the torques of three rotors, balanced one by one.

    Unknown are the rotors' swings and the torques: each rotor by what acts on it, each shaft by
    what its ends turn.  The last rotor stands behind its joint, the others ahead of theirs.
    """
    j1, j2, j3 = INERTIA * omega**2
    k1, k2 = STIFFNESS * (1 + 1j * LOSS)
    e1, e2, e3 = ERRORS
    balance = np.array(
        [
            [-j1, 0, 0, 1, 0],
            [0, -j2, 0, -1, 1],
            [0, 0, held - j3, 0, -1],
            [-1, 1, 0, 1 / k1, 0],
            [0, -1, 1, 0, 1 / k2],
        ]
    )
    return np.abs(np.linalg.solve(balance, [0, 0, 0, e1, e2 + e3])[3:])


@pytest.mark.parametrize("held", [0.0, HELD])
@pytest.mark.parametrize("omega", SPEEDS)
def test_three_rotors_swing_as_their_balance_says(omega, held):
    found = twist_torque(INERTIA, STIFFNESS, LOSS, ERRORS, omega, held)
    np.testing.assert_allclose(found, by_hand(omega, held), rtol=1e-11)


def test_many_rows_at_many_speeds_are_each_as_alone():
    held = np.array([0.0, HELD])
    found = twist_torque(
        np.broadcast_to(INERTIA, (2, 1, 3)), STIFFNESS, LOSS, ERRORS, SPEEDS, held[:, None]
    )
    expected = [[by_hand(omega, tie) for omega in SPEEDS] for tie in held]
    np.testing.assert_allclose(found, expected, rtol=1e-11)


def at_launch(made) -> np.ndarray:
    """Return the members' axes in a hard launch at ride height, (1, M, 3)."""
    motion = solve(made)
    labels = [state.label for state in motion.states]
    return motion.axis[[labels.index("ride height, hard launch")], 0]


def test_one_joint_turns_unevenly_by_a_quarter_of_its_angle_squared():
    # tan φ2 = tan φ1 / cos β, so φ2 − φ1 = (β²/4) sin 2φ1 + …: any text on universal joints.
    made = samples.one_piece()
    axis = at_launch(made)
    error = joint_waves(made, axis, polar_inertia(made, np.array([[1.9]]))).error[0, -1]
    angle = np.arccos(axis[0, -2] @ axis[0, -1])
    assert abs(error) == pytest.approx(2 * np.log(1 / np.cos(angle / 2)), rel=5e-3)
    assert abs(error) == pytest.approx(angle**2 / 4, rel=5e-3)


WRAP_HELD = replace(samples.TRUCK_SPRINGS, wrap_control=1700 / samples.DEG)


@pytest.mark.parametrize("make", [samples.one_piece, samples.two_piece])
def test_a_truck_swings_as_its_rotors_do(make):
    made = make(torsion=TYPICAL)
    length, speed = solve(made).reference.length[None], np.array([[30.0, 140.0]])
    waves = joint_waves(made, at_launch(made), polar_inertia(made, length))
    found = uneven_torque(made, length, waves.error[:, None], speed, 0.02)
    polar = [np.pi / 32 * (s.tube.outside**4 - s.tube.inside**4) for s in made.shafts]
    half = 7850 * np.array(polar) * length[0] / 2
    inertia = np.append(half, 0) + np.insert(half, 0, 0)
    inertia[0] += 0.35 * 4.17**2
    inertia[-1] += 0.05
    stiffness = 79.6e9 * np.array(polar) / length[0]
    for shown, shaft_speed in zip(found[0], speed[0], strict=True):
        alone = twist_torque(
            inertia, stiffness, 0.02, waves.error[0], 2 * shaft_speed, 30e3 / 4.1**2
        )
        np.testing.assert_allclose(shown, alone, rtol=1e-9)


@pytest.mark.parametrize(
    ("made", "slow", "fast"),
    [
        # Worked out apart from this package, postures of a leaf spring model, bearings rigid.
        (samples.one_piece(torsion=TYPICAL), "11", "21"),
        (samples.two_piece(torsion=TYPICAL), "10", "16"),
        (samples.two_piece(torsion=TYPICAL, suspension=WRAP_HELD), "1.5", "2.3"),
    ],
)
def test_a_truck_at_launch_swings_as_worked_out_apart(made, slow, fast):
    made = samples.rigid(made)
    length = solve(made).reference.length[None]
    waves = joint_waves(made, at_launch(made), polar_inertia(made, length))
    speed = 2 * np.pi * 4.1 / 2.545 * np.array([[10.0, 50.0]]) / 3.6
    found = uneven_torque(made, length, waves.error[:, None], speed, 0.02)
    assert [f"{torque:.2g}" for torque in found.max(axis=-1)[0]] == [slow, fast]


def test_nothing_is_said_where_the_scene_does_not_say_what_turns_along():
    made = samples.two_piece(torsion=replace(TYPICAL, gear=None))
    assert rotors_of(made, [0.8, 1.1]) is None
    assert uneven_torque(made, np.ones((1, 2)), np.zeros((1, 1, 3)), np.ones((1, 1)), 0.02) is None


def test_rotors_of_many_designs_are_each_as_alone():
    made = samples.two_piece(torsion=TYPICAL)
    many = replace(
        made,
        torsion=replace(TYPICAL, engine_inertia=np.array([0.3, 0.4])),
        vehicle=replace(made.vehicle, axle_ratio=np.array([4.1, 3.7])),
    )
    length = np.array([[0.8, 1.1], [0.7, 1.2]])
    both = rotors_of(many, length)
    for row, (engine, ratio) in enumerate([(0.3, 4.1), (0.4, 3.7)]):
        one = replace(
            made,
            torsion=replace(TYPICAL, engine_inertia=engine),
            vehicle=replace(made.vehicle, axle_ratio=ratio),
        )
        alone = rotors_of(one, length[row])
        np.testing.assert_array_equal(both.inertia[row], alone.inertia)
        np.testing.assert_array_equal(both.stiffness[row], alone.stiffness)
        assert both.held[row] == alone.held


def test_a_shake_holds_the_torque_that_swings_where_the_scene_has_what_turns_along():
    scenes = Path(__file__).parent.parent / "scenes"
    made = load_scene(scenes / "long_three_piece_chassis.toml").configuration("two-piece")
    shake = shake_of(made, np.array([30.0]) / 3.6, ("ride height",), ("hard launch",), draws=2)
    (course,) = shake.courses
    motion = solve(made, states=[course.state])
    length = np.linalg.norm(np.diff(motion.joint_center[0, 0], axis=0), axis=-1)[None]
    waves = joint_waves(made, motion.axis[:, 0], polar_inertia(made, length))
    turns = 2 * np.pi * made.vehicle.axle_ratio / made.vehicle.tire_circumference * 30 / 3.6
    alone = uneven_torque(made, length, waves.error[:, None], np.array([[turns]]), 0.02)
    np.testing.assert_allclose(course.twist[0], alone[0], rtol=1e-9)
    truck = load_scene(scenes / "orchard_service_truck.toml").configuration("two-piece")
    assert shake_of(truck, np.array([8.0]), ("ride height",), draws=1).courses[0].twist is None
