"""``judge``: measurements against a named rule set."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.judge.cures import with_cures
from sim.judge.findings import Finding, Findings, OtherSet, Standing, Verdict
from sim.judge.part import Array, Part, States, other_heights, ride_height
from sim.judge.quantities import QUANTITIES
from sim.judge.rules import Rule, rule_sets, rules_of
from sim.measure.measurements import Measurements
from sim.motion.states import State

ORDER: dict[Verdict, int] = {"fails": 0, "cannot be told": 1, "watch": 2, "passes": 3}
MAY_FAIL: tuple[Standing, ...] = ("published", "shop", "physical")
EQUAL = 1e-6  # shares by which values may differ and still count as the same in every state
SLACK = 1e-9  # a value that only rounding holds from its limit keeps it


def judge(measurements: Measurements, rule_set: str = "two-piece service") -> Findings:
    """Return what a rule set says about a configuration, and one line on every other set.

    Only a published limit, one that the shop wrote itself, or a physical contradiction can fail;
    any other gives at most "watch".

    Args:
        measurements: From ``measure``.
        rule_set: Name of the rule set.

    Returns:
        Findings worst first: one for every rule and part, in the state that is worst for it.

    Raises:
        DomainError: If there is no such set.
    """
    chosen = _findings(measurements, rule_set)
    others = tuple(
        _other(name, _findings(measurements, name), rule_set, chosen)
        for name in rule_sets()
        if name != rule_set
    )
    return Findings(
        configuration=measurements.configuration.name,
        rule_set=rule_set,
        findings=with_cures(measurements, chosen),
        other_sets=others,
    )


def rank(finding: Finding) -> tuple[int, float]:
    """Return where a finding stands in the order of findings: worst first."""
    soft = finding.verdict == "cannot be told" and finding.at_worst != "fails"
    return ORDER["watch" if soft else finding.verdict], -finding.severity


def _findings(m: Measurements, rule_set: str) -> tuple[Finding, ...]:
    """Return the findings of one set, worst first."""
    found = [(rule, finding) for rule in rules_of(rule_set) for finding in _apply(m, rule)]
    failed = {(f.rule, f.where) for _, f in found if f.verdict == "fails"}
    kept = [f for rule, f in found if (rule.unless, f.where) not in failed]
    return tuple(sorted(kept, key=rank))


def _apply(m: Measurements, rule: Rule) -> list[Finding]:
    """Return the findings of one rule, one per part.

    Trade rules for standing vehicles are read at ride height; where they hold there, the other
    named heights ("loaded") are looked at too, but no source says that they must hold there.
    """
    here = _look(m, rule, states_of(m, rule))
    if rule.where != "at rest":
        return list(here.values())
    elsewhere = _look(m, rule, other_heights(m))
    softer = {
        where: replace(finding, verdict="watch")
        for where, finding in elsewhere.items()
        if finding.verdict != "passes"
    }
    return [
        softer.get(where, finding) if finding.verdict == "passes" else finding
        for where, finding in here.items()
    ]


def _look(m: Measurements, rule: Rule, states: States) -> dict[str, Finding]:
    """Return what a rule says in some states, by part."""
    parts = QUANTITIES[rule.quantity](m, states)
    return {part.where: _finding(m, rule, part) for part in parts if part.values.size}


def states_of(m: Measurements, rule: Rule) -> States:
    """Return the indices of the states in which a rule applies."""
    if rule.where == "at rest":
        return ride_height(m)
    if rule.where == "running":
        return np.flatnonzero([state.turning for state in m.states])
    return np.arange(len(m.states))


def _finding(m: Measurements, rule: Rule, part: Part) -> Finding:
    """Return what a rule says about a part, in the state that is worst for it."""
    limit, standing = _limit(m, rule, part)
    sign = 1.0 if rule.relation == "at most" else -1.0
    worst = _worst(sign * part.values, part.states)
    value = float(part.values[worst])
    over = sign * (value - limit)
    breaks = over >= 0 if rule.strict else over > SLACK
    may_fail = standing in MAY_FAIL and (rule.worst == "fails" or standing == "shop")
    verdict: Verdict = ("fails" if may_fail else "watch") if breaks else "passes"
    share = over / (abs(limit) + over) if over > 0 else 0.0
    return Finding(
        rule=rule.id,
        verdict=verdict,
        what=rule.bad if breaks else rule.good,
        where=part.where,
        state=part.states[worst],
        at_speed=part.at_speed,
        value=value,
        limit=limit,
        unit=rule.unit,
        relation=rule.relation,
        source=_source(rule, standing),
        standing=standing,
        meaning=rule.meaning,
        remedy=part.remedy or rule.remedy,
        severity=rule.severity + 0.9 * share,
        at_worst="fails" if may_fail else "watch",
    )


def _worst(values: Array, states: tuple[State | None, ...]) -> int:
    """Return the index of the largest value; among equals one at ride height, else the first."""
    equals = np.flatnonzero(values >= values.max() - EQUAL * abs(values.max()))
    at_ride = (i for i in equals if (s := states[i]) is not None and s.height == "ride height")
    return int(next(at_ride, equals[0]))


def _limit(m: Measurements, rule: Rule, part: Part) -> tuple[float, Standing]:
    """Return the limit in the unit of the rule, and its standing."""
    if part.limit is not None:
        written = part.own or rule.setting in m.configuration.limits.set_by_shop
        return part.limit, "shop" if written else rule.standing
    if rule.setting == "least_engaged":
        reading = m.configuration.readings.get("spline.least_engaged")
        written = reading is not None and reading.status == "measured"
        value = 1000 * m.configuration.spline.least_engaged
        return value, "shop" if written else rule.standing
    set_here = getattr(m.configuration.limits, rule.setting) if rule.setting else None
    if set_here is None:
        assert rule.limit is not None, f'rule "{rule.id}" has no limit'
        return rule.limit, rule.standing
    scale = {"mm": 1000.0, "deg": 180 / np.pi, "h": 1 / 3600}.get(rule.unit, 1.0)
    written = rule.setting in m.configuration.limits.set_by_shop
    return float(scale * set_here), "shop" if written else rule.standing


def _source(rule: Rule, standing: Standing) -> str:
    """Return the source of a limit; a limit of the shop stands in place of the rule's own."""
    if standing == "shop" and rule.standing != "shop":
        return f"the shop's own limit, in place of: {rule.source}"
    return rule.source


def _other(
    name: str, findings: tuple[Finding, ...], rule_set: str, chosen: tuple[Finding, ...]
) -> OtherSet:
    """Return what another set says, beside what the chosen set says of the same."""
    counts = {verdict: sum(f.verdict == verdict for f in findings) for verdict in ORDER}
    stricter = _beyond(findings, chosen)
    return OtherSet(
        name=name,
        chosen=rule_set,
        fails=counts["fails"],
        watch=counts["watch"],
        passes=counts["passes"],
        stricter=stricter,
        milder=_beyond(chosen, findings) if stricter is None else None,
    )


def _beyond(findings: tuple[Finding, ...], than: tuple[Finding, ...]) -> Finding | None:
    """Return the first finding whose verdict is worse than any on the same value, or None."""
    worst: dict[tuple[str, str, str], int] = {}
    for f in than:
        key = (f.where, f.unit, f.relation)
        worst[key] = min(worst.get(key, ORDER["passes"]), ORDER[f.verdict])
    for f in findings:
        if ORDER[f.verdict] < worst.get((f.where, f.unit, f.relation), ORDER["passes"]):
            return f
    return None
