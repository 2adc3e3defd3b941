"""How sure a verdict is: what share of what the readings allow passes, and what to read again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.judge.findings import Finding, Findings, Repeat, Sureness, Swing, Tornado, Verdict
from sim.judge.judge import rank
from sim.judge.margins import Margin, margins_of
from sim.judge.part import Array
from sim.judge.rules import rules_of
from sim.measure.chance import agreeing, band_of, bins_of, shares_of_variance, wilson_band
from sim.measure.measurements import Measurements
from sim.measure.sampling import Source
from sim.measure.spread import Spread

OPEN = 0.05  # both outcomes more likely than this: cannot be told; common practice, no source
OUT_OF_REACH = 0.001  # share of the samples that cannot be assembled and is worth a word
REPEATS = 3  # readings named for one finding
TORNADOES, BARS = 3, 8  # findings drawn, readings in each
SEEN = 0.01  # share of the widest bar below which a bar is not drawn
TELLING = 0.02  # share of the variance below which a reading is not named
AGAIN = {"measured": 0.5, "assumed": 0.25}  # variance left: read twice, or measured to half its ±


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
    alone = margins_of(findings, measurements, spread, spread.alone)
    headlines = {rule.id: (rule.good, rule.bad) for rule in rules_of(findings.rule_set)}
    lost = spread.values.lost[0] > 0
    again: _Again | None = None
    weighed = []
    for number, finding in enumerate(findings.findings):
        if number in margins:
            margin = margins[number]
            finding = _where_it_turns(finding, margin, alone[number])
            finding = _weighed(finding, margin, lost, *headlines[finding.rule])
            if finding.verdict == "cannot be told":
                again = again or _Again.of(spread)
                finding = replace(finding, repeats=_repeats(finding, margin, again))
        weighed.append(finding)
    if lost.mean() > OUT_OF_REACH:
        weighed.append(_out_of_reach(float(lost.mean()), lost.size))
    ordered = tuple(sorted(weighed, key=rank))
    return replace(
        findings,
        findings=ordered,
        sureness=_record(
            ordered,
            {(findings.findings[n].rule, findings.findings[n].where): a for n, a in alone.items()},
            spread,
        ),
    )


def _out_of_reach(share: float, samples: int) -> Finding:
    """Return what there is to say where the parts cannot reach a state in a share of the samples.

    Every other verdict is about the samples that reach all states.
    """
    return Finding(
        rule="reach",
        verdict="cannot be told" if share > OPEN else "watch",
        what="The parts reach every state?" if share > OPEN else "The parts may not reach",
        where="suspension and shafts",
        state=None,
        value=100 * share,
        limit=0.0,
        unit="%",
        relation="at most",
        source="the parts themselves: share of what the readings allow that cannot be assembled",
        standing="physical",
        meaning="Somewhere in the travel a spring, link or shaft cannot follow; those samples are "
        "left out of the other verdicts.",
        remedy="Read the suspension points, the wind-up stiffness and the travel again.",
        severity=9,
        at_worst="fails",
        as_read="passes",
        probability=1 - share,
        band=wilson_band(round((1 - share) * samples), samples),
        between=(0.0, 100 * share),
    )


def _record(
    weighed: Sequence[Finding], alone: Mapping[tuple[str, str], Margin], spread: Spread
) -> Sureness:
    """Return how the verdicts were weighed."""
    urgent = [f for f in weighed if f.verdict == "cannot be told"][:TORNADOES]
    return Sureness(
        seed=spread.seed,
        samples=spread.off.shape[1],
        states=tuple(state.label for state in spread.states),
        lost=float(spread.values.lost.mean()),
        sources=tuple(dict.fromkeys((s.name, s.text, s.status) for s in spread.sources)),
        exact=spread.exact,
        tornadoes=tuple(_tornado(f, alone[f.rule, f.where], spread.sources) for f in urgent),
    )


def _tornado(finding: Finding, margin: Margin, sources: Sequence[Source]) -> Tornado:
    """Return what every source by itself does to a finding, the widest swing first."""
    assert finding.limit is not None
    sign = 1.0 if finding.relation == "at most" else -1.0
    values = finding.limit + sign * _shown(finding, margin)
    count = len(sources)
    swings = [
        Swing(
            reading=source.label,
            text=source.text,
            status=source.status,
            low=float(values[1 + number]),
            high=float(values[1 + count + number]),
        )
        for number, source in enumerate(sources)
    ]
    read = float(values[0])
    widest = sorted(swings, key=lambda swing: -_width(swing, read))
    told = [s for s in widest[:BARS] if _width(s, read) > SEEN * _width(widest[0], read)]
    return Tornado(rule=finding.rule, where=finding.where, swings=tuple(told))


def _width(swing: Swing, read: float) -> float:
    """Return how far a value swings, the value as it was read included."""
    return max(swing.low, swing.high, read) - min(swing.low, swing.high, read)


def _where_it_turns(finding: Finding, margin: Margin, alone: Margin) -> Finding:
    """Return a finding that passes in the state in which it is most likely not to."""
    if margin.elsewhere is None or finding.verdict != "passes" or finding.limit is None:
        return finding
    if (margin.elsewhere > 0).mean() <= max(OPEN, (margin.here > 0).mean()):
        return finding
    assert alone.elsewhere is not None
    sign = 1.0 if finding.relation == "at most" else -1.0
    value = finding.limit + sign * float(alone.elsewhere[0])
    return replace(finding, state=alone.rival, value=value, at_worst="watch")


def _weighed(
    finding: Finding, margin: Margin, lost: NDArray[np.bool_], good: str, bad: str
) -> Finding:
    """Return a finding with how sure its verdict is."""
    passes = (margin.over <= 0)[~lost]
    hits, samples = int(passes.sum()), max(passes.size, 1)
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
        between=band_of(finding.limit + sign * _shown(finding, margin)[~lost]),
    )


def _verdict(finding: Finding, probability: float, margin: Margin) -> Verdict:
    """Return the verdict that the samples allow."""
    if OPEN < probability < 1 - OPEN:
        return "cannot be told"
    if probability >= 1 - OPEN:
        return "passes"
    broken = margin.over > 0
    softer = broken.any() and (margin.here[broken] > 0).mean() < 0.5
    return "watch" if softer else finding.at_worst


def _shown(finding: Finding, margin: Margin) -> Array:
    """Return the margin in the state that a finding names, (n,)."""
    loaded = margin.elsewhere is not None and (
        finding.state is None or finding.state.height != "ride height"
    )
    return margin.elsewhere if loaded and margin.elsewhere is not None else margin.here


def _repeats(finding: Finding, margin: Margin, again: _Again) -> tuple[Repeat, ...]:
    """Return the readings whose repetition would narrow a finding most."""
    shown = _shown(finding, margin)
    shares = shares_of_variance(again.bins, shown)
    low, high = band_of(shown)
    agreed = again.weights @ (margin.over <= 0)
    found = []
    for (first, numbers), chance in zip(again.names, agreed, strict=True):
        share = float(shares[numbers].sum())
        if share < TELLING:
            continue
        left = max(0.0, 1 - share * (1 - AGAIN[first.status]))
        found.append(
            Repeat(
                reading=first.name,
                text=first.text,
                status=first.status,
                share=share,
                narrowed=(high - low) / 2 * float(np.sqrt(left)),
                agreed=float(chance),
            )
        )
    return tuple(sorted(found, key=lambda repeat: repeat.narrowed)[:REPEATS])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Again:
    """Every reading taken again.

    Attributes:
        names: The first source of every name, and the numbers of all that share it.
        bins: From ``bins_of``, shape (sources, n).
        weights: Of the samples, once the readings of a name agreed with the first, (names, n).
    """

    names: tuple[tuple[Source, list[int]], ...]
    bins: NDArray[np.int64]
    weights: Array

    @classmethod
    def of(cls, spread: Spread) -> _Again:
        """Return the readings of a spread."""
        numbers: dict[str, list[int]] = {}
        for number, source in enumerate(spread.sources):
            numbers.setdefault(source.name, []).append(number)
        names = tuple((spread.sources[n[0]], n) for n in numbers.values())
        more = [1 / AGAIN[first.status] - 1 for first, _ in names]  # readings beyond the first
        weights = [
            agreeing(spread.off[n] * np.sqrt(times))
            for (_, n), times in zip(names, more, strict=True)
        ]
        return cls(names=names, bins=bins_of(spread.off), weights=np.array(weights))
