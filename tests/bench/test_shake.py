"""How long the shake of one configuration takes: every state and road speed, with 200 draws."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from sim.explore.felt_near import near_of
from sim.explore.shaken import DRAWS, shake_of
from sim.motion.solve import solve
from sim.scene.parts import Complaint
from sim.scene.reader import load_scene

SCENE = Path(__file__).parents[2] / "scenes" / "orchard_service_truck.toml"

pytestmark = pytest.mark.usefixtures("one_core")


def seconds(work, rounds: int = 3) -> float:
    """Return the least processor time of some rounds [s]; the others waited for the machine."""
    least = float("inf")
    for _ in range(rounds):
        start = time.process_time()
        work()
        least = min(least, time.process_time() - start)
    return least


@pytest.mark.parametrize("name", ["one-piece", "two-piece"])
def test_time_of_a_shake(note, name):
    truck = load_scene(SCENE).configuration(name)
    asked = Complaint(name="asked", speed=25.0)
    solved = seconds(lambda: solve(truck))
    cruise = seconds(lambda: shake_of(truck, None, ("ride height",), ("cruise",)))
    launch = seconds(lambda: shake_of(truck, None, ("ride height",), ("hard launch",)))
    both = f"{(cruise + launch) / solved:.0f} times solve"
    note(f"{name}, charts of cruise and launch, {DRAWS} draws", cruise + launch, "s", "< 2", both)
    note(f"{name}, every state and road speed", seconds(lambda: shake_of(truck), 1), "s")
    note(f"{name}, near the road speed of a complaint", seconds(lambda: near_of(truck, asked)), "s")
    assert cruise + launch < 200 * solved
