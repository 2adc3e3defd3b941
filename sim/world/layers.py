"""Bodies in an engine of their own, drawn to color, depth and body number by its software renderer.

No window, no graphics library: the renderer runs on the processor alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.world.engine import Engine
from sim.world.lens import LIGHT, Box, Lens, View
from sim.world.shapes.mesh import AWAY, Array, Body, Color

EMPTY = np.float32(1e9)
"""Depth where nothing is [m]."""

AMBIENT, DIFFUSE, SPECULAR = 0.52, 0.47, 0.30
"""Light from all around, from the lamp, and mirrored [-]; more than 1.05 in sum burns out."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """What one layer looks like inside a box of pixels.

    Attributes:
        area: The box [supersampled pixels].
        color: From 0 to 255, shape (h, w, 3).
        depth: Along the line of sight [m], ``EMPTY`` where nothing is, shape (h, w).
        number: Which body, −1 where none is, shape (h, w).
    """

    area: Box
    color: NDArray[np.uint8]
    depth: NDArray[np.float32]
    number: NDArray[np.int32]


class Layer:
    """Some bodies in one engine."""

    def __init__(self, bodies: Iterable[Body], world: Engine) -> None:
        self.world = world
        self.parts: dict[str, list[int]] = {}
        self.colors: dict[int, Color] = {}
        self.hidden: set[str] = set()
        self.corners: dict[str, list[Array]] = {}
        for body in bodies:
            part = _load(body, world)
            self.parts.setdefault(body.group, []).append(part)
            self.colors[part] = body.color
            self.corners.setdefault(body.group, []).append(_corners(body.vertices))
        self.around = {group: np.concatenate(c) for group, c in self.corners.items()}

    def pose(self, poses: Mapping[str, Array]) -> None:
        """Move the groups that are in poses, each (4, 4); others stay."""
        for group, pose in poses.items():
            self._show(group, pose is not AWAY)
            for part in self.parts.get(group, ()):
                self.world.resetBasePositionAndOrientation(part, pose[:3, 3], quaternion(pose))

    def _show(self, group: str, shown: bool) -> None:
        """Show or hide a group; the renderer spends no time on what is wholly transparent."""
        if shown == (group not in self.hidden):
            return
        for part in self.parts.get(group, ()):
            self.world.changeVisualShape(part, -1, rgbaColor=[*self.colors[part], float(shown)])
        (self.hidden.discard if shown else self.hidden.add)(group)

    def bounds(self, poses: Mapping[str, Array]) -> Array:
        """Return corners of boxes around all groups as posed [m], shape (C, 3)."""
        still = np.eye(4)
        found = [
            corners @ poses.get(group, still)[:3, :3].T + poses.get(group, still)[:3, 3]
            for group, corners in self.around.items()
            if poses.get(group, still) is not AWAY
        ]
        return np.concatenate(found) if found else np.zeros((0, 3))

    def draw(self, lens: Lens, area: Box) -> Drawing:
        """Draw what lies in a box of the picture, in pixels of the supersampled picture."""
        if not self.parts or not area:
            return _nothing()
        return self._draw(lens.view_matrix, lens.through(area), area, lens.range)

    def draw_mask(self, view: View, size: int) -> NDArray[np.bool_]:
        """Return where bodies are, seen from a view, shape (size, size)."""
        if not self.parts:
            return np.zeros((size, size), bool)
        drawing = self._draw(view.view_matrix, view.projection, Box(0, 0, size, size), view.range)
        return drawing.number >= 0

    def _draw(
        self, view: Array, projection: Array, area: Box, span: tuple[float, float]
    ) -> Drawing:
        """Ask the engine for one picture; matrices are (4, 4), rows first."""
        width, height = area.width, area.height
        found = self.world.getCameraImage(
            width,
            height,
            view.T.ravel().tolist(),
            projection.T.ravel().tolist(),
            renderer=self.world.api.ER_TINY_RENDERER,
            shadow=0,
            lightDirection=LIGHT.tolist(),
            lightColor=[1.0, 1.0, 1.0],
            lightAmbientCoeff=AMBIENT,
            lightDiffuseCoeff=DIFFUSE,
            lightSpecularCoeff=SPECULAR,
        )
        color = np.asarray(found[2], np.uint8).reshape(height, width, 4)[..., :3]
        raw = np.asarray(found[3], np.float32).reshape(height, width)
        number = np.asarray(found[4], np.int32).reshape(height, width)
        near, far = span
        depth = np.float32(near * far) / (np.float32(far) - np.float32(far - near) * raw)
        return Drawing(
            area=area, color=color, depth=np.where(number < 0, EMPTY, depth), number=number
        )


def _nothing() -> Drawing:
    """Return an empty drawing."""
    return Drawing(
        area=Box(0, 0, 0, 0),
        color=np.zeros((0, 0, 3), np.uint8),
        depth=np.zeros((0, 0), np.float32),
        number=np.zeros((0, 0), np.int32),
    )


def _load(body: Body, world: Engine) -> int:
    """Hand one body to the engine, without weight and without collision, and return its number."""
    shape = world.createVisualShape(
        world.api.GEOM_MESH,
        vertices=body.vertices.tolist(),
        indices=body.faces.ravel().tolist(),
        normals=body.normals.tolist(),
        rgbaColor=[*body.color, 1.0],
        specularColor=[0.30, 0.30, 0.30],
    )
    return int(world.createMultiBody(0, -1, shape))


def _corners(points: NDArray[np.float32]) -> Array:
    """Return the eight corners of the box around points."""
    ends = np.stack([points.min(axis=0), points.max(axis=0)]).astype(float)
    pick = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, -1)
    return np.asarray(ends[pick, np.arange(3)[:, None]].T)


def quaternion(pose: Array) -> list[float]:
    """Return the unit quaternion (x, y, z, w) of a pose's rotation.

    Args:
        pose: Rotation in its upper left, shape (3, 3) or (4, 4).

    Returns:
        Four numbers, largest component positive.

    Source:
        Largest of the four diagonal combinations first, common practice, no source.
    """
    m = pose[:3, :3]
    squares = np.array(
        [
            1 + m[0, 0] - m[1, 1] - m[2, 2],
            1 - m[0, 0] + m[1, 1] - m[2, 2],
            1 - m[0, 0] - m[1, 1] + m[2, 2],
            1 + m[0, 0] + m[1, 1] + m[2, 2],
        ]
    )
    best = int(np.argmax(squares))
    plus = {(0, 1): m[0, 1] + m[1, 0], (0, 2): m[0, 2] + m[2, 0], (1, 2): m[1, 2] + m[2, 1]}
    minus = {(0, 3): m[2, 1] - m[1, 2], (1, 3): m[0, 2] - m[2, 0], (2, 3): m[1, 0] - m[0, 1]}
    products = {**plus, **minus}
    root = float(np.sqrt(squares[best]))
    parts = [root if i == best else products[(min(i, best), max(i, best))] / root for i in range(4)]
    return [float(part) / 2 for part in parts]
