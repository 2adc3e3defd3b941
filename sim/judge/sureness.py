"""How sure a verdict is: what share of what the readings allow passes, and what would settle it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.judge.chance import agreeing, band_of, bins_of, shares_of_variance
from sim.judge.findings import Finding, Findings, Repeat, Sureness, Swing, Tornado, Verdict
from sim.judge.hold import FAILS, PASSES, WATCH, Held, decided_in, hold, in_state
from sim.judge.judge import finding_of, in_order
from sim.judge.part import Array
from sim.judge.rule import RuleSet
from sim.judge.spread import Source, Spread
from sim.measure.numbers import Numbers

OPEN = 0.05  # both outcomes more likely than this: open; common practice, no source
OUT_OF_REACH = 0.01  # share of the samples that cannot be assembled and is worth a word; ours
REPEATS, CLOSER = 3, 2  # readings named for one finding; where none alone settles it
TORNADOES, BARS = 3, 8  # findings drawn, readings in each
SEEN = 0.01  # share of the widest bar below which a bar is not drawn
TELLING = 0.02  # share of the variance below which a reading is not named
AGAIN = {"measured": 0.5, "assumed": 0.25}  # variance left: read twice, or measured to half its ±
NOT_SAMPLED = "every sample of it would take too long"

By = Mapping[tuple[str, str], Held]


def weigh(findings: Findings, rules: RuleSet, spread: Spread, *, settle: bool = True) -> Findings:
    """Return the findings with how sure each verdict is.

    Args:
        findings: As the readings stand, from ``judge``.
        rules: The set that judged.
        spread: Samples of the same configuration.
        settle: Whether to say what would settle what cannot be told, and how it was weighed.

    Returns:
        The same findings.  Where a limit that can fail is as open as not, the verdict is "cannot
        be told"; where one that only watches is, the verdict stays and is ``near``.  Findings
        whose quantity is not sampled say why.
    """
    held = {one.key: one for one in hold(rules.rules, spread.numbers)}
    reached = np.logical_not(spread.numbers.lost.any(axis=1))
    again: _Again | None = None
    weighed = []
    for finding in findings.findings:
        one = held.get((finding.rule, finding.where))
        if one is None or np.isnan(one.over[reached]).all():
            weighed.append(replace(finding, not_sampled=finding.not_sampled or NOT_SAMPLED))
            continue
        finding = _where_it_turns(finding, one, spread.alone, reached)
        finding = _weighed(finding, one, reached)
        if settle and (finding.verdict == "cannot be told" or finding.near):
            again = again or _Again.of(spread)
            finding = _settled(finding, one, again, reached)
        weighed.append(finding)
    if 1 - reached.mean() > OUT_OF_REACH:
        weighed.append(_out_of_reach(float(1 - reached.mean())))
    ordered = in_order(weighed)
    record = _record(ordered, held, spread) if settle else None
    return replace(findings, findings=ordered, sureness=record)


def _out_of_reach(share: float) -> Finding:
    """Return what there is to say where the parts cannot reach a state in a share of the samples.

    Every other verdict is about the samples that reach all states.
    """
    return Finding(
        rule="reach",
        verdict="cannot be told" if share > OPEN else "watch",
        what="Parts reach every state?" if share > OPEN else "Parts may not reach every state",
        where="samples out of reach",
        state=None,
        value=100 * share,
        limit=None,
        unit="of 100",
        relation="at most",
        source="the parts themselves: share of what the readings allow that cannot be assembled",
        standing="physical",
        meaning="Somewhere in the travel a spring, link or shaft cannot follow, or readings of the "
        "axle end; those samples are left out of the other verdicts.",
        remedy="Read suspension, stiffness and travel again; where readings end, jack farther.",
        severity=9,
        at_worst="fails",
        cause="reach",
        as_read="passes",
        probability=1 - share,
        between=(0.0, 100 * share),
    )


def _record(weighed: Sequence[Finding], held: By, spread: Spread) -> Sureness:
    """Return how the verdicts were weighed."""
    drawn = [f for f in weighed if f.verdict == "cannot be told" and (f.rule, f.where) in held]
    return Sureness(
        seed=spread.seed,
        samples=spread.off.shape[1],
        states=tuple(state.label for state in spread.numbers.states),
        lost=float(spread.numbers.lost.any(axis=1).mean()),
        sources=tuple(dict.fromkeys((s.name, s.text, s.status) for s in spread.sources)),
        exact=spread.exact,
        tornadoes=tuple(
            _tornado(f, _of(held[f.rule, f.where], spread.alone), spread.sources)
            for f in drawn[:TORNADOES]
        ),
    )


def _of(held: Held, numbers: Numbers) -> Held:
    """Return the same rule on the same part, of other numbers of the same structure."""
    return next(one for one in hold([held.rule], numbers) if one.key == held.key)


def _tornado(finding: Finding, alone: Held, sources: Sequence[Source]) -> Tornado:
    """Return what every source by itself does to a finding, the widest swing first."""
    values = _shown(finding, alone)
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
    swings = [swing for swing in swings if np.isfinite(swing.low + swing.high)]
    widest = sorted(swings, key=lambda swing: -_width(swing, read))
    told = [s for s in widest[:BARS] if _width(s, read) > SEEN * _width(widest[0], read)]
    return Tornado(rule=finding.rule, where=finding.where, swings=tuple(told))


def _width(swing: Swing, read: float) -> float:
    """Return how far a value swings, the value as it was read included."""
    return max(swing.low, swing.high, read) - min(swing.low, swing.high, read)


def _where_it_turns(
    finding: Finding, one: Held, alone: Numbers, reached: NDArray[np.bool_]
) -> Finding:
    """Return a finding in the state in which most samples break its limit, if enough do."""
    verdicts, states = one.verdict[reached], one.state[reached]
    open_ended = (verdicts == FAILS).mean() > OPEN and finding.verdict != "fails"
    breaks = verdicts == FAILS if open_ended else verdicts != PASSES
    asked = open_ended or finding.verdict == "passes"
    if not one.part.states or breaks.mean() <= OPEN or not asked:
        return finding
    state = one.part.states[int(np.bincount(states[breaks]).argmax())]
    return finding_of(decided_in(_of(one, alone), state))


def _weighed(finding: Finding, one: Held, reached: NDArray[np.bool_]) -> Finding:
    """Return a finding with how sure its verdict is."""
    verdicts = one.verdict[reached]
    passes, watch, fails = (float((verdicts == v).mean()) for v in (PASSES, WATCH, FAILS))
    verdict = _verdict(finding.verdict, passes, watch, fails)
    good, bad = one.rule.good, one.rule.bad
    headline = {"passes": good, "cannot be told": f"{good}?"}.get(verdict, bad)
    return replace(
        finding,
        verdict=verdict,
        what=headline,
        as_read=finding.verdict,
        probability=1 - fails if fails > OPEN else passes,
        between=band_of(_shown(finding, one)[reached]),
        near=fails <= OPEN and passes < 1 - OPEN and (passes > OPEN or verdict == "passes"),
    )


def _verdict(as_read: Verdict, passes: float, watch: float, fails: float) -> Verdict:
    """Return the verdict that the samples allow, never graver than what was read by itself.

    What passes as read but fails in nearly all samples, as an angle near 0 whose ± is large, was
    read too coarsely to be told.
    """
    if fails > OPEN:
        return "fails" if fails >= 1 - OPEN and as_read == "fails" else "cannot be told"
    if as_read != "fails" and passes < 1 - OPEN:
        return as_read
    return "passes" if passes >= watch + fails else "watch"


def _shown(finding: Finding, one: Held) -> Array:
    """Return the value in the state that a finding names, or that decides where none is, (B,)."""
    if finding.state is None or finding.state in one.part.states:
        return in_state(one, finding.state)
    return one.value


def _settled(finding: Finding, one: Held, again: _Again, reached: NDArray[np.bool_]) -> Finding:
    """Return a finding with the readings whose repetition would settle it, most telling first.

    It is settled where both readings agree and then one of the outcomes is no longer open.  Where
    no reading settles it by itself, or it is only near its limit, those that spread it most are
    named.
    """
    shown = _shown(finding, one)[reached]
    shares = shares_of_variance(again.bins[:, reached], shown)
    low, high = band_of(shown)
    weights = again.weights[:, reached]
    agreed = weights @ (one.verdict[reached] != FAILS) / weights.sum(axis=1)
    found, telling = [], []
    for (first, numbers), chance in zip(again.names, agreed, strict=True):
        share = float(shares[numbers].sum())
        telling.append((-share, f"{first.name} ({first.text})"))
        settled = chance >= 1 - OPEN or (chance <= OPEN and finding.as_read == "fails")
        if share < TELLING or not settled or finding.near:
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
    most = sorted(telling)[:CLOSER]
    return replace(
        finding,
        repeats=tuple(sorted(found, key=lambda repeat: repeat.narrowed)[:REPEATS]),
        telling=() if found else tuple(name for share, name in most if -share >= TELLING),
    )


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
        """Return the readings of samples."""
        numbers: dict[str, list[int]] = {}
        for number, source in enumerate(spread.sources):
            numbers.setdefault(source.name, []).append(number)
        names = tuple((spread.sources[n[0]], n) for n in numbers.values())
        more = [1 / AGAIN[first.status] - 1 for first, _ in names]  # readings beyond the first
        weights = [
            agreeing(spread.off[n] * np.sqrt(times))
            for (_, n), times in zip(names, more, strict=True)
        ]
        shape = len(names), spread.off.shape[1]  # also where nothing is drawn
        return cls(names=names, bins=bins_of(spread.off), weights=np.array(weights).reshape(shape))
