"""Clearance to the ground, which comes up with the wheels."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sim.measure.clearance.bodies import Rods, hoop_radius
from sim.measure.clearance.certify import BEND_MARGIN
from sim.measure.clearance.course import Course
from sim.measure.clearance.result import GROUND, Clearance, ClearanceCurve
from sim.scene.parts import Configuration

Array = NDArray[np.float64]


def ground_clearances(
    configuration: Configuration, course: Course, rods: Rods
) -> tuple[tuple[Clearance, ...], tuple[ClearanceCurve, ...]]:
    """Return how far shafts, joints and center bearings stay above the ground.

    The axle goes up with its wheels and is left out.  Both axles go up alike, for nothing is known
    of the front one.

    Args:
        configuration: Tires and bearings.
        course: The runs.
        rods: The parts at every node of them.

    Returns:
        One clearance for every part and torque case, and one curve for every torque case.
    """
    names, above, known, place = _bodies(configuration, course, rods)
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
                    point=place[lowest, index],
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


def height_above(configuration: Configuration, course: Course, point: Array) -> Array:
    """Return the height of points above the ground, square to it.

    Args:
        configuration: Axle and tire at ride height.
        course: Travel and roll of every node.
        point: Points at every node [m], shape (P, ..., 3).

    Returns:
        Height [m], shape (P, ...).

    Source:
        Derived in DEVELOPERS.md, clearance.
    """
    shape = (-1,) + (1,) * (point.ndim - 2)
    travel, roll = course.travel.reshape(shape), course.roll.reshape(shape)
    over_axle = point[..., 2] - configuration.axle[2] - travel
    tire = configuration.vehicle.tire_radius
    return np.asarray(over_axle * np.cos(roll) - point[..., 1] * np.sin(roll) + tire)


def _bodies(
    configuration: Configuration, course: Course, rods: Rods
) -> tuple[tuple[str, ...], Array, NDArray[np.bool_], Array]:
    """Return names, heights (P, N), whether sizes are known (N,) and lowest places (P, N, 3)."""
    ends = np.stack([rods.start, rods.end])
    height = np.stack([height_above(configuration, course, side) for side in ends]) - rods.radius
    lower = np.argmin(height, axis=0)
    at = np.take_along_axis(ends, lower[None, ..., None], axis=0)[0]
    height = height.min(axis=0)
    names, columns = [], []
    for name in dict.fromkeys(p for p, on in zip(rods.part, rods.on_axle, strict=True) if not on):
        mine = np.flatnonzero([part == name for part in rods.part])
        least = mine[np.argmin(height[:, mine], axis=1)]
        node = np.arange(len(least))
        place = at[node, least] - [0.0, 0.0, 1.0] * rods.radius[least][:, None]
        columns.append((height[node, least], bool(rods.known[mine[0]]), place))
        names.append(name)
    for name, low in _bearings(configuration):
        place = np.broadcast_to(low, (len(course.travel), 3))
        columns.append((height_above(configuration, course, place), False, place))
        names.append(name)
    heights, known, places = zip(*columns, strict=True)
    return tuple(names), np.stack(heights, axis=1), np.array(known), np.stack(places, axis=1)


def _bearings(configuration: Configuration) -> Iterator[tuple[str, Array]]:
    """Yield the lowest point of every center bearing's bracket; its size is assumed."""
    for number, bearing in enumerate(configuration.bearings, start=1):
        hoop = hoop_radius(configuration, number)
        yield f"bearing {number}", bearing.point - [0.0, 0.0, hoop]


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
