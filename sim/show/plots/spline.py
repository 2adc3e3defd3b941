"""Picture of the spline of one configuration over axle travel."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.display import Display
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import (
    EndLabel,
    drawing,
    label_ends,
    limit_line,
    room_beside,
    save,
)
from sim.show.plots.series import cases_of
from sim.show.plots.travel_axis import draw_case, finish_travel
from sim.show.slide_words import slide_words
from sim.show.style import INK, LABEL_SIZE, LIMIT, RULE, case_look

_STOP = "#f3e3e1"


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
    with drawing(8.4, 4.6, _title(m), about) as (figure, top):
        axes = figure.subplots()
        right = 1 - room_beside(cases_of(m.states), 8.4)
        figure.subplots_adjust(left=0.075, right=right, bottom=0.11, top=top - 0.05)
        room = 0.1 * (out - bottom)
        low = min(bottom, unit.of(float(np.min(m.slip)))) - room
        high = max(out, unit.of(float(np.max(m.slip)))) + room
        axes.set_ylim(low, high)
        _stops(axes, m, display, bottom, out)
        ends = []
        for number, case in enumerate(cases_of(m.states)):
            look = case_look(number)
            _, end = draw_case(axes, m, case, m.slip / unit.size, look, display, still=True)
            ends.append(EndLabel(end, case, look.color))
        label_ends(axes, ends, unit.of(max(s.travel for s in m.states if s.turning)))
        _worst(axes, m, display, bottom, out)
        finish_travel([[axes]], m, display, f"slip [{unit.name}], drawing apart positive", 1)
        return save(figure, folder, "spline")


def _stops(axes: Axes, m: Measurements, display: Display, bottom: float, out: float) -> None:
    """Draw where the spline bottoms and pulls out, and the least gap and engagement wanted."""
    unit, limits, said = display.length, m.configuration.limits, slide_words(m.configuration)
    low, high = axes.get_ylim()
    for edge, end, hatch in ((bottom, low, "////"), (out, high, "\\\\\\\\")):
        axes.axhspan(edge, end, facecolor=_STOP, edgecolor=RULE, hatch=hatch, lw=0, zorder=0.5)
        axes.axhline(edge, color=LIMIT, linewidth=1.8)
    least_gap = "least gap wanted" if said.what == "spline" else said.least_words
    limit_line(axes, bottom + unit.of(limits.gap), f"{least_gap} {unit.say(limits.gap)}")
    wanted = f"{said.least_words} {unit.say(said.least)}"
    limit_line(axes, out - unit.of(said.least), wanted, below=True)


def _title(m: Measurements) -> str:
    """Return what the picture shows."""
    what = slide_words(m.configuration).what
    return f"Slip of {'the spline' if what == 'spline' else what} over axle travel"


def _worst(axes: Axes, m: Measurements, display: Display, bottom: float, out: float) -> None:
    """Measure off the least gap and the least engaged length, and say what the stops are."""
    unit, said, limits = display.length, slide_words(m.configuration), m.slip_limits
    closed, apart = f"{said.what} {said.closed}", f"{said.what} {said.apart}"
    texts = {-1: (closed, 0.0), 1: (apart, 0.0)}
    if limits:
        gap = min(limits, key=lambda limit: limit.least_gap)
        held = min(limits, key=lambda limit: limit.least_engaged)
        short = ("gap", "engaged") if said.what == "spline" else ("left", "left")
        least_gap, least_held = unit.of(gap.least_gap), unit.of(held.least_engaged)
        for_gap = f"{closed}; least {short[0]} {unit.say(gap.least_gap)}, {gap.case}"
        for_held = f"{apart}; least {short[1]} {unit.say(held.least_engaged)}, {held.case}"
        texts = {
            -1: (for_gap, unit.of(gap.least_gap_travel)),
            1: (for_held, unit.of(held.least_engaged_travel)),
        }
        _measure_off(axes, texts[-1][1], bottom, bottom + least_gap)
        _measure_off(axes, texts[1][1], out, out - least_held)
    for side, (text, x) in texts.items():
        share = (x - axes.get_xlim()[0]) / float(np.ptp(axes.get_xlim()))
        axes.annotate(
            text,
            xy=(min(max(share, 0.02), 0.98), bottom if side < 0 else out),
            xycoords=("axes fraction", "data"),
            xytext=(0, 6 * side),
            textcoords="offset points",
            ha="left" if share < 0.3 else "right" if share > 0.7 else "center",
            va="top" if side < 0 else "bottom",
            color=LIMIT,
            weight="bold",
            size=LABEL_SIZE,
            bbox={"facecolor": _STOP, "edgecolor": "none", "pad": 0.8},
            zorder=5,
        )


def _measure_off(axes: Axes, x: float, start: float, end: float) -> None:
    """Draw a measuring arrow upright between two heights."""
    style = {"arrowstyle": "<->", "color": INK, "lw": 0.9, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", xy=(x, start), xytext=(x, end), arrowprops=style)
