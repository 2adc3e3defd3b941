"""Picture of the critical speed of every shaft against the top speed of the vehicle."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from matplotlib.axes import Axes

from sim.measure.measurements import CriticalSpeed, Measurements
from sim.show.display import Display
from sim.show.plots.canvas import drawing, save
from sim.show.style import INK, LIMIT, QUIET, configuration_look


def draw_critical_speeds(
    named: Mapping[str, Measurements], display: Display, about: str, folder: Path
) -> tuple[Path, Path]:
    """Draw the road speed at which every shaft whirls, against the top speed of the vehicle.

    Args:
        named: Measurements by the name of their configuration, in the order of the scene.
        display: Units shown.
        about: Subtitle: which vehicle.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    first = next(iter(named.values()))
    top_speed, share = first.configuration.vehicle.top_speed, first.configuration.limits.safe_share
    bars = [
        (number, name, speed)
        for number, (name, m) in enumerate(named.items())
        for speed in m.critical_speeds
    ]
    height = 1.35 + 0.5 * len(bars)
    title = "Road speed at which each shaft reaches its critical speed"
    with drawing(8.4, height, title, about) as (figure, top):
        axes = figure.subplots()
        figure.subplots_adjust(left=0.22, right=0.97, bottom=0.52 / height, top=top - 0.16 / height)
        fastest = max(display.speed.of(speed.road_speed) for _, _, speed in bars)
        axes.set_xlim(0, 1.22 * max(fastest, display.speed.of(top_speed)))
        for row, (number, _, speed) in enumerate(bars):
            _bar(axes, row, configuration_look(number).color, speed, share, display)
        axes.set_yticks(
            range(len(bars)), [f"{name}, shaft {speed.shaft}" for _, name, speed in bars]
        )
        axes.tick_params(axis="y", length=0, labelsize=8.5, labelcolor=INK)
        axes.set_ylim(len(bars) - 0.45, -0.75)
        axes.grid(visible=False, axis="y")
        x = display.speed.of(top_speed)
        axes.axvline(x, color=LIMIT, linewidth=1.6)
        axes.annotate(
            f"top speed {display.speed.say(top_speed)}",
            xy=(x, -0.72),
            xytext=(4, 0),
            textcoords="offset points",
            color=LIMIT,
            size=8,
            weight="bold",
            va="top",
        )
        axes.set_xlabel(f"road speed [{display.speed.name}]")
        return save(figure, folder, "critical-speeds")


def _bar(
    axes: Axes, row: int, color: str, speed: CriticalSpeed, share: float, display: Display
) -> None:
    """Draw one shaft: full up to the safe share, hatched up to critical, a tick at half."""
    unit = display.speed
    safe, critical, half = (
        unit.of(value) for value in (speed.safe_road_speed, speed.road_speed, speed.half_road_speed)
    )
    axes.barh(row, safe, height=0.46, color=color, zorder=2)
    axes.barh(
        row,
        critical - safe,
        left=safe,
        height=0.46,
        facecolor="white",
        edgecolor=color,
        hatch="////",
        linewidth=1.0,
        zorder=2,
    )
    axes.plot(
        [half, half],
        [row - 0.23, row + 0.23],
        color="white",
        linewidth=1.0,
        linestyle=(0, (2, 1.5)),
        zorder=3,
    )
    axes.annotate(
        f"{safe:.0f}",
        xy=(safe, row),
        xytext=(-4, 0),
        textcoords="offset points",
        ha="right",
        va="center",
        color="white",
        weight="bold",
        size=8.5,
        zorder=4,
    )
    axes.annotate(
        f"{critical:.0f} critical\n{safe:.0f} at {share:.2f} of it",
        xy=(critical, row),
        xytext=(4, 0),
        textcoords="offset points",
        va="center",
        size=7.5,
        color=QUIET,
    )
