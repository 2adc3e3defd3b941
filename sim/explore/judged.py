"""One configuration to its verdicts: solved, measured, judged, and weighed by samples."""

from __future__ import annotations

from dataclasses import dataclass

from sim.explore.sampling import sources_of, spread_of
from sim.judge.findings import Findings
from sim.judge.judge import judge
from sim.judge.rule import RuleSet
from sim.judge.samples import states_to_sample
from sim.judge.spread import Spread
from sim.judge.sureness import weigh
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """What one configuration comes to, without advice.

    Attributes:
        configuration: The configuration.
        rules: The rule set.
        motion, measurements, findings: Of it.
        spread: Samples behind the findings, or None where every reading was taken as exact.
    """

    configuration: Configuration
    rules: RuleSet
    motion: Motion
    measurements: Measurements
    findings: Findings
    spread: Spread | None


def judged(
    configuration: Configuration, rules: RuleSet, *, as_read: bool = False, beside: bool = True
) -> Judged:
    """Return what one configuration comes to.

    Args:
        configuration: One complete vehicle with one driveline.
        rules: From ``load_rules``.
        as_read: Whether to take every reading as exact, and not to say how sure verdicts are.
        beside: Whether to say what other rule sets would say.

    Returns:
        Motion, measurements, and findings with how sure they are; no cures.

    Raises:
        GeometryError: If a state cannot be reached.
    """
    motion = solve(configuration)
    measurements = measure(motion)
    findings, spread = judge(measurements, rules, beside=beside), None
    if not as_read and sources_of(configuration):
        spread = spread_of(configuration, states_to_sample(measurements, findings))
        findings = weigh(findings, rules, spread)
    return Judged(
        configuration=configuration,
        rules=rules,
        motion=motion,
        measurements=measurements,
        findings=findings,
        spread=spread,
    )
