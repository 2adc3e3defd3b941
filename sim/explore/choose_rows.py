"""Rows of designs: values by path, and how far each keeps every limit that may fail."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.crew import each
from sim.errors import SimError
from sim.explore.cures_lines import carried_out, lines
from sim.explore.evaluate import evaluate
from sim.explore.sampling import draw, drawn_values
from sim.explore.sources import sources_of
from sim.judge.hold import FAILS, PASSES, Held, hold
from sim.judge.rule import Rule
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import Design

Rows = Mapping[str, Array]  # by path, one value a design, each of shape (B,)
FEW = 256  # samples behind a spread
LEAST = 1e-3  # least standard deviation, in the unit of the quantity: what no reading moves
FAR = 20.0  # standard deviations; more room is as good
CHUNK = 6_000  # designs that one process works on at a time
WHERE = ("joint", "pair", "pinion", "driveline")


def count(rows: Rows) -> int:
    """Return how many designs there are."""
    return len(next(iter(rows.values())))


def some(rows: Rows, which: Index | Marks | slice) -> dict[str, Array]:
    """Return some designs, by marks, numbers or a slice."""
    return {path: values[which] for path, values in rows.items()}


def crossed(rows: Rows, other: Rows) -> dict[str, Array]:
    """Return every design of one table with every one of another, the other's running faster."""
    here, there = count(rows), count(other)
    first = {path: np.repeat(values, there) for path, values in rows.items()}
    return first | {path: np.tile(values, here) for path, values in other.items()}


def joined(tables: Sequence[Rows]) -> dict[str, Array]:
    """Return tables of the same paths one behind the other."""
    return {path: np.concatenate([one[path] for one in tables]) for path in tables[0]}


