"""Picture of the center bearings' load over travel, and of the joints' couples over a turn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.display import Display
from sim.measure.couples import joint_moments
from sim.measure.measurements import Measurements
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
from sim.show.plots.series import cases_of, hardest_case
from sim.show.plots.travel_axis import draw_case, finish_travel
from sim.show.style import case_look, joint_look

_RIDE = "ride height"


def draw_bearing(
    motion: Motion, m: Measurements, display: Display, about: str, folder: Path
) -> tuple[Path, Path]:
    """Draw the largest load of every center bearing, a line a torque case, and the couples.

    Args:
        motion: As solved, with its turn angles rising over one turn.
        m: Read off that motion.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    bearings = m.loads.bearing.largest.shape[1]
    title = "What the center bearing feels, and the couples at the joints"
    case = hardest_case(m)
    note = (
        f"{about}\nload: largest over a turn, by torque and weight\n"
        f"couples: at ride height, {case}, "
        "on the member ahead of the joint (thick) and on the one behind it (thin)"
    )
    with drawing(8.4, 3.9, title if bearings else "Couples at the joints", note) as (figure, top):
        grid = panels(figure, 1, bearings + 1)[0]
        room = room_beside(cases_of(m.states), 8.4)
        right = 1 - room_beside(["joint 1"], 8.4)
        figure.subplots_adjust(left=0.075, right=right, bottom=0.13, top=top - 0.07)
        figure.subplots_adjust(wspace=(0.09 + room) * (bearings + 1) / (0.8 - bearings * room))
        for b, axes in enumerate(grid[:-1]):
            _load(axes, m, display, b)
        if bearings:
            finish_travel([grid[:-1]], m, display, "", bearings)
        _couples(grid[-1], motion, m, display, case)
        return save(figure, folder, "bearing-load")


def _load(axes: Axes, m: Measurements, display: Display, bearing: int) -> None:
    """Draw the largest load of one bearing over travel, a line a torque case."""
    unit, values = display.force, m.loads.bearing.largest[:, bearing]
    axes.set_title(f"Bearing {bearing + 1}", pad=13)
    axes.set_ylabel(f"load [{unit.name}]")
    axes.set_ylim(0, 1.1 * unit.of(float(values.max())))
    ends, last = [], 0.0
    for number, case in enumerate(cases_of(m.states)):
        look = case_look(number)
        last, end = draw_case(axes, m, case, values / unit.size, look, display)
        ends.append(EndLabel(end, case, look.color))
    label_ends(axes, ends, last)


def _couples(axes: Axes, motion: Motion, m: Measurements, display: Display, case: str) -> None:
    """Draw the couples of every joint over a turn at ride height, in the hardest case."""
    unit = display.torque
    state = next(
        (k for k, s in enumerate(m.states) if (s.height, s.case, s.roll) == (_RIDE, case, 0.0)),
        int(np.argmax([s.shaft_torque for s in m.states])),
    )
    moments = joint_moments(motion, slice(None))
    x = np.degrees(motion.turn_angle[state] - motion.turn_angle[state, 0])
    ends = []
    for j in range(moments.moment.shape[2]):
        look = joint_look(j)
        for values, width in ((moments.on_driven, 0.9), (moments.on_driving, 1.8)):
            y = values[state, :, j] / unit.size
            draw_line(axes, x, y, look, width=width)
        ends.append(EndLabel(float(y[-1]), f"joint {j + 1}", look.color))
    highest = max(moments.on_driving[state].max(), moments.on_driven[state].max(), 1e-3)
    axes.set(xlim=(0, 360), xticks=range(0, 361, 90), ylim=(0, 1.1 * unit.of(float(highest))))
    axes.set_title("Couples over a turn", pad=13)
    axes.set_xlabel("turn of the output [deg]")
    axes.set_ylabel(f"couple [{unit.name}]")
    label_ends(axes, ends, float(x[-1]))
