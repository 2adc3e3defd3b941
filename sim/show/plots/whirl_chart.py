"""Chart of first and second order against road speed, with every mode and every crossing."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.display import HERTZ, Display
from sim.measure.measurements import Measurements
from sim.measure.whirl.crossings import BEYOND_TOP, HALF_BAND, ORDERS, Crossing
from sim.measure.whirl.whirl import WhirlMode
from sim.show.plots.canvas import (
    LABEL_GROUND,
    EndLabel,
    drawing,
    label_ends,
    save,
)
from sim.show.style import (
    FAINT,
    INK,
    JOINTS,
    LABEL_SIZE,
    LIMIT,
    QUIET,
    STEEL,
)

_BOUNCE, _BEND = JOINTS[1].color, JOINTS[0].color
_ROOM = 1.15  # of the second order at the right edge: modes above it are only named


def draw_whirl(m: Measurements, display: Display, about: str, folder: Path) -> tuple[Path, Path]:
    """Draw how often the shafts shake over road speed, and the frequencies that answer.

    Args:
        m: What was measured.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    note = (
        f"{about}\nrising: once and twice per turn; level: natural frequencies by the beam model, "
        "8 % either side shaded where a tube bends;\nrings: road speeds at which they meet; "
        "dotted: bounce on the rubber, no margin"
    )
    with drawing(8.4, 4.3, "Whirl: what the shafts shake, and what answers", note) as (
        figure,
        top,
    ):
        axes = figure.add_axes((0.085, 0.12, 0.45, top - 0.16))
        ceiling = _orders(axes, m, display)
        _mode_lines(axes, m, ceiling)
        for order in ORDERS:
            _crossings(axes, [c for c in m.whirl.crossings if c.order == order], m, display)
        axes.set_xlabel(f"road speed [{display.speed.name}]")
        axes.set_ylabel("frequency [Hz]")
        _shapes(figure, m, top)
        return save(figure, folder, "whirl")


