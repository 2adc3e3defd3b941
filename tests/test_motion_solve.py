"""States, sweep and the whole Motion."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from dataclasses import FrozenInstanceError, replace
from pathlib import Path

import numpy as np
import pytest
import samples

from sim.errors import DomainError, GeometryError
from sim.motion.solve import TURN_ANGLES, postures_of, solve
from sim.motion.sweep import named_heights, sweep_states
from sim.scene.parts import Height, TorqueCase

MAKERS = [
    samples.one_piece,
    samples.two_piece,
    samples.three_piece,
    samples.car,
    samples.links_van,
]


@pytest.mark.parametrize("make", MAKERS)
def test_motion_has_the_shapes_it_promises_and_no_value_that_is_not_a_number(make):
    made = make()
    motion = solve(made)
    states, shafts = len(motion.states), len(made.shafts)
    joints, members = shafts + 1, shafts + 2
    shapes = {
        "turn_angle": (states, TURN_ANGLES),
        "joint_center": (states, 1, joints, 3),
        "axis": (states, 1, members, 3),
        "slip": (states, 1),
        "output_slip": (states, 1),
        "axle_center": (states, 3),
        "axle_rotation": (states, 3, 3),
        "wrap": (states,),
        "driving_pin": (states, TURN_ANGLES, joints, 3),
        "driven_pin": (states, TURN_ANGLES, joints, 3),
        "speed_ratio": (states, TURN_ANGLES, members),
    }
    for name, shape in shapes.items():
        assert getattr(motion, name).shape == shape, name
        assert np.isfinite(getattr(motion, name)).all(), name
    assert motion.route == "solve"
    assert (motion.speed_ratio[:, :, 0] == 1).all()


def test_motion_is_read_only():
    motion = solve(samples.car())
    with pytest.raises(ValueError, match="read-only"):
        motion.slip[0] = 1.0
    with pytest.raises(FrozenInstanceError):
        motion.route = "simulate"


@pytest.mark.parametrize("turn_angle", [[0.0, 1.0], np.tile([0.0, 1.0], (3, 1))])
def test_turn_angles_are_shared_or_given_for_each_state(turn_angle):
    states = sweep_states(samples.car())[:3]
    motion = solve(samples.car(), states=states, turn_angle=turn_angle)
    assert motion.turn_angle == pytest.approx(np.tile([0.0, 1.0], (3, 1)), abs=0)


@pytest.mark.parametrize(
    ("states", "turn_angle", "words"),
    [
        ((), None, "at least one state"),
        (None, [np.nan], "finite angles"),
        (None, [], "finite angles"),
        (None, np.zeros((2, 5)), r"has shape \(2, 5\); \(T,\) or \(164, T\)"),
        (None, np.zeros((1, 2, 3)), r"has shape \(1, 2, 3\)"),
    ],
)
def test_calls_that_make_no_sense_are_refused(states, turn_angle, words):
    with pytest.raises(DomainError, match=words):
        solve(samples.car(), states=states, turn_angle=turn_angle)


def test_output_moves_with_its_torque_case():
    launch = TorqueCase(name="hard launch", output_move=(0.002, 0.0, 0.004), output_tip=0.01)
    made = samples.two_piece(torque_cases=(TorqueCase(name="no torque"), launch))
    states = [s for s in sweep_states(made) if s.height == "ride height" and not s.roll]
    held = postures_of(made, states)
    moved = held.joint_center[1, 0] - held.joint_center[0, 0]
    assert moved == pytest.approx([0.002, 0.0, 0.004], abs=1e-15)
    other = replace(states[1], case="not in the scene")
    assert postures_of(made, [other]).joint_center[0, 0] == pytest.approx(made.output.point, abs=0)


def test_state_that_cannot_be_is_named():
    deep = replace(samples.TRUCK_TRAVEL, droop=0.6)
    words = 'configuration "one-piece", full droop, no torque: the shackle cannot close'
    with pytest.raises(GeometryError, match=words):
        solve(samples.one_piece(travel=deep))


def test_state_that_cannot_be_is_named_in_the_units_of_the_scene():
    made = samples.one_piece(display="inch")
    deep = replace(sweep_states(made)[0], height="", travel=-0.635)  # 25 in
    with pytest.raises(GeometryError, match=r"25\.00 in droop, no torque: the shackle cannot"):
        postures_of(made, [deep])


def test_two_processes_give_the_same_bits():
    code = (
        "import hashlib, samples; from sim.motion.solve import solve;"
        "m = solve(samples.two_piece());"
        "print(hashlib.sha256(m.speed_ratio.tobytes() + m.slip.tobytes()).hexdigest())"
    )
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(samples.__file__).parent,
    )
    motion = solve(samples.two_piece())
    ours = hashlib.sha256(motion.speed_ratio.tobytes() + motion.slip.tobytes()).hexdigest()
    assert run.stdout.strip() == ours


# --- the sweep ------------------------------------------------------------------------------------


def test_sweep_goes_through_every_height_in_every_torque_case():
    made = samples.one_piece()
    states = sweep_states(made)
    for case in made.torque_cases:
        level = [s.travel for s in states if s.case == case.name and not s.roll]
        assert level == sorted(level)
        assert (level[0], level[-1]) == (-0.110, 0.095)
        assert {0.0, 0.045} <= set(level)
        assert len(level) >= 41
    labels = {s.label for s in states}
    assert {"full droop, no torque", "loaded, cruise", "full bump, hard launch"} <= labels
    assert "ride height, rolled +3.0 deg, hard launch" in labels
    assert "ride height, rolled −3.0 deg, hard launch" in labels


def test_no_state_comes_twice():
    states = sweep_states(samples.links_van())
    assert len(set(states)) == len(states)


def test_parked_low_is_at_rest_only_and_does_not_turn():
    states = [s for s in sweep_states(samples.links_van()) if s.height == "parked low"]
    assert [(s.case, s.turning, s.road_speed) for s in states] == [("no torque", False, 0.0)]


def test_named_height_runs_only_its_own_torque_cases():
    cases = [s.case for s in sweep_states(samples.links_van()) if s.height == "loaded"]
    assert cases == ["no torque", "cruise"]


def test_named_heights_come_in_the_order_people_ask():
    names = [h.name for h in named_heights(samples.links_van())]
    assert names == ["ride height", "full droop", "full bump", "loaded", "parked low"]


@pytest.mark.parametrize("missing", ["travel", "suspension"])
def test_without_travel_or_suspension_there_is_only_ride_height(missing):
    bare = replace(samples.one_piece(), **{missing: None})
    states = sweep_states(bare)
    assert {(s.height, s.travel, s.roll) for s in states} == {("ride height", 0.0, 0.0)}
    assert len(states) == len(bare.torque_cases)
    assert states[0].road_speed == bare.vehicle.top_speed
    assert solve(replace(bare, suspension=None)).slip == pytest.approx(0.0, abs=1e-15)


def uneven(left, right, **vehicle):
    height = Height(name="one wheel up", left=left, right=right)
    travel = replace(samples.TRUCK_TRAVEL, heights=(height,))
    made = samples.one_piece(travel=travel, vehicle=replace(samples.TRUCK, **vehicle))
    return next(s for s in sweep_states(made) if s.height == "one wheel up")


def test_wheels_at_different_heights_roll_the_axle():
    state = uneven(-0.020, 0.040)
    assert state.travel == pytest.approx(0.010, abs=1e-15)
    assert np.sin(state.roll) == pytest.approx(0.060 / 1.7, abs=1e-15)


def test_rolled_height_needs_the_track():
    with pytest.raises(DomainError, match=r"vehicle\.track must be known"):
        uneven(0.0, 0.040, track=None)


def test_wheels_further_apart_in_height_than_across_are_refused():
    with pytest.raises(DomainError, match="differ by more than the track"):
        uneven(0.0, 2.0)


@pytest.mark.parametrize(
    ("case", "vehicle", "speed"),
    [
        ({"name": "hard launch", "road_speed": 9.0}, {}, 9.0),
        ({"name": "hard launch"}, {"engine_cut_off": None}, 50 / 3.6),
        ({"name": "tow", "wheel_torque": 500.0}, {}, 155 / 3.6),
        # a tenth of hard launch, 0.9 · 14200 · 0.395 · 1.2 N m, counts as cruise: common practice
        ({"name": "tow", "wheel_torque": 500.0}, {"engine_torque": None}, 155 / 3.6),
        ({"name": "tow", "wheel_torque": 700.0}, {"engine_torque": None}, 40 / 3.6),
        ({"name": "tow", "wheel_torque": 3000.0}, {}, 40 / 3.6),  # under half of it; proposal
        ({"name": "tow", "wheel_torque": 3100.0}, {}, 5600 / 4.17 / 60 * 2.545 / 4.1),
        ({"name": "tow", "wheel_torque": 3100.0}, {"top_speed": 8.0}, 8.0),
        ({"name": "tow", "wheel_torque": 3000.0}, {"top_speed": 8.0}, 8.0),
        # 0.2 · 610 · 0.69 · 4.1 · 0.92 · 0.96 = 304.8 N m is what the engine drags in top gear
        ({"name": "coast", "wheel_torque": -300.0}, {}, 155 / 3.6),
        ({"name": "coast", "wheel_torque": -310.0}, {}, 5600 / 4.17 / 60 * 2.545 / 4.1),
        ({"name": "engine braking", "wheel_torque": -1.0}, {}, 5600 / 4.17 / 60 * 2.545 / 4.1),
        ({"name": "tow", "wheel_torque": 5000.0}, {"first_gear": None}, 50 / 3.6),
        ({"name": "coast", "wheel_torque": 0.0}, {}, 155 / 3.6),
    ],
)
def test_road_speed_that_belongs_to_a_torque_case(case, vehicle, speed):
    made = samples.one_piece(
        torque_cases=(TorqueCase(**case),), vehicle=replace(samples.TRUCK, **vehicle)
    )
    ride = next(s for s in sweep_states(made) if s.height == "ride height")
    assert ride.road_speed == pytest.approx(speed, rel=1e-3)


def test_wheel_nearer_to_its_stop_decides_the_road_speed():
    # 850 mm · sin 3 deg is 44 mm, less than half of 95 mm; of 6 deg 89 mm: by hand
    for roll, share in ((3.0, 0.0), (6.0, (0.85 * np.sin(np.deg2rad(6)) / 0.095 - 0.5) / 0.5)):
        made = samples.one_piece(travel=replace(samples.TRUCK_TRAVEL, roll=np.deg2rad(roll)))
        rolled = [s for s in sweep_states(made) if s.roll > 0 and s.case == "no torque"]
        assert rolled[0].road_speed * 3.6 == pytest.approx(155 - share * 105)


@pytest.mark.parametrize(("top", "speed"), [(155.0, 50.0), (30.0, 30.0)])
def test_at_the_stop_and_beyond_it_no_vehicle_is_slower_nor_faster_than_it_can_be(top, speed):
    # 850 mm · sin 7 deg is 104 mm, more than the 95 mm of bump: by hand
    for roll in (np.arcsin(0.095 / 0.85), np.deg2rad(7)):
        made = samples.one_piece(
            travel=replace(samples.TRUCK_TRAVEL, roll=float(roll)),
            vehicle=replace(samples.TRUCK, top_speed=top / 3.6),
        )
        rolled = [s for s in sweep_states(made) if s.roll > 0 and s.case == "no torque"]
        assert rolled[0].road_speed * 3.6 == pytest.approx(speed)


def test_vehicle_that_goes_only_one_way_is_fast_where_it_cannot_go():
    made = samples.one_piece(travel=replace(samples.TRUCK_TRAVEL, droop=0.0, heights=()))
    states = [s for s in sweep_states(made) if s.case == "no torque"]
    assert states[0].road_speed == pytest.approx(155 / 3.6)
