"""Pictures of what is shaken over road speed: one a question, configurations side by side.

They are narrow, so that a phone shows them whole: named speeds have a number in the picture and
their words below it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from sim.display import Display
from sim.explore.shaken import Course
from sim.explore.shaken_bands import Curve, largest_band, place_band
from sim.scene.parts import Complaint
from sim.show.plots.canvas import DOTS_PER_INCH, draw_line, drawing, save, spread
from sim.show.shake_view import Asked, Mark, Shown, marks_of, places_in_turn
from sim.show.style import INK, LABEL_SIZE, configuration_look

WIDTH, LEFT, RIGHT = 3.6, 0.68, 0.12  # [in]: of the picture, left and right of its panels
PANEL, LOW_PANEL, LINE = 2.1, 1.6, 0.145  # [in]: height of a panel, of one of two; of a line
TAGS, FOOT, BETWEEN = 0.24, 0.46, 0.42  # [in]: above the panels, below them, between two
LETTERS = 52  # in a line of that width
DECADES = 1000.0  # from the largest force down
FEW = 100.0  # below which an axis is numbered closer
SHADE, EDGE = 0.18, 0.8  # of a band: opacity inside, and of its edge, which tells it in grey
HOW = (
    "Line: as read, the worse of ends held rigidly and on springs. Shaded: 5 to 95\u00a0% of all "
    "that is not known, both kinds of ends"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A picture, and where its panels stand in it, as shares of its width and height.

    Attributes:
        files: SVG and PNG.
        asked: What it shows.
        left, right, top, bottom: Edges of the panels, from the left and the top.
    """

    files: tuple[Path, Path]
    asked: Asked
    left: float
    right: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True, eq=False)
class _Curve:
    """One curve of a panel."""

    shown: Shown
    course: Course
    band: Curve


def draw_shake(
    asked: Asked, complaints: Sequence[Complaint], display: Display, about: str, folder: Path
) -> Chart:
    """Draw one question: force over road speed of every configuration, with its band.

    Args:
        asked: What is shown.
        complaints: What the driver feels.
        display: Units shown.
        about: Subtitle: which vehicle.
        folder: Where the pictures belong.
    """
    panels, legend = _panels(asked)
    marks = marks_of(asked, complaints)
    key = [
        line
        for number, mark in enumerate(marks, start=1)
        for line in _key_lines(number, mark, display)
    ]
    lines = [*wrap(f"{about}, {asked.height}", LETTERS), *wrap(HOW, LETTERS)]
    heights = [PANEL] if len(panels) == 1 else [LOW_PANEL] * len(panels)
    above = 0.42 + 0.14 * len(lines) + LINE * len(legend) + TAGS + 0.16
    height = above + sum(heights) + BETWEEN * (len(panels) - 1) + FOOT + LINE * len(key) + 0.06
    with drawing(WIDTH, height, asked.question.title, "\n".join(lines)) as (figure, top):
        figure.set_dpi(2 * DOTS_PER_INCH)  # half as wide as other pictures, as many pixels
        _legend(figure, legend, top)
        low = height - above
        for (title, curves), high in zip(panels, heights, strict=True):
            low -= high
            axes = figure.add_axes(
                (LEFT / WIDTH, low / height, (WIDTH - LEFT - RIGHT) / WIDTH, high / height)
            )
            _panel(axes, asked, curves, marks, display)
            axes.set_ylabel(f"{title} [{display.force.name}]")
            axes.yaxis.set_label_coords(-(LEFT - 0.2) / (WIDTH - LEFT - RIGHT), 0.5)
            low -= BETWEEN
        axes.set_xlabel(f"road speed [{display.speed.name}]")
        _stops(figure.axes[0], marks, display)
        _tags(figure.axes[0], marks, display)
        foot = (low + BETWEEN - FOOT) / height
        for number, line in enumerate(key):
            figure.text(0.1 / WIDTH, foot - number * LINE / height, line, size=LABEL_SIZE, va="top")
        return Chart(
            files=save(figure, folder, asked.question.stem),
            asked=asked,
            left=LEFT / WIDTH,
            right=1 - RIGHT / WIDTH,
            top=above / height,
            bottom=1 - (low + BETWEEN) / height,
        )


def _key_lines(number: int, mark: Mark, display: Display) -> list[str]:
    """Return the words of a named speed, in lines."""
    speed = display.speed
    at = speed.say(mark.speed)
    if mark.until is not None:
        at = f"{speed.number(mark.speed)} to {speed.say(mark.until)}"
    return wrap(f"{number}  {at}: {mark.text}", LETTERS, subsequent_indent="    ")


