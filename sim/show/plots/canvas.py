"""A figure on paper, its direct labels, and how it is saved: the same bits every time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any, cast

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import isotonic_regression

from sim.show.files import write_with
from sim.show.plots.svg import tidied
from sim.show.style import INK, LABEL_SIZE, LIMIT, QUIET, TITLE_SIZE, Look, plot_settings

DOTS_PER_INCH = 150
LETTERS = 132
"""How many letters a line of a subtitle holds."""

LABEL_STEP = 0.135
"""Least distance of two direct labels [in]."""

_LETTER = 0.055
"""Width of a letter in the names of heights [in]."""

LABEL_GROUND = {"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.6}
"""What stands behind words that lie over lines."""


@dataclass(frozen=True, slots=True)
class EndLabel:
    """A direct label at the end of a line: height in data, words, color."""

    value: float
    text: str
    color: str


@contextmanager
def drawing(
    width: float, height: float, title: str, subtitle: str = ""
) -> Iterator[tuple[Figure, float]]:
    """Open a figure under the house style.

    Args:
        width: Of the figure [in].
        height: Of the figure [in].
        title: Headline, what the picture shows.
        subtitle: Whose, under which conditions.

    Yields:
        The figure, and the share of its height under the headline that panels may use.
    """
    with rc_context(cast(Any, plot_settings())):
        figure = Figure(figsize=(width, height), dpi=DOTS_PER_INCH)
        FigureCanvasAgg(figure)
        left = 0.1 / width
        figure.text(left, 1 - 0.09 / height, title, size=TITLE_SIZE, weight="bold", va="top")
        figure.text(
            left,
            1 - 0.30 / height,
            subtitle,
            size=LABEL_SIZE,
            color=QUIET,
            va="top",
            linespacing=1.35,
        )
        yield figure, 1 - (0.42 + 0.14 * len(subtitle.splitlines())) / height


def panels(figure: Figure, rows: int, columns: int, **options: Any) -> list[list[Axes]]:
    """Return the panels of a figure in rows; options as matplotlib's ``subplots`` takes them."""
    grid = figure.subplots(rows, columns, squeeze=False, **options)
    return [list(row) for row in grid]


def save(figure: Figure, folder: Path, name: str) -> tuple[Path, Path]:
    """Write a figure as SVG and PNG, without dates, so that it is the same every time.

    Args:
        figure: The figure.
        folder: Where it belongs.
        name: Of the files, without ending.

    Returns:
        The SVG and the PNG.
    """

    def svg(path: Path) -> None:
        drawn = StringIO()
        figure.savefig(drawn, format="svg", metadata={"Date": None, "Creator": "halfturn"})
        path.write_text(tidied(drawn.getvalue()), encoding="utf-8")

    def png(path: Path) -> None:
        figure.savefig(path, format="png", metadata={"Software": "halfturn"})

    return write_with(folder / f"{name}.svg", svg), write_with(folder / f"{name}.png", png)


def draw_line(
    axes: Axes,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    look: Look,
    mark_at: Sequence[float] = (),
    width: float = 1.8,
) -> Line2D:
    """Draw one line in its look, with markers only where named heights are.

    Args:
        axes: Panel.
        x: Abscissas, rising, in the unit shown.
        y: Ordinates, in the unit shown.
        look: Color, marker, dashes.
        mark_at: Abscissas that get a marker.
        width: Line width [pt].
    """
    style = (0, look.dashes) if look.dashes else "-"
    (line,) = axes.plot(x, y, color=look.color, linestyle=style, linewidth=width)
    if len(mark_at):
        draw_marks(axes, mark_at, np.interp(mark_at, x, y), look)
    return line


def draw_marks(axes: Axes, x: ArrayLike, y: ArrayLike, look: Look) -> None:
    """Draw named heights: markers, no line."""
    axes.plot(
        x,
        y,
        linestyle="none",
        marker=look.marker,
        color=look.color,
        markeredgecolor="white",
        markeredgewidth=0.7,
    )


def draw_still(axes: Axes, x: NDArray[np.float64], y: NDArray[np.float64], look: Look) -> None:
    """Draw states in which nothing turns: hollow markers, no line."""
    axes.plot(x, y, marker=look.marker, color=look.color, mfc="white", linestyle="none")


