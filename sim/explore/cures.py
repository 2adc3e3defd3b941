"""Cures: changes that were carried out in the model, judged by every rule, and hold.

First one plan for all findings that fail or may fail; then, for each of them, the smallest part of
that plan that cures it by itself.  So cures printed side by side add up: all of them together are
the plan, and that was carried out too.  Where no plan cures all, they are taken in their order,
each on top of those before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.explore.cures_changes import levers_of, signed
from sim.explore.cures_lines import carried_out, lines
from sim.explore.cures_search import Plan, Search
from sim.judge.findings import Cure, Finding, Findings
from sim.judge.judge import rank
from sim.judge.sureness import OPEN
from sim.scene.parts import Design

Array = NDArray[np.float64]
Key = tuple[str, str]  # rule and part

LOOSE = 0.5  # standard deviations of room that make a change worth sampling
WISHED = 2.0  # the same that is looked for
ROOM = 1.65  # the same once they are known near the change: 95 % of a normal distribution
SURE, RISK = 0.96, 0.045  # shares of a few samples: that pass, of a cured finding; that may fail
DOZEN, CARRIED_OUT = 12, 2  # changes sampled together; changes of one width that are carried out
TOLD, WATCH, PASSES = 1, 2, 3  # ranks: what cannot be told, what is worth watching, what passes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shares:
    """What a few samples of C changed designs come to.

    Attributes:
        passes, fails: Share of the samples in which findings pass, and fail, shape (C, F).
        spread: Standard deviation of their values, over that of the design as it was read, (C, F).
    """

    passes: Array
    fails: Array
    spread: Array


class Trials(Protocol):
    """What changed designs come to.

    Attributes:
        design: As it was read.
        keys: Rule and part of every finding, F of them.
        start: Standard deviations between value and limit as it was read, shape (F,).
        may_fail: Whether the rule can fail at all, shape (F,).
    """

    design: Design
    keys: tuple[Key, ...]
    start: Array
    may_fail: NDArray[np.bool_]

    def look(self, values: Mapping[str, Array], rows: int) -> Array:
        """Return the standard deviations between value and limit of some designs, (rows, F)."""

    def shares(self, changes: Sequence[Mapping[str, float]]) -> Shares:
        """Return what a few samples of every changed design come to."""

    def carry_out(self, design: Design) -> Findings:
        """Return the findings on a design: solved, measured, judged and weighed as ever."""


def with_cures(findings: Findings, trials: Trials) -> Findings:
    """Return findings with what would cure those that fail or may fail.

    Args:
        findings: As weighed.
        trials: What changed designs come to.

    Returns:
        The same findings in the same order; with cures that hold, or with what was tried.
    """
    asked = [f for f in findings.findings if rank(f)[0] <= TOLD]
    if not asked or any(f.rule == "contradiction" for f in asked):
        return findings
    advice = _Advice(findings, trials)
    cured = advice.cures([_key(finding) for finding in asked])
    tried = advice.tried()
    return replace(
        findings,
        findings=tuple(
            f
            if f not in asked
            else replace(f, cures=(cured[_key(f)],))
            if _key(f) in cured
            else replace(f, tried=tried)
            for f in findings.findings
        ),
    )


def _key(finding: Finding) -> Key:
    return finding.rule, finding.where


def _surely_passes(finding: Finding | None) -> bool:
    """Say whether a finding passes in at least 95 % of the samples; a rule may fall silent."""
    if finding is None:
        return True
    sure = finding.probability is None or finding.probability >= 1 - OPEN
    return finding.verdict == "passes" and sure


class _Advice:
    """The advice on one configuration, as far as it was worked out."""

    def __init__(self, findings: Findings, trials: Trials) -> None:
        self.trials, self.design = trials, trials.design
        self.before = {_key(f): rank(f)[0] for f in findings.findings}
        levers = levers_of(self.design)
        base = {path: signed(self.design, path) for lever in levers for path in lever.values}
        self.search = Search(levers=levers, base=base, look=trials.look, start=trials.start)
        self.outcomes: dict[Plan, Findings] = {}

    def tried(self) -> tuple[str, ...]:
        """Return the names of what was tried."""
        return tuple(lever.tried for lever in self.search.levers)

    def cures(self, targets: Sequence[Key]) -> dict[Key, Cure]:
        """Return a cure for every target that has one."""
        plan = self._plan(targets)
        if plan is None and len(targets) > 1:
            targets, plan = self._one_by_one(targets)
        if plan is None:
            return {}
        return {target: self._cure(self._least(plan, target)) for target in targets}

    def _one_by_one(self, targets: Sequence[Key]) -> tuple[list[Key], Plan | None]:
        """Return the targets that can be cured, each with all before it, and the plan for them."""
        cured: list[Key] = []
        plan: Plan | None = None
        for target in targets:
            found = self._plan([*cured, target])
            if found is not None:
                plan = found
                cured.append(target)
        return cured, plan

    def _plan(self, targets: Sequence[Key]) -> Plan | None:
        """Return the least plan that was carried out and cures all targets, or None."""
        need = self._need(targets, LOOSE)
        for rows in self.search.holding(need, self._need(targets, WISHED)):
            for plan in self._likely(rows, need, targets)[:CARRIED_OUT]:
                if self._holds(plan, targets):
                    return plan
        return None

    def _likely(self, rows: Sequence[int], need: Array, targets: Sequence[Key]) -> list[Plan]:
        """Return the plans of one width that hold in a few samples, the least change first.

        The dozen with most room is sampled first.  What the samples there spread by says how much
        room is enough, and so which change is the least that may hold.
        """
        rooms = self.search.rooms
        roomy = sorted(rows, key=lambda row: -float((rooms[row] - need).min()))[:DOZEN]
        good = self._sampled(roomy, targets)
        if not good:
            return []
        best, spread = good[0]
        asked = np.array([key in targets for key in self.trials.keys])
        enough = [row for row in rows if (rooms[row] >= np.where(asked, ROOM * spread, need)).all()]
        least = self._sampled(
            [row for row in enough if self.search.cost(row) < self.search.cost(best)][:DOZEN],
            targets,
        )
        found = sorted({row for row, _ in (*least, *good)}, key=self.search.cost)
        return [self.search.plans[row] for row in found]

    def _sampled(self, rows: Sequence[int], targets: Sequence[Key]) -> list[tuple[int, Array]]:
        """Return the rows that hold in a few samples, in their order, and what spreads there."""
        if not rows:
            return []
        plans = [self.search.plans[row] for row in rows]
        shares = self.trials.shares([self.search.values(plan) for plan in plans])
        holds = self._bearable(shares, self.search.rooms[list(rows)], targets)
        return [(row, shares.spread[n]) for n, row in enumerate(rows) if holds[n]]

    def _least(self, plan: Plan, target: Key) -> Plan:
        """Return the smallest part of a plan that cures one target by itself."""
        parts = [part for count in range(1, len(plan)) for part in combinations(plan, count)]
        rows = self.search.rows(parts)
        for row, _ in self._sampled(rows, [target]):
            if self._holds(self.search.plans[row], [target]):
                return self.search.plans[row]
        return plan

    def _need(self, targets: Sequence[Key], room: float) -> Array:
        """Return the room that every finding needs, as much as now where that is less, (F,)."""
        least = np.minimum(self.trials.start, room * self.trials.may_fail)
        kept = np.where(self._ranks() == PASSES, least, -np.inf)
        return np.where([key in targets for key in self.trials.keys], room, kept)

    def _ranks(self) -> NDArray[np.int64]:
        """Return how findings stand without a change, (F,)."""
        return np.array([self.before.get(key, PASSES) for key in self.trials.keys])

    def _bearable(self, shares: Shares, rooms: Array, targets: Sequence[Key]) -> NDArray[np.bool_]:
        """Say which rows cure the targets in their samples and make nothing worse, (C,)."""
        before, asked = self._ranks(), np.array([key in targets for key in self.trials.keys])
        risk = np.where(before >= WATCH, RISK, np.where(before == TOLD, 1 - RISK, 1.0))
        cured = ~asked | (shares.passes >= SURE)
        kept = (shares.fails <= risk) & ((before < PASSES) | (rooms >= 0) | (shares.passes >= SURE))
        return np.asarray((cured & (asked | kept)).all(axis=1))

    def _holds(self, plan: Plan, targets: Sequence[Key]) -> bool:
        """Say whether a plan, carried out, cures all targets and makes nothing worse."""
        after = {_key(f): f for f in self._outcome(plan).findings}
        cured = all(_surely_passes(after.get(target)) for target in targets)
        return cured and all(rank(f)[0] >= self.before.get(key, PASSES) for key, f in after.items())

    def _outcome(self, plan: Plan) -> Findings:
        """Return the findings once a plan was carried out."""
        if plan not in self.outcomes:
            changed = carried_out(self.design, self._lines(plan))
            self.outcomes[plan] = self.trials.carry_out(changed)
        return self.outcomes[plan]

    def _lines(self, plan: Plan) -> tuple[str, ...]:
        return lines(self.design, self.search.values(plan))

    def _cure(self, plan: Plan) -> Cure:
        """Return a plan in words and lines."""
        said = "; ".join(self.search.levers[i].says[k] for i, k in plan)
        return Cure(says=f"{said[0].upper()}{said[1:]}.", changes=self._lines(plan))
