"""Picture of the spline of one configuration over axle travel."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.measure.measurements import Measurements, SlipLimit
from sim.show.display import Display
from sim.show.plots.canvas import (
    EndLabel,
    draw_line,
    drawing,
    label_ends,
    limit_line,
    save,
)
from sim.show.plots.series import cases_of, curve_states
from sim.show.plots.travel_axis import finish_travel, marks, travel_of
from sim.show.style import FAINT, INK, LIMIT, Look, case_dashes, configuration_look


def draw_spline(m: Measurements, display: Display, about: str, folder: Path) -> tuple[Path, Path]:
    """Draw slip over travel between bottoming and pull-out, so that gap and engagement show.

    Args:
        m: What was measured.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    unit = display.length
    bottom = unit.of(float(np.median(m.slip - m.gap)))
    out = unit.of(float(np.max(m.slip + m.engaged)))
    with drawing(8.4, 4.6, "Slip of the spline over axle travel", about) as (figure, top):
        axes = figure.subplots()
        figure.subplots_adjust(left=0.075, right=0.80, bottom=0.11, top=top - 0.05)
        room = 0.1 * (out - bottom)
        low = min(bottom, unit.of(float(np.min(m.slip)))) - room
        high = max(out, unit.of(float(np.max(m.slip)))) + room
        axes.set_ylim(low, high)
        _stops(axes, m, display, bottom, out)
        ends = []
        for number, case in enumerate(cases_of(m.states)):
            at = curve_states(m.states, case)
            look = Look(configuration_look(number).color, "o", case_dashes(number))
            x, y = travel_of(m, at, display), m.slip[at] / unit.size
            draw_line(axes, x, y, look, marks(m, display))
            ends.append(EndLabel(float(y[-1]), case, look.color))
        label_ends(axes, ends, unit.of(max(s.travel for s in m.states if s.turning)))
        _worst_of_spline(axes, m.slip_limits, m, display)
        finish_travel([[axes]], m, display, f"slip [{unit.name}], drawing apart positive", 1)
        return save(figure, folder, "spline")


def _stops(axes: Axes, m: Measurements, display: Display, bottom: float, out: float) -> None:
    """Draw where the spline bottoms and pulls out, and the least gap and engagement wanted."""
    unit, limits, spline = display.length, m.configuration.limits, m.configuration.spline
    low, high = axes.get_ylim()
    for edge, end, hatch in ((bottom, low, "////"), (out, high, "\\\\\\\\")):
        axes.axhspan(edge, end, facecolor="#f3e3e1", edgecolor=FAINT, hatch=hatch, lw=0, zorder=0.5)
        axes.axhline(edge, color=LIMIT, linewidth=1.8)
    for value, text, above in (
        (bottom, "bottoms here", False),
        (out, "pulls out here", True),
    ):
        axes.annotate(
            text,
            xy=(0.012, value),
            xycoords=("axes fraction", "data"),
            xytext=(0, 4 if above else -4),
            textcoords="offset points",
            va="bottom" if above else "top",
            color=LIMIT,
            weight="bold",
            size=8,
            bbox={"facecolor": "#f3e3e1", "edgecolor": "none", "pad": 0.8},
        )
    limit_line(axes, bottom + unit.of(limits.gap), f"least gap wanted {unit.say(limits.gap)}")
    limit_line(
        axes,
        out - unit.of(spline.least_engaged),
        f"least engaged length wanted {unit.say(spline.least_engaged)}",
        below=True,
    )


def _worst_of_spline(
    axes: Axes, limits: tuple[SlipLimit, ...], m: Measurements, display: Display
) -> None:
    """Measure off the least gap and the least engaged length, in words."""
    if not limits:
        return
    unit = display.length
    gap = min(limits, key=lambda limit: limit.least_gap)
    engaged = min(limits, key=lambda limit: limit.least_engaged)
    bottom = float(np.median(m.slip - m.gap))
    for value, travel, text, base in (
        (
            gap.least_gap,
            gap.least_gap_travel,
            f"least gap {unit.say(gap.least_gap)}\n{gap.case}",
            bottom,
        ),
        (
            -engaged.least_engaged,
            engaged.least_engaged_travel,
            f"least engaged {unit.say(engaged.least_engaged)}\n{engaged.case}",
            float(np.max(m.slip + m.engaged)),
        ),
    ):
        x = unit.of(travel)
        axes.annotate(
            "",
            xy=(x, unit.of(base)),
            xytext=(x, unit.of(base + value)),
            arrowprops={"arrowstyle": "<->", "color": INK, "lw": 0.9, "shrinkA": 0, "shrinkB": 0},
        )
        right = x > np.mean(axes.get_xlim())
        axes.annotate(
            text,
            xy=(x, unit.of(base + value / 2)),
            xytext=(-5 if right else 5, 0),
            textcoords="offset points",
            ha="right" if right else "left",
            va="center",
            size=7.5,
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.8},
        )
