"""What each millimeter does to every configuration, worked out side by side and written."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sim.crew import each
from sim.display import display_of
from sim.errors import SimError
from sim.judge.rule import RuleSet
from sim.outcome import Outcome, Progress
from sim.scene.parts import Scene
from sim.show.result import Result

if TYPE_CHECKING:
    from sim.explore.effects import Effects


def vary(outcome: Outcome, progress: Progress) -> None:
    """Work out what each millimeter does to every configuration; write its table and picture.

    Args:
        outcome: What was judged; results get their effects, files what is written.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].
    """
    scene, varied, results = outcome.scene, [], outcome.results
    orders = [(result, outcome.folder_of(result)) for result in results]
    work = functools.partial(_effects, scene=scene, rules=outcome.rules)
    with outcome.stage("what each millimeter does", progress) as done:
        for result, found in zip(results, each(work, orders, "fork"), strict=True):
            if isinstance(found, SimError):
                name = result.configuration.name
                outcome.trouble(f"What each millimeter does to {name} is not known", found)
                varied.append(result)
            else:
                effects, table, pictures = found
                outcome.files += [table, *pictures]
                drawn = (*result.pictures, *pictures)
                varied.append(replace(result, effects=effects, pictures=drawn))
            done(len(varied), len(results))
    outcome.results = tuple(varied)


def _effects(
    order: tuple[Result, Path], scene: Scene, rules: RuleSet
) -> tuple[Effects, Path, tuple[Path, Path]]:
    """Return what each millimeter does to one configuration, and its table and picture."""
    from sim.explore.effects import effects_of
    from sim.show.effects import write_effects
    from sim.show.plots.effects import draw_effects

    result, folder = order
    found = effects_of(result.measurements, rules)
    about = f"{scene.title}, {result.configuration.name}"
    return (
        found,
        write_effects(found, folder, scene.display),
        draw_effects(found, display_of(scene.display), about, folder),
    )
