"""The exact route of every configuration to its verdicts: solved, measured, judged, weighed."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from sim.judge.judge import judge
from sim.judge.margins import states_to_sample
from sim.judge.sureness import weigh
from sim.measure.measure import measure
from sim.measure.sampling import sources_of
from sim.measure.spread import measure_spread
from sim.motion.solve import solve
from sim.scene.parts import Configuration
from sim.show.result import Result


def verdicts(
    configurations: Sequence[Configuration], rule_set: str, *, as_read: bool = False
) -> Iterator[Result]:
    """Yield what each configuration comes to.

    Several configurations are worked on side by side where a process can be forked.

    Args:
        configurations: Of one scene.
        rule_set: Name of the rule set.
        as_read: Whether to take every reading as exact, and not to say how sure verdicts are.

    Yields:
        Results in the order of the configurations.

    Raises:
        GeometryError: If a state cannot be reached.
    """
    crew = min(len(configurations), os.cpu_count() or 1)
    if crew == 1 or sys.platform != "linux":
        yield from (verdict(c, rule_set, as_read) for c in configurations)
        return
    with ProcessPoolExecutor(crew, get_context("fork"), initializer=_quietly) as pool:
        count = len(configurations)
        yield from pool.map(verdict, configurations, [rule_set] * count, [as_read] * count)


def _quietly() -> None:
    """Leave interrupts to the parent; the crew ends with it, without a word."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def verdict(configuration: Configuration, rule_set: str, as_read: bool = False) -> Result:
    """Return what one configuration comes to.

    Args:
        configuration: One complete vehicle with one driveline.
        rule_set: Name of the rule set.
        as_read: Whether to take every reading as exact.

    Returns:
        Motion, measurements, and findings with how sure they are.

    Raises:
        GeometryError: If a state cannot be reached.
    """
    motion = solve(configuration)
    measurements = measure(motion)
    findings = judge(measurements, rule_set)
    if not as_read and sources_of(configuration):
        spread = measure_spread(motion, states_to_sample(measurements, findings))
        findings = weigh(findings, measurements, spread)
    return Result(
        configuration=configuration,
        motion=motion,
        measurements=measurements,
        findings=findings,
    )
