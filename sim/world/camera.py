"""The stage: bodies in front of a camera, and pictures of them.

Three layers, each in an engine of its own: what is see-through (drawn once for each camera), what
stays (drawn once too), and what moves (drawn for every picture, only where it is).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.errors import DomainError
from sim.world.engine import engine
from sim.world.layers import EMPTY, Drawing, Layer
from sim.world.lens import Array, Box, Lens, View, lamp_view
from sim.world.shading import (
    Image,
    background,
    contact_shade,
    ground_shadow,
    outlines,
    shrink,
    sky_light,
)
from sim.world.shapes.mesh import Body

GROUND = "ground"
"""Key of the floor's pose, which follows the tires; without one nothing casts a shadow."""

GHOST_FACE, GHOST_LINE = 0.17, 0.50
"""How much of a see-through face and of its outlines is seen [-]."""

LINE = 0.62
"""How dark an outline is [-]."""

SHADOW = 0.34
"""How dark the ground shadow is [-]."""

LAMP_PIXELS = 320


@dataclass(slots=True, eq=False)
class _Still:
    """What was drawn once for a camera: layers that stay, and the floor's shadow of them."""

    solid: Drawing
    solid_area: Box
    ghost: Drawing
    ghost_area: Box
    ghost_share: Image
    lamp: View
    mask: NDArray[np.bool_]


class Stage:
    """Bodies in front of a camera.

    Args:
        bodies: Everything to be seen.
        size: Width and height of a picture [pixels].
        supersample: Each pixel is the mean of this many, squared.

    Example:
        with Stage(build_shapes(configuration, motion), size=(640, 430)) as stage:
            stage.look(*views(configuration)["whole"])
            image = stage.picture(body_poses(motion, state=0, turn=0))
    """

    def __init__(
        self, bodies: Iterable[Body], size: tuple[int, int] = (640, 430), supersample: int = 2
    ) -> None:
        self.size, self.supersample = size, supersample
        parts = tuple(bodies)
        ghosts = [body for body in parts if body.ghost]
        solids = [body for body in parts if not body.ghost]
        self._engines = ExitStack()
        self._ghost, self._still, self._moving = (
            Layer(chosen, self._engines.enter_context(engine()))
            for chosen in (
                ghosts,
                [body for body in solids if not body.group],
                [body for body in solids if body.group],
            )
        )
        self._background = background(*size)
        self._lens: Lens | None = None
        self._drawn: _Still | None = None

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the engines."""
        self.close()

    def close(self) -> None:
        """Close the engines; no picture can be taken afterwards."""
        self._engines.close()

    def look(self, eye: ArrayLike, target: ArrayLike, fov: float) -> None:
        """Place the camera.

        Args:
            eye: Where it stands [m], shape (3,).
            target: What is in the middle of the picture [m], shape (3,).
            fov: Opening angle from bottom to top [rad].
        """
        width, height = self.size
        self._lens = Lens(eye, target, fov, (width * self.supersample, height * self.supersample))
        self._drawn = None

    def project(self, points: ArrayLike) -> Array:
        """Return where points of the vehicle fall on the picture.

        Args:
            points: Points [m], shape (..., 3).

        Returns:
            Column and row [pixels], shape (..., 2), from the upper left corner; may lie outside.

        Raises:
            DomainError: If the camera was not placed.
        """
        return self._placed().project(points) / self.supersample

    def picture(self, poses: Mapping[str, Array]) -> NDArray[np.uint8]:
        """Take a picture.

        Args:
            poses: Pose of every moving group, shape (4, 4); a group without one keeps its last.

        Returns:
            Red, green, blue, shape (height, width, 3).

        Raises:
            DomainError: If the camera was not placed.
        """
        lens = self._placed()
        self._moving.pose(poses)
        if self._drawn is None:
            self._drawn = self._draw_still(lens, poses)
        still = self._drawn
        moving_area = lens.around(self._moving.bounds(poses), self.supersample)
        moving = self._moving.draw(lens, moving_area)
        areas = (still.solid_area, still.ghost_area, moving_area)
        area = _union([a for a in areas if a.width and a.height])
        color, depth, number = _merge(area, (still.solid, still.solid_area), (moving, moving_area))
        floor = self._background.copy()
        if GROUND in poses:
            floor *= (1 - SHADOW * self._shadow(lens, still, poses))[..., None]
        n = self.supersample
        rows = slice(area.top // n, area.bottom // n)
        columns = slice(area.left // n, area.right // n)
        part = self._shade(lens, area, color, depth, number, floor[rows, columns])
        floor[rows, columns] = _laid_over(part, still, area, depth, n)
        return np.asarray(np.clip(floor + 0.5, 0, 255), np.uint8)

    def _placed(self) -> Lens:
        """Return the lens, or refuse."""
        if self._lens is None:
            raise DomainError("the camera has no place yet: call look(eye, target, fov) first")
        return self._lens

    def _draw_still(self, lens: Lens, poses: Mapping[str, Array]) -> _Still:
        """Draw what never moves, once for this camera."""
        solid_area = lens.around(self._still.bounds({}), self.supersample)
        ghost_area = lens.around(self._ghost.bounds({}), self.supersample)
        ghost = self._ghost.draw(lens, ghost_area)
        line = outlines(ghost.depth, ghost.number, _pixel(lens))
        share = np.where(ghost.number < 0, 0.0, GHOST_FACE + (GHOST_LINE - GHOST_FACE) * line)
        points = np.concatenate([self._moving.bounds(poses), self._still.bounds({})])
        low, high = points.min(axis=0), points.max(axis=0)
        lamp = lamp_view((low + high) / 2, 0.6 * float(np.linalg.norm(high - low)))
        return _Still(
            solid=self._still.draw(lens, solid_area),
            solid_area=solid_area,
            ghost=ghost,
            ghost_area=ghost_area,
            ghost_share=share.astype(np.float32),
            lamp=lamp,
            mask=self._still.draw_mask(lamp, LAMP_PIXELS),
        )

    def _shade(
        self,
        lens: Lens,
        area: Box,
        color: NDArray[np.uint8],
        depth: Image,
        number: NDArray[np.int32],
        floor: Image,
    ) -> Image:
        """Return the finished solid parts over the floor, at the size of the picture."""
        n = self.supersample
        line = outlines(depth, number, _pixel(lens))
        inked = color * (1 - np.float32(LINE) * line)[..., None]
        empty = shrink(number < 0, n)
        near = np.ascontiguousarray(depth[n // 2 :: n, n // 2 :: n])
        rays = lens.rays(
            np.arange(area.left + n // 2, area.right, n, dtype=float) + 0.5,
            np.arange(area.top + n // 2, area.bottom, n, dtype=float) + 0.5,
        )
        light = sky_light(near, rays, lens.view_matrix[:3, :3])
        light *= contact_shade(near, near >= EMPTY, self.size[0])
        return shrink(inked, n) * light[..., None] + floor * empty[..., None]

    def _shadow(self, lens: Lens, still: _Still, poses: Mapping[str, Array]) -> Image:
        """Return the shadow of all solid parts on the floor, at the size of the picture."""
        mask = self._moving.draw_mask(still.lamp, LAMP_PIXELS) | still.mask
        n = self.supersample
        width, height = self.size
        right, up = lens.rays(
            (np.arange(width, dtype=float) + 0.5) * n, (np.arange(height, dtype=float) + 0.5) * n
        )
        axes = lens.view_matrix[:3, :3].astype(np.float32)
        sight = (
            right.astype(np.float32)[None, :, None] * axes[0]
            + up.astype(np.float32)[:, None, None] * axes[1]
            - axes[2]
        )
        height_above = np.float32(poses[GROUND][2, 3] - lens.eye[2])
        down = np.minimum(sight[..., 2], np.float32(-1e-3))
        point = lens.eye.astype(np.float32) + sight * (height_above / down)[..., None]
        column, row = _on_mask(point, still.lamp.projection @ still.lamp.view_matrix, LAMP_PIXELS)
        shade = ground_shadow(mask, column, row)
        return np.where(sight[..., 2] < -1e-3, shade, np.float32(0.0))


def _on_mask(point: Image, matrix: Array, size: int) -> tuple[Image, Image]:
    """Return column and row of floor points in the lamp's picture."""
    m = matrix.astype(np.float32)
    seen = point @ m[[0, 1, 3], :3].T + m[[0, 1, 3], 3]
    column = (seen[..., 0] / seen[..., 2] + 1) * np.float32(size / 2) - np.float32(0.5)
    row = (1 - seen[..., 1] / seen[..., 2]) * np.float32(size / 2) - np.float32(0.5)
    return column, row


