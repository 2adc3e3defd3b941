"""Many places of one bearing, judged: the room that each leaves to every limit.

These are the limits that can fail, and those that only watch, but are there so that parts do not
touch, bind or come apart: places are chosen by them too.

Which of the states decide is asked of a few places in the whole sweep; all others are looked at in
these states alone.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Array, Marks
from sim.crew import each
from sim.errors import SimError
from sim.explore.cures_changes import signed
from sim.explore.evaluate import evaluate
from sim.explore.place_space import Space
from sim.explore.rooms import Key, Rooms, moved
from sim.explore.sampling import draw, drawn_values
from sim.explore.sources import sources_of
from sim.judge.hold import FAILS, Held, hold, over_in_states
from sim.judge.rule import Rule, RuleSet
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import Configuration, Design

FEW = 256  # samples
RESERVE = 5  # severity from which on a rule that only watches counts: rubs, too little reserve
SIDES = (5, 3, 3)  # places aft, aside and up that are asked in the whole sweep
CLOSE, SHARE = 0.05, 0.02  # standard deviations, and share of a distance, that states may cost
TOGETHER = 4_000  # places that are worked on at once, so that memory stays flat
Share = Callable[[float], None]
Rooms32 = NDArray[np.float32]  # half the digits: there are many


class Looked:
    """One bearing of one configuration, ready to be looked at in many places.

    Attributes:
        configuration: As read.
        design: It, with the place of the bearing planned: no shaft weighed on a new one yet.
        space: The free space.
        states: Those that decide somewhere in it.
        rules: Those that can fail, and those that only watch what a reserve is for.
        rooms: Limits, and the spread of samples of the design as read.
        contradicts: Whether readings contradict one another, wherever the bearing hangs.
    """

    def __init__(self, configuration: Configuration, rules: RuleSet, space: Space) -> None:
        assert configuration.design is not None
        self.configuration, self.space = configuration, space
        self.design: Design = configuration.design.on_paper(space.bearing)
        self.sweep = evaluate(self.design, apart=True)
        alone = [one for one in hold(rules.rules, self.sweep) if one.quantity.not_sampled]
        self.contradicts = any(one.verdict[0] == FAILS for one in alone)
        corners = evaluate(self.design, self._values(_coarse(space)), self.sweep.states, apart=True)
        judged = hold(rules.rules, corners)
        held = [one for one in judged if one.may_fail or one.rule.severity >= RESERVE]
        self.rules: tuple[Rule, ...] = tuple(dict.fromkeys(one.rule for one in held))
        sources = sources_of(configuration)
        self._drawn = drawn_values(configuration, sources, draw(sources, FEW)) if sources else {}
        self.states = self.sweep.states
        self.states = that_decide(held, self.sweep.states, self._rooms())
        self.rooms = self._rooms()

    def _rooms(self) -> Rooms:
        """Return the limits, and the spread of samples in the states."""
        named = self.states
        if len(named) == len(self.sweep.states):
            named = tuple(s for s in named if s.height and not s.roll) or named[:1]
        numbers = evaluate(self.design, self._drawn, named, apart=True, near=self.sweep)
        return Rooms(self.rules, numbers, _beyond)

    @property
    def keys(self) -> tuple[Key, ...]:
        """Rule and part of every limit, F of them."""
        return self.rooms.keys

    @property
    def fails(self) -> Marks:
        """Which limits can fail, (F,); the others only watch."""
        return self.rooms.may_fail

    @property
    def must(self) -> tuple[Key, ...]:
        """Rule and part of the limits that can fail."""
        return tuple(key for key, fails in zip(self.keys, self.fails, strict=True) if fails)

    def keeps(self, rooms: Rooms32) -> Marks:
        """Return which of some places keep every limit that can fail, (...).

        Args:
            rooms: Of the places [standard deviations], (..., F); NaN keeps none.
        """
        return np.asarray(rooms[..., self.fails].min(axis=-1) >= 0)

    def broken(self, rooms: Rooms32) -> Key:
        """Return the limit that can fail to which one place has least room, (F,)."""
        return self.keys[int(np.where(self.fails, rooms, np.inf).argmin())]

    def look(self, places: Array, tell: Share = lambda share: None) -> Rooms32:
        """Return the room of places (B, 3) to every limit [standard deviations], (B, F).

        Work is shared among the processors there are.

        Args:
            places: Aft, right, up [m], (B, 3).
            tell: Is told which share is done.
        """
        if len(places) <= TOGETHER:
            return _rooms_of(self, places)
        count = 2 * -(-len(places) // (2 * TOGETHER))
        parts = np.array_split(places, count)
        found = []
        work = functools.partial(_rooms_of, self)
        for number, part in enumerate(each(work, parts, "fork"), start=1):
            if isinstance(part, SimError):
                raise part
            found.append(part)
            tell(number / count)
        return np.concatenate(found)

    def as_it_hangs(self) -> Rooms32:
        """Return the room to every limit where the bearing hangs, as read, (F,)."""
        assert self.configuration.design is not None
        numbers = evaluate(self.configuration.design, {}, self.states, apart=True, near=self.sweep)
        rooms: Rooms32 = np.asarray(self.rooms.of(numbers), np.float32)
        return np.asarray(rooms[0])

    def chances(self, places: Array) -> Array:
        """Return the share of samples that keep each limit at some places (B, 3), (B, F).

        As in verdicts, only samples that can be reached count.
        """
        found = np.ones((len(places), len(self.keys)))
        for row, place in enumerate(places):
            change = dict(zip(self.space.paths, place.tolist(), strict=True))
            numbers = self._numbers(moved(self.design, self._drawn, change))
            reached = ~np.asarray(numbers.lost).any(axis=1)
            held = self.rooms.held(numbers)
            for column, key in enumerate(self.keys):
                if key in held and reached.any():
                    found[row, column] = (held[key].verdict[reached] != FAILS).mean()
                elif not reached.any():
                    found[row, column] = 0.0
        return found

    def moved(self, place: Array) -> dict[str, float]:
        """Return the values that hang the bearing at a place, those that stay left out."""
        values = dict(zip(self.space.paths, place.tolist(), strict=True))
        return {path: v for path, v in values.items() if abs(v - signed(self.design, path)) > 1e-7}

    def planned_at(self, place: Array) -> Configuration:
        """Return the configuration with the bearing hung at a place on paper."""
        return self.design.vary(self.moved(place)).build()

    def _values(self, places: Array) -> dict[str, Array]:
        """Return the values of places, those that stay where they are left out."""
        values = dict(zip(self.space.paths, np.asarray(places, float).T, strict=True))
        return {p: v for p, v in values.items() if np.any(v != signed(self.design, p))}

    def _numbers(self, values: Mapping[str, Array]) -> Numbers:
        """Return the numbers of designs in the states that decide."""
        return evaluate(self.design, values, self.states, apart=True, near=self.sweep)


def _rooms_of(looked: Looked, places: Array) -> Rooms32:
    """Return the room of places to every limit, (B, F)."""
    values = dict(zip(looked.space.paths, np.asarray(places, float).T, strict=True))
    numbers = looked._numbers(values)
    return np.asarray(looked.rooms.of(numbers), np.float32)


def _beyond(held: Held) -> Array:
    """Return how far what is held is beyond its limit, where it may fail if it may, (B,)."""
    return held.short if held.may_fail else held.over


def that_decide(held: Sequence[Held], sweep: Sequence[State], rooms: Rooms) -> tuple[State, ...]:
    """Return as few states as give every limit the distance that the whole sweep gives it.

    Args:
        held: Rules that may fail, on the parts of a few designs, in the whole sweep.
        sweep: All states.
        rooms: Spreads of the limits.

    Returns:
        The states in their order, ride height among them.  In each of the designs the distance to
        every limit is that of the sweep, within ``CLOSE`` standard deviations or ``SHARE`` of it.
    """
    spreads = dict(zip(rooms.keys, rooms.spread.tolist(), strict=True))
    number = {state: n for n, state in enumerate(sweep)}
    rows: list[Marks] = []
    kept = {next((n for s, n in number.items() if s.situation == "ride height"), 0)}
    for one in held:
        if not one.part.states:
            continue
        over, states = over_in_states(one)
        if one.may_fail and one.rule.broken_in == "all":
            over = -over
        at = [number[state] for state in states]
        far = np.nanmax(over, axis=1, keepdims=True, initial=-np.inf)
        near = CLOSE * spreads.get(one.key, 1.0) + SHARE * np.abs(far)
        gives = np.zeros((len(over), len(sweep)), bool)
        gives[:, at] = over >= far - near
        rows.append(gives[gives.any(axis=1)])
    left = np.concatenate(rows) if rows else np.empty((0, len(sweep)), bool)
    while True:
        left = left[~left[:, sorted(kept)].any(axis=1)]
        if not len(left):
            return tuple(state for n, state in enumerate(sweep) if n in kept)
        kept.add(int(np.argmax(left.sum(axis=0))))


def _coarse(space: Space) -> Array:
    """Return a few places over the whole space, (B, 3)."""
    sides = (
        np.linspace(low, high, count if high > low else 1)
        for low, high, count in zip(space.low, space.high, SIDES, strict=True)
    )
    return np.array(list(product(*sides)))
