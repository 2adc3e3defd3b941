"""Picture of the critical speed of every shaft against the top speed of the vehicle."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from matplotlib.axes import Axes

from sim.display import Display, Unit
from sim.measure.measurements import CriticalSpeed, Measurements
from sim.show.plots.canvas import LABEL_GROUND, drawing, room_beside, save
from sim.show.style import FONT_SIZE, INK, LABEL_SIZE, LIMIT, configuration_look


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
    first = next(iter(named.values())).configuration
    top_speed, share = first.vehicle.top_speed, first.limits.safe_share
    bars = [
        (place, name, speed)
        for place, (name, m) in enumerate(named.items())
        for speed in m.critical_speeds
    ]
    rows = [row + 0.35 * place for row, (place, _, _) in enumerate(bars)]
    height = 1.45 + 0.42 * (rows[-1] + 1)
    note = (
        f"{about}\nfull bar: whirl limit, {share:.2f} of critical; hatched: up to critical; "
        "dashed tick: half of critical, where the twice-per-turn shake meets it"
    )
    with drawing(8.4, height, "Road speed at which each shaft whirls", note) as (figure, top):
        axes = figure.subplots()
        names = [f"{name}, shaft {speed.shaft}" for _, name, speed in bars]
        figure.subplots_adjust(left=room_beside(names, 8.4), right=0.97)
        figure.subplots_adjust(bottom=0.52 / height, top=top - 0.1 / height)
        fastest = max(display.speed.of(speed.road_speed) for _, _, speed in bars)
        axes.set_xlim(0, 1.42 * max(fastest, display.speed.of(top_speed)))
        for row, (place, _, speed) in zip(rows, bars, strict=True):
            _bar(axes, row, configuration_look(place).color, speed, display)
        axes.set_yticks(rows, names)
        axes.tick_params(axis="y", length=0, labelsize=FONT_SIZE, labelcolor=INK)
        axes.set_ylim(rows[-1] + 0.5, -0.95)
        axes.grid(visible=False, axis="y")
        _top_speed(axes, display.speed, top_speed)
        axes.set_xlabel(f"road speed [{display.speed.name}]")
        return save(figure, folder, "critical-speeds")


def _top_speed(axes: Axes, unit: Unit, speed: float) -> None:
    """Draw the top speed of the vehicle across all bars."""
    axes.axvline(unit.of(speed), color=LIMIT, linewidth=1.6, zorder=2.5)
    axes.annotate(
        f"top speed {unit.say(speed)}",
        xy=(unit.of(speed), 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(5, -2),
        textcoords="offset points",
        color=LIMIT,
        size=LABEL_SIZE,
        weight="bold",
        va="top",
    )


def _bar(axes: Axes, row: float, color: str, speed: CriticalSpeed, display: Display) -> None:
    """Draw one shaft: full up to the safe share, hatched up to critical, a tick at half."""
    unit = display.speed
    safe, critical = unit.of(speed.safe_road_speed), unit.of(speed.road_speed)
    half = unit.of(speed.half_road_speed)
    axes.barh(row, safe, height=0.62, color=color, zorder=2)
    axes.barh(
        row, critical - safe, left=safe, height=0.62, facecolor="white", edgecolor=color,
        hatch="////", linewidth=1.0, zorder=2,
    )  # fmt: skip
    axes.vlines(half, row - 0.31, row + 0.31, "white", linestyle=(0, (2, 1.5)), lw=1.2, zorder=3)
    axes.annotate(
        f"whirl limit {unit.say(speed.safe_road_speed)}, critical {critical:.0f}",
        xy=(critical, row),
        xytext=(5, 0),
        textcoords="offset points",
        va="center",
        size=LABEL_SIZE,
        color=INK,
        bbox=LABEL_GROUND,
        zorder=4,
    )
