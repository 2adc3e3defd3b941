"""Where every moving body is in one state and at one angle of the turn."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

import numpy as np

from sim.motion.frames import rotation_y, unit
from sim.motion.motion import Motion
from sim.scene.parts import FrameMounted, LeafSprings, Links, MeasuredAxle, plunging_joint
from sim.world.joint_poses import Held, joint_poses
from sim.world.shapes.axle import FLANGE
from sim.world.shapes.layout import (
    BENDS,
    LINKS,
    SIDES,
    Half,
    bend_of,
    leaf_group,
    link_ends,
    rear_eye,
    ride_bends,
    traction_bar,
)
from sim.world.shapes.mesh import AWAY, Array, frame
from sim.world.shapes.sizes import half_track

Placed = Iterator[tuple[str, Array]]
RIGHT = np.array([0.0, 1.0, 0.0])


def body_poses(motion: Motion, state: int, turn: int) -> dict[str, Array]:
    """Return the pose of every moving group; the other bodies stay where they are.

    Args:
        motion: The motion.
        state: Number of the state.
        turn: Number of the output angle in that state; the wheels roll on with it.

    Returns:
        Poses, shape (4, 4), by group; a bend of a leaf that is not shown lies far below.
    """
    return dict(
        [
            *_driveline(motion, state, turn),
            *_axle(motion, state),
            *_wheels(motion, state, turn),
            *_springs(motion, state),
        ]
    )


def _driveline(motion: Motion, state: int, turn: int) -> Placed:
    """Place output, joints, shafts and pinion by their axes and pins."""
    configuration = motion.configuration
    held = min(turn, motion.joint_center.shape[1] - 1)
    center, axis = motion.joint_center[state, held], motion.axis[state, held]
    driving, driven = motion.driving_pin[state, turn], motion.driven_pin[state, turn]
    plunging, last = plunging_joint(configuration), len(configuration.shafts)
    fixed = center[0] - _slide_on_output(motion, state, held) * axis[0]
    yield "output", _pose(fixed if plunging == 1 else center[0], axis[0], driving[0])
    yield "housing", frame(fixed, axis[0], RIGHT)
    for number in range(last + 1):
        joint = Held(
            center=center[number],
            ahead=axis[number],
            behind=axis[number + 1],
            driving=driving[number],
            driven=driven[number],
        )
        yield from joint_poses(configuration, number, joint)
        name, origin = f"shaft {number + 1}" if number < last else "pinion", center[number]
        if configuration.spline.at == "shaft" and plunging == last == number + 1:
            origin = origin + motion.slip[state, held] * axis[number + 1]  # behind what slides
        yield name, _pose(origin, axis[number + 1], driven[number])
    if configuration.spline.at == "midship" and not plunging:
        yield "slip yoke", _pose(center[last - 1], axis[last - 1], driving[last - 1])
    elif configuration.spline.at == "shaft" and not plunging:
        yield "shaft tail", _pose(center[last], axis[last], driving[last])


def _slide_on_output(motion: Motion, state: int, held: int) -> float:
    """Return how far the first joint has slid on what stays with the vehicle [m]."""
    if motion.configuration.spline.at == "output":
        return float(motion.slip[state, held])
    return float(motion.output_slip[state, held])  # 0 without a slip yoke ahead of a bearing


def _pose(origin: Array, along: Array, pin: Array) -> Array:
    """Return the pose of a turning part: x along its axis, y along its pin."""
    return frame(origin, along, pin)


def _axle(motion: Motion, state: int) -> Placed:
    """Place axle or final drive by how it moved from ride height, and the floor under the tires."""
    yield "axle", axle_move(motion, state)
    ground = np.eye(4)
    tire = motion.configuration.vehicle.tire_radius
    ground[2, 3] = _wheel_center(motion, state, 0.0)[2] - tire
    yield "ground", ground


def axle_move(motion: Motion, state: int) -> Array:
    """Return the move of axle or final drive from where it stands at ride height.

    Args:
        motion: The motion.
        state: Number of the state.

    Returns:
        Rigid move of points in the vehicle's axes, shape (4, 4).
    """
    configuration, move = motion.configuration, np.eye(4)
    if configuration.on_frame:
        move[:3, :3] = rotation_y(motion.wrap[state])
        before, after = configuration.pinion.point, motion.joint_center[state, 0, -1]
    else:
        move[:3, :3] = motion.axle_rotation[state]
        before, after = configuration.axle, motion.axle_center[state]
    move[:3, 3] = after - move[:3, :3] @ before
    return move


def _wheel_center(motion: Motion, state: int, sign: float) -> Array:
    """Return a wheel's center: left at −1, right at +1, their middle at 0 [m], shape (3,)."""
    configuration = motion.configuration
    out = sign * half_track(configuration)
    if configuration.on_frame:
        height = motion.states[state].travel + out * np.sin(motion.states[state].roll)
        return np.asarray(configuration.axle + np.array([0.0, out, height]))
    return np.asarray(motion.axle_center[state] + motion.axle_rotation[state] @ (out * RIGHT))


