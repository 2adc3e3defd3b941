"""Bodies stand where the motion says: joints, pins, slip, axle, wheels, springs and links."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import samples

from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import LeafSprings, Links
from sim.world.poses import body_poses
from sim.world.shapes import build_shapes
from sim.world.shapes.layout import bend_of, link_ends, rear_eye, ride_bends, traction_bar
from sim.world.shapes.mesh import AWAY

VEHICLES = ("one_piece", "two_piece", "three_piece", "car", "links_van")


@cache
def motion_of(vehicle: str) -> Motion:
    return solve(getattr(samples, vehicle)())


def state_of(motion: Motion, height: str, case: str = "no torque", *, rolled: bool = False) -> int:
    return next(
        i
        for i, s in enumerate(motion.states)
        if s.height == height and s.case == case and bool(s.roll) == rolled
    )


def shown(poses: dict[str, np.ndarray], start: str) -> list[np.ndarray]:
    return [pose for group, pose in poses.items() if group.startswith(start) and pose is not AWAY]


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_every_pose_is_a_rigid_move_and_every_moving_body_has_one(vehicle: str) -> None:
    motion = motion_of(vehicle)
    groups = {body.group for body in build_shapes(motion.configuration, motion) if body.group}
    for height in ("full droop", "full bump"):
        poses = body_poses(motion, state_of(motion, height, "hard launch"), 17)
        assert groups <= set(poses)
        for group, pose in poses.items():
            rotation = pose[:3, :3]
            assert np.allclose(rotation @ rotation.T, np.eye(3), atol=1e-9), group
            assert np.linalg.det(rotation) == pytest.approx(1.0), group
            assert np.array_equal(pose[3], [0, 0, 0, 1]), group


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_crosses_carry_the_pins_of_both_their_yokes(vehicle: str) -> None:
    motion = motion_of(vehicle)
    state, turn = state_of(motion, "full droop"), 41
    poses = body_poses(motion, state, turn)
    for number in range(len(motion.configuration.joints)):
        cross = poses[f"cross {number + 1}"]
        assert np.allclose(cross[:3, 1], motion.driving_pin[state, turn, number], atol=1e-9)
        assert np.allclose(cross[:3, 2], motion.driven_pin[state, turn, number], atol=1e-9)
        assert np.allclose(cross[:3, 3], motion.joint_center[state, 0, number])


def test_the_rear_yoke_of_a_shaft_out_of_phase_holds_the_pin_of_the_next_joint() -> None:
    motion = motion_of("three_piece")
    state, turn = state_of(motion, "full bump"), 9
    pose = body_poses(motion, state, turn)["shaft 1"]
    phase = motion.configuration.shafts[0].phase
    ear = pose[:3, :3] @ [0.0, np.cos(phase), np.sin(phase)]
    assert np.allclose(ear, motion.driving_pin[state, turn, 1], atol=1e-9)


def test_shafts_reach_from_joint_to_joint() -> None:
    motion = motion_of("two_piece")
    state = state_of(motion, "full bump", "hard launch")
    poses = body_poses(motion, state, 5)
    for number, start in ((2, poses["shaft 2"]), (1, poses["shaft 1"])):
        length = motion.reference.length[number - 1]
        slip = motion.slip[state, 0] if number == 1 else 0.0
        end = start[:3, 3] + start[:3, 0] * (length + slip)
        assert np.allclose(end, motion.joint_center[state, 0, number], atol=1e-9)


def test_the_slip_yoke_slides_on_the_stub_by_the_slip() -> None:
    motion = motion_of("two_piece")
    length = motion.reference.length[0]
    for height in ("full droop", "ride height", "full bump"):
        state = state_of(motion, height)
        poses = body_poses(motion, state, 30)
        stub, yoke = poses["shaft 1"], poses["slip yoke"]
        slid = float((yoke[:3, 3] - stub[:3, 3]) @ stub[:3, 0]) - length
        assert slid == pytest.approx(motion.slip[state, 0], abs=1e-9)
        assert np.allclose(yoke[:3, 0], stub[:3, 0], atol=1e-9)


def test_the_tail_of_a_telescoping_shaft_draws_apart_by_the_slip() -> None:
    motion = motion_of("car")
    state = state_of(motion, "ride height", "hard launch")
    poses = body_poses(motion, state, 30)
    gap = np.linalg.norm(poses["shaft tail"][:3, 3] - poses["shaft 2"][:3, 3])
    assert gap - motion.reference.length[1] == pytest.approx(motion.slip[state, 0], abs=1e-9)
    assert abs(motion.slip[state, 0]) > 1e-5


def test_the_housing_stays_while_the_yoke_on_the_output_slides() -> None:
    motion = motion_of("one_piece")
    slips = []
    for height in ("full droop", "full bump"):
        state = state_of(motion, height)
        poses = body_poses(motion, state, 0)
        assert np.allclose(poses["housing"][:3, 3], motion.configuration.output.point, atol=1e-9)
        slips.append(np.linalg.norm(poses["output"][:3, 3] - poses["housing"][:3, 3]))
        assert slips[-1] == pytest.approx(abs(motion.slip[state, 0]), abs=1e-9)
    assert max(slips) > 0.005


def test_the_pinion_nose_follows_the_pinion_on_a_live_axle() -> None:
    motion = motion_of("two_piece")
    for case in ("no torque", "hard launch"):
        state = state_of(motion, "full bump", case)
        move = body_poses(motion, state, 0)["axle"]
        pinion = motion.configuration.pinion.point
        assert np.allclose(
            move[:3, :3] @ pinion + move[:3, 3], motion.joint_center[state, 0, -1], atol=1e-6
        )


def test_a_final_drive_on_the_frame_stays_while_the_wheels_move() -> None:
    motion = motion_of("car")
    low, high = (state_of(motion, height) for height in ("full droop", "full bump"))
    poses = [body_poses(motion, state, 0) for state in (low, high)]
    assert np.allclose(poses[0]["axle"], poses[1]["axle"], atol=1e-9)
    rise = poses[1]["wheel left"][2, 3] - poses[0]["wheel left"][2, 3]
    assert rise == pytest.approx(0.160, abs=1e-9)
    for pose in poses:
        shaft, wheel = pose["half shaft right"], pose["wheel right"]
        toward = wheel[:3, 3] - shaft[:3, 3]
        assert np.allclose(shaft[:3, 0], toward / np.linalg.norm(toward))


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_tires_stand_on_the_floor_at_every_height(vehicle: str) -> None:
    motion = motion_of(vehicle)
    for height in ("full droop", "ride height", "full bump"):
        poses = body_poses(motion, state_of(motion, height), 3)
        radius = motion.configuration.vehicle.tire_radius
        for side in ("left", "right"):
            above = poses[f"wheel {side}"][2, 3] - poses["ground"][2, 3]
            assert above == pytest.approx(radius, abs=1e-6)


def test_wheels_roll_forward_by_the_turn_over_the_axle_ratio() -> None:
    truck = samples.two_piece()
    ride = [sweep_states(truck)[0]]
    turned = 2.25 * 2 * np.pi  # whole turns of the output count too
    motion = solve(truck, states=ride, turn_angle=np.array([0.0, turned]))
    first, later = body_poses(motion, 0, 0), body_poses(motion, 0, 1)
    before, after = (p["wheel left"][:3, :3] for p in (first, later))
    rotation = after @ before.T
    top = rotation @ [0.0, 0.0, 1.0]
    angle = turned / motion.configuration.vehicle.axle_ratio
    # rolling forward, what was on top goes ahead, toward -x
    expected = [-np.sin(angle), 0.0, np.cos(angle)]
    assert np.allclose(top, expected, atol=2e-2)


def test_half_packs_hang_on_their_eyes_and_point_at_the_seat() -> None:
    motion = motion_of("two_piece")
    springs = motion.configuration.suspension
    assert isinstance(springs, LeafSprings)
    for height in ("full droop", "ride height", "full bump"):
        for case in ("no torque", "hard launch"):
            state = state_of(motion, height, case)
            poses = body_poses(motion, state, 0)
            up = np.array([0.0, 0.0, springs.seat_height])
            turn = motion.axle_rotation[state]
            for side, sign in (("left", -1), ("right", 1)):
                lateral = np.array([0.0, sign * springs.spacing / 2, 0.0])
                seat = motion.axle_center[state] + turn @ (lateral + up)
                (front,) = shown(poses, f"leaf {side} front")
                (rear,) = shown(poses, f"leaf {side} rear")
                assert np.allclose(front[:3, 3], springs.front_eye + lateral, atol=1e-9)
                for pose in (front, rear):
                    line = seat - pose[:3, 3]
                    assert np.allclose(pose[:3, 0], line / np.linalg.norm(line), atol=1e-9)
                shackle = poses[f"shackle {side}"]
                eye = shackle[:3, 3] + springs.shackle * shackle[:3, 0]
                assert np.allclose(eye[[0, 2]], rear[[0, 2], 3], atol=1e-4)


def test_a_traction_bar_is_drawn_and_slides_through_its_bush_on_the_frame() -> None:
    plain = motion_of("two_piece")
    springs = plain.configuration.suspension
    assert isinstance(springs, LeafSprings)
    held = replace(plain.configuration, suspension=replace(springs, wrap_control=4e4))
    motion = solve(held)
    bodies = {b.name: b for b in build_shapes(held, motion)}
    assert not [b for b in build_shapes(plain.configuration, plain) if "traction" in b.name]
    assert "traction bar hangers" in bodies
    for side, sign in (("left", -1), ("right", 1)):
        rear, bush = traction_bar(held, springs, sign)
        reach = bodies[f"traction bar {side}"].vertices[:, 0].max()
        assert sign * rear[1] > 0
        for height in ("full droop", "ride height", "full bump"):
            for case in ("no torque", "hard launch"):
                state = state_of(motion, height, case)
                pose = body_poses(motion, state, 0)[f"traction bar {side}"]
                on_axle = held.axle + motion.axle_rotation[state].T @ (
                    pose[:3, 3] - motion.axle_center[state]
                )
                assert on_axle == pytest.approx(rear, abs=1e-9), "it stays on the axle"
                along = (bush - pose[:3, 3]) @ pose[:3, 0]
                assert pose[:3, 3] + along * pose[:3, 0] == pytest.approx(bush, abs=1e-9)
                assert along < reach, "it reaches through the bush"


def test_packs_hang_through_in_droop_and_arch_in_bump() -> None:
    motion = motion_of("two_piece")
    bodies = {b.name: b for b in build_shapes(motion.configuration, motion)}
    sags = {}
    for height in ("full droop", "full bump"):
        poses = body_poses(motion, state_of(motion, height), 0)
        for half in ("front", "rear"):
            (name,) = (g for g in poses if f"right {half}" in g and poses[g] is not AWAY)
            x, _, z = bodies[name].vertices.T
            end = x.max()
            middle = np.abs(x - 0.3 * end) < 0.1 * end  # clear of the shorter leaves
            up = 1.0 if half == "front" else -1.0  # of a half that runs forward z points down
            sags[height, half] = up * z[middle].mean()
    for half in ("front", "rear"):
        # the seat stays nearly level, so a pack below its eyes lies below the straight line
        assert sags["full droop", half] < -0.005
        assert sags["full bump", half] > sags["full droop", half] + 0.01


def test_bends_reach_over_the_whole_travel() -> None:
    motion = motion_of("two_piece")
    springs = motion.configuration.suspension
    assert isinstance(springs, LeafSprings)
    bends = ride_bends(motion.configuration, springs, "front")
    for state in range(len(motion.states)):
        turn = motion.axle_rotation[state]
        seat = motion.axle_center[state] + turn @ [0, 0, springs.seat_height]
        bend = bend_of(seat - springs.front_eye, turn[:, 0])
        assert bends[0] < bend < bends[-1], motion.states[state].label


def test_the_rear_eye_of_the_check_spring_is_where_the_links_put_it() -> None:
    # intersection of two circles, computed by hand beforehand for this invented spring:
    # rear eye at ride (4399.8281, 491.0040) mm
    springs = replace(
        samples.TRUCK_SPRINGS,
        front_eye=samples.place(3000, 0, 520), shackle_pivot=samples.place(4385, 0, 600),
        shackle=0.110, front_half=0.640, rear_half=0.760,
    )  # fmt: skip
    eye = rear_eye(springs, samples.place(3640, 0, 505), np.array([1.0, 0.0, 0.0]))
    assert eye[[0, 2]] * 1000 == pytest.approx([4399.8281, 491.0040], abs=1e-4)


def test_links_reach_from_frame_to_axle_without_changing_length() -> None:
    motion = motion_of("links_van")
    links = motion.configuration.suspension
    assert isinstance(links, Links)
    for height in ("full droop", "full bump", "parked low"):
        state = state_of(motion, height)
        poses = body_poses(motion, state, 0)
        for name in ("lower link left", "upper link right"):
            start, end = link_ends(motion.configuration, links, name)
            far = poses[name][:3, 3] + np.linalg.norm(end - start) * poses[name][:3, 0]
            turned = motion.axle_rotation[state] @ (end - motion.configuration.axle)
            assert np.allclose(far, motion.axle_center[state] + turned, atol=1e-4)


def test_both_routes_are_posed_alike() -> None:
    motion = motion_of("two_piece")
    turns = motion.turn_angle.shape[1]
    every = replace(
        motion,
        route="simulate",
        **{
            name: np.repeat(getattr(motion, name), turns, axis=1)
            for name in ("joint_center", "axis", "slip", "output_slip")
        },
    )
    state = state_of(motion, "full bump")
    for group, pose in body_poses(motion, state, 77).items():
        assert np.allclose(pose, body_poses(every, state, 77)[group]), group


def kinds(*, at: str = "shaft", plunging: int = 0) -> Motion:
    """Return a three-piece driveline with a joint of every kind, one of them plunging if asked."""
    made = [samples.joint(k) for k in ("double cardan", "flexible", "constant velocity")]
    made.append(samples.joint("constant velocity"))
    if plunging:
        made[plunging - 1] = replace(
            samples.joint("constant velocity"), plunge=0.12, plunge_in=0.06
        )
    three = samples.three_piece(joints=tuple(made))
    return solve(replace(three, spline=replace(three.spline, at=at)))


def test_both_crosses_of_a_double_joint_carry_their_pins_and_share_the_coupling_yoke() -> None:
    motion = kinds()
    state, turn = state_of(motion, "full droop"), 23
    poses = body_poses(motion, state, turn)
    front, rear, yoke = (poses[f"{part} 1"] for part in ("cross", "rear cross", "middle"))
    assert np.allclose(front[:3, 1], motion.driving_pin[state, turn, 0], atol=1e-9)
    assert abs(rear[:3, 2] @ motion.driven_pin[state, turn, 0]) == pytest.approx(1.0, abs=1e-9)
    for pin in (front[:3, 2], rear[:3, 1]):
        assert abs(pin @ yoke[:3, 1]) == pytest.approx(1.0, abs=1e-9)
    half = motion.configuration.joints[0].between_crosses / 2
    assert front[:3, 3] == pytest.approx(
        motion.joint_center[state, 0, 0] - half * motion.axis[state, 0, 0], abs=1e-12
    )
    assert np.allclose((front[:3, 3] + rear[:3, 3]) / 2, yoke[:3, 3])


@pytest.mark.parametrize(("at", "plunging"), [("shaft", 4), ("shaft", 3), ("midship", 3)])
def test_a_plunging_joint_slides_in_its_housing_by_the_slip(at: str, plunging: int) -> None:
    motion = kinds(at=at, plunging=plunging)
    groups = {body.group for body in build_shapes(motion.configuration, motion) if body.group}
    assert not groups & {"slip yoke", "shaft tail"}
    length = motion.reference.length
    for height in ("full droop", "full bump"):
        state = state_of(motion, height)
        poses = body_poses(motion, state, 5)
        assert groups <= set(poses)
        center, slip = motion.joint_center[state, 0, plunging - 1], motion.slip[state, 0]
        # the housing is part of the shaft that the joint slides along: where its center was built
        if plunging == 3 and at == "shaft":
            housing, toward = poses["shaft 3"][:3, 3], -1
        else:
            shaft = poses[f"shaft {plunging - 1}"]
            housing, toward = shaft[:3, 3] + length[plunging - 2] * shaft[:3, 0], 1
        along = motion.axis[state, 0, plunging if toward < 0 else plunging - 1]
        assert center - housing == pytest.approx(toward * slip * along, abs=1e-9)
        assert abs(slip) > 1e-4


def test_a_housing_that_plunges_on_the_output_stays_on_the_vehicle() -> None:
    joints = (replace(samples.joint("constant velocity"), plunge=0.12, plunge_in=0.06),)
    motion = solve(samples.one_piece(joints=(*joints, samples.joint())))
    places = [
        body_poses(motion, state_of(motion, height), 0)["output"][:3, 3]
        for height in ("full droop", "ride height", "full bump")
    ]
    assert places[0] == pytest.approx(places[1], abs=1e-12)
    assert places[2] == pytest.approx(motion.configuration.output.point, abs=1e-12)