def label_ends(axes: Axes, labels: Sequence[EndLabel], x: float) -> None:
    """Write words beside the ends of lines, moved apart where they would touch.

    Call it after the limits of the panel are set.

    Args:
        axes: Panel.
        labels: One a line.
        x: Abscissa where the lines end, in data.
    """
    if not labels:
        return
    low, high = axes.get_ylim()
    step = LABEL_STEP * DOTS_PER_INCH / axes.get_window_extent().height
    order = sorted(labels, key=lambda label: label.value)
    wanted = [(label.value - low) / (high - low) for label in order]
    for label, place in zip(order, spread(wanted, [step] * len(order)), strict=True):
        axes.annotate(
            label.text,
            xy=(x, label.value),
            xytext=(1.035, place),
            textcoords="axes fraction",
            color=label.color,
            size=LABEL_SIZE,
            va="center",
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": label.color,
                "lw": 0.5,
                "relpos": (0.0, 0.5),  # to the first letter, never through the words
                "shrinkA": 1,
                "shrinkB": 1,
            },
        )


def spread(places: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Return rising places moved apart until nothing touches, moved least, within 0 and 1.

    Args:
        places: Where the middles would like to be, rising.
        sizes: Room that each needs.

    Example:
        >>> [round(place, 3) for place in spread([0.5, 0.5, 0.9], [0.1, 0.1, 0.1])]
        [0.45, 0.55, 0.9]
        >>> [round(place, 3) for place in spread([0.0, 0.0], [0.1, 0.1])]
        [0.05, 0.15]
    """
    size = np.asarray(sizes, float)
    apart = np.concatenate([[0.0], np.cumsum((size[1:] + size[:-1]) / 2)])
    least_moved = isotonic_regression(np.asarray(places, float) - apart).x
    lowest, highest = size[0] / 2, 1 - size[-1] / 2 - apart[-1]
    return [float(place) for place in np.clip(least_moved, lowest, max(highest, lowest)) + apart]


def room_beside(words: Iterable[str], width: float) -> float:
    """Return the share of a figure's width that the longest direct label needs.

    Args:
        words: The labels.
        width: Of the figure [in].
    """
    return (0.066 * max(len(text) for text in words) + 0.30) / width


def limit_line(axes: Axes, value: float, text: str, below: bool = False) -> None:
    """Draw a limit across a panel and name it on the line, at the left.

    Args:
        axes: Panel.
        value: The limit, in the unit shown.
        text: Its name and value; "" for a line that another one names.
        below: Whether its name stands below the line.
    """
    axes.axhline(value, color=LIMIT, linewidth=0.9, linestyle=(0, (8, 2, 2, 2)), zorder=1.5)
    axes.annotate(
        text,
        xy=(0.0, value),
        xycoords=("axes fraction", "data"),
        xytext=(4, -3 if below else 3),
        textcoords="offset points",
        color=LIMIT,
        size=LABEL_SIZE - 1,
        va="top" if below else "bottom",
        bbox=LABEL_GROUND,
        zorder=1.6,
    )


def name_heights(axes: Axes, heights: Sequence[tuple[float, str]]) -> None:
    """Draw the named heights as faint uprights with their names above the panel.

    Names that would touch move apart.

    Args:
        axes: Panel, abscissa travel.
        heights: Travel in the unit shown, and name, rising.
    """
    if not heights:
        return
    low, high = axes.get_xlim()
    inches = axes.get_window_extent().width / DOTS_PER_INCH
    wanted = [(x - low) / (high - low) for x, _ in heights]
    sizes = [(_LETTER * len(name) + 0.06) / inches for _, name in heights]
    for (x, name), place in zip(heights, spread(wanted, sizes), strict=True):
        axes.axvline(x, color=QUIET, linewidth=0.6, linestyle=(0, (1, 2)), zorder=1.2)
        axes.annotate(
            name,
            xy=(place, 1.0),
            xycoords="axes fraction",
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            va="bottom",
            size=LABEL_SIZE - 1.5,
            color=INK,
        )
