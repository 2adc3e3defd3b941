"""Everything that moves, against every obstacle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index
from sim.measure.clearance.bodies import Rods, may_touch, rods_of, seen_from_axle
from sim.measure.clearance.certify import Least, Run, bends_of, least_along
from sim.measure.clearance.course import Course, postures_on
from sim.measure.clearance.ground import turns
from sim.measure.clearance.obstacles import Obstacles, obstacles_of
from sim.measure.clearance.result import Clearance, ClearanceCurve
from sim.motion.motion import Reference
from sim.motion.postures import Postures
from sim.scene.parts import Configuration, Obstacle

SAME = 1e-7  # distances that differ by less [m] are the same


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pairs:
    """K pairs of a rod and an obstacle."""

    rod: Index  # its number, (K,)
    obstacle: Index  # its number, (K,)
    group: Index  # number of the obstacle and part that each belongs to, (K,)
    keys: tuple[tuple[int, int], ...]  # obstacle and first rod of every group
    reach: Array  # radii and movement [m], (K,)


def obstacle_clearances(
    configuration: Configuration, course: Course, held: Postures, reference: Reference | None = None
) -> tuple[tuple[Clearance, ...], tuple[ClearanceCurve, ...]]:
    """Return clearances and curves of everything that moves, against every obstacle.

    Of the postures at all nodes of the course: one clearance for every obstacle, part and torque
    case, and one curve for every obstacle and torque case.
    """
    given, rods = configuration.obstacles, rods_of(configuration, held)
    obstacles = obstacles_of(given)
    views = [rods]
    if any(obstacle.rides_on == "axle" for obstacle in given):
        views.append(seen_from_axle(configuration, held, rods))
    start, end = np.stack([v.start for v in views]), np.stack([v.end for v in views])
    frame = np.array([int(obstacle.rides_on == "axle") for obstacle in given])
    pairs = _pairs(rods, given, obstacles)
    at_node = _at_nodes(start, end, frame, pairs, obstacles)
    cases, steps = len(course.cases), len(course.before)
    moving = np.arange(1, steps)  # the first step only tells the distance at rest
    pair, step = np.repeat(np.arange(len(pairs.rod)), steps - 1), np.tile(moving, len(pairs.rod))
    run = Run(
        start=start,
        end=end,
        frame=frame,
        bend=bends_of(start, end, course.before, course.after),
        before=course.before,
        after=course.after,
        step=step,
        rod=pairs.rod[pair],
        obstacle=pairs.obstacle[pair],
        group=pairs.group[pair] * cases + course.case[course.before[step]],
        reach=pairs.reach[pair],
    )
    nodes = np.stack([at_node[pair, course.before[step]], at_node[pair, course.after[step]]])
    least = least_along(run, len(pairs.keys) * cases, nodes, obstacles.apart)
    at_rest = np.full(len(pairs.keys), np.inf)
    np.minimum.at(at_rest, pairs.group, at_node[:, 0])
    near = _exact(configuration, course, obstacles, pairs, least, at_rest, reference)
    return near, _curves(given, course, pairs, rods, at_node)


def _pairs(rods: Rods, given: Sequence[Obstacle], obstacles: Obstacles) -> Pairs:
    """Return which rods are held against which obstacles."""
    obstacle, rod = np.nonzero(np.array([may_touch(rods, each) for each in given]))
    first = {name: rods.part.index(name) for name in rods.part}
    named = [(int(o), first[rods.part[r]]) for o, r in zip(obstacle, rod, strict=True)]
    keys = tuple(dict.fromkeys(named))
    number = {key: index for index, key in enumerate(keys)}
    return Pairs(
        rod=rod,
        obstacle=obstacle,
        group=np.array([number[key] for key in named]),
        keys=keys,
        reach=rods.radius[rod] + obstacles.reach[obstacle],
    )


def _at_nodes(start: Array, end: Array, frame: Index, pairs: Pairs, obstacles: Obstacles) -> Array:
    """Return the distance of every pair at every node [m], shape (K, P)."""
    view, nodes = frame[pairs.obstacle], start.shape[1]
    starts, ends = (side[view, :, pairs.rod].reshape(-1, 3) for side in (start, end))
    apart = obstacles.apart(starts, ends, np.repeat(pairs.obstacle, nodes))
    return np.asarray(apart.reshape(-1, nodes) - pairs.reach[:, None])


def _exact(
    configuration: Configuration,
    course: Course,
    obstacles: Obstacles,
    pairs: Pairs,
    least: Least,
    at_rest: Array,
    reference: Reference | None,
) -> tuple[Clearance, ...]:
    """Return the least of every group at its exact posture."""
    before, after = course.before[least.step], course.after[least.step]

    def between(values: Array) -> Array:
        return np.asarray(values[before] + least.share * (values[after] - values[before]))

    case, travel, roll = course.case[before], between(course.travel), between(course.roll)
    group = np.repeat(np.arange(len(pairs.keys)), len(course.cases))
    no_less = (case == 0) & (at_rest[group] <= least.distance + SAME)  # then ride height is named
    travel, roll = np.where(no_less, 0.0, travel), np.where(no_less, 0.0, roll)
    held = postures_on(configuration, course, case, travel, roll, reference)
    rods = rods_of(configuration, held)
    axle = seen_from_axle(configuration, held, rods)
    which = np.array([key[0] for key in pairs.keys])[group]
    on_axle = np.array([o.rides_on == "axle" for o in configuration.obstacles])[which]
    row = np.arange(len(case))
    start, end = (
        np.where(on_axle[:, None], carried[row, least.rod], free[row, least.rod])
        for carried, free in ((axle.start, rods.start), (axle.end, rods.end))
    )
    apart = obstacles.apart(start, end, which)
    distance = apart - rods.radius[least.rod] - obstacles.reach[which]
    point = obstacles.nearest(start, end, which)
    back = np.einsum("kij,kj->ki", held.axle_rotation, point - configuration.axle)
    point = np.where(on_axle[:, None], back + held.axle_center, point)
    return tuple(
        Clearance(
            obstacle=configuration.obstacles[which[k]].name,
            kind=configuration.obstacles[which[k]].kind,
            part=rods.part[least.rod[k]],
            size_known=bool(rods.known[least.rod[k]]),
            on_axle=bool(rods.on_axle[least.rod[k]]),
            distance=float(distance[k]),
            certified_within=max(float(distance[k] - least.floor[k]), 0.0),
            at_rest=float(at_rest[group[k]]),
            case=course.cases[case[k]],
            travel=float(travel[k]),
            roll=float(roll[k]),
            turning=turns(configuration, float(travel[k])),
            point=point[k],
        )
        for k in row
    )


def _curves(
    given: Sequence[Obstacle], course: Course, pairs: Pairs, rods: Rods, at_node: Array
) -> tuple[ClearanceCurve, ...]:
    """Return the distance of the nearest part that turns over travel, level."""
    curves = []
    for which, obstacle in enumerate(given):
        mine = (pairs.obstacle == which) & ~rods.on_axle[pairs.rod]
        for number, case in enumerate(course.cases):
            level = (course.case == number) & (course.roll == 0)
            nodes = np.flatnonzero(level & (np.arange(len(level)) > 0))
            nodes = nodes[np.unique(course.travel[nodes], return_index=True)[1]]
            curves.append(
                ClearanceCurve(
                    obstacle=obstacle.name,
                    case=case,
                    travel=course.travel[nodes],
                    distance=at_node[mine][:, nodes].min(axis=0),
                )
            )
    return tuple(curves)
