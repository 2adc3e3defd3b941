"""What each millimeter does to every configuration, worked out side by side and written."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import TYPE_CHECKING

from sim.crew import each
from sim.display import display_of
from sim.errors import SimError
from sim.judge.rule import RuleSet
from sim.outcome import Outcome, Progress
from sim.show.result import Result

if TYPE_CHECKING:
    from sim.explore.effects import Effects


def vary(outcome: Outcome, progress: Progress) -> None:
    """Work out what each millimeter does to every configuration; write its table and picture.

    Args:
        outcome: What was judged; results get their effects, files what is written.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].
    """
    from sim.show.effects import write_effects
    from sim.show.plots.effects import draw_effects

    scene, varied = outcome.scene, []
    work = functools.partial(_effects, rules=outcome.rules)
    with outcome.stage("what each millimeter does", progress) as done:
        for result, found in zip(outcome.results, each(work, outcome.results, "fork"), strict=True):
            name, folder = result.configuration.name, outcome.folder_of(result)
            if isinstance(found, SimError):
                outcome.trouble(f"What each millimeter does to {name} is not known", found)
                varied.append(result)
            else:
                about = f"{scene.title}, {name}"
                pictures = draw_effects(found, display_of(scene.display), about, folder)
                outcome.files += [write_effects(found, folder, scene.display), *pictures]
                drawn = (*result.pictures, *pictures)
                varied.append(replace(result, effects=found, pictures=drawn))
            done(len(varied), len(outcome.results))
    outcome.results = tuple(varied)


def _effects(result: Result, rules: RuleSet) -> Effects:
    """Return what each millimeter does to one configuration."""
    from sim.explore.effects import effects_of

    return effects_of(result.measurements, rules)
