"""All designs of one structure that may be sound: everything looked at, cheap limits first."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.explore.choose_fit import Fit
from sim.explore.choose_places import places_of, undrilled
from sim.explore.choose_rows import (
    Look,
    Looked,
    Rows,
    all_of_them,
    bends,
    count,
    crossed,
    driven,
    named,
    some,
    still,
)
from sim.explore.choose_stock import StockTube
from sim.explore.cures_changes import LARGEST_WEDGE, WEDGE, bars_of, signed
from sim.judge.hold import Held
from sim.judge.rule import Rule
from sim.motion.states import State
from sim.scene.parts import Design

LOOSE = 1.0  # standard deviations of room that make a design worth a closer look
SURE = 2.0  # the same that are enough: 97.5 % of a normal distribution keep one limit
MOST = 40_000, 12_000  # designs looked at under torque; in every height and torque case
FIRST = 120  # of every kind that are looked at with whirl, strength and clearance
WEDGED, BAR = "pinion.nose_up", "suspension.wrap_control"

Kind = tuple[bool, bool]  # whether the pinion is on wedges, and wrap controlled
Told = Callable[[float], None]  # is told how much is done, 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pool:
    """What is left of all designs of one structure.

    Attributes:
        look: How they were looked at.
        rows: Those that may be sound.
        found: What they come to.
        seen: How many were looked at.
        ended: Where none is left: what the last ones came to that all failed, or None.
        nearest: The values of the nearest of these, or None.
        said: Which places were looked at, in sentences.
    """

    look: Look
    rows: Rows
    found: Looked
    seen: int
    ended: Looked | None
    nearest: Mapping[str, float] | None
    said: tuple[str, ...]

    def kinds(self) -> dict[Kind, Index]:
        """Return the designs of every kind, by number, the most promising first."""
        size = len(self.found.rooms)
        if not size:
            return {}
        wedged, barred = kinds_of(self.look.design, self.rows, size)
        bar = self.rows.get(BAR, np.zeros(size))
        holes = undrilled(self.look.near.configuration, self.rows)
        order = best_first(self.found, holes, np.asarray(bar))
        found: dict[Kind, list[int]] = {}
        for number in order.tolist():
            kind = bool(wedged[number]), bool(barred[number])
            found.setdefault(kind, []).append(number)
        return {kind: np.array(numbers) for kind, numbers in sorted(found.items())}


def kinds_of(design: Design, rows: Rows, size: int) -> tuple[Marks, Marks]:
    """Return in which of so many designs wedges turn the pinion, and wrap is controlled, (B,)."""
    wedge = rows.get(WEDGED, np.full(size, signed(design, WEDGED)))
    bar = rows.get(BAR, np.full(size, design.values.get(BAR, 0.0)))
    return np.abs(wedge) > WEDGE / 4, np.asarray(bar > 0)


def best_first(found: Looked, holes: Index, bar: Array) -> Index:
    """Return the order of designs, the most promising first.

    Likely sound, with feet that can be drilled, with little to watch, with a weak bar, with room.
    """
    room = found.room
    return np.lexsort((-np.round(room, 6), bar, found.watches, holes, room < SURE))


def pool_of(
    design: Design, rules: tuple[Rule, ...], stock: Sequence[StockTube], told: Told
) -> Pool:
    """Return what is left of all designs of one structure.

    Args:
        design: The structure, as its configuration stands.
        rules: Those that judge.
        stock: Tubes to choose from, the lightest first.
        told: Is told how much is done.

    Returns:
        The pool.

    Raises:
        SimError: If the structure cannot be looked at.
    """
    return _Search(Look.of(design, rules, {}), stock, told).pool()


@dataclass(slots=True, eq=False)
class _Search:
    """One search, cheap limits first."""

    look: Look
    stock: Sequence[StockTube]
    told: Told
    seen: int = 0
    ended: Looked | None = None
    nearest: Mapping[str, float] | None = None

    def pool(self) -> Pool:
        """Search."""
        places, seen, said = places_of(self.look)
        bars, turns = self._bars(), self._turns()
        self.seen = seen * len(turns) * len(bars)
        rows = self._levers(places, turns)
        self.told(0.1)
        if rows is not None and count(rows):
            rows = self._searched(rows, bars)
        left = rows is not None and count(rows) > 0
        rows = rows if rows is not None and left else {WEDGED: np.empty(0)}
        states = named(self.look.near.states)
        found = self.look.at(rows, states, all_of_them) if left else EMPTY
        self.told(1.0)
        return Pool(
            look=self.look,
            rows=rows,
            found=found,
            seen=self.seen,
            ended=None if left else self.ended,
            nearest=None if left else self.nearest,
            said=tuple(said),
        )

    def _levers(self, places: Rows, turns: Array) -> Rows | None:
        """Return places with every wedge; None where no place is left."""
        if not self.look.near.configuration.bearings:
            return {WEDGED: turns}
        return crossed(places, {WEDGED: turns}) if places and count(places) else None

    def _turns(self) -> Array:
        """Return how wedges may turn the pinion: as it stands, none, and those there are."""
        now = signed(self.look.design, WEDGED)
        if self.look.design.structure.suspension == "measured":
            return np.array([now])  # its other heights were read with the pinion as it stands
        last = round(LARGEST_WEDGE / WEDGE)
        return np.unique([*(np.arange(-last, last + 1) * WEDGE), now])

    def _searched(self, rows: Rows, bars: Array) -> Rows:
        """Return the designs that pass every stage."""
        states = self.look.near.states
        rows = self._kept(rows, still(states), bends, MOST[0])
        self.told(0.4)
        if count(rows) and len(bars) > 1:
            rows = crossed(rows, {BAR: bars})
        rows = self._kept(rows, driven(states), bends, MOST[1])
        self.told(0.6)
        return self._fitted(rows) if count(rows) else rows

    def _fitted(self, rows: Rows) -> Rows:
        """Return the designs for which there are tubes and a spline."""
        fitted, fits = Fit.of(self.look, self.stock).fitted(rows)
        if not fits.any():
            last = some(fitted, slice(FIRST))
            self._end(last, self.look.at(last, named(self.look.near.states), all_of_them))
        return some(fitted, fits)

    def _bars(self) -> Array:
        """Return wrap controls: as it stands, none, and those there are."""
        if self.look.design.structure.suspension != "leaf":
            return np.zeros(1)
        own = float(self.look.design.values.get(BAR, 0.0))
        return np.unique([own, 0.0, *bars_of(self.look.design)])

    def _kept(
        self, rows: Rows, states: Sequence[State], of: Callable[[Held], bool], most: int
    ) -> Rows:
        """Return the designs that keep limits with some room; of very many of a kind the most."""
        if not count(rows) or not states:
            return rows
        found = self.look.at(rows, states, of)
        room = np.round(found.room, 6)
        good = np.flatnonzero(room >= LOOSE)
        if not good.size:
            self._end(rows, found)
        if good.size > most:
            good = self._roomiest(rows, good, room, most)
        return some(rows, good)

    def _roomiest(self, rows: Rows, good: Index, room: Array, most: int) -> Index:
        """Return so many designs with most room, as many of each kind as there are."""
        kinds = kinds_of(self.look.design, rows, len(room))
        labels = (2 * kinds[0] + kinds[1])[good]
        groups = [good[labels == label] for label in np.unique(labels)]
        share = most // len(groups)
        first = [g[np.argsort(-room[g], kind="stable")[:share]] for g in groups]
        return np.sort(np.concatenate(first))

    def _end(self, rows: Rows, found: Looked) -> None:
        """Remember what the last designs came to."""
        best = int(np.argmin(missed(found)))
        self.ended, self.nearest = found, {p: float(v[best]) for p, v in rows.items()}


def missed(found: Looked) -> Array:
    """Return by how many standard deviations designs miss what they need, in all, (B,)."""
    return np.asarray((LOOSE - found.rooms).clip(min=0.0).sum(axis=1))


def finest(pool: Pool, numbers: Index) -> tuple[Index, Looked]:
    """Return the most promising of some designs with whirl, strength and clearance looked at too.

    Args:
        pool: Where they are.
        numbers: Theirs, the most promising first.

    Returns:
        Numbers in their order, and what these come to.
    """
    first = numbers[:FIRST]
    rows = some(pool.rows, first)
    found = pool.look.at(rows, named(pool.look.near.states), all_of_them, deep=True)
    holes = undrilled(pool.look.near.configuration, rows)
    order = best_first(found, holes, rows.get(BAR, np.zeros(len(first))))
    order = order[found.room[order] >= LOOSE]
    return first[order], Looked(
        keys=found.keys, rooms=found.rooms[order], watches=found.watches[order]
    )


EMPTY = Looked(keys=(), rooms=np.empty((0, 0)), watches=np.empty(0, int))
