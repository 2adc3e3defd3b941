"""The axis that pictures over travel share: heights named, units on the labels."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from sim.arrays import Array
from sim.display import Display
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import name_heights
from sim.show.plots.series import named_travels


def finish_travel(
    grid: Sequence[Sequence[Axes]], m: Measurements, display: Display, label: str, used: int
) -> None:
    """Label the axes of panels over travel, name the heights, hide the panels left over.

    Args:
        grid: Panels in rows.
        m: What was measured, for its heights.
        display: Units shown.
        label: What every row shows, or "" where the rows say it themselves.
        used: How many panels hold something.
    """
    unit, columns = display.length, len(grid[0])
    heights = [(unit.of(travel), name) for travel, name in named_travels(m.states)]
    for number, axes in enumerate(axes for row in grid for axes in row):
        if number >= used:
            axes.set_visible(False)
            continue
        name_heights(axes, heights)
        axes.tick_params(labelbottom=True)
        if number >= used - columns:
            axes.set_xlabel(f"axle travel [{unit.name}], bump positive")
        if label and number % columns == 0:
            axes.set_ylabel(label)


def travel_of(m: Measurements, at: NDArray[np.int64], display: Display) -> Array:
    """Return the travel of states in the unit shown."""
    return np.array([display.length.of(m.states[number].travel) for number in at])


def marks(m: Measurements, display: Display) -> list[float]:
    """Return the travels of a curve that get a marker, in the unit shown."""
    named = {s.travel for s in m.states if s.height and s.turning and s.roll == 0}
    return [display.length.of(travel) for travel in sorted(named)]
