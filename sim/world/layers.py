"""Bodies as triangles in layers, drawn over each other into one drawing of pixels."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from sim.world.lens import Lens
from sim.world.raster import Image, Numbers, cover
from sim.world.shapes.mesh import AWAY, Array, Body

_STILL = np.eye(4)
"""Pose of what was never posed."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """What stands nearest in every pixel.

    Attributes:
        nearness: Inverse depth along the line of sight [1/m], 0 where nothing is, shape (h, w).
        number: Which body, −1 where none is, shape (h, w).
        normal: Outward normal in the vehicle's axes, not of unit length, shape (h, w, 3).
    """

    nearness: Image
    number: Numbers
    normal: Image

    @classmethod
    def empty(cls, size: tuple[int, int]) -> Self:
        """Return a drawing of so many columns and rows with nothing on it."""
        width, height = size
        return cls(
            np.zeros((height, width), np.float32),
            np.full((height, width), -1, np.int32),
            np.zeros((height, width, 3), np.float32),
        )

    def take(self, other: Drawing) -> None:
        """Become a copy of a drawing of the same size."""
        np.copyto(self.nearness, other.nearness)
        np.copyto(self.number, other.number)
        np.copyto(self.normal, other.normal)


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """The triangles of all bodies that move together."""

    points: Image
    normals: Image
    faces: Numbers
    numbers: Numbers  # of the body of each face
    corners: Array  # of the boxes around the bodies [m], (C, 3)


class Layer:
    """Some bodies that are drawn together.

    Args:
        bodies: Which.
        first: Number of the first one; they are numbered in their order.
    """

    def __init__(self, bodies: Iterable[Body], first: int = 0) -> None:
        by_group: dict[str, list[tuple[int, Body]]] = {}
        for number, body in enumerate(bodies, start=first):
            by_group.setdefault(body.group, []).append((number, body))
        self.groups = {group: _joined(parts) for group, parts in by_group.items()}
        self.poses: dict[str, Array] = {}

    def pose(self, poses: Mapping[str, Array]) -> None:
        """Move the groups that are in poses, each (4, 4); others stay."""
        self.poses |= {group: poses[group] for group in self.groups.keys() & poses.keys()}

    def bounds(self) -> Array:
        """Return corners of boxes around all groups as posed [m], shape (C, 3)."""
        found = [
            self.groups[group].corners @ pose[:3, :3].T + pose[:3, 3]
            for group, pose in self._placed().items()
        ]
        return np.concatenate([np.zeros((0, 3)), *found])

    def draw(self, lens: Lens, drawing: Drawing) -> None:
        """Draw what the layer shows over what is on a drawing, which has the size of the lens."""
        onto = lens.onto
        for group, pose in self._placed().items():
            mesh = self.groups[group]
            cover(
                mesh.points,
                mesh.normals,
                mesh.faces,
                mesh.numbers,
                pose.astype(np.float32),
                (onto @ pose).astype(np.float32),
                np.float32(lens.near),
                drawing.nearness,
                drawing.number,
                drawing.normal,
            )

    def _placed(self) -> dict[str, Array]:
        """Return the pose of every group that is not away, in their order."""
        poses = {group: self.poses.get(group, _STILL) for group in self.groups}
        return {group: pose for group, pose in poses.items() if pose is not AWAY}


def _joined(parts: Sequence[tuple[int, Body]]) -> _Group:
    """Return bodies that move together as one mesh."""
    start, faces, numbers = 0, [], []
    bodies = [body for _, body in parts]
    for number, body in parts:
        faces.append(body.faces + np.int32(start))
        numbers.append(np.full(len(body.faces), number, np.int32))
        start += len(body.vertices)
    return _Group(
        points=np.ascontiguousarray(np.concatenate([body.vertices for body in bodies])),
        normals=np.ascontiguousarray(np.concatenate([body.normals for body in bodies])),
        faces=np.ascontiguousarray(np.concatenate(faces)),
        numbers=np.concatenate(numbers),
        corners=np.concatenate([_corners(body.vertices) for body in bodies]),
    )


def _corners(points: NDArray[np.float32]) -> Array:
    """Return the eight corners of the box around points."""
    ends = np.stack([points.min(axis=0), points.max(axis=0)]).astype(float)
    pick = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, -1)
    return np.asarray(ends[pick, np.arange(3)[:, None]].T)
