"""Axes and angles: x aft, y right, z up, right-handed (aft × right = up), after SAE J182/J1100.

A member's axis points aft.  Slope is positive when its front end is higher than its rear end.

Vectors have their components last, but lie in memory with the rows last: what is done to one
component of many rows runs over one stretch of memory.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array


def cos_sin(angle: ArrayLike) -> tuple[Array, Array]:
    r"""Return the cosine and the sine of angles [rad].

    By the tangent of half the angle, for which numpy has vector instructions where it has none for
    a sine: a few times faster, and as good to the last digit or two.

    .. math:: t = \tan(a/2),\ \cos a = (1 - t^2)/(1 + t^2),\ \sin a = 2 t/(1 + t^2)

    Source:
        Tangent half-angle substitution, as in any table of integrals.
    """
    half = np.tan(0.5 * np.asarray(angle, float))
    square = half * half
    scale = 1 / (1 + square)
    return np.asarray((1 - square) * scale), np.asarray(2 * half * scale)


def axis_from_slope(slope: ArrayLike, plan: ArrayLike = 0.0) -> Array:
    r"""Return the unit axis of a member from its slope and plan angle.

    .. math:: a = (\cos s \cos p,\ \cos s \sin p,\ -\sin s)

    Slope and plan angle [rad], which broadcast, give unit axes (..., 3); front end high and to the
    right toward the rear are positive.

    Example:
        >>> axis_from_slope(0.0)
        array([1., 0., 0.])

    Source:
        Definition, see DEVELOPERS.md, axes and signs.
    """
    s, p = np.asarray(slope, float), np.asarray(plan, float)
    (level, fall), (ahead, aside) = cos_sin(s), cos_sin(p)
    return vector(level * ahead, level * aside, -fall + 0.0)


def slope_of(axis: ArrayLike) -> Array:
    """Return the inclination of axes (..., 3) to the frame plane [rad], front end high positive."""
    a = np.asarray(axis, float)
    return np.asarray(np.arctan2(-a[..., 2], np.sqrt(a[..., 0] ** 2 + a[..., 1] ** 2)))


def side_slope_of(axis: ArrayLike) -> Array:
    """Return the side-view slope of axes (..., 3) [rad], front end high positive."""
    a = np.asarray(axis, float)
    return np.asarray(np.arctan2(-a[..., 2], a[..., 0]))


def plan_of(axis: ArrayLike) -> Array:
    """Return the plan angle of axes (..., 3) [rad], positive to the right toward the rear."""
    a = np.asarray(axis, float)
    return np.asarray(np.arctan2(a[..., 1], a[..., 0]))


def angle_between(a: ArrayLike, b: ArrayLike) -> Array:
    r"""Return the true angle between two axes, accurate down to zero.

    .. math:: \beta = \operatorname{atan2}(|a \times b|,\ a \cdot b)

    Axes (..., 3) that broadcast give angles [rad] from 0 to π, (...).
    """
    u, v = np.asarray(a, float), np.asarray(b, float)
    x, y, z = _crossed(u, v)
    return np.asarray(np.arctan2(np.sqrt(x * x + y * y + z * z), dot(u, v)))


def unit(vector: ArrayLike) -> Array:
    """Return vectors (..., 3) of any unit, none of them zero, scaled to length one [-]."""
    v = np.asarray(vector, float)
    return np.asarray(v / norm(v)[..., None])


def vector(aft: ArrayLike, right: ArrayLike, up: ArrayLike) -> Array:
    """Return vectors (..., 3) from their components of any one unit, which broadcast."""
    return stacked([np.asarray(part) for part in (aft, right, up)])


def stacked(parts: Sequence[Array], components: int = 0) -> Array:
    """Return arrays side by side along a new axis behind the rows.

    Args:
        parts: n arrays of any unit that broadcast, shape (..., C) with their components C behind
            the rows.
        components: How many axes of components there are.

    Returns:
        Array [same unit], shape (..., n, C), its rows last in memory.
    """
    shape = np.broadcast(*parts).shape
    rows = len(shape) - components
    memory = np.empty((len(parts), *shape[rows:], *shape[:rows]))
    inward = (*range(rows, len(shape)), *range(rows))
    for number, part in enumerate(parts):
        whole = part if part.ndim == len(shape) else np.broadcast_to(part, shape)
        memory[number] = whole.transpose(inward)
    return memory.transpose(*range(components + 1, len(shape) + 1), *range(components + 1))


def dot(a: Array, b: Array) -> Array:
    """Return a · b over the last axis."""
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1] + a[..., 2] * b[..., 2])


def norm(a: Array) -> Array:
    """Return the lengths of vectors."""
    return np.asarray(np.sqrt(dot(a, a)))


def cross(a: Array, b: Array) -> Array:
    """Return a × b over the last axis."""
    return vector(*_crossed(a, b))


def _crossed(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Return the components of a × b."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx


def carried(rotation: Array, vector: Array) -> Array:
    """Return vectors (..., 3) of any unit, turned by rotations (..., 3, 3)."""
    return np.asarray(sum(rotation[..., i] * vector[..., i, None] for i in range(3)))


def rotation_y(angle: ArrayLike) -> Array:
    """Return nose-up rotations about +y (right) by angles [rad], (..., 3, 3)."""
    return _rotation(angle, 2, 0)


def rotation_x(angle: ArrayLike) -> Array:
    """Return rotations about +x (aft) by angles [rad], right side up, (..., 3, 3)."""
    return _rotation(angle, 1, 2)


def rotation_z(angle: ArrayLike) -> Array:
    """Return right-handed rotations about +z (up) by angles [rad], (..., 3, 3)."""
    return _rotation(angle, 0, 1)


def _rotation(angle: ArrayLike, i: int, j: int) -> Array:
    """Return right-handed rotations that turn axis i toward axis j."""
    t = np.asarray(angle, float)
    matrix = np.moveaxis(np.zeros((3, 3, *t.shape)), (0, 1), (-2, -1))
    matrix[..., 3 - i - j, 3 - i - j] = 1.0
    cos, matrix[..., j, i] = cos_sin(t)
    matrix[..., i, i] = matrix[..., j, j] = cos
    matrix[..., i, j] = -matrix[..., j, i]
    return matrix
