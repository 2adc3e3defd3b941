"""The stage: bodies in front of a camera, and pictures of them.

Three layers: what is see-through and what stays are drawn once for each camera, what moves for
every picture.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.errors import DomainError
from sim.motion.frames import unit
from sim.world.floor import LAMP_PIXELS, Floor
from sim.world.layers import Drawing, Layer
from sim.world.lens import LIGHT, Array, Lens, lamp_over
from sim.world.raster import Bytes, Image, lit, outlined, veiled
from sim.world.shading import contact_shade, sky_of
from sim.world.shapes.mesh import Body

GROUND = "ground"
"""Key of the floor's pose, which follows the tires; without one nothing casts a shadow."""

GHOST_LINE = 0.50
"""How much of the outlines of see-through parts is seen [-]."""

AROUND, STRAIGHT, MIRRORED, SKY, LINE = 0.52, 0.47, 0.30, 0.16, 0.62
"""Light from all around, from the lamp, mirrored and from above; how dark an outline is [-]."""

STEPS = 510
"""Steps of how much is seen of what is see-through: half of it at most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Veil:
    """See-through parts as far as they are seen, see ``raster.veiled``."""

    part: tuple[slice, slice]  # rows and columns of the picture's pixels, supersampled
    nearness: Image
    planes: Bytes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Still:
    """What was drawn once for a camera."""

    solid: Drawing
    veils: tuple[_Veil, ...]
    lamp: Lens
    lamp_drawing: Drawing  # what stays, as the lamp sees it
    floor: Floor


class Stage:
    """Bodies in front of a camera.

    Args:
        bodies: Everything to be seen.
        size: Width and height of a picture [pixels].
        supersample: Each pixel is the mean of this many, squared.

    Example:
        stage = Stage(build_shapes(configuration, motion), size=(640, 430))
        stage.look(*views(configuration)["whole"])
        image = stage.picture(body_poses(motion, state=0, turn=0))
    """

    def __init__(
        self, bodies: Iterable[Body], size: tuple[int, int] = (640, 430), supersample: int = 2
    ) -> None:
        self.size, self.supersample = size, supersample
        parts = tuple(bodies)
        staying = [body for body in parts if not body.ghost and not body.group]
        moving = [body for body in parts if not body.ghost and body.group]
        ghosts = [body for body in parts if body.ghost]
        self._ghosts = {
            share: [body for body in ghosts if body.share == share]
            for share in sorted({body.share for body in ghosts})
        }
        self._staying, self._moving = Layer(staying), Layer(moving, len(staying))
        self._colors = _colors([*staying, *moving])
        self._sky = sky_of(size[1])
        self._lens: Lens | None = None
        self._drawn: _Still | None = None
        self._drawing = Drawing.empty((size[0] * supersample, size[1] * supersample))
        self._lamp_drawing = Drawing.empty((LAMP_PIXELS, LAMP_PIXELS))

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
        lens, factor = self._placed(), self.supersample
        self._moving.pose(poses)
        if self._drawn is None:
            self._drawn = self._draw_still(lens)
        still, drawing = self._drawn, self._drawing
        drawing.take(still.solid)
        self._moving.draw(lens, drawing)
        image, bare = self._lit(lens, drawing, self._colors, factor, LINE)
        image *= _shaded(drawing.nearness[factor // 2 :: factor, factor // 2 :: factor])[..., None]
        mask = self._mask(still) if GROUND in poses else None
        height = float(poses[GROUND][2, 3]) if GROUND in poses else 0.0
        still.floor.lay(image, bare, self._sky, mask, height)
        for veil in still.veils:
            rows, columns = veil.part
            behind = drawing.nearness[rows, columns]
            part = image[_shrunk(rows, factor), _shrunk(columns, factor)]
            veiled(part, behind, veil.nearness, veil.planes, STEPS, factor)
        image += np.float32(0.5)
        return np.clip(image, 0, 255, out=image).astype(np.uint8)

    def _placed(self) -> Lens:
        """Return the lens, or refuse."""
        if self._lens is None:
            raise DomainError("the camera has no place yet: call look(eye, target, fov) first")
        return self._lens

    def _draw_still(self, lens: Lens) -> _Still:
        """Draw what never moves, once for this camera."""
        points = np.concatenate([layer.bounds() for layer in (self._moving, self._staying)])
        low, high = points.min(axis=0), points.max(axis=0)
        radius = 0.6 * float(np.linalg.norm(high - low))
        lamp = lamp_over((low + high) / 2, radius, LAMP_PIXELS)
        solid, seen = Drawing.empty(lens.size), Drawing.empty(lamp.size)
        self._staying.draw(lens, solid)
        self._staying.draw(lamp, seen)
        return _Still(
            solid=solid,
            veils=tuple(self._veil(bodies, share, lens) for share, bodies in self._ghosts.items()),
            lamp=lamp,
            lamp_drawing=seen,
            floor=Floor(lens, lamp, self.supersample),
        )

    def _mask(self, still: _Still) -> NDArray[np.bool_]:
        """Return where the lamp sees parts, shape (n, n)."""
        self._lamp_drawing.take(still.lamp_drawing)
        self._moving.draw(still.lamp, self._lamp_drawing)
        return np.asarray(self._lamp_drawing.number >= 0)

    def _veil(self, bodies: list[Body], face: float, lens: Lens) -> _Veil:
        """Return see-through parts, their outlines plainer than their faces."""
        drawing = Drawing.empty(lens.size)
        Layer(bodies).draw(lens, drawing)
        color, _ = self._lit(lens, drawing, _colors(bodies), 1, 0.0)
        line = np.empty_like(drawing.nearness)
        outlined(drawing.nearness, drawing.number, np.float32(lens.pixel), line)
        part = _part(drawing.number >= 0, self.supersample)
        share = np.float32(face) + np.float32(GHOST_LINE - face) * line[part]
        share[drawing.number[part] < 0] = 0
        planes = np.empty((*share.shape, 4), np.uint8)
        planes[..., :3] = color[part] * share[..., None] + np.float32(0.5)
        planes[..., 3] = share * STEPS + np.float32(0.5)
        nearness = np.ascontiguousarray(drawing.nearness[part])
        return _Veil(part=part, nearness=nearness, planes=planes)

    @staticmethod
    def _lit(
        lens: Lens, drawing: Drawing, colors: Image, factor: int, dark: float
    ) -> tuple[Image, Image]:
        """Return what is on a drawing in its light, and the share where nothing is."""
        width, height = (side // factor for side in lens.size)
        image = np.empty((height, width, 3), np.float32)
        bare = np.empty((height, width), np.float32)
        lights = np.array([AROUND, STRAIGHT, MIRRORED, SKY, dark], np.float32)
        toward = lens.view_matrix[:3, :3] * [[lens.half[0]], [lens.half[1]], [1.0]]
        lit(
            drawing.nearness,
            drawing.number,
            drawing.normal,
            colors,
            toward.astype(np.float32),
            unit(LIGHT).astype(np.float32),
            lights,
            np.float32(lens.pixel),
            factor,
            image,
            bare,
        )
        return image, bare


def _shaded(nearness: Image) -> Image:
    """Return how dark contact with nearer parts makes every pixel of the picture."""
    there = nearness > 0
    shade = np.ones_like(nearness)
    part = _part(there, 1)
    if there[part].size:
        empty = ~there[part]
        depth = np.asarray(1 / np.where(empty, 1.0, nearness[part]), np.float32)
        shade[part] = contact_shade(depth, empty, nearness.shape[1])
    return shade


def _part(there: NDArray[np.bool_], step: int) -> tuple[slice, slice]:
    """Return the rows and columns in which something is, from and to multiples of a step."""
    found = (np.flatnonzero(there.any(axis=axis)) for axis in (1, 0))
    rows, columns = (
        slice(f[0] // step * step, -(-(f[-1] + 1) // step) * step) if f.size else slice(0, 0)
        for f in found
    )
    return rows, columns


def _shrunk(pixels: slice, factor: int) -> slice:
    """Return supersampled rows or columns as those of the picture."""
    return slice(pixels.start // factor, pixels.stop // factor)


def _colors(bodies: Iterable[Body]) -> Image:
    """Return the colors of bodies, 0 to 255, shape (B, 3)."""
    return np.array([body.color for body in bodies], np.float32).reshape(-1, 3) * 255
