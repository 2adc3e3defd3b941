"""The floor under the tires, and the shadow that a lamp throws on it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.world.lens import Lens, View
from sim.world.shading import Image, looked_up, softened

LAMP_PIXELS = 320
"""Width and height of what the lamp sees."""

_LEVEL = np.float32(-1e-3)
"""A line of sight that falls less than this meets no floor [-]."""


class Floor:
    """A level floor of any height, seen by a camera and by a lamp.

    Where a line of sight meets the floor is linear in how far it goes, so that all but that
    distance is worked out once.

    Args:
        lens: The camera.
        lamp: The view of the lamp.
        supersample: Pixels of the lens in a pixel of the picture, along each side.
    """

    def __init__(self, lens: Lens, lamp: View, supersample: int) -> None:
        width, height = (side // supersample for side in lens.size)
        right, up = lens.rays(
            (np.arange(width, dtype=float) + 0.5) * supersample,
            (np.arange(height, dtype=float) + 0.5) * supersample,
        )
        axes = lens.view_matrix[:3, :3]
        to_lamp = (lamp.projection @ lamp.view_matrix)[[0, 1, 3]]
        x, y, z = (to_lamp[:, :3] @ axes.T).T[:, :, None, None]
        slope = x * right[None, :] + (y * up[:, None] - z)
        self.slope = slope.astype(np.float32)
        self.eye = lens.eye
        self.start = to_lamp[:, :3] @ lens.eye + to_lamp[:, 3]
        # the camera's right is level: a row falls everywhere alike
        self.fall = (up * axes[1, 2] - axes[2, 2]).astype(np.float32)[:, None]

    def shadow(self, mask: NDArray[np.bool_], height: float) -> Image:
        """Return how dark the shadow is on every pixel of the picture.

        Args:
            mask: Where the lamp sees parts, shape (n, n).
            height: Height of the floor [m].

        Returns:
            From 0 to 1, shape (h, w).
        """
        along = np.float32(height - self.eye[2]) / np.minimum(self.fall, _LEVEL)
        x, y, depth = (
            np.float32(start) + along * slope
            for start, slope in zip(self.start, self.slope, strict=True)
        )
        half = np.float32(len(mask) / 2)
        column = x / depth * half + (half - np.float32(0.5))
        row = y / depth * -half + (half - np.float32(0.5))
        found = looked_up(softened(mask), column, row)
        found[self.fall[:, 0] >= _LEVEL] = 0.0
        return found
