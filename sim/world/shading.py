"""What turns a plain drawing into a clear picture: contact and ground shade, the background."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

Image = NDArray[np.float32]

SKY = np.array([226, 229, 230], np.float32)
FLOOR = np.array([250, 249, 245], np.float32)
"""Background at the top and at the bottom of the picture, from 0 to 255."""


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
        hidden = filled - _blurred(filled, spread)
        hidden *= np.float32(1 / reach)
        hidden[hidden >= 1] = 0  # another part far in front, which casts no contact shade
        shade += np.maximum(hidden, np.float32(0), out=hidden)
    return np.asarray(1 - np.float32(0.20) * np.minimum(shade, np.float32(2)), np.float32)


def _blurred(image: Image, spread: float) -> Image:
    """Return an image blurred by a spread [pixels]; a wide one is worked out on fewer pixels."""
    step = max(1, int(spread / 4))
    coarse = gaussian_filter(image[::step, ::step], spread / step, truncate=2.0)
    fine = np.repeat(np.repeat(coarse, step, axis=0), step, axis=1) if step > 1 else coarse
    return np.asarray(fine[: image.shape[0], : image.shape[1]])


def softened(mask: NDArray[np.bool_]) -> Image:
    """Return the soft shadow that the lamp's view of the parts throws, from 0 to 1."""
    whole = mask.astype(np.float32)
    blur = len(mask) / 512
    soft = gaussian_filter(whole, 2.5 * blur) * np.float32(0.55)
    soft += gaussian_filter(whole, 11 * blur, truncate=3.0) * np.float32(0.45)
    return np.asarray(soft, np.float32)


def sky_of(height: int) -> Image:
    """Return the color of every row of the background, lighter toward the bottom, (height, 3)."""
    down = np.linspace(0.0, 1.0, height, dtype=np.float32)[:, None]
    return np.asarray(SKY * (1 - down) + FLOOR * down, np.float32)
