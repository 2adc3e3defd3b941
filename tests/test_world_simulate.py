"""Rigid bodies turn as they must, and an engine that fails is an error, never a number."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from dataclasses import fields, replace
from multiprocessing import get_context

import numpy as np
import pytest

from sim.errors import DomainError, EngineError
from sim.motion.frames import angle_between
from sim.motion.sweep import sweep_states
from sim.world import build
from sim.world import simulate as simulating
from sim.world.simulate import default_states, simulate


def few(configuration, count=3):
    """Return droop, bump and what is between, under the hardest torque."""
    states = [s for s in default_states(configuration) if s.case == "hard launch" and not s.roll]
    return [states[i] for i in np.linspace(0, len(states) - 1, count).astype(int)]


def test_one_hooke_joint_in_one_plane_turns_as_the_textbook_says(one_piece):
    # Pin horizontal at 0, joint plane vertical: cos b / (1 - sin^2 b sin^2 theta).
    # Source: Seherr-Thoss, Schmelz, Aucktor, Universal Joints and Driveshafts (from memory).
    pinion = replace(one_piece.pinion, point=one_piece.pinion.point * [1, 0, 1])
    output = replace(one_piece.output, slope=np.radians(-4))
    motion = simulate(replace(one_piece, pinion=pinion, output=output), states=few(one_piece))
    bend = angle_between(motion.axis[:, :, 0], motion.axis[:, :, 1])
    assert np.degrees(bend).max() > 10
    turn = motion.turn_angle
    expected = np.cos(bend) / (1 - np.sin(bend) ** 2 * np.sin(turn) ** 2)
    np.testing.assert_allclose(motion.speed_ratio[:, :, 1], expected, atol=1e-5)


def test_speeds_from_angles_are_the_speeds_of_the_engines_own_bodies(one_piece, monkeypatch):
    spins, read = [], simulating.read

    def read_spin_too(world, line):
        last = world.getLinkState(
            line.body, line.members[1], computeLinkVelocity=1, computeForwardKinematics=1
        )
        spins.append(np.linalg.norm(last[7]) / (2 * np.pi))
        return read(world, line)

    monkeypatch.setattr(simulating, "read", read_spin_too)
    steep = replace(one_piece, output=replace(one_piece.output, slope=np.radians(-4)))
    motion = simulate(steep, states=few(one_piece, 1))
    half_step = np.pi / simulating.STEPS  # the engine's speeds are those half a step before
    ratio = np.interp(
        motion.turn_angle[0] - half_step,
        motion.turn_angle[0],
        motion.speed_ratio[0, :, 1],
        period=2 * np.pi,
    )
    assert np.ptp(ratio) > 0.02
    np.testing.assert_allclose(spins[:-1], ratio, atol=5e-5)


def test_by_default_nine_heights_and_more_at_rest_and_on_a_hard_launch(two_piece):
    states = default_states(two_piece)
    for case in ("no torque", "hard launch"):
        heights = {s.travel for s in states if s.case == case}
        assert len(heights) >= 9
        assert min(heights) == -two_piece.travel.droop
        assert max(heights) == two_piece.travel.bump
    assert {s.case for s in states} == {"no torque", "hard launch"}


def test_shapes_and_bookkeeping(three_piece):
    states, done = few(three_piece), []
    motion = simulate(three_piece, states=states, progress=lambda *step: done.append(step))
    assert done == [(1, 3), (2, 3), (3, 3)]
    assert motion.route == "simulate"
    assert motion.states == tuple(states)
    assert motion.turn_angle.shape == (3, 128)
    assert motion.joint_center.shape == (3, 128, 4, 3)
    assert motion.axis.shape == (3, 128, 5, 3)
    assert motion.slip.shape == motion.output_slip.shape == (3, 128)
    assert motion.driving_pin.shape == motion.driven_pin.shape == (3, 128, 4, 3)
    assert motion.speed_ratio.shape == (3, 128, 5)
    np.testing.assert_allclose(motion.speed_ratio[:, :, 0], 1, atol=1e-15)
    step = np.diff(motion.turn_angle, axis=1)
    np.testing.assert_allclose(step, 2 * np.pi / 128, rtol=1e-5)
    assert not motion.axis.flags.writeable


def test_states_in_which_shafts_do_not_turn_are_left_out(links_van):
    states = sweep_states(links_van, heights=3)
    parked = [s for s in states if not s.turning]
    assert parked
    motion = simulate(links_van, states=[states[0], *parked])
    assert motion.states == (states[0],)
    with pytest.raises(DomainError, match="no state in which shafts turn"):
        simulate(links_van, states=parked)


def test_steps_that_turn_too_far_are_refused(two_piece):
    with pytest.raises(EngineError, match=r"1\.12 deg a step, at most 0\.6 deg"):
        simulate(two_piece, states=few(two_piece, 1), steps=320)
    with pytest.raises(DomainError, match="multiple of 10"):
        simulate(two_piece, states=few(two_piece, 1), steps=1285)


@pytest.mark.parametrize("strength", [1e-3, 0.0])
def test_points_that_do_not_hold_are_an_error(two_piece, monkeypatch, strength):
    monkeypatch.setattr(build, "STRONG", strength)
    with pytest.raises(EngineError, match=r'"two-piece": the engine holds its points to .* mm'):
        simulate(two_piece, states=few(two_piece, 2))


def test_a_motion_that_is_not_a_number_is_an_error(two_piece, monkeypatch):
    place = simulating.motion_from

    def broken(readings, exact):
        readings[0] = replace(readings[0], place=readings[0].place * np.nan)
        return place(readings, exact)

    monkeypatch.setattr(simulating, "motion_from", broken)
    with pytest.raises(EngineError, match="holds its points to nan mm"):
        simulate(two_piece, states=few(two_piece, 1))


def test_an_output_that_does_not_turn_as_it_is_driven_is_an_error(two_piece, monkeypatch):
    right = simulating.motion_from

    def slow(readings, exact):
        motion = right(readings, exact)
        return replace(motion, turn_angle=0.99 * motion.turn_angle)

    monkeypatch.setattr(simulating, "motion_from", slow)
    with pytest.raises(EngineError, match=r"turns its output 3\.57 deg off an even turn"):
        simulate(two_piece, states=few(two_piece, 1))


def bits(motion):
    """Return all arrays of a motion as bytes."""
    values = (getattr(motion, field.name) for field in fields(motion))
    return b"".join(value.tobytes() for value in values if isinstance(value, np.ndarray))


def test_two_processes_give_the_same_bits(two_piece):
    states = few(two_piece, 2)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        others = [pool.submit(simulate, two_piece, states=states) for _ in range(2)]
        first, second = (bits(other.result(timeout=120)) for other in others)
    assert first == second == bits(simulate(two_piece, states=states))
