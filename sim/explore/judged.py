"""One configuration to its verdicts: solved, measured, judged, and weighed by samples."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sim.explore.evaluate import evaluate
from sim.explore.sampling import spread_of
from sim.explore.sources import sources_of
from sim.judge.findings import Findings
from sim.judge.judge import judge, judge_numbers
from sim.judge.rule import RuleSet
from sim.judge.samples import states_to_sample
from sim.judge.spread import Spread
from sim.judge.sureness import weigh
from sim.measure.clearance.clearance import measure_clearances
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.scene.parts import Configuration, Design


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """What one configuration comes to, without advice.

    Attributes:
        configuration: The configuration.
        rules: The rule set.
        measurements, findings: Of it.
        spread: Samples behind the findings, or None where every reading was taken as exact.
    """

    configuration: Configuration
    rules: RuleSet
    measurements: Measurements
    findings: Findings
    spread: Spread | None


def judged(
    configuration: Configuration, rules: RuleSet, *, as_read: bool = False, settle: bool = True
) -> Judged:
    """Return what one configuration comes to.

    Args:
        configuration: One complete vehicle with one driveline.
        rules: From ``load_rules``.
        as_read: Whether to take every reading as exact, and not to say how sure verdicts are.
        settle: Whether to say what would settle what cannot be told; not where errors of readings
            hang together, as none of them can then be read again by itself.

    Returns:
        Measurements, and findings with how sure they are; no cures.

    Raises:
        GeometryError: If a state cannot be reached.
    """
    measurements = measure(solve(configuration))
    findings, spread = judge(measurements, rules), None
    if not as_read and sources_of(configuration):
        states = states_to_sample(measurements.states, findings)
        spread = spread_of(configuration, states, near=measurements.numbers, ends=settle)
        findings = weigh(findings, rules, spread, settle=settle)
    return Judged(
        configuration=configuration,
        rules=rules,
        measurements=measurements,
        findings=findings,
        spread=spread,
    )


def findings_on(design: Design, rules: RuleSet) -> Findings | None:
    """Return the findings that ``judged`` gives on a design, without what nobody reads of a trial.

    No turn is sampled, and nothing is said of what would settle a verdict.

    Args:
        design: Its structure, values and readings.
        rules: The rule set.

    Returns:
        The findings as weighed, or None where the parts cannot reach a state.

    Raises:
        GeometryError: If a posture between two states cannot be reached.
    """
    numbers = evaluate(design, deep=True)
    if numbers.lost.any():
        return None
    configuration = numbers.configuration
    near, _ = measure_clearances(configuration, numbers.states, start=numbers.start)
    findings = judge_numbers(replace(numbers, near=near), rules)
    if not sources_of(configuration):
        return findings
    states = states_to_sample(numbers.states, findings)
    spread = spread_of(configuration, states, near=numbers, ends=False)
    return weigh(findings, rules, spread, settle=False)