def row(rows: Rows, number: int) -> dict[str, float]:
    """Return the values of one design."""
    return {path: float(values[number]) for path, values in rows.items()}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Looked:
    """What some designs come to.

    Attributes:
        keys: Rule and part of every limit that may fail, F of them.
        rooms: Standard deviations between value and limit, shape (B, F); the less the nearer,
            below 0 beyond it.
        watches: How many limits are worth watching, shape (B,).
    """

    keys: tuple[tuple[str, str], ...]
    rooms: Array
    watches: Index

    @property
    def room(self) -> Array:
        """The least room of each design, (B,)."""
        return np.asarray(self.rooms.min(axis=1, initial=FAR))


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """How designs of one structure are looked at.

    Attributes:
        design: The structure, and every value that is not varied.
        rules: Those that judge.
        near: Numbers of the design in the whole sweep.
        spreads: Standard deviation of every limit's distance, by rule and part.
    """

    design: Design
    rules: tuple[Rule, ...]
    near: Numbers
    spreads: Mapping[tuple[str, str], float]

    @classmethod
    def of(cls, design: Design, rules: tuple[Rule, ...], at: Mapping[str, float]) -> Look:
        """Return how to look at a structure, spreads as they are at some values.

        Raises:
            DomainError: If the parts cannot reach a state there.
        """
        moved = carried_out(design, lines(design, at)) if at else design
        near = evaluate(moved)
        configuration = moved.build()
        sources = sources_of(configuration)
        states = named(near.states)
        spreads: dict[tuple[str, str], float] = {}
        if sources:
            values = drawn_values(configuration, sources, draw(sources, FEW))
            numbers = evaluate(moved, values, states, near=near)
            kept = ~numbers.lost.any(axis=1)
            for one in hold(rules, numbers):
                far = one.short[kept]
                spreads[one.key] = float(np.nanstd(far)) if np.isfinite(far).any() else 0.0
        return cls(moved, rules, near, spreads)

    def at(
        self, rows: Rows, states: Sequence[State], of: Callable[[Held], bool], deep: bool = False
    ) -> Looked:
        """Return what designs come to in some states.

        Args:
            rows: The designs.
            states: Some of the sweep.
            of: Which limits are looked at.
            deep: Whether to look at whirl, strength and clearance too.
        """
        step = CHUNK if not deep else 500
        parts = [some(rows, slice(low, low + step)) for low in range(0, count(rows), step)]
        work = functools.partial(self._part, states=tuple(states), of=of, deep=deep)
        found = []
        for one in each(work, parts, "fork", most=2):
            if isinstance(one, SimError):
                raise one
            found.append(one)
        keys = tuple(dict.fromkeys(key for one in found for key in one.keys))
        return Looked(
            keys=keys,
            rooms=np.concatenate([_in_order(one, keys) for one in found]),
            watches=np.concatenate([one.watches for one in found]),
        )

    def _part(
        self, rows: Rows, states: tuple[State, ...], of: Callable[[Held], bool], deep: bool
    ) -> Looked:
        """Return what a few designs come to."""
        numbers, size = self.numbers(rows, states, deep=deep), count(rows)
        lost = np.asarray(numbers.lost.any(axis=1))
        rules = [rule for rule in self.rules if self._told(rule, states)]
        keys, rooms = [], []
        watches = np.zeros(len(lost), np.int64)
        for one in hold(rules, numbers):
            if not of(one):
                continue
            watches = watches + (one.verdict != PASSES)
            if one.may_fail:
                keys.append(one.key)
                rooms.append(self.room(one))
        stacked = np.stack(rooms, axis=1) if rooms else np.full((len(lost), 0), FAR)
        stacked[lost] = -FAR
        if lost.any() and not rooms:
            keys, stacked = [("lost", "")], np.where(lost, -FAR, FAR)[:, None]
        return Looked(keys=tuple(keys), rooms=stacked[:size], watches=watches[:size])

    def numbers(self, rows: Rows, states: Sequence[State], *, deep: bool = False) -> Numbers:
        """Return the numbers of designs in some states; at least two designs are many."""
        once = count(rows) == 1
        values = {path: np.repeat(v, 2) for path, v in rows.items()} if once else rows
        return evaluate(self.design, values, states, deep=deep, near=self.near)

    def room(self, one: Held) -> Array:
        """Return the standard deviations between value and limit, (B,)."""
        spread = max(self.spreads.get(one.key, 0.0), LEAST)
        room = np.where(np.isnan(one.short), FAR, -one.short / spread)
        # what fails has none, however a limit that must be broken everywhere is told
        return np.clip(np.where(one.verdict == FAILS, np.minimum(room, -1e-6), room), -FAR, FAR)

    def _told(self, rule: Rule, states: tuple[State, ...]) -> bool:
        """Say whether states tell of a rule: one broken in all of them needs them all."""
        if rule.broken_in == "any":
            return True
        asked = {s for s in self.near.states if s.situation in rule.fails_in}
        return asked <= set(states)


def _in_order(one: Looked, keys: Sequence[tuple[str, str]]) -> Array:
    """Return rooms with a column for every key; what is not there has room."""
    place = {key: column for column, key in enumerate(one.keys)}
    wide = np.full((len(one.rooms), len(keys)), FAR)
    for column, key in enumerate(keys):
        if key in place:
            wide[:, column] = one.rooms[:, place[key]]
    return wide


def still(states: Sequence[State]) -> tuple[State, ...]:
    """Return the states at ride height and at named loads without torque."""
    return tuple(s for s in states if s.situation in ("ride height", "loaded"))


def named(states: Sequence[State]) -> tuple[State, ...]:
    """Return the states at heights that have a name, in every torque case, rolled ones too."""
    return tuple(s for s in states if s.height)


def driven(states: Sequence[State]) -> tuple[State, ...]:
    """Return the states at ride height and at named loads, at cruise too."""
    return tuple(s for s in states if s.situation in ("ride height", "loaded", "cruise"))


def bends(one: Held) -> bool:
    """Say whether a limit is one on angles and evenness, which places and wedges decide."""
    return one.part.where.kind in WHERE


def all_of_them(one: Held) -> bool:
    """Say that a limit is looked at."""
    del one
    return True


def on_first_joints(one: Held, last: int) -> bool:
    """Say whether a limit is on one of the first joints, which so many bearings decide."""
    return one.part.where.kind == "joint" and one.part.where.number <= last
