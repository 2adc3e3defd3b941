"""Picture of fluctuation and accelerations of one configuration over axle travel."""

from __future__ import annotations

from itertools import chain
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.judge.findings import Findings
from sim.measure.measurements import Array, Measurements
from sim.show.display import Display
from sim.show.plots.canvas import (
    EndLabel,
    draw_line,
    drawing,
    label_ends,
    limit_line,
    panels,
    save,
)
from sim.show.plots.series import Limit, cases_of, curve_states, limits_of
from sim.show.plots.travel_axis import finish_travel, marks, travel_of
from sim.show.style import Look, case_dashes, configuration_look


def draw_smoothness(
    m: Measurements, findings: Findings, display: Display, about: str, folder: Path
) -> tuple[Path, Path]:
    """Draw pinion fluctuation and the three accelerations over travel, a line a torque case.

    Args:
        m: What was measured.
        findings: The verdicts, for their limits.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    a = m.acceleration
    shown: tuple[tuple[str, str, Array, tuple[Limit, ...]], ...] = (
        ("Pinion speed fluctuation", "peak to peak [%]", m.fluctuation[:, -1] * 100,
         limits_of(findings, "%", ".*pinion.*", display)),
        ("Torsional: pinion, steady output", "rad/s², zero to peak", a.torsional,
         _acceleration_limits(findings, "torsional", display)),
        ("Inertial drive: worst shaft, steady output", "rad/s², zero to peak", a.inertial_drive,
         _acceleration_limits(findings, "inertial", display)),
        ("Inertial coast: worst shaft, steady pinion", "rad/s², zero to peak", a.inertial_coast,
         _acceleration_limits(findings, "inertial", display)),
    )  # fmt: skip
    note = f"{about}; accelerations at the road speed of each state: {speeds(m, display)}"
    with drawing(8.4, 6.1, "Speed fluctuation and angular acceleration over axle travel", note) as (
        figure,
        top,
    ):
        grid = panels(figure, 2, 2, sharex=True)
        figure.subplots_adjust(
            left=0.075, right=0.88, bottom=0.085, top=top - 0.045, wspace=0.52, hspace=0.30
        )
        for axes, (title, label, values, limits) in zip(chain(*grid), shown, strict=True):
            axes.set_title(title, pad=13)
            axes.set_ylim(0, 1.12 * max(float(np.max(values)), *(x.value for x in limits), 1e-3))
            _cases(axes, m, values, display)
            for limit in limits:
                limit_line(axes, limit.value, limit.text)
            axes.set_ylabel(label)
        finish_travel(grid, m, display, "", 4)
        return save(figure, folder, "smoothness")


def _acceleration_limits(findings: Findings, kind: str, display: Display) -> tuple[Limit, ...]:
    """Return the limits on one kind of acceleration."""
    return tuple(x for x in limits_of(findings, "rad/s²", ".*", display) if kind in x.text)


def _cases(axes: Axes, m: Measurements, values: Array, display: Display) -> None:
    """Draw one quantity, a line a torque case, named at the end."""
    ends, last = [], 0.0
    for number, case in enumerate(cases_of(m.states)):
        at = curve_states(m.states, case)
        look = Look(configuration_look(number).color, "o", case_dashes(number))
        x = travel_of(m, at, display)
        draw_line(axes, x, values[at], look, marks(m, display))
        ends.append(EndLabel(float(values[at][-1]), case, look.color))
        last = float(x[-1])
    label_ends(axes, ends, last)


def speeds(m: Measurements, display: Display) -> str:
    """Return the road speeds that belong to ride height, in words."""
    found = {s.case: s.road_speed for s in m.states if s.turning and s.travel == 0 and s.roll == 0}
    return ", ".join(f"{case} {display.speed.say(speed)}" for case, speed in found.items())
