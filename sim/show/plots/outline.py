"""Outlines of what the shafts sweep, seen from the side and from above."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sim.motion.motion import Motion

Array = NDArray[np.float64]
STATIONS = 400  # along the driveline: 5 mm apart on a truck
ROUND = 40  # more of them at either end
SWEPT = "#c9d6df"
SIDE, TOP = 2, 1
"""Components seen from the side (up) and from above (right)."""


def swept(motion: Motion, view: int) -> tuple[Array, Array, Array]:
    """Return the outline of everything that turns, over all states.

    Args:
        motion: Joint centers of all states.
        view: ``SIDE`` or ``TOP``.

    Returns:
        Stations aft [m], and the lower and upper edge there [m], all of shape (X,).
    """
    centers = motion.joint_center[:, 0]
    joints = motion.configuration.joints
    reach = max(joint.swing_radius for joint in joints)
    first, last = centers[..., 0].min() - reach, centers[..., 0].max() + reach
    round_ = reach * np.linspace(0, 1, ROUND) ** 2  # round ends rise steeply
    station = np.sort(
        np.concatenate([np.linspace(first, last, STATIONS), first + round_, last - round_])
    )
    low, high = np.full(len(station), np.inf), np.full(len(station), -np.inf)
    for middle, half in _strips(motion, centers, station, view):
        low = np.fmin(low, np.nanmin(middle - half, axis=0, initial=np.inf, where=middle == middle))
        high = np.fmax(
            high, np.nanmax(middle + half, axis=0, initial=-np.inf, where=middle == middle)
        )
    seen = np.isfinite(low)
    return station[seen], low[seen], high[seen]


def section(motion: Motion, aft: float) -> list[tuple[Array, float]]:
    """Return where the shafts pass a station: centers (right, up) of all states, and radius [m].

    Args:
        motion: Joint centers of all states.
        aft: The station [m].

    Returns:
        One entry for every shaft that passes there in some state, shape (S', 2); joints near it
        too.
    """
    centers, found = motion.joint_center[:, 0], []
    for i, shaft in enumerate(motion.configuration.shafts):
        first, last = centers[:, i], centers[:, i + 1]
        share = (aft - first[:, 0]) / (last[:, 0] - first[:, 0])
        inside = (share >= 0) & (share <= 1)
        at = (first + share[:, None] * (last - first))[inside]
        if len(at):
            found.append((at[:, 1:], shaft.tube.outside / 2))
    for i, joint in enumerate(motion.configuration.joints):
        off = np.abs(centers[:, i, 0] - aft)
        near = off < joint.swing_radius
        if near.any():
            found.append((centers[near, i, 1:], joint.swing_radius))
    return found


def section_of_state(motion: Motion, aft: float, state: int) -> list[tuple[Array, float]]:
    """Return where one state passes a station: centers (right, up) and radii [m].

    Args:
        motion: Joint centers of all states.
        aft: The station [m].
        state: Number of the state.

    Returns:
        Centers, shape (2,), and radii of shafts and joints there.
    """
    found = []
    center = motion.joint_center[state, 0]
    for i, shaft in enumerate(motion.configuration.shafts):
        share = (aft - center[i, 0]) / (center[i + 1, 0] - center[i, 0])
        if 0 <= share <= 1:
            at = center[i] + share * (center[i + 1] - center[i])
            found.append((at[1:], shaft.tube.outside / 2))
    for i, joint in enumerate(motion.configuration.joints):
        if abs(center[i, 0] - aft) < joint.swing_radius:
            found.append((center[i, 1:], joint.swing_radius))
    return found


def _strips(
    motion: Motion, centers: Array, station: Array, view: int
) -> Iterator[tuple[Array, Array]]:
    """Yield middle and half height of every part at every station, (S, X), nan where it is not."""
    for i, shaft in enumerate(motion.configuration.shafts):
        first, last = centers[:, i, None], centers[:, i + 1, None]
        run = last[..., 0] - first[..., 0]
        share = (station - first[..., 0]) / run
        rise = last[..., view] - first[..., view]
        middle = np.where((share >= 0) & (share <= 1), first[..., view] + share * rise, np.nan)
        yield (
            middle,
            np.broadcast_to(shaft.tube.outside / 2 * np.hypot(1, rise / run), middle.shape),
        )
    for i, joint in enumerate(motion.configuration.joints):
        square = joint.swing_radius**2 - (station - centers[:, i, None, 0]) ** 2
        middle = np.where(square >= 0, centers[:, i, None, view], np.nan)
        yield middle, np.sqrt(np.maximum(square, 0))
