"""Exact least distances of straight segments to boxes and to other segments.

A round rod is a segment with a radius: its distance is that of the segment less the radius.  That
takes its ends as round (a capsule).  A rod with flat ends lies inside it, so the distance to a
flat end is never told too large; beside the rod it is exact.

All functions broadcast over their leading axes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
PARALLEL = 1e-12  # squared sine of the angle under which two segments count as parallel


def segment_to_box(
    start: ArrayLike, end: ArrayLike, low: ArrayLike, high: ArrayLike
) -> tuple[Array, Array]:
    """Return how far segments are from solid boxes with sides along the axes.

    Along a segment the squared distance is convex, and its slope is a broken straight line that
    bends only where the segment passes the plane of a face.  So the least is found in closed
    form: the zero between two bends, or an end.

    Args:
        start: Ends of the segments [m], shape (..., 3).
        end: The other ends [m], shape (..., 3).
        low: Lower corners of the boxes [m], shape (..., 3).
        high: Upper corners [m], shape (..., 3).

    Returns:
        Distance [m], 0 where they meet, and the share of the segment at which it is least [-];
        both of shape (...).

    Source:
        Derived in DEVELOPERS.md, clearance.
    """
    p, q, low, high = np.broadcast_arrays(*(np.asarray(a, float) for a in (start, end, low, high)))
    along = q - p
    still = along == 0
    step = np.where(still, 1.0, along)
    bends = np.concatenate([(low - p) / step, (high - p) / step], axis=-1)
    bends = np.where(np.concatenate([still, still], axis=-1), 0.0, np.clip(bends, 0.0, 1.0))
    edge = np.zeros((*bends.shape[:-1], 1))
    share = np.sort(np.concatenate([edge, bends, edge + 1.0], axis=-1), axis=-1)
    at = p[..., None, :] + share[..., None] * along[..., None, :]
    outside = at - np.clip(at, low[..., None, :], high[..., None, :])
    slope = (outside * along[..., None, :]).sum(axis=-1)
    before = np.clip((slope < 0).sum(axis=-1, keepdims=True) - 1, 0, share.shape[-1] - 2)
    s0, s1 = (np.take_along_axis(share, before + k, axis=-1)[..., 0] for k in (0, 1))
    f0, f1 = (np.take_along_axis(slope, before + k, axis=-1)[..., 0] for k in (0, 1))
    rise = f1 - f0
    zero = np.divide(-f0, rise, out=np.zeros_like(f0), where=rise > 0)
    best = s0 + np.clip(zero, 0.0, 1.0) * (s1 - s0)
    apart = outside_of(p + best[..., None] * along, low, high)
    return np.sqrt((apart * apart).sum(axis=-1)), best


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

    Args:
        start: Ends of the segments [m], shape (..., 3).
        end: The other ends [m], shape (..., 3).
        other_start: Ends of the other segments [m], shape (..., 3).
        other_end: Their other ends [m], shape (..., 3).

    Returns:
        Distance [m], and the shares of the first and of the other segment at which it is least
        [-]; all of shape (...).

    Source:
        Derived in DEVELOPERS.md, clearance.
    """
    p, q, a, b = np.broadcast_arrays(
        *(np.asarray(x, float) for x in (start, end, other_start, other_end))
    )
    u, v, w = q - p, b - a, p - a
    uu, uv, vv = (u * u).sum(-1), (u * v).sum(-1), (v * v).sum(-1)
    uw, vw = (u * w).sum(-1), (v * w).sum(-1)
    flat = uu * vv - uv * uv
    crossing = flat > PARALLEL * uu * vv
    zero, one = np.zeros_like(uu), np.ones_like(uu)

    def share(up: Array, down: Array, where: NDArray[np.bool_]) -> Array:
        part = np.divide(up, down, out=np.zeros_like(uu), where=where)
        return np.asarray(np.clip(part, 0.0, 1.0))

    inside = share(uv * vw - vv * uw, flat, crossing), share(uu * vw - uv * uw, flat, crossing)
    pairs = (
        inside,
        (zero, share(vw, vv, vv > 0)),
        (one, share(vw + uv, vv, vv > 0)),
        (share(-uw, uu, uu > 0), zero),
        (share(uv - uw, uu, uu > 0), one),
    )
    s, t = np.stack([pair[0] for pair in pairs]), np.stack([pair[1] for pair in pairs])
    apart = w + s[..., None] * u - t[..., None] * v
    square = (apart * apart).sum(axis=-1)
    nearest = np.argmin(square, axis=0)[None]
    best = (np.take_along_axis(array, nearest, axis=0)[0] for array in (square, s, t))
    least, first, second = best
    return np.sqrt(least), first, second
