"""Exact least distances of straight segments to boxes and to other segments.

A round rod is a segment with a radius: its distance is that of the segment less the radius.  That
takes its ends as round (a capsule).  A rod with flat ends lies inside it, so the distance to a
flat end is never told too large; beside the rod it is exact.

All functions broadcast over their leading axes.
"""

from __future__ import annotations

from functools import reduce

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array, Marks

STILL = 1e-150  # a component [m] that is none; its square is 0 in any case
PARALLEL = 1e-12  # squared sine of the angle under which two segments count as parallel


def segment_to_box(
    start: ArrayLike, end: ArrayLike, low: ArrayLike, high: ArrayLike
) -> tuple[Array, Array]:
    """Return how far segments are from solid boxes with sides along the axes.

    Along a segment the squared distance is convex, and its slope is a broken straight line that
    bends only where the segment passes the plane of a face.  So the least is found in closed
    form: the zero between two neighboring bends, or an end.

    Ends of segments and corners of boxes [m], (..., 3), give the distance [m], 0 where they meet,
    and the share of the segment at which it is least [-], (...).

    Source:
        Derived in DEVELOPERS.md, clearance.
    """
    p, q, low, high = _components(start, end, low, high)
    along = q - p
    weight = along * along
    step = np.where(np.abs(along) < STILL, 1.0, along)
    first, last = (low - p) / step, (high - p) / step
    enter, leave = np.minimum(first, last), np.maximum(first, last)

    def slope(share: Array, axes: tuple[int, ...] = (0, 1, 2)) -> Array:
        """Return half the slope of the squared distance at a share of the segments."""
        parts = (
            weight[k] * (share - np.minimum(np.maximum(share, enter[k]), leave[k])) for k in axes
        )
        return reduce(np.add, parts)

    s0, s1 = np.zeros(p.shape[1:]), np.ones(p.shape[1:])
    for k, others in enumerate(((1, 2), (2, 0), (0, 1))):
        for bend in (enter[k], leave[k]):  # where its own axis adds nothing
            falls = slope(bend, others) < 0
            s0 = np.maximum(s0, np.where(falls, bend, 0.0))
            s1 = np.minimum(s1, np.where(falls, 1.0, bend))
    s0, s1 = np.minimum(s0, 1.0), np.maximum(s1, 0.0)
    f0, f1 = slope(s0), slope(s1)
    rise = f1 - f0
    zero = np.divide(-f0, rise, out=np.zeros_like(f0), where=rise > 0)
    best = s0 + np.clip(zero, 0.0, 1.0) * (s1 - s0)
    at = p + best * along
    apart = at - np.minimum(np.maximum(at, low), high)
    return np.sqrt(_square(apart)), best


def outside_of(point: ArrayLike, low: ArrayLike, high: ArrayLike) -> Array:
    """Return the way from the nearest point of solid boxes to points [m], shape (..., 3)."""
    at = np.asarray(point, float)
    return np.asarray(at - np.clip(at, low, high))


def segment_to_segment(
    start: ArrayLike, end: ArrayLike, other_start: ArrayLike, other_end: ArrayLike
) -> tuple[Array, Array, Array]:
    """Return how far segments are from other segments.

    The least lies inside both, where their common normal stands, or at an end of one of them:
    five candidates, of which the nearest counts.

    Ends [m], (..., 3), give the distance [m] and the shares of both segments at which it is least
    [-], (...).

    Source:
        Derived in DEVELOPERS.md, clearance.
    """
    p, q, a, b = _components(start, end, other_start, other_end)
    u, v, w = q - p, b - a, p - a
    uu, uv, vv = (u * u).sum(axis=0), (u * v).sum(axis=0), (v * v).sum(axis=0)
    uw, vw = (u * w).sum(axis=0), (v * w).sum(axis=0)
    flat = uu * vv - uv * uv
    crossing = flat > PARALLEL * uu * vv

    def share(up: Array, down: Array, where: Marks) -> Array:
        part = np.divide(up, down, out=np.zeros_like(uu), where=where)
        return np.asarray(np.clip(part, 0.0, 1.0))

    first, second = (
        share(uv * vw - vv * uw, flat, crossing),
        share(uu * vw - uv * uw, flat, crossing),
    )
    least = _square(w + first * u - second * v)
    zero, one = np.zeros_like(uu), np.ones_like(uu)
    for s, t in (
        (zero, share(vw, vv, vv > 0)),
        (one, share(vw + uv, vv, vv > 0)),
        (share(-uw, uu, uu > 0), zero),
        (share(uv - uw, uu, uu > 0), one),
    ):
        square = _square(w + s * u - t * v)
        nearer = square < least
        least = np.where(nearer, square, least)
        first, second = np.where(nearer, s, first), np.where(nearer, t, second)
    return np.sqrt(least), first, second


def _components(*vectors: ArrayLike) -> tuple[Array, ...]:
    """Return vectors of one shape with their components first, in memory too, (3, ...)."""
    alike = np.broadcast_arrays(*(np.asarray(vector, float) for vector in vectors))
    first = (np.moveaxis(vector, -1, 0) for vector in alike)
    return tuple(v if v.strides[0] == max(v.strides) else np.ascontiguousarray(v) for v in first)


def _square(vector: Array) -> Array:
    """Return the squared length of vectors, components first."""
    return np.asarray((vector * vector).sum(axis=0))
