"""Obstacles as they are drawn: in the long views and in a cut, told apart by hatching and name."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle

from sim.display import Unit
from sim.scene.parts import Obstacle
from sim.show.plots.canvas import LABEL_GROUND
from sim.show.plots.outline import SIDE, Array
from sim.show.style import FAINT, INK, LABEL_SIZE

_LOOKS = {
    "fixed part": ("#e4dfd2", ""),
    "line": ("#f0d9b5", "xxxx"),
    "exhaust": ("#e7cfc4", "////"),
    "floor": ("#efece2", "--"),
}
_SMALL = 0.11
"""A box narrower than this [m] has no room for its name across."""

_THIN = 0.03
"""A pipe thinner than this [m] has no room for its name within."""


def draw_obstacles(
    axes: Axes, given: Iterable[Obstacle], view: int, unit: Unit, middle: Array
) -> None:
    """Draw obstacles with their names, and dashed how far they move; the largest behind.

    Args:
        axes: Panel of a long view.
        given: The obstacles where they are at ride height.
        view: ``SIDE`` or ``TOP``.
        unit: Unit shown.
        middle: Joint centers in this view, in the unit shown, shape (J, 2): no name stands there.
    """
    sized = {o.name: _silhouette(o, view, 0.0) for o in given}

    def area(obstacle: Obstacle) -> float:
        return -float(np.prod(np.ptp(sized[obstacle.name], axis=0)))

    for obstacle in sorted(given, key=area):
        color, hatch = _LOOKS[obstacle.kind]
        shape = sized[obstacle.name] / unit.size
        look: dict[str, Any] = {"closed": True, "edgecolor": FAINT, "lw": 0.7, "zorder": 1}
        axes.add_patch(Polygon(shape, facecolor=color, hatch=hatch, **look))
        if obstacle.moves:
            grown = _silhouette(obstacle, view, obstacle.moves) / unit.size
            axes.add_patch(Polygon(grown, fill=False, linestyle="--", **look))
        _name(axes, obstacle, shape, view, unit, middle)


def draw_cut(axes: Axes, obstacle: Obstacle, aft: float, unit: Unit) -> None:
    """Draw an obstacle where a station cuts it, from behind; nothing where it does not reach.

    Args:
        axes: Panel, abscissa to the right, ordinate up.
        obstacle: The obstacle.
        aft: The station [m].
        unit: Unit shown.
    """
    first, last = sorted((obstacle.start, obstacle.end), key=lambda point: float(point[0]))
    if not first[0] - 1e-3 <= aft <= last[0] + 1e-3:
        return
    color, hatch = _LOOKS[obstacle.kind]
    look: dict[str, Any] = {
        "facecolor": color,
        "edgecolor": FAINT,
        "hatch": hatch,
        "lw": 0.8,
        "zorder": 1,
    }
    if obstacle.pipe is None:
        low, high = np.minimum(first, last) / unit.size, np.maximum(first, last) / unit.size
        axes.add_patch(Rectangle((low[1], low[2]), high[1] - low[1], high[2] - low[2], **look))
        return
    share = 0.5 if last[0] == first[0] else (aft - first[0]) / (last[0] - first[0])
    at = (first + np.clip(share, 0, 1) * (last - first)) / unit.size
    axes.add_patch(Circle((at[1], at[2]), unit.of(obstacle.pipe / 2), **look))


def _silhouette(obstacle: Obstacle, view: int, grown: float) -> Array:
    """Return the corners of an obstacle in one view [m], shape (4, 2)."""
    ends = np.array([obstacle.start, obstacle.end])[:, [0, view]]
    if obstacle.pipe is None:
        (x0, y0), (x1, y1) = ends.min(axis=0) - grown, ends.max(axis=0) + grown
        return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    along = ends[1] - ends[0]
    radius = obstacle.pipe / 2 + grown
    aside = np.array([-along[1], along[0]]) / max(float(np.hypot(*along)), 1e-9) * radius
    return np.array([ends[0] + aside, ends[1] + aside, ends[1] - aside, ends[0] - aside])


def _name(
    axes: Axes, obstacle: Obstacle, shape: Array, view: int, unit: Unit, middle: Array
) -> None:
    """Write the name of an obstacle where the shafts do not run: at an end, or beside it."""
    low, high = shape.min(axis=0), shape.max(axis=0)
    wide, tall = (high - low) * unit.size
    inset, center = unit.of(0.012), (low + high) / 2
    look: dict[str, Any] = {"size": LABEL_SIZE - 1.5, "color": INK, "zorder": 4, "clip_on": True}
    left = max(low[0], axes.get_xlim()[0]) + inset
    over = center[1] >= np.interp(center[0], *middle.T)
    if view == SIDE and obstacle.pipe is None and min(wide, tall) < _SMALL:
        y = high[1] + inset / 2 if over else low[1] - inset / 2
        axes.text(center[0], y, obstacle.name, ha="center", va="bottom" if over else "top", **look)
    elif wide < 1.5 * _SMALL:
        look |= {"rotation": 90, "ha": "center", "va": "bottom"}
        axes.text(center[0], high[1] - inset, obstacle.name, **look)
    elif obstacle.pipe is not None and tall < _THIN:
        y = high[1] if view == SIDE else low[1]
        axes.text(left, y, obstacle.name, ha="left", va="bottom", **look)
    else:
        y = high[1] - inset if view == SIDE else low[1] + inset
        axes.text(left, y, obstacle.name, ha="left", va="top", bbox=LABEL_GROUND, **look)
