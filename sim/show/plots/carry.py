"""Picture of the torque that can reach the shafts against what tubes and joints carry."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from matplotlib.axes import Axes

from sim.display import Display, Unit
from sim.measure.measurements import Measurements
from sim.motion.torque import torque_loads
from sim.show.plots.canvas import LABEL_GROUND, drawing, room_beside, save
from sim.show.style import FONT_SIZE, INK, LABEL_SIZE, LIMIT, STEEL

_DEMAND, _TUBE, _JOINT = "#12506b", STEEL, "#b3781a"


@dataclass(frozen=True, slots=True)
class _Bar:
    """A torque [N m] with its name, and whether it is a limit; a note behind its number."""

    name: str
    torque: float
    color: str
    limit: bool
    note: str = ""


def draw_carry(m: Measurements, display: Display, about: str, folder: Path) -> tuple[Path, Path]:
    """Draw torques that can reach the shafts, and those that tubes and joints carry, as bars.

    Args:
        m: What was measured.
        display: Units shown.
        about: Subtitle: which configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    demands, limits = _demands(m), _limits(m)
    rows = [*range(len(demands)), *(len(demands) + 0.7 + k for k in range(len(limits)))]
    height = 1.66 + 0.3 * (rows[-1] + 1)
    torques = m.strength.torques
    note = (
        f"{about}\nfull bars: torque that comes; hatched: what a part carries; "
        f"line: the most that can reach the shafts ({torques.most_name})\n"
        "sized by: Spicer J3311, printed p. 2; the lesser counts"
    )
    with drawing(8.4, height, "What it must carry: torque against tubes and joints", note) as (
        figure,
        top,
    ):
        axes, bars, unit = figure.subplots(), [*demands, *limits], display.torque
        figure.subplots_adjust(left=room_beside([b.name for b in bars], 8.4), right=0.97)
        figure.subplots_adjust(bottom=0.5 / height, top=top - 0.08 / height)
        for row, bar in zip(rows, bars, strict=True):
            _bar(axes, row, bar, unit)
        axes.set_xlim(0, 1.5 * unit.of(max(bar.torque for bar in bars)))  # room for the words
        axes.set_yticks(rows, [bar.name for bar in bars])
        axes.tick_params(axis="y", length=0, labelsize=FONT_SIZE, labelcolor=INK)
        axes.set_ylim(rows[-1] + 0.6, -0.7)
        axes.grid(visible=False, axis="y")
        axes.axvline(unit.of(torques.most), color=LIMIT, linewidth=1.4, zorder=2.5)
        axes.set_xlabel(f"torque in the shaft [{unit.name}]")
        return save(figure, folder, "torque-carried")


def _demands(m: Measurements) -> list[_Bar]:
    """Return what sizes the shafts, what engine and tires can bring, and every torque case."""
    torques, low = m.strength.torques, m.configuration.vehicle.low_range != 1
    found = [
        ("sized by low gear", m.strength.sizing.low_gear),
        ("sized by wheel slip", m.strength.sizing.wheel_slip),
        ("engine, first gear", torques.engine),
        ("engine, first gear, low range", torques.low_range if low else None),
        ("tires at their grip", torques.tires),
    ]
    found += [(load.name, abs(load.shaft_torque)) for load in torque_loads(m.configuration)]
    return [
        _Bar(name, torque, _DEMAND, False, "" if torque <= torques.most else "the tires slip first")
        for name, torque in found
        if torque
    ]


def _limits(m: Measurements) -> list[_Bar]:
    """Return what tubes and joints carry; what is from memory says so."""
    bars = []
    for tube in m.strength.tubes:
        how = "yields" if tube.yield_torque <= tube.buckling_torque else "buckles"
        note = "" if tube.certified else "from memory"
        bars.append(_Bar(f"shaft {tube.shaft}, tube {how}", tube.carries, _TUBE, True, note))
    for rating in m.strength.ratings:
        if rating.torque is not None:
            note = "" if rating.own else f"series {m.configuration.series}, from memory"
            bars.append(_Bar(f"joint {rating.joint}, rated", rating.torque, _JOINT, True, note))
    return bars


def _bar(axes: Axes, row: float, bar: _Bar, unit: Unit) -> None:
    """Draw one torque and write it."""
    long = unit.of(bar.torque)
    look = (
        {"facecolor": "white", "edgecolor": bar.color, "hatch": "////", "linewidth": 1.0}
        if bar.limit
        else {"color": bar.color}
    )
    axes.barh(row, long, height=0.66, zorder=2, **look)
    text = " ".join(filter(None, (unit.say(bar.torque), bar.note and f"({bar.note})")))
    axes.annotate(
        text,
        xy=(long, row),
        xytext=(4, 0),
        textcoords="offset points",
        va="center",
        size=LABEL_SIZE,
        color=INK,
        bbox=LABEL_GROUND,
        zorder=4,
    )
