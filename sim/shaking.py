"""What the configurations shake over road speed, worked out side by side, drawn and written."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from sim.crew import each
from sim.display import Display, display_of
from sim.errors import SimError
from sim.outcome import Outcome, Progress
from sim.scene.parts import Configuration

if TYPE_CHECKING:
    from sim.explore.shaken import Shake
    from sim.show.report.shake import ShakePage


def shake(outcome: Outcome, progress: Progress) -> ShakePage | None:
    """Shake the compared configurations; write their pictures and tables.

    Args:
        outcome: What was judged; its files get what is written.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Returns:
        The chapter of the report, or None where nothing could be shaken.
    """
    from sim.show.felt_words import answers_of
    from sim.show.plots.shake import draw_shake
    from sim.show.report.shake import shake_page
    from sim.show.shake_table import write_shake
    from sim.show.shake_view import Shown, asked_of, shown_names

    scene, display = outcome.scene, display_of(outcome.scene.display)
    by_name = {result.configuration.name: result for result in outcome.results}
    names = shown_names(scene, tuple(by_name))
    chosen = [by_name[name].configuration for name in names]
    order = [one.name for one in scene.configurations]
    shown = []
    with outcome.stage("shake over road speed", progress) as done:
        work = functools.partial(_shaken, display=display)
        for name, found in zip(names, each(work, chosen, "fork"), strict=True):
            if isinstance(found, SimError):
                outcome.trouble(f"What {name} shakes is not known", found)
            else:
                shown.append(Shown(order.index(name), found))
            done(len(shown), len(names) + 1)
        questions = asked_of(shown)
        complaints = chosen[0].complaints
        charts = [
            draw_shake(asked, complaints, display, scene.title, outcome.folder)
            for asked in questions
        ]
        outcome.files += [file for chart in charts for file in chart.files]
        for one in shown:
            folder = outcome.folder_of(by_name[one.name])
            outcome.files += write_shake(one.shake, questions, display, folder)
    return shake_page(charts, shown, display, answers_of(outcome.results))


def _shaken(configuration: Configuration, display: Display) -> Shake:
    """Return what one configuration shakes at all road speeds that are shown."""
    from sim.explore.shaken_bands import shake_drawn
    from sim.show.shake_view import road_speeds

    return shake_drawn(configuration, road_speeds(display, configuration.vehicle))
