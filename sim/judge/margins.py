"""How far findings are beyond their limits, sample by sample; and which states decide that."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.judge.findings import Finding, Findings
from sim.judge.judge import states_of
from sim.judge.part import Array, other_heights
from sim.judge.rules import Rule, rules_of
from sim.judge.sampled_quantities import Sampled, at_ride_height, in_samples, sampled_parts
from sim.measure.measurements import Measurements
from sim.measure.spread import MOST_STATES, Spread, Values
from sim.motion.states import State

NEAR = 0.5e-3  # [m]; a state so near stands for the travel between


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Margin:
    """How far one finding is beyond its limit, in the unit of its rule; positive where broken.

    Attributes:
        here: In the states in which the rule applies, shape (n,).
        elsewhere: At the scene's own named heights, where a rule for standing vehicles gives at
            most "watch", shape (n,); None where it does not look there.
        rival: The worst state at those heights in the first sample, or None.
    """

    here: Array
    elsewhere: Array | None = None
    rival: State | None = None

    @property
    def over(self) -> Array:
        """The worse of both, shape (n,)."""
        return self.here if self.elsewhere is None else np.maximum(self.here, self.elsewhere)


def states_to_sample(measurements: Measurements, findings: Findings) -> tuple[State, ...]:
    """Return the states whose samples decide: the worst of every finding, and named heights.

    Args:
        measurements: As the readings stand.
        findings: What was found in them.

    Returns:
        Ride height at rest first, then the worst states of findings, those between two states
        where the spline comes closest to its ends, and the named ones; at most 25.
    """
    states = measurements.states
    ride = [s for s in states if s.height == "ride height" and not s.roll]
    told = {finding.state for finding in findings.findings}
    worst = [s for s in states if s in told]
    between = [
        replace(state, height="", travel=travel)
        for limit in measurements.slip_limits
        for travel in (limit.least_gap_travel, limit.least_engaged_travel)
        for state in [s for s in states if s.case == limit.case and not s.roll and s.turning][:1]
        if not any(s.case == limit.case and abs(s.travel - travel) < NEAR for s in states)
    ]
    told_at = {(s.case, s.travel) for s in told if s is not None}
    between = [state for state in between if (state.case, state.travel) in told_at]
    named = [state for state in states if state.height]
    return tuple(dict.fromkeys([*ride[:1], *worst, *between, *named]))[:MOST_STATES]


def margins_of(
    findings: Findings, measurements: Measurements, spread: Spread, values: Values
) -> dict[int, Margin]:
    """Return how far findings are beyond their limits, by their numbers.

    Args:
        findings: As the readings stand.
        measurements: As the readings stand.
        spread: Gives the states.
        values: Samples in these states.

    Returns:
        Margins of all findings whose quantity can be sampled.
    """
    every = in_samples(measurements, spread.states, values)
    still = at_ride_height(values)
    at_rest = in_samples(measurements, spread.states[:1], still)
    found: dict[tuple[str, str], Margin] = {}
    by_key = {(f.rule, f.where): f for f in findings.findings}
    alone = {f.rule: f for f in findings.findings}
    for rule in rules_of(findings.rule_set):
        if rule.id not in alone:
            continue
        m, v = (at_rest, still) if rule.where == "at rest" else (every, values)
        here = {p.where: p for p in sampled_parts(rule.quantity, m, v, states_of(m, rule))}
        others = _elsewhere(rule, every, values)
        for where, part in here.items():
            finding = by_key.get((rule.id, where)) or (alone[rule.id] if where == "" else None)
            if finding is not None and finding.limit is not None:
                margin = Margin(here=_over(finding, part).max(axis=0))
                if where in others:
                    margin = _beside(margin, _over(finding, others[where]), every)
                found[rule.id, finding.where] = margin
    return {
        number: found[f.rule, f.where]
        for number, f in enumerate(findings.findings)
        if (f.rule, f.where) in found
    }


def _elsewhere(rule: Rule, m: Measurements, values: Values) -> dict[str, Sampled]:
    """Return the parts at the scene's own named heights, for rules that are read at rest."""
    states = other_heights(m)
    if rule.where != "at rest" or not states.size:
        return {}
    return {p.where: p for p in sampled_parts(rule.quantity, m, values, states)}


def _beside(margin: Margin, over: Array, m: Measurements) -> Margin:
    """Return a margin that looks at other heights too, (L, n)."""
    worst = other_heights(m)[int(np.argmax(over[:, 0]))]
    return replace(margin, elsewhere=over.max(axis=0), rival=m.states[worst])


def _over(finding: Finding, part: Sampled) -> Array:
    """Return how far a part is beyond the limit of a finding, (L, n)."""
    sign = 1.0 if finding.relation == "at most" else -1.0
    limit = np.asarray(finding.limit if part.limit is None else part.limit, float)
    return np.asarray(sign * (part.values - limit))
