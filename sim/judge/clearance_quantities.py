"""What rules look at of clearance: the parts that come nearest to every obstacle and the ground."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np

from sim.judge.part import Part, Where
from sim.measure.clearance.result import GROUND, Clearance
from sim.measure.numbers import Numbers
from sim.motion.states import Situation, State
from sim.scene.parts import Obstacle

MM = 1000.0
SAME_TRAVEL = 0.5e-3  # [m]
SAME_ROLL = 1e-3  # [rad]

Pair = tuple[str, str, bool]
"""A part, what it passes, and whether the part's size is known."""

_known: WeakKeyDictionary[Numbers, tuple[Part, ...]] = WeakKeyDictionary()  # gone with its numbers


def known(n: Numbers) -> list[Part]:
    """Clearance of parts of known size to all but lines [mm]."""
    return [p for o, p in _obstacles(n) if not p.assumed and o.kind != "line"]


def known_to_lines(n: Numbers) -> list[Part]:
    """Clearance of parts of known size to fuel and brake lines [mm]."""
    return [p for o, p in _obstacles(n) if not p.assumed and o.kind == "line"]


def assumed(n: Numbers) -> list[Part]:
    """Clearance of parts of assumed size [mm]."""
    return [replace(p, assumed=False) for _, p in _obstacles(n) if p.assumed]


def any_obstacle(n: Numbers) -> list[Part]:
    """Clearance to whatever stands beside [mm], against the obstacle's own limit if it has one."""
    return [
        part if o.least_clearance is None else replace(part, limit=MM * o.least_clearance, own=True)
        for o, part in _obstacles(n)
    ]


def fixed_part(n: Numbers) -> list[Part]:
    """Clearance to fixed parts and floors for which the shop wrote no limit [mm]."""
    return [] if _written(n) else _of_kinds(n, "fixed part", "floor")


def line(n: Numbers) -> list[Part]:
    """Clearance to fuel and brake lines without a limit of their own [mm]."""
    return _of_kinds(n, "line")


def exhaust(n: Numbers) -> list[Part]:
    """Clearance to an exhaust without a limit of its own [mm], its movement taken off."""
    return _of_kinds(n, "exhaust")


def ground_known(n: Numbers) -> list[Part]:
    """Height above the ground of parts whose size is known [mm]."""
    return [part for part in _pairs(n) if part.where.other == GROUND and not part.assumed]


def ground(n: Numbers) -> list[Part]:
    """Height above the ground [mm], against the limit of the shop, if there is one."""
    least = n.configuration.limits.ground
    if least is None:
        return []
    return [replace(p, limit=MM * least, own=True) for p in _pairs(n) if p.where.other == GROUND]


def state_of(states: Sequence[State], near: Clearance) -> State:
    """Return the state of a clearance over continuous motion, by its name where one is close by.

    Args:
        states: Those of the motion; a named one is found before one without a name.
        near: The clearance.
    """
    found = None
    for state in states:
        close = abs(state.travel - near.travel) <= SAME_TRAVEL
        if state.case == near.case and close and abs(state.roll - near.roll) <= SAME_ROLL:
            if state.height:
                return state
            found = found or state
    return found or _between(next(s for s in states if s.case == near.case), near)


def _between(like: State, near: Clearance) -> State:
    """Return a state between two others, of one torque case."""
    moved: Situation = "extreme" if like.wheel_torque else "travel"
    return replace(
        like,
        height="",
        travel=near.travel,
        roll=near.roll,
        turning=near.turning,
        situation=moved if near.turning else "parked",
    )


def _obstacles(n: Numbers) -> Iterator[tuple[Obstacle, Part]]:
    """Yield every obstacle with each part that comes nearest to it somewhere."""
    named = {obstacle.name: obstacle for obstacle in n.configuration.obstacles}
    return ((named[p.where.other], p) for p in _pairs(n) if p.where.other != GROUND)


def _of_kinds(n: Numbers, *kinds: str) -> list[Part]:
    """Return parts near obstacles of some kinds that have no limit of their own."""
    return [p for o, p in _obstacles(n) if o.kind in kinds and o.least_clearance is None]


def _written(n: Numbers) -> bool:
    """Say whether the shop wrote its own least clearance."""
    return "clearance" in n.configuration.limits.set_by_shop


def _pairs(n: Numbers) -> tuple[Part, ...]:
    """Return the distances of every part to every obstacle and the ground [mm], worked out once."""
    if n not in _known:
        _known[n] = tuple(_distances(n))
    return _known[n]


def _distances(n: Numbers) -> Iterator[Part]:
    """Yield the distances of every part to every obstacle and the ground [mm].

    Between states they are those over continuous motion, where these were measured.
    """
    held_at = n.deep or n.apart
    columns = {} if held_at is None else {pair: k for k, pair in enumerate(held_at.pairs)}
    between: dict[Pair, list[Clearance]] = {pair: [] for pair in columns}
    for near in n.near:
        between.setdefault((near.part, near.obstacle, near.size_known), []).append(near)
    by_case: dict[str, list[State]] = {}
    for state in n.states:
        by_case.setdefault(state.case, []).append(state)
    # many pairs come nearest in the same few places, as at full bump
    places = {_place(near): near for near in n.near}
    at = {place: state_of(by_case[near.case], near) for place, near in places.items()}
    for (part, obstacle, size_known), more in between.items():
        column = columns.get((part, obstacle, size_known))
        here = () if column is None else n.states
        distance = np.array([[near.distance for near in more]])
        if column is not None and held_at is not None:
            held = np.where(n.lost, np.nan, held_at.clearance[..., column])
            distance = np.hstack([held, np.broadcast_to(distance, (len(held), len(more)))])
        yield Part(
            where=Where(kind="clearance", name=part, other=obstacle),
            values=MM * distance,
            states=(*here, *(at[_place(near)] for near in more)),
            assumed=not size_known,
        )


def _place(near: Clearance) -> tuple[str, float, float, bool]:
    """Return all that tells the state of a clearance apart."""
    return near.case, near.travel, near.roll, near.turning