def _pixel(lens: Lens) -> float:
    """Return the width of a supersampled pixel at unit depth."""
    return float(2 * lens.half[1] / lens.size[1])


def _union(areas: list[Box]) -> Box:
    """Return the box around boxes."""
    if not areas:
        return Box(0, 0, 0, 0)
    return Box(
        min(a.left for a in areas),
        min(a.top for a in areas),
        max(a.right for a in areas),
        max(a.bottom for a in areas),
    )


def _cut(area: Box, part: Box) -> tuple[slice, slice]:
    """Return rows and columns of a part inside an area."""
    return (
        slice(part.top - area.top, part.bottom - area.top),
        slice(part.left - area.left, part.right - area.left),
    )


def _merge(
    area: Box, *layers: tuple[Drawing, Box]
) -> tuple[NDArray[np.uint8], Image, NDArray[np.int32]]:
    """Return color, depth and number of what is nearest among layers."""
    color = np.zeros((area.height, area.width, 3), np.uint8)
    depth = np.full((area.height, area.width), EMPTY, np.float32)
    number = np.full((area.height, area.width), -1, np.int32)
    for place, (drawing, box) in enumerate(layers):
        if not (box.width and box.height):
            continue
        cut = _cut(area, box)
        nearer = drawing.depth < depth[cut]
        color[cut][nearer] = drawing.color[nearer]
        depth[cut][nearer] = drawing.depth[nearer]
        number[cut][nearer] = drawing.number[nearer] + 10_000 * place
    return color, depth, number


def _laid_over(part: Image, still: _Still, area: Box, depth: Image, n: int) -> Image:
    """Return the picture with the see-through parts laid over what stands behind them."""
    box = still.ghost_area
    if not (box.width and box.height):
        return part
    share = np.where(still.ghost.depth < depth[_cut(area, box)], still.ghost_share, 0.0)
    veil = shrink(still.ghost.color * share[..., None], n)
    small = Box(box.left // n, box.top // n, box.right // n, box.bottom // n)
    cut = _cut(Box(area.left // n, area.top // n, 0, 0), small)
    part[cut] = part[cut] * (1 - shrink(share, n))[..., None] + veil
    return part
