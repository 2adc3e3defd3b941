from __future__ import annotations

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
import samples
from chains import at_ride, chain, measured, planar

from sim.measure.acceleration import per_turn
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states

MAKERS = [samples.one_piece, samples.two_piece, samples.three_piece, samples.car, samples.links_van]


@pytest.fixture(params=MAKERS, ids=lambda make: make.__name__, scope="module")
def found(request) -> Measurements:
    return measure(solve(request.param()))


def numbers(value):
    """Yield every array of numbers in a measurement."""
    if isinstance(value, np.ndarray):
        yield value
    elif is_dataclass(value) and type(value).__module__.startswith("sim.measure"):
        for field in fields(value):
            yield from numbers(getattr(value, field.name))


def test_no_number_is_missing(found: Measurements) -> None:
    deep = found.numbers.deep
    endless = [deep.life, deep.life_distance]  # of joints that no scene rates
    assert all(np.isposinf(array).all() for array in endless)
    arrays = [a for a in numbers(found) if not any(a is life for life in endless)]
    assert len(arrays) > 20
    assert all(np.isfinite(array).all() for array in arrays)


def test_shapes_follow_states_members_joints_and_shafts(found: Measurements) -> None:
    states, shafts = len(found.states), len(found.configuration.shafts)
    assert found.slope.shape == found.plan.shape == (states, shafts + 2)
    assert found.joint_angle.shape == found.side_angle.shape == (states, shafts + 1)
    assert found.fluctuation.shape == found.second_order.shape == (states, shafts + 2)
    assert found.matched_phase.shape == found.phase_known.shape == (states, shafts)
    assert found.acceleration.torsional.shape == found.gap.shape == (states,)
    assert len(found.critical_speeds) == len(found.as_built) == shafts


def test_accelerations_at_100_kmh_differ_by_the_square_of_the_speed(found: Measurements) -> None:
    vehicle = found.configuration.vehicle
    common = 2 * np.pi * vehicle.axle_ratio * (100 / 3.6) / vehicle.tire_circumference
    square = (found.shaft_speed / common) ** 2
    np.testing.assert_allclose(
        found.acceleration.torsional, square * found.acceleration_100.torsional, atol=1e-9
    )
    np.testing.assert_array_equal(
        found.acceleration.drive_shaft, found.acceleration_100.drive_shaft
    )


def test_shafts_that_do_not_turn_have_no_acceleration() -> None:
    parked = replace(samples.links_van().travel, parked_low=0.065)
    found = measure(solve(samples.links_van(travel=parked)))
    still = np.array([not s.turning for s in found.states])
    assert still.any()
    np.testing.assert_array_equal(found.acceleration.torsional[still], 0.0)
    np.testing.assert_array_equal(found.shaft_speed[still], 0.0)


def test_the_critical_speed_uses_the_longest_that_a_shaft_becomes_while_it_turns() -> None:
    van = samples.links_van(spline=samples.spline("shaft", 45, 80, 45, None))
    motion = solve(van)
    longest = measure(motion).critical_speeds[0].length
    reach = np.linalg.norm(np.diff(motion.joint_center, axis=2), axis=-1)
    assert longest == pytest.approx(reach.max())
    assert longest > motion.reference.length[0]


def test_shafts_that_never_turn_are_measured_at_their_built_length() -> None:
    van = samples.links_van()
    parked = [replace(s, turning=False, road_speed=0.0) for s in sweep_states(van)[:3]]
    motion = solve(van, states=parked)
    assert measure(motion).critical_speeds[0].length == motion.reference.length[0]


def test_more_than_a_turn_gives_the_same_as_one_turn() -> None:
    configuration = chain(planar(3, 5))
    states = [at_ride(configuration)]
    one = np.linspace(0, 2 * np.pi, 128, endpoint=False)
    more = np.arange(150) * (2 * np.pi / 128)
    a, b = (measure(solve(configuration, states=states, turn_angle=t)) for t in (one, more))
    np.testing.assert_allclose(a.fluctuation, b.fluctuation, atol=1e-9)
    np.testing.assert_allclose(a.acceleration.torsional, b.acceleration.torsional, rtol=1e-6)


@pytest.mark.parametrize("count", [63, 64])
def test_the_derivative_of_a_wave_is_exact_for_odd_and_even_counts(count: int) -> None:
    theta = np.linspace(0, np.pi, count, endpoint=False)[None]
    wave = np.stack([np.cos(2 * theta), np.sin(6 * theta)], axis=-1)
    slope = np.stack([-2 * np.sin(2 * theta), 6 * np.cos(6 * theta)], axis=-1)
    np.testing.assert_allclose(per_turn(theta, wave), slope, atol=1e-11)


def test_the_shaft_with_the_largest_acceleration_is_named() -> None:
    found = measured(planar(1, 6, 6))
    assert found.acceleration.drive_shaft[0] == 2
    assert found.acceleration.coast_shaft[0] == 2


def test_joints_that_are_not_universal_have_no_matched_phase() -> None:
    double = samples.joint("double cardan")
    truck = samples.one_piece(joints=(double, samples.joint()))
    found = measure(solve(truck))
    assert not found.phase_known.any()
