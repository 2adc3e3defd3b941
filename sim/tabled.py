"""Tables and plots of what was judged, the plots of several configurations side by side."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sim.crew import each
from sim.errors import SimError
from sim.outcome import Outcome, Progress
from sim.scene.parts import Scene

if TYPE_CHECKING:
    from sim.show.result import Result


def tabulate(outcome: Outcome, progress: Progress) -> tuple[Path, ...]:
    """Write tables and plots of every configuration.

    Args:
        outcome: What was judged; results get their pictures, files what is written.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Returns:
        The plots that compare configurations.
    """
    from sim.show.plots import draw_comparison
    from sim.show.tables import write_tables

    scene, drawn, results = outcome.scene, [], outcome.results
    orders = [(result, outcome.folder_of(result)) for result in results]
    comparison: tuple[Path, ...] = ()
    with outcome.stage("tables and plots", progress) as done:
        for result, folder in orders:
            outcome.files += write_tables(result.measurements, folder, scene.display)
        plots = each(functools.partial(_plotted, scene=scene), orders, "fork")
        for result, pictures in zip(results, plots, strict=True):
            if isinstance(pictures, SimError):
                outcome.trouble(f"{result.configuration.name} has no plots", pictures)
                pictures = ()
            outcome.files += pictures
            drawn.append(replace(result, pictures=pictures))
            done(len(drawn), len(results) + 1)
        outcome.results = tuple(drawn)
        named = {r.configuration.name: r.measurements for r in outcome.results}
        if len(named) > 1:
            comparison = draw_comparison(scene, named, outcome.folder)
        outcome.files += comparison
    return comparison


def _plotted(order: tuple[Result, Path], scene: Scene) -> tuple[Path, ...]:
    """Draw the plots of one configuration into its folder."""
    from sim.show.plots import draw_configuration

    result, folder = order
    return draw_configuration(scene, result.motion, result.measurements, result.findings, folder)