def _panels(asked: Asked) -> tuple[list[tuple[str, list[_Curve]]], list[tuple[Shown, str]]]:
    """Return the panels with their curves, and what the legend says of every configuration."""
    if asked.question.situation == "cruise":
        curves, legend = [], []
        for shown, course in asked.courses:
            band, place = largest_band(course)
            curves.append(_Curve(shown, course, band))
            legend.append((shown, f"{shown.name}: {places_in_turn(shown.shake.places, place)}"))
        return [("largest force", curves)], legend
    hung = [one for one in asked.courses if one[1].given.shape[-1]]
    panels = []
    if hung:
        at_brackets = [
            _Curve(shown, course, largest_band(course, slice(1, -1))[0]) for shown, course in hung
        ]
        panels.append(("at the bracket", at_brackets))
    at_pinion = [
        _Curve(shown, course, place_band(course, course.force.shape[-1] - 1))
        for shown, course in asked.courses
    ]
    panels.append(("at the pinion", at_pinion))
    names = [
        (shown, shown.name if course.given.shape[-1] else f"{shown.name}: no bracket")
        for shown, course in asked.courses
    ]
    return panels, names


def _legend(figure: Figure, legend: Sequence[tuple[Shown, str]], top: float) -> None:
    """Write which line is which configuration, a line each."""
    looks = [configuration_look(shown.number) for shown, _ in legend]
    lines = [
        Line2D([], [], color=k.color, linestyle=(0, k.dashes) if k.dashes else "-") for k in looks
    ]
    figure.legend(
        lines,
        [words for _, words in legend],
        loc="upper left",
        bbox_to_anchor=(0.1 / WIDTH, top),
        borderpad=0,
        borderaxespad=0,
        labelspacing=0.25,
    )


def _panel(
    axes: Axes, asked: Asked, curves: Sequence[_Curve], marks: Sequence[Mark], display: Display
) -> None:
    """Draw bands, curves, stops and named speeds of one panel."""
    unit, force = display.speed, display.force
    low, high = asked.ends
    axes.set_yscale("log")
    axes.set_xlim(unit.of(low), unit.of(high))
    top = force.of(1.4 * max(float(c.band.high.max()) for c in curves))
    least = force.of(0.7 * min(float(c.band.read[c.band.read > 0].min()) for c in curves))
    axes.set_ylim(max(least, top / DECADES), top)
    few = axes.get_ylim()[1] < FEW * axes.get_ylim()[0]
    axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 3.0) if few else (1.0,)))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.yaxis.set_minor_formatter(NullFormatter())
    for curve in curves:
        look = configuration_look(curve.shown.number)
        speed = curve.course.speed / unit.size
        axes.fill_between(
            speed,
            curve.band.low / force.size,
            curve.band.high / force.size,
            facecolor=(look.color, SHADE),
            edgecolor=(look.color, EDGE),
            linewidth=0.6,
            linestyle=(0, look.dashes) if look.dashes else "-",
        )
        draw_line(axes, speed, curve.band.read / force.size, look)
    for mark in marks:
        axes.axvline(unit.of(mark.speed), color=mark.color, linewidth=0.8, linestyle=(0, (1, 2)))


def _stops(axes: Axes, marks: Sequence[Mark], display: Display) -> None:
    """Draw at the foot of a panel where rubber is on its stop, a bar a bearing."""
    foot = axes.get_xaxis_transform()
    stops = [(mark, mark.until) for mark in marks if mark.until is not None]
    for number, (mark, until) in enumerate(stops):
        reach = (display.speed.of(mark.speed), display.speed.of(until))
        axes.plot(reach, [0.02 + 0.03 * number] * 2, transform=foot, color=mark.color, linewidth=3)


def _tags(axes: Axes, marks: Sequence[Mark], display: Display) -> None:
    """Write the numbers of the named speeds above a panel, moved apart where they would touch."""
    if not marks:
        return
    low, high = axes.get_xlim()
    wanted = [(display.speed.of(mark.speed) - low) / (high - low) for mark in marks]
    size = 0.16 / (WIDTH - LEFT - RIGHT)
    for number, (mark, place, at) in enumerate(
        zip(marks, spread(wanted, [size] * len(marks)), wanted, strict=True), start=1
    ):
        axes.annotate(
            f"{number}",
            xy=(at, 1.0),
            xycoords="axes fraction",
            xytext=(place, 1.0 + 0.2 / PANEL),
            textcoords="axes fraction",
            ha="center",
            va="bottom",
            size=LABEL_SIZE,
            weight="bold",
            color=INK,
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": mark.color,
                "lw": 0.6,
                "shrinkA": 0,
                "shrinkB": 0,
            },
        )
