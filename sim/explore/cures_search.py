"""The search for changes: one lever, then two, then one more; all of a grid in one evaluation.

Nothing here knows a driveline.  A row is a set of changes; ``look`` gives for every row and every
finding how many standard deviations of its value lie between value and limit (its room).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from sim.explore.cures_lever import Lever

Array = NDArray[np.float64]
Plan = tuple[tuple[int, int], ...]  # (lever, its step) of every change
Look = Callable[[Mapping[str, Array], int], Array]  # values of B rows, B -> rooms (B, F)

THIN = (1, 2, 4, 6, 9, 12, 16, 20, 25, 30, 35, 40)  # steps from the smallest that are tried first
PAIRS, STARTS = 3, 4  # grids of two; rows that are looked at closely
LITTLE = 6  # smallest steps of every other lever beside the best single one
NEAR = {1: 8, 2: 3, 3: 1}  # steps around them, by the number of levers
CHANGES = 1e-3  # standard deviations of room below which a lever does nothing to a finding
MOST = 6.0  # standard deviations by which one finding may be missed and still count for more


@dataclass(slots=True, eq=False)
class Search:
    """Every row that was looked at so far.

    Attributes:
        levers: What can be changed.
        base: Value of every path as it stands [SI unit].
        look: Gives the rooms of rows.
        start: Rooms without any change, shape (F,).
        plans: The changes of every row.
        rooms: Their rooms, shape (rows, F).
    """

    levers: Sequence[Lever]
    base: Mapping[str, float]
    look: Look
    start: Array
    plans: list[Plan] = field(default_factory=list)
    rooms: Array = field(default_factory=lambda: np.empty((0, 0)))
    seen: set[Plan] = field(default_factory=set)

    def holding(self, need: Array, wish: Array) -> Iterator[list[int]]:
        """Yield the rows that leave enough room: those of one lever, then of two, then of three.

        Args:
            need: Room that every finding needs at least, shape (F,).
            wish: Room that it had better have: what more is looked for, shape (F,).

        Yields:
            Numbers of rows, the least change first; none of them was yielded before.
        """
        for count, widen in enumerate((self._singles, self._pairs, self._thirds), start=1):
            widen(wish)
            self._refine(wish, count)
            yield [row for row in self.known(need) if len(self.plans[row]) == count]

    def known(self, need: Array) -> list[int]:
        """Return the rows so far that leave enough room, the least change first.

        Args:
            need: Room that every finding needs at least, shape (F,).
        """
        rows = np.flatnonzero(self._missing(self.rooms, need) == 0)
        return sorted(rows.tolist(), key=self.cost)

    def promise(self, wish: Array) -> Array:
        """Return how near two levers may bring every finding to its wish, if they add up, (F,).

        Args:
            wish: Room wished for, shape (F,).

        Returns:
            The share of the way from where it stands [-]; 1 or more gets there.
        """
        self._singles(wish)
        best = np.sort(np.stack([self.rooms[rows].max(axis=0) for rows in self._alone()]), axis=0)
        gained = (best[-2:] - self.start).clip(min=0.0).sum(axis=0)
        return np.asarray(gained / np.maximum(wish - self.start, 1e-9))

    def changing(self) -> NDArray[np.bool_]:
        """Return which levers change which rooms by themselves, shape (levers, F)."""
        self._singles(self.start)
        moved = [np.abs(self.rooms[rows] - self.start).max(axis=0) for rows in self._alone()]
        return np.asarray(np.array(moved) > CHANGES)

    def cost(self, row: int) -> tuple[int, float]:
        """Return what decides which row is less: how many changes, and how much work they are."""
        plan = self.plans[row]
        return len(plan), sum(self.levers[i].work + float(self.levers[i].size[k]) for i, k in plan)

    def rows(self, plans: Sequence[Plan]) -> list[int]:
        """Return the numbers of the rows of some plans, looked at where they were not yet."""
        self._add(plans)
        return [self.plans.index(plan) for plan in plans]

    def values(self, plan: Plan) -> dict[str, float]:
        """Return the values of a row's changes, by path [SI unit, radians]."""
        return {
            path: float(steps[k]) for i, k in plan for path, steps in self.levers[i].values.items()
        }

    def _missing(self, rooms: Array, need: Array) -> Array:
        """Return by how much rows miss what is needed, shape (rows,)."""
        return np.asarray(np.clip(need - rooms, 0.0, MOST).sum(axis=-1))

    def _add(self, plans: Iterable[Plan]) -> None:
        """Look at rows that were not looked at before."""
        new = [plan for plan in dict.fromkeys(plans) if plan not in self.seen]
        if not new:
            return
        values = {path: np.full(len(new), value) for path, value in self.base.items()}
        for row, plan in enumerate(new):
            for path, value in self.values(plan).items():
                values[path][row] = value
        rooms = self.look(values, len(new))
        self.seen.update(new)
        self.plans += new
        self.rooms = rooms if not self.rooms.size else np.concatenate([self.rooms, rooms])

    def _singles(self, wish: Array) -> None:
        """Look at the thin steps of every lever."""
        del wish
        self._add(((i, k),) for i in range(len(self.levers)) for k in self._thin(i))

    def _alone(self) -> list[list[int]]:
        """Return the rows of the thin steps of every lever by itself."""
        numbers = {plan: row for row, plan in enumerate(self.plans) if len(plan) == 1}
        count = len(self.levers)
        return [[numbers[((i, k),)] for k in self._thin(i)] for i in range(count)]

    def _pairs(self, wish: Array) -> None:
        """Look at grids of two levers that promise most, and at a little beside the best one."""
        alone, promise = self._alone(), []
        for i, j in combinations(range(len(self.levers)), 2):
            if not self._clash(i, j):
                both = self.rooms[alone[i]][:, None] + self.rooms[alone[j]][None, :] - self.start
                promise.append((float(self._missing(both, wish).min()), i, j))
        grids = [(i, j) for _, i, j in sorted(promise)[:PAIRS]]
        rows = [row for row, plan in enumerate(self.plans) if len(plan) == 1]
        missing = self._missing(self.rooms[rows], wish)
        nearest = [self.plans[rows[n]] for n in np.argsort(missing, kind="stable")[:STARTS]]
        self._add(
            [((i, k), (j, n)) for i, j in grids for k in self._thin(i) for n in self._thin(j)]
            + [
                tuple(sorted((*plan, (i, k))))
                for plan in nearest
                for i in self._free(plan)
                for k in self._thin(i)[:LITTLE]
            ]
        )

    def _thirds(self, wish: Array) -> None:
        """Look at one more lever on top of the two that come nearest."""
        twos = [row for row, plan in enumerate(self.plans) if len(plan) == 2]
        nearest = sorted(twos, key=lambda row: float(self._missing(self.rooms[row], wish)))
        starts: dict[tuple[int, ...], int] = {}
        for row in nearest:
            starts.setdefault(tuple(i for i, _ in self.plans[row]), row)
        self._add(
            tuple(sorted((*self.plans[row], (i, k))))
            for row in list(starts.values())[:STARTS]
            for i in self._free(self.plans[row])
            for k in self._thin(i)
        )

    def _free(self, plan: Plan) -> list[int]:
        """Return the levers that change nothing that a plan changes."""
        taken = [i for i, _ in plan]
        others = (i for i in range(len(self.levers)) if i not in taken)
        return [i for i in others if not any(self._clash(i, j) for j in taken)]

    def _refine(self, wish: Array, count: int) -> None:
        """Look closely around the best rows of so many levers."""
        rows = [row for row, plan in enumerate(self.plans) if len(plan) == count]
        missing = {row: float(self._missing(self.rooms[row], wish)) for row in rows}
        best = sorted(rows, key=lambda row: (missing[row], self.cost(row)))[:STARTS]
        self._add(plan for row in best for plan in self._around(self.plans[row]))

    def _around(self, plan: Plan) -> list[Plan]:
        """Return the plans with the same levers a few steps to each side."""
        around: list[Plan] = [()]
        for i, k in plan:
            steps = self.levers[i].steps
            order = np.argsort(steps)  # holes of a brace leave gaps
            at, far = int(np.flatnonzero(order == k)[0]), NEAR[len(plan)]
            near = order[max(0, at - far) : at + far + 1]
            around = [(*some, (i, int(n))) for some in around for n in near]
        return around

    def _thin(self, lever: int) -> list[int]:
        """Return some steps of a lever, close together where they are small."""
        off = self.levers[lever].steps - self.levers[lever].steps[0]
        wanted = [way for far in (0, *THIN) for way in (far, -far)]
        there = [way for way in wanted if off.min() <= way <= off.max()]
        return sorted({int(np.argmin(np.abs(off - way))) for way in there})  # holes leave gaps

    def _clash(self, one: int, other: int) -> bool:
        """Say whether two levers change the same value."""
        return bool(self.levers[one].values.keys() & self.levers[other].values.keys())
