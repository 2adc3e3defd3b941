"""Drawings of several layers laid over each other by depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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


def nearest(drawings: Sequence[Drawing], area: Box) -> Drawing:
    """Return what is nearest in a box among drawings by one engine, all inside that box."""
    shape = (area.height, area.width)
    whole = Drawing(
        area=area,
        color=np.zeros((*shape, 4), np.uint8),
        depth=np.full(shape, EMPTY, np.float32),
        number=np.full(shape, -1, np.int32),
    )
    for drawing in drawings:
        cut = cut_of(area, drawing.area)
        nearer = drawing.depth < whole.depth[cut]
        np.copyto(_pixels(whole)[cut], _pixels(drawing), where=nearer)
        np.copyto(whole.depth[cut], drawing.depth, where=nearer)
        np.copyto(whole.number[cut], drawing.number, where=nearer)
    return whole


def _pixels(drawing: Drawing) -> NDArray[np.uint32]:
    """Return the four bytes of every pixel as one number, shape (h, w)."""
    return drawing.color.view(np.uint32)[..., 0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Veil:
    """See-through parts, as small as they can be kept.

    Attributes:
        area: Where they are [supersampled pixels].
        depth: As in a drawing, shape (h, w).
        planes: Red, green and blue as far as they are seen, and that share in ``SHARES``, from 0
            to 255, shape (4, h, w).
    """

    area: Box
    depth: Image
    planes: NDArray[np.uint8]


SHARES = 510
"""Steps of how much is seen of what is see-through: half of it at most."""


def veil_of(ghost: Drawing, share: Image) -> Veil:
    """Return see-through parts as they lie over others.

    Args:
        ghost: What they look like.
        share: How much of them is seen, at most 0.5 [-], as ghost's depth.

    Returns:
        The veil.
    """
    planes = np.empty((4, *share.shape), np.uint8)
    for plane in range(3):
        planes[plane] = ghost.color[..., plane] * share + np.float32(0.5)
    planes[3] = share * SHARES + np.float32(0.5)
    return Veil(area=ghost.area, depth=ghost.depth, planes=planes)


def veiled(image: Image, solid: Drawing, veil: Veil, factor: int) -> Image:
    """Return an image with the see-through parts laid over what stands behind them.

    Args:
        image: What stands behind, at the size of the picture, in the box of solid, planes first.
        solid: The solid parts, supersampled.
        veil: The see-through parts, supersampled, inside the box of solid.
        factor: Supersampling.

    Returns:
        The image, changed in place.
    """
    if veil.area:
        before = solid.depth[cut_of(solid.area, veil.area)] > veil.depth
        rows, columns = cut_of(shrunk(solid.area, factor), shrunk(veil.area, factor))
        part = image[:, rows, columns]
        part *= 1 - shrink(veil.planes[3] * before, factor) / np.float32(SHARES)
        for plane in range(3):
            part[plane] += shrink(veil.planes[plane] * before, factor)
    return image
