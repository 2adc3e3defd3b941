"""How fast the exact routes are, beside MuJoCo's forward kinematics of the same mechanism.

One state is one height of the axle at one angle of the output.  The time is processor time of one
core; unless a line says otherwise, it includes the postures on the suspension.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import mujoco
import numpy as np
import pytest
import samples
from reference.mechanisms.bodies import ChainWorld

from sim.motion.postures import postures
from sim.motion.solve import solve
from sim.motion.states import State

HEIGHTS, ANGLES = 181, 360
TRAVEL = np.linspace(-0.09, 0.09, HEIGHTS)
TURN = np.arange(ANGLES) * (2 * np.pi / ANGLES)
MANY_HEIGHTS = np.linspace(-0.09, 0.09, 20 * HEIGHTS)

pytestmark = [
    pytest.mark.usefixtures("one_core"),
    pytest.mark.benchmark(timer=time.process_time, min_rounds=7, warmup=True),
]
FK = {}  # states per second of the other engine, measured first


def rate(benchmark: Any, states: int, work: Callable[[], object]) -> float:
    """Return states per second of the median round."""
    benchmark(work)
    return float(states / benchmark.stats.stats.median)


def beside(per_second: float) -> str:
    return f"{per_second / FK['read']:.2f} of MuJoCo's forward kinematics with reading"


@pytest.fixture(scope="module")
def chain_world() -> tuple[ChainWorld, np.ndarray]:
    world = ChainWorld(samples.two_piece())
    places = []
    for angle in TURN:
        world.close(angle)
        places.append(world.data.qpos.copy())
    return world, np.array(places)


def test_forward_kinematics_of_the_other_engine(benchmark, note, chain_world):
    world, places = chain_world
    model, data = world.model, world.data
    axes = np.empty((ANGLES, model.nbody, 9))

    def work() -> None:
        for number in range(ANGLES):
            data.qpos[:] = places[number]
            mujoco.mj_kinematics(model, data)
            axes[number] = data.xmat

    FK["read"] = rate(benchmark, ANGLES, work)
    note("MuJoCo: set joints, forward kinematics, read frames", FK["read"], "states/s")


def test_forward_kinematics_of_the_other_engine_alone(benchmark, note, chain_world):
    world, _ = chain_world
    model, data = world.model, world.data

    def work() -> None:
        for _ in range(ANGLES):
            mujoco.mj_kinematics(model, data)

    FK["alone"] = rate(benchmark, ANGLES, work)
    note("MuJoCo: forward kinematics alone, nothing set or read", FK["alone"], "states/s")


def test_everything_with_all_body_frames(benchmark, note):
    truck = samples.two_piece()
    states = [
        State(
            height="",
            case="no torque",
            travel=float(travel),
            roll=0.0,
            wheel_torque=0.0,
            shaft_torque=0.0,
            turning=True,
            road_speed=0.0,
        )
        for travel in TRAVEL
    ]
    done = rate(benchmark, HEIGHTS * ANGLES, lambda: solve(truck, states=states, turn_angle=TURN))
    note("all of that with axes and pins of all bodies", done, "states/s", ">= 0.5 M", beside(done))
    assert done > 0.1 * FK["read"]


def test_postures_on_leaf_springs(benchmark, note):
    truck = samples.two_piece()
    done = rate(
        benchmark, len(MANY_HEIGHTS), lambda: postures(truck, MANY_HEIGHTS, wheel_torque=6000.0)
    )
    note("postures on leaf springs under torque", done, "heights/s")
