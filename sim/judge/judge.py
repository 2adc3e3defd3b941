"""``judge``: measurements against a rule set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sim.judge.findings import Finding, Findings, OtherSet, Shown, Standing, Verdict
from sim.judge.hold import FAILS, PASSES, WATCH, Held, hold, shown_beside
from sim.judge.notes import notes_on
from sim.judge.rule import MAY_FAIL, Rule, RuleSet
from sim.judge.rules import load_rules, rule_sets
from sim.measure.measurements import Measurements
from sim.measure.numbers import Numbers

ORDER: dict[Verdict, int] = {"fails": 0, "cannot be told": 1, "watch": 2, "passes": 3}
VERDICTS: dict[int, Verdict] = {FAILS: "fails", WATCH: "watch", PASSES: "passes"}


def judge(measurements: Measurements, rules: RuleSet | str = "two-piece service") -> Findings:
    """Return what a rule set says about a configuration, and one line on every other set.

    Only a published limit, one that the shop wrote itself, or a physical contradiction can fail;
    any other gives at most "watch".

    Args:
        measurements: From ``measure``.
        rules: From ``load_rules``, or the name of a set that comes with the program.

    Returns:
        Findings worst first: one for every rule and part, in the state that decides.

    Raises:
        DomainError: If there is no such set.
    """
    chosen_set = load_rules(rules) if isinstance(rules, str) else rules
    mine = set(chosen_set.rules)
    others = [load_rules(name) for name in rule_sets() if name != chosen_set.name]
    others = [other for other in others if not set(other.rules) <= mine]
    found = _by_rule(measurements.numbers, [chosen_set, *others])
    chosen = _findings(found, chosen_set)
    return Findings(
        configuration=measurements.configuration.name,
        rule_set=chosen_set.name,
        findings=chosen,
        other_sets=tuple(
            _other(other.name, _findings(found, other), chosen_set.name, chosen) for other in others
        ),
        notes=notes_on(measurements, chosen_set),
    )


def judge_numbers(numbers: Numbers, rules: RuleSet) -> Findings:
    """Return what a rule set says about the numbers of one design; no notes, no other sets.

    Args:
        numbers: Of one design in the whole sweep, deep ones and ``near`` among them.
        rules: From ``load_rules``.

    Returns:
        The findings that ``judge`` gives.
    """
    return Findings(
        configuration=numbers.configuration.name,
        rule_set=rules.name,
        findings=_findings(_by_rule(numbers, [rules]), rules),
        other_sets=(),
    )


def rank(finding: Finding) -> tuple[int, float]:
    """Return where a finding stands in the order of findings: worst first."""
    soft = finding.verdict == "cannot be told" and finding.at_worst != "fails"
    return ORDER["watch" if soft else finding.verdict], -finding.severity


def in_order(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return findings worst first, those of one cause under the gravest of them.

    Args:
        findings: One for every rule and part.

    Returns:
        The same; each that stands under another right behind it.
    """
    ranked = sorted((replace(f, under="") if f.under else f for f in findings), key=rank)
    leads: dict[tuple[object, ...], list[Finding]] = {}
    for number, finding in enumerate(ranked):
        alone = finding.verdict == "passes"
        key = (number,) if alone else (finding.cause, finding.group or finding.where)
        group = leads.setdefault(key, [])
        group.append(replace(finding, under=group[0].rule) if group else finding)
    return tuple(finding for group in leads.values() for finding in group)


def _by_rule(numbers: Numbers, sets: Sequence[RuleSet]) -> dict[Rule, list[Finding]]:
    """Return the findings of every rule that stands in any of some sets."""
    rules = dict.fromkeys(rule for one in sets for rule in one.rules)
    found: dict[Rule, list[Finding]] = {rule: [] for rule in rules}
    for held in _nearest(hold(rules, numbers)):
        if not np.isnan(held.value[0]):
            found[held.rule].append(finding_of(held))
    return found


def _findings(found: dict[Rule, list[Finding]], rules: RuleSet) -> tuple[Finding, ...]:
    """Return the findings of one set, worst first."""
    return in_order([finding for rule in rules.rules for finding in found[rule]])


def _nearest(held: Sequence[Held]) -> list[Held]:
    """Return what is held, of clearances only the part that comes out worst at each obstacle."""
    worst: dict[tuple[Rule, str], Held] = {}
    for one in held:
        where = one.part.where
        key = (one.rule, where.other if where.kind == "clearance" else str(where))
        best = worst.setdefault(key, one)
        if _grave(one) > _grave(best):
            worst[key] = one
    return list(worst.values())


def _grave(held: Held) -> tuple[int, float]:
    """Return how bad one is, the worse the larger."""
    return int(held.verdict[0]), float(held.over[0])


def finding_of(held: Held) -> Finding:
    """Return what a rule says about a part of the first design.

    Args:
        held: From ``hold``.

    Returns:
        The finding, as if every reading were exact.
    """
    rule, part = held.rule, held.part
    value, limit, over = (float(x[0]) for x in (held.value, held.limit, held.over))
    verdict = VERDICTS[int(held.verdict[0])]
    share = over / (abs(limit) + over) if over > 0 else 0.0
    return Finding(
        rule=rule.id,
        verdict=verdict,
        what=rule.good if verdict == "passes" else rule.bad,
        where=str(part.where),
        part=part.where,
        state=held.state_of(),
        why=part.told(int(held.state[0])) if part.told else part.why,
        at_speed=held.quantity.at_speed,
        value=value,
        limit=limit,
        unit=held.quantity.unit,
        relation=rule.relation,
        source=_source(rule, held.standing),
        standing=held.standing,
        meaning=rule.meaning,
        remedy=part.remedy or rule.remedy,
        severity=rule.severity + 0.9 * share,
        cause=rule.cause,
        group=part.group or str(part.where),
        shown=tuple(Shown(state=state, value=at) for state, at in shown_beside(held)),
        not_sampled=held.quantity.not_sampled,
        at_worst="fails" if held.may_fail else "watch",
        only_watched=_only_watched(held),
    )


def _only_watched(held: Held) -> str:
    """Return why what is held cannot fail in the state that decides, or ""."""
    rule, state = held.rule, held.state_of()
    if held.standing not in MAY_FAIL:
        return f"its limit is not a published one ({held.standing})"
    if held.part.assumed:
        return "its size is assumed"
    if not rule.fails_in:
        return "it is advice in every situation"
    if state is None or state.situation in rule.fails_in:
        apart = rule.broken_in == "all" and held.verdict[0] == WATCH
        return f"it fails only where all of {', '.join(rule.fails_in)} break it" if apart else ""
    return (
        f"it is judged in the situations {', '.join(rule.fails_in)}; this one is {state.situation}"
    )


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
