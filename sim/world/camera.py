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
from sim.world.compose import cut_of, nearest, shrunk, veiled
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Still:
    """What was drawn once for a camera: layers that stay, and the lamp's view of them."""

    solid: Drawing
    ghost: Drawing
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
        moving = self._moving.draw(lens, self._area(lens, self._moving.bounds(poses)))
        solid = nearest([still.solid, moving], [still.ghost.area])
        image = self._background.copy()
        if GROUND in poses:
            image *= (1 - SHADOW * self._shadow(lens, still, poses))[..., None]
        if solid.area:
            cut = cut_of(Box(0, 0, *self.size), shrunk(solid.area, self.supersample))
            part = self._shaded(lens, solid, image[cut])
            image[cut] = veiled(part, solid, still.ghost, still.ghost_share, self.supersample)
        return np.asarray(np.clip(image + 0.5, 0, 255), np.uint8)

    def _area(self, lens: Lens, points: Array) -> Box:
        """Return the box of supersampled pixels that holds points."""
        return lens.around(points, self.supersample)

    def _placed(self) -> Lens:
        """Return the lens, or refuse."""
        if self._lens is None:
            raise DomainError("the camera has no place yet: call look(eye, target, fov) first")
        return self._lens

    def _draw_still(self, lens: Lens, poses: Mapping[str, Array]) -> _Still:
        """Draw what never moves, once for this camera."""
        ghost = self._ghost.draw(lens, self._area(lens, self._ghost.bounds({})))
        line = outlines(ghost.depth, ghost.number, _pixel(lens))
        share = np.where(ghost.number < 0, 0.0, GHOST_FACE + (GHOST_LINE - GHOST_FACE) * line)
        points = np.concatenate([self._moving.bounds(poses), self._still.bounds({})])
        low, high = points.min(axis=0), points.max(axis=0)
        lamp = lamp_view((low + high) / 2, 0.6 * float(np.linalg.norm(high - low)))
        return _Still(
            solid=self._still.draw(lens, self._area(lens, self._still.bounds({}))),
            ghost=ghost,
            ghost_share=share.astype(np.float32),
            lamp=lamp,
            mask=self._still.draw_mask(lamp, LAMP_PIXELS),
        )

    def _shaded(self, lens: Lens, solid: Drawing, floor: Image) -> Image:
        """Return the finished solid parts over the floor, at the size of the picture."""
        n, area, depth, number = self.supersample, solid.area, solid.depth, solid.number
        line = outlines(depth, number, _pixel(lens))
        inked = solid.color * (1 - np.float32(LINE) * line)[..., None]
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
