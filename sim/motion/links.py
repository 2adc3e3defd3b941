"""A live axle on side-view links: a four-bar whose coupler is the axle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.motion.request import Request
from sim.scene.parts import Links, Vector

Array = NDArray[np.float64]
STEP = 0.010  # axle height raised at most so far at a time [m]
ITERATIONS = 8
CLOSED = 1e-9  # [m]
SINGULAR = 1e-3  # of the Jacobian's determinant over the product of its rows' lengths


@dataclass(frozen=True, slots=True, eq=False)
class _Pair:
    """Lower and upper link in side view: frame ends, arms from the axle center, lengths."""

    frame: Array
    arm: Array
    length: Array


def links_posture(request: Request, links: Links) -> tuple[Array, Array]:
    """Return how the axle sits on its links, without torque.

    Left and right links that move together are one link in side view, parallel or triangulated.

    Args:
        request: Travel of every state.
        links: The links at ride height.

    Returns:
        Aft place of the axle center [m] and turn of the axle [rad], nose up positive; shape (S,).

    Raises:
        GeometryError: If the links cannot close.

    Source:
        Four-bar, derived in DEVELOPERS.md.
    """
    axle = request.configuration.axle
    pair = _pair(links, axle)
    aft = np.full_like(request.travel, axle[0])
    turn = np.zeros_like(request.travel)
    steps = max(1, int(np.ceil(np.abs(request.travel).max(initial=0.0) / STEP)))
    for step in range(1, steps + 1):
        height = axle[2] + request.travel * (step / steps)
        aft, turn = _close(request, height, aft, turn, pair)
    return aft, turn


def links_near(request: Request, links: Links, aft: float, turn: float) -> tuple[Array, Array]:
    """Return how the axle sits on links of which every state has its own, from a known posture.

    Args:
        request: Travel of every state.
        links: The links at ride height, points of shape (S, 3).
        aft: Aft place of the axle center in the known posture [m].
        turn: Its turn [rad].

    Returns:
        Aft place of the axle center [m] and turn of the axle [rad]; shape (S,).
    """
    axle = request.configuration.axle
    start, height = np.ones_like(request.travel), axle[..., 2] + request.travel
    return _close(request, height, aft * start, turn * start, _pair(links, axle))


def _pair(links: Links, axle: Vector) -> _Pair:
    """Return lower and upper link in side view."""
    frame = np.stack(
        np.broadcast_arrays(_side(links.lower_frame), _side(links.upper_frame), _side(axle)), -2
    )[..., :2, :]
    ends = np.stack(
        np.broadcast_arrays(_side(links.lower_axle), _side(links.upper_axle), _side(axle)), -2
    )[..., :2, :]
    span = ends - frame
    return _Pair(frame, ends - _side(axle)[..., None, :], np.hypot(span[..., 0], span[..., 1]))


def _close(
    request: Request,
    height: Array,
    aft: Array,
    turn: Array,
    pair: _Pair,
) -> tuple[Array, Array]:
    """Run Newton's method on the two link lengths at a height."""
    for _ in range(ITERATIONS):
        span, swung = _spans(height, aft, turn, pair)
        misfit = (span**2).sum(axis=-1) - pair.length**2
        by_aft = 2 * span[..., 0]
        by_turn = 2 * (span[..., 0] * swung[..., 1] - span[..., 1] * swung[..., 0])
        determinant = by_aft[:, 0] * by_turn[:, 1] - by_aft[:, 1] * by_turn[:, 0]
        size = np.prod(np.hypot(by_aft, by_turn), axis=-1)
        locked = np.abs(determinant) < SINGULAR * size
        safe = np.where(locked, np.inf, determinant)
        aft = aft - (misfit[:, 0] * by_turn[:, 1] - misfit[:, 1] * by_turn[:, 0]) / safe
        turn = turn - (by_aft[:, 0] * misfit[:, 1] - by_aft[:, 1] * misfit[:, 0]) / safe
    span, _ = _spans(height, aft, turn, pair)
    distance = np.hypot(span[..., 0], span[..., 1])
    off = np.abs(distance - pair.length)
    _refuse_open(request, (off.max(axis=-1) > CLOSED) | locked, distance, pair.length)
    return aft, turn


def _spans(height: Array, aft: Array, turn: Array, pair: _Pair) -> tuple[Array, Array]:
    """Return frame end to axle end of both links, and axle center to axle end, (S, 2, 2)."""
    cos, sin = np.cos(turn)[:, None], np.sin(turn)[:, None]
    x, z = pair.arm[..., 0], pair.arm[..., 1]
    swung = np.stack([x * cos + z * sin, z * cos - x * sin], axis=-1)
    return np.stack([aft, height], axis=-1)[:, None] + swung - pair.frame, swung


def _refuse_open(request: Request, wrong: Array, distance: Array, length: Array) -> None:
    """Refuse states in which the links do not close, naming the link that misses most."""

    def reason(state: int) -> str:
        link = int(np.argmax(np.abs(distance[state] - length)))
        name = ("lower", "upper")[link]
        apart = distance[state, link] * 1e3
        return (
            f"the links cannot close: the {name} link cannot reach; frame end and axle end are "
            f"{apart:.0f} mm apart, the link is {length[link] * 1e3:.0f} mm; "
            + request.look_at(state, f"suspension.{name}_frame", f"suspension.{name}_axle")
        )

    request.refuse_where(wrong, reason)


def _side(point: Vector) -> Array:
    """Return a point in side view, (aft, up)."""
    return point[..., [0, 2]]
