"""Where each obstacle is closest: numbered, marked in views, listed in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from sim.display import Display
from sim.judge.clearance_quantities import state_of
from sim.measure.clearance.result import GROUND, Clearance
from sim.measure.measurements import Measurements
from sim.show.place_words import place_of
from sim.show.style import FONT_SIZE, LABEL_SIZE, LIMIT, QUIET


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """The closest place of one obstacle: its number in the picture, and what was measured."""

    number: int
    near: Clearance


def closest_spots(m: Measurements) -> tuple[Spot, ...]:
    """Return the closest place of every obstacle, numbered, the closest first."""
    found = []
    for obstacle in m.configuration.obstacles:
        mine = [c for c in m.numbers.near if c.obstacle == obstacle.name and c.kind != GROUND]
        if mine:
            found.append(min(mine, key=lambda c: c.distance))
    found.sort(key=lambda c: c.distance)
    return tuple(Spot(number, near) for number, near in enumerate(found, start=1))


def mark_spot(axes: Axes, spot: Spot, x: float, y: float, *, below: bool) -> None:
    """Mark a place with its number, the closest one filled.

    Args:
        axes: Panel.
        spot: What is closest there.
        x: Abscissa, in data.
        y: Ordinate, in data.
        below: Whether its number stands below it on the page.
    """
    first = spot.number == 1
    axes.plot(x, y, marker="o", ms=4.5, color=LIMIT, mec="white", mew=0.6, zorder=6)
    axes.annotate(
        str(spot.number),
        (x, y),
        xytext=(8, -11 if below else 11),
        textcoords="offset points",
        ha="center",
        va="center",
        size=LABEL_SIZE,
        weight="bold",
        color="white" if first else LIMIT,
        zorder=7,
        bbox={
            "boxstyle": "circle,pad=0.2",
            "facecolor": LIMIT if first else "white",
            "edgecolor": LIMIT,
        },
        arrowprops={"arrowstyle": "-", "color": LIMIT, "lw": 0.7, "shrinkA": 0, "shrinkB": 0},
    )


def list_spots(axes: Axes, m: Measurements, display: Display, spots: Sequence[Spot]) -> None:
    """Write what is closest to what, by how much, in which state and where.

    Args:
        axes: A bare panel.
        m: What was measured.
        display: Units shown.
        spots: The closest first.
    """
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(0, 1)
    step = 1 / max(len(spots), 5)
    for row, spot in enumerate(spots):
        near, y = spot.near, 1 - (row + 0.25) * step
        where = f"{state_of(m.states, near).say(display.name)}; at {place_of(near, display)}"
        what = f"{near.obstacle} to {near.part}: {display.length.say(near.distance)}"
        axes.text(0, y, f"{spot.number}", weight="bold", color=LIMIT, size=FONT_SIZE, va="center")
        weight = "bold" if row == 0 else "normal"
        axes.text(0.045, y, what, size=FONT_SIZE, weight=weight, va="center")
        low = y - 0.42 * step
        axes.text(0.045, low, where, size=LABEL_SIZE - 0.5, color=QUIET, va="center")
