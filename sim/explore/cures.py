"""Cures: changes that were carried out in the model, judged by every rule, and hold.

First one plan for all findings that fail or may fail; then, for each of them, the smallest part of
that plan that cures it by itself.  So cures printed side by side add up: all of them together are
the plan, and that was carried out too.  Where no plan cures all, they are taken in their order,
each on top of those before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.explore.cures_changes import levers_of, signed
from sim.explore.cures_lines import carried_out, lines
from sim.explore.cures_search import Plan, Search
from sim.judge.findings import Cure, Finding, Findings
from sim.judge.judge import rank
from sim.scene.parts import Design

Array = NDArray[np.float64]
Key = tuple[str, str]  # rule and part

ENOUGH = 1.4  # standard deviations of room of a cured finding that are worth sampling
KEPT = 1.7  # the same of a finding that passes as it is: 95 % of a normal distribution, and some
SURE, STILL_SURE = 0.96, 0.955  # share of a few samples in which a cured, another finding passes
DOZEN, CARRIED_OUT = 12, 2  # plans sampled together; plans of one width that are carried out
OPEN, PASSES = 1, 3  # ranks: what may fail, what passes


class Trials(Protocol):
    """What changed designs come to.

    Attributes:
        design: As it was read.
        keys: Rule and part of every finding, F of them.
        start: Standard deviations between value and limit as it was read, shape (F,).
    """

    design: Design
    keys: tuple[Key, ...]
    start: Array

    def look(self, values: Mapping[str, Array], rows: int) -> Array:
        """Return the standard deviations between value and limit of some designs, (rows, F)."""

    def shares(self, changes: Sequence[Mapping[str, float]]) -> Array:
        """Return the share of a few samples in which findings pass, (designs, F)."""

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
    asked = [f for f in findings.findings if rank(f)[0] <= OPEN]
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
        need = self._need(targets)
        for rows in self.search.holding(need):
            roomy = sorted(rows, key=lambda row: -float((self.search.rooms[row] - need).min()))
            for dozen in (rows[:DOZEN], [row for row in roomy[:DOZEN] if row not in rows[:DOZEN]]):
                plans = [self.search.plans[row] for row in dozen]
                for plan in self._likely(plans, targets)[:CARRIED_OUT]:
                    if self._holds(plan, targets):
                        return plan
        return None

    def _least(self, plan: Plan, target: Key) -> Plan:
        """Return the smallest part of a plan that cures one target by itself."""
        parts = [part for count in range(1, len(plan)) for part in combinations(plan, count)]
        for part in self._likely(parts, [target]):
            if self._holds(part, [target]):
                return part
        return plan

    def _need(self, targets: Sequence[Key]) -> Array:
        """Return the room that every finding needs, (F,)."""
        need = []
        for key, start in zip(self.trials.keys, self.trials.start.tolist(), strict=True):
            before = self.before.get(key, PASSES)
            kept = {PASSES: KEPT, OPEN: -KEPT}.get(before, -np.inf)
            need.append(ENOUGH if key in targets else min(kept, start))
        return np.array(need)

    def _likely(self, plans: Sequence[Plan], targets: Sequence[Key]) -> list[Plan]:
        """Return the plans that hold in a few samples, in their order."""
        if not plans:
            return []
        shares = self.trials.shares([self.search.values(plan) for plan in plans])
        asked = np.array([key in targets for key in self.trials.keys])
        passes = np.array([self.before.get(key, PASSES) == PASSES for key in self.trials.keys])
        least = np.where(asked, SURE, np.where(passes, STILL_SURE, 0.0))
        kept = np.minimum(least, np.where(asked, 1.0, self._shares_now()))
        return [plan for plan, share in zip(plans, shares, strict=True) if (share >= kept).all()]

    def _shares_now(self) -> Array:
        """Return the shares of the same samples without a change, (F,)."""
        return np.asarray(self.trials.shares([{}])[0])

    def _holds(self, plan: Plan, targets: Sequence[Key]) -> bool:
        """Say whether a plan, carried out, cures all targets and makes nothing worse."""
        after = {_key(f): rank(f)[0] for f in self._outcome(plan).findings}
        cured = all(after.get(target, PASSES) == PASSES for target in targets)
        return cured and all(now >= self.before.get(key, PASSES) for key, now in after.items())

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
