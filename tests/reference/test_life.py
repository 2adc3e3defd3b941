"""Life of joint bearings against two makers' formulas, which must never be mixed.

AISCO: universal joint sizing.  Dimensions: "Dimensions of Cardan Shafts", a maker's catalogue.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.measure.life import bearing_life, combined_life, joint_lives
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Duty

DEG, RPM, HOUR = np.pi / 180, 2 * np.pi / 60, 3600.0
POINT, CAPACITY = "5000 h at 3 deg and 100 rpm", "capacity times radius"


def hours(rating, torque, angle, speed, basis):
    return float(bearing_life(rating, torque, angle * DEG, speed * RPM, basis)) / HOUR


@pytest.mark.parametrize(
    ("rating", "torque", "angle", "speed", "expected"),
    [
        (1.0, 1.0, 3, 100, 5000.0),  # AISCO: the rating point
        (800.0, 400.0, 5, 1500, 2015.873679832),  # AISCO's formula, 40 digits
        (1500.0, 1000.0, 7, 1450, 570.9473746725),
    ],
)
def test_life_by_a_rating_point(rating, torque, angle, speed, expected):
    assert hours(rating, torque, angle, speed, POINT) == pytest.approx(expected, rel=1e-9)


def test_life_by_capacity_times_radius_is_the_catalogues_example():
    # Dimensions, printed: 1000 N m, 1450 rpm, 7 deg, 2000 h need 1339 N m; ± 1 N m is ± 0.25 %.
    assert hours(1339.0, 1000.0, 7, 1450, CAPACITY) == pytest.approx(2000.0, rel=2.6e-3)


@pytest.mark.parametrize(("basis", "rating"), [(POINT, 2185.0), (CAPACITY, 1339.0)])
def test_the_same_duty_needs_other_ratings_on_another_basis(basis, rating):
    # 1000 N m, 1450 rpm, 7 deg, 2000 h: worked out from the two formulas.
    assert hours(rating, 1000.0, 7, 1450, basis) == pytest.approx(2000.0, rel=2.6e-3)


@pytest.mark.parametrize("basis", [POINT, CAPACITY])
@pytest.mark.parametrize("angle", [0.0, 0.3, 2.99])
def test_an_angle_below_three_degrees_enters_as_three(basis, angle):
    # Dimensions, printed.
    assert hours(500, 300, angle, 2000, basis) == pytest.approx(hours(500, 300, 3, 2000, basis))
    assert hours(500, 300, 3.3, 2000, basis) == pytest.approx(
        hours(500, 300, 3, 2000, basis) / 1.1, rel=1e-12
    )


def test_half_the_torque_makes_ten_times_the_life():
    # 2^(10/3) = 10.0794: exponent of roller bearings, ISO 281.
    assert hours(500, 150, 5, 900, POINT) / hours(500, 300, 5, 900, POINT) == pytest.approx(
        10.0793683992, rel=1e-9
    )


def test_a_duty_adds_up_by_palmgren_and_miner():
    # From memory; AISCO names the method: 20 % at 2000 h, 80 % at 20 000 h: 7142.857 h.
    assert combined_life([0.2, 0.8], [2000.0, 20000.0]) == pytest.approx(7142.857142857, rel=1e-12)


# --- through a scene's duty -------------------------------------------------------------------

DUTY = (
    Duty(name="flat", share=0.7, case="cruise", height="ride height", road_speed=90 / 3.6),
    Duty(name="yard", share=0.3, case="hard launch", height="full droop", road_speed=15 / 3.6),
)


def rated(*bases, duties=DUTY, kinds=("universal",) * 3):
    made = samples.two_piece()
    joints = tuple(
        replace(joint, kind=kind, life_rating=None if basis is None else 600.0, life_basis=basis)
        for joint, basis, kind in zip(made.joints, bases, kinds, strict=True)
    )
    return measure(solve(replace(made, joints=joints, duties=duties)))


def expected_hours(m, joint: int, constant: float, share_of_angle: float = 1.0) -> float:
    """Return the life by hand: shares over the lives of each part of the duty."""
    wear = 0.0
    for share, case, height, speed in (
        (0.7, "cruise", "ride height", 90),
        (0.3, "hard launch", "full droop", 15),
    ):
        k = next(
            i for i, s in enumerate(m.states) if (s.case, s.height, s.roll) == (case, height, 0)
        )
        angle = max(3.0, share_of_angle * np.rad2deg(m.joint_angle[k, joint - 1]))
        rpm = speed / 3.6 / 2.545 * 4.1 * 60
        wear += share * angle * rpm * (m.states[k].shaft_torque / 600.0) ** (10 / 3) / constant
    return 1 / wear


def test_every_joint_lives_by_the_formula_of_its_own_basis():
    m = rated(POINT, CAPACITY, None)
    lives = m.strength.lives
    assert [life.joint for life in lives.lives] == [1, 2]
    assert [life.basis for life in lives.lives] == [POINT, CAPACITY]
    for life, constant in zip(lives.lives, (1.5e6, 7.67e6), strict=True):
        assert life.life / HOUR == pytest.approx(expected_hours(m, life.joint, constant), rel=1e-9)
        assert life.worst == "yard"
    assert not lives.usual


def test_each_cross_of_a_double_cardan_joint_bends_by_half():
    m = rated(None, None, POINT, kinds=("universal", "universal", "double cardan"))
    (life,) = m.strength.lives.lives
    assert life.life / HOUR == pytest.approx(expected_hours(m, 3, 1.5e6, 0.5), rel=1e-9)


def test_a_usual_duty_stands_in_and_says_so():
    lives = rated(POINT, None, None, duties=()).strength.lives
    assert lives.usual
    assert [step.name for step in lives.duty] == ["cruise", "engine braking", "hard launch"]
    assert sum(step.share for step in lives.duty) == pytest.approx(1.0, abs=1e-12)


def test_what_was_not_looked_at_leaves_the_usual_duty_whole():
    made = samples.two_piece()
    states = [s for s in solve(made).states if s.case in ("cruise", "engine braking")]
    duty = measure(solve(made, states=states)).strength.lives.duty
    # 94 and 5 parts of 99: common practice, no source.
    assert [step.share for step in duty] == pytest.approx([94 / 99, 5 / 99], rel=1e-12)


def test_without_a_rating_no_life_is_told():
    assert rated(None, None, None).strength.lives.lives == ()


def test_a_constant_velocity_joint_has_no_life_by_a_formula_for_crosses():
    kinds = ("universal", "universal", "constant velocity")
    assert [x.joint for x in rated(POINT, None, POINT, kinds=kinds).strength.lives.lives] == [1]


def test_a_duty_without_torque_wears_nothing():
    rest = (Duty(name="rolling", share=1.0, case="no torque", height="ride height"),)
    (life,) = rated(POINT, None, None, duties=rest).strength.lives.lives
    assert (life.life, life.worst) == (None, "")


def test_many_designs_live_as_each_design_by_itself_and_as_far_as_their_mean_speed_takes_them():
    """Angles, torques and ratings differ from row to row; distance = life × mean speed."""
    m = rated(POINT, CAPACITY, None)
    n, random = m.numbers, np.random.default_rng(5)
    angle = random.uniform(0.02, 0.3, (4, *n.joint_angle.shape[1:]))
    torque = n.shaft_torque * random.uniform(0.5, 2, (4, 1))
    rating = random.uniform(300, 900, 4)

    def made(rows):
        first = replace(n.configuration.joints[0], life_rating=rating[rows])
        joints = (first, *n.configuration.joints[1:])
        return replace(
            n,
            configuration=replace(n.configuration, joints=joints),
            lost=np.zeros((4, len(n.states)), bool)[rows],
            joint_angle=angle[rows],
            shaft_torque=torque[rows],
            shaft_speed=np.broadcast_to(n.shaft_speed, torque.shape)[rows],
            road_speed=np.broadcast_to(n.road_speed, torque.shape)[rows],
        )

    life, distance = joint_lives(made(slice(None)))
    assert life.shape == distance.shape == (4, 3)
    for row in range(4):
        alone, far = joint_lives(made(slice(row, row + 1)))
        np.testing.assert_allclose(life[row], alone[0], rtol=1e-12)
        np.testing.assert_allclose(distance[row], far[0], rtol=1e-12)
    assert np.isinf(life[:, 2]).all()
    # DUTY by hand: 70 % at 90 km/h and 30 % at 15 km/h: 67.5 km/h.
    np.testing.assert_allclose(distance[:, :2], life[:, :2] * 67.5 / 3.6, rtol=1e-12)
    (first, second) = m.strength.lives.lives
    assert first.distance == pytest.approx(first.life * 67.5 / 3.6, rel=1e-12)
    assert second.distance == pytest.approx(second.life * 67.5 / 3.6, rel=1e-12)
