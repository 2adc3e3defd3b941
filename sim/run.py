"""The whole flow on one page: scene, motion by two routes, measurements, findings, pictures.

Only here are the stages wired together.  Heavy stages are imported where they begin, so that
``check`` loads neither the physics engine nor the plots.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING

from sim.errors import DomainError
from sim.judge.rules import rule_sets
from sim.scene.parts import Configuration, Scene
from sim.show.result import Result
from sim.verdicts import verdicts

if TYPE_CHECKING:
    from sim.measure.agreement import Agreement

Progress = Callable[[str, float], None]


def _quiet(stage: str, fraction: float) -> None:
    """Show no progress."""


@dataclass(slots=True, kw_only=True, eq=False)
class Outcome:
    """What a command came to so far.

    Attributes:
        scene: The scene.
        folder: Where its outputs go.
        alone: Whether one configuration was asked for, so that the folder is its own.
        results: One a configuration, in the order of the scene.
        files: Every file written, in the order written.
        seconds: Wall time of every stage [s].
    """

    scene: Scene
    folder: Path
    alone: bool = False
    results: tuple[Result, ...] = ()
    files: list[Path] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)

    @property
    def fails(self) -> bool:
        """Whether any finding fails."""
        return any(result.findings.fails for result in self.results)

    @property
    def may_fail(self) -> bool:
        """Whether any finding fails, or cannot be told from failing."""
        return any(result.findings.may_fail for result in self.results)

    @contextmanager
    def stage(self, name: str, progress: Progress) -> Iterator[Callable[[int, int], None]]:
        """Time a stage; give a callback that takes how many of how many are done."""
        began = time.perf_counter()
        progress(name, 0.0)
        yield lambda done, whole: progress(name, done / max(whole, 1))
        progress(name, 1.0)
        self.seconds[name] = round(time.perf_counter() - began, 3)


def check(
    scene: Scene, *, only: str | None = None, rules: str | None = None, as_read: bool = False
) -> Outcome:
    """Solve, measure and judge; write nothing.

    Args:
        scene: The scene.
        only: Name of the one configuration to look at; default: all.
        rules: Name of the rule set; default: the scene's.
        as_read: Whether to take every reading as exact, and not to say how sure verdicts are.

    Returns:
        The outcome, without files.

    Raises:
        DomainError: If there is no such configuration or rule set.
        GeometryError: If a state cannot be reached.
    """
    return _judged(scene, Path(), only, rules, _quiet, as_read)


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

    Returns:
        The outcome, with the files written.

    Raises:
        DomainError: If there is no such configuration or rule set.
        GeometryError: If a state cannot be reached.
        EngineError: If the engine does not keep its promise.
    """
    outcome = _judged(scene, outputs, only, rules, progress)
    _confirm(outcome, progress)
    _tabulate(outcome, progress)
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

    Returns:
        The outcome, with the files written.

    Raises:
        DomainError: If there is no such configuration or rule set.
        GeometryError: If a state cannot be reached.
        EngineError: If a picture cannot be made.
    """
    outcome = _judged(scene, outputs, only, rules, progress)
    _film(outcome, progress, gif=gif)
    return outcome


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
        film_seconds: Length of the film [s].
        picture_scale: Size of film and stills, over the usual size [-]; for quick previews.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Returns:
        The outcome, with the files written.

    Raises:
        DomainError: If there is no such configuration or rule set.
        GeometryError: If a state cannot be reached.
        EngineError: If the engine does not keep its promise.
    """
    from sim.show.report import report

    outcome = _judged(scene, outputs, only, rules, progress)
    _confirm(outcome, progress)
    comparison = _tabulate(outcome, progress)
    _still(outcome, progress, picture_scale)
    video, poster = _film(outcome, progress, seconds=film_seconds, scale=picture_scale)
    with outcome.stage("report", progress):
        page = report(
            scene,
            outcome.results,
            outcome.folder,
            comparison=comparison,
            film=video,
            poster=poster,
        )
        outcome.files.append(page)
    _describe(outcome)
    return outcome


def _judged(
    scene: Scene,
    outputs: Path,
    only: str | None,
    rules: str | None,
    progress: Progress,
    as_read: bool = False,
) -> Outcome:
    """Solve, measure and judge every configuration asked for."""
    rule_set = rules or scene.rules
    if rule_set not in rule_sets():
        raise DomainError(f'no rule set "{rule_set}"; there are: {", ".join(rule_sets())}')
    chosen = scene.configurations if only is None else (scene.configuration(only),)
    folder = outputs / scene.name if only is None else outputs / scene.name / only
    outcome = Outcome(scene=scene, folder=folder, alone=only is not None)
    results = []
    with outcome.stage("solve and judge", progress) as done:
        for number, result in enumerate(verdicts(chosen, rule_set, as_read=as_read), start=1):
            results.append(result)
            done(number, len(chosen))
    outcome.results = tuple(results)
    return outcome


