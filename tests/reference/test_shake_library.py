"""Forces into gearbox, bearings and axle against beam elements of a general library.

ROSS, an open-source library for rotordynamics, gives the matrices of one element; all else stands
in ``mechanisms/shaken.py``, apart from the package.  What nobody measures is restated here: common
practice, no source, where nothing else stands beside it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from reference.mechanisms.shaken import (
    Row,
    Spring,
    Tube,
    element,
    joint_loads,
    longest,
    second_orders,
)
from scene_lines import with_lines

from sim.explore.shaken import Course, shake_of
from sim.measure.whirl.beam import element_matrices, round_section
from sim.motion.solve import solve
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene, read_scene

SCENES = Path(__file__).parents[2] / "scenes"
KMH = 1 / 3.6
RUBBER_LOSS, TUBE_LOSS, END_LOSS = 0.10, 0.02, 0.15
GRADE, BOW = 0.016, 0.2e-3  # G16 of ISO 21940-11 [m/s]; half of 0.4 mm runout [m]
OUTPUT, PINION_UP, PINION_ASIDE = (180e3, 70.0), (370e3, 30.0), (3e6, 330.0)  # [N/m], [kg]
OUTPUT_LEVER, YOKE_RADIUS = 0.9, 0.035  # [m]
SPEEDS = np.array([12, 60, 90, 120, 140]) * KMH


@cache
def made(name: str, configuration: str, *lines: str) -> Configuration:
    path = SCENES / f"{name}.toml"
    if not lines:
        return load_scene(path).configuration(configuration)
    text = with_lines(path.read_text("utf-8"), configuration, lines)
    return read_scene(text.encode(), str(path)).configuration(configuration)


TRUCK, CHASSIS = "orchard_service_truck", "long_three_piece_chassis"
ONE, TWO = (TRUCK, "one-piece"), (TRUCK, "two-piece")
# Yokes out of line, so that the phase counts; a chassis on two bearings, a bar in its last shaft.
TURNED = (*TWO, 'shaft.1.phase = "40 deg"')
THREE = (CHASSIS, "three-piece")
EVERY = pytest.mark.parametrize("which", [ONE, TWO, TURNED, THREE], ids=["1", "2", "turned", "3"])


@cache
def shaken(which: tuple[str, ...]) -> tuple[Course, ...]:
    found = shake_of(made(*which), SPEEDS, heights=["ride height"], draws=0)
    return found.courses


@cache
def posture(which: tuple[str, ...], label: str, share: float = 1.0):
    """Return axes (M, 3), lengths (N,), where bearings sit behind the joint ahead (N − 1,), torque.

    In a state, or under a share of its torque.
    """
    built = made(*which)
    states = [course.state for course in shaken(which) if course.state.label == label]
    torque = share * states[0].shaft_torque
    state = replace(states[0], shaft_torque=torque, wheel_torque=share * states[0].wheel_torque)
    motion = solve(built, states=[state], turn_angle=np.zeros(1))
    joints, bearings = motion.joint_center[0, 0], motion.bearing_center[0, 0]
    lengths = np.linalg.norm(np.diff(joints, axis=0), axis=-1)
    return motion.axis[0, 0], lengths, np.linalg.norm(bearings - joints[:-2], axis=-1), torque


@cache
def row(which: tuple[str, ...], label: str, share: float = 1.0) -> Row:
    """Return the shafts as tubes, half of what is left of their mass at each end."""
    built = made(*which)
    _, lengths, hung, _ = posture(which, label, share)
    tubes, last = [], len(built.shafts) - 1
    for n, (shaft, length) in enumerate(zip(built.shafts, lengths, strict=True)):
        tube = Tube(length, shaft.tube.outside, shaft.tube.inside, 0.0)
        if n < last:
            tube = replace(tube, hung=hung[n])
        if n == last and built.spline.at == "shaft":  # its spline is a bar at the front
            tube = replace(tube, bar=(0.0, built.spline.engaged, built.spline.diameter))
        area = shaft.tube.outside**2 - shaft.tube.inside**2
        barred = 0.0 if tube.bar is None else tube.bar[1] * (tube.bar[2] ** 2 - area)
        beam = 7850 * np.pi / 4 * (area * length + barred)
        tubes.append(replace(tube, yoke=(shaft.mass - beam) / 2))
    return Row(tubes)


def springs(built: Configuration, rigid: bool, plane: int) -> list[Spring]:
    rubber = [Spring(bearing.radial, RUBBER_LOSS) for bearing in built.bearings]
    if rigid:
        return [Spring(np.inf), *rubber, Spring(np.inf)]
    pinion = (PINION_ASIDE, PINION_UP)[plane]
    return [
        Spring(OUTPUT[0], END_LOSS, OUTPUT[1]),
        *rubber,
        Spring(pinion[0], END_LOSS, pinion[1]),
    ]


def by_joints(which, label: str, speed: float, share: float = 1.0) -> np.ndarray:
    """Return the forces twice per turn at a road speed, rigid ends and on springs, (2, P)."""
    built = made(*which)
    axes, lengths, _, torque = posture(which, label, share)
    beams = row(which, label, share)
    turning = 2 * np.pi * built.vehicle.axle_ratio * speed / built.vehicle.tire_circumference
    inertia = [
        7850 * np.pi / 32 * (s.tube.outside**4 - s.tube.inside**4) * length
        + (s.mass - 7850 * np.pi / 4 * (s.tube.outside**2 - s.tube.inside**2) * length)
        * YOKE_RADIUS**2
        for s, length in zip(built.shafts, lengths, strict=True)
    ]
    phases = [shaft.phase for shaft in built.shafts]
    moments = second_orders(axes, torque, turning, inertia, phases)
    ahead = built.axle - built.pinion.point
    load = joint_loads(beams, axes, moments, (OUTPUT_LEVER, np.hypot(ahead[0], ahead[2])))
    found = []
    for rigid in (True, False):
        planes = [
            beams.forces(load[:, p], 2 * turning, springs(built, rigid, p), TUBE_LOSS)
            for p in (0, 1)
        ]
        found.append(longest(*planes))
    return np.array(found)


def by_turning(which, label: str, speed: float) -> np.ndarray:
    """Return what unbalance and bow do, each alone, rigid ends and on springs, (2, P, C)."""
    built = made(*which)
    beams = row(which, label)
    per_meter = 2 * np.pi * built.vehicle.axle_ratio / built.vehicle.tire_circumference
    turning, loads = per_meter * speed, []
    for n, shaft in enumerate(built.shafts):
        half = GRADE * shaft.mass / (per_meter * built.vehicle.top_speed) / 2
        loads += [turning**2 * half * beams.unbalance(n, end) for end in (0, -1)]
        stays, grows = beams.bow(n)
        loads.append(BOW * (stays + turning**2 * grows))
    load, found = np.array(loads).T, []
    for rigid in (True, False):  # a quarter turn later upright; damping that turns along is idle
        aside = beams.forces(load, turning, springs(built, rigid, 0))
        upright = beams.forces(-1j * load, turning, springs(built, rigid, 1))
        found.append(longest(aside, upright))
    return np.array(found)


def test_an_element_is_that_of_the_library():
    stiffness, mass = element_matrices(round_section(0.1016, 0.0974, 207e9, 0.3, 7850.0), 0.08)
    for ours, theirs in zip((stiffness, mass), element(0.08, 0.1016, 0.0974), strict=True):
        np.testing.assert_allclose(ours[0], theirs, rtol=1e-12)


@EVERY
def test_joints_shake_under_torque_as_elements_of_the_library_do(which):
    courses = [c for c in shaken(which) if c.order == 2 and c.state.situation != "cruise"]
    assert {course.state.situation for course in courses} >= {"overrun", "hard launch"}
    for course in courses:
        for k, speed in enumerate(course.speed):
            expected = by_joints(which, course.state.label, float(speed))
            np.testing.assert_allclose(course.force[:, 0, k], expected, rtol=2e-4)
            np.testing.assert_array_equal(course.worst, course.force)


@EVERY
def test_joints_shake_in_cruise_as_elements_of_the_library_do(which):
    # The torque is the road load of each speed: 0.012 of twice the axle load, and air on 1.5 m².
    # Loads between those without torque and those of the top speed are taken in a straight line,
    # lengths are those of the top speed: off by at most 1.5 % of what the places feel together.
    (course,) = (c for c in shaken(which) if c.order == 2 and c.state.situation == "cruise")
    vehicle = made(*which).vehicle

    def road_load(v: float) -> float:
        return 0.012 * 2 * vehicle.axle_load + 0.6 * 1.5 * v**2

    for k, speed in enumerate(course.speed):
        share = road_load(float(speed)) / road_load(vehicle.top_speed)
        expected = by_joints(which, course.state.label, float(speed), share)
        whole = np.linalg.norm(expected, axis=-1, keepdims=True)
        assert np.all(np.abs(course.force[:, 0, k] - expected) < 0.015 * whole)


@EVERY
def test_unbalance_and_bow_shake_as_elements_of_the_library_do(which):
    (course,) = (c for c in shaken(which) if c.order == 1)
    for k, speed in enumerate(course.speed):
        each = by_turning(which, course.state.label, float(speed))
        random = np.sqrt((each**2).sum(axis=-1))
        np.testing.assert_allclose(course.worst[:, 0, k], each.sum(axis=-1), rtol=5e-4)
        np.testing.assert_allclose(course.force[:, 0, k], random, rtol=5e-4)


@EVERY
def test_bearings_swing_as_far_as_their_force_bends_the_rubber(which):
    stiffness = np.array([bearing.radial for bearing in made(*which).bearings])
    for course in shaken(which):
        expected = course.worst[:, 0, :, 1:-1] / np.abs(stiffness * (1 + 1j * RUBBER_LOSS))
        np.testing.assert_allclose(course.given[:, 0], expected, rtol=1e-12)


# Forces [N] of the default truck in cruise, ends rigid, worked out apart from this package with
# eight elements a shaft: at 60, 90, 120 km/h.
TABLE = [
    (ONE, 1, [[10.72, 10.72], [33.60, 33.60], [99.89, 99.89]]),
    (ONE, 2, [[0.95, 0.97], [50.04, 52.06], [14.94, 17.00]]),
    (TWO, 1, [[6.15, 13.24, 8.15], [13.05, 11.47, 17.43], [22.76, 11.08, 31.77]]),
    (TWO, 2, [[3.31, 0.20, 5.15], [5.08, 0.11, 5.98], [7.51, 0.06, 4.28]]),
]


@pytest.mark.parametrize(("which", "order", "expected"), TABLE)
def test_the_default_truck_shakes_as_worked_out_apart(which, order, expected):
    (course,) = (c for c in shaken(which) if c.order == order and c.state.situation == "cruise")
    at = np.searchsorted(course.speed, np.array([59, 89, 119]) * KMH)
    np.testing.assert_allclose(course.worst[0, 0, at], expected, rtol=0.01, atol=0.005)
