"""Leaf springs as three links each: front half, axle, rear half, on eye and shackle.

Each half acts as a rigid arm hinged near the seat; hinge springs carry the load, and the wheel
torque winds the axle up against them.  The axle's height is given; its slope is the one at which
hinges, wheel torque and thrust are in balance.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.motion.leaf_links import LeafPose, ThreeLinks, carrying, three_links
from sim.motion.request import Index, Request
from sim.scene.parts import LeafSprings

Array = NDArray[np.float64]
Found = tuple[Array, Array]  # slope [rad] and stiffness of the balance there [N m/rad]
STEPS = 20  # from ride height, travel and torque raised together
ITERATIONS = 30  # of Newton's method, at most
CLOSE = 1e-4  # [rad]; the next error is its square
NUDGE = 1e-7  # [rad] for the derivative of the balance
POLISHES = 8  # of the secant method, at most
SETTLED = 1e-11  # [rad²]; the next error is about the product of the last two
FLAT = 1e-10  # [rad]; so small a move says nothing of the stiffness
LOOSE = 1e-5  # [rad]; what has not settled within this has no balance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafPosture:
    """Seat turn and wrap [rad] of every row, and the axle's aft place at either spring [m], (…, 2).

    The first spring is the left one.  Other designs may start from ``start``: slope and stiffness
    of the balance without torque, the same with it, and the stiffness of all hinges.
    """

    turn: Array
    wrap: Array
    aft: Array
    start: tuple[Array, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Load:
    """What winds the axle up: nothing, or the torque at the wheels against a traction bar.

    What a spring carries beyond its rate gives its hinges a torque more.
    """

    torque: Any = 0.0  # [N m]
    thrust: Any = 0.0  # at the axle center [N]
    control: Any = 0.0  # stiffness of a traction bar [N m/rad]
    relaxed: Any = 0.0  # slope at which the bar is free [rad]
    hinges: tuple[Any, Any] = (0.0, 0.0)  # front and rear, of each spring [N m]

    def share(self, share: float) -> _Load:
        """Return a share of the load."""
        return _Load(
            torque=share * self.torque,
            thrust=share * self.thrust,
            control=self.control,
            relaxed=share * self.relaxed,
            hinges=(share * self.hinges[0], share * self.hinges[1]),
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Balance:
    """The balance of torques about the axle's pitch axis, for given heights and loads."""

    links: ThreeLinks
    height: Array  # of the axle center at each spring [m]: one for both, or two, then the rows
    load: _Load

    def newton(self, slope: Array) -> tuple[Array, Array, LeafPose]:
        """Return the next slope, the stiffness of the balance at this one, and its pose."""
        here, pose = self.surplus(slope)
        stiffness = (self.surplus(slope + NUDGE)[0] - here) / NUDGE
        safe = np.where(stiffness > 0, stiffness, np.inf)  # an unstable slope stays where it is
        return slope - here / safe, stiffness, pose

    def surplus(self, slope: Array) -> tuple[Array, LeafPose]:
        """Return the torque that turns the seat back [N m], 0 in balance; and the pose."""
        load, pose = self.load, self.links.pose(self.height, slope)
        hinges = 2 / len(self.height) * self.links.hinge_torque(pose, load.hinges).sum(axis=0)
        bar = load.control * (slope - load.relaxed)
        thrust = load.thrust * pose.aft_slope.mean(axis=0)
        return np.asarray(hinges + bar - load.torque + thrust), pose


def leaf_posture(
    request: Request, springs: LeafSprings, start: tuple[Array, ...] | None = None
) -> LeafPosture:
    """Return how the axle sits on its leaf springs.

    Args:
        request: Travel, roll and wheel torque of every row.
        springs: Both springs.
        start: Of a design near by in the same states, each of shape (S,); left out, every row is
            followed from ride height.

    Returns:
        Seat turn, wrap and the axle's aft place at either spring.

    Raises:
        GeometryError: If an arm cannot reach, a shackle cannot close or goes over center, or the
            axle rolls over.

    Source:
        Arms of three quarters: SAE HS-788 (from memory); the balance is derived in
        DEVELOPERS.md, leaf springs.
    """
    shape = request.travel.shape
    turn, wrap, aft = np.empty(shape), np.empty(shape), np.empty((2, *shape))
    known = np.empty((5, shape[0]))
    for states in _level_then_rolled(request):
        part = request.part(states)
        near = None if start is None else tuple(column[states] for column in start)
        links = three_links(springs, request.configuration.axle)
        parked, wound, pose = _seated(part, springs, links, near)
        turn[states], wrap[states], aft[:, states] = wound[0], wound[0] - parked[0], pose.aft
        known[:4, states] = [_first(column) for column in (*parked, *wound)]
        known[4] = np.ravel(_hinges(links))[0]
        request.adopt(part, states, np.arange(len(states)))
    return LeafPosture(turn=turn, wrap=wrap, aft=np.moveaxis(aft, 0, -1), start=tuple(known))


