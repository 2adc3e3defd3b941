"""Drawings of several layers laid over each other by depth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

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
    """Return what is nearest among layers of one engine.

    Args:
        layers: The drawings.
        around: Boxes that the result must hold too.

    Returns:
        One drawing of the box around all.
    """
    area = _box_around([box for box in [*around, *(layer.area for layer in layers)] if box])
    shape = (area.height, area.width)
    whole = Drawing(
        area=area,
        color=np.zeros((*shape, 4), np.uint8),
        depth=np.full(shape, EMPTY, np.float32),
        number=np.full(shape, -1, np.int32),
    )
    for layer in layers:
        if not layer.area:
            continue
        cut = cut_of(area, layer.area)
        nearer = layer.depth < whole.depth[cut]
        np.copyto(_pixels(whole)[cut], _pixels(layer), where=nearer)
        np.copyto(whole.depth[cut], layer.depth, where=nearer)
        np.copyto(whole.number[cut], layer.number, where=nearer)
    return whole


def _pixels(drawing: Drawing) -> NDArray[np.uint32]:
    """Return the four bytes of every pixel as one number, shape (h, w)."""
    return drawing.color.view(np.uint32)[..., 0]


def veil(ghost: Drawing, share: Image) -> Image:
    """Return the colors of see-through parts as far as they are seen, and that share below them.

    Args:
        ghost: The see-through parts.
        share: How much of them is seen [-], as ghost's depth.

    Returns:
        Planes red, green, blue and share, shape (4, h, w).
    """
    planes = np.empty((4, *share.shape), np.float32)
    for plane in range(3):
        np.multiply(ghost.color[..., plane], share, out=planes[plane])
    planes[3] = share
    return planes


def veiled(image: Image, solid: Drawing, ghost: Drawing, veil: Image, factor: int) -> Image:
    """Return an image with the see-through parts laid over what stands behind them.

    Args:
        image: What stands behind, at the size of the picture, in the box of solid, planes first.
        solid: The solid parts, supersampled.
        ghost: The see-through parts, supersampled, inside the box of solid.
        veil: Their planes.
        factor: Supersampling.

    Returns:
        The image, changed in place.
    """
    if ghost.area:
        before = solid.depth[cut_of(solid.area, ghost.area)] > ghost.depth
        *color, share = (shrink(plane * before, factor) for plane in veil)
        rows, columns = cut_of(shrunk(solid.area, factor), shrunk(ghost.area, factor))
        part = image[:, rows, columns]
        part *= 1 - share
        part += color
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