def _confirm(outcome: Outcome, progress: Progress) -> None:
    """Run the rigid-body route of every configuration, side by side in processes of their own."""
    results = outcome.results
    crew = min(len(results), os.cpu_count() or 1)
    with (
        outcome.stage("rigid-body route", progress) as done,
        ProcessPoolExecutor(crew, mp_context=get_context("spawn")) as pool,
    ):
        confirmed = []
        agreements = pool.map(_agreement, [result.configuration for result in results])
        for number, (result, agreement) in enumerate(
            zip(results, agreements, strict=True), start=1
        ):
            confirmed.append(replace(result, agreement=agreement))
            done(number, len(results))
    outcome.results = tuple(confirmed)


def _agreement(configuration: Configuration) -> Agreement:
    """Return how far the two routes are apart."""
    from sim.measure.agreement import compare_routes
    from sim.world.simulate import simulate

    return compare_routes(simulate(configuration))


def _own_folder(outcome: Outcome, result: Result) -> Path:
    """Return the folder of one configuration's files."""
    return outcome.folder if outcome.alone else outcome.folder / result.configuration.name


def _tabulate(outcome: Outcome, progress: Progress) -> tuple[Path, ...]:
    """Write tables and plots; return the plots that compare configurations."""
    from sim.show.plots import draw_comparison, draw_configuration
    from sim.show.tables import write_tables

    scene, drawn = outcome.scene, []
    with outcome.stage("tables and plots", progress) as done:
        for number, result in enumerate(outcome.results, start=1):
            folder = _own_folder(outcome, result)
            outcome.files += write_tables(result.measurements, folder, scene.display)
            pictures = draw_configuration(
                scene, result.motion, result.measurements, result.findings, folder
            )
            outcome.files += pictures
            drawn.append(replace(result, pictures=pictures))
            done(number, len(outcome.results) + 1)
        outcome.results = tuple(drawn)
        named = {r.configuration.name: r.measurements for r in outcome.results}
        comparison = draw_comparison(scene, named, outcome.folder) if len(named) > 1 else ()
        outcome.files += comparison
    return comparison


def _still(outcome: Outcome, progress: Progress, scale: float = 1.0) -> None:
    """Write stills of every configuration at ride height."""
    from sim.show.stills import SIZE, draw_stills

    results, seen, size = outcome.results, [], _scaled(SIZE, scale)
    # in another process, one configuration after the other: meshes leave nothing behind here
    with (
        outcome.stage("stills", progress) as done,
        ProcessPoolExecutor(1, mp_context=get_context("spawn"), max_tasks_per_child=1) as pool,
    ):
        orders = [
            pool.submit(draw_stills, result.motion, _own_folder(outcome, result), size)
            for result in results
        ]
        for number, (result, order) in enumerate(zip(results, orders, strict=True), start=1):
            stills = order.result()
            outcome.files += stills
            seen.append(replace(result, pictures=(*result.pictures, *stills)))
            done(number, len(results))
    outcome.results = tuple(seen)


def _film(
    outcome: Outcome,
    progress: Progress,
    gif: bool = False,
    seconds: float = 6.0,
    scale: float = 1.0,
) -> tuple[Path, Path]:
    """Make the film; return it and its poster."""
    from sim.show.film.film import SIZE, film

    named = {r.configuration.name: r for r in outcome.results}
    shown = list(dict.fromkeys(name for name in outcome.scene.compared if name in named))
    shown = shown or list(named)[:1]
    path = outcome.folder / "compare.mp4"
    if len(shown) == 1:
        path = _own_folder(outcome, named[shown[0]]) / "film.mp4"
    with outcome.stage("film", progress) as done:
        files = film(
            outcome.scene,
            [named[name].measurements for name in shown],
            path,
            seconds=seconds,
            size=_scaled(SIZE, scale),
            gif=gif,
            progress=done,
        )
    written = (files.video, files.poster, files.gif)
    outcome.files += [file for file in written if file is not None]
    return files.video, files.poster


def _scaled(size: tuple[int, int], scale: float) -> tuple[int, int]:
    """Return a size times a scale [pixels]."""
    return round(size[0] * scale), round(size[1] * scale)


def _describe(outcome: Outcome) -> None:
    """Write ``run.json``: what was run, with which versions, and how well the routes agreed."""
    from sim.show.summary import write_run_record

    outcome.files.append(
        write_run_record(outcome.scene, outcome.results, outcome.seconds, outcome.folder)
    )
