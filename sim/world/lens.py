"""Where the camera and the lamp stand, and how points of the vehicle fall on the picture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.frames import unit

Array = NDArray[np.float64]

LIGHT = np.array([-1.2, -2.6, 4.6])
"""Direction to the lamp: ahead, left and well above."""


@dataclass(frozen=True, slots=True)
class Box:
    """A box of pixels: columns left to right, rows top to bottom, ends not included."""

    left: int
    top: int
    right: int
    bottom: int

    def __bool__(self) -> bool:
        """Return whether any pixel is inside."""
        return self.right > self.left and self.bottom > self.top

    @property
    def width(self) -> int:
        """Columns."""
        return self.right - self.left

    @property
    def height(self) -> int:
        """Rows."""
        return self.bottom - self.top

    def within(self, other: Box) -> Box:
        """Return what lies in another box too, empty where nothing does."""
        left, top = max(self.left, other.left), max(self.top, other.top)
        right, bottom = min(self.right, other.right), min(self.bottom, other.bottom)
        return Box(left, top, max(left, right), max(top, bottom))


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A view matrix and a projection, rows first, shape (4, 4), and the depths between [m]."""

    view_matrix: Array
    projection: Array
    range: tuple[float, float]


class Lens:
    """A camera: eye, target, opening angle and size of the supersampled picture."""

    def __init__(
        self, eye: ArrayLike, target: ArrayLike, fov: float, size: tuple[int, int]
    ) -> None:
        self.eye = np.asarray(eye, float)
        self.size = size
        distance = float(np.linalg.norm(np.asarray(target, float) - self.eye))
        self.range = (0.15 * distance, 6.0 * distance)
        self.view_matrix = look_at(self.eye, target)
        half = np.tan(fov / 2)
        self.half = (half * size[0] / size[1], half)

    def through(self, area: Box) -> Array:
        """Return the projection whose picture is only a box of the whole picture."""
        near = self.range[0]
        width, height = self.size
        x = (np.array([area.left, area.right]) / width * 2 - 1) * self.half[0] * near
        y = (1 - np.array([area.bottom, area.top]) / height * 2) * self.half[1] * near
        return _frustum(x, y, self.range)

    def project(self, points: ArrayLike) -> Array:
        """Return where points fall, (column, row) in pixels of the supersampled picture."""
        p = np.asarray(points, float) @ self.view_matrix[:3, :3].T + self.view_matrix[:3, 3]
        depth = np.maximum(-p[..., 2], self.range[0])
        column = (p[..., 0] / depth / self.half[0] + 1) / 2 * self.size[0]
        row = (1 - p[..., 1] / depth / self.half[1]) / 2 * self.size[1]
        return np.stack([column, row], axis=-1)

    def rays(self, columns: Array, rows: Array) -> tuple[Array, Array]:
        """Return the slopes of the lines of sight, right and up, of pixel columns and rows."""
        width, height = self.size
        right = (columns / width * 2 - 1) * self.half[0]
        up = (1 - rows / height * 2) * self.half[1]
        return right, up

    def around(self, points: Array, step: int) -> Box:
        """Return the box of pixels that holds points, on multiples of step, inside the picture."""
        if not len(points):
            return Box(0, 0, 0, 0)
        found = self.project(points)
        low = np.floor(found.min(axis=0) / step - 1) * step
        high = np.ceil(found.max(axis=0) / step + 1) * step
        left, top = np.clip(low, 0, self.size).astype(int)
        right, bottom = np.clip(high, 0, self.size).astype(int)
        return Box(int(left), int(top), int(right), int(bottom))


def box_around(boxes: Iterable[Box]) -> Box:
    """Return the box around boxes that are not empty."""
    filled = [box for box in boxes if box]
    if not filled:
        return Box(0, 0, 0, 0)
    return Box(
        min(box.left for box in filled),
        min(box.top for box in filled),
        max(box.right for box in filled),
        max(box.bottom for box in filled),
    )


def look_at(eye: ArrayLike, target: ArrayLike) -> Array:
    """Return the view matrix: x right, y up, z toward the viewer, rows first, shape (4, 4)."""
    back = unit(np.asarray(eye, float) - np.asarray(target, float))
    right = unit(np.cross([0.0, 0.0, 1.0], back))
    matrix = np.eye(4)
    matrix[:3, :3] = np.stack([right, np.cross(back, right), back])
    matrix[:3, 3] = -matrix[:3, :3] @ np.asarray(eye, float)
    return matrix


def lamp_view(center: Array, radius: float) -> View:
    """Return the view from the lamp, from so far that its rays are as good as parallel."""
    away = 40.0 * radius
    span = (away - radius, away + radius)
    edge = np.array([-1.0, 1.0]) * radius * span[0] / away
    view = look_at(center + unit(LIGHT) * away, center)
    return View(view, _frustum(edge, edge, span), span)


def _frustum(x: Array, y: Array, span: tuple[float, float]) -> Array:
    """Return the projection through a window at the near depth, rows first."""
    near, far = span
    matrix = np.zeros((4, 4))
    matrix[0, 0] = 2 * near / (x[1] - x[0])
    matrix[1, 1] = 2 * near / (y[1] - y[0])
    matrix[0, 2] = (x[1] + x[0]) / (x[1] - x[0])
    matrix[1, 2] = (y[1] + y[0]) / (y[1] - y[0])
    matrix[2, 2] = -(far + near) / (far - near)
    matrix[2, 3] = -2 * far * near / (far - near)
    matrix[3, 2] = -1.0
    return matrix
