"""The stage: bodies in front of a camera, and pictures of them.

Three layers in one engine: what is see-through (drawn once for each camera), what stays (drawn
once too), and what moves (drawn for every picture, only where it is).  Stages beside each other can
use one engine, and one layer of what looks the same on all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.errors import DomainError
from sim.world.compose import Veil, cut_of, nearest, shrunk, veil_of, veiled
from sim.world.engine import Engine, engine
from sim.world.floor import LAMP_PIXELS, Floor
from sim.world.layers import EMPTY, Drawing, Layer, draw_mask
from sim.world.lens import Array, Box, Lens, View, box_around, lamp_view
from sim.world.shading import Image, background, contact_shade, outlines, shrink, sky_light
from sim.world.shapes.mesh import Body

GROUND = "ground"
"""Key of the floor's pose, which follows the tires; without one nothing casts a shadow."""

GHOST_LINE = 0.50
"""How much of the outlines of see-through parts is seen [-]."""

LINE = 0.62
"""How dark an outline is [-]."""

SHADOW = 0.34
"""How dark the ground shadow is [-]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Still:
    """What was drawn once for a camera: layers that stay, and the lamp with its floor."""

    solid: list[Drawing]
    veils: tuple[Veil, ...]
    lamp: View
    floor: Floor


class Stage:
    """Bodies in front of a camera.

    Args:
        bodies: Everything to be seen.
        size: Width and height of a picture [pixels].
        supersample: Each pixel is the mean of this many, squared.
        world: Engine that several stages use, or None for one of its own.
        shared: Layer of that engine that several stages show, in the same or in other poses.

    Example:
        with Stage(build_shapes(configuration, motion), size=(640, 430)) as stage:
            stage.look(*views(configuration)["whole"])
            image = stage.picture(body_poses(motion, state=0, turn=0))
    """

    def __init__(
        self,
        bodies: Iterable[Body],
        size: tuple[int, int] = (640, 430),
        supersample: int = 2,
        *,
        world: Engine | None = None,
        shared: Layer | None = None,
    ) -> None:
        self.size, self.supersample = size, supersample
        self._engines = ExitStack()
        self._world = self._engines.enter_context(engine()) if world is None else world
        parts = tuple(bodies)
        solids = [body for body in parts if not body.ghost]
        ghosts = [body for body in parts if body.ghost]
        self._ghosts = {
            share: Layer([body for body in ghosts if body.share == share], self._world)
            for share in sorted({body.share for body in ghosts})
        }
        self._still, moving = (
            Layer(chosen, self._world)
            for chosen in (
                [body for body in solids if not body.group],
                [body for body in solids if body.group],
            )
        )
        self._moving = [moving] if shared is None else [shared, moving]
        self._background = background(*size)
        self._lens: Lens | None = None
        self._drawn: _Still | None = None

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close its own engine."""
        self.close()

    def close(self) -> None:
        """Close its own engine, if any; no picture can be taken afterwards."""
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
        for layer in self._moving:
            layer.pose(poses)
        if self._drawn is None:
            self._drawn = self._draw_still(lens)
        still = self._drawn
        drawings = [*still.solid]
        for layer in self._moving:
            drawings += layer.draw(lens, self.supersample)
        areas = [veil.area for veil in still.veils] + [drawing.area for drawing in drawings]
        solid = nearest(drawings, box_around(areas))
        del drawings
        image = self._background.copy()
        if GROUND in poses:
            mask = draw_mask([self._still, *self._moving], still.lamp, LAMP_PIXELS)
            image *= 1 - np.float32(SHADOW) * still.floor.shadow(mask, float(poses[GROUND][2, 3]))
        if solid.area:
            rows, columns = cut_of(Box(0, 0, *self.size), shrunk(solid.area, self.supersample))
            part = image[:, rows, columns]
            part[:] = self._shaded(lens, solid, part)
            for veil in still.veils:
                veiled(part, solid, veil, self.supersample)
        image += np.float32(0.5)
        np.clip(image, 0, 255, out=image)
        return np.ascontiguousarray(image.astype(np.uint8).transpose(1, 2, 0))

    def _placed(self) -> Lens:
        """Return the lens, or refuse."""
        if self._lens is None:
            raise DomainError("the camera has no place yet: call look(eye, target, fov) first")
        return self._lens

    def _draw_still(self, lens: Lens) -> _Still:
        """Draw what never moves, once for this camera."""
        points = np.concatenate([layer.bounds() for layer in (*self._moving, self._still)])
        low, high = points.min(axis=0), points.max(axis=0)
        lamp = lamp_view((low + high) / 2, 0.6 * float(np.linalg.norm(high - low)))
        return _Still(
            solid=self._still.draw(lens, self.supersample),
            veils=tuple(self._veil(layer, share, lens) for share, layer in self._ghosts.items()),
            lamp=lamp,
            floor=Floor(lens, lamp, self.supersample),
        )

    def _veil(self, layer: Layer, face: float, lens: Lens) -> Veil:
        """Return see-through parts, their outlines plainer than their faces."""
        parts = layer.draw(lens, self.supersample)
        ghost = nearest(parts, box_around(part.area for part in parts))
        line = outlines(ghost.depth, ghost.number, _pixel(lens))
        share = np.where(ghost.number < 0, 0.0, face + (GHOST_LINE - face) * line)
        return veil_of(ghost, share.astype(np.float32))

    def _shaded(self, lens: Lens, solid: Drawing, floor: Image) -> Image:
        """Return the finished solid parts over the floor, at the size of the picture."""
        n, area, depth, number = self.supersample, solid.area, solid.depth, solid.number
        ink = outlines(depth, number, _pixel(lens))
        ink *= np.float32(-LINE)
        ink += np.float32(1.0)
        near = np.ascontiguousarray(depth[n // 2 :: n, n // 2 :: n])
        rays = lens.rays(
            np.arange(area.left + n // 2, area.right, n, dtype=float) + 0.5,
            np.arange(area.top + n // 2, area.bottom, n, dtype=float) + 0.5,
        )
        light = sky_light(near, rays, lens.view_matrix[:3, :3])
        light *= contact_shade(near, near >= EMPTY, self.size[0])
        shaded = floor * shrink(number < 0, n)
        for plane in range(3):
            shaded[plane] += shrink(solid.color[..., plane] * ink, n) * light
        return shaded


def _pixel(lens: Lens) -> float:
    """Return the width of a supersampled pixel at unit depth."""
    return float(2 * lens.half[1] / lens.size[1])
