"""Formulas and rigid bodies agree, and stop agreeing when a formula is wrong.

The limits are this project's own promise (no outside source): at every height held and every
angle of a turn 0.005 deg, 0.01 mm, 3e-5 in speed ratio and 5e-5 in fluctuation.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import samples

from sim.errors import DomainError
from sim.motion import chain, joints
from sim.motion.solve import solve
from sim.scene.parts import OutputSpline, TorqueCase
from sim.world import agreement
from sim.world.agreement import Promise, compare_routes
from sim.world.simulate import default_states, simulate

DEG = np.pi / 180
MOVED = (
    TorqueCase(name="no torque"),
    TorqueCase(name="hard launch", output_move=(0.003, -0.006, 0.008), output_tip=1.2 * DEG),
)


def assert_close(found):
    assert np.degrees(found.joint_angle) <= 0.005
    assert found.slip <= 0.01e-3
    assert found.speed_ratio <= 3e-5
    assert found.fluctuation <= 5e-5
    assert found.keeps(Promise())


@cache
def simulated(name):
    return simulate(getattr(samples, name)())


@pytest.mark.parametrize("name", ["one_piece", "two_piece", "three_piece", "car", "links_van"])
def test_routes_agree_at_every_height_of_every_sample(name):
    found = compare_routes(simulated(name))
    assert_close(found)
    assert found.heights >= 9
    assert found.cases == ("no torque", "hard launch")
    assert found.closure_gap <= 0.05e-3
    assert np.degrees(found.step) <= 0.6
    assert found.steps == 1280
    assert found.engine.startswith("PyBullet ")


def variants():
    three, pinion = samples.three_piece(), samples.three_piece().pinion
    slip_yoke = OutputSpline(gap=0.03, engaged=0.05)
    single, even = samples.joint(), samples.joint("double cardan")
    sideways = replace(pinion, plan=4 * DEG, point=pinion.point + np.array([0, 0.06, 0]))
    yield (
        "phases 40 and -25 deg",
        samples.two_piece(shafts=(samples.shaft(88.9, phase=40), samples.shaft(88.9, phase=-25))),
    )
    yield "sideways pinion", samples.three_piece(pinion=sideways)
    yield "output to the left", samples.three_piece(output=replace(three.output, plan=-3 * DEG))
    yield (
        "spline inside the last shaft",
        samples.three_piece(spline=replace(three.spline, at="shaft")),
    )
    yield "output moved by torque", samples.three_piece(torque_cases=MOVED)
    yield "output moved, one piece", samples.one_piece(torque_cases=MOVED)
    yield (
        "slip yoke ahead of a bearing",
        samples.two_piece(torque_cases=MOVED, output_spline=slip_yoke),
    )
    yield (
        "shafts cut for another bearing",
        samples.two_piece(
            cut_as=samples.two_piece(), bearings=(samples.bearing(2400, 0, 521, 115),)
        ),
    )
    yield (
        "bearing hung far too high",
        samples.two_piece(bearings=(samples.bearing(2395, 0, 700, 115),)),
    )
    yield "nothing but ride height", samples.two_piece(suspension=None, travel=None)
    yield "even first joint", samples.one_piece(joints=(even, single))
    yield "even middle joint", samples.three_piece(joints=(single, even, single, single))
    yield (
        "even last joint",
        samples.two_piece(joints=(single, single, samples.joint("constant velocity"))),
    )
    off = replace(even, halving_error=0.5 * DEG)
    yield "coupling yoke off the half, ahead", samples.one_piece(joints=(off, single))
    yield (
        "coupling yokes off the half, middle and last",
        samples.three_piece(joints=(single, off, single, replace(off, halving_error=-2 * DEG))),
    )
    yield "all joints even", samples.three_piece(joints=(even,) * 4)


@pytest.mark.parametrize(
    "configuration", [pytest.param(made, id=name) for name, made in variants()]
)
def test_routes_agree_on_every_kind_of_driveline(configuration):
    found = compare_routes(simulate(configuration, states=default_states(configuration)[::4]))
    assert_close(found)


def test_halving_the_step_lowers_every_error_at_least_1_8_times():
    coarse, fine = (
        compare_routes(simulate(c, states=default_states(c)[::6], steps=steps))
        for c in [samples.three_piece()]
        for steps in (640, 1280)
    )
    for quantity in ("joint_angle", "slip", "speed_ratio", "fluctuation", "closure_gap"):
        assert getattr(coarse, quantity) >= 1.8 * getattr(fine, quantity), quantity


def negative_phases(monkeypatch):
    right = joints.phases_of
    monkeypatch.setattr("sim.motion.solve.phases_of", lambda c: tuple(-p for p in right(c)))


def dropped_phases(monkeypatch):
    monkeypatch.setattr("sim.motion.solve.phases_of", lambda c: (0.0,) * len(c.shafts))


def quarter_turn_at_every_joint(monkeypatch):
    cross, first = joints.cross, joints._first_pair

    def right(axis):
        e1, _ = first(axis)
        return e1, cross(axis, e1)

    monkeypatch.setattr("sim.motion.joints._first_pair", right)
    monkeypatch.setattr("sim.motion.joints.cross", lambda a, b: cross(a, cross(a, b)))


def vertical_first_pin(monkeypatch):
    right = joints._first_pair

    def turned(axis):
        e1, e2 = right(axis)
        return e2, -e1

    monkeypatch.setattr("sim.motion.joints._first_pair", turned)


WRONG_SPEEDS = [negative_phases, dropped_phases, vertical_first_pin, quarter_turn_at_every_joint]


@pytest.mark.parametrize("break_formula", WRONG_SPEEDS)
def test_a_wrong_pin_or_phase_in_the_formulas_is_found(break_formula, monkeypatch):
    motion = simulated("three_piece")
    break_formula(monkeypatch)
    found = compare_routes(motion)
    assert found.speed_ratio > 10 * 3e-5
    assert not found.keeps(Promise())


@pytest.mark.parametrize("name", ["one_piece", "three_piece"])
def test_a_joint_that_slides_the_wrong_way_is_found(name, monkeypatch):
    motion = simulated(name)
    right = chain._slide
    monkeypatch.setattr("sim.motion.chain._slide", lambda *given: -right(*given))
    found = compare_routes(motion)
    assert found.slip > 10 * 0.01e-3
    assert not found.keeps(Promise())


def test_a_bearing_in_another_place_is_found(monkeypatch):
    motion = simulated("two_piece")
    moved = motion.configuration.bearings[0].point + np.array([0, 0.001, 0])
    other = replace(
        motion.configuration, bearings=(replace(motion.configuration.bearings[0], point=moved),)
    )
    found = compare_routes(replace(motion, configuration=other))
    assert np.degrees(found.joint_angle) > 0.05
    assert found.closure_gap == pytest.approx(0.001, rel=0.05)


@pytest.mark.parametrize("quantity", ["joint_angle", "slip", "speed_ratio", "fluctuation"])
def test_a_promise_is_broken_by_any_one_difference(quantity):
    found = replace(compare_routes(simulated("car")), **{quantity: 1.0})
    assert not found.keeps(Promise())


def test_only_a_simulated_motion_is_compared(two_piece):
    exact = solve(two_piece, states=default_states(two_piece)[:1])
    with pytest.raises(DomainError, match='comes from "solve"'):
        agreement.compare_routes(exact)
