"""Pins and speed ratios down a chain."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.motion.frames import axis_from_slope
from sim.motion.joints import kinds_of, phases_of, pin_planes, shares_of, speed_waves, turn
from sim.motion.solve import solve

TURN = np.linspace(0.0, 2 * np.pi, 720, endpoint=False)
KINDS = ("universal", "double cardan", "constant velocity", "flexible")
slopes = st.floats(-0.5, 0.5)
chains = st.integers(1, 5).flatmap(
    lambda joints: st.tuples(
        st.lists(st.tuples(slopes, slopes), min_size=joints + 1, max_size=joints + 1),
        st.lists(st.floats(-3.2, 3.2), min_size=joints - 1, max_size=joints - 1),
        st.lists(st.sampled_from(KINDS), min_size=joints, max_size=joints),
    )
)


def step_by_step(axes, phases, kinds, theta):
    """Return pins and ratios one joint after the other, each pin brought to length one."""
    e1 = np.array([0.0, 1.0, 0.0]) - axes[0, 1] * axes[0]
    e1 = e1 / np.linalg.norm(e1)
    pin = np.cos(theta) * e1 + np.sin(theta) * np.cross(axes[0], e1)
    driving, driven, ratio = [], [], [1.0]
    for joint, kind in enumerate(kinds):
        a, b = axes[joint], axes[joint + 1]
        driving.append(pin)
        if kind == "universal":
            ratio.append(ratio[-1] * (a @ b) / (1 - (pin @ b) ** 2))
            pin = np.cross(b, pin)
            pin = pin / np.linalg.norm(pin)
        else:
            ratio.append(ratio[-1])
            normal, bend = np.cross(a, b), np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b)
            if bend > 0:
                n = normal / np.linalg.norm(normal)
                pin = (
                    pin * np.cos(bend)
                    + np.cross(n, pin) * np.sin(bend)
                    + n * (n @ pin) * (1 - np.cos(bend))
                )
        driven.append(pin)
        if joint < len(phases):
            pin = np.cos(phases[joint]) * pin + np.sin(phases[joint]) * np.cross(b, pin)
    return np.array(driving), np.array(driven), np.array(ratio)


@settings(max_examples=60, deadline=None)
@given(chains, st.floats(0.0, 7.0))
def test_chain_in_closed_form_equals_joint_after_joint(chain, theta):
    ends, phases, kinds = chain
    axes = axis_from_slope(*np.array(ends).T)
    ours = turn(pin_planes(axes[None], phases, kinds), np.array([[theta]]))
    driving, driven, ratio = step_by_step(axes, phases, kinds, theta)
    assert ours.driving_pin[0, 0] == pytest.approx(driving, abs=1e-12)
    assert ours.driven_pin[0, 0] == pytest.approx(driven, abs=1e-12)
    assert ours.speed_ratio[0, 0] == pytest.approx(ratio, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(chains)
def test_mean_speed_of_every_member_over_a_turn_is_that_of_the_output(chain):
    ends, phases, kinds = chain
    axes = axis_from_slope(*np.array(ends).T)
    planes = pin_planes(axes[None], phases, kinds)
    assert turn(planes, TURN[None]).speed_ratio.mean(axis=1) == pytest.approx(1.0, abs=1e-9)
    mean, cosine, sine = np.moveaxis(speed_waves(planes), -1, 0)
    assert mean**2 - cosine**2 - sine**2 == pytest.approx(np.ones_like(mean), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(chains)
def test_crosses_stay_square_and_pins_square_to_their_shafts(chain):
    ends, phases, kinds = chain
    axes = axis_from_slope(*np.array(ends).T)
    ours = turn(pin_planes(axes[None], phases, kinds), TURN[None, :50])
    for joint, kind in enumerate(kinds):
        driving, driven = ours.driving_pin[0, :, joint], ours.driven_pin[0, :, joint]
        assert np.abs(driving @ axes[joint]).max() < 1e-12
        assert np.abs(driven @ axes[joint + 1]).max() < 1e-12
        if kind == "universal":
            assert np.abs((driving * driven).sum(axis=-1)).max() < 1e-12


@pytest.mark.parametrize("kind", KINDS[1:])
def test_ideal_joint_turns_evenly_and_keeps_its_ears_in_line(kind):
    axes = axis_from_slope([0.0, 0.2])
    ours = turn(pin_planes(axes[None], (), (kind,)), TURN[None])
    assert ours.speed_ratio == pytest.approx(np.ones((1, 720, 2)), abs=1e-15)
    sideways = ours.driven_pin[0, 0, 0]  # at θ = 0 the pin lies along the bend: it stays
    assert sideways == pytest.approx([0.0, 1.0, 0.0], abs=1e-15)


def test_output_pin_is_horizontal_at_the_start_and_turns_right_handed_about_aft():
    ours = turn(pin_planes(axis_from_slope([[0.0, 0.1]]), (), ("universal",)), TURN[None])
    assert ours.driving_pin[0, 0, 0] == pytest.approx([0, 1, 0], abs=1e-15)
    assert ours.driving_pin[0, 180, 0] == pytest.approx([0, 0, 1], abs=1e-15)


def test_half_a_turn_of_phase_changes_nothing():
    axes = axis_from_slope([[0.0, 0.1, -0.05]], [[0.0, 0.05, 0.1]])
    ratios = [
        turn(pin_planes(axes, (phase,), ("universal",) * 2), TURN[None]).speed_ratio
        for phase in (0.3, 0.3 + np.pi)
    ]
    assert ratios[0] == pytest.approx(ratios[1], abs=1e-14)


def uneven_double_joints():
    """Return a chain with two double Cardan joints whose coupling yokes leave the half."""
    off = replace(samples.joint("double cardan"), halving_error=0.02)
    joints = (off, samples.joint(), replace(off, halving_error=-0.03), samples.joint("flexible"))
    return samples.three_piece(joints=joints)


def test_pins_behind_a_double_joint_stay_where_they_are_as_its_error_goes_to_nothing():
    axes = axis_from_slope([[0.0, 0.2, 0.1]], [[0.0, 0.1, 0.0]])
    kinds = ("double cardan", "universal")
    even = turn(pin_planes(axes, (0.3,), kinds), TURN[None])
    nearly = turn(pin_planes(axes, (0.3,), kinds, (0.5 + 1e-12, 0.5)), TURN[None])
    assert nearly.driven_pin == pytest.approx(even.driven_pin, abs=1e-11)
    assert nearly.speed_ratio == pytest.approx(even.speed_ratio, abs=1e-11)


def test_solve_carries_the_error_of_the_halving():
    motion = solve(uneven_double_joints())
    assert shares_of(motion.configuration)[0] > 0.5 > shares_of(motion.configuration)[2]
    assert np.ptp(motion.speed_ratio[:, :, 1], axis=1).min() > 1e-6


@pytest.mark.parametrize(
    "make", [samples.one_piece, samples.three_piece, samples.car, uneven_double_joints]
)
def test_three_numbers_of_every_member_give_the_speeds_of_solve(make):
    motion = solve(make(), turn_angle=TURN[:90])
    made, axis = motion.configuration, motion.axis[:, 0]
    planes = pin_planes(axis, phases_of(made), kinds_of(made), shares_of(made))
    mean, cosine, sine = np.moveaxis(speed_waves(planes)[:, None], -1, 0)
    theta = TURN[:90, None]
    ratio = 1 / (mean + cosine * np.cos(2 * theta) + sine * np.sin(2 * theta))
    assert ratio == pytest.approx(motion.speed_ratio[:, :, 1:], abs=1e-14)


def test_rows_of_many_designs_are_rows_of_each():
    axis = solve(samples.three_piece()).axis[:24, 0]
    phases, kinds = (0.1, 0.2, 0.3), ("universal", "double cardan", "universal", "universal")
    alone = speed_waves(pin_planes(axis, phases, kinds))
    together = speed_waves(pin_planes(axis.reshape(4, 6, 5, 3), phases, kinds))
    assert together.reshape(alone.shape) == pytest.approx(alone, abs=1e-15)
    own = tuple(phase * np.array([1.0, 2.0]) for phase in phases)  # of two designs
    both = speed_waves(pin_planes(axis.reshape(12, 2, 5, 3), own, kinds))
    second = speed_waves(pin_planes(axis[1::2], tuple(2 * p for p in phases), kinds))
    assert both[:, 1] == pytest.approx(second, abs=1e-15)


def test_phases_and_kinds_come_from_the_parts():
    made = samples.three_piece(
        joints=(samples.joint("double cardan"), *[samples.joint() for _ in range(3)])
    )
    assert phases_of(made) == pytest.approx(np.radians([0, 10, -5]))
    assert kinds_of(made) == ("double cardan", "universal", "universal", "universal")
