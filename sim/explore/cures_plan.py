"""Plans: the least changes that cure some findings, looked at, sampled, and carried out.

A look as read, then a few samples, say which plans are worth carrying out; only what was carried
out and judged by every rule holds.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.explore.cures_before import LOST, PASSES, TOLD, WATCH, Before, Key
from sim.explore.cures_changes import signed
from sim.explore.cures_lever import Lever
from sim.explore.cures_lines import carried_out, lines
from sim.explore.cures_search import Plan, Search
from sim.judge.findings import Findings
from sim.judge.judge import rank
from sim.scene.parts import Design

Array = NDArray[np.float64]
LOOSE = 0.5  # standard deviations of room that make a change worth sampling
WISHED = 2.0  # the same that is looked for
ROOM = 1.65  # the same once they are known near the change: 95 % of a normal distribution
RISK, OFTEN = 0.08, 0.5  # shares of a few samples: that may fail at most, that had better pass
CALM = 0.04  # share that may fail of what is carried out first
HOPELESS = 0.7  # share of the way to enough room that two changes must promise
DOZEN, CARRIED_OUT = 6, 2  # changes sampled together; those of as many levers that are carried out
WORSE = 0.1  # standard deviations of room that it may lose among what is searched


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shares:
    """What a few samples of a changed design come to.

    Attributes:
        passes, fails: Share of the samples in which findings pass, and fail, shape (F,).
        spread: Standard deviation of their values, over that of the design as it was read, (F,).
    """

    passes: Array
    fails: Array
    spread: Array


class Trials(Protocol):
    """What changed designs come to.

    Attributes:
        design: As it was read.
        levers: What can be changed about it.
        keys: Rule and part of every finding, F of them.
        start: Standard deviations between value and limit as it was read, shape (F,).
        may_fail: Whether the rule can fail at all, shape (F,).
    """

    design: Design
    levers: tuple[Lever, ...]
    keys: tuple[Key, ...]
    start: Array
    may_fail: NDArray[np.bool_]

    def look(self, values: Mapping[str, Array], rows: int) -> Array:
        """Return the standard deviations between value and limit of some designs, (rows, F)."""

    def shares(self, changes: Sequence[Mapping[str, float]]) -> Sequence[Shares]:
        """Return what a few samples of every changed design come to."""

    def carry_out(self, designs: Sequence[Design]) -> Sequence[Findings | None]:
        """Return the findings on designs, as on ones that were read; None where one cannot be."""


@dataclass(slots=True, eq=False)
class Plans:
    """Plans for the findings on one design.

    Attributes:
        trials: What changed designs come to.
        before: How findings stand without a change.
        search: Rows that were looked at.
        floor: What may become of findings that pass: nothing else, or at worst worth watching.
        shares: What a few samples of rows come to.
        outcomes: What came of plans that were carried out; None where the parts cannot go there.
    """

    trials: Trials
    before: Before
    search: Search
    floor: int = PASSES
    shares: dict[int, Shares] = field(default_factory=dict)
    outcomes: dict[Plan, Findings | None] = field(default_factory=dict)

    @classmethod
    def of(cls, findings: Findings, trials: Trials) -> Plans:
        """Return the plans for findings; none was looked at yet."""
        levers = trials.levers
        base = {path: signed(trials.design, path) for lever in levers for path in lever.values}
        search = Search(levers=levers, base=base, look=trials.look, start=trials.start)
        return cls(trials, Before(findings), search)

    def that_may_leave_a_watch(self) -> Plans:
        """Return plans that may make worth watching what passed; what is known is shared."""
        return replace(self, floor=WATCH)

    def hopeful(self, targets: Sequence[Key]) -> list[Key]:
        """Return the targets that two changes may bring near enough."""
        wish = np.full(len(self.trials.keys), ROOM)
        promise = dict(zip(self.trials.keys, self.search.promise(wish).tolist(), strict=True))
        return [target for target in targets if promise.get(target, 0.0) >= HOPELESS]

    def for_all(self, targets: Sequence[Key]) -> Plan | None:
        """Return the least plan that was carried out and cures all targets, or None."""
        need = self._need(targets, LOOSE)
        for rows in self.search.holding(need, self._need(targets, WISHED)):
            for row in self._first(self._likely(rows, need, targets), targets):
                return self.search.plans[row]
        return None

    def one_by_one(self, targets: Sequence[Key]) -> tuple[list[Key], Plan | None]:
        """Return the targets that can be cured, each with all before it, and the plan for them.

        A few samples say which; only where their word does not hold is every step carried out.
        """
        for careful in (False, True):
            cured: list[Key] = []
            rows: list[int] = []
            for target in targets:
                asked = [*cured, target]
                need = self._need(asked, LOOSE)
                likely = self._likely(self.search.known(need), need, asked)
                if careful:
                    likely = self._first(likely, asked)
                if likely:
                    cured, rows = asked, likely
            for row in self._first(rows, cured):
                return cured, self.search.plans[row]
        return [], None

    def least_part(self, plan: Plan, targets: Sequence[Key]) -> Plan:
        """Return the smallest part of a plan that cures some targets by itself."""
        likely = self._likely_parts(plan, targets)
        return next((part for part in likely if self._holds(part, targets)), plan)

    def least_parts(self, plan: Plan, targets: Sequence[Key]) -> dict[Key, Plan]:
        """Return for every target the smallest part of a plan that cures it by itself."""
        first = {t: next(iter(self._likely_parts(plan, [t])), plan) for t in targets}
        less = [(_less(part, one), target) for target, part in first.items() for one in part]
        self._carry_out([*first.values(), *(p for p, t in less if self._may_spare(p, [t]))])
        return {target: self.least_part(plan, [target]) for target in targets}

    def spared_by(self, plan: Plan, one: tuple[int, int], targets: Sequence[Key]) -> str:
        """Return what one change of a plan keeps from being watched, in words.

        Nothing, "", where the plan does not cure all targets without it.
        """
        less = _less(plan, one)
        outcome = self.outcome(less) if self._may_spare(less, targets) else None
        if outcome is None or not self.before.cured_by(outcome, targets):
            return ""
        watched = all(rank(finding)[0] == WATCH for finding in self.before.worse(outcome))
        return self.left_by(less) if watched else ""

    def left_by(self, plan: Plan) -> str:
        """Return what a plan that can be carried out makes worse, in words; "" for nothing."""
        outcome = self.outcome(plan)
        worse = self.before.worse(outcome) if outcome else []
        return ", ".join(dict.fromkeys(f"{f.what[:1].lower()}{f.what[1:]}" for f in worse))

    def outcome(self, plan: Plan) -> Findings | None:
        """Return the findings once a plan was carried out; None if the parts cannot go there."""
        self._carry_out([plan])
        return self.outcomes[plan]

    def lines(self, plan: Plan) -> tuple[str, ...]:
        """Return a plan as lines of the scene."""
        return lines(self.trials.design, self.search.values(plan))

    def _likely_parts(self, plan: Plan, targets: Sequence[Key]) -> list[Plan]:
        """Return the parts of a plan that cure targets in a few samples, the smallest first."""
        parts = [part for count in range(1, len(plan)) for part in combinations(plan, count)]
        rows = self._sampled(self.search.rows(parts), targets)
        return [self.search.plans[row] for row in rows]

    def _may_spare(self, plan: Plan, targets: Sequence[Key]) -> bool:
        """Say whether a few samples of a plan cure the targets, but leave more to watch."""
        if not plan:
            return False
        (row,) = self.search.rows([plan])
        self._sampled([row], targets)
        watch = ((self._ranks == PASSES) & (self.shares[row].passes < OFTEN + RISK)).any()
        return bool(watch) and self._rarely_fails(row, targets)

    def _first(self, rows: list[int], targets: Sequence[Key]) -> list[int]:
        """Return the first row that holds when it is carried out, or none."""
        counts = Counter[int]()
        for row in rows:
            plan = self.search.plans[row]
            counts[len(plan)] += 1
            if counts[len(plan)] <= CARRIED_OUT and self._holds(plan, targets):
                return [row]
        return []

    def _likely(self, rows: list[int], need: Array, targets: Sequence[Key]) -> list[int]:
        """Return the rows that hold in a few samples, the fewest levers first.

        Among these come first those whose targets pass everywhere, not only where they may fail.
        Those with most room are sampled first.  What the samples there spread by says how much
        room is enough, and so which change is the least that may hold.
        """
        rooms = self.search.rooms
        good = self._sampled(
            sorted(rows, key=lambda row: -float((rooms[row] - need).min()))[:DOZEN], targets
        )
        if good:
            best = min(good, key=self.search.cost)
            room = np.where(self._are(targets), ROOM * self.shares[best].spread, need)
            enough = [row for row in rows[: rows.index(best)] if (rooms[row] >= room).all()]
            good = [*self._sampled(enough[:DOZEN], targets), *good]
        return sorted(good, key=lambda row: (self._doubt(row, targets), self.search.cost(row)))

    def _doubt(self, row: int, targets: Sequence[Key]) -> tuple[int, int, bool, float]:
        """Return levers, what they leave to watch, a target too?, and what fails (0: calm)."""
        shares, are = self.shares[row], self._are(targets)
        fails, passes = float(shares.fails[are].max()), float(shares.passes[are].min())
        watch = int((self._may_sink & (shares.passes < OFTEN)).sum())
        return len(self.search.plans[row]), watch, passes < OFTEN, 0.0 if fails <= CALM else fails

    def _sampled(self, rows: Sequence[int], targets: Sequence[Key]) -> list[int]:
        """Return the rows that hold in a few samples, in their order."""
        new = [row for row in rows if row not in self.shares]
        if new:
            plans = (self.search.plans[row] for row in new)
            found = self.trials.shares([self.search.values(plan) for plan in plans])
            self.shares |= dict(zip(new, found, strict=True))
        return [row for row in rows if self._bearable(row, targets)]

    def _need(self, targets: Sequence[Key], room: float) -> Array:
        """Return the room that every finding needs, as much as now where that is less, (F,)."""
        least = np.minimum(self.trials.start, room * self.trials.may_fail)
        least = np.where(self._may_sink, -np.inf, least)
        failing = np.where(self._ranks <= TOLD, self.trials.start - WORSE, -np.inf)
        kept = np.where(self._ranks == PASSES, least, failing)
        return np.where(self._are(targets), room, kept)

    @property
    def _ranks(self) -> NDArray[np.int64]:
        """How findings stand without a change, (F,)."""
        return self.before.ranks(self.trials.keys)

    @property
    def _may_sink(self) -> NDArray[np.bool_]:
        """Which findings may come to be worth watching, (F,)."""
        watched = (self._ranks == PASSES) & ~self.trials.may_fail
        return np.asarray(watched & (self.floor < PASSES))

    def _are(self, targets: Sequence[Key]) -> NDArray[np.bool_]:
        """Say which findings are targets, (F,)."""
        return np.array([key in targets for key in self.trials.keys])

    def _bearable(self, row: int, targets: Sequence[Key]) -> bool:
        """Say whether a row cures the targets in its samples and makes nothing worse."""
        left = (self._ranks < PASSES) | self._may_sink
        keeps = (self.search.rooms[row] >= 0) | (left & ~self._are(targets))
        return bool(keeps.all()) and self._rarely_fails(row, targets)

    def _rarely_fails(self, row: int, targets: Sequence[Key]) -> bool:
        """Say whether no target fails in the samples of a row, and nothing else more than now."""
        chance = np.array([self.before.chance.get(key, 1.0) for key in self.trials.keys])
        left = np.where(self._ranks == TOLD, 1 - chance + 2 * LOST, 1.0)
        risk = np.where((self._ranks >= WATCH) | self._are(targets), RISK, left)
        return bool((self.shares[row].fails <= risk).all())

    def _holds(self, plan: Plan, targets: Sequence[Key]) -> bool:
        """Say whether a plan, carried out, cures all targets and makes nothing else worse."""
        outcome = self.outcome(plan)
        if outcome is None or any(rank(f)[0] < self.floor for f in self.before.worse(outcome)):
            return False
        return self.before.cured_by(outcome, targets)

    def _carry_out(self, plans: Sequence[Plan]) -> None:
        """Carry plans out that were not yet, side by side."""
        new = [plan for plan in dict.fromkeys(plans) if plan not in self.outcomes]
        changed = [carried_out(self.trials.design, self.lines(plan)) for plan in new]
        self.outcomes |= zip(new, self.trials.carry_out(changed), strict=True)


def _less(plan: Plan, one: tuple[int, int]) -> Plan:
    """Return a plan without one of its changes."""
    return tuple(other for other in plan if other != one)