def _level_then_rolled(request: Request) -> Iterator[Index]:
    """Yield the states in which both springs do the same, then those in which they do not."""
    rolled = request.roll.any(axis=tuple(range(1, request.roll.ndim)))
    for some in (~rolled, rolled):
        if some.any():
            yield np.flatnonzero(some)


def _hinges(links: ThreeLinks) -> Any:
    """Return the stiffness of all hinges of both springs [N m/rad]."""
    return 2 * (links.stiffness[0] + links.stiffness[1])


def _first(rows: Array) -> Array:
    """Return the rows of the first design, (S,)."""
    return rows if rows.ndim == 1 else rows[:, 0]


def _seated(
    request: Request, springs: LeafSprings, links: ThreeLinks, start: tuple[Array, ...] | None
) -> tuple[Found, Found, LeafPose]:
    """Return the balance without torque and with it, and both springs there."""
    height = _heights(request, springs)
    first, index = _distinct(request)
    still = request.part(first)
    near = None
    if start is not None:
        slope, stiffness, hinges = (start[k][first, None] for k in (0, 1, 4))
        near = slope, stiffness / hinges * _hinges(links)
    found = _settle(still, _Balance(links, height[:, first], _Load()), near)
    request.adopt(still, np.arange(len(index)), index)
    parked = found[0][index], found[1][index]
    wound = parked
    if springs.wind_up is not None:
        wound = parked[0] + request.wheel_torque / springs.wind_up, parked[1]
    elif request.wheel_torque.any():
        wound = _wound(request, springs, _Balance(links, height, _Load()), parked, start)
    pose = links.pose(height, wound[0])
    _refuse_impossible(request, links, pose)
    return parked, wound, pose


def _wound(
    request: Request,
    springs: LeafSprings,
    balance: _Balance,
    parked: Found,
    start: tuple[Array, ...] | None,
) -> Found:
    """Return the balance under torque; states without any stay as they are parked."""
    torque = request.wheel_torque
    states = np.flatnonzero(torque.any(axis=tuple(range(1, torque.ndim))))
    part = request.part(states)
    height, relaxed = balance.height[:, states], parked[0][states]
    load = _Load(
        torque=part.wheel_torque,
        thrust=part.wheel_torque / request.configuration.vehicle.tire_radius,
        control=springs.wrap_control,
        relaxed=relaxed,
        hinges=_more(balance.links, height, relaxed, part.excess),
    )
    near = None
    if start is not None:  # the torque takes as much stiffness from each, and softer ones wrap more
        still, before, turned, after = (column[states, None] for column in start[:4])
        stiff = parked[1][states]
        left = np.maximum(stiff - (before - after), after / 2)
        wrap = (turned - still) * (before + after) / (stiff + left)
        near = parked[0][states] + wrap, left
    found = _settle(part, _Balance(balance.links, height, load), near)
    request.adopt(part, states, np.arange(len(states)))
    slope, stiffness = parked[0].copy(), parked[1].copy()
    slope[states], stiffness[states] = found
    return slope, stiffness


def _more(links: ThreeLinks, height: Array, parked: Array, excess: Array | None) -> tuple[Any, Any]:
    """Return what the hinges carry beyond their rate; it leaves the parked seat where it is."""
    if excess is None or not excess.any():
        return 0.0, 0.0
    return carrying(links.pose(height, parked), excess)


def _heights(request: Request, springs: LeafSprings) -> Array:
    """Return the height of the axle center at each spring [m]: one if both do the same, or two."""
    height = request.configuration.axle[..., 2] + request.travel
    if not request.roll.any():
        return height[None]
    side = 0.5 * springs.spacing * np.sin(request.roll)
    return np.stack([height - side, height + side])


