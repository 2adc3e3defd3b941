from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import samples
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from sim.measure.clearance.course import course_of
from sim.measure.measure import measure
from sim.measure.slip import (
    as_built,
    crossing,
    engaged_length,
    extreme,
    gap_to_bottom,
    measure_slip_limits,
    travelled,
)
from sim.motion.postures import postures
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene

MM = 1e-3
SCENES = Path(__file__).parent.parent / "scenes"


def state(travel: float, case: str = "no torque", torque: float = 0.0, roll: float = 0.0) -> State:
    return State(
        height="",
        case=case,
        travel=travel,
        roll=roll,
        wheel_torque=torque,
        shaft_torque=0.0,
        turning=True,
        road_speed=10.0,
    )


ENDS = (
    state(-0.11),
    state(0.095),
    state(-0.11, "hard launch", 9000.0),
    state(0.095, "hard launch", 9000.0),
)


def with_marks(configuration: Configuration, **marks: float) -> Configuration:
    return replace(configuration, spline=replace(configuration.spline, **marks))


def slip_at(configuration: Configuration, travel, torque: float) -> np.ndarray:
    return postures(configuration, travel, 0.0, torque).slip


def test_gap_and_engaged_length_count_from_the_marks_at_ride_height() -> None:
    spline = samples.spline("midship", 45, 85, 60, 16)
    np.testing.assert_allclose(gap_to_bottom(spline, [-0.01, 0.02]), [35 * MM, 65 * MM])
    np.testing.assert_allclose(engaged_length(spline, [-0.01, 0.02]), [95 * MM, 65 * MM])
    short = replace(spline, shorter=90 * MM)
    np.testing.assert_allclose(engaged_length(short, [-0.01, 0.02]), [90 * MM, 65 * MM])


@given(
    middle=st.floats(-0.09, 0.09),
    bend=st.floats(0.1, 5.0),
    height=st.floats(-0.05, 0.05),
    sign=st.sampled_from([1.0, -1.0]),
)
def test_the_extreme_of_a_parabola_is_exact(
    middle: float, bend: float, height: float, sign: float
) -> None:
    travel = np.linspace(-0.1, 0.1, 49)[None]
    at, slip = extreme(travel, height - sign * bend * (travel - middle) ** 2, sign)
    assert at[0] == pytest.approx(middle, abs=1e-9)
    assert slip[0] == pytest.approx(height, abs=1e-12)


@pytest.mark.parametrize(("slope", "expected"), [(1.0, 0.1), (-1.0, -0.1)])
def test_a_slip_that_only_rises_is_largest_at_an_end(slope: float, expected: float) -> None:
    travel = np.linspace(-0.1, 0.1, 49)[None]
    at, slip = extreme(travel, slope * travel, 1.0)
    assert at[0] == pytest.approx(expected)
    assert slip[0] == pytest.approx(0.1)


def test_the_crossing_nearest_to_ride_height_is_found() -> None:
    travel = np.linspace(-0.1, 0.1, 41)
    wave = np.stack([np.sin(100 * (travel + 0.004)), travel, 0 * travel])
    root, crosses = crossing(np.stack([travel] * 3), wave, 0.05)
    assert crosses.tolist() == [True, True, False]
    assert root[0] == pytest.approx(np.arcsin(0.05) / 100 - 0.004, abs=2e-4)
    assert root[1] == pytest.approx(0.05, abs=1e-12)
    assert np.isfinite(root).all()


def test_limits_agree_with_a_search_of_a_general_library() -> None:
    """The outside: scipy.optimize on single postures."""
    truck = with_marks(samples.one_piece(), gap=40 * MM, engaged=66 * MM)
    for limit, torque in zip(measure_slip_limits(truck, ENDS), (0.0, 9000.0), strict=True):
        most = minimize_scalar(
            lambda t, torque=torque: -slip_at(truck, [t], torque)[0],
            bounds=(-0.11, 0.095),
            method="bounded",
            options={"xatol": 1e-7},
        )
        assert limit.least_engaged == pytest.approx(66 * MM + most.fun, abs=1e-8)
        assert limit.least_engaged_travel == pytest.approx(most.x, abs=2e-6)
        assert limit.least_gap_travel == pytest.approx(0.095)
        bump = slip_at(truck, [0.095], torque)[0]
        assert limit.least_gap == pytest.approx(40 * MM + bump, abs=1e-12)
    launch = measure_slip_limits(truck, ENDS)[1]
    bottoms = brentq(lambda t: slip_at(truck, [t], 9000.0)[0] + 40 * MM, 0.0, 0.095)
    assert launch.bottoms_at == pytest.approx(bottoms, abs=1e-7)
    assert launch.pulls_out_at is None
    assert launch.largest_slip == pytest.approx(launch.least_gap - 40 * MM, abs=1e-12)
    assert launch.largest_slip_travel == launch.least_gap_travel


