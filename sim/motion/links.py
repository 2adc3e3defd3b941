"""A live axle on side-view links: a four-bar whose coupler is the axle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.motion.frames import cos_sin
from sim.motion.motion import Start
from sim.motion.request import Request
from sim.scene.parts import Links, Vector

STEP = 0.010  # axle height raised at most so far at a time [m]
ITERATIONS = 8
CLOSED = 1e-9  # [m]
SETTLED = 1e-8  # [m] and [rad]; the next error is its square
SINGULAR = 1e-3  # of the Jacobian's determinant over the product of its rows' lengths


@dataclass(frozen=True, slots=True, eq=False)
class _Link:
    """One link in side view: frame end and arm from the axle center, (aft, up) [m]; its length."""

    name: str
    frame: tuple[Array, Array]
    arm: tuple[Array, Array]
    length: Array

    def span(self, aft: Array, height: Array, cos: Array, sin: Array) -> tuple[Array, ...]:
        """Return frame end to axle end, then axle center to axle end, (aft, up) each [m]."""
        x, z = self.arm
        swung_x, swung_z = x * cos + z * sin, z * cos - x * sin
        return aft + swung_x - self.frame[0], height + swung_z - self.frame[1], swung_x, swung_z


def links_posture(request: Request, links: Links, start: Start = ()) -> tuple[Array, Array]:
    """Return how the axle sits on its links, without torque.

    Left and right links that move together are one link in side view, parallel or triangulated.
    Found are the aft place of the axle center [m] and the turn of the axle [rad], nose up positive,
    of every row; ``start`` gives both of states near by.

    Raises:
        GeometryError: If the links cannot close.

    Source:
        Four-bar, derived in DEVELOPERS.md.
    """
    axle, travel = request.configuration.axle, request.travel
    pair = (
        _link("lower", links.lower_frame, links.lower_axle, axle),
        _link("upper", links.upper_frame, links.upper_axle, axle),
    )
    if start:
        aft, turn = start
        return _close(request, axle[..., 2] + travel, aft, turn, pair)
    aft, turn = axle[..., 0] + 0 * travel, np.zeros_like(travel)
    steps = max(1, int(np.ceil(np.abs(travel).max(initial=0.0) / STEP)))
    for step in range(1, steps + 1):
        aft, turn = _close(request, axle[..., 2] + travel * (step / steps), aft, turn, pair)
    return aft, turn


def _link(name: str, frame: Vector, end: Vector, axle: Vector) -> _Link:
    """Return a link in side view."""
    x, z = end[..., 0] - frame[..., 0], end[..., 2] - frame[..., 2]
    return _Link(
        name=name,
        frame=(frame[..., 0], frame[..., 2]),
        arm=(end[..., 0] - axle[..., 0], end[..., 2] - axle[..., 2]),
        length=np.hypot(x, z),
    )


def _close(
    request: Request, height: Array, aft: Array, turn: Array, pair: tuple[_Link, _Link]
) -> tuple[Array, Array]:
    """Run Newton's method on the two link lengths at a height."""
    for _ in range(ITERATIONS):
        cos, sin = cos_sin(turn)
        misfit, by_aft, by_turn = [], [], []
        for link in pair:
            x, z, swung_x, swung_z = link.span(aft, height, cos, sin)
            misfit.append(x**2 + z**2 - link.length**2)
            by_aft.append(2 * x)
            by_turn.append(2 * (x * swung_z - z * swung_x))
        determinant = by_aft[0] * by_turn[1] - by_aft[1] * by_turn[0]
        size = np.sqrt((by_aft[0] ** 2 + by_turn[0] ** 2) * (by_aft[1] ** 2 + by_turn[1] ** 2))
        locked = np.abs(determinant) < SINGULAR * size
        safe = np.where(locked, np.inf, determinant)
        slide = (misfit[1] * by_turn[0] - misfit[0] * by_turn[1]) / safe
        swing = (misfit[0] * by_aft[1] - misfit[1] * by_aft[0]) / safe
        aft, turn = aft + slide, turn + swing
        if max(np.abs(slide).max(), np.abs(swing).max()) < SETTLED:
            break
    cos, sin = cos_sin(turn)
    spans = [link.span(aft, height, cos, sin)[:2] for link in pair]
    distance = np.array([np.hypot(x, z) for x, z in spans])
    off = np.array([np.abs(d - link.length) for d, link in zip(distance, pair, strict=True)])
    _refuse_open(request, ~(off.max(axis=0) <= CLOSED) | locked, distance, off, pair)
    return aft, turn


def _refuse_open(
    request: Request, wrong: Array, distance: Array, off: Array, pair: tuple[_Link, _Link]
) -> None:
    """Refuse states in which the links do not close, naming the link that misses most."""

    def reason(state: int) -> str:
        worst = int(np.argmax(off[:, state]))
        name, apart = pair[worst].name, distance[worst, state]
        return (
            f"the links cannot close: the {name} link cannot reach; frame end and axle end are "
            f"{request.say(apart)} apart, the link is {request.say(float(pair[worst].length))}; "
            + request.look_at(state, f"suspension.{name}_frame", f"suspension.{name}_axle")
        )

    request.refuse_where(wrong, reason)
