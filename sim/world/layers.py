"""Bodies in an engine, drawn to color, depth and body number by its software renderer.

No window, no graphics library: the renderer runs on the processor alone.  An engine holds some
30 MB however little is in it, so that many layers share one: bodies are shown only while their
layer is drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.world.engine import Engine
from sim.world.lens import LIGHT, Box, Lens, View, box_around
from sim.world.shapes.mesh import AWAY, Array, Body, Color

EMPTY = np.float32(1e9)
"""Depth where nothing is [m]."""

AMBIENT, DIFFUSE, SPECULAR = 0.52, 0.47, 0.30
"""Light from all around, from the lamp, and mirrored [-]; more than 1.05 in sum burns out."""


STRIP = 600
"""Width of what is drawn at once [supersampled pixels]: the engine holds 30 bytes a pixel of it."""

_STILL = np.eye(4)
"""Pose of what was never posed."""


STRIP = 600
"""Width of what is drawn at once [supersampled pixels]: the engine holds 30 bytes a pixel of it."""

_STILL = np.eye(4)
"""Pose of what was never posed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """What one layer looks like inside a box of pixels.

    Attributes:
        area: The box [supersampled pixels].
        color: From 0 to 255, red, green, blue and one unused, shape (h, w, 4).
        depth: Along the line of sight [m], ``EMPTY`` where nothing is, shape (h, w).
        number: Which body, −1 where none is, shape (h, w).
    """

    area: Box
    color: NDArray[np.uint8]
    depth: NDArray[np.float32]
    number: NDArray[np.int32]


class Layer:
    """Some bodies of an engine that are drawn together.

    Args:
        bodies: Which.
        world: Where they are loaded.
        remembers: Whether the last drawing is kept, in case nothing moves until the next.
    """

    def __init__(self, bodies: Iterable[Body], world: Engine, *, remembers: bool = False) -> None:
        self.world, self.remembers = world, remembers
        self.parts: dict[str, list[int]] = {}
        self.colors: dict[int, Color] = {}
        self.poses: dict[str, Array] = {}
        self.last: tuple[bytes, list[Drawing]] | None = None
        corners: dict[str, list[Array]] = {}
        for body in bodies:
            part = _load(body, world)
            self.parts.setdefault(body.group, []).append(part)
            self.colors[part] = body.color
            corners.setdefault(body.group, []).append(_corners(body.vertices))
        self.around = {group: np.concatenate(c) for group, c in corners.items()}

    def pose(self, poses: Mapping[str, Array]) -> None:
        """Move the groups that are in poses, each (4, 4); others stay."""
        for group in self.parts.keys() & poses.keys():
            pose = self.poses[group] = poses[group]
            for part in self.parts[group] if pose is not AWAY else ():
                self.world.resetBasePositionAndOrientation(part, pose[:3, 3], quaternion(pose))

    def bounds(self) -> Array:
        """Return corners of boxes around all groups as posed [m], shape (C, 3)."""
        return np.concatenate([np.zeros((0, 3)), *self._placed().values()])

    def _placed(self) -> dict[str, Array]:
        """Return corners of boxes around every group that is not away [m], shape (C, 3)."""
        found = {}
        for group, corners in self.around.items():
            pose = self.poses.get(group, _STILL)
            if pose is not AWAY:
                found[group] = corners @ pose[:3, :3].T + pose[:3, 3]
        return found

    def draw(self, lens: Lens, step: int) -> list[Drawing]:
        """Draw what the layer fills of the picture, strip by strip from the left.

        Args:
            lens: The camera.
            step: Boxes lie on multiples of it [supersampled pixels].

        Returns:
            The drawings; the last ones again if nothing moved since.
        """
        if not self.remembers:
            return self._drawn(lens, step)
        poses = (self.poses.get(group, _STILL).tobytes() for group in self.parts)
        moment = b"".join([lens.view_matrix.tobytes(), repr(lens.half).encode(), *poses])
        if self.last is None or self.last[0] != moment:
            self.last = None
            self.last = moment, self._drawn(lens, step)
        return self.last[1]

    def _drawn(self, lens: Lens, step: int) -> list[Drawing]:
        """Draw the strips, each only as high as what is in it, and of that only what is in it."""
        areas = {group: lens.around(c, step) for group, c in self._placed().items()}
        wide = STRIP // step * step
        drawings = []
        for left in range(0, lens.size[0], wide):
            strip = Box(left, 0, min(left + wide, lens.size[0]), lens.size[1])
            inside = {group: box.within(strip) for group, box in areas.items()}
            filled = {group: box for group, box in inside.items() if box}
            if filled:
                area = box_around(filled.values())
                view = View(lens.view_matrix, lens.through(area), lens.range)
                with self.shown(filled):
                    drawings.append(shoot(self.world, view, area))
        return drawings

    @contextmanager
    def shown(self, groups: Iterable[str] | None = None) -> Iterator[None]:
        """Show groups, or all that are not away; no time is spent on what is hidden."""
        chosen = self._placed() if groups is None else groups
        there = [part for group in chosen for part in self.parts[group]]
        for part in there:
            self.world.changeVisualShape(part, -1, rgbaColor=[*self.colors[part], 1.0])
        yield
        for part in there:
            self.world.changeVisualShape(part, -1, rgbaColor=[*self.colors[part], 0.0])


