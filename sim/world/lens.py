"""Where the camera and the lamp stand, and how points of the vehicle fall on the picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.frames import unit

Array = NDArray[np.float64]

LIGHT = np.array([-1.2, -2.6, 4.6])
"""Direction to the lamp: ahead, left and well above."""

FAR = 40.0
"""How far away the lamp stands, over how far around it is seen [-]."""


class Lens:
    """A camera: eye, target, opening angle and size of the supersampled picture."""

    def __init__(
        self, eye: ArrayLike, target: ArrayLike, fov: float, size: tuple[int, int]
    ) -> None:
        self.eye = np.asarray(eye, float)
        self.size = size
        distance = float(np.linalg.norm(np.asarray(target, float) - self.eye))
        self.near = 0.15 * distance  # nothing is drawn before [m]
        self.view_matrix = look_at(self.eye, target)
        half = float(np.tan(fov / 2))
        self.half = (half * size[0] / size[1], half)

    @property
    def pixel(self) -> float:
        """Width of a pixel at unit depth [-]."""
        return 2 * self.half[1] / self.size[1]

    @property
    def onto(self) -> Array:
        """From a point of the vehicle to column and row times its depth, and its depth, (3, 4)."""
        width, height = self.size
        across, upward = width / 2 / self.half[0], height / 2 / self.half[1]
        to_screen = np.array([[across, 0, -width / 2], [0, -upward, -height / 2], [0, 0, -1]])
        return np.asarray(to_screen @ self.view_matrix[:3])

    def project(self, points: ArrayLike) -> Array:
        """Return where points fall, (column, row) in pixels of the supersampled picture."""
        p = np.asarray(points, float) @ self.view_matrix[:3, :3].T + self.view_matrix[:3, 3]
        depth = np.maximum(-p[..., 2], self.near)
        column = (p[..., 0] / depth / self.half[0] + 1) / 2 * self.size[0]
        row = (1 - p[..., 1] / depth / self.half[1]) / 2 * self.size[1]
        return np.stack([column, row], axis=-1)

    def rays(self, columns: Array, rows: Array) -> tuple[Array, Array]:
        """Return the slopes of the lines of sight, right and up, of pixel columns and rows."""
        width, height = self.size
        right = (columns / width * 2 - 1) * self.half[0]
        up = (1 - rows / height * 2) * self.half[1]
        return right, up


def look_at(eye: ArrayLike, target: ArrayLike) -> Array:
    """Return the view matrix: x right, y up, z toward the viewer, rows first, shape (4, 4)."""
    back = unit(np.asarray(eye, float) - np.asarray(target, float))
    right = unit(np.cross([0.0, 0.0, 1.0], back))
    matrix = np.eye(4)
    matrix[:3, :3] = np.stack([right, np.cross(back, right), back])
    matrix[:3, 3] = -matrix[:3, :3] @ np.asarray(eye, float)
    return matrix


def lamp_over(center: Array, radius: float, pixels: int) -> Lens:
    """Return the view from the lamp, from so far that its rays are as good as parallel.

    Args:
        center: What is in its middle [m], shape (3,).
        radius: How far around it is seen [m].
        pixels: Width and height of what it sees.
    """
    eye = center + unit(LIGHT) * FAR * radius
    return Lens(eye, center, 2 * float(np.arctan(1 / FAR)), (pixels, pixels))
