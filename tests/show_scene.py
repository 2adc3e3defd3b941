"""A small scene with its results, made once for the tests of pictures, tables and report.

Invented data, no source, never evidence.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import samples

from sim.judge.judge import judge
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Scene
from sim.show.result import Result

HOSTILE = '<script>alert("1")</script> & <img src=x>'


def scene(*configurations: Configuration, **changes: Any) -> Scene:
    """Return a scene around configurations."""
    names = [configuration.name for configuration in configurations]
    known: dict[str, Any] = {
        "name": "yard",
        "title": "Yard truck",
        "about": "Invented",
        "datum": "aft of the front wheel center",
        "display": "metric",
        "rules": "two-piece service",
        "configurations": configurations,
        "compared": (names[0], names[-1]),
        "doubts": (),
        "text": "",
        "digest": "0" * 64,
    }
    return Scene(**(known | changes))


def result_of(configuration: Configuration, heights: int = 5) -> Result:
    """Return what a configuration comes to, at few heights."""
    states = sweep_states(configuration, heights=heights)
    measurements = measure(solve(configuration, states=states))
    return Result(
        configuration=configuration,
        measurements=measurements,
        findings=judge(measurements),
    )


@cache
def results() -> tuple[Result, ...]:
    """Return the results of a one-piece and a two-piece shaft, computed once."""
    return result_of(samples.one_piece()), result_of(samples.two_piece())
