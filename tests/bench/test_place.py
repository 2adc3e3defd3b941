"""How fast places of a bearing are judged, with clearance and without, beside ``solve`` alone.

The demo truck's brace, two-piece with a wedge; the states that decide, and the 16 of the bench of
``evaluate``.
"""

from __future__ import annotations

import time
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from sim.explore.evaluate import evaluate
from sim.explore.place_look import Looked
from sim.explore.place_space import space_of
from sim.judge.rules import load_rules
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.reader import load_scene

SCENE = Path(__file__).parents[2] / "scenes" / "orchard_service_truck.toml"
CASES = ("no torque", "cruise", "hard launch", "engine braking")
PLACES = 20_000

pytestmark = pytest.mark.usefixtures("one_core")


@pytest.fixture(scope="module")
def looked():
    scene = load_scene(SCENE)
    made = scene.configuration("two-piece-wedged")
    return Looked(made, load_rules(scene.rules), space_of(made, 1))


def some(looked: Looked, count: int) -> np.ndarray:
    """Return random places of the free space [m], (count, 3)."""
    random = np.random.default_rng(1)
    return random.uniform(looked.space.low, looked.space.high, (count, 3))


def best(work, rounds: int) -> float:
    """Return the least processor time of some rounds [s]."""
    least = float("inf")
    for _ in range(rounds):
        start = time.process_time()
        work()
        least = min(least, time.process_time() - start)
    return least


def in_parts(work, places: np.ndarray) -> None:
    """Work on places as they are worked on in one process."""
    for part in np.array_split(places, 5):
        work(part)


def test_places_a_second(note, looked) -> None:
    made, places = looked.configuration, some(looked, PLACES)
    of_bench = [s for s in sweep_states(made, heights=3) if s.height != "loaded" and not s.roll]
    sixteen = [s for s in of_bench if s.case in CASES]
    assert len(sixteen) == 16
    alone = 1 / best(lambda: solve(made, states=sixteen, turn_angle=[0.0]), 20)

    def without(part: np.ndarray) -> None:
        values = dict(zip(looked.space.paths, part.T, strict=True))
        looked.rooms.of(evaluate(made.design, values, looked.states, near=looked.sweep))

    def sixteen_states(part: np.ndarray) -> None:
        values = dict(zip(looked.space.paths, part.T, strict=True))
        looked.rooms.of(evaluate(made.design, values, sixteen, apart=True))

    bare = PLACES / best(lambda: in_parts(without, places), 3)
    whole = PLACES / best(lambda: in_parts(looked.look, places), 3)
    of_16 = PLACES / best(lambda: in_parts(sixteen_states, places), 3)
    count = len(looked.states)
    note("solve alone, one turn angle, 16 states", alone, "designs/s")
    for what, rate in (
        (f"places judged in the {count} states that decide, without clearance", bare),
        (f"the same with clearance of shafts to {len(made.obstacles)} obstacles", whole),
        ("places judged in 16 states, with clearance", of_16),
    ):
        note(what, rate, "places/s", ">= 5 000", f"{rate / alone:.0f} times solve")
        assert rate > 10 * alone


def test_memory_is_flat(note, looked) -> None:
    beyond = {}
    for count in (4_000, 40_000):
        places = some(looked, count)
        tracemalloc.start()
        rooms = [looked.look(part) for part in np.array_split(places, count // 4_000)]
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        beyond[count] = peak - sum(part.nbytes for part in rooms)
        note(f"memory beyond the rooms of {count} places", beyond[count] / 2**20, "MB")
    assert beyond[40_000] < 1.5 * beyond[4_000]
