"""Pictures of all configurations on the same axes: over travel, and their critical speeds."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from sim.arrays import Array
from sim.display import DEGREES, Display
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import (
    EndLabel,
    drawing,
    label_ends,
    limit_line,
    panels,
    room_beside,
    save,
)
from sim.show.plots.series import cases_of, hardest_case
from sim.show.plots.travel_axis import draw_case, finish_travel
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
    first, all_of = next(iter(named.values())), named.items()
    cases = tuple(dict.fromkeys((cases_of(first.states)[0], hardest_case(first))))
    unit = display.length
    rows = (
        ("largest joint angle [deg]",
         {n: np.max(m.joint_angle, 1) / DEGREES.size for n, m in all_of}),
        ("pinion fluctuation,\npeak to peak [%]",
         {n: m.fluctuation[:, -1] * 100 for n, m in all_of}),
        (f"gap to bottoming [{unit.name}]", {n: m.gap / unit.size for n, m in all_of}),
    )  # fmt: skip
    with drawing(8.4, 7.6, "The configurations compared over axle travel", about) as (figure, top):
        grid = panels(figure, 3, len(cases), sharex=True, sharey="row")
        figure.subplots_adjust(left=0.085, right=1 - room_beside(named, 8.4), bottom=0.065)
        figure.subplots_adjust(top=top - 0.075, wspace=0.08, hspace=0.24)
        for line, (label, values) in zip(grid, rows, strict=True):
            drawn = np.concatenate(list(values.values()))
            low = min(0.0, float(np.min(drawn)))
            line[0].set_ylim(1.1 * low, 1.12 * float(np.max(drawn)) + 1e-3)
            line[0].set_ylabel(label)
            for axes, case in zip(line, cases, strict=True):
                ends = _lines(axes, named, values, case, display)
            label_ends(line[-1], ends, unit.of(max(s.travel for s in first.states if s.turning)))
        for axes, case in zip(grid[0], cases, strict=True):
            axes.set_title(case, pad=13)
        for axes in grid[-1]:
            axes.axhline(0, color=LIMIT, linewidth=1.6)
            limit_line(axes, unit.of(first.configuration.limits.gap), "least gap wanted")
        finish_travel(grid, first, display, "", 3 * len(cases))
        _key(figure, named)
        return save(figure, folder, "compare-travel")


def _key(figure: Figure, named: Mapping[str, Measurements]) -> None:
    """Write which line is which configuration, in one row under the headline."""
    looks = [configuration_look(number) for number in range(len(named))]
    lines = [
        Line2D([], [], color=k.color, marker=k.marker, linestyle=(0, k.dashes) if k.dashes else "-")
        for k in looks
    ]
    place = (0.004, 1 - 0.46 / 7.6)
    figure.legend(lines, list(named), loc="upper left", bbox_to_anchor=place, ncols=len(named))


def _lines(
    axes: Axes,
    named: Mapping[str, Measurements],
    values: Mapping[str, Array],
    case: str,
    display: Display,
) -> list[EndLabel]:
    """Draw one quantity of every configuration in one torque case; return what to write beside."""
    ends = []
    for number, (name, m) in enumerate(named.items()):
        look = configuration_look(number)
        if case in cases_of(m.states):
            _, end = draw_case(axes, m, case, values[name], look, display)
            ends.append(EndLabel(end, name, look.color))
    return ends