def _orders(axes: Axes, m: Measurements, display: Display) -> float:
    """Draw both orders and top speed; return the highest frequency of the panel [Hz]."""
    vehicle, unit = m.configuration.vehicle, display.speed
    end = BEYOND_TOP * vehicle.top_speed
    turns = end / vehicle.tire_circumference * vehicle.axle_ratio
    ceiling = _ROOM * 2 * turns
    axes.set_xlim(0, unit.of(end))
    axes.set_ylim(0, ceiling)
    for order, dashes in ((1, "-"), (2, (0, (5, 1.6)))):
        axes.plot([0, unit.of(end)], [0, order * turns], color=INK, linestyle=dashes, lw=1.6)
        axes.annotate(
            ("once", "twice")[order - 1] + " per turn",
            xy=(unit.of(0.55 * end), order * 0.55 * turns),
            xytext=(8, -3),
            textcoords="offset points",
            ha="left",
            va="top",
            size=LABEL_SIZE,
            bbox=LABEL_GROUND,
        )
    axes.axvline(unit.of(vehicle.top_speed), color=LIMIT, linewidth=1.4, zorder=1.5)
    axes.annotate(
        f"top speed {unit.say(vehicle.top_speed)}",
        xy=(unit.of(vehicle.top_speed), 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(-4, -3),
        textcoords="offset points",
        color=LIMIT,
        size=LABEL_SIZE,
        weight="bold",
        ha="right",
        va="top",
        bbox=LABEL_GROUND,
    )
    return ceiling


def _mode_lines(axes: Axes, m: Measurements, ceiling: float) -> None:
    """Draw every mode as a level line; those above the panel are named at its top."""
    labels, above = [], []
    for number, mode in enumerate(m.whirl.modes, start=1):
        hertz = HERTZ.of(mode.frequency)
        color = _BOUNCE if mode.kind == "bounce" else _BEND
        if hertz < ceiling:
            style = (0, (1.4, 1.2)) if mode.kind == "bounce" else "-"
            axes.axhline(hertz, color=color, linestyle=style, linewidth=1.8, zorder=2)
            labels.append(EndLabel(hertz, f"{number}", color))
            if mode.kind == "bending":
                low, high = (2 * share * hertz for share in HALF_BAND)
                axes.axhspan(low, high, color=color, alpha=0.13, linewidth=0, zorder=1)
        else:
            above.append(f"{number}")
    label_ends(axes, labels, axes.get_xlim()[1])
    if above:
        words = f"higher than shown: mode{'s' * (len(above) > 1)} {', '.join(above)}"
        axes.text(
            0.02, 0.89, words, transform=axes.transAxes, size=LABEL_SIZE, color=QUIET, va="top"
        )


def _crossings(axes: Axes, crossings: list[Crossing], m: Measurements, display: Display) -> None:
    """Ring the crossings of one order and write their road speeds, close ones together."""
    near = 0.04 * BEYOND_TOP * m.configuration.vehicle.top_speed
    groups: list[list[Crossing]] = []
    for crossing in crossings:
        if groups and crossing.road_speed - groups[-1][-1].road_speed < near:
            groups[-1].append(crossing)
        else:
            groups.append([crossing])
    for group in groups:
        for crossing in group:
            _ring(axes, crossing, m.whirl.modes[crossing.mode - 1], display)
        _name(axes, group, m.whirl.modes[group[-1].mode - 1], display)


def _ring(axes: Axes, crossing: Crossing, mode: WhirlMode, display: Display) -> None:
    """Ring one crossing."""
    axes.plot(
        display.speed.of(crossing.road_speed),
        HERTZ.of(mode.frequency),
        "o",
        ms=7,
        mfc="white",
        mec=_BOUNCE if mode.kind == "bounce" else _BEND,
        mew=1.6,
        zorder=4,
    )


def _name(axes: Axes, group: list[Crossing], mode: WhirlMode, display: Display) -> None:
    """Write the road speeds of crossings that lie together, beside the last one."""
    speeds = dict.fromkeys(display.speed.number(crossing.road_speed) for crossing in group)
    first = group[-1].order == 1
    axes.annotate(
        ", ".join(speeds),
        xy=(display.speed.of(group[-1].road_speed), HERTZ.of(mode.frequency)),
        xytext=(6, -6) if first else (-6, 6),
        textcoords="offset points",
        ha="left" if first else "right",
        va="top" if first else "bottom",
        size=LABEL_SIZE,
        weight="bold",
        color=_BOUNCE if mode.kind == "bounce" else _BEND,
        bbox=LABEL_GROUND,
        zorder=5,
    )


def _shapes(figure: Figure, m: Measurements, top: float) -> None:
    """Draw the shape of every mode small, one above the other, the slowest lowest."""
    modes = m.whirl.modes
    high = min((top - 0.06) / len(modes), 0.26)
    for number, mode in enumerate(modes, start=1):
        low = 0.06 + (number - 1) * high
        _shape(figure.add_axes((0.60, low, 0.385, 0.80 * high)), m, number, mode)


def _shape(axes: Axes, m: Measurements, number: int, mode: WhirlMode) -> None:
    """Draw one shape with joints, bearings and words."""
    color = _BOUNCE if mode.kind == "bounce" else _BEND
    joints = np.flatnonzero(np.diff(mode.place) == 0)
    places = [0, *joints.tolist(), len(mode.place) - 1]
    axes.axhline(0, color=FAINT, linewidth=0.6, linestyle=(0, (1, 2)))
    axes.plot(mode.place, mode.deflection, color=color, linewidth=1.8)
    axes.plot(mode.place[places], mode.deflection[places], "o", ms=4.5, mfc="white", mec=INK)
    for node, bearing in zip(joints, m.configuration.bearings, strict=True):
        at = mode.place[node] - bearing.to_joint
        axes.plot(at, np.interp(at, mode.place, mode.deflection), "s", ms=5.5, color=STEEL)
    axes.set_ylim(-1.25, 2.1)
    axes.axis("off")
    what = "bounce on the rubber" if mode.kind == "bounce" else f"shaft {mode.shaft} bends"
    axes.set_title(
        f"{number}  {what}, {HERTZ.say(mode.frequency)}",
        size=LABEL_SIZE, color=color, loc="left", pad=-8,
    )  # fmt: skip
    if number == 1:
        words = "○ joint  ■ center bearing" if len(joints) else "○ joint"
        axes.text(0, -1.7, f"shapes, front at left: {words}", size=LABEL_SIZE - 1, color=QUIET)
