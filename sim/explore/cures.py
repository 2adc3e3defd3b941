"""Cures: changes that were carried out in the model, judged by every rule, and hold.

First one plan for all findings that fail or may fail; then, for each of them, the smallest part of
that plan that cures it by itself.  So cures printed side by side add up: all of them together are
the plan, and that was carried out too.  Where no plan cures all, they are taken in their order,
each on top of those before; and then a plan is looked for that cures all but leaves more to watch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sim.explore.cures_before import Key, asking, key_of
from sim.explore.cures_lines import replaced
from sim.explore.cures_plan import Plans, Trials
from sim.explore.cures_search import Plan
from sim.judge.findings import Cure, Findings


def with_cures(findings: Findings, trials: Trials) -> Findings:
    """Return findings with what would cure those that fail or may fail.

    Args:
        findings: As weighed.
        trials: What changed designs come to.

    Returns:
        The same findings in the same order; with cures that hold, or with what was tried and with
        the nearest that cures but leaves more to watch, if any; and what is found once they are
        carried out.  What samples say nothing of, as contact, has none of these: no change is
        sought for it.
    """
    asked = asking(findings)
    if not asked:
        return findings
    advice = _Advice(findings, trials)
    targets = [key_of(finding) for finding in asked]
    cured = advice.cures(targets)
    nearest = None if cured.keys() >= set(targets) else advice.nearest(targets)
    if nearest and not nearest.leaves:  # it holds after all: the second look goes farther
        cured, nearest = dict.fromkeys(targets, nearest), None
    said: dict[Key, dict[str, Any]] = {
        key: {"tried": tried, "nearest": nearest} for key, tried in advice.tried().items()
    }
    said |= {key: {"cures": (cure,)} for key, cure in cured.items()}
    return replace(
        findings,
        after=advice.after,
        findings=tuple(
            replace(f, **said.get(key_of(f), {})) if f in asked else f for f in findings.findings
        ),
    )


class _Advice:
    """The advice on one configuration, as far as it was worked out.

    Attributes:
        after: The findings once what cures all was carried out, or None.
    """

    def __init__(self, findings: Findings, trials: Trials) -> None:
        self.design, self.plans = trials.design, Plans.of(findings, trials)
        self.after: Findings | None = None

    def tried(self) -> dict[Key, tuple[str, ...]]:
        """Return for every finding the names of what was tried and changes it at all."""
        search, found = self.plans.search, {}
        changes = search.changing()
        for column, key in enumerate(self.plans.trials.keys):
            levers = (
                one for one, does in zip(search.levers, changes[:, column], strict=True) if does
            )
            found[key] = tuple(dict.fromkeys(lever.tried for lever in levers))
        return found

    def cures(self, targets: Sequence[Key]) -> dict[Key, Cure]:
        """Return a cure for every target that has one."""
        hopeful = self.plans.hopeful(targets)
        plan = self.plans.for_all(hopeful) if hopeful else None
        if plan is None and len(hopeful) > 1:
            hopeful, plan = self.plans.one_by_one(hopeful)
        if plan is None:
            return {}
        plan = self.plans.least_part(plan, hopeful)
        if len(hopeful) == len(targets):
            self.after = self.plans.outcome(plan)
        parts = self.plans.least_parts(plan, hopeful)
        if set().union(*parts.values()) != set(plan):  # side by side they would not be the plan
            parts = dict.fromkeys(hopeful, plan)
        alike = {part: [t for t in hopeful if parts[t] == part] for part in parts.values()}
        cures = {part: self._cure(part, targets) for part, targets in alike.items()}
        return {target: cures[part] for target, part in parts.items()}

    def nearest(self, targets: Sequence[Key]) -> Cure | None:
        """Return what cures all targets if more may be left to watch, or None."""
        plans = self.plans.that_may_leave_a_watch()
        if plans.hopeful(targets) != list(targets):
            return None
        plan = plans.for_all(targets)
        if plan is None:
            return None
        self.after = plans.outcome(plan)
        return self._cure(plan, targets, leaves=plans.left_by(plan))

    def _cure(self, plan: Plan, targets: Sequence[Key], leaves: str = "") -> Cure:
        """Return a plan in words and lines; words say which part only spares a watch."""
        levers, changes = self.plans.search.levers, self.plans.lines(plan)
        parts, does = [], [levers[i].says[k] for i, k in plan]
        for one, what in zip(plan, does, strict=True):
            spared = self.plans.spared_by(plan, one, targets)
            only = f" (without it, to watch: {spared})" if spared else ""
            parts.append(f"{what}{only}")
        said, told = "; ".join(parts), "; ".join(replaced(self.design, changes))
        return Cure(
            does=" and ".join(does),
            says=f"{said[0].upper()}{said[1:]}{f' ({told})' if told else ''}.",
            changes=changes,
            limits_use=any(levers[i].limits_use for i, _ in plan),
            leaves=leaves,
        )
