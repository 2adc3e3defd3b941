"""The exact route of every configuration to its verdicts: solved, measured, judged, weighed."""

from __future__ import annotations

import functools
import os
from collections.abc import Iterator, Sequence

from sim.crew import each
from sim.errors import SimError
from sim.explore.judged import Judged, judged
from sim.judge.findings import Findings
from sim.judge.rule import RuleSet
from sim.scene.parts import Configuration
from sim.show.result import Result


def verdicts(
    configurations: Sequence[Configuration],
    rules: RuleSet,
    *,
    as_read: bool = False,
    cures: bool = True,
) -> Iterator[Result | SimError]:
    """Yield what each configuration comes to, or why it cannot be judged.

    Several configurations are worked on side by side where a process can be forked, more than
    there are processors: they differ in length, and none of these shall wait for the last one.

    Args:
        configurations: Of one scene.
        rules: From ``load_rules``.
        as_read: Whether to take every reading as exact, and not to say how sure verdicts are.
        cures: Whether to look for what would cure what fails or may fail.

    Yields:
        Results or errors, in the order of the configurations.
    """
    work = functools.partial(verdict, rules=rules, as_read=as_read, cures=cures)
    return each(work, configurations, "fork", most=2 * (os.cpu_count() or 1))


def verdict(
    configuration: Configuration, rules: RuleSet, as_read: bool = False, cures: bool = True
) -> Result:
    """Return what one configuration comes to.

    Args:
        configuration: One complete vehicle with one driveline.
        rules: From ``load_rules``.
        as_read: Whether to take every reading as exact.
        cures: Whether to look for what would cure what fails or may fail.

    Returns:
        Measurements, and findings with how sure they are and what would cure them.

    Raises:
        GeometryError: If a state cannot be reached.
    """
    read = judged(configuration, rules, as_read=as_read)
    return Result(
        configuration=configuration,
        measurements=read.measurements,
        findings=_cured(read) if cures and not as_read else read.findings,
    )


def _cured(read: Judged) -> Findings:
    """Return findings with their cures; loaded only where these are asked for."""
    from sim.explore.cures_trials import cured

    return cured(read)
