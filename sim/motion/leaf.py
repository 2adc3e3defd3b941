"""Leaf springs as three links each: front half, axle, rear half, on eye and shackle.

Each half acts as a rigid arm hinged near the seat; hinge springs carry the load, and the wheel
torque winds the axle up against them.  The axle's height is given; its slope is the one at which
hinges, wheel torque and thrust are in balance.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.arrays import Array, Index
from sim.motion.leaf_balance import Balance, Found, Load, hinges_of, refuse_impossible, settle
from sim.motion.leaf_links import LeafPose, ThreeLinks, carrying, three_links
from sim.motion.motion import Start
from sim.motion.request import Request
from sim.scene.parts import LeafSprings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafPosture:
    """Seat turn and wrap [rad] of every row, and the axle's aft place at either spring [m], (…, 2).

    The first spring is the left one.  ``start``: slope and stiffness of the balance without torque,
    the same with it, and the stiffness of all hinges.
    """

    turn: Array
    wrap: Array
    aft: Array
    start: Start


def leaf_posture(request: Request, springs: LeafSprings, start: Start = ()) -> LeafPosture:
    """Return how the axle sits on its leaf springs.

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
        near = tuple(column[states] for column in start)
        links = three_links(springs, request.configuration.axle)
        parked, wound, pose = _seated(part, springs, links, near)
        turn[states], wrap[states], aft[:, states] = wound[0], wound[0] - parked[0], pose.aft[:, 0]
        known[:4, states] = [_first(column) for column in (*parked, *wound)]
        known[4] = np.ravel(hinges_of(links))[0]
        request.adopt(part, states, np.arange(len(states)))
    return LeafPosture(turn=turn, wrap=wrap, aft=np.moveaxis(aft, 0, -1), start=tuple(known))


def _level_then_rolled(request: Request) -> Iterator[Index]:
    """Yield the states in which both springs do the same, then those in which they do not."""
    rolled = request.roll.any(axis=tuple(range(1, request.roll.ndim)))
    for some in (~rolled, rolled):
        if some.any():
            yield np.flatnonzero(some)


def _first(rows: Array) -> Array:
    """Return the rows of the first design, (S,)."""
    return rows if rows.ndim == 1 else rows[:, 0]


def _seated(
    request: Request, springs: LeafSprings, links: ThreeLinks, start: Start
) -> tuple[Found, Found, LeafPose]:
    """Return the balance without torque and with it, and both springs there."""
    height = _heights(request, springs)
    first, index = _distinct(request)
    still = request.part(first)
    near = None
    if start:
        slope, stiffness, hinges = (start[k][first] for k in (0, 1, 4))
        near = slope, stiffness / hinges * hinges_of(links)
    found = settle(still, Balance(links, height[:, :, first], Load()), near)
    request.adopt(still, np.arange(len(index)), index)
    parked = found[0][index], found[1][index]
    wound = parked
    if springs.wind_up is not None:
        wound = parked[0] + request.wheel_torque / springs.wind_up, parked[1]
    elif request.wheel_torque.any():
        more = _more(links, height[:, :, first], found[0], request.excess, index)
        balance = Balance(links, height, Load(hinges=more))
        wound = _wound(request, springs, balance, parked, start)
    pose = links.pose(height, wound[0])
    refuse_impossible(request, links, pose)
    return parked, wound, pose


def _wound(
    request: Request, springs: LeafSprings, balance: Balance, parked: Found, start: Start
) -> Found:
    """Return the balance under torque; states without any stay as they are parked.

    The balance comes with what the hinges carry, and no torque yet.
    """
    torque = request.wheel_torque
    states = np.flatnonzero(torque.any(axis=tuple(range(1, torque.ndim))))
    part, free = request.part(states), balance.part(states)
    load = replace(
        free.load,
        torque=part.wheel_torque,
        thrust=part.wheel_torque / request.configuration.vehicle.tire_radius,
        control=springs.wrap_control,
        relaxed=parked[0][states],
    )
    near = None
    if start:  # the torque takes as much stiffness from each, and softer ones wrap more
        still, before, turned, after = (column[states] for column in start[:4])
        stiff = parked[1][states]
        left = np.maximum(stiff - (before - after), after / 2)
        wrap = (turned - still) * (before + after) / (stiff + left)
        near = parked[0][states] + wrap, left
    found = settle(part, replace(free, load=load), near)
    request.adopt(part, states, np.arange(len(states)))
    slope, stiffness = parked[0].copy(), parked[1].copy()
    slope[states], stiffness[states] = found
    return slope, stiffness


def _more(
    links: ThreeLinks, height: Array, parked: Array, excess: Array | None, index: Index
) -> tuple[Any, Any]:
    """Return what the hinges carry beyond their rate; it leaves the parked seat where it is.

    Heights and seats are distinct, and ``index`` says which of them every row has.
    """
    if excess is None or not excess.any():
        return 0.0, 0.0
    front, rear = carrying(links.pose(height, parked), 1.0)
    return front[:, :, index] * excess, rear[:, :, index] * excess


def _heights(request: Request, springs: LeafSprings) -> Array:
    """Return the height of the axle center at each spring [m], as a balance takes it."""
    height = request.configuration.axle[..., 2] + request.travel
    if not request.roll.any():
        return height[None, None]
    side = 0.5 * springs.spacing * np.sin(request.roll)
    return np.stack([height - side, height + side])[:, None]


def _distinct(request: Request) -> tuple[Index, Index]:
    """Return the first state of every height and roll, and for every state which one is its."""
    count = len(request.travel)
    rolls = np.broadcast_to(request.roll, (count, *request.roll.shape[1:]))
    both = np.concatenate([side.reshape(count, -1) for side in (request.travel, rolls)], axis=1)
    raw, step = both.tobytes(), both[0].nbytes
    seen: dict[bytes, int] = {}
    index = [seen.setdefault(raw[at : at + step], len(seen)) for at in range(0, len(raw), step)]
    return np.unique(index, return_index=True)[1], np.array(index)
