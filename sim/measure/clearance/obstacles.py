"""What must not be touched, as boxes and round pipes, many asked for at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.measure.clearance.bodies import beside_brackets, brackets
from sim.measure.clearance.distance import outside_of, segment_to_box, segment_to_segment
from sim.scene.parts import Configuration, Obstacle

SMALL = 1e-9  # axes nearer than this [m] give no direction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Obstacles:
    """O obstacles."""

    first: Array  # lower corner of a box, end of a pipe [m], (O, 3)
    last: Array  # upper corner or other end [m], (O, 3)
    is_box: Marks  # which are boxes, (O,)
    reach: Array  # radius of a pipe and how far the obstacle moves [m], (O,)

    def apart(self, start: Array, end: Array, which: Index) -> Array:
        """Return how far segments are from the axes or boxes of obstacles, one each [m], (K,)."""
        return self._meet(start, end, which)[0]

    def nearest(self, start: Array, end: Array, which: Index) -> Array:
        """Return the points of obstacles that are nearest to segments, one each [m], (K, 3)."""
        apart, share, other = self._meet(start, end, which)
        at = start + share[:, None] * (end - start)
        first, last = self.first[which], self.last[which]
        axis = first + other[:, None] * (last - first)
        # where axes cross there is no direction: the middle of the pipe stands for its skin
        skin = (self.reach[which] / np.maximum(apart, SMALL))[:, None]
        box = self.is_box[which][:, None]
        return np.where(box, np.clip(at, first, last), axis + skin * (at - axis))

    def _meet(self, start: Array, end: Array, which: Index) -> tuple[Array, Array, Array]:
        """Return distance [m], share of the segment, and share of a pipe's axis, 0 for a box."""
        found = np.zeros((3, len(which)))
        box = self.is_box[which]
        for measure, chosen in ((segment_to_box, box), (segment_to_segment, ~box)):
            if chosen.any():
                first, last = self.first[which[chosen]], self.last[which[chosen]]
                for row, values in enumerate(measure(start[chosen], end[chosen], first, last)):
                    found[row, chosen] = values
        return found[0], found[1], found[2]


def obstacles_of(given: Sequence[Obstacle]) -> Obstacles:
    """Return obstacles ready to be measured; what moves to any side is grown by as much."""
    start = np.array([obstacle.start for obstacle in given])
    end = np.array([obstacle.end for obstacle in given])
    is_box = np.array([obstacle.pipe is None for obstacle in given])
    pick = is_box[:, None]
    return Obstacles(
        first=np.where(pick, np.minimum(start, end), start),
        last=np.where(pick, np.maximum(start, end), end),
        is_box=is_box,
        reach=np.array([_reach(obstacle) for obstacle in given]),
    )


def apart_from_rods(obstacle: Obstacle, start: Array, end: Array) -> Array:
    """Return how far an obstacle is from the axes of rods [m], (..., R), or (..., B, R) of designs.

    Negative where it reaches beyond them. Ends of the axes are (..., R, 3) [m].
    """
    first, last = (np.asarray(side)[..., None, :] for side in (obstacle.start, obstacle.end))
    reach = np.asarray(_reach(obstacle))[..., None]
    if obstacle.pipe is not None:
        apart, _, _ = segment_to_segment(start, end, first, last)
    else:
        corners = np.minimum(first, last), np.maximum(first, last)
        apart, _ = segment_to_box(start, end, *corners)
    return np.asarray(apart - reach)


def apart_from_box(obstacle: Obstacle, low: Array, high: Array) -> tuple[Array, Array]:
    """Return how far an obstacle is from boxes [m], (...), and its nearest points [m], (..., 3)."""
    first, last, reach = obstacle.start, obstacle.end, np.asarray(_reach(obstacle))
    if obstacle.pipe is None:
        first, last = np.minimum(first, last), np.maximum(first, last)
        way = np.maximum(first - high, 0.0) - np.maximum(low - last, 0.0)
        return np.linalg.norm(way, axis=-1) - reach, np.clip((low + high) / 2, first, last)
    apart, share = segment_to_box(first, last, low, high)
    axis = first + share[..., None] * (last - first)
    toward = outside_of(axis, low, high) / np.maximum(apart, SMALL)[..., None]
    return apart - reach, axis - toward * reach[..., None]


def apart_from_brackets(
    configuration: Configuration, obstacle: Obstacle
) -> dict[str, tuple[Array, Array]]:
    """Return how far it is from the brackets of bearings beside it, and its points, as above."""
    found: dict[str, tuple[Array, Array]] = {}
    for name, low, high in brackets(configuration) if beside_brackets(obstacle) else ():
        apart, point = apart_from_box(obstacle, low, high)
        least, there = found.get(name, (apart, point))
        nearer = np.asarray(apart < least)[..., None]
        found[name] = np.minimum(least, apart), np.where(nearer, point, there)
    return found


def _reach(obstacle: Obstacle) -> float:
    """Return the radius of a pipe and how far the obstacle moves [m]."""
    return (0.0 if obstacle.pipe is None else obstacle.pipe / 2) + obstacle.moves
