"""Picture of what each millimeter does: how far each may be off, and what one step changes."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import Rectangle

from sim.display import Display
from sim.explore.effects import Effect, Effects
from sim.show.effect_words import (
    broken_words,
    change_words,
    limit_words,
    move_words,
    read_too_coarsely,
    until_words,
)
from sim.show.plots.canvas import LETTERS, drawing, save
from sim.show.style import (
    INK,
    LABEL_SIZE,
    LIMIT,
    QUIET,
    RULE,
    VERDICT_COLORS,
    VERDICT_GROUNDS,
)

ROW, HEAD, FOOT = 0.46, 0.55, 0.5  # [in]: a step, above all of them, below
NAMES, WORDS, BANDS, CELL, GAP = 1.12, 1.4, 2.3, 0.47, 0.12  # [in], from the left
LETTERS_BESIDE = 27  # that fit into a line beside the bands
FARTHEST = 40.0  # steps to either side
TICKS = (1.0, 3.0, 10.0, 30.0)
DARK = 0.45  # share of the largest change above which its words are white
SMALL = LABEL_SIZE - 1.4


def draw_effects(effects: Effects, display: Display, about: str, folder: Path) -> tuple[Path, Path]:
    """Draw how far each may be off, and by how much one step changes angles and gap.

    Args:
        effects: Of one configuration.
        display: Units shown.
        about: Subtitle: which vehicle and configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG.
    """
    rows = len(effects.effects)
    columns = [n for n, number in enumerate(effects.numbers) if number.short]
    width = NAMES + 2 * WORDS + BANDS + len(columns) * CELL + 2 * GAP
    note = [
        f"{about}, shafts as cut; what moves the verdict most is on top",
        "green: every limit that is kept stays kept; hatched: one has given way; bar: how far the "
        "reading may be off, red with ! where that is too far; white: not looked at",
        *wrap(broken_words(effects), LETTERS),
    ]
    height = 0.45 + 0.15 * len(note) + HEAD + rows * ROW + FOOT
    with drawing(width, height, "What each millimeter does", "\n".join(note)) as (figure, top):
        high, bottom = rows * ROW / height, top - (HEAD + rows * ROW) / height
        bands = figure.add_axes(((NAMES + WORDS) / width, bottom, BANDS / width, high))
        left = NAMES + 2 * WORDS + BANDS + GAP
        cells = figure.add_axes((left / width, bottom, len(columns) * CELL / width, high))
        for axes in (bands, cells):
            axes.set_ylim(rows - 0.5, -0.5)
            axes.grid(visible=False)
        _bands(bands, effects)
        _cells(cells, effects, columns, display)
        return save(figure, folder, "effects")


def _bands(axes: Axes, effects: Effects) -> None:
    """Draw for every step how far it may go either way, and what its reading may be off."""
    axes.set_xlim(-_at(FARTHEST), _at(FARTHEST))
    for row, effect in enumerate(effects.effects):
        _band(axes, row, effect)
        axes.axhline(row + 0.5, color=RULE, linewidth=0.5, zorder=2)
        name = f"{effect.step.name}\n{move_words(effect.step, effect.step.size)}"
        beside = -(WORDS + NAMES - GAP) / BANDS
        axes.text(
            beside, row, name, transform=axes.get_yaxis_transform(), va="center", size=LABEL_SIZE
        )
    axes.axvline(0.0, color=INK, linewidth=1.0, zorder=3)
    ticks = [*(-tick for tick in reversed(TICKS)), 0.0, *TICKS]
    axes.set_xticks([_at(tick) for tick in ticks], [f"{abs(tick):g}" for tick in ticks])
    axes.set_yticks([])
    axes.set_xlabel("steps, each as long as named at the left", fontsize=LABEL_SIZE)
    axes.set_title(
        "How far each may be off\nbefore a limit gives way", loc="center", fontsize=LABEL_SIZE + 0.5
    )


def _band(axes: Axes, row: int, effect: Effect) -> None:
    """Draw one step: what is kept, what has given way, its reading, and words at both ends."""
    step, edge = effect.step, _at(FARTHEST)
    for way, (flip, end) in enumerate(zip(effect.breaks, (step.low, step.high), strict=True)):
        at = _at((end if flip is None else flip.at) / step.size)
        _ground(axes, row, 0.0, at, "passes")
        if flip is not None:
            _ground(axes, row, at, (-edge, edge)[way], "fails")
            axes.plot([at, at], [row - 0.5, row + 0.5], color=LIMIT, linewidth=1.4, zorder=2.5)
        words = [until_words(effect, way)]
        if flip is not None:
            words += wrap(limit_words(flip.limit), LETTERS_BESIDE)
        axes.annotate(
            "\n".join(words), xy=((0.0, 1.0)[way], row), xycoords=axes.get_yaxis_transform(),
            xytext=((-4, 4)[way], 0), textcoords="offset points", ha=("right", "left")[way],
            va="center", size=SMALL, color=INK if flip else QUIET, linespacing=1.1,
        )  # fmt: skip
    if step.off is not None:
        off, coarse = _at(step.off / step.size), read_too_coarsely(effect)
        color = VERDICT_COLORS["fails"] if coarse else QUIET
        axes.plot([-off, off], [row, row], color=color, linewidth=3.0, zorder=4)
        if coarse:
            axes.text(off, row, " !", color=color, va="center", weight="bold", zorder=4)


def _ground(axes: Axes, row: int, start: float, end: float, verdict: str) -> None:
    """Lay the ground of what is kept, or hatched of what has given way."""
    gone = verdict == "fails"
    axes.add_artist(
        Rectangle(
            (min(start, end), row - 0.5), abs(end - start), 1.0, linewidth=0, zorder=1,
            facecolor=VERDICT_GROUNDS["fails" if gone else "passes"],
            edgecolor="#e3b9bb", hatch="////" if gone else None,
        )
    )  # fmt: skip


def _at(steps: float) -> float:
    """Return where so many steps are drawn: even near none, then ever closer."""
    held = min(abs(steps), FARTHEST)
    return float(np.sign(steps) * np.log10(1 + held))


def _cells(axes: Axes, effects: Effects, columns: list[int], display: Display) -> None:
    """Write by how much one step changes every number, the darker the more."""
    changes = np.array([[effect.change[n] for n in columns] for effect in effects.effects])
    units = [effects.numbers[n].unit for n in columns]
    shares = np.abs(np.nan_to_num(changes))
    for unit in set(units):
        alike = [one == unit for one in units]
        shares[:, alike] /= max(shares[:, alike].max(), 1e-9)
    axes.pcolormesh(
        np.arange(len(columns) + 1), np.arange(len(changes) + 1) - 0.5, np.sqrt(shares),
        cmap=LinearSegmentedColormap.from_list("more", ["white", QUIET]), vmin=0, vmax=1.15,
        zorder=1,
    )  # fmt: skip
    for (row, column), share in np.ndenumerate(shares):
        said = change_words(float(changes[row, column]), effects.numbers[columns[column]], display)
        if said != "0":
            axes.text(
                column + 0.5, row, said, ha="center", va="center", size=LABEL_SIZE - 0.7,
                color="white" if share > DARK else INK, zorder=3,
            )  # fmt: skip
    for row in range(len(changes)):
        axes.axhline(row + 0.5, color=RULE, linewidth=0.5, zorder=2)
    axes.set_yticks([])
    axes.set_xticks([])
    axes.spines[["left", "bottom"]].set_visible(False)
    axes.set_xlabel("change by one step, as named at the left; empty: none", fontsize=LABEL_SIZE)
    _heads(axes, effects, columns, display)


def _heads(axes: Axes, effects: Effects, columns: list[int], display: Display) -> None:
    """Write above the cells what they are: alike ones under one head."""
    named = {"ride": "joint angle at\nride height [deg]", "most": "at its most\n[deg]"}
    named |= {"mm": f"least\n[{display.length.name}]", "%": "most\n[%]"}
    shorts = [effects.numbers[n].short.partition(" ") for n in columns]
    groups = [
        key or effects.numbers[n].unit for n, (_, _, key) in zip(columns, shorts, strict=True)
    ]
    above = axes.get_xaxis_transform()
    for column, (short, _, _) in enumerate(shorts):
        axes.annotate(
            short, xy=(column + 0.5, 1.0), xycoords=above, xytext=(0, 2),
            textcoords="offset points", ha="center", va="bottom", size=SMALL,
        )  # fmt: skip
    for name, some in groupby(range(len(columns)), key=lambda column: groups[column]):
        inside = list(some)
        axes.annotate(
            named[name], xy=((inside[0] + inside[-1] + 1) / 2, 1.0), xycoords=above,
            xytext=(0, 13), textcoords="offset points", ha="center", va="bottom", size=SMALL,
            color=QUIET,
        )  # fmt: skip
        if inside[0]:
            axes.axvline(inside[0], color=QUIET, linewidth=0.8, zorder=2)
