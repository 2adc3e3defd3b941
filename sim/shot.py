"""Stills and the film of what was judged."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sim.crew import each
from sim.errors import SimError
from sim.outcome import Outcome, Progress

if TYPE_CHECKING:
    from sim.motion.motion import Motion


def still(outcome: Outcome, progress: Progress, scale: float = 1.0) -> None:
    """Write stills of every configuration at ride height."""
    from sim.show.stills import SIZE

    results, seen = outcome.results, []
    orders = [(result.motion, outcome.folder_of(result)) for result in results]
    draw = functools.partial(_drawn, size=_scaled(SIZE, scale))
    with outcome.stage("stills", progress) as done:
        for result, stills in zip(results, each(draw, orders, "fork"), strict=True):
            if isinstance(stills, SimError):
                outcome.trouble(f"{result.configuration.name} has no stills", stills)
                stills = ()
            outcome.files += stills
            seen.append(replace(result, pictures=(*result.pictures, *stills)))
            done(len(seen), len(results))
    outcome.results = tuple(seen)


def _drawn(order: tuple[Motion, Path], size: tuple[int, int]) -> tuple[Path, ...]:
    """Draw the stills of one motion into a folder."""
    from sim.show.stills import draw_stills

    return draw_stills(*order, size)


def shoot(
    outcome: Outcome,
    progress: Progress,
    gif: bool = False,
    seconds: float = 6.0,
    scale: float = 1.0,
) -> tuple[Path | None, Path | None]:
    """Make the film; return it and its poster, or None where it cannot be made."""
    from sim.show.film.film import SIZE, film

    named = {r.configuration.name: r for r in outcome.results}
    shown = list(dict.fromkeys(name for name in outcome.scene.compared if name in named))
    shown = shown or list(named)[:1]
    path = outcome.folder / "compare.mp4"
    if len(shown) == 1:
        path = outcome.folder_of(named[shown[0]]) / "film.mp4"
    with outcome.stage("film", progress) as done, outcome.attempt("There is no film"):
        size, what = _scaled(SIZE, scale), [named[name].measurements for name in shown]
        files = film(outcome.scene, what, path, seconds=seconds, size=size, gif=gif, progress=done)
        outcome.files += [file for file in (files.video, files.poster, files.gif) if file]
        return files.video, files.poster
    return None, None


def _scaled(size: tuple[int, int], scale: float) -> tuple[int, int]:
    """Return a size times a scale [pixels]."""
    return round(size[0] * scale), round(size[1] * scale)