def _wheels(motion: Motion, state: int, turn: int) -> Placed:
    """Place the wheels, turned by the output's angle over the axle ratio, and the half shafts."""
    configuration = motion.configuration
    mounted = configuration.on_frame
    roll = rotation_y(-motion.turn_angle[state, turn] / configuration.vehicle.axle_ratio)
    carrier = np.eye(3) if mounted else motion.axle_rotation[state]
    move = axle_move(motion, state)
    for side, sign in SIDES.items():
        pose = np.eye(4)
        pose[:3, :3] = carrier @ roll
        pose[:3, 3] = _wheel_center(motion, state, sign)
        yield f"wheel {side}", pose
        if mounted:
            flange = _moved(move, configuration.axle + sign * FLANGE * RIGHT)
            across = pose[:3, 3] - flange
            spun = frame(flange, across, roll @ np.array([0.0, 0.0, 1.0]))
            yield f"half shaft {side}", spun


def _springs(motion: Motion, state: int) -> Placed:
    """Place leaf packs and shackles, or links, between frame and axle."""
    suspension = motion.configuration.suspension
    move = axle_move(motion, state)
    match suspension:
        case LeafSprings():
            for side, sign in SIDES.items():
                yield from _leaf(motion, suspension, move, side, sign)
                if suspension.wrap_control > 0:
                    rear, front = traction_bar(motion.configuration, suspension, sign)
                    held = _moved(move, rear)
                    yield f"traction bar {side}", frame(held, front - held, RIGHT)
        case Links():
            for name in LINKS:
                start, end = link_ends(motion.configuration, suspension, name)
                yield name, frame(start, _moved(move, end) - start, RIGHT)
        case FrameMounted() | MeasuredAxle() | None:
            pass
        case _:
            assert_never(suspension)


def _leaf(motion: Motion, springs: LeafSprings, move: Array, side: str, sign: float) -> Placed:
    """Place one pack: each half from its eye to the seat, in its nearest bend, and its shackle."""
    configuration, across = motion.configuration, sign * springs.spacing / 2 * RIGHT
    seat = _moved(move, configuration.axle + across + [0.0, 0.0, springs.seat_height])
    along = unit(move[:3, 0] * [1.0, 0.0, 1.0])
    aft_eye = rear_eye(springs, seat, along)
    halves: tuple[tuple[Half, Array, Array], ...] = (
        ("front", springs.front_eye + across, along),
        ("rear", aft_eye, -along),
    )
    for half, eye, heading in halves:
        yield from _half(motion, springs, side, half, eye, seat, heading)
    pivot = springs.shackle_pivot * [1.0, 0.0, 1.0] + aft_eye * [0.0, 1.0, 0.0]
    yield f"shackle {side}", frame(pivot, aft_eye - pivot, RIGHT)


def _half(
    motion: Motion,
    springs: LeafSprings,
    side: str,
    half: Half,
    eye: Array,
    seat: Array,
    heading: Array,
) -> Placed:
    """Place one half in the bend that is nearest and lay the other bends away."""
    bends = ride_bends(motion.configuration, springs, half)
    shown = int(np.argmin(np.abs(bends - bend_of(seat - eye, heading))))
    for number in range(BENDS):
        pose = frame(eye, seat - eye, RIGHT) if number == shown else AWAY
        yield leaf_group(side, half, number), pose


def _moved(move: Array, point: Array) -> Array:
    """Return a point moved by a rigid move, shape (3,)."""
    return np.asarray(move[:3, :3] @ point + move[:3, 3])
