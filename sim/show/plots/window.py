"""Picture of the window of places: from the side and from above, and where it is in the vehicle."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from textwrap import fill
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from sim.arrays import Array
from sim.display import DisplayName, Unit, display_of, on_tape
from sim.explore.place import Window
from sim.scene.parts import Rail, joint_centers
from sim.show.plots.canvas import LABEL_GROUND, drawing, save
from sim.show.plots.obstacles import draw_obstacles
from sim.show.plots.outline import SIDE, TOP
from sim.show.plots.window_regions import BLOCKED, OPEN, Cut, Region, cut_of, regions_of
from sim.show.style import FAINT, INK, LABEL_SIZE, LIMIT, QUIET, VERDICT_COLORS
from sim.show.window import SIDES, limit_words, place_words

WIDTH, HEIGHT = 9.6, 10.25  # of the picture [in]
LEFT, RIGHT = 0.75, 0.15  # margins [in]
CUT, AROUND = 2.75, 2.1  # height of a cut, and of an overview [in]
HEAD, BETWEEN = 0.95, 0.62  # headline, space between panels [in]
GROUNDS = ("#f3d9d3", "#d9dff0", "#efe6c4", "#e3d6ea", "#d5e6e6", "#e8e2da", "#f0dcc2", "#dde3d0")
HATCHES = ("////", "\\\\\\\\", "....", "xxxx", "----", "||||", "oo", "++")
"""One of each a limit: light grounds, told apart in grey by their hatching."""

FREE, HATCHING = "#ffffff", "#b3ab99"
NEAR = 0.600  # [m] beyond the free space that the overview shows
OFF = 0.0015  # [m] from a cut at which a place counts as lying in it
LETTERS = 30  # of a line of a region's name


def draw_window(window: Window, title: str, folder: Path) -> tuple[Path, ...]:
    """Draw where a bearing may hang, what is broken elsewhere, and what stands around.

    Args:
        window: The window.
        title: Of the scene.
        folder: Where the picture belongs.

    Returns:
        The SVG and the PNG.
    """
    display, space = window.configuration.display, window.space
    chosen = window.sound or window.best
    at = space.now if chosen is None else chosen.point
    at = np.clip(at, space.low, space.high)
    cuts = [cut_of(window, SIDE, float(at[1]))]
    if space.low[1] < space.high[1]:  # a space without a width has nothing to show from above
        cuts.append(cut_of(window, TOP, float(at[2])))
    height = HEIGHT - (2 - len(cuts)) * (CUT + BETWEEN)
    looks = _looks(window, cuts)
    about = f"{title}, {window.configuration.name}, bearing {space.bearing}\n{_about(window)}"
    with drawing(WIDTH, height, "Where the center bearing may hang", about) as (figure, _):

        def panel(top: float, high: float, left: float = LEFT, wide: float = 0.0) -> Axes:
            wide = wide or WIDTH - LEFT - RIGHT
            place = (left / WIDTH, (top - high) / height, wide / WIDTH, high / height)
            return figure.add_axes(place)

        top = height - HEAD
        for cut in cuts:
            _draw_cut(panel(top, CUT), window, cut, looks, display)
            top -= CUT + BETWEEN
        half = (WIDTH - LEFT - RIGHT - 0.65) / 2
        for view, left in ((SIDE, LEFT), (TOP, LEFT + half + 0.65)):
            _draw_around(panel(top, AROUND, left, half), window, view, display_of(display).length)
        name = "window" if space.bearing == 1 else f"window_bearing_{space.bearing}"
        return save(figure, folder, name)


def _about(window: Window) -> str:
    """Return what the picture says in a line."""
    display, place = window.configuration.display, window.sound
    if place is None:
        return "no place of this bearing alone is sound; regions name the limit that is broken most"
    return (
        f"★ {place_words(place.point, display)}: good to build; "
        "regions name the limit that is broken most"
    )


def _looks(window: Window, cuts: Sequence[Cut]) -> Mapping[int, tuple[str, str]]:
    """Return ground and hatching of every limit that is broken most somewhere."""
    seen = sorted({int(k) for cut in cuts for k in np.unique(cut.broken) if k >= 0})
    return {k: (GROUNDS[n % len(GROUNDS)], HATCHES[n % len(HATCHES)]) for n, k in enumerate(seen)}


def _draw_cut(
    axes: Axes,
    window: Window,
    cut: Cut,
    looks: Mapping[int, tuple[str, str]],
    display: DisplayName,
) -> None:
    """Draw one cut: regions with their names, hole rows, the places of today and best."""
    unit = display_of(display).length
    axes.grid(visible=False)
    x, y = cut.along / unit.size, cut.across / unit.size
    for value in np.unique(cut.broken).tolist():
        color, hatch = looks.get(value, ("#c9c3b4", "") if value == BLOCKED else (FREE, ""))
        mine = (cut.broken == value).astype(float)
        filled = axes.contourf(x, y, mine, [0.5, 1.5], colors=[color], hatches=[hatch], zorder=1)
        filled.set_edgecolor(HATCHING)
        filled.set_linewidth(0.0)
    if (cut.broken == OPEN).any() and (cut.broken != OPEN).any():
        edge = VERDICT_COLORS["passes"]
        axes.contour(x, y, (cut.broken == OPEN).astype(float), [0.5], colors=[edge], linewidths=2.2)
    axes.set_xlim(x[0], x[-1])
    axes.set_ylim(y[0], y[-1])
    if cut.view == TOP:
        axes.invert_yaxis()
    _holes(axes, window, cut, unit)
    _marks(axes, window, cut, unit)
    for region in regions_of(cut, window):
        _name(axes, window, region, cut, unit)
    said = "from the side" if cut.view == SIDE else "from above"
    third = "height" if cut.view == TOP else "side"
    side = "" if cut.view == TOP else _aside(cut.at, display)
    where = f"at a height of {on_tape(cut.at, display)}" if third == "height" else side
    axes.set_title(f"{said}, front at the left, {where}", fontsize=LABEL_SIZE, pad=3)
    axes.set_ylabel(f"{'up' if cut.view == SIDE else 'right'} [{unit.name}]")
    axes.set_xlabel(f"aft [{unit.name}]", labelpad=1)


def _aside(at: float, display: DisplayName) -> str:
    """Return where a cut from the side stands."""
    if abs(at) < 1e-6:
        return "in the middle"
    return f"{on_tape(abs(at), display)} to the {'right' if at > 0 else 'left'}"


def _holes(axes: Axes, window: Window, cut: Cut, unit: Unit) -> None:
    """Draw hole rows, holes along the frame and the ends of the slots."""
    space = window.space
    if space.brace is None:
        return
    look: dict[str, Any] = {"color": QUIET, "lw": 0.8, "zorder": 3}
    if cut.view == SIDE and space.brace.row_pitch is not None:
        pitch, low = space.brace.row_pitch, float(space.low[2])
        count = int((float(space.high[2]) - low) / pitch + 1e-6) + 1
        for row in range(count):
            y = unit.of(low + row * pitch)
            axes.axhline(y, linestyle=(0, (1, 4)), **look)
            words = f"hole row {row + 1}" if row == 0 else f"{row + 1}"
            axes.annotate(words, (1, y), xycoords=("axes fraction", "data"), xytext=(-3, 1),
                          textcoords="offset points", ha="right", va="bottom",
                          size=LABEL_SIZE - 1.5, color=QUIET, zorder=4)  # fmt: skip
    if space.brace.hole_pitch is not None:
        stations = np.arange(space.low[0], space.high[0] + 1e-9, space.brace.hole_pitch)
        axes.plot(unit.of(1) * stations, np.full(len(stations), axes.get_ylim()[0]), linestyle="",
                  marker="|", color=QUIET, clip_on=False, zorder=4)  # fmt: skip
    if cut.view == TOP and space.brace.slot is not None:
        for side in (-1, 1):
            y = unit.of(space.middle + side * space.brace.slot)
            axes.axhline(y, linestyle=(0, (5, 3)), **look)
            axes.annotate("end of slot", (1, y), xycoords=("axes fraction", "data"),
                          xytext=(-3, -2 * side), textcoords="offset points", ha="right",
                          va="top" if side > 0 else "bottom", size=LABEL_SIZE - 1.5,
                          color=QUIET, zorder=4)  # fmt: skip


def _marks(axes: Axes, window: Window, cut: Cut, unit: Unit) -> None:
    """Mark where the bearing hangs today, and the best places."""
    _mark(axes, window.space.now, cut, unit, ("o", "today"), filled=False)
    other = window.on_brace if window.on_brace is not window.best else None
    if other is not None and other.keeps:
        _mark(axes, other.point, cut, unit, ("D", "on its holes"), filled=other.sound, below=True)
    if window.best is not None and window.best.keeps:
        _mark(axes, window.best.point, cut, unit, ("*", "roomiest"), filled=window.best.sound)


def _mark(
    axes: Axes,
    point: Array,
    cut: Cut,
    unit: Unit,
    look: tuple[str, str],
    *,
    filled: bool,
    below: bool = False,
) -> None:
    """Mark one place, its name beside it."""
    marker, words = look
    x, y = unit.of(float(point[0])), unit.of(float(point[cut.view]))
    words += _off_the_cut(point, cut, "metric" if unit.name == "mm" else "inch")
    axes.plot(x, y, marker=marker, ms=13 if marker == "*" else 7, mec=INK, mew=1.2,
              mfc=INK if filled else "white", linestyle="", clip_on=False, zorder=6)  # fmt: skip
    left = x > np.mean(axes.get_xlim())
    axes.annotate(words, (x, y), xytext=(-9 if left else 9, -15 if below else 8),
                  textcoords="offset points", ha="right" if left else "left", va="center",
                  size=LABEL_SIZE, weight="bold", color=INK, bbox=LABEL_GROUND, zorder=7,
                  annotation_clip=False)  # fmt: skip


def _off_the_cut(point: Array, cut: Cut, display: DisplayName) -> str:
    """Return how far a place lies from a cut, for it may be open there; "" where it lies in it."""
    third = 3 - cut.view
    off = float(point[third]) - cut.at
    if abs(off) < OFF:
        return ""
    less, more = SIDES[third]
    return f" ({on_tape(abs(off), display)} farther {more if off > 0 else less})"


def _name(axes: Axes, window: Window, region: Region, cut: Cut, unit: Unit) -> None:
    """Write on a region what is broken there."""
    x, y = (unit.of(value) for value in region.label)
    if region.key is not None:
        lead = f"too {region.side}: " if region.side in ("low", "high") else ""
        lead = lead or (f"too far {region.side}: " if region.side else "")
        words, color = f"{lead}{limit_words(window, region.key)}", INK
    elif region.blocked:
        words, color = "an obstacle stands here", INK
    else:
        words, color = "every limit is kept", VERDICT_COLORS["passes"]
    low, high = axes.get_xlim()
    share = (x - low) / (high - low)
    side = "left" if share < 0.15 else "right" if share > 0.85 else "center"
    axes.text(x, y, fill(words, LETTERS), size=LABEL_SIZE, color=color, ha=side, va="center",
              weight="bold" if region.key is None else "normal", linespacing=1.2,
              bbox=LABEL_GROUND, zorder=5, clip_on=True)  # fmt: skip


def _draw_around(axes: Axes, window: Window, view: int, unit: Unit) -> None:
    """Draw to scale where the free space is among rails and obstacles."""
    space, configuration = window.space, window.configuration
    axes.grid(visible=False)
    low, high = space.low[0] - NEAR, space.high[0] + NEAR
    axes.set_xlim(unit.of(low), unit.of(high))
    size = axes.get_window_extent()
    half = (high - low) * size.height / size.width / 2
    middle = float(space.low[view] + space.high[view]) / 2
    ends = unit.of(middle - half), unit.of(middle + half)
    axes.set_ylim(*(ends if view == SIDE else ends[::-1]))
    centers = np.array(
        joint_centers(
            configuration.output.point, configuration.bearings, configuration.pinion.point
        )
    )[:, [0, view]]
    seen = [
        o for o in configuration.obstacles if view == SIDE or o.kind != "floor"
    ]  # lies over all
    draw_obstacles(axes, seen, view, unit, centers / unit.size)
    for rail in configuration.rails:
        _rail(axes, rail, view, unit)
    axes.plot(*(centers / unit.size).T, color=FAINT, lw=1.2, linestyle=(0, (9, 2, 2, 2)), zorder=3)
    corner = unit.of(float(space.low[0])), unit.of(float(space.low[view]))
    sides = (unit.of(float(space.high[k] - space.low[k])) for k in (0, view))
    axes.add_patch(Rectangle(corner, *sides, fill=False, edgecolor=LIMIT, lw=1.6, zorder=5))
    axes.annotate("free space", corner, xytext=(2, -3 if view == SIDE else 3),
                  textcoords="offset points", va="top" if view == SIDE else "bottom",
                  size=LABEL_SIZE - 1, color=LIMIT, bbox=LABEL_GROUND, zorder=5)  # fmt: skip
    if (place := window.sound) is not None:
        axes.plot(unit.of(float(place.point[0])), unit.of(float(place.point[view])), marker="*",
                  ms=10, color=INK, zorder=6)  # fmt: skip
    said = "from the side, to scale" if view == SIDE else "from above, to scale"
    axes.set_title(said, fontsize=LABEL_SIZE, pad=3)
    axes.set_ylabel(f"{'up' if view == SIDE else 'right'} [{unit.name}]")
    axes.set_xlabel(f"aft [{unit.name}]", labelpad=1)


def _rail(axes: Axes, rail: Rail, view: int, unit: Unit) -> None:
    """Draw a side rail along the whole view, with the holes that it has."""
    left, right = axes.get_xlim()
    if view == SIDE:
        low, tall = rail.up, rail.height
    else:
        outer = rail.apart if rail.side == "right" else -rail.apart
        low, tall = (outer - rail.flange, rail.flange) if outer > 0 else (outer, rail.flange)
    patch = Rectangle((left, unit.of(low)), right - left, unit.of(tall), facecolor="#dfe3e8",
                      edgecolor=FAINT, alpha=0.6, lw=0.8, zorder=0.8)  # fmt: skip
    axes.add_patch(patch)
    y = unit.of(low + (0.85 if view == SIDE else 0.5) * tall)
    bottom, top = sorted(axes.get_ylim())
    if bottom < y < top and (view == TOP or rail.side == "left"):
        words = "rail" if view == SIDE else f"{rail.side} rail"
        axes.text(right - 0.01 * (right - left), y, words, size=LABEL_SIZE - 1.5, color=QUIET,
                  ha="right", va="center", zorder=4)  # fmt: skip
    if view == SIDE and rail.side == "left":
        for hole in rail.holes:
            axes.plot(unit.of(hole.aft), unit.of(rail.up + hole.up), marker="o", ms=4, mfc="white",
                      mec=QUIET, zorder=4)  # fmt: skip
