from __future__ import annotations

from dataclasses import replace

import pytest
import samples

from sim.judge.judge import judge
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states

KMH = 3.6
# Common shaft tubes, from memory: 3 to 5 in by half inches.
COMMON = (76.2, 88.9, 101.6, 114.3, 127.0)


@pytest.fixture(scope="module")
def one_piece() -> Measurements:
    configuration = samples.one_piece()
    return measure(solve(configuration, states=sweep_states(configuration, heights=5)))


def limit_with(m: Measurements, outside: float) -> float:
    """Return the whirl limit [km/h] with another tube [mm]."""
    shaft = m.configuration.shafts[0]
    tube = replace(shaft.tube, outside=outside / 1000)
    changed = replace(m.configuration, shafts=(replace(shaft, tube=tube),))
    states = sweep_states(changed, heights=5)
    found = measure(solve(changed, states=states))
    return KMH * min(speed.safe_road_speed for speed in found.critical_speeds)


def remedy_at(m: Measurements, top_speed: float) -> str:
    """Return the remedy against whirl with another top speed [km/h]."""
    vehicle = replace(m.configuration.vehicle, top_speed=top_speed / KMH)
    asked = replace(m, configuration=replace(m.configuration, vehicle=vehicle))
    return next(f.remedy for f in judge(asked).findings if f.rule == "critical speed")


@pytest.mark.parametrize("number", [3, 4])
def test_a_larger_tube_is_the_next_common_size_and_is_enough(
    one_piece: Measurements, number: int
) -> None:
    assert one_piece.configuration.shafts[0].tube.outside < COMMON[number - 1] / 1000 + 1e-6
    limit = limit_with(one_piece, COMMON[number])
    smaller = limit_with(one_piece, COMMON[number - 1])
    for top_speed in (limit - 0.5, smaller + 0.5):
        assert f"or a tube of {COMMON[number]:.1f} mm with the same wall" in remedy_at(
            one_piece, top_speed
        )


def test_no_tube_is_named_where_the_largest_common_one_would_not_do(
    one_piece: Measurements,
) -> None:
    words = remedy_at(one_piece, limit_with(one_piece, COMMON[-1]) + 0.5)
    assert "no common tube up to 127.0 mm" in words
    assert "a tube of" not in words
