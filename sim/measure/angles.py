"""Slopes, plan angles and joint angles of a motion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.frames import angle_between, plan_of, side_slope_of, slope_of, unit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Angles:
    """Angles of all members and joints in every state."""

    slope: Array  # of every member [rad], (..., M)
    plan: Array  # of every member [rad], (..., M)
    joint: Array  # true joint angle [rad], (..., J)
    side: Array  # its side-view part [rad], signed, (..., J)
    top: Array  # its top-view part [rad], signed, (..., J)


def mean_axis(axis: ArrayLike) -> Array:
    """Return the mean axis of every member over a turn, (S, M, 3), of those held (S, K, M, 3)."""
    held = np.asarray(axis, float)
    return held[:, 0] if held.shape[1] == 1 else unit(held.mean(axis=1))


def measure_angles(axis: ArrayLike) -> Angles:
    """Return slopes of the members and angles of the joints between them.

    A joint angle is the true angle in space.  Its side part is the difference of the side-view
    slopes, its top part that of the plan angles, rear member minus front member; the root of
    their summed squares is the trade's check on it, not its value.
    """
    a = np.asarray(axis, float)
    side_slope, plan = side_slope_of(a), plan_of(a)
    return Angles(
        slope=slope_of(a),
        plan=plan,
        joint=angle_between(a[..., :-1, :], a[..., 1:, :]),
        side=np.diff(side_slope, axis=-1),
        top=np.diff(plan, axis=-1),
    )
