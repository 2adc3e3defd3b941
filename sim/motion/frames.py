"""Axes and angles: x aft, y right, z up, right-handed (aft × right = up), after SAE J182/J1100.

A member's axis points aft.  Slope is positive when its front end is higher than its rear end.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def axis_from_slope(slope: ArrayLike, plan: ArrayLike = 0.0) -> Array:
    r"""Return the unit axis of a member from its slope and plan angle.

    .. math:: a = (\cos s \cos p,\ \cos s \sin p,\ -\sin s)

    Args:
        slope: Inclination to the frame plane [rad], front end high positive. Any shape.
        plan: Top-view angle [rad], positive to the right toward the rear. Broadcasts with slope.

    Returns:
        Unit axes pointing aft [-], shape (..., 3).

    Example:
        >>> axis_from_slope(0.0)
        array([1., 0., 0.])

    Source:
        Definition, see DEVELOPERS.md, axes and signs.
    """
    s, p = np.broadcast_arrays(np.asarray(slope, float), np.asarray(plan, float))
    return np.stack([np.cos(s) * np.cos(p), np.cos(s) * np.sin(p), -np.sin(s) + 0.0], axis=-1)


def slope_of(axis: ArrayLike) -> Array:
    """Return the slope of an axis: its inclination to the frame plane.

    Args:
        axis: Axes pointing aft [-], shape (..., 3).

    Returns:
        Slope [rad], shape (...), front end high positive.
    """
    a = np.asarray(axis, float)
    return np.asarray(np.arctan2(-a[..., 2], np.hypot(a[..., 0], a[..., 1])))


def side_slope_of(axis: ArrayLike) -> Array:
    """Return the side-view slope of an axis: the slope of its projection on the x-z plane.

    Args:
        axis: Axes pointing aft [-], shape (..., 3).

    Returns:
        Side-view slope [rad], shape (...), front end high positive.
    """
    a = np.asarray(axis, float)
    return np.asarray(np.arctan2(-a[..., 2], a[..., 0]))


def plan_of(axis: ArrayLike) -> Array:
    """Return the plan angle of an axis.

    Args:
        axis: Axes pointing aft [-], shape (..., 3).

    Returns:
        Plan angle [rad], shape (...), positive to the right toward the rear.
    """
    a = np.asarray(axis, float)
    return np.asarray(np.arctan2(a[..., 1], a[..., 0]))


def angle_between(a: ArrayLike, b: ArrayLike) -> Array:
    r"""Return the true angle between two axes, accurate down to zero.

    .. math:: \beta = \operatorname{atan2}(|a \times b|,\ a \cdot b)

    Args:
        a: Axes [-], shape (..., 3).
        b: Axes [-], shape (..., 3), broadcasts with a.

    Returns:
        Angle [rad], shape (...), from 0 to π.
    """
    u, v = np.asarray(a, float), np.asarray(b, float)
    return np.asarray(
        np.arctan2(np.linalg.norm(np.cross(u, v), axis=-1), np.einsum("...i,...i", u, v))
    )


def unit(vector: ArrayLike) -> Array:
    """Return vectors scaled to length one.

    Args:
        vector: Vectors of any unit [m or -], shape (..., 3), none of them zero.

    Returns:
        Unit vectors [-], same shape.
    """
    v = np.asarray(vector, float)
    return np.asarray(v / np.linalg.norm(v, axis=-1, keepdims=True))


def carried(rotation: Array, vector: Array) -> Array:
    """Return vectors turned by rotations.

    Args:
        rotation: Rotation matrices [-], shape (..., 3, 3).
        vector: Vectors of any unit, shape (3,) or (..., 3).

    Returns:
        Turned vectors, same unit, shape (..., 3).
    """
    return np.asarray((rotation @ vector[..., None])[..., 0])


def rotation_y(angle: ArrayLike) -> Array:
    """Return the nose-up rotation about +y (right): it adds its angle to a slope.

    Args:
        angle: Rotation [rad], any shape.

    Returns:
        Rotation matrices [-], shape (..., 3, 3).
    """
    return _rotation(angle, 2, 0)


def rotation_x(angle: ArrayLike) -> Array:
    """Return the rotation about +x (aft): right side up.

    Args:
        angle: Rotation [rad], any shape.

    Returns:
        Rotation matrices [-], shape (..., 3, 3).
    """
    return _rotation(angle, 1, 2)


def rotation_z(angle: ArrayLike) -> Array:
    """Return the right-handed rotation about +z (up).

    Args:
        angle: Rotation [rad], any shape.

    Returns:
        Rotation matrices [-], shape (..., 3, 3).
    """
    return _rotation(angle, 0, 1)


def _rotation(angle: ArrayLike, i: int, j: int) -> Array:
    """Return right-handed rotations that turn axis i toward axis j."""
    t = np.asarray(angle, float)
    matrix = np.zeros((*t.shape, 3, 3))
    matrix[..., range(3), range(3)] = 1.0
    matrix[..., i, i] = matrix[..., j, j] = np.cos(t)
    matrix[..., j, i] = np.sin(t)
    matrix[..., i, j] = -np.sin(t)
    return matrix