def shoot(world: Engine, view: View, area: Box) -> Drawing:
    """Ask the engine for one picture of what is shown, as large as a box."""
    width, height = area.width, area.height
    found = world.getCameraImage(
        width,
        height,
        view.view_matrix.T.ravel().tolist(),
        view.projection.T.ravel().tolist(),
        renderer=world.api.ER_TINY_RENDERER,
        shadow=0,
        lightDirection=LIGHT.tolist(),
        lightColor=[1.0, 1.0, 1.0],
        lightAmbientCoeff=AMBIENT,
        lightDiffuseCoeff=DIFFUSE,
        lightSpecularCoeff=SPECULAR,
    )
    color = np.asarray(found[2], np.uint8).reshape(height, width, 4)
    depth = np.array(found[3], np.float32).reshape(height, width)
    number = np.asarray(found[4], np.int32).reshape(height, width)
    near, far = view.range
    # in place: a picture of the film has a million of these
    depth *= np.float32(near - far)
    depth += np.float32(far)
    np.divide(np.float32(near * far), depth, out=depth)
    depth[number < 0] = EMPTY
    return Drawing(area=area, color=color, depth=depth, number=number)


def draw_mask(layers: Iterable[Layer], view: View, size: int) -> NDArray[np.bool_]:
    """Return where bodies of layers of one engine are, seen from a view, shape (size, size)."""
    there = [layer for layer in layers if layer.parts]
    if not there:
        return np.zeros((size, size), bool)
    with ExitStack() as stack:
        for layer in there:
            stack.enter_context(layer.shown())
        return shoot(there[0].world, view, Box(0, 0, size, size)).number >= 0


def _load(body: Body, world: Engine) -> int:
    """Hand one body to the engine, hidden, without weight and collision; return its number."""
    points, normals = _lent(_POINTS, body.vertices), _lent(_NORMALS, body.normals)
    corners = body.faces.ravel().tolist()
    shape = world.createVisualShape(
        world.api.GEOM_MESH,
        vertices=points,
        indices=corners,
        normals=normals,
        rgbaColor=[*body.color, 0.0],
        specularColor=[0.30, 0.30, 0.30],
    )
    # the engine keeps every list it was given for ever: keep them empty
    points.clear()
    corners.clear()
    normals.clear()
    return int(world.createMultiBody(0, -1, shape))


_POINTS: list[list[float]] = []
_NORMALS: list[list[float]] = []
"""Rows lent to the engine, which keeps each one for ever: the same are used again."""


def _lent(rows: list[list[float]], table: NDArray[np.float32]) -> list[list[float]]:
    """Return rows with the values of a table, shape (V, 3)."""
    rows.extend([0.0, 0.0, 0.0] for _ in range(len(table) - len(rows)))
    for row, values in zip(rows, table.tolist(), strict=False):
        row[:] = values
    return rows[: len(table)]


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
