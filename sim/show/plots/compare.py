"""Pictures of all configurations on the same axes: over travel, and their critical speeds."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.measure.measurements import Array, Measurements
from sim.show.display import DEGREE, Display
from sim.show.plots.canvas import EndLabel, draw_line, drawing, label_ends, limit_line, panels, save
from sim.show.plots.series import cases_of, curve_states, hardest_case, named_travels
from sim.show.plots.travel_axis import finish_travel
from sim.show.style import LIMIT, configuration_look


def draw_travel_compared(
    named: Mapping[str, Measurements], display: Display, about: str, folder: Path
) -> tuple[Path, Path]:
    """Draw largest joint angle, pinion fluctuation and gap of all configurations over travel.

    The left column is the first torque case, the right one the hardest drive.

    Args:
        named: Measurements by the name of their configuration, in the order of the scene.
        display: Units shown.
        about: Subtitle: which vehicle.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    first = next(iter(named.values()))
    cases = tuple(dict.fromkeys((cases_of(first.states)[0], hardest_case(first))))
    gap = display.length
    every = named.items()
    rows = (
        ("largest joint angle [deg]", {n: np.max(m.joint_angle, 1) / DEGREE for n, m in every}),
        (
            "pinion fluctuation,\npeak to peak [%]",
            {n: 100 * m.fluctuation[:, -1] for n, m in every},
        ),
        (f"gap to bottoming [{gap.name}]", {n: m.gap / gap.size for n, m in every}),
    )
    with drawing(8.4, 8.0, "The configurations compared over axle travel", about) as (figure, top):
        grid = panels(figure, 3, len(cases), sharex=True, sharey="row")
        figure.subplots_adjust(
            left=0.085, right=0.86, bottom=0.065, top=top - 0.05, wspace=0.42, hspace=0.24
        )
        for line, (label, values) in zip(grid, rows, strict=True):
            drawn = np.concatenate(list(values.values()))
            low = min(0.0, float(np.min(drawn)))
            line[0].set_ylim(1.1 * low, 1.12 * float(np.max(drawn)) + 1e-3)
            line[0].set_ylabel(label)
            for axes, case in zip(line, cases, strict=True):
                _lines(axes, named, values, case, display)
        for axes, case in zip(grid[0], cases, strict=True):
            axes.set_title(case, pad=13)
        for axes in grid[-1]:
            axes.axhline(0, color=LIMIT, linewidth=1.2)
            limit_line(axes, gap.of(first.configuration.limits.gap), "least gap wanted")
        finish_travel(grid, first, display, "", 3 * len(cases))
        return save(figure, folder, "compare-travel")


def _lines(
    axes: Axes,
    named: Mapping[str, Measurements],
    values: Mapping[str, Array],
    case: str,
    display: Display,
) -> None:
    """Draw one quantity of every configuration in one torque case, named at the end."""
    ends, last = [], 0.0
    for number, (name, m) in enumerate(named.items()):
        at = curve_states(m.states, case)
        look, unit = configuration_look(number), display.length
        x = np.array([unit.of(m.states[k].travel) for k in at])
        marks = [unit.of(travel) for travel, _ in named_travels(m.states)]
        draw_line(axes, x, values[name][at], look, marks)
        ends.append(EndLabel(float(values[name][at][-1]), name, look.color))
        last = max(last, float(x[-1]))
    label_ends(axes, ends, last)
