"""Clearance to the ground, which comes up with the wheels."""

from __future__ import annotations

from functools import reduce

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array, Marks
from sim.measure.clearance.bodies import Rods, hoop_radius
from sim.measure.clearance.certify import BEND_MARGIN
from sim.measure.clearance.course import Course
from sim.measure.clearance.result import GROUND, Clearance, ClearanceCurve
from sim.scene.parts import Configuration

UP = np.array([0.0, 0.0, 1.0])


def ground_clearances(
    configuration: Configuration, course: Course, rods: Rods
) -> tuple[tuple[Clearance, ...], tuple[ClearanceCurve, ...]]:
    """Return how far shafts, joints and center bearings stay above the ground.

    The axle goes up with its wheels and is left out. Both axles go up alike, for nothing is known
    of the front one. There is one clearance for every part and torque case, and one curve for every
    torque case.
    """
    names, above, known = heights(configuration, course.travel, course.roll, rods)
    rows, curves = [], []
    for number, case in enumerate(course.cases):
        nodes = np.flatnonzero(course.case == number)
        nodes = nodes[nodes > 0]  # the first node only tells the distance at rest
        for index, name in enumerate(names):
            lowest = nodes[np.argmin(above[nodes, index])]
            rows.append(
                Clearance(
                    obstacle=GROUND,
                    kind=GROUND,
                    part=name,
                    size_known=bool(known[index]),
                    distance=float(above[lowest, index]),
                    certified_within=_between(course, above[:, index], number),
                    at_rest=float(above[0, index]),
                    case=case,
                    travel=float(course.travel[lowest]),
                    roll=float(course.roll[lowest]),
                    turning=turns(configuration, float(course.travel[lowest])),
                    point=_lowest(configuration, course, rods, name, int(lowest)),
                )
            )
        level = nodes[course.roll[nodes] == 0]
        level = level[np.unique(course.travel[level], return_index=True)[1]]
        least = above[level].min(axis=1)
        curves.append(
            ClearanceCurve(obstacle=GROUND, case=case, travel=course.travel[level], distance=least)
        )
    return tuple(rows), tuple(curves)


def turns(configuration: Configuration, travel: float) -> bool:
    """Return whether the shafts turn at a travel: up to full bump, not parked low beyond it."""
    limits = configuration.travel
    return limits is None or travel <= limits.bump + 1e-9


def height_above(
    configuration: Configuration, travel: ArrayLike, roll: ArrayLike, point: Array
) -> Array:
    """Return the height of points (..., 3) above the ground, square to it [m], (...).

    Source:
        Derived in DEVELOPERS.md, clearance.
    """
    over_axle = point[..., 2] - configuration.axle[..., 2] - np.asarray(travel, float)
    tire = configuration.vehicle.tire_radius
    return np.asarray(over_axle * np.cos(roll) - point[..., 1] * np.sin(roll) + tire)


def heights(
    configuration: Configuration, travel: Array, roll: Array, rods: Rods
) -> tuple[tuple[str, ...], Array, Marks]:
    """Return how high the lowest place of every part stands above the ground, axle left out.

    Names of N parts; heights [m], (..., N); and whether the scene gives their sizes.
    """

    def above(point: Array) -> Array:
        return height_above(configuration, travel, roll, point)

    known, columns = {}, []
    for name, mine in rods.parts(off_axle=True).items():
        ends = (
            above(side[..., rod, :]) - rods.radius[..., rod]
            for rod in mine
            for side in (rods.start, rods.end)
        )
        columns.append(reduce(np.minimum, ends))
        known[name] = bool(rods.known[mine[0]])
    for name, low in _bearings(configuration).items():
        columns.append(above(low))
        known[name] = False
    together = np.stack(np.broadcast_arrays(*columns), axis=-1)
    return tuple(known), together, np.array(list(known.values()))


def _bearings(configuration: Configuration) -> dict[str, Array]:
    """Return the lowest point of every center bearing's bracket; its size is assumed."""
    return {
        f"bearing {number}": bearing.point
        - np.multiply.outer(hoop_radius(configuration, number), UP)
        for number, bearing in enumerate(configuration.bearings, start=1)
    }


def _lowest(
    configuration: Configuration, course: Course, rods: Rods, name: str, node: int
) -> Array:
    """Return the lowest place of a part at a node of one design [m], shape (3,)."""
    bearing = _bearings(configuration).get(name)
    if bearing is not None:
        return bearing
    travel, roll = course.travel[node], course.roll[node]
    ends = [
        (float(height_above(configuration, travel, roll, end) - radius), end - radius * UP)
        for rod in rods.parts()[name]
        for end, radius in ((s[node, rod], rods.radius[rod]) for s in (rods.start, rods.end))
    ]
    return np.asarray(min(ends, key=lambda end: end[0])[1])


def _between(course: Course, height: Array, case: int) -> float:
    """Return how far below the nodes a part may go between them [m], from the bend at the nodes."""
    before, after = course.before, course.after
    joined = np.flatnonzero((before[1:] == after[:-1]) & (before[:-1] != after[:-1])) + 1
    joined = joined[course.case[before[joined]] == case]
    if not joined.size:
        return 0.0
    middle = before[joined]
    second = height[after[joined]] - 2 * height[middle] + height[before[joined - 1]]
    return float(BEND_MARGIN / 8 * np.abs(second).max())
