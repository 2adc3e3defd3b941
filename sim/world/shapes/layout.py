"""Where the parts stand that a scene does not place: rails, links side by side, bends of a leaf.

Shapes and poses share these, so that what is made fits what moves it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, assert_never

import numpy as np

from sim.scene.parts import Configuration, FrameMounted, LeafSprings, Links, MeasuredAxle
from sim.world.shapes.mesh import Array
from sim.world.shapes.sizes import half_track

Half = Literal["front", "rear"]

SIDES = {"left": -1.0, "right": 1.0}
LINKS = {
    f"{which} link {side}": (which == "lower", sign)
    for which in ("lower", "upper")
    for side, sign in SIDES.items()
}
"""Links of a suspension by name: whether each is a lower one, and on which side."""

BENDS = 21
"""Bends in which each half of a leaf pack is made."""

WIND_UP = 0.20
"""How far the seat may turn under torque beside what travel bends [rad]."""

RAIL_HEIGHT = 0.13

INSIDE, UNDER, AHEAD = 0.085, 0.11, 0.06
"""A traction bar: inside of its spring, under axle and eye, behind the eye [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSpring:
    """Heights of an air spring at ride height [m]."""

    piston_top: float
    bag_low: float
    bag_high: float


def rail_bottom(configuration: Configuration) -> float:
    """Return the height of the lower edge of the frame rails [m].

    It clears what stays the same in all configurations of a vehicle: output, spring or link points
    on the frame, and the axle at full bump.
    """
    suspension, travel = configuration.suspension, configuration.travel
    known = [configuration.output.point[2] + 0.05]
    match suspension:
        case LeafSprings():
            known += [suspension.front_eye[2] + 0.03, suspension.shackle_pivot[2] + 0.03]
        case Links():
            known += [suspension.upper_frame[2] + 0.04, suspension.lower_frame[2] + 0.04]
        case FrameMounted():
            known.append(suspension.mount[2] + 0.05)
        case MeasuredAxle() | None:
            pass
        case _:
            assert_never(suspension)
    if travel is not None:
        known.append(configuration.axle[2] + max(travel.bump, travel.parked_low or 0.0) + 0.07)
    return float(max(known))


def half_length(springs: LeafSprings, half: Half) -> float:
    """Return eye to seat of one half along the spring [m]."""
    return springs.front_half if half == "front" else springs.rear_half


def traction_bar(
    configuration: Configuration, springs: LeafSprings, sign: float
) -> tuple[Array, Array]:
    """Return where a traction bar is held on axle and frame at ride height [m], both (3,).

    It stands inside of a leaf pack, from under the axle tube to under the spring's front eye: the
    scene has its stiffness alone.
    """
    across = sign * (springs.spacing / 2 - INSIDE) * np.array([0.0, 1.0, 0.0])
    rear = configuration.axle + across + [0.0, 0.0, -UNDER]
    front = springs.front_eye * [1.0, 0.0, 1.0] + across + [AHEAD, 0.0, -UNDER]
    return rear, front


def leaf_group(side: str, half: Half, number: int) -> str:
    """Return the group of one half of a pack in one of its bends."""
    return f"leaf {side} {half} {number}"


def ride_bends(configuration: Configuration, springs: LeafSprings, half: Half) -> Array:
    """Return the bends in which a half is made [rad], shape (BENDS,), the ride height's amid them.

    Args:
        configuration: Whose: its travel and axle say how far a half bends.
        springs: Its springs.
        half: "front" or "rear".

    Returns:
        Angle of the seat's direction against the line from eye to seat, about the line's own
        axis, upward positive where x runs from eye to seat and y to the right.
    """
    eye, seat = resting_ends(configuration, springs, half)
    middle = bend_of(seat - eye, np.array([1.0 if half == "front" else -1.0, 0.0, 0.0]))
    travel = configuration.travel
    most = 0.05 if travel is None else max(travel.droop, travel.bump, travel.parked_low or 0.0)
    spread = most / half_length(springs, half) + 0.20  # wind-up
    return middle + spread * np.linspace(-1.0, 1.0, BENDS)


def resting_ends(
    configuration: Configuration, springs: LeafSprings, half: Half
) -> tuple[Array, Array]:
    """Return eye and seat of one half at ride height in the spring's plane [m], shape (3,)."""
    seat = configuration.axle * [1.0, 0.0, 1.0] + [0.0, 0.0, springs.seat_height]
    if half == "front":
        return springs.front_eye * [1.0, 0.0, 1.0], seat
    return rear_eye(springs, seat, np.array([1.0, 0.0, 0.0])), seat


def rear_eye(springs: LeafSprings, seat: Array, along: Array) -> Array:
    """Return the rear eye [m], shape (3,): on the shackle and on the arm of the rear half.

    Args:
        springs: The springs.
        seat: Center bolt [m], shape (3,); only its place in side view counts.
        along: Direction of the seat, aft, shape (3,).

    Returns:
        The eye in the plane of the seat, as near as it gets where nothing closes.

    Source:
        Derived in DEVELOPERS.md, the leaf spring as links.
    """
    hinge = seat + (1 - springs.arm_fraction) * springs.rear_half * along
    arm, shackle = springs.arm_fraction * springs.rear_half, springs.shackle
    dx, dz = springs.shackle_pivot[0] - hinge[0], springs.shackle_pivot[2] - hinge[2]
    span = float(np.hypot(dx, dz))
    bend = np.clip((arm**2 + span**2 - shackle**2) / (2 * arm * span), -1.0, 1.0)
    side = 1.0 if springs.shackle_kind == "hanging" else -1.0
    slope = np.arctan2(-dz, dx) + side * np.arccos(bend)
    return np.array([hinge[0] + arm * np.cos(slope), seat[1], hinge[2] - arm * np.sin(slope)])


def bend_of(line: Array, heading: Array) -> float:
    """Return the angle of a heading against a line, both in side view [rad].

    Positive toward z of a frame whose x is the line and whose y is to the right.
    """
    turn = line[0] * heading[2] - line[2] * heading[0]
    return float(np.arctan2(turn, line[0] * heading[0] + line[2] * heading[2]))


def link_ends(configuration: Configuration, links: Links, name: str) -> tuple[Array, Array]:
    """Return frame end and axle end of a link at ride height [m], shape (3,)."""
    lower, sign = LINKS[name]
    start = links.lower_frame if lower else links.upper_frame
    end = links.lower_axle if lower else links.upper_axle
    share = 0.62 if lower else 0.30
    across = np.array([0.0, sign * share * half_track(configuration), 0.0])
    return start + across, end + across


def link_length(links: Links, name: str) -> float:
    """Return the length of a link [m]."""
    lower, _ = LINKS[name]
    start = links.lower_frame if lower else links.upper_frame
    end = links.lower_axle if lower else links.upper_axle
    return float(np.linalg.norm(end - start))


def air_spring(configuration: Configuration) -> AirSpring | None:
    """Return the air springs' heights, or None where the scene parks on none."""
    travel = configuration.travel
    if travel is None or travel.parked_low is None:
        return None
    top = float(configuration.axle[2]) + 0.02
    high = max(rail_bottom(configuration) + 0.02, top + max(travel.bump, travel.parked_low) + 0.02)
    return AirSpring(piston_top=top, bag_low=top - travel.droop - 0.01, bag_high=high)
