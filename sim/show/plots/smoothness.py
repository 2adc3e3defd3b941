"""Picture of fluctuation and accelerations of one configuration over axle travel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes

from sim.arrays import Array
from sim.display import Display
from sim.judge.findings import Findings
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import (
    LABEL_GROUND,
    LETTERS,
    EndLabel,
    drawing,
    label_ends,
    limit_line,
    panels,
    room_beside,
    save,
)
from sim.show.plots.series import cases_of, limits_of
from sim.show.plots.travel_axis import draw_case, finish_travel
from sim.show.style import LABEL_SIZE, LIMIT, case_look


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
    at = f"accelerations at the road speed of each state: {speeds(m, display)}"
    note = "\n".join([about, *wrap(at, LETTERS)])
    title = "Speed fluctuation and angular acceleration over axle travel"
    room = room_beside(cases_of(m.states), 8.4)
    with drawing(8.4, 6.1, title, note) as (figure, top):
        grid = panels(figure, 2, 2, sharex=True)
        figure.subplots_adjust(left=0.075, right=1 - room, bottom=0.085, top=top - 0.045)
        figure.subplots_adjust(wspace=0.22 + 2.9 * room, hspace=0.30)
        for axes, quantity in zip(chain(*grid), _quantities(m), strict=True):
            limits = limits_of(findings, quantity.unit, None, display, quantity.rule)
            cases = cases_of(m.states) if quantity.unit == "%" else driven_cases(m)
            shown = [s.case in cases and s.turning and not s.roll for s in m.states]
            most = float(np.max(quantity.values[shown]))
            highest = max(most, *(x.value for x in limits), 1e-3)
            axes.set_ylim(0, (1.12 + 0.12 * len(limits)) * highest)
            axes.set_title(quantity.title, pad=13)
            axes.set_ylabel(f"{quantity.kind} [{quantity.unit}]")
            _cases(axes, m, quantity.values, cases, display)
            for limit in limits:
                limit_line(axes, limit.value, "")
            _name_limits(axes, [limit.text for limit in limits])
        finish_travel(grid, m, display, "", 4)
        return save(figure, folder, "smoothness")


def _name_limits(axes: Axes, texts: Sequence[str]) -> None:
    """Name the limits of a panel at its top, where no curve runs."""
    axes.annotate(
        "\n".join(texts),
        xy=(0.0, 1.0),
        xycoords="axes fraction",
        xytext=(4, -3),
        textcoords="offset points",
        color=LIMIT,
        size=LABEL_SIZE - 1,
        va="top",
        bbox=LABEL_GROUND,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Quantity:
    """What one panel shows: headline, kind of amplitude, unit, values, how its rules begin."""

    title: str
    kind: str
    unit: str
    values: Array
    rule: str


def _quantities(m: Measurements) -> tuple[_Quantity, ...]:
    """Return what the four panels show."""
    a, peak, unit = m.acceleration, "zero to peak", "rad/s²"
    drive = "Shaft uneven under drive: worst shaft"
    coast = "Shaft uneven on the overrun: worst shaft"
    return (
        _Quantity("Pinion speed fluctuation", "peak to peak", "%", 100 * m.fluctuation[:, -1], ""),
        _Quantity("Pinion uneven: at steady output", peak, unit, a.torsional, "pinion uneven"),
        _Quantity(drive, peak, unit, a.inertial_drive, "shaft uneven under"),
        _Quantity(coast, peak, unit, a.inertial_coast, "shaft uneven on"),
    )


def _cases(
    axes: Axes, m: Measurements, values: Array, cases: Sequence[str], display: Display
) -> None:
    """Draw one quantity, a line a torque case, named at the end."""
    ends, last = [], 0.0
    for number, case in enumerate(cases_of(m.states)):
        if case in cases:
            look = case_look(number)
            last, end = draw_case(axes, m, case, values, look, display)
            ends.append(EndLabel(end, case, look.color))
    label_ends(axes, ends, last)


def driven_cases(m: Measurements) -> tuple[str, ...]:
    """Return the torque cases that have a road speed: those with torque, or all if none has."""
    driven = dict.fromkeys(state.case for state in m.states if state.wheel_torque)
    return tuple(driven) or cases_of(m.states)


def speeds(m: Measurements, display: Display) -> str:
    """Return the road speeds that belong to ride height, in words."""
    cases = driven_cases(m)
    found = {
        s.case: s.road_speed
        for s in m.states
        if s.case in cases and s.turning and s.travel == 0 and s.roll == 0
    }
    return ", ".join(f"{case} {display.speed.say(speed)}" for case, speed in found.items())
