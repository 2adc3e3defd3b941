"""A cut across the driveline where something is closest, seen from behind."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle

from sim.display import Display
from sim.measure.clearance.bodies import BRACKET_HALF, hoop_radius
from sim.measure.clearance.result import Clearance
from sim.measure.measurements import Measurements
from sim.motion.motion import Motion
from sim.show.place_words import say_place
from sim.show.plots.canvas import LABEL_GROUND
from sim.show.plots.obstacles import draw_cut
from sim.show.plots.outline import SWEPT, section, section_of_state
from sim.show.plots.places import Spot
from sim.show.style import INK, LABEL_SIZE, LIMIT

_FINE = 3  # decimals of a meter

_AROUND = 0.20
"""Half of what is shown [m]."""


def draw_across(axes: Axes, motion: Motion, m: Measurements, display: Display, spot: Spot) -> None:
    """Draw what is swept and what stands at the station of a place.

    Args:
        axes: A square panel.
        motion: Joint centers of all states.
        m: What was measured on it.
        display: Units shown.
        spot: The place.
    """
    unit, near = display.length, spot.near
    aft = float(near.point[0])
    axes.grid(visible=False)
    for obstacle in m.configuration.obstacles:
        draw_cut(axes, obstacle, aft, unit)
    for centers, radius in section(motion, aft):
        # postures nearer than the picture can show are drawn once
        for place in np.unique(centers.round(_FINE), axis=0) / unit.size:
            axes.add_patch(Circle(tuple(place), unit.of(radius), color=SWEPT, lw=0, zorder=2))
    passing = section_of_state(motion, aft, _nearest_state(motion, near))
    for center, radius in passing:
        ring = Circle(
            tuple(center / unit.size), unit.of(radius), fill=False, edgecolor=INK, lw=1.1, zorder=3
        )
        axes.add_patch(ring)
    for number, bearing in enumerate(m.configuration.bearings, start=1):
        if abs(aft - float(bearing.point[0])) <= BRACKET_HALF + 1e-6:
            hoop = unit.of(hoop_radius(m.configuration, number))
            place = tuple(bearing.point[1:] / unit.size)
            axes.add_patch(Circle(place, hoop, fill=False, edgecolor=INK, lw=1.6, zorder=3))
    x, y = near.point[1:] / unit.size
    reach = unit.of(_AROUND)
    axes.set_xlim(x - reach, x + reach)
    axes.set_ylim(y - reach, y + reach)
    axes.plot(x, y, marker="o", ms=5, color=LIMIT, mec="white", mew=0.6, zorder=6)
    below = any(near.point[2] < center[1] for center, _ in passing)
    axes.annotate(
        unit.say(near.distance),
        (x, y),
        xytext=(10, -10 if below else 10),
        textcoords="offset points",
        va="top" if below else "bottom",
        color=LIMIT,
        weight="bold",
        size=LABEL_SIZE + 1,
        bbox=LABEL_GROUND,
        zorder=7,
    )
    title = f"{spot.number}: cut at {say_place(aft, 'aft', 'forward', display)}, from behind"
    axes.set_title(title, fontsize=LABEL_SIZE, pad=3)
    axes.set_xlabel(f"to the right [{unit.name}]", labelpad=1)
    axes.set_ylabel(f"up [{unit.name}]")


def _nearest_state(motion: Motion, near: Clearance) -> int:
    """Return the state that is nearest to a clearance's posture."""
    return min(
        range(len(motion.states)),
        key=lambda k: (
            motion.states[k].case != near.case,
            abs(motion.states[k].roll - near.roll),
            abs(motion.states[k].travel - near.travel),
        ),
    )
