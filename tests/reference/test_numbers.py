"""Numbers that rules look at, against pins turned in the test and the formulas of handbooks."""

from __future__ import annotations

import numpy as np
import pytest
import samples
from chains import DEG, THREE_PHASES, measured, planar, three_in_space, turned
from scipy.interpolate import make_interp_spline

from sim.measure.acceleration import unevenness_of_turn
from sim.measure.measure import measure
from sim.measure.ripple import fluctuation
from sim.motion.solve import solve

SPEED = 100.0  # [rad/s]
TURN = np.linspace(0.0, 2 * np.pi, 4001)


@pytest.mark.parametrize("beta", [0.0, 1e-3, 0.5, 3.0, 7.0, 30.0])
def test_the_residual_angle_of_one_joint_is_its_angle(beta: float) -> None:
    numbers = measured(planar(beta, 0.0)).numbers
    assert numbers.residual_angle[0, 0] == pytest.approx(beta * DEG, rel=1e-7, abs=3e-8)


@pytest.mark.parametrize(
    ("angles", "phases", "squares"),
    [
        ((5, 3), (0.0,), 25 - 9),
        ((5, 3), (90.0,), 25 + 9),
        ((3, 5, 2), (0.0, 0.0), 9 - 25 + 4),
        ((1, 4, 2), (90.0, 0.0), 1 + 16 - 4),
    ],
)
def test_the_residual_angle_of_a_chain_is_the_root_of_signed_squares(
    angles: tuple[float, ...], phases: tuple[float, ...], squares: float
) -> None:
    """Residual angle β = √|± β1² ± β2² ± β3²|: Elbe, technical pages; VDI 2722 (from memory)."""
    found = measured(planar(*angles), phases).numbers.residual_angle[0, 0] / DEG
    assert found == pytest.approx(np.sqrt(abs(squares)), abs=0.03)


def test_every_shaft_of_a_chain_in_space_turns_as_its_pins_say() -> None:
    motion, measurements = three_in_space()
    numbers, axes = measurements.numbers, motion.axis[0, 0]
    turns = turned(axes, THREE_PHASES, TURN)
    # speed over that of the output, and its change, by fifth-order splines through the turns
    ratio = np.stack([make_interp_spline(TURN, t, k=5).derivative()(TURN) for t in turns.T])
    change = np.stack([make_interp_spline(TURN, t, k=5).derivative(2)(TURN) for t in turns.T])
    inside = slice(50, -50)
    assert numbers.fluctuation[0, 0] == pytest.approx(np.ptp(ratio[1:, inside], axis=1), rel=1e-5)
    per_square = np.abs(change[:, inside]).max(axis=1)
    square = numbers.shaft_speed[0, 0] ** 2
    assert numbers.torsional[0, 0] == pytest.approx(square * per_square[-1], rel=1e-5)
    assert numbers.inertial_drive[0, 0] == pytest.approx(square * per_square[1:-1], rel=1e-4)
    # steady pinion: every turn as a function of the pinion's
    coast = [
        np.abs(make_interp_spline(turns[:, -1], t, k=5).derivative(2)(turns[:, -1]))[inside].max()
        for t in turns[:, 1:-1].T
    ]
    assert numbers.inertial_coast[0, 0] == pytest.approx(square * np.array(coast), rel=1e-4)
    biggest = ratio[-1, inside].max()
    assert np.cos(numbers.residual_angle[0, 0]) == pytest.approx(1 / biggest, rel=1e-6)


@pytest.mark.parametrize(
    "make",
    [samples.one_piece, samples.two_piece, samples.three_piece, samples.car, samples.links_van],
)
def test_closed_forms_are_what_sampled_curves_show(make) -> None:
    motion = solve(make())
    numbers = measure(motion).numbers
    curves = np.moveaxis(motion.speed_ratio, 1, -1)
    assert numbers.fluctuation[0] == pytest.approx(fluctuation(curves)[:, 1:], rel=1e-3, abs=1e-9)
    turned = unevenness_of_turn(motion.turn_angle, motion.speed_ratio)
    seen = turned.accelerations(numbers.shaft_speed[0])
    for mine, theirs in (
        (numbers.torsional[0], seen.torsional),
        (numbers.inertial_drive[0].max(axis=-1), seen.inertial_drive),
        (numbers.inertial_coast[0].max(axis=-1), seen.inertial_coast),
    ):
        assert mine == pytest.approx(theirs, rel=2e-3, abs=1e-6)


def test_numbers_are_those_of_the_states_of_the_motion() -> None:
    motion = solve(samples.two_piece())
    numbers = measure(motion).numbers
    count = len(motion.states)
    assert numbers.states == motion.states
    assert numbers.lost.shape == (1, count)
    assert not numbers.lost.any()
    for name in ("travel", "wheel_torque", "shaft_torque", "road_speed"):
        assert getattr(numbers, name)[0].tolist() == [getattr(s, name) for s in motion.states]
    reach = np.diff(motion.joint_center[:, 0], axis=1)
    assert numbers.length[0] == pytest.approx(np.sqrt((reach**2).sum(axis=-1)), abs=1e-15)
    turning = [k for k, state in enumerate(motion.states) if state.turning]
    longest = numbers.length[0, turning].max(axis=0)
    tube = motion.configuration.shafts[0].tube  # both alike
    # IMS Ltd, technical data, critical speeds: 1.21e8 √(D² + d²)/L² rpm, in mm
    rpm = 1.21e8 * np.hypot(1e3 * tube.outside, 1e3 * tube.inside) / (1e3 * longest) ** 2
    assert numbers.critical_speed[0] * 30 / np.pi == pytest.approx(rpm)
