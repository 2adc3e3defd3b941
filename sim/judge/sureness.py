"""How sure a verdict is: what share of what the readings allow passes, and what to read again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.judge.findings import Finding, Findings, Repeat, Sureness, Swing, Tornado, Verdict
from sim.judge.judge import rank, states_of
from sim.judge.part import Array, other_heights
from sim.judge.rules import Rule, rules_of
from sim.judge.sampled_quantities import Sampled, in_samples, sampled_parts
from sim.measure.chance import agreeing, band_of, bins_of, shares_of_variance, wilson_band
from sim.measure.measurements import Measurements
from sim.measure.sampling import Source, exact_readings
from sim.measure.spread import MOST_STATES, Spread, Values
from sim.motion.states import State

OPEN = 0.05  # both outcomes more likely than this: cannot be told; common practice, no source
REPEATS = 3  # readings named for one finding
TORNADOES, BARS = 3, 8  # findings drawn, readings in each
NEAR = 0.5e-3  # [m]; a state so near stands for the travel between
TELLING = 0.02  # share of the variance below which a reading is not named
AGAIN = {"measured": 0.5, "assumed": 0.25}  # variance left: read twice, or measured to half its ±


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Margin:
    """How far one finding is beyond its limit, sample by sample.

    Attributes:
        over: Beyond the limit in the unit of the rule, shape (n,); positive where it is broken.
        here: Whether it is broken where it may fail, not only at other heights, shape (n,).
    """

    over: Array
    here: NDArray[np.bool_]


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
    worst = [s for s in states if s.label in told or s.label_at_speed in told]
    between = [
        replace(state, height="", travel=travel)
        for limit in measurements.slip_limits
        for travel in (limit.least_gap_travel, limit.least_engaged_travel)
        for state in [s for s in states if s.case == limit.case and not s.roll and s.turning][:1]
        if not any(s.case == limit.case and abs(s.travel - travel) < NEAR for s in states)
    ]
    between = [state for state in between if state.label in told]
    named = [state for state in states if state.height]
    return tuple(dict.fromkeys([*ride[:1], *worst, *between, *named]))[:MOST_STATES]


def weigh(findings: Findings, measurements: Measurements, spread: Spread) -> Findings:
    """Return the findings with how sure each verdict is.

    Args:
        findings: As the readings stand, from ``judge``.
        measurements: As the readings stand.
        spread: Samples of the same configuration.

    Returns:
        The same findings; where both outcomes are more likely than 5 % the verdict is "cannot be
        told".  Findings whose quantity is not sampled stay as they are.
    """
    margins = margins_of(findings, measurements, spread, spread.values)
    headlines = {rule.id: (rule.good, rule.bad) for rule in rules_of(findings.rule_set)}
    lost = spread.values.lost[0] > 0
    bins = bins_of(spread.off)
    weighed = []
    for number, finding in enumerate(findings.findings):
        if number in margins:
            margin = margins[number]
            finding = _weighed(finding, margin, lost, *headlines[finding.rule])
            if finding.verdict == "cannot be told":
                finding = replace(finding, repeats=_repeats(margin, spread, bins))
        weighed.append(finding)
    ordered = tuple(sorted(weighed, key=rank))
    return replace(
        findings, findings=ordered, sureness=_record(findings, ordered, measurements, spread)
    )


def _record(
    findings: Findings, weighed: Sequence[Finding], measurements: Measurements, spread: Spread
) -> Sureness:
    """Return how the verdicts were weighed."""
    alone = margins_of(findings, measurements, spread, spread.alone)
    numbers = {(f.rule, f.where): n for n, f in enumerate(findings.findings)}
    urgent = [f for f in weighed if f.verdict == "cannot be told"][:TORNADOES]
    return Sureness(
        seed=spread.seed,
        samples=spread.off.shape[1],
        states=tuple(state.label for state in spread.states),
        lost=float(spread.values.lost.mean()),
        sources=tuple(dict.fromkeys((s.name, s.text, s.status) for s in spread.sources)),
        exact=exact_readings(measurements.configuration),
        tornadoes=tuple(
            _tornado(f, alone[numbers[f.rule, f.where]], spread.sources) for f in urgent
        ),
    )


def _tornado(finding: Finding, margin: Margin, sources: Sequence[Source]) -> Tornado:
    """Return what every source by itself does to a finding, the widest swing first."""
    assert finding.limit is not None
    sign = 1.0 if finding.relation == "at most" else -1.0
    values = finding.limit + sign * margin.over
    count = len(sources)
    swings = [
        Swing(
            reading=source.key if source.name not in source.key else source.name,
            text=source.text,
            status=source.status,
            low=float(values[1 + number]),
            high=float(values[1 + count + number]),
        )
        for number, source in enumerate(sources)
    ]
    widest = sorted(
        swings, key=lambda s: -max(s.low, s.high, values[0]) + min(s.low, s.high, values[0])
    )
    return Tornado(rule=finding.rule, where=finding.where, swings=tuple(widest[:BARS]))


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
    m = in_samples(measurements, spread, values)
    found: dict[tuple[str, str], Margin] = {}
    by_key = {(f.rule, f.where): f for f in findings.findings}
    alone = {f.rule: f for f in findings.findings}
    for rule in rules_of(findings.rule_set):
        if rule.id not in alone:
            continue
        here = {p.where: p for p in sampled_parts(rule.quantity, m, values, states_of(m, rule))}
        others = _elsewhere(rule, m, values)
        for where, part in here.items():
            finding = by_key.get((rule.id, where)) or (alone[rule.id] if where == "" else None)
            if finding is not None and finding.limit is not None:
                found[rule.id, finding.where] = _margin(finding, part, others.get(where))
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


def _margin(finding: Finding, part: Sampled, other: Sampled | None) -> Margin:
    """Return how far a finding is beyond its limit."""
    over = _over(finding, part)
    here = over > 0
    if other is not None:
        over = np.maximum(over, _over(finding, other))
    return Margin(over=over, here=here)


def _over(finding: Finding, part: Sampled) -> Array:
    """Return how far a part is beyond the limit of a finding in the worst of its states, (n,)."""
    sign = 1.0 if finding.relation == "at most" else -1.0
    limit = np.asarray(finding.limit if part.limit is None else part.limit, float)
    return np.asarray((sign * (part.values - limit)).max(axis=0))


def _weighed(
    finding: Finding, margin: Margin, lost: NDArray[np.bool_], good: str, bad: str
) -> Finding:
    """Return a finding with how sure its verdict is."""
    passes = (margin.over <= 0) & ~lost
    hits, samples = int(passes.sum()), passes.size
    probability = hits / samples
    sign = 1.0 if finding.relation == "at most" else -1.0
    assert finding.limit is not None
    verdict = _verdict(finding, probability, margin)
    headline = {"passes": good, "cannot be told": f"{good}?"}.get(verdict, bad)
    return replace(
        finding,
        verdict=verdict,
        what=headline,
        as_read=finding.verdict,
        probability=probability,
        band=wilson_band(hits, samples),
        between=band_of(finding.limit + sign * margin.over),
    )


def _verdict(finding: Finding, probability: float, margin: Margin) -> Verdict:
    """Return the verdict that the samples allow."""
    if OPEN < probability < 1 - OPEN:
        return "cannot be told"
    if probability >= 1 - OPEN:
        return "passes"
    broken = margin.over > 0
    softer = broken.any() and margin.here[broken].mean() < 0.5
    return "watch" if softer else finding.at_worst


def _repeats(margin: Margin, spread: Spread, bins: NDArray[np.int64]) -> tuple[Repeat, ...]:
    """Return the readings whose repetition would narrow a finding most."""
    shares = shares_of_variance(bins, margin.over)
    passes = margin.over <= 0
    low, high = band_of(margin.over)
    found = []
    for numbers in _by_name(spread):
        first = spread.sources[numbers[0]]
        share, left = float(shares[numbers].sum()), AGAIN[first.status]
        if share < TELLING:
            continue
        weight = agreeing(spread.off[numbers] * np.sqrt(1 / left - 1))
        found.append(
            Repeat(
                reading=first.name,
                text=first.text,
                status=first.status,
                share=share,
                narrowed=(high - low) / 2 * float(np.sqrt(max(0.0, 1 - share * (1 - left)))),
                agreed=float(weight @ passes),
            )
        )
    return tuple(sorted(found, key=lambda repeat: repeat.narrowed)[:REPEATS])


def _by_name(spread: Spread) -> Iterator[list[int]]:
    """Yield the numbers of the sources that share a name."""
    names: dict[str, list[int]] = {}
    for number, source in enumerate(spread.sources):
        names.setdefault(source.name, []).append(number)
    yield from names.values()
