"""Closed meshes: the few ways in which every part is made, and the body that a camera shows.

Solids are lathed about the x axis, extruded, swept or hulled, then added and cut.  They stay closed
(every edge belongs to exactly two triangles) whatever is added or cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import manifold3d
import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.errors import EngineError
from sim.motion.frames import unit

Array = NDArray[np.float64]
Color = tuple[float, float, float]
Solid = Any
"""A closed solid of manifold3d, which ships no types."""

CREASE = 38.0
"""Edges sharper than this stay sharp, the others are shaded round [deg]."""

FAINT = 0.17
"""How much is seen of see-through faces that only show where the shafts are [-]."""

AWAY = np.array([[1.0, 0, 0, 0], [0, 1.0, 0, 0], [0, 0, 1.0, -1000.0], [0, 0, 0, 1.0]])
"""Pose of a body that is not shown: far below everything."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """One mesh of one color.

    Attributes:
        name: Its own name.
        group: What moves it: its key in the poses; empty if it stays where it is.
        vertices, normals: Points [m] and outward unit normals [-], shape (V, 3).
        faces: Three vertices each, counter-clockwise from outside, shape (F, 3).
        color: Red, green, blue from 0 to 1.
        ghost: Whether it is drawn see-through.
        share: How much of a see-through face is seen, at most 0.5 [-].
    """

    name: str
    group: str
    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    normals: NDArray[np.float32]
    color: Color
    ghost: bool = False
    share: float = FAINT


def body(
    name: str,
    group: str,
    solid: Solid,
    color: Color,
    *,
    ghost: bool = False,
    share: float = FAINT,
) -> Body:
    """Return a solid as a body with smooth normals.

    Args:
        name: Its own name.
        group: Key of the pose that moves it; empty if it stays.
        solid: The closed solid.
        color: Red, green, blue from 0 to 1.
        ghost: Whether it is drawn see-through.
        share: How much of a see-through face is seen, at most 0.5 [-].

    Returns:
        The body.

    Raises:
        EngineError: If the solid is empty or not closed.
    """
    if solid.is_empty() or solid.status() != manifold3d.Error.NoError:
        raise EngineError(f"the shape of the {name} is empty or not closed")
    mesh = solid.calculate_normals(0, CREASE).to_mesh()
    table = np.asarray(mesh.vert_properties, np.float32)
    return Body(
        name=name,
        group=group,
        vertices=table[:, :3],
        normals=table[:, 3:6],
        faces=np.asarray(mesh.tri_verts, np.int32),
        color=color,
        ghost=ghost,
        share=share,
    )


def lathe(profile: Sequence[tuple[float, float]], segments: int = 48, turn: float = 360.0) -> Solid:
    """Return the solid that a closed outline sweeps about the x axis.

    Args:
        profile: Corners of the outline, (along x, radius) [m].
        segments: Sides of the circle.
        turn: How far it is swept from +y [deg].

    Returns:
        The solid.
    """
    outline = np.array([(radius, along) for along, radius in profile])
    x, y = outline.T
    if np.dot(x, np.roll(y, -1)) < np.dot(y, np.roll(x, -1)):
        outline = outline[::-1]
    solid = manifold3d.Manifold.revolve(manifold3d.CrossSection([outline]), segments, turn)
    # revolved about z starting at x: turn z to x and x to y
    return solid.transform([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0]])


def disc(start: float, end: float, radius: float, segments: int = 48) -> Solid:
    """Return a round bar on the x axis from start to end [m]."""
    return lathe([(start, 0.0), (start, radius), (end, radius), (end, 0.0)], segments)


def ring(start: float, end: float, inner: float, outer: float, segments: int = 48) -> Solid:
    """Return a round tube on the x axis from start to end [m]."""
    return lathe([(start, inner), (start, outer), (end, outer), (end, inner)], segments)


def box(low: ArrayLike, high: ArrayLike) -> Solid:
    """Return the box between two corners [m]."""
    a, b = np.minimum(low, high), np.maximum(low, high)
    return manifold3d.Manifold.cube((b - a).tolist()).translate(a.tolist())


def bar(start: ArrayLike, end: ArrayLike, radius: float, segments: int = 24) -> Solid:
    """Return a round bar between two points [m]."""
    a, b = np.asarray(start, float), np.asarray(end, float)
    solid = disc(0.0, float(np.linalg.norm(b - a)), radius, segments)
    return placed(solid, frame(a, b - a))


def extrusion(outline: ArrayLike, low: float, high: float) -> Solid:
    """Return an outline in the x-z plane drawn out along y from low to high [m]."""
    points = np.asarray(outline, float)
    x, z = points.T
    if np.dot(x, np.roll(z, -1)) < np.dot(z, np.roll(x, -1)):
        points = points[::-1]
    solid = manifold3d.CrossSection([points]).extrude(high - low)
    # extruded along z in the x-y plane: y becomes z, z becomes -y
    return solid.transform([[1, 0, 0, 0], [0, 0, -1, high], [0, 1, 0, 0]])


def sweep(path: ArrayLike, section: ArrayLike, side: ArrayLike = (0.0, 1.0, 0.0)) -> Solid:
    """Return a section drawn along a path.

    Args:
        path: Points that the section's origin follows [m], shape (P, 3).
        section: Corners of the outline, (along side, along the path's upward normal) [m].
        side: Direction that stays the section's first axis [-].

    Returns:
        The solid, closed at both ends.
    """
    line, outline, across = (np.asarray(a, float) for a in (path, section, side))
    along = unit(np.gradient(line, axis=0))
    upward = unit(np.cross(along, across))
    points = (
        line[:, None] + outline[:, 0, None] * across + outline[:, 1, None] * upward[:, None]
    ).reshape(-1, 3)
    faces = _sleeve_faces(len(line), len(outline), outline)
    mesh = manifold3d.Mesh(points.astype(np.float32), faces.astype(np.uint32))
    solid = manifold3d.Manifold(mesh)
    if solid.volume() < 0:
        mesh = manifold3d.Mesh(points.astype(np.float32), faces[:, ::-1].astype(np.uint32).copy())
        solid = manifold3d.Manifold(mesh)
    return solid


def _sleeve_faces(rings: int, sides: int, outline: Array) -> NDArray[np.int64]:
    """Return the triangles of a tube of equal rings and of its two ends."""
    here = np.arange(rings - 1)[:, None] * sides + np.arange(sides)
    there = np.arange(rings - 1)[:, None] * sides + (np.arange(sides) + 1) % sides
    a, b = here.ravel(), there.ravel()
    wall = np.concatenate([np.c_[a, a + sides, b], np.c_[b, a + sides, b + sides]])
    cap = np.asarray(manifold3d.triangulate([outline]), np.int64)
    if _signed_area(outline) < 0:
        cap = cap[:, ::-1]
    return np.concatenate([wall, cap, cap[:, ::-1] + (rings - 1) * sides])


def _signed_area(outline: Array) -> float:
    """Return twice the area of an outline, counter-clockwise positive."""
    x, y = outline.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def circle(radius: float, segments: int = 20) -> Array:
    """Return the corners of a circle about the origin [m], shape (segments, 2)."""
    angle = np.arange(segments) * (2 * np.pi / segments)
    return radius * np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def hull(*solids: Solid) -> Solid:
    """Return the smallest convex solid around solids."""
    return manifold3d.Manifold.batch_hull(list(solids))


def union(solids: Iterable[Solid]) -> Solid:
    """Return solids added to one."""
    return manifold3d.Manifold.batch_boolean(list(solids), manifold3d.OpType.Add)


def placed(solid: Solid, pose: ArrayLike) -> Solid:
    """Return a solid moved by a pose, shape (4, 4)."""
    return solid.transform(np.asarray(pose, float)[:3])


def frame(origin: ArrayLike, along: ArrayLike, toward: ArrayLike = (0.0, 1.0, 0.0)) -> Array:
    """Return the pose with its x axis along one direction and its y axis as near another as can be.

    Args:
        origin: Where it sits [m], shape (3,).
        along: Direction of x, any length, shape (3,).
        toward: Direction that y leans to, any length, shape (3,).

    Returns:
        Pose, shape (4, 4).
    """
    x = unit(along)
    wanted = np.asarray(toward, float)
    if np.linalg.norm(np.cross(x, wanted)) < 1e-9:
        wanted = np.array([0.0, 0.0, 1.0])
    y = unit(wanted - np.dot(wanted, x) * x)
    pose = np.eye(4)
    pose[:3] = np.stack([x, y, np.cross(x, y), np.asarray(origin, float)], axis=-1)
    return pose