def _distinct(request: Request) -> tuple[Index, Index]:
    """Return the first state of every height and roll, and for every state which one is its."""
    rolls = np.broadcast_to(request.roll, (len(request.travel), *request.roll.shape[1:]))
    seen: dict[bytes, int] = {}
    first: list[int] = []
    index = []
    for number, (travel, roll) in enumerate(zip(request.travel, rolls, strict=True)):
        place = seen.setdefault(travel.tobytes() + roll.tobytes(), len(seen))
        if place == len(first):
            first.append(number)
        index.append(place)
    return np.array(first), np.array(index)


def _settle(request: Request, balance: _Balance, start: Found | None) -> Found:
    """Return the slopes in balance and the stiffness there, from a design near by or followed."""
    return _polish(request, balance, *(start or _follow(request, balance)))


def _follow(request: Request, balance: _Balance) -> Found:
    """Follow the balance from ride height to the wanted heights and loads."""
    ride = request.configuration.axle[..., 2]
    before = slope = np.zeros_like(request.travel)
    for step in range(1, STEPS + 1):
        share = step / STEPS
        height = ride + share * (balance.height - ride)
        here = _Balance(balance.links, height, balance.load.share(share))
        guess = 2 * slope - before
        before, (slope, stiffness) = slope, _iterate(request, here, guess)
    return slope, stiffness


def _iterate(request: Request, balance: _Balance, slope: Array) -> Found:
    """Run Newton's method at one step; refuse what cannot be."""
    for _ in range(ITERATIONS):
        following, stiffness, pose = balance.newton(slope)
        change, slope = np.abs(following - slope), following
        if change.max() < CLOSE:
            break
    _refuse_impossible(request, balance.links, pose)
    _refuse_loose(request, (stiffness <= 0) | ~(change <= CLOSE))
    return slope, stiffness


def _polish(request: Request, balance: _Balance, slope: Array, stiffness: Array) -> Found:
    """Run the secant method from slopes near by, at which the stiffness is known."""
    surplus, _ = balance.surplus(slope)
    change = -surplus / stiffness
    for _ in range(POLISHES):
        last, before, slope = change, surplus, slope + change
        surplus, _ = balance.surplus(slope)
        flat = np.abs(last) < FLAT
        steep = (surplus - before) / np.where(flat, 1.0, last)
        stiffness = np.where(flat, stiffness, steep)
        stable = stiffness > 0
        change = np.where(stable, -surplus / np.where(stable, stiffness, 1.0), 0.0)
        if np.abs(change * last).max() < SETTLED:
            break
    _refuse_loose(request, ~stable | ~(np.abs(change) <= LOOSE))
    return slope + change, stiffness


def _refuse_loose(request: Request, wrong: NDArray[np.bool_]) -> None:
    """Refuse what has no balance."""
    request.refuse_where(
        wrong,
        lambda s: (
            "the axle rolls over: the springs hold no balance against the wheel torque; "
            + request.look_at(s, "suspension.rate", "suspension.wind_up")
        ),
    )


def _refuse_impossible(request: Request, links: ThreeLinks, pose: LeafPose) -> None:
    """Refuse poses in which an arm cannot reach or the shackle cannot hold."""
    request.refuse_where(
        (pose.arm_reach >= 1).any(axis=0),
        lambda s: (
            "the front half of the spring folds over its eye; "
            + request.look_at(s, "suspension.front_half", "suspension.wind_up")
        ),
    )
    least, most = np.abs(links.rear_arm - links.shackle), links.rear_arm + links.shackle
    request.refuse_where(
        ((pose.span >= most) | (pose.span <= least)).any(axis=0),
        lambda s: (
            "the shackle cannot close, or goes over center: its pivot and the rear hinge of the "
            f"spring come to {_off(pose.span[:, s], most) * 1e3:.0f} mm apart, rear arm and "
            f"shackle span {least * 1e3:.0f} mm to {most * 1e3:.0f} mm; "
            + request.look_at(s, "suspension.shackle", "suspension.rear_half")
        ),
    )


def _off(span: Array, most: float) -> float:
    """Return the span that is out of reach: the longest if too long, else the shortest."""
    return float(span.max() if span.max() >= most else span.min())
