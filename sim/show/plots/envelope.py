"""Picture of what the shafts sweep, from the side, from above and across, with what is close."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle

from sim.display import Display, Unit
from sim.measure.measurements import Measurements
from sim.motion.motion import Motion
from sim.scene.parts import Obstacle
from sim.show.plots.canvas import drawing, save
from sim.show.plots.cut import draw_across
from sim.show.plots.obstacles import draw_obstacles
from sim.show.plots.outline import SIDE, SWEPT, TOP, Array, swept
from sim.show.plots.places import Spot, closest_spots, list_spots, mark_spot
from sim.show.style import INK, LABEL_SIZE, STEEL

WIDTH, LEFT, RIGHT = 8.4, 0.70, 0.13  # of the figure and its margins [in]
HEAD, BETWEEN, CUT, FOOT = 1.05, 0.55, 2.3, 0.48  # headline, space, the cut, below it [in]
_SHORTEST = 2.2  # of what is shown along [m]
_MARGIN = 0.12, 0.07
"""What is shown beyond the driveline along and across [m]."""


def draw_envelope(
    motion: Motion, m: Measurements, display: Display, about: str, folder: Path
) -> tuple[Path, ...]:
    """Draw the outline swept in all states, the obstacles, and the places that come closest.

    Args:
        motion: Joint centers of all states.
        m: What was measured on it.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the picture belongs.

    Returns:
        The SVG and the PNG; nothing where there is no obstacle.
    """
    spots, unit = closest_spots(m), display.length
    if not spots:
        return ()
    edges = {view: swept(motion, view) for view in (SIDE, TOP)}
    along = edges[SIDE][0]
    middle, half = float(along[0] + along[-1]) / 2, float(np.ptp(along)) / 2 + _MARGIN[0]
    limits = middle - max(half, _SHORTEST / 2), middle + max(half, _SHORTEST / 2)
    across = {view: _extent(m.configuration.obstacles, view, edges[view]) for view in edges}
    inch = (WIDTH - LEFT - RIGHT) / (limits[1] - limits[0])
    tall = {view: inch * (high - low) for view, (low, high) in across.items()}
    height = HEAD + sum(tall.values()) + 2 * BETWEEN + CUT + FOOT
    note = (
        f"{about}\nshaded: what turning shafts and joints sweep in all states; "
        "outline: at ride height\n"
        "bare numbers: joints; in circles: where each obstacle is closest"
    )
    with drawing(WIDTH, height, "What passes close", note) as (figure, _):

        def panel(left: float, top: float, wide: float, high: float) -> Axes:
            place = (left / WIDTH, (top - high) / height, wide / WIDTH, high / height)
            return figure.add_axes(place)

        top = height - HEAD
        for view in (SIDE, TOP):
            axes = panel(LEFT, top, WIDTH - LEFT - RIGHT, tall[view])
            axes.set_xlim(*(unit.of(end) for end in limits))
            axes.set_ylim(*(unit.of(end) for end in across[view][:: -1 if view == TOP else 1]))
            _long_view(axes, motion, m, view, unit, edges[view], spots)
            top -= tall[view] + BETWEEN
        cut = next((spot for spot in spots if not spot.near.on_axle), spots[0])
        draw_across(panel(LEFT, top, CUT, CUT), motion, m, display, cut)
        list_spots(panel(LEFT + CUT + 0.4, top, 4.9, CUT + 0.2), m, display, spots)
        return save(figure, folder, "envelope")


def _extent(
    given: Sequence[Obstacle], view: int, edges: tuple[Array, Array, Array]
) -> tuple[float, float]:
    """Return the least and the greatest place to be shown in one direction [m]."""
    ends = np.array([(o.start[view], o.end[view]) for o in given])
    least, most = min(ends.min(), edges[1].min()), max(ends.max(), edges[2].max())
    return float(least) - _MARGIN[1], float(most) + _MARGIN[1]


def _long_view(
    axes: Axes,
    motion: Motion,
    m: Measurements,
    view: int,
    unit: Unit,
    edges: tuple[Array, Array, Array],
    spots: Sequence[Spot],
) -> None:
    """Draw one long view: obstacles, sweep, ride height, numbers."""
    axes.grid(visible=False)
    x, low, high = (edge / unit.size for edge in edges)
    axes.fill_between(x, low, high, color=SWEPT, lw=0, zorder=2)
    for edge in (low, high):
        axes.plot(x, edge, color=STEEL, lw=0.9, zorder=2.1)
    state = next((k for k, s in enumerate(motion.states) if s.height == "ride height"), 0)
    center = motion.joint_center[state, 0][:, [0, view]] / unit.size
    draw_obstacles(axes, m.configuration.obstacles, view, unit, center)
    _at_ride(axes, motion, center, view, unit)
    for spot in spots:
        place = spot.near.point[[0, view]] / unit.size
        over = place[1] >= np.interp(place[0], *center.T)
        mark_spot(axes, spot, float(place[0]), float(place[1]), below=over == (view == SIDE))
    side = "up" if view == SIDE else "right"
    axes.set_ylabel(f"{side} [{unit.name}]")
    title = "from the side, front at the left" if view == SIDE else "from above, front at the left"
    axes.set_title(title, fontsize=LABEL_SIZE, pad=3)
    axes.set_xlabel(f"aft [{unit.name}]", labelpad=1)


def _at_ride(axes: Axes, motion: Motion, center: Array, view: int, unit: Unit) -> None:
    """Draw shafts, joints and bearings at ride height without torque."""
    configuration = motion.configuration
    line = {"fill": False, "edgecolor": INK, "lw": 1.0, "zorder": 3}
    for i, shaft in enumerate(configuration.shafts):
        first, last = center[i], center[i + 1]
        along = (last - first) / np.hypot(*(last - first))
        aside = np.array([-along[1], along[0]]) * unit.of(shaft.tube.outside / 2)
        corners = [first + aside, last + aside, last - aside, first - aside]
        axes.add_patch(Polygon(corners, closed=True, **line))
        axes.plot(*center[i : i + 2].T, color=INK, lw=0.5, linestyle=(0, (9, 2, 2, 2)), zorder=3)
    for number, (joint, place) in enumerate(zip(configuration.joints, center, strict=True), 1):
        axes.add_patch(Circle(tuple(place), unit.of(joint.swing_radius), **line))
        x, y = place
        axes.text(x, y, str(number), ha="center", va="center", size=LABEL_SIZE, zorder=3.5)
    for bearing in configuration.bearings:
        x, y = bearing.point[[0, view]] / unit.size
        wide, high = unit.of(0.034), unit.of(0.12)
        box = Rectangle((x - wide / 2, y - high / 2), wide, high, facecolor="white", edgecolor=INK)
        box.set(hatch="||||", linewidth=0.8, zorder=3.2)
        axes.add_patch(box)
