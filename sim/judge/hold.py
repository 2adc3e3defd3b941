"""``hold``: many designs against rules at once, every rule and part in the state that decides."""

from __future__ import annotations

import functools
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Array, Index, Marks
from sim.display import READERS
from sim.judge.findings import Standing
from sim.judge.part import Part
from sim.judge.quantities import QUANTITIES, Quantity
from sim.judge.rule import MAY_FAIL, PLACES, VEHICLE, Rule
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import Configuration

PASSES, WATCH, FAILS = 0, 1, 2
EQUAL = 1e-6  # shares by which values may differ and still count as the same in every state
PLACE = {place: number for number, place in enumerate(PLACES)}
SLACK = 1e-9  # a value that only rounding holds from its limit keeps it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """One rule on one part, in B designs.

    Attributes:
        rule, part: Which.
        quantity: Of the rule.
        standing: What the limit is worth; "shop" where the scene writes its own.
        may_fail: Whether it can fail at all.
        verdict: 0 passes, 1 watch, 2 fails, shape (B,).
        state: Index of the state that decides, among those of the part, shape (B,).
        value, limit: There, in the unit of the quantity, shape (B,).
        over: How far the value is beyond the limit there; negative where it keeps it, (B,).
        short: The same where it may fail, whatever is only watched elsewhere, (B,).
    """

    rule: Rule
    part: Part
    quantity: Quantity
    standing: Standing
    may_fail: bool
    verdict: NDArray[np.int64]
    state: NDArray[np.int64]
    value: Array
    limit: Array
    over: Array
    short: Array

    @property
    def key(self) -> tuple[str, str]:
        """Rule and part, which tell it apart from all others."""
        return self.rule.id, str(self.part.where)

    def state_of(self, design: int = 0) -> State | None:
        """Return the state that decides for a design; None where no state changes the value."""
        return self.part.states[self.state[design]] if self.part.states else None


def hold(rules: Iterable[Rule], numbers: Numbers) -> list[Held]:
    """Return every rule on every part that it looks at.

    Args:
        rules: As in ``RuleSet.rules``.
        numbers: Of B designs of one structure.  What is not sampled is left out where B is not 1.

    Returns:
        One for a rule and a part; none where a rule is silent in all states there are.  A state
        that a design cannot reach decides nothing for it.
    """
    many = len(numbers.lost) != 1
    parts: dict[str, list[Part]] = {}
    seen: dict[int, _Seen] = {}  # by the tuple of states, which the parts keep alive
    found = []
    for rule in rules:
        quantity = QUANTITIES[rule.quantity]
        if many and quantity.not_sampled:
            continue
        if rule.quantity not in parts:
            parts[rule.quantity] = [_of_all(part, numbers) for part in quantity.look(numbers)]
        for part in parts[rule.quantity]:
            key = id(part.states)
            if key not in seen:
                seen[key] = _Seen(part.states)
            held = _held(rule, quantity, part, seen[key], numbers.configuration)
            found += [held] if held else []
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Looked:
    """The states that a rule looks at, L of them; equal ones are named in their order."""

    states: Index  # those at ride height first, (L,)
    grave: Marks  # in which it may fail, (L,)


class _Seen:
    """States as rules see them: their situations, and which of equal ones is named."""

    def __init__(self, states: tuple[State, ...]) -> None:
        self.situation = np.array([PLACE[s.situation] for s in states] or [PLACE[VEHICLE]])
        aside = [(s.situation != "ride height") + (s.height != "ride height") for s in states]
        self.ride_first = np.argsort(aside or [0], kind="stable")
        self.looked: dict[tuple[tuple[str, ...], tuple[str, ...]], _Looked] = {}

    def by(self, rule: Rule) -> _Looked:
        """Return the states that a rule looks at."""
        asked = rule.fails_in, rule.watches_in
        if asked not in self.looked:
            fails, watches = (_marks(places)[self.situation] for places in asked)
            states = self.ride_first[(fails | watches)[self.ride_first]]
            self.looked[asked] = _Looked(states, fails[states])
        return self.looked[asked]


@functools.cache
def _marks(places: tuple[str, ...]) -> Marks:
    """Return which of all situations are among some, (P,)."""
    return np.array([place in places for place in PLACES])


def _of_all(part: Part, numbers: Numbers) -> Part:
    """Return a part whose values are of every design, also where all share them."""
    shape = len(numbers.lost), part.values.shape[1]
    if part.values.shape == shape:
        return part
    return replace(part, values=np.broadcast_to(part.values, shape))


def _held(
    rule: Rule, quantity: Quantity, part: Part, states: _Seen, configuration: Configuration
) -> Held | None:
    """Return one rule on one part, or None where it is silent.

    Only states that it looks at are worked on, of shape (L, B): designs last in memory.
    """
    looked = states.by(rule)
    if not looked.states.size:
        return None
    grave = looked.grave
    limit, standing = _limit(rule, quantity, part, configuration)
    may_fail = standing in MAY_FAIL and not part.assumed and bool(grave.any())
    values = part.values.T[looked.states]
    limits = np.asarray(limit, float)
    if limits.ndim:
        limits = np.broadcast_to(limits, part.values.shape).T[looked.states]
    over = (1.0 if rule.relation == "at most" else -1.0) * (values - limits)
    known = ~np.isnan(over)
    broken = over > (-SLACK if rule.strict else SLACK)
    watched, decides, failed = broken.any(axis=0), known, np.zeros(over.shape[1], bool)
    if may_fail:
        if rule.broken_in == "all":
            failed = (broken | ~known)[grave].all(axis=0) & known[grave].any(axis=0)
        else:
            failed = broken[grave].any(axis=0)
        watched &= ~failed
        decides = known & (watched | grave[:, None])
    near = _near_worst(np.where(decides, over, -np.inf), values, known)
    row, design = np.argmax(near, axis=0), np.arange(over.shape[1])
    return Held(
        rule=rule,
        part=part,
        quantity=quantity,
        standing=standing,
        may_fail=may_fail,
        verdict=np.where(failed, FAILS, np.where(watched, WATCH, PASSES)),
        state=looked.states[row],
        value=values[row, design],
        limit=limits[row, design] if limits.ndim else np.full(len(row), limits),
        over=over[row, design],
        short=_short(rule, over, known & grave[:, None]) if may_fail else over[row, design],
    )


def _short(rule: Rule, over: Array, where: Marks) -> Array:
    """Return how far a value is beyond its limit in the states in which it may fail, (B,)."""
    if rule.broken_in == "all":
        far = over.min(axis=0, initial=np.inf, where=where)
    else:
        far = over.max(axis=0, initial=-np.inf, where=where)
    return np.where(np.isfinite(far), far, np.nan)


def _near_worst(over: Array, values: Array, known: Marks) -> Marks:
    """Return which states are as far over as the furthest, or nearly so, (L, B)."""
    top = over.max(axis=0)
    scale = np.abs(values).max(axis=0, initial=0.0, where=known)
    return np.asarray(over >= top - EQUAL * np.where(np.isfinite(top), scale, 0.0))


def _limit(
    rule: Rule, quantity: Quantity, part: Part, configuration: Configuration
) -> tuple[Array | float, Standing]:
    """Return the limit in the unit of the quantity, and its standing."""
    limits = configuration.limits
    written = rule.setting in limits.set_by_shop
    if part.limit is not None:
        return part.limit, "shop" if part.own or written else rule.standing
    set_here = getattr(limits, rule.setting) if rule.setting and written else None
    if set_here is not None:
        return set_here / READERS["metric"][quantity.unit].size, "shop"
    assert rule.limit is not None, f'rule "{rule.id}" has no limit'
    return rule.limit, rule.standing


def over_in_states(held: Held) -> tuple[Array, tuple[State, ...]]:
    """Return how far each design is beyond the limit in every state that counts.

    Those in which it may fail; of a rule that only watches, all that it looks at.

    Args:
        held: One rule on one part, with states.

    Returns:
        In the unit of the quantity, negative where it keeps the limit, NaN where it is not known,
        (B, L); and the L states.
    """
    rule = held.rule
    places = rule.fails_in if held.may_fail else (*rule.fails_in, *rule.watches_in)
    grave = [n for n, s in enumerate(held.part.states) if s.situation in places]
    values = held.part.values[:, grave]
    limit = held.limit[:, None] if held.part.limit is None else np.asarray(held.part.limit)
    if limit.ndim == 2 and limit.shape[1] > 1:
        limit = np.broadcast_to(limit, held.part.values.shape)[:, grave]
    over = (1.0 if held.rule.relation == "at most" else -1.0) * (values - limit)
    return over, tuple(held.part.states[n] for n in grave)


def in_state(held: Held, state: State | None) -> Array:
    """Return the values of all designs in one state, (B,).

    Args:
        held: One rule on one part.
        state: One of the part's states; None where no state changes the value.
    """
    column = 0 if state is None else held.part.states.index(state)
    return np.asarray(held.part.values[:, column])


def decided_in(held: Held, state: State) -> Held:
    """Return the same with one of the part's states as that which decides in every design."""
    column = held.part.states.index(state)
    limit = held.limit if held.part.limit is None else np.asarray(held.part.limit)
    if limit.ndim == 2:
        limit = np.broadcast_to(limit, held.part.values.shape)[:, column]
    value = held.part.values[:, column]
    over = (1.0 if held.rule.relation == "at most" else -1.0) * (value - limit)
    number = np.full(len(value), column)
    return replace(
        held, state=number, value=value, limit=np.broadcast_to(limit, value.shape), over=over
    )


def shown_beside(held: Held) -> list[tuple[State, float]]:
    """Return the worst state of the first design among those that are only shown, if any."""
    marks = [state.situation in held.rule.shows_in for state in held.part.states]
    if not any(marks):
        return []
    states = [state for state, mark in zip(held.part.states, marks, strict=True) if mark]
    values = held.part.values[0, marks]
    sign = 1.0 if held.rule.relation == "at most" else -1.0
    if np.isnan(values).all():
        return []
    worst = int(np.nanargmax(sign * values))
    return [(states[worst], float(values[worst]))]
