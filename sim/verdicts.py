"""The exact route of every configuration to its verdicts: solved, measured, judged, weighed."""

from __future__ import annotations

import functools
import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sim.crew import each
from sim.errors import SimError
from sim.explore.judged import Judged, judged
from sim.judge.findings import Findings
from sim.judge.rule import RuleSet
from sim.judge.rules import load_rules
from sim.outcome import Outcome, Progress
from sim.scene.parts import Configuration, Scene
from sim.show.result import Result

if TYPE_CHECKING:
    from sim.explore.felt_elsewhere import Elsewhere
    from sim.explore.felt_near import Near
    from sim.show.answer import Answer
    from sim.show.paper.kit import PaperName


def outcome_of(
    scene: Scene,
    outputs: Path,
    only: str | None,
    rules: str | None,
    progress: Progress,
    as_read: bool = False,
    cures: bool = True,
) -> Outcome:
    """Solve, measure and judge every configuration asked for; one that cannot be is a trouble.

    Args:
        scene: The scene.
        outputs: Folder of all outputs; the scene's own folder belongs in it.
        only: Name of the one configuration to look at, or None for all.
        rules: Name of the rule set, or None for the scene's.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].
        as_read: Whether to take every reading as exact.
        cures: Whether to look for what would cure what fails or may fail.

    Raises:
        DomainError: If there is no such configuration or rule set.
        SimError: If no configuration can be judged.
    """
    rule_set = load_rules(rules or scene.rules, Path() if rules else scene.folder)
    chosen = scene.configurations if only is None else (scene.configuration(only),)
    folder = outputs / scene.name if only is None else outputs / scene.name / only
    outcome = Outcome(scene=scene, rules=rule_set, folder=folder, alone=only is not None)
    found: list[Result | SimError] = []
    with outcome.stage("solve and judge", progress) as done:
        work = verdicts(chosen, rule_set, as_read=as_read, cures=cures)
        for number, result in enumerate(work, start=1):
            found.append(result)
            done(number, len(chosen))
        beside = {} if only is None else _elsewhere(scene, only)
    results = (one for one in found if isinstance(one, Result))
    outcome.results = tuple(replace(one, elsewhere=beside) if beside else one for one in results)
    for name, other in beside.items():
        if other.lost is not None:
            what = f"{only} is not compared with {other.configuration}, where “{name}” is felt"
            outcome.trouble(what, other.lost)
    for configuration, one in zip(chosen, found, strict=True):
        if isinstance(one, SimError):
            outcome.trouble(f"{configuration.name} is not judged", one)
    if not outcome.results:
        raise SimError("\n".join(outcome.troubles))
    return outcome


def answered(outcome: Outcome, progress: Progress, paper: PaperName | None = None) -> Answer:
    """Return what to build, its cures carried out, and write it on a page of paper.

    Args:
        outcome: Every configuration asked for, judged.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].
        paper: Size of the page; None: A4, or letter for a scene in inches.

    Raises:
        SimError: If what its cures lead to cannot be reached, or does not fit on a page.
    """
    from sim.show.answer import answer_of
    from sim.show.paper.answer import write_answer

    with outcome.stage("answer", progress):
        found = answer_of(outcome.scene, outcome.results, outcome.rules)
        usual: PaperName = "a4" if outcome.scene.display == "metric" else "letter"
        outcome.files.append(write_answer(found, outcome.folder, paper or usual))
    return found


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
    _load(configurations, as_read=as_read, cures=cures)
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
    near = _near(read)  # ahead of the cures, whose trials fill the other processor
    findings = _cured(read) if cures and not as_read else read.findings
    return Result(
        configuration=configuration,
        measurements=read.measurements,
        findings=findings,
        near=near,
        advised=_advised(configuration, findings),
    )


def _elsewhere(scene: Scene, only: str) -> dict[str, Elsewhere]:
    """Return the other layouts in which complaints are felt; loaded only where there are some."""
    complaints = scene.configuration(only).complaints
    if all(scene.felt_in(complaint) == only for complaint in complaints):
        return {}
    from sim.explore.felt_elsewhere import elsewhere_of

    return elsewhere_of(scene, complaints, [only])


def _near(read: Judged) -> dict[str, tuple[Near, ...]]:
    """Return what it hands on where each complaint is felt; loaded only where there is one."""
    if not read.configuration.complaints:
        return {}
    from sim.explore.felt_near import nears_of

    return nears_of(read.configuration, read.measurements.numbers)


def _advised(configuration: Configuration, findings: Findings) -> dict[str, tuple[Near, ...]]:
    """Return what it hands on there with what is advised carried out; nothing where nothing is.

    Driven slower or not, its shafts are balanced as they are.
    """
    lines = [line for cure in findings.advice for line in cure.changes]
    if not configuration.complaints or not lines:
        return {}
    from sim.explore.cures_lines import carried_out
    from sim.explore.felt_near import nears_of

    assert configuration.design is not None, "only what was read from a scene is cured"
    design = carried_out(configuration.design, lines)
    built = design.vary({"vehicle.top_speed": configuration.vehicle.top_speed}).build()
    return nears_of(replace(built, complaints=configuration.complaints))  # also what was typed


def _load(configurations: Sequence[Configuration], *, as_read: bool, cures: bool) -> None:
    """Load once what each of the processes would load for itself."""
    import numpy.polynomial  # noqa: F401

    if any(one.complaints for one in configurations):
        import sim.explore.felt_near
    if not as_read:
        import statistics  # noqa: F401

        from numpy import ma, random  # noqa: F401
    if cures and not as_read:
        import sim.explore.cures_trials  # noqa: F401


def _cured(read: Judged) -> Findings:
    """Return findings with their cures; loaded only where these are asked for."""
    from sim.explore.cures_trials import cured

    return cured(read)
