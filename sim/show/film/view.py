"""One camera for all configurations of a film, and room for the labels above the joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.show.film.story import Take
from sim.world.lens import look_at

Array = NDArray[np.float64]

SIDE, ABOVE, DISTANCE = np.deg2rad(29.0), np.deg2rad(18.0), 7.0
"""From ahead of square to the side, from above [rad], and how far away [m]: the near wheel stays
clear of the pinion, and shafts keep their proportions."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Camera:
    """Where the camera stands [m], what it looks at [m], and its opening angle, upright [rad]."""

    eye: Array
    target: Array
    fov: float


def camera_for(takes: Sequence[Take], size: tuple[int, int]) -> Camera:
    """Return the camera that sees the whole driveline of every take, in every frame.

    Args:
        takes: One or two.
        size: Width and height of the picture [pixels].
    """
    points = np.concatenate([_points(take) for take in takes])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    away = np.array([-np.sin(SIDE) * np.cos(ABOVE), -np.cos(SIDE) * np.cos(ABOVE), np.sin(ABOVE)])
    target = middle
    for _ in range(4):
        eye = target + DISTANCE * away
        view = look_at(eye, target)
        seen = points @ view[:3, :3].T + view[:3, 3]
        slope = seen[:, :2] / -seen[:, 2:]
        low, high = slope.min(axis=0), slope.max(axis=0)
        target = target + view[:3, :3].T[:, :2] @ ((low + high) / 2 * DISTANCE)
    half = (high - low) / 2
    return Camera(
        eye=eye,
        target=target,
        fov=2 * float(np.arctan(max(half[1], half[0] * size[1] / size[0]))),
    )


def _points(take: Take) -> Array:
    """Return points that must be in the picture [m], shape (P, 3)."""
    configuration = take.motion.configuration
    joints = take.motion.joint_center[:, 0].reshape(-1, 3)
    front = configuration.output.point + np.array([-0.28, 0.0, 0.0])
    rear = take.motion.axle_center + np.array([0.36, 0.0, 0.0])
    up = joints + np.array([0.0, 0.0, 0.20])
    down = joints - np.array([0.0, 0.0, 0.20])
    return np.concatenate([up, down, front[None], rear])


def spread(wanted: ArrayLike, apart: float, low: float, high: float) -> Array:
    """Return places near the wanted ones that keep apart, in the same order, between two ends.

    Args:
        wanted: Places from left to right [pixels], shape (J,).
        apart: Least distance [pixels].
        low: Least place [pixels].
        high: Largest place [pixels].

    Example:
        >>> spread([10.0, 14.0, 90.0], 20.0, 0.0, 100.0)
        array([ 2., 22., 90.])
    """
    place = np.asarray(wanted, float).copy()
    for _ in range(50):
        push = np.maximum(apart - np.diff(place), 0.0) / 2
        place[:-1] -= push
        place[1:] += push
        if not push.any():
            break
    steps = np.arange(len(place)) * apart
    place = np.maximum.accumulate(np.maximum(place, low) - steps) + steps
    back = steps[::-1]
    return np.asarray(np.minimum.accumulate((np.minimum(place, high) + back)[::-1])[::-1] - back)
