"""Picture of the joint angles of one configuration over axle travel."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from pathlib import Path
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes

from sim.display import DEGREES, Display
from sim.judge.findings import Findings
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import (
    LETTERS,
    EndLabel,
    drawing,
    label_ends,
    limit_line,
    panels,
    save,
)
from sim.show.plots.series import Limit, cases_of, limits_of
from sim.show.plots.travel_axis import draw_case, finish_travel
from sim.show.style import LIMIT, joint_look


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
    limits = limits_of(findings, "deg", "joint", display)
    largest = float(np.max(m.joint_angle)) / DEGREES.size
    shown = [limit for limit in limits if limit.value <= max(1.3 * largest, 3.5)]
    rows = (len(cases) + 1) // 2
    height = 0.75 + 2.55 * rows
    with drawing(8.4, height, "Joint angles over axle travel", _subtitle(about, limits, shown)) as (
        figure,
        top,
    ):
        grid = panels(figure, rows, 2, sharex=True, sharey=True)
        figure.subplots_adjust(
            left=0.075, right=0.905, bottom=0.52 / height, top=top - 0.05, wspace=0.28, hspace=0.30
        )
        for number, (axes, case) in enumerate(zip(chain(*grid), cases, strict=False)):
            axes.set_ylim(0, 1.12 * max(largest, *(limit.value for limit in shown), 1.0))
            axes.set_title(case, pad=13)
            drawn = _limits(axes, [x for x in shown if number == 0 or not x.still])
            _angles_of_case(axes, m, case, display, drawn)
        finish_travel(grid, m, display, "joint angle [deg]", len(cases))
        return save(figure, folder, "joint-angles")


def _subtitle(about: str, limits: Sequence[Limit], shown: Sequence[Limit]) -> str:
    """Return whose angles, and what each limit is; its line carries only sign and value."""
    at_rest = [limit.text for limit in shown if limit.still]
    running = [limit.text for limit in shown if not limit.still]
    beyond = [limit.text for limit in limits if limit not in shown]
    groups = (
        ("limits at ride height, in the first panel", at_rest),
        ("limits in every panel", running),
        ("above the picture", beyond),
    )
    said = [f"{head}: {'; '.join(texts)}" for head, texts in groups if texts]
    return "\n".join([about, *chain.from_iterable(wrap(line, LETTERS) for line in said)])


def _limits(axes: Axes, limits: Sequence[Limit]) -> list[EndLabel]:
    """Draw limits; return a label for each value, to stand beside the panel, off the curves."""
    labels = []
    for value in dict.fromkeys(limit.value for limit in limits):
        limit_line(axes, value, "")
        signs = dict.fromkeys(limit.sign for limit in limits if limit.value == value)
        labels.append(EndLabel(value, f"{', '.join(signs)} {value:.2f}", LIMIT))
    return labels


def _angles_of_case(
    axes: Axes, m: Measurements, case: str, display: Display, limits: Sequence[EndLabel]
) -> None:
    """Draw the angle of every joint in one torque case, named at the end among the limits."""
    ends, last = [*limits], 0.0
    for joint in range(m.joint_angle.shape[1]):
        look, angles = joint_look(joint), m.joint_angle[:, joint] / DEGREES.size
        last, end = draw_case(axes, m, case, angles, look, display, still=True)
        ends.append(EndLabel(end, f"joint {joint + 1}", look.color))
    label_ends(axes, ends, last)
