from __future__ import annotations

import numpy as np
import pytest
from chains import DEG, measured, planar, twisted
from hypothesis import given
from hypothesis import strategies as st

from sim.errors import DomainError
from sim.measure.angles import mean_axis, measure_angles
from sim.measure.ripple import (
    fluctuation,
    half_turn,
    matched_phase,
    peak,
    second_order,
    whole_turns,
)
from sim.motion.frames import axis_from_slope

ANGLES = st.floats(-20, 20)
FULL = np.linspace(0, 2 * np.pi, 128, endpoint=False)


def test_a_full_turn_keeps_all_its_samples() -> None:
    assert whole_turns(FULL) == 128
    assert whole_turns(np.stack([FULL, FULL + 0.3])) == 128


def test_the_closing_sample_is_left_out() -> None:
    assert whole_turns(np.linspace(0, 2 * np.pi, 129)) == 128
    assert whole_turns(np.linspace(0, np.pi, 65)) == 64


def test_what_is_beyond_the_last_half_turn_is_left_out() -> None:
    assert whole_turns(np.arange(150) * (2 * np.pi / 100)) == 150
    assert whole_turns(np.arange(140) * (2 * np.pi / 100)) == 100


def test_angles_read_from_an_engine_may_be_a_little_uneven() -> None:
    wobble = 1e-4 * np.sin(np.arange(128.0))
    assert whole_turns(FULL + wobble) == 128


@pytest.mark.parametrize(
    ("turn_angle", "message"),
    [
        (np.sort(np.random.default_rng(1).uniform(0, 6.3, 128)), "rise evenly"),
        (-FULL, "rise evenly"),
        (np.zeros(5), "rise evenly"),
        (np.array([0.3]), "rise evenly"),
        (FULL[:60], "whole half turns"),
        (np.arange(100) * 0.07, "whole half turns"),
        (np.linspace(0, 2 * np.pi, 12, endpoint=False), "8 or more samples"),
    ],
)
def test_turn_angles_that_cannot_be_measured_are_refused(turn_angle, message) -> None:
    with pytest.raises(DomainError, match=message):
        whole_turns(turn_angle)


@given(amplitude=st.floats(0, 0.3), lag=st.floats(-3.1, 3.1), count=st.integers(16, 200))
def test_peak_to_peak_of_a_pure_wave_is_twice_its_amplitude(
    amplitude: float, lag: float, count: int
) -> None:
    theta = np.linspace(0, np.pi, count, endpoint=False)
    wave = 1 + amplitude * np.cos(2 * theta + lag)
    assert fluctuation(wave) == pytest.approx(2 * amplitude, rel=2e-3, abs=1e-12)
    assert fluctuation(wave) <= 2 * amplitude * (1 + 2e-3) + 1e-12


@given(amplitude=st.floats(1e-6, 0.3), lag=st.floats(-3.1, 3.1), start=st.floats(0, 3))
def test_the_second_order_of_a_pure_wave_is_found_from_any_start(
    amplitude: float, lag: float, start: float
) -> None:
    theta = start + np.linspace(0, np.pi, 32, endpoint=False)
    size, phase = second_order(theta, 1 + amplitude * np.cos(2 * theta + lag))
    assert size == pytest.approx(amplitude, rel=1e-9)
    assert phase == pytest.approx(lag, abs=1e-6)


def test_a_steady_member_has_no_ripple_and_no_phase() -> None:
    steady = np.ones((3, 64))
    size, phase = second_order(FULL[:64], steady)
    np.testing.assert_array_equal(fluctuation(steady), 0.0)
    np.testing.assert_allclose(size, 0.0, atol=1e-15)
    np.testing.assert_array_equal(phase, 0.0)


def test_the_peak_is_found_across_the_seam_of_the_turn() -> None:
    theta = np.linspace(0, 2 * np.pi, 64, endpoint=False)
    assert peak(np.cos(theta + 0.04)) == pytest.approx(1.0, abs=1e-5)
    assert peak(np.cos(theta - 0.04)) == pytest.approx(1.0, abs=1e-5)


@given(angle=st.floats(-50, 50))
def test_a_yoke_looks_the_same_after_half_a_turn(angle: float) -> None:
    found = float(half_turn(angle))
    assert -np.pi / 2 - 1e-9 <= found <= np.pi / 2 + 1e-9
    assert np.sin(found - angle) == pytest.approx(0.0, abs=1e-9)


@given(turn=st.floats(-89, 89), first=st.floats(0.5, 20), second=st.floats(0.5, 20))
def test_the_matched_phase_is_the_turn_between_the_joint_planes(
    turn: float, first: float, second: float
) -> None:
    found = matched_phase(twisted(first, second, turn))
    assert np.rad2deg(found[0]) == pytest.approx(turn, abs=1e-8)


def test_the_phase_means_nothing_beside_a_straight_joint() -> None:
    bent, straight = measured(planar(0.6, 0.7)), measured(planar(0.4, 0.7))
    assert bent.phase_known[0, 0]
    assert not straight.phase_known[0, 0]


def test_the_phase_error_is_phase_minus_matched_phase() -> None:
    found = measured(twisted(5, 5, 20), [50])
    assert np.rad2deg(found.phase_error[0, 0]) == pytest.approx(30, abs=1e-9)
    across = measured(twisted(5, 5, -60), [80])
    assert np.rad2deg(across.phase_error[0, 0]) == pytest.approx(-40, abs=1e-9)


@given(
    slopes=st.lists(ANGLES, min_size=3, max_size=5), plans=st.lists(ANGLES, min_size=5, max_size=5)
)
def test_joint_angles_are_positive_and_near_the_root_of_their_parts(slopes, plans) -> None:
    slope, plan = np.array(slopes) * DEG, np.array(plans[: len(slopes)]) * DEG
    found = measure_angles(axis_from_slope(slope, plan))
    np.testing.assert_allclose(found.slope, slope, atol=1e-12)
    np.testing.assert_allclose(found.plan, plan, atol=1e-12)
    assert (found.joint >= 0).all()
    root = np.hypot(found.side, found.top)
    np.testing.assert_allclose(found.joint, root, rtol=0.15, atol=1e-9)


def test_the_axis_of_a_turn_is_the_mean_of_what_was_held() -> None:
    wobble = axis_from_slope(np.array([0.01, 0.03]))[None, :, None, :]
    np.testing.assert_allclose(mean_axis(wobble)[0, 0], axis_from_slope(0.02), atol=1e-12)
