"""How fast many designs are evaluated, beside ``solve`` of one after the other; and in what memory.

The two-piece truck on leaf springs, five readings of it varied, in 16 states: four heights, each
without torque, in cruise, on a hard launch and on the overrun.
"""

from __future__ import annotations

import time
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from sim.explore.evaluate import evaluate
from sim.measure.numbers import Deep, Numbers
from sim.motion.solve import solve
from sim.motion.states import State
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene

SCENE = Path(__file__).parents[2] / "scenes" / "orchard_service_truck.toml"
CASES = ("no torque", "cruise", "hard launch", "engine braking")
DESIGNS = 25_000

pytestmark = pytest.mark.usefixtures("one_core")


def truck() -> tuple[Configuration, list[State]]:
    """Return the truck and its 16 states."""
    made = load_scene(SCENE).configuration("two-piece")
    empty = [s for s in sweep_states(made, heights=3) if s.height != "loaded" and not s.roll]
    chosen = [s for s in empty if s.case in CASES]
    assert len(chosen) == 16
    return made, chosen


def places(count: int) -> dict[str, np.ndarray]:
    """Return values of some designs [SI unit, radians]."""
    random = np.random.default_rng(1)
    spread = {
        "bearing.1.aft": (2.395, 0.02),
        "bearing.1.up": (0.531, 0.01),
        "output.slope": (np.deg2rad(3.0), np.deg2rad(0.5)),
        "pinion.slope": (np.deg2rad(3.0), np.deg2rad(0.5)),
        "suspension.rate": (48e3, 4e3),
    }
    return {path: at + off * random.standard_normal(count) for path, (at, off) in spread.items()}


def best(work, rounds: int) -> float:
    """Return the least processor time of some rounds [s]; the others waited for the machine."""
    least = float("inf")
    for _ in range(rounds):
        start = time.process_time()
        work()
        least = min(least, time.process_time() - start)
    return least


def test_designs_a_second(note):
    made, states = truck()
    values = places(DESIGNS)
    alone = 1 / best(lambda: solve(made, states=states, turn_angle=[0.0]), 20)
    together = DESIGNS / best(lambda: evaluate(made.design, values, states), 7)
    note("solve alone, one turn angle, 16 states", alone, "designs/s")
    note(
        "evaluate, 16 states under torque on leaf springs",
        together,
        "designs/s",
        ">= 25 000",
        f"{together / alone:.0f} times solve",
    )
    assert together > 50 * alone


def test_designs_a_second_with_whirl_life_and_clearance(note):
    made, states = truck()
    values = places(1500)
    alone = 1 / best(lambda: solve(made, states=states, turn_angle=[0.0]), 20)
    together = 1500 / best(lambda: evaluate(made.design, values, states, deep=True), 6)
    note(
        "the same with beam whirl, strength, life and clearance to five obstacles",
        together,
        "designs/s",
        ">= 2 000",
        f"{together / alone:.0f} times solve",
    )
    assert together > 5 * alone


def size_of(numbers: Numbers | Deep | None) -> int:
    """Return what the numbers themselves hold [bytes]."""
    if numbers is None:
        return 0
    arrays = (getattr(numbers, name) for name in type(numbers).__slots__)
    held = sum(a.nbytes for a in arrays if isinstance(a, np.ndarray) and a.strides[0])
    return held + size_of(getattr(numbers, "deep", None))


@pytest.mark.parametrize(("deep", "designs"), [(False, 4000), (True, 1500)])
def test_memory_is_flat(note, deep, designs):
    made, states = truck()
    beyond = {}
    for count in (designs, 10 * designs):
        values = places(count)
        tracemalloc.start()
        numbers = evaluate(made.design, values, states, deep=deep)
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        beyond[count] = peak - size_of(numbers)
        what = f"memory beyond the numbers of {count} designs{', deep' * deep}"
        note(what, beyond[count] / 2**20, "MB")
    assert beyond[10 * designs] < 1.5 * beyond[designs]
