"""How much of the physics engine's own pace is left when motion is read from it."""

from __future__ import annotations

import time

import pybullet
import pytest
import samples

from sim.world.simulate import default_states, simulate

pytestmark = pytest.mark.usefixtures("one_core")
BARE_STEPS = 20_000
AFTER = 1000  # steps into the simulation, the shafts turning


class StopTimingError(Exception):
    """The bare loop has run."""


def test_simulate_beside_a_bare_loop_in_its_own_world(note, monkeypatch):
    truck = samples.two_piece()
    step = pybullet.stepSimulation
    steps = 0
    bare = 0.0

    def count(**server):
        nonlocal steps
        steps += 1
        return step(**server)

    def then_run_bare(**server):
        nonlocal steps, bare
        steps += 1
        step(**server)
        if steps == AFTER:
            start = time.process_time()
            for _ in range(BARE_STEPS):
                step(**server)
            bare = BARE_STEPS / (time.process_time() - start)
            raise StopTimingError

    states = default_states(truck)
    monkeypatch.setattr(pybullet, "stepSimulation", count)
    simulate(truck, states=states)
    taken, steps = steps, 0
    monkeypatch.setattr(pybullet, "stepSimulation", then_run_bare)
    with pytest.raises(StopTimingError):
        simulate(truck, states=states)
    monkeypatch.undo()
    start = time.process_time()
    simulate(truck, states=states)
    done = taken / (time.process_time() - start)
    note("PyBullet: bare loop of stepSimulation in the same world", bare, "steps/s")
    note(
        "simulate, readings included",
        done,
        "steps/s",
        ">= 0.5 of bare",
        f"{done / bare:.2f} of the bare loop",
    )
    assert done > 0.25 * bare
