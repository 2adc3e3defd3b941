"""Clearance in held postures of many designs at once; what lies between postures is left out."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.arrays import Array
from sim.measure.clearance.bodies import Rods, may_touch, rods_of, seen_from_axle
from sim.measure.clearance.ground import heights
from sim.measure.clearance.obstacles import apart_from_brackets, apart_from_rods
from sim.measure.clearance.result import GROUND
from sim.motion.postures import Postures
from sim.scene.parts import Configuration

BLOCK = 16_000  # distances worked on at once: what fits the fast memory of a core
Pair = tuple[str, str, bool]
"""A part, what it is held against, and whether the scene gives the part's size."""


def clearances_at(
    configuration: Configuration,
    held: Postures,
    travel: Array,
    roll: Array,
    *,
    known: bool = False,
) -> tuple[tuple[Pair, ...], Array]:
    """Return how far every part is from every obstacle and from the ground.

    P pairs, obstacles in their order and the ground last; and their distances [m], in the shape of
    the rows, (S,) or (S, B), and (P,). Travel [m] and roll [rad] are those of the rows. Of parts
    whose size is known alone, where only these are wanted.
    """
    rods = rods_of(configuration, held)
    rods = rods.only(rods.known) if known else rods
    found = dict(_to_obstacles(configuration, held, rods))
    names, above, size_known = heights(configuration, travel, roll, rods)
    for name, told, height in zip(names, size_known, np.moveaxis(above, -1, 0), strict=True):
        if told or not known:
            found[name, GROUND, bool(told)] = height
    columns = [np.broadcast_to(distance, held.slip.shape) for distance in found.values()]
    return tuple(found), np.stack(columns, axis=-1)


def _to_obstacles(
    configuration: Configuration, held: Postures, rods: Rods
) -> Iterator[tuple[Pair, Array]]:
    """Yield the distances of every part to every obstacle [m]."""
    riding = any(obstacle.rides_on == "axle" for obstacle in configuration.obstacles)
    from_axle = seen_from_axle(configuration, held, rods) if riding else rods
    for obstacle in configuration.obstacles:
        seen = from_axle if obstacle.rides_on == "axle" else rods
        count = int(may_touch(rods, obstacle).sum())  # what is on the axle comes last
        step = max(1, BLOCK // held.slip.size)
        apart = np.concatenate(
            [
                apart_from_rods(obstacle, seen.start[..., some, :], seen.end[..., some, :])
                - rods.radius[..., some]
                for some in (slice(r, min(r + step, count)) for r in range(0, count, step))
            ],
            axis=-1,
        )
        for name, mine in rods.parts().items():
            if mine[-1] < count:
                least = apart[..., mine].min(axis=-1)
                yield (name, obstacle.name, bool(rods.known[mine[0]])), least
        brackets = {} if rods.known.all() else apart_from_brackets(configuration, obstacle)
        for name, (near, _) in brackets.items():
            yield (name, obstacle.name, False), near
