"""What bounds the window of places: how far it reaches, and which limits leave no place."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, product

import numpy as np

from sim.arrays import Array, Marks
from sim.crew import each
from sim.explore.evaluate import evaluate
from sim.explore.place_look import Looked, Rooms32
from sim.explore.place_space import Space
from sim.explore.rooms import Key
from sim.judge.judge import judge_numbers
from sim.judge.rule import RuleSet
from sim.measure.clearance.clearance import measure_clearances
from sim.scene.parts import Design

HANGING = 0.003  # [m] by which a bearing hung with care may be off: common practice, no source
SAID = 4  # limits that one sentence can name


def around(
    looked: Looked, rules: RuleSet, middle: Array | None
) -> tuple[Array, tuple[Key | None, ...], bool]:
    """Return how far the window reaches around a place, what ends it, and whether it hangs.

    Args:
        looked: The bearing.
        rules: That judge it.
        middle: The place: open, aft, right, up [m], (3,); or None.

    Returns:
        How far it reaches forward and aft, left and right, down and up [m], (3, 2), each end
        certified over continuous motion; the limit broken beyond each of the six, None where the
        free space ends; and whether all places within the error of hanging are open.
    """
    if middle is None:
        return np.zeros((3, 2)), (None,) * 6, False
    sides = [(axis, way) for axis in range(3) for way in (-1, 1)]
    lines_of = [_line(looked.space, middle, axis, way) for axis, way in sides]
    rooms = looked.look(np.concatenate(lines_of))
    cut = np.split(rooms, np.cumsum([len(line) for line in lines_of])[:-1])
    width, ends = np.zeros((3, 2)), []
    counts = [_count_open(looked.keeps(room)) for room in cut]
    edges = [line[n - 1] for line, n in zip(lines_of, counts, strict=True)]
    kept = _kept(looked, rules, edges)
    for (axis, way), line, room, n, holds in zip(sides, lines_of, cut, counts, kept, strict=True):
        last = n if holds else _certified(looked, rules, line[:n])
        width[axis, (way + 1) // 2] = abs(line[last - 1, axis] - middle[axis])
        ends.append(looked.broken(room[last]) if last < len(line) else None)
    off = np.array(list(product((-HANGING, 0.0, HANGING), repeat=3)))
    return width, tuple(ends), bool(looked.keeps(looked.look(middle + off)).all())


def _line(space: Space, point: Array, axis: int, way: int) -> Array:
    """Return places from a point to the end of the free space, in steps of a tape, (L, 3)."""
    reach = space.high[axis] - point[axis] if way > 0 else point[axis] - space.low[axis]
    far = np.arange(int(max(reach, 0.0) / space.tape[axis] + 1e-6) + 1) * space.tape[axis]
    line = np.repeat(point[None], len(far), axis=0)
    line[:, axis] += way * far
    return line


def _count_open(keeps: Marks) -> int:
    """Return how many places of a line are open before the first that is not, at least one."""
    closed = np.flatnonzero(~keeps)
    return max(1, int(closed[0]) if len(closed) else len(keeps))


def _certified(looked: Looked, rules: RuleSet, line: Array) -> int:
    """Return how many places of an open line hold over continuous motion, by halves."""
    low, high = 1, len(line)  # the first holds: it was carried out; the last does not
    while high - low > 1:
        middle = (low + high) // 2
        if _kept(looked, rules, [line[middle - 1]])[0]:
            low = middle
        else:
            high = middle
    return low


def _kept(looked: Looked, rules: RuleSet, places: Sequence[Array]) -> list[bool]:
    """Return whether places break no limit over continuous motion, clearance certified."""
    work = functools.partial(_fails_nothing, rules=rules)
    designs = [looked.design.vary(looked.moved(place)) for place in places]
    return [found is True for found in each(work, designs, "fork")]


def _fails_nothing(design: Design, rules: RuleSet) -> bool:
    """Say whether no finding on a design fails, every reading taken as exact."""
    numbers = evaluate(design, deep=True)
    if numbers.lost.any():
        return False
    near, _ = measure_clearances(numbers.configuration, numbers.states, start=numbers.start)
    return not judge_numbers(replace(numbers, near=near), rules).fails


def in_the_way(keys: Sequence[Key], rooms: Rooms32) -> tuple[Key, ...]:
    """Return the fewest limits that together leave no place, the worst first.

    Args:
        keys: Of the limits, F of them.
        rooms: Of all places to them [standard deviations], (B, F).
    """
    fails = rooms < 0
    if not len(rooms) or not fails.any(axis=1).all():
        return ()
    alone = np.flatnonzero(fails.all(axis=0)).tolist()
    if alone:
        return tuple(keys[k] for k in sorted(alone, key=lambda k: rooms[:, k].max())[:SAID])
    pairs = [
        (float(np.minimum(rooms[:, i], rooms[:, j]).max()), i, j)
        for i, j in combinations(np.flatnonzero(fails.any(axis=0)).tolist(), 2)
        if (fails[:, i] | fails[:, j]).all()
    ]
    if pairs:
        _, i, j = min(pairs)
        return keys[i], keys[j]
    chosen: list[int] = []
    left = fails
    while len(left):
        chosen.append(int(left.sum(axis=0).argmax()))
        left = left[~left[:, chosen[-1]]]
    return tuple(keys[k] for k in chosen)
