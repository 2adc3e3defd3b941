"""The axis that pictures over travel share: heights named, units on the labels."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from sim.arrays import Array
from sim.display import Display
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import draw_line, draw_marks, draw_still, name_heights
from sim.show.plots.series import (
    cases_of,
    curve_states,
    lighter_states,
    named_travels,
    still_states,
)
from sim.show.style import Look


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
    apart = any(lighter_states(m.states, case).size for case in cases_of(m.states))
    lighter = "; apart: less load" if apart else ""
    for number, axes in enumerate(axes for row in grid for axes in row):
        if number >= used:
            axes.set_visible(False)
            continue
        name_heights(axes, heights)
        axes.tick_params(labelbottom=True)
        if number >= used - columns:
            axes.set_xlabel(f"axle travel [{unit.name}], bump positive{lighter}")
        if label and number % columns == 0:
            axes.set_ylabel(label)


def draw_case(
    axes: Axes,
    m: Measurements,
    case: str,
    values: Array,
    look: Look,
    display: Display,
    *,
    still: bool = False,
) -> tuple[float, float]:
    """Draw one quantity of a torque case over travel; return where its line ends, (0, 0) if none.

    Named heights have a marker; one that is less loaded than the vehicle travels at most stands
    beside the line.

    Args:
        axes: Panel.
        m: What was measured.
        case: Name of the torque case.
        values: In every state, in the unit shown, shape (S,).
        look: How it looks.
        display: Units shown.
        still: Whether to draw states in which nothing turns too, hollow.
    """
    at, apart = curve_states(m.states, case), lighter_states(m.states, case)
    if still:
        parked = still_states(m.states, case)
        draw_still(axes, _travel_of(m, parked, display), values[parked], look)
    if apart.size:
        draw_marks(axes, _travel_of(m, apart, display), values[apart], look)
    if not at.size:
        return 0.0, 0.0
    x = _travel_of(m, at, display)
    draw_line(axes, x, values[at], look, x[[bool(m.states[k].height) for k in at]].tolist())
    return float(x[-1]), float(values[at[-1]])


def _travel_of(m: Measurements, at: NDArray[np.int64], display: Display) -> Array:
    """Return the travel of states in the unit shown."""
    return np.array([display.length.of(m.states[number].travel) for number in at])
