"""Drawings of several layers laid over each other by depth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.world.layers import EMPTY, Drawing
from sim.world.lens import Box
from sim.world.shading import Image, shrink


def shrunk(area: Box, factor: int) -> Box:
    """Return a box of supersampled pixels in pixels of the picture."""
    return Box(area.left // factor, area.top // factor, area.right // factor, area.bottom // factor)


def cut_of(area: Box, part: Box) -> tuple[slice, slice]:
    """Return rows and columns of a part inside an area."""
    return (
        slice(part.top - area.top, part.bottom - area.top),
        slice(part.left - area.left, part.right - area.left),
    )


def nearest(layers: Sequence[Drawing], around: Sequence[Box]) -> Drawing:
    """Return what is nearest among layers.

    Args:
        layers: The drawings; bodies of different layers count as different bodies.
        around: Boxes that the result must hold too.

    Returns:
        One drawing of the box around all.
    """
    area = _box_around([box for box in [*around, *(layer.area for layer in layers)] if box])
    shape = (area.height, area.width)
    whole = Drawing(
        area=area,
        color=np.zeros((*shape, 3), np.uint8),
        depth=np.full(shape, EMPTY, np.float32),
        number=np.full(shape, -1, np.int32),
    )
    for place, layer in enumerate(layers):
        cut = cut_of(area, layer.area)
        nearer = layer.depth < whole.depth[cut]
        whole.color[cut][nearer] = layer.color[nearer]
        whole.depth[cut][nearer] = layer.depth[nearer]
        whole.number[cut][nearer] = layer.number[nearer] + 10_000 * place
    return whole


def veiled(image: Image, solid: Drawing, ghost: Drawing, share: Image, factor: int) -> Image:
    """Return an image with the see-through parts laid over what stands behind them.

    Args:
        image: What stands behind, at the size of the picture, in the box of solid.
        solid: The solid parts, supersampled.
        ghost: The see-through parts, supersampled, inside the box of solid.
        share: How much of them is seen [-], as ghost's depth.
        factor: Supersampling.

    Returns:
        The image, changed in place.
    """
    if ghost.area:
        hidden = solid.depth[cut_of(solid.area, ghost.area)] <= ghost.depth
        seen = np.where(hidden, np.float32(0.0), share)
        cut = cut_of(shrunk(solid.area, factor), shrunk(ghost.area, factor))
        image[cut] *= (1 - shrink(seen, factor))[..., None]
        image[cut] += shrink(ghost.color * seen[..., None], factor)
    return image


def _box_around(boxes: Sequence[Box]) -> Box:
    """Return the box around boxes."""
    if not boxes:
        return Box(0, 0, 0, 0)
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )
