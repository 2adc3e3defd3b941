"""What rules look at of clearance: the nearest part to every obstacle, in every torque case."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from sim.judge.part import Part, States, ride_height, some_states
from sim.measure.clearance.result import GROUND, Clearance
from sim.measure.measurements import Measurements
from sim.motion.states import State
from sim.scene.parts import Obstacle

MM = 1000.0
SAME_TRAVEL = 0.5e-3  # [m]
SAME_ROLL = 1e-3  # [rad]


def contact(m: Measurements, chosen: States) -> list[Part]:
    """Clearance of parts whose size is known [mm], nearest part to every obstacle."""
    return [_part(m, near) for _, near, _ in _obstacles(m) if near]


def contact_assumed(m: Measurements, chosen: States) -> list[Part]:
    """The same for parts whose size is assumed [mm]."""
    return [_part(m, near) for _, _, near in _obstacles(m) if near]


def fixed_part(m: Measurements, chosen: States) -> list[Part]:
    """Clearance to fixed parts and floors [mm]."""
    return list(_of_kinds(m, "fixed part", "floor"))


def at_rest(m: Measurements, chosen: States) -> list[Part]:
    """Clearance to fixed parts and floors at ride height without torque [mm]."""
    return [
        Part(
            where=part.where,
            values=np.array([MM * near[0].at_rest]),
            states=some_states(m, ride_height(m)[:1]),
        )
        for obstacle, near in _nearest_at_rest(m)
        for part in [_part(m, near)]
        if obstacle.kind in ("fixed part", "floor") and near[0].at_rest > 0
    ]


def line(m: Measurements, chosen: States) -> list[Part]:
    """Clearance to fuel and brake lines [mm]."""
    return list(_of_kinds(m, "line"))


def exhaust(m: Measurements, chosen: States) -> list[Part]:
    """Clearance to the exhaust [mm], its own movement taken off."""
    return list(_of_kinds(m, "exhaust"))


def ground_contact(m: Measurements, chosen: States) -> list[Part]:
    """Height above the ground of the lowest part whose size is known [mm]."""
    return [_part(m, near) for near in [_lowest(m, known=True)] if near]


def ground(m: Measurements, chosen: States) -> list[Part]:
    """Height above the ground of the lowest part [mm], against the shop's limit, if there is one.

    A parked truck may lie lower than the limit; only contact counts there.
    """
    least = m.configuration.limits.ground
    near = _lowest(m, known=False, turning=True)
    if least is None or not near:
        return []
    return [_part(m, near, MM * least, own=near[0].size_known)]


QUANTITIES: dict[str, Callable[[Measurements, States], list[Part]]] = {
    "contact": contact,
    "contact of assumed sizes": contact_assumed,
    "clearance to fixed parts": fixed_part,
    "clearance at rest": at_rest,
    "clearance to lines": line,
    "clearance to the exhaust": exhaust,
    "ground contact": ground_contact,
    "ground clearance": ground,
}

Near = list[Clearance]
"""One part to one obstacle in every torque case."""


def _obstacles(m: Measurements) -> Iterator[tuple[Obstacle, Near, Near]]:
    """Yield every obstacle with its nearest part of known and of assumed size; empty for none."""
    for obstacle in m.configuration.obstacles:
        mine = [c for c in m.clearances if c.obstacle == obstacle.name and c.kind != GROUND]
        yield obstacle, _nearest(mine, known=True), _nearest(mine, known=False)


def _nearest(found: Near, *, known: bool) -> Near:
    """Return the nearest part of known or of assumed size in every torque case."""
    return _worst_part([c for c in found if c.size_known == known])


def _worst_part(found: Near) -> Near:
    """Return the clearances of the part that comes nearest."""
    if not found:
        return []
    worst = min(found, key=lambda c: c.distance).part
    return [c for c in found if c.part == worst]


def _of_kinds(m: Measurements, *kinds: str) -> Iterator[Part]:
    """Yield the nearest parts to obstacles of some kinds; what touches has been said already."""
    for obstacle, known, assumed in _obstacles(m):
        if obstacle.kind not in kinds:
            continue
        for near in (known, assumed):
            hidden = near is assumed and known and _least(known) <= _least(assumed or known)
            if near and not hidden and _least(near) > 0:
                limit, own = _limit(m, obstacle, _least(near))
                yield _part(m, near, limit, own=own and near[0].size_known)


def _limit(m: Measurements, obstacle: Obstacle, distance: float) -> tuple[float | None, bool]:
    """Return the limit of an obstacle [mm], None for that of its kind; whether it was written."""
    limits = m.configuration.limits
    if obstacle.least_clearance is not None:
        return MM * obstacle.least_clearance, True
    written = "clearance" in limits.set_by_shop
    if written and (obstacle.kind in ("fixed part", "floor") or distance < limits.clearance):
        return MM * limits.clearance, True
    return None, False


def _nearest_at_rest(m: Measurements) -> Iterator[tuple[Obstacle, Near]]:
    """Yield every obstacle without a limit of the shop, with what is nearest to it at rest."""
    for obstacle in m.configuration.obstacles:
        mine = [c for c in m.clearances if c.obstacle == obstacle.name and c.kind != GROUND]
        if mine and not _limit(m, obstacle, np.inf)[1]:
            yield obstacle, [min(mine, key=lambda c: c.at_rest)]


def _lowest(m: Measurements, *, known: bool, turning: bool = False) -> Near:
    """Return the part that comes nearest to the ground in every torque case."""
    found = [c for c in m.clearances if c.kind == GROUND]
    wanted = [c for c in found if (c.size_known or not known) and (c.turning or not turning)]
    return _worst_part(wanted)


def _least(near: Near) -> float:
    """Return the least distance [m]."""
    return min(c.distance for c in near)


def _part(m: Measurements, near: Near, limit: float | None = None, *, own: bool = False) -> Part:
    """Return one part to one obstacle in all torque cases."""
    return Part(
        where=f"{near[0].part} to {near[0].obstacle}",
        values=np.array([MM * c.distance for c in near]),
        states=tuple(state_of(m, c) for c in near),
        limit=limit,
        own=own,
    )


def state_of(m: Measurements, near: Clearance) -> State:
    """Return the state, by its name where one is close by."""
    for state in sorted(m.states, key=lambda state: not state.height):
        close = abs(state.travel - near.travel) <= SAME_TRAVEL
        if state.case == near.case and close and abs(state.roll - near.roll) <= SAME_ROLL:
            return state
    return State(
        height="",
        case=near.case,
        travel=near.travel,
        roll=near.roll,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=near.turning,
        road_speed=0.0,
    )
