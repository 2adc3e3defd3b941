"""A leaf spring as an elastic rod in side view, bent as far as it likes (Euler's elastica).

Each half is graded: its bending stiffness falls off evenly from the seat to the eye, so that a
load at the eye adds the same curvature everywhere and a straight half becomes an arc.  The front
eye is pinned, the rear eye hangs on a shackle, the seat is clamped to the axle.  The forces on
axle and wheels are balanced below; nothing here comes from the formulas under test.

The rod is cut into cells of equal length; the turn between two cells is the moment there over the
stiffness there.  The marching starts at the eye, where there is no moment, and ends at the seat.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

Array = NDArray[np.float64]

CELLS = 80


@dataclass(frozen=True)
class Half:
    """Half a spring: length [m], bending stiffness at the seat [N m²], free curvature [1/m]."""

    length: float
    stiffness: float
    curvature: float = 0.0

    def seat_from_eye(
        self, slope: float, force: tuple[float, float], inward: float
    ) -> tuple[float, float, float]:
        """March from the eye at the origin to the seat.

        Args:
            slope: Slope at the eye [rad], front end high positive.
            force: On the eye, (aft, up) [N].
            inward: +1 if the seat is aft of the eye, -1 if it is ahead.

        Returns:
            Seat relative to the eye (aft, up) [m], and slope at the seat [rad].
        """
        cell, (fx, fz) = self.length / CELLS, force
        x = z = 0.0
        # At the eye moment and stiffness both vanish; their ratio does not. Half a cell of it:
        square = inward * (np.sin(slope) * fx + np.cos(slope) * fz)
        slope -= 0.5 * cell * (square * self.length / self.stiffness + self.curvature)
        for k in range(1, CELLS + 1):
            x += inward * cell * np.cos(slope)
            z -= inward * cell * np.sin(slope)
            # Moment of the eye's force about this place, nose up positive: r_z F_x - r_x F_z.
            moment = -z * fx + x * fz
            part = 0.5 if k == CELLS else 1.0
            turn = moment / (self.stiffness * k / CELLS) + self.curvature
            slope -= part * cell * turn
        return x, z, slope


@dataclass(frozen=True)
class RodSpring:
    """A spring between the frame points, with its axle.

    Attributes:
        front, rear: The halves.
        eye, pivot: Front eye and shackle pivot (aft, up) [m].
        shackle: Its length [m].
        seat_height: Seat above the axle center [m].
        ride: Balance at ride height: unknowns of ``_openings``, kept as the first guess.
    """

    front: Half
    rear: Half
    eye: tuple[float, float]
    pivot: tuple[float, float]
    shackle: float
    seat_height: float
    ride: Array


def fit(parts, axle_height: float, seat: tuple[float, float], seat_slope: float) -> RodSpring:
    """Make the rod whose balance at ride height is the spring of a scene.

    Free curvature of both halves and the length of the front half (the eye is entered to the
    nearest millimeter) are what the ride posture and the sprung load require.
    """
    a, b = parts.front_half, parts.rear_half
    # Vertical rate of a beam on two cantilevers, seat free to turn: k_a + k_b in series with tilt.
    front_rate = parts.rate * (b * b + parts.half_rates * a * a) / (a + b) ** 2
    rear_rate = front_rate / parts.half_rates
    # A graded cantilever bends to an arc: deflection F L³ / (2 EI).
    bare = RodSpring(
        Half(a, front_rate * a**3 / 2),
        Half(b, rear_rate * b**3 / 2),
        (parts.front_eye[0], parts.front_eye[2]),
        (parts.shackle_pivot[0], parts.shackle_pivot[2]),
        parts.shackle,
        parts.seat_height,
        np.zeros(8),
    )
    share = b / (a + b)
    guess = np.array([seat_slope, 0, -parts.load * share, seat_slope, parts.load * (1 - share), 0])
    down = -np.pi / 2 if parts.shackle_kind == "hanging" else np.pi / 2
    guess[5] = down
    curves = [3 * parts.load * share * a / bare.front.stiffness, 0.0]

    def shaped(u: Array) -> RodSpring:
        return replace(
            bare,
            front=replace(bare.front, curvature=u[6], length=a * u[8]),
            rear=replace(bare.rear, curvature=u[7]),
        )

    def openings(u: Array) -> Array:
        rest = _openings(shaped(u), np.array([*u[:6], seat[0], seat_slope]), axle_height, 0, 0, 1)
        weight = (u[2] + _shackle_force(u[4], u[5])[1] + parts.load) / parts.load
        return np.array([*rest, weight])

    force = parts.load
    scale = np.array([1, force, force, 1, force, 1, 1, 1, 1])
    start = np.array([*guess, *curves, 1.0])
    found = root(lambda v: openings(v * scale), start / scale, tol=1e-12)
    assert np.abs(openings(found.x * scale)).max() < 1e-9, found.message
    u = found.x * scale
    return replace(shaped(u), ride=np.array([*u[:6], seat[0], seat_slope]))


def _shackle_force(pull: float, angle: float) -> tuple[float, float]:
    """Return the force on the rear eye: along the shackle, pull toward the frame pivot positive."""
    return -pull * np.cos(angle), -pull * np.sin(angle)


def _openings(
    spring: RodSpring, u: Array, axle_height: float, torque: float, thrust: float, springs: int
) -> Array:
    """Return what is not closed or not balanced, all of the order of one."""
    slope_front, fx, fz, slope_rear, pull, angle, seat_x, seat_slope = u
    gx, gz = _shackle_force(pull, angle)
    eye = spring.eye
    rear_eye = (
        spring.pivot[0] + spring.shackle * np.cos(angle),
        spring.pivot[1] + spring.shackle * np.sin(angle),
    )
    h = spring.seat_height
    axle_x = seat_x - h * np.sin(seat_slope)
    seat = (seat_x, axle_height + h * np.cos(seat_slope))
    front = spring.front.seat_from_eye(slope_front, (fx, fz), 1.0)
    rear = spring.rear.seat_from_eye(slope_rear, (gx, gz), -1.0)
    force = 1e4
    # Axle, wheels and leaves as one free body: the frame pulls at the eyes, the ground pushes
    # forward at the contact patch (its moment about the axle center is the wheel torque), and the
    # ground carries vertically through the axle center.
    along = springs * (fx + gx) - thrust
    moment = springs * (
        (eye[1] - axle_height) * fx
        - (eye[0] - axle_x) * fz
        + (rear_eye[1] - axle_height) * gx
        - (rear_eye[0] - axle_x) * gz
    )
    return np.array(
        [
            eye[0] + front[0] - seat[0],
            eye[1] + front[1] - seat[1],
            front[2] - seat_slope,
            rear_eye[0] + rear[0] - seat[0],
            rear_eye[1] + rear[1] - seat[1],
            rear[2] - seat_slope,
            along / force,
            (moment + torque) / force,
        ]
    )


def postures(
    spring: RodSpring,
    axle_height: float,
    travels: Array,
    torque: float = 0.0,
    tire_radius: float = 1.0,
    springs: int = 2,
) -> Array:
    """Return (axle center aft [m], seat slope [rad]) at each travel; shape (S, 2).

    Travel and torque are raised together from ride height in small steps, as a truck does.
    """
    scale = np.array([1, 1e4, 1e4, 1, 1e4, 1, 1, 1])
    result = []
    for travel in travels:
        u = spring.ride / scale
        steps = max(1, int(np.ceil(abs(travel) / 0.02)), int(np.ceil(abs(torque) / 1000)))
        for share in np.linspace(1 / steps, 1, steps):
            here, load = axle_height + share * travel, share * torque

            def open_here(v: Array, here: float = here, load: float = load) -> Array:
                return _openings(spring, v * scale, here, load, load / tire_radius, springs)

            u = root(open_here, u, tol=1e-12).x
            assert np.abs(open_here(u)).max() < 1e-9
        seat_x, slope = (u * scale)[6:]
        result.append((seat_x - spring.seat_height * np.sin(slope), slope))
    return np.array(result)


def rolled(
    spring: RodSpring,
    heights: tuple[float, float],
    torque: float = 0.0,
    tire_radius: float = 1.0,
) -> tuple[Array, float]:
    """Return an axle whose two springs stand at different heights.

    The axle is stiff: both seats have one slope, at which their moments carry the wheel torque.
    It is free to yaw and drives both wheels alike, so either spring takes half of the thrust.

    Args:
        spring: Either spring.
        heights: Axle center at the left and the right spring [m].
        torque: Of both wheels together [N m].
        tire_radius: Loaded radius [m].

    Returns:
        Aft place of the axle at either spring [m], and slope of the seats [rad].
    """
    level = sum(heights) / 2
    scale = np.array([1, 1e4, 1e4, 1, 1e4, 1, 1])
    v = np.array([*(spring.ride[:7] / scale), *(spring.ride[:7] / scale), spring.ride[7]])
    steps = max(4, int(np.ceil(abs(torque) / 1000)))
    for share in np.linspace(1 / steps, 1, steps):
        thrust = share * torque / tire_radius / 2

        def open_here(v: Array, share: float = share, thrust: float = thrust) -> Array:
            sides = [
                _openings(
                    spring,
                    np.array([*(part * scale), v[14]]),
                    level + share * (height - level),
                    share * torque / 2,
                    thrust,
                    1,
                )
                for part, height in zip((v[:7], v[7:14]), heights, strict=True)
            ]
            return np.array([*sides[0][:7], *sides[1][:7], sides[0][7] + sides[1][7]])

        v = root(open_here, v, tol=1e-12).x
        assert np.abs(open_here(v)).max() < 1e-9
    return v[[6, 13]] - spring.seat_height * np.sin(v[14]), float(v[14])
