"""Picture of the clearance to every obstacle over axle travel."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes

from sim.arrays import Array
from sim.display import Display, to_si
from sim.judge.findings import Findings
from sim.measure.clearance.result import GROUND, ClearanceCurve
from sim.measure.measurements import Measurements
from sim.show.plots.canvas import (
    EndLabel,
    draw_line,
    drawing,
    label_ends,
    limit_line,
    room_beside,
    save,
)
from sim.show.plots.travel_axis import finish_travel
from sim.show.style import LABEL_SIZE, LIMIT, RULE, configuration_look

_REACH = 0.160
"""What is farther off [m] needs no curve."""

_LEAST = 0.050
"""The axis goes up to this at least [m]."""

_TOUCH = "#f3e3e1"
_LIMITED = ("clearance", "clearance to a line", "clearance to the exhaust")


def draw_clearance(
    m: Measurements, findings: Findings, display: Display, about: str, folder: Path
) -> tuple[Path, ...]:
    """Draw the distance of the nearest part that turns, one curve an obstacle.

    Args:
        m: What was measured.
        findings: The verdicts, for their limits.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the picture belongs.

    Returns:
        The SVG and the PNG; nothing where there is no obstacle or no travel.
    """
    names = [o.name for o in m.configuration.obstacles]
    near = {
        name: [c for c in m.clearance_curves if c.obstacle == name] for name in [*names, GROUND]
    }
    near = {name: curves for name, curves in near.items() if _shown(curves)}
    if not names or not near:
        return ()
    unit = display.length
    far = [name for name in names if name not in near]
    note = f"{about}\nline: worst torque case; band: up to the distance at rest; "
    note += "bearings and axle left out"
    if far:
        note += f"; farther than {unit.say(_REACH, digits=display.coarse)}: {', '.join(far)}"
    with drawing(8.4, 4.4, "Clearance over axle travel", note) as (figure, top):
        axes = figure.subplots()
        words = {name: _words(name, curves, display) for name, curves in near.items()}
        right = 1 - room_beside(words.values(), 8.4)
        figure.subplots_adjust(left=0.075, right=right, bottom=0.115, top=top - 0.05)
        ends = []
        for number, (name, curves) in enumerate(near.items()):
            look = configuration_look(number)
            travel, least, rest = _band(curves)
            x, y = travel / unit.size, least / unit.size
            axes.fill_between(x, y, rest / unit.size, color=look.color, alpha=0.14, linewidth=0)
            at = [float(x[0]), float(x[np.argmin(y)]), float(x[-1])]
            draw_line(axes, x, y, look, sorted(set(at)))
            ends.append(EndLabel(min(float(y[-1]), unit.of(_REACH)), words[name], look.color))
        every = np.concatenate([curve.distance for curves in near.values() for curve in curves])
        high = min(max(1.2 * float(every.max()), _LEAST), _REACH)
        axes.set_ylim(unit.of(min(float(every.min()), 0.0) - 0.08 * high), unit.of(high))
        label_ends(axes, ends, float(axes.get_xlim()[1]))
        _limits(axes, findings, near, display)
        _touching(axes)
        finish_travel([[axes]], m, display, f"clearance [{unit.name}]", 1)
        return save(figure, folder, "clearance")


def _shown(curves: Sequence[ClearanceCurve]) -> bool:
    """Return whether there is travel, and an obstacle comes near enough to be drawn."""
    return (
        bool(curves)
        and len(curves[0].travel) > 1
        and min(c.distance.min() for c in curves) < _REACH
    )


def _words(name: str, curves: Sequence[ClearanceCurve], display: Display) -> str:
    """Return the direct label of an obstacle: its name and its least distance."""
    least = min(float(curve.distance.min()) for curve in curves)
    return f"{name}: {display.length.say(least)}"


def _band(curves: Sequence[ClearanceCurve]) -> tuple[Array, Array, Array]:
    """Return travel, the least distance of all torque cases, and that of the first, at rest."""
    rest = curves[0]
    travel = np.unique(np.concatenate([curve.travel for curve in curves]))
    every = [np.interp(travel, c.travel, c.distance, left=np.inf, right=np.inf) for c in curves]
    return travel, np.min(every, axis=0), np.interp(travel, rest.travel, rest.distance)


def _limits(
    axes: Axes, findings: Findings, near: dict[str, list[ClearanceCurve]], display: Display
) -> None:
    """Draw the limits that stand for the obstacles shown."""
    named: dict[float, set[str]] = {}
    for finding in findings.findings:
        passed = "" if finding.part is None else finding.part.other
        if finding.rule in _LIMITED and finding.limit is not None and passed in near:
            named.setdefault(finding.limit, set()).add(passed)
    for limit, obstacles in sorted(named.items()):
        value = to_si(limit, "mm")
        who = ", ".join(name for name in near if name in obstacles)
        text = f"wanted {display.length.say(value, digits=display.coarse)}: {who}"
        limit_line(axes, display.length.of(value), text)


def _touching(axes: Axes) -> None:
    """Hatch what lies beyond contact."""
    low = axes.get_ylim()[0]
    axes.axhspan(low, 0, facecolor=_TOUCH, edgecolor=RULE, hatch="////", lw=0, zorder=0.5)
    axes.axhline(0, color=LIMIT, linewidth=1.8)
    axes.annotate(
        "touches",
        xy=(0.012, 0),
        xycoords=("axes fraction", "data"),
        xytext=(0, -3),
        textcoords="offset points",
        va="top",
        color=LIMIT,
        weight="bold",
        size=LABEL_SIZE,
    )
