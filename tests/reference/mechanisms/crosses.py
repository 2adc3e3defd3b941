"""A driveline from perpendicular crosses: nothing here comes from the formulas under test.

A cross has two pins at a right angle.  So the driven yoke is where its pin is perpendicular to
the driving pin, and its speed is how fast that place moves.  Joint centers come from root finding.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

Array = NDArray[np.float64]

RIGHT = np.array([0.0, 1.0, 0.0])
# Eighth-order central difference, any table of finite differences.
STENCIL = np.arange(-4, 5)
WEIGHTS = np.array([1 / 280, -4 / 105, 1 / 5, -4 / 5, 0, 4 / 5, -1 / 5, 4 / 105, -1 / 280])
STEP = 0.02


@dataclass(frozen=True)
class Ends:
    """Output and pinion of one posture: joint centers and unit axes that point aft."""

    output: Array
    output_axis: Array
    pinion: Array
    pinion_axis: Array


@dataclass(frozen=True)
class Posture:
    """Joint centers (J, 3), axes of output, shafts and pinion (M, 3), and slip of one posture."""

    centers: Array
    axes: Array
    slip: float


def direction(slope: float, plan: float) -> Array:
    """Return the axis that drops by slope toward the rear and points right by plan."""
    level = np.array([np.cos(plan), np.sin(plan), 0.0])
    return np.asarray(np.cos(slope) * level + np.sin(slope) * np.array([0.0, 0.0, -1.0]))


def ride_ends(configuration) -> Ends:
    """Return the ends of the reference posture."""
    out, pin = configuration.output, configuration.pinion
    return Ends(
        out.point, direction(out.slope, out.plan), pin.point, direction(pin.slope, pin.plan)
    )


def assemble(configuration, ends: Ends, lengths: Array | None = None) -> Posture:
    """Hang the shafts between the ends; lengths are those of the shafts, None in the reference.

    A coupling shaft is a rod of its length that passes through its bearing, and slides in it.
    """
    centers = [ends.output]
    for number, bearing in enumerate(configuration.bearings):
        along = bearing.point - centers[-1]
        far = np.linalg.norm(along)
        whole = far + bearing.to_joint if lengths is None else lengths[number]
        centers.append(centers[-1] + whole * along / far)
    place, slip = configuration.spline.at, 0.0
    length = None if lengths is None else float(lengths[-1])
    if length is not None and place == "shaft":
        slip = float(np.linalg.norm(ends.pinion - centers[-1])) - length
    elif length is not None:
        track = ends.output_axis if place == "output" else centers[-1] - centers[-2]
        track = track / np.linalg.norm(track)
        slip = _meet(centers[-1], track, ends.pinion, length)
        centers[-1] = centers[-1] + slip * track
    points = np.array([*centers, ends.pinion])
    along = np.diff(points, axis=0)
    shafts = along / np.sqrt((along**2).sum(axis=1, keepdims=True))
    return Posture(points, np.vstack([ends.output_axis, shafts, ends.pinion_axis]), slip)


def reference_lengths(configuration) -> Array:
    """Return the lengths of the shafts, joint center to joint center, cut for ride height."""
    points = assemble(configuration, ride_ends(configuration)).centers
    return np.asarray(np.linalg.norm(np.diff(points, axis=0), axis=1))


def _meet(start: Array, track: Array, pinion: Array, length: float) -> float:
    """Return where a ball of that radius about the pinion meets the track, ahead of the pinion."""
    abreast = float(track @ (pinion - start))
    return float(
        brentq(
            lambda s: np.linalg.norm(pinion - start - s * track) - length,
            abreast - 2 * length,
            abreast,
            xtol=1e-15,
            rtol=1e-15,
        )
    )


def square_to(axis: Array, hint: Array) -> tuple[Array, Array]:
    """Return two directions square to an axis, right-handed, the first nearest the hint."""
    first = hint - (hint @ axis) * axis
    first = first / np.linalg.norm(first)
    return first, np.cross(axis, first)


def pins_and_places(posture: Posture, phases: list[float], theta: Array) -> tuple[Array, ...]:
    """Turn the output by theta (T,).

    Returns:
        Driving pins (T, J, 3), driven pins (T, J, 3), places of all members (T, M) [rad].
    """
    across, up = square_to(posture.axes[0], RIGHT)
    driving = np.cos(theta)[:, None] * across + np.sin(theta)[:, None] * up
    drivings, drivens, places = [], [], [theta]
    for joint, axis in enumerate(posture.axes[1:]):
        first, second = square_to(axis, np.array([0.1, 0.2, 1.0]))
        # The place α where (cos α first + sin α second) · driving = 0.
        place = np.arctan2(-(driving @ first), driving @ second)
        driven = np.cos(place)[:, None] * first + np.sin(place)[:, None] * second
        drivings.append(driving)
        drivens.append(driven)
        places.append(place)
        clock = place + (phases[joint] if joint < len(phases) else 0.0)
        driving = np.cos(clock)[:, None] * first + np.sin(clock)[:, None] * second
    return np.stack(drivings, 1), np.stack(drivens, 1), np.stack(places, 1)


def speeds(posture: Posture, phases: list[float], theta: Array) -> Array:
    """Return the speed of every member over the output's (T, M), by numerical differentiation."""
    near = (theta[:, None] + STEP * STENCIL).ravel()
    places = pins_and_places(posture, phases, near)[2]
    places = np.unwrap(places.reshape(len(theta), len(STENCIL), -1), axis=1)
    return np.einsum("k,tkm->tm", WEIGHTS, places) / STEP
