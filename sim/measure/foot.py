"""Where the holes of a brace's feet come to lie on the webs of the rails."""

from __future__ import annotations

import numpy as np

from sim.arrays import Array
from sim.scene.parts import Foot, Rail, Vector


def foot_holes(foot: Foot, center: Vector, rail: Rail) -> Array:
    """Return the holes of a foot on a rail: station and height above the rail's bottom edge.

    The foot goes with the bearing's center, alike on both sides; the rail runs along the vehicle.

    Args:
        foot: The holes.
        center: Of the bearing that the brace carries [m], shape (3,).
        rail: The rail.

    Returns:
        Centers [m], shape (H, 2): station from the datum, height above the bottom edge; the upper
        row first, each from front to rear.
    """
    stations = center[0] + foot.aft + _spread(foot.columns, foot.along)
    heights = center[2] + foot.up - rail.up - _spread(foot.rows, foot.upright)
    return np.array([(aft, up) for up in heights for aft in stations], dtype=float)


def _spread(count: int, pitch: float) -> Array:
    """Return places a pitch apart about 0 [m], shape (count,)."""
    return np.asarray((np.arange(count) - (count - 1) / 2) * pitch)
