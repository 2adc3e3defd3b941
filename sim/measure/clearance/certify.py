"""The least distance over continuous motion, with a proof: branch and bound.

Between two nodes of a run every end of a rod is taken to move straight and evenly.  A distance
changes by no more than the faster end moves (its Lipschitz constant), so over a stretch it cannot
fall below the mean of the distances at both ends less half of what that end moves.  A stretch that
may hide less than the least known is halved until none is left.  Ends really move along arcs; how
far these leave the straight line is bounded from their bend at the nodes and taken off as well.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index

ApartAt = Callable[[Array, Array, Index], Array]
"""(rod starts, rod ends, obstacles), one each -> distance of axes [m], never negative."""

CLOSE = 1e-5  # distance [m] to which the least is enclosed, and
SHARE = 1e-3  # this share of the distance itself,
FAR, FAR_SHARE = 0.1, 0.02  # and more beyond [m]: what is far need not be known so well
BEND_MARGIN = 2.0  # times the bend seen at the nodes, since a bend may be larger between them
ROUNDS = 24  # halvings at most; 6 mm over 2^24 is less than any rounding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """Pairs of a rod and an obstacle on steps of a run; K of them, in one row each."""

    # ends of the rods' axes at all nodes, as the obstacles see them [m], (P, R, 3) or, where
    # obstacles move, (O, P, R, 3) by way of ``frame``
    start: Array
    end: Array
    frame: Index  # number of the frame that each obstacle stands in, (O,)
    bend: Array  # how far each step leaves the straight line [m], (F, I, R)
    before: Index  # nodes of the steps, (I,)
    after: Index  # (I,)
    step: Index  # its number in each row, (K,)
    rod: Index  # (K,)
    obstacle: Index  # (K,)
    group: Index  # (K,)
    reach: Array  # radii and movement taken off the distance of the axes [m], (K,)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Least:
    """The least of every group, shape (G,)."""

    distance: Array  # the least found [m]; negative where bodies overlap
    floor: Array  # what it cannot be below [m], anywhere on the run
    step: Index  # where on the run
    share: Array  # of that step [-]
    rod: Index  # number of the rod that comes so near


def bends_of(start: Array, end: Array, before: Index, after: Index) -> Array:
    """Return how far every step leaves the straight line between its nodes.

    An arc of bend x″ over a step h leaves its chord by at most h² |x″| / 8; second differences at
    the nodes of both ends give h² |x″|. Of rods' ends at all nodes [m], (..., P, R, 3), and I
    steps: a bound [m], (..., I, R).

    Source:
        Error of linear interpolation, any textbook of numerical analysis.
    """
    ends = np.stack([start, end])
    second = np.zeros(ends.shape[:-1])
    inner = np.flatnonzero((before[1:] == after[:-1]) & (before[:-1] != after[:-1])) + 1
    middle = before[inner]
    change = ends[..., after[inner], :, :] - 2 * ends[..., middle, :, :]
    change = change + ends[..., before[inner - 1], :, :]
    second[..., middle, :] = np.sqrt((change * change).sum(axis=-1))
    second = second.max(axis=0)
    return np.asarray(BEND_MARGIN / 8 * np.maximum(second[..., before, :], second[..., after, :]))


def least_along(run: Run, groups: int, at_nodes: Array, apart_at: ApartAt) -> Least:
    """Return the least of every group, proved to be no more than ``distance - floor`` too large.

    Distances at both nodes of every row [m], (2, K), are known; ``apart_at`` gives those between.

    Source:
        Branch and bound with a Lipschitz constant: Piyavskii 1972, Shubert 1972.
    """
    frame = run.frame[run.obstacle]
    before, after = run.before[run.step], run.after[run.step]
    starts = run.start[frame, before, run.rod], run.start[frame, after, run.rod]
    ends = run.end[frame, before, run.rod], run.end[frame, after, run.rod]
    moved = np.maximum(_length(starts[1] - starts[0]), _length(ends[1] - ends[0]))
    bend = run.bend[frame, run.step, run.rod]
    best = np.full(groups, np.inf)
    floor = np.full(groups, np.inf)
    rows = np.arange(len(run.step))
    seen = [(np.tile(rows, 2), np.repeat([0.0, 1.0], len(rows)), at_nodes.ravel())]
    np.minimum.at(best, run.group, at_nodes.min(axis=0))
    low, high = np.zeros(len(rows)), np.ones(len(rows))
    d_low, d_high = at_nodes
    for _ in range(ROUNDS):
        group = run.group[rows]
        bound = (d_low + d_high - moved[rows] * (high - low)) / 2
        bound = np.maximum(bound, -run.reach[rows])
        goal = best[group]
        open_ = bound < goal - tolerance(goal)
        np.minimum.at(floor, group[~open_], (bound - bend[rows])[~open_])
        rows, low, high = rows[open_], low[open_], high[open_]
        if not rows.size:
            break
        d_low, d_high = d_low[open_], d_high[open_]
        middle = (low + high) / 2
        start = starts[0][rows] + middle[:, None] * (starts[1][rows] - starts[0][rows])
        end = ends[0][rows] + middle[:, None] * (ends[1][rows] - ends[0][rows])
        there = apart_at(start, end, run.obstacle[rows]) - run.reach[rows]
        np.minimum.at(best, run.group[rows], there)
        seen.append((rows, middle, there))
        rows, low, high, d_low, d_high = (
            np.concatenate(pair)
            for pair in (
                (rows, rows),
                (low, middle),
                (middle, high),
                (d_low, there),
                (there, d_high),
            )
        )
    else:
        bound = (d_low + d_high - moved[rows] * (high - low)) / 2
        np.minimum.at(floor, run.group[rows], bound - bend[rows])
    row, share, distance = (np.concatenate(column) for column in zip(*seen, strict=True))
    order = np.lexsort((distance, run.group[row]))
    _, first = np.unique(run.group[row][order], return_index=True)
    nearest = order[first]
    return Least(
        distance=distance[nearest],
        floor=floor,
        step=run.step[row[nearest]],
        share=share[nearest],
        rod=run.rod[row[nearest]],
    )


def tolerance(distance: Array) -> Array:
    """Return how far below a least distance the halving may leave a doubt [m]."""
    far = np.maximum(distance - FAR, 0.0)
    return np.asarray(CLOSE + SHARE * np.maximum(distance, 0.0) + FAR_SHARE * far)


def _length(vector: Array) -> Array:
    """Return the lengths of vectors."""
    return np.asarray(np.sqrt((vector * vector).sum(axis=-1)))
