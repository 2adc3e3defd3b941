"""Where the holes of a brace's feet come to lie on the webs of the rails."""

from __future__ import annotations

import numpy as np

from sim.arrays import Array
from sim.scene.parts import Brace, Rail, Vector


def foot_holes(brace: Brace, bearing: Vector, rail: Rail) -> Array:
    """Return the holes of a brace's foot on a rail: station and height above its bottom edge.

    Alike on both sides; the rail runs along the vehicle.

    Args:
        brace: The brace.
        bearing: Center of the bearing that it carries [m], shape (3,).
        rail: The rail.

    Returns:
        Centers [m], shape (H, 2): station from the datum, height above the bottom edge; the upper
        row first, each from front to rear.

    Raises:
        DomainError: If the brace has no foot.
    """
    aft, up = brace.foot_at(bearing)
    foot = brace.foot
    assert foot is not None  # as foot_at found
    stations = aft + _spread(foot.columns, foot.along)
    heights = up - rail.up - _spread(foot.rows, foot.upright)
    return np.array([(x, z) for z in heights for x in stations], dtype=float)


def _spread(count: int, pitch: float) -> Array:
    """Return places a pitch apart about 0 [m], shape (count,)."""
    return np.asarray((np.arange(count) - (count - 1) / 2) * pitch)
