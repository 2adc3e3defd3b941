"""What turns a plain drawing into a clear picture: outlines, sky light, contact and ground shade.

Every formula works on the inverse of depth: over a flat face it is linear in the picture, so that
its slope gives the face's normal and its bend shows an edge, however the face lies.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, map_coordinates

from sim.world.lens import Array

Image = NDArray[np.float32]

SKY = np.array([226, 229, 230], np.float32)
FLOOR = np.array([250, 249, 245], np.float32)
"""Background at the top and at the bottom of the picture, from 0 to 255."""


def outlines(depth: Image, number: NDArray[np.int32], pixel: float) -> Image:
    """Return how dark an outline each pixel carries.

    Args:
        depth: Along the line of sight [m], shape (h, w).
        number: Body in each pixel, −1 where none is, shape (h, w).
        pixel: Width of a pixel at unit depth [-].

    Returns:
        From 0 to 1, shape (h, w).
    """
    inverse = np.float32(1.0) / depth
    scale = np.float32(0.5 / pixel) * depth
    edge = np.zeros_like(depth)
    for axis in (0, 1):
        middle, before, after = _neighbors(inverse, axis)
        line = middle * np.float32(-2.0)
        line += before
        line += after
        np.abs(line, out=line)
        line *= _neighbors(scale, axis)[0]
        line -= np.float32(0.8)
        np.minimum(line, np.float32(1.0), out=line)
        there, earlier, later = _neighbors(number, axis)
        border = there != earlier
        border |= there != later
        np.maximum(line, np.float32(0.75), out=line, where=border)
        inside = _neighbors(edge, axis)[0]
        np.maximum(inside, line, out=inside)
    edge[number < 0] = 0.0
    return edge


def _neighbors(image: NDArray, axis: int) -> tuple[NDArray, NDArray, NDArray]:  # type: ignore[type-arg]
    """Return an image without its rim along an axis, and its neighbors before and after."""
    if axis == 0:
        return image[1:-1], image[:-2], image[2:]
    return image[:, 1:-1], image[:, :-2], image[:, 2:]


def sky_light(depth: Image, rays: tuple[Array, Array], axes: Array) -> Image:
    """Return light from above on every face: brighter where it looks up, darker where down.

    Args:
        depth: Along the line of sight [m], shape (h, w).
        rays: Slopes of the lines of sight of columns and of rows [-].
        axes: Rows right, up, back of the camera in the vehicle's axes, shape (3, 3).

    Returns:
        Factor around 1, shape (h, w).
    """
    inverse = np.float32(1.0) / depth
    right, up = (ray.astype(np.float32) for ray in rays)
    across = _slope(inverse, 1) / (right[1] - right[0])
    upward = _slope(inverse, 0) / (up[1] - up[0])
    # plane n·p = d with p = (right, up, -1)·depth: 1/depth is linear in right and up
    toward = inverse - right * across - up[:, None] * upward
    size = np.sqrt(across**2 + upward**2 + toward**2)
    # the camera's right is level: only its up and back lean
    lean_up, lean_back = np.float32(axes[1, 2]), np.float32(axes[2, 2])
    height = (toward * lean_back - upward * lean_up) / np.maximum(size, 1e-12)
    return np.asarray(1.0 + 0.16 * gaussian_filter(height, 0.7, truncate=2.0), np.float32)


def _slope(image: Image, axis: int) -> Image:
    """Return differences along an axis, of the flatter side so that edges do not count."""
    step = np.diff(image, axis=axis)
    pad = [(0, 0), (0, 0)]
    pad[axis] = (1, 0)
    before = np.pad(step, pad, mode="edge")
    pad[axis] = (0, 1)
    after = np.pad(step, pad, mode="edge")
    return np.asarray(np.where(np.abs(before) < np.abs(after), before, after), np.float32)


def contact_shade(depth: Image, empty: NDArray[np.bool_], width: int) -> Image:
    """Return how much darker a place is because nearer parts stand around it.

    Args:
        depth: Along the line of sight [m], shape (h, w).
        empty: Where nothing is, shape (h, w).
        width: Width of the whole picture [pixels].

    Returns:
        Factor from 0.6 to 1, shape (h, w).
    """
    known = depth[~empty]
    if not known.size:
        return np.ones_like(depth)
    filled = np.where(empty, known.max() + np.float32(1.0), depth)
    shade = np.zeros_like(depth)
    for spread, reach in ((width / 300, 0.03), (width / 85, 0.10)):
        hidden = (filled - gaussian_filter(filled, spread, truncate=2.0)) / np.float32(reach)
        # a step larger than the reach is another part far in front, which casts no contact shade
        shade += np.where(hidden < 1.0, np.clip(hidden, 0.0, 1.0), 0.0).astype(np.float32)
    return np.asarray(1.0 - 0.40 * np.clip(shade * 0.5, 0.0, 1.0), np.float32)


def softened(mask: NDArray[np.bool_]) -> Image:
    """Return the soft shadow that the lamp's view of the parts throws, from 0 to 1."""
    whole = mask.astype(np.float32)
    blur = len(mask) / 512
    soft = gaussian_filter(whole, 2.5 * blur) * np.float32(0.55)
    soft += gaussian_filter(whole, 11 * blur, truncate=3.0) * np.float32(0.45)
    return np.asarray(soft, np.float32)


def looked_up(soft: Image, column: Image, row: Image) -> Image:
    """Return the shadow on the floor.

    Args:
        soft: The soft shadow as the lamp sees it, shape (n, n).
        column: Where each pixel's floor point lies in it [pixels], shape (h, w).
        row: Likewise.

    Returns:
        From 0 to 1, shape (h, w).
    """
    found = map_coordinates(soft, [row, column], order=1, mode="constant", output=np.float32)
    return np.asarray(found, np.float32)


def background(width: int, height: int) -> Image:
    """Return the background, lighter toward the bottom, planes first, shape (3, height, width)."""
    down = np.linspace(0.0, 1.0, height, dtype=np.float32)[:, None]
    column = SKY[:, None, None] * (1 - down) + FLOOR[:, None, None] * down
    return np.ascontiguousarray(np.broadcast_to(column, (3, height, width)))


def shrink(image: NDArray, factor: int) -> Image:  # type: ignore[type-arg]
    """Return the mean of squares of factor × factor pixels, shape (h/factor, w/factor)."""
    rows = image[0::factor].astype(np.float32)
    for row in range(1, factor):
        rows += image[row::factor]
    total = rows[:, 0::factor].copy()
    for column in range(1, factor):
        total += rows[:, column::factor]
    total *= np.float32(1.0 / (factor * factor))
    return total
