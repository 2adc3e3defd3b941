"""Picture of the pinion's speed over one turn of the output, at droop, ride and bump."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.arrays import Array
from sim.motion.motion import Motion
from sim.show.plots.canvas import (
    EndLabel,
    draw_line,
    drawing,
    label_ends,
    panels,
    room_beside,
    save,
)
from sim.show.plots.series import cases_of
from sim.show.style import case_look

_HEIGHTS = ("full droop", "ride height", "full bump")


def draw_turn(motion: Motion, about: str, folder: Path) -> tuple[Path, Path]:
    """Draw the pinion's speed over one turn of the output, a panel a height, a line a case.

    Args:
        motion: As solved, with its turn angles rising over one turn.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    named = {state.height for state in motion.states if state.turning}
    heights = [name for name in _HEIGHTS if name in named]
    with drawing(8.4, 3.3, "Speed of the pinion over one turn of the output", about) as (
        figure,
        top,
    ):
        grid = panels(figure, 1, len(heights), sharey=True)[0]
        figure.subplots_adjust(
            left=0.105,
            right=1 - room_beside(cases_of(motion.states), 8.4),
            bottom=0.155,
            top=top - 0.07,
            wspace=0.12,
        )
        reach = 1.12 * max(0.02, 100 * float(np.max(np.abs(motion.speed_ratio[..., -1] - 1))))
        for axes, height in zip(grid, heights, strict=True):
            axes.set_title(height)
            axes.set(xlim=(0, 360), ylim=(-reach, reach), xticks=range(0, 361, 90))
            axes.set_xlabel("turn of the output [deg]")
            ends = _lines(axes, motion, height)
        label_ends(grid[-1], ends, 360.0)
        grid[0].set_ylabel("pinion faster (+), slower (−)\nthan the output [%]")
        return save(figure, folder, "speed-over-turn")


def _lines(axes: Axes, motion: Motion, height: str) -> list[EndLabel]:
    """Draw the lines of one height and return what to write at their ends."""
    ends = []
    for number, case in enumerate(cases_of(motion.states)):
        look = case_look(number)
        for k, state in enumerate(motion.states):
            if (state.height, state.case, state.roll) != (height, case, 0.0):
                continue
            x, y = _closed(motion, k)
            draw_line(axes, x, y, look, width=1.5)
            ends.append(EndLabel(float(y[-1]), case, look.color))
    return ends


def _closed(motion: Motion, state: int) -> tuple[Array, Array]:
    """Return turn angle [deg] and deviation [%] of one state, closed to a full turn."""
    start = motion.turn_angle[state, 0]
    x = np.degrees(motion.turn_angle[state] - start)
    y = 100 * (motion.speed_ratio[state, :, -1] - 1)
    if x[-1] < 360 - 1e-6:
        x, y = np.append(x, 360.0), np.append(y, y[0])
    return x, y
