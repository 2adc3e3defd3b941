"""Picture of the joint angles of one configuration over axle travel."""

from __future__ import annotations

from itertools import chain
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.judge.findings import Findings
from sim.measure.measurements import Measurements
from sim.show.display import DEGREE, Display
from sim.show.plots.canvas import (
    EndLabel,
    draw_line,
    drawing,
    label_ends,
    limit_line,
    panels,
    save,
)
from sim.show.plots.series import cases_of, curve_states, limits_of
from sim.show.plots.travel_axis import finish_travel, marks, travel_of
from sim.show.style import joint_look


def draw_joint_angles(
    m: Measurements, findings: Findings, display: Display, about: str, folder: Path
) -> tuple[Path, Path]:
    """Draw every joint angle over travel, one panel a torque case, with the limits of the rules.

    Args:
        m: What was measured.
        findings: The verdicts, for their limits.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    cases = cases_of(m.states)
    limits = limits_of(findings, "deg", r"joint \d+", display)
    rows = (len(cases) + 1) // 2
    with drawing(8.4, 0.75 + 2.55 * rows, "Joint angles over axle travel", about) as (figure, top):
        grid = panels(figure, rows, 2, sharex=True, sharey=True)
        figure.subplots_adjust(
            left=0.075,
            right=0.905,
            bottom=0.52 / (0.75 + 2.55 * rows),
            top=top - 0.05,
            wspace=0.28,
            hspace=0.28,
        )
        ceiling = 1.12 * max(float(np.max(m.joint_angle)) / DEGREE, *(x.value for x in limits), 1.0)
        for panel, case in zip(chain(*grid), cases, strict=False):
            panel.set_ylim(0, ceiling)
            panel.set_title(case, pad=13)
            _angles_of_case(panel, m, case, display)
            for limit in limits:
                limit_line(panel, limit.value, limit.text)
        finish_travel(grid, m, display, "joint angle [deg]", len(cases))
        return save(figure, folder, "joint-angles")


def _angles_of_case(axes: Axes, m: Measurements, case: str, display: Display) -> None:
    """Draw the angle of every joint in one torque case, named at the end."""
    at = curve_states(m.states, case)
    x = travel_of(m, at, display)
    ends = []
    for joint in range(m.joint_angle.shape[1]):
        look, y = joint_look(joint), m.joint_angle[at, joint] / DEGREE
        draw_line(axes, x, y, look, marks(m, display))
        ends.append(EndLabel(float(y[-1]), f"joint {joint + 1}", look.color))
    label_ends(axes, ends, float(x[-1]))
