"""Which changes between two configurations are worth a word, and the parts that come with shafts.

Settings of the house: about what a careful reading, or the model, can tell apart.
"""

from __future__ import annotations

import math

ANGLE = math.radians(0.3)
LENGTH = 1e-3  # [m]
ROAD_SPEED = 3 / 3.6  # [m/s]
SHAKE = 100.0  # [rad/s²]
FLUCTUATION = 0.0005  # of the mean speed, peak to peak [-]


def parts_words(count: int) -> str:
    """Return the joints and bearings of so many shafts more, as in "one joint and one …".

    Args:
        count: How many shafts, at least 1.
    """
    return f"{_several(count, 'joint')} and {_several(count, 'center bearing')}"


def _several(count: int, noun: str) -> str:
    """Return a number of things in words."""
    return f"one {noun}" if count == 1 else f"{count} {noun}s"