def test_a_spline_that_pulls_out_names_the_travel() -> None:
    truck = with_marks(samples.links_van(), engaged=0.02 * MM)
    states = (state(-0.08, "engine braking", -2000.0), state(0.07, "engine braking", -2000.0))
    limit = measure_slip_limits(truck, states)[0]
    assert limit.pulls_out_at is not None
    assert slip_at(truck, [limit.pulls_out_at], -2000.0)[0] == pytest.approx(0.02 * MM, abs=1e-8)
    assert limit.least_engaged < 0


def test_a_torque_case_that_moves_the_output_moves_the_slip() -> None:
    tipped = tuple(
        replace(case, output_move=(0.004, 0.0, 0.0)) if case.name == "hard launch" else case
        for case in samples.CASES
    )
    still = measure_slip_limits(samples.one_piece(), ENDS)
    moved = measure_slip_limits(samples.one_piece(torque_cases=tipped), ENDS)
    assert moved[0] == still[0]
    assert moved[1].least_gap == pytest.approx(still[1].least_gap - 4 * MM, abs=0.1 * MM)


def test_a_case_travels_under_the_largest_torque_that_it_has_at_any_height() -> None:
    loaded = [*ENDS, state(0.02, "hard launch", 11000.0), state(0.01, "hard launch", 9000.0)]
    course = course_of(loaded)
    assert course.cases == ("no torque", "hard launch")
    assert course.wheel_torque.tolist() == [0.0, 11000.0]
    back = [state(-0.1, "tow", -500.0), state(0.0, "tow", -900.0), state(0.1, "tow", -500.0)]
    assert course_of(back).wheel_torque.tolist() == [-900.0]


@pytest.mark.parametrize("name", ["one-piece", "two-piece-wedged"])
def test_over_the_travel_the_spline_bottoms_where_the_states_say(name: str) -> None:
    """Of a truck that goes empty and loaded; the states stand 5 mm apart."""
    truck = load_scene(SCENES / "orchard_service_truck.toml").configuration(name)
    m = measure(solve(truck))
    assert any(s.axle_load for s in m.states)
    for limit in m.slip_limits:
        level = [k for k, s in enumerate(m.states) if s.case == limit.case and not s.roll]
        assert limit.least_gap == pytest.approx(m.gap[level].min(), abs=0.05 * MM)


def test_rolled_states_and_single_heights_have_no_travel() -> None:
    cases = travelled([*ENDS, state(0.2, roll=0.05), state(0.0, "cruise", 900.0)])
    assert [(c.name, c.lowest, c.highest) for c in cases] == [
        ("no torque", -0.11, 0.095),
        ("hard launch", -0.11, 0.095),
    ]
    assert measure_slip_limits(samples.one_piece(), [state(0.0)]) == ()


def test_what_the_states_show_lies_within_the_limits() -> None:
    found = measure(solve(samples.two_piece()))
    least = {limit.case: limit for limit in found.slip_limits}
    for s, gap, engaged in zip(found.states, found.gap, found.engaged, strict=True):
        if not s.roll:
            assert gap >= least[s.case].least_gap - 1e-9
            assert engaged >= least[s.case].least_engaged - 1e-9


@pytest.mark.parametrize(
    ("make", "owner"),
    [(samples.one_piece, None), (samples.two_piece, 1), (samples.car, 2)],
    ids=["output spline", "midship stub", "inside the rear shaft"],
)
def test_the_bench_setting_goes_with_the_shaft_that_carries_the_spline(make, owner) -> None:
    configuration = make()
    lengths = solve(configuration).reference.length
    shafts = as_built(lengths, configuration.spline, 0.0)
    assert [built.length for built in shafts] == pytest.approx(lengths.tolist())
    for built in shafts:
        mine = built.shaft == owner
        assert built.bench_gap == (configuration.spline.gap if mine else None)
        assert built.bench_engaged == (configuration.spline.engaged if mine else None)


def test_shafts_cut_for_another_configuration_are_set_by_their_slip() -> None:
    spline = samples.spline("shaft", 45, 85, 60, None)
    built = as_built([1.1], spline, -12 * MM)[0]
    assert built.bench_gap == pytest.approx(33 * MM)
    assert built.bench_engaged == pytest.approx(97 * MM)
