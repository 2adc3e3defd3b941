"""What stands behind everything: a floor under the tires, with the shadow that a lamp throws."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.world.lens import Lens
from sim.world.raster import HALF, ONE, ZERO, Image, compiled
from sim.world.shading import softened

LAMP_PIXELS = 320
"""Width and height of what the lamp sees."""

LEVEL = np.float32(-1e-3)
"""A line of sight that falls less than this meets no floor [-]."""

SHADOW = np.float32(0.34)
"""How dark the shadow is [-]."""


class Floor:
    """A level floor of any height, seen by a camera and by a lamp.

    Where a line of sight meets the floor is linear in how far it goes, so that all but that
    distance is worked out once.

    Args:
        lens: The camera.
        lamp: The view of the lamp.
        supersample: Pixels of the lens in a pixel of the picture, along each side.
    """

    def __init__(self, lens: Lens, lamp: Lens, supersample: int) -> None:
        width, height = (side // supersample for side in lens.size)
        right, up = lens.rays(
            (np.arange(width, dtype=float) + 0.5) * supersample,
            (np.arange(height, dtype=float) + 0.5) * supersample,
        )
        axes = lens.view_matrix[:3, :3]
        self.right = right.astype(np.float32)
        # of every row: toward the lamp's picture as the sight goes straight ahead
        self.ahead = (lamp.onto[:, :3] @ (up[:, None] * axes[1] - axes[2]).T).T.astype(np.float32)
        self.aside = (lamp.onto[:, :3] @ axes[0]).astype(np.float32)
        self.start = (lamp.onto @ [*lens.eye, 1.0]).astype(np.float32)
        # the camera's right is level: a row falls everywhere alike
        self.fall = (up * axes[1, 2] - axes[2, 2]).astype(np.float32)
        self.eye = float(lens.eye[2])

    def lay(
        self, image: Image, bare: Image, sky: Image, mask: NDArray[np.bool_] | None, height: float
    ) -> None:
        """Lay the floor behind everything, in place.

        Args:
            image: What stands before it, 0 to 255 times the share that is covered, (h, w, 3).
            bare: Share where nothing stands, (h, w).
            sky: Color of every row, (h, 3).
            mask: Where the lamp sees parts, (n, n); None for no shadow.
            height: Height of the floor [m].
        """
        soft = np.zeros((2, 2), np.float32) if mask is None else softened(mask)
        drop = np.float32(height - self.eye)
        _lay(
            image, bare, sky, soft, drop, self.right, self.ahead, self.aside, self.start, self.fall
        )


@compiled
def _lay(
    image: Image,
    bare: Image,
    sky: Image,
    soft: Image,
    drop: float,
    right: Image,
    ahead: Image,
    aside: Image,
    start: Image,
    fall: Image,
) -> None:
    """See ``Floor.lay``; soft is the shadow as the lamp sees it, looked up between its pixels."""
    last = len(soft) - 1
    for y in range(image.shape[0]):
        meets = fall[y] < LEVEL
        far = drop / fall[y] if meets else ZERO
        for x in range(image.shape[1]):
            if bare[y, x] == ZERO:
                continue
            dark = ZERO
            if far > ZERO:
                depth = start[2] + far * (ahead[y, 2] + right[x] * aside[2])
                column = (start[0] + far * (ahead[y, 0] + right[x] * aside[0])) / depth - HALF
                row = (start[1] + far * (ahead[y, 1] + right[x] * aside[1])) / depth - HALF
                if ZERO <= column < last and ZERO <= row < last:
                    i, j = int(row), int(column)
                    down, over = row - np.float32(i), column - np.float32(j)
                    above = soft[i, j] * (ONE - over) + soft[i, j + 1] * over
                    below = soft[i + 1, j] * (ONE - over) + soft[i + 1, j + 1] * over
                    dark = SHADOW * (above * (ONE - down) + below * down)
            level = bare[y, x] * (ONE - dark)
            image[y, x, 0] += sky[y, 0] * level
            image[y, x, 1] += sky[y, 1] * level
            image[y, x, 2] += sky[y, 2] * level
