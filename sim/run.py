"""The whole flow on one page: scene, motion by two routes, measurements, findings, pictures.

Only here are the stages wired together.  Heavy stages are imported where they begin, so that
``check`` loads neither the physics engine nor the plots.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sim.crew import each
from sim.errors import SimError
from sim.outcome import Outcome, Progress
from sim.scene.parts import Configuration, Scene
from sim.shaking import shake
from sim.shot import shoot, still
from sim.tabled import tabulate
from sim.varied import vary
from sim.verdicts import answered, outcome_of

if TYPE_CHECKING:
    from sim.show.answer import Answer
    from sim.show.paper.kit import PaperName
    from sim.world.agreement import Agreement


def _quiet(stage: str, fraction: float) -> None:
    """Show no progress."""


def check(
    scene: Scene,
    *,
    only: str | None = None,
    rules: str | None = None,
    as_read: bool = False,
    cures: bool = True,
) -> Outcome:
    """Solve, measure and judge; write nothing: the outcome has no files.

    Args:
        scene: The scene.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        as_read: Whether to take every reading as exact, and not to say how sure verdicts are.
        cures: Whether to look for what would cure what fails or may fail.

    Raises:
        DomainError: If there is no such configuration or rule set.
        SimError: If no configuration can be judged.
    """
    return outcome_of(scene, Path(), only, rules, _quiet, as_read, cures)


def shakes(
    scene: Scene,
    outputs: Path | None,
    *,
    only: str | None = None,
    rules: str | None = None,
    progress: Progress = _quiet,
) -> Outcome:
    """Solve, measure and judge; draw the shake over road speed where it is wanted.

    Cures are looked for where something is felt in what was asked for: what helps is tried on top
    of them.

    Args:
        scene: The scene.
        outputs: Folder of all outputs, or None: nothing is drawn.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Raises:
        DomainError: If there is no such configuration or rule set.
        SimError: If no configuration can be judged.
    """
    felt = any(
        only in (None, scene.felt_in(complaint))
        for one in scene.configurations
        for complaint in one.complaints
    )
    outcome = outcome_of(scene, outputs or Path(), only, rules, progress, cures=felt)
    if outputs is not None:
        shake(outcome, progress)
    return outcome


def sweep(
    scene: Scene,
    outputs: Path,
    *,
    only: str | None = None,
    rules: str | None = None,
    progress: Progress = _quiet,
) -> Outcome:
    """Sweep the travel by both routes; write tables, plots and ``run.json``.

    Args:
        scene: The scene.
        outputs: Folder of all outputs; the scene's own folder is made in it.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Raises:
        SimError: As ``check``.
    """
    outcome = outcome_of(scene, outputs, only, rules, progress)
    _confirm(outcome, progress)
    tabulate(outcome, progress)
    _describe(outcome)
    return outcome


def make_film(
    scene: Scene,
    outputs: Path,
    *,
    only: str | None = None,
    rules: str | None = None,
    gif: bool = False,
    progress: Progress = _quiet,
) -> Outcome:
    """Make the film of the two compared configurations, or of one; write nothing else.

    Args:
        scene: The scene.
        outputs: Folder of all outputs.
        only: Name of the one configuration to film; default: the two compared.
        rules: Name of the rule set; default: the scene's.
        gif: Whether to write a GIF preview too.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Raises:
        SimError: As ``check``.
    """
    outcome = outcome_of(scene, outputs, only, rules, progress)
    shoot(outcome, progress, gif=gif)
    return outcome


def answer(
    scene: Scene,
    outputs: Path,
    *,
    only: str | None = None,
    rules: str | None = None,
    paper: PaperName | None = None,
    progress: Progress = _quiet,
) -> tuple[Outcome, Answer]:
    """Judge, choose what to build, carry out its cures; write ``answer.pdf`` and nothing else.

    Args:
        scene: The scene.
        outputs: Folder of all outputs.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        paper: Size of the page; default: A4, or letter for a scene in inches.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Raises:
        SimError: As ``check``.
    """
    outcome = outcome_of(scene, outputs, only, rules, progress)
    return outcome, answered(outcome, progress, paper)


def run(
    scene: Scene,
    outputs: Path,
    *,
    only: str | None = None,
    rules: str | None = None,
    film_seconds: float = 6.0,
    picture_scale: float = 1.0,
    progress: Progress = _quiet,
) -> Outcome:
    """Do everything: sweep by both routes, judge, tables, plots, stills, film, report.

    Args:
        scene: The scene.
        outputs: Folder of all outputs.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        film_seconds: Length of the film without its whirl moment [s].
        picture_scale: Size of film and stills, over the usual size [-]; for quick previews.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Raises:
        SimError: As ``check``.
    """
    from sim.show.report import report

    outcome = outcome_of(scene, outputs, only, rules, progress)
    _confirm(outcome, progress)
    comparison = tabulate(outcome, progress)
    vary(outcome, progress)
    shaken = shake(outcome, progress)
    still(outcome, progress, picture_scale)
    video, poster = shoot(outcome, progress, seconds=film_seconds, scale=picture_scale)
    told = None
    with outcome.attempt("There is no answer"):
        told = answered(outcome, progress)
    with outcome.stage("report", progress):
        page = report(
            scene,
            outcome.results,
            outcome.folder,
            answer=told,
            comparison=comparison,
            film=video,
            poster=poster,
            shake=shaken,
            troubles=outcome.troubles,
        )
        outcome.files.append(page)
    _describe(outcome)
    return outcome


def effects(
    scene: Scene,
    outputs: Path,
    *,
    only: str | None = None,
    rules: str | None = None,
    progress: Progress = _quiet,
) -> Outcome:
    """Work out what each millimeter does; write the whole table and a picture, nothing else.

    Args:
        scene: The scene.
        outputs: Folder of all outputs; the scene's own folder is made in it.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Raises:
        SimError: As ``check``.
    """
    outcome = outcome_of(scene, outputs, only, rules, progress, as_read=True)
    vary(outcome, progress)
    return outcome


def _confirm(outcome: Outcome, progress: Progress) -> None:
    """Run the rigid-body route of every configuration, side by side in processes of their own."""
    confirmed, results = [], outcome.results
    with outcome.stage("rigid-body route", progress) as done:
        agreements = each(_agreement, [result.configuration for result in results], "spawn")
        for result, agreement in zip(results, agreements, strict=True):
            if isinstance(agreement, SimError):
                what = f"{result.configuration.name} is not confirmed by rigid bodies"
                outcome.trouble(what, agreement)
                confirmed.append(result)
            else:
                confirmed.append(replace(result, agreement=agreement))
            done(len(confirmed), len(results))
    outcome.results = tuple(confirmed)


def _agreement(configuration: Configuration) -> Agreement:
    """Return how far the two routes are apart."""
    from sim.world.agreement import compare_routes
    from sim.world.simulate import simulate

    return compare_routes(simulate(configuration))


def _describe(outcome: Outcome) -> None:
    """Write ``run.json``: what was run, with which versions, and how well the routes agreed."""
    from sim.show.machine import write_run_record

    record = write_run_record(
        outcome.scene, outcome.results, outcome.seconds, outcome.troubles, outcome.folder
    )
    outcome.files.append(record)
