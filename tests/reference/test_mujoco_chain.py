"""The chain against MuJoCo, a general-purpose physics engine (mujoco.org, Apache-2.0).

The engine gets hinges, a slide and points that hold them (mechanisms/bodies.py), assembled once at
ride height.  It finds every other posture and speed from its own kinematics and constraints.
"""

from __future__ import annotations

from dataclasses import replace

import mujoco
import numpy as np
import pytest
import samples
from reference.mechanisms.bodies import ChainWorld
from scipy.spatial.transform import Rotation

from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration

DEG = np.pi / 180
STEP = 1e-4  # [s]
SPEED = 0.6 * DEG / STEP  # 0.6 degrees a step: 1000 rpm
STEPS_OF_TURN = 600


def phased(configuration: Configuration, at: str, *phases: float) -> Configuration:
    shafts = tuple(
        replace(shaft, phase=phase * DEG)
        for shaft, phase in zip(configuration.shafts, phases, strict=True)
    )
    return replace(
        samples.rigid(configuration),
        shafts=shafts,
        spline=replace(configuration.spline, at=at),
        pinion=replace(configuration.pinion, plan=-0.7 * DEG),
    )


CONFIGURATIONS = {
    "one piece": phased(samples.one_piece(), "output", 8),
    "two pieces": phased(samples.two_piece(), "midship", 10, -5),
    "three pieces": phased(samples.three_piece(), "shaft", 30, 10, -5),
}
STATES = (
    # travel [m], roll [rad], wheel torque [N m]
    (-0.1, 0.0, 0.0),
    (0.07, 3 * DEG, 0.0),
    (0.0, 0.0, 6000.0),
)


@pytest.fixture(params=CONFIGURATIONS)
def configuration(request) -> Configuration:
    return CONFIGURATIONS[request.param]


@pytest.fixture(params=STATES, ids=["droop", "rolled", "launch"])
def state(request) -> State:
    travel, roll, torque = request.param
    return State(
        height="",
        case="no torque",
        travel=travel,
        roll=roll,
        wheel_torque=torque,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


def largest_angle_between(a: np.ndarray, b: np.ndarray) -> float:
    return float(np.linalg.norm(np.cross(a, b), axis=-1).max())


def joint_angles(axes: np.ndarray) -> np.ndarray:
    front, rear = axes[..., :-1, :], axes[..., 1:, :]
    return np.arctan2(np.linalg.norm(np.cross(front, rear), axis=-1), np.sum(front * rear, axis=-1))


def pinion_of(motion: Motion) -> np.ndarray:
    return motion.joint_center[0, 0, -1]


def test_the_engine_closes_its_own_loops_where_solve_puts_the_parts(configuration, state):
    theta = np.linspace(0, 2 * np.pi, 25)
    motion = solve(configuration, states=(state,), turn_angle=theta)
    world = ChainWorld(configuration)
    world.place_axle(pinion_of(motion), motion.axle_rotation[0])
    for number, angle in enumerate(theta):
        world.close(angle)
        assert world.gap() < 1e-13
        world.turn(1.0)
        # A double precision engine and a Newton iteration: 1e-12 is a few hundred roundings.
        assert np.abs(world.spins() - motion.speed_ratio[0, number]).max() < 1e-12
        assert abs(world.slip() - motion.slip[0, 0]) < 1e-12
        assert np.abs(world.axes() - motion.axis[0, 0]).max() < 1e-12


def test_free_spinning_bodies_turn_as_solve_says(configuration, state):
    held = solve(configuration, states=(state,), turn_angle=np.zeros(1))
    world = ChainWorld(configuration, step=STEP)
    rotation = Rotation.from_matrix(held.axle_rotation[0]).as_rotvec()
    world.drag_axle(pinion_of(held), rotation, steps=3000)
    world.turn(SPEED)
    theta, spins, slips, axes = [], [], [], []
    for step in range(STEPS_OF_TURN):
        mujoco.mj_step(world.model, world.data)
        if step % 5 == 0:
            mujoco.mj_forward(world.model, world.data)
            theta.append(world.data.qpos[0])
            spins.append(world.spins())
            slips.append(world.slip())
            axes.append(world.axes())
    assert theta[-1] - theta[0] > 1.9 * np.pi
    motion = solve(configuration, states=(state,), turn_angle=np.array(theta))
    ratio = np.array(spins) / np.array(spins)[:, :1]
    # The engine's constraints are soft; these bounds hold at twice the step (physics, RK4).
    assert np.abs(ratio - motion.speed_ratio[0]).max() < 1e-6
    assert np.abs(np.array(slips) - motion.slip[0]).max() < 1e-7  # 1e-4 mm
    angles = joint_angles(np.array(axes)) - joint_angles(motion.axis[0])
    assert np.rad2deg(np.abs(angles).max()) < 1e-4
    assert np.rad2deg(largest_angle_between(np.array(axes), motion.axis[0])) < 1e-4
