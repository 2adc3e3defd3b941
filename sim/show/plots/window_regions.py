"""Regions of the window of places, cut at one height or one side: what is broken where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.interpolate import RegularGridInterpolator

from sim.arrays import Array
from sim.explore.place import Window
from sim.explore.rooms import Key

OPEN, BLOCKED = -1, -2
FINE = 181  # points along each side of a cut
SMALL = 0.015  # share of a cut below which a region gets no name
BESIDE = 0.5  # share of a region's stations at which something is open, so that it lies beside it
ROOM = 0.20, 0.10  # shares of a cut's sides beside a marked place that a name leaves free
MOST = 7  # names in a cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """A cut through the free space: stations along, sides or heights across.

    Attributes:
        along: Stations [m], (X,).
        across: Heights or sides [m], (Y,).
        at: Side or height of the cut [m].
        view: Component across: 2 from the side, 1 from above.
        broken: Index of the limit that is broken most, ``OPEN`` or ``BLOCKED``, (Y, X).
    """

    along: Array
    across: Array
    at: float
    view: int
    broken: NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A connected region of a cut.

    Attributes:
        key: The limit that is broken most there; None where it is open, or where an obstacle is.
        blocked: Whether an obstacle stands there.
        side: "low", "high", "left", "right", "forward" or "aft" of what is open; "" without that.
        share: Of the whole cut [-].
        label: Place for its name: along and across [m].
    """

    key: Key | None
    blocked: bool
    side: str
    share: float
    label: tuple[float, float]


def cut_of(window: Window, view: int, at: float) -> Cut:
    """Return a cut through a window; rooms between places of the grid are straight lines.

    Args:
        window: The window.
        view: Component across: 2 from the side, 1 from above.
        at: Where along the third component [m].
    """
    third = 3 - view
    axes = [_two(axis) for axis in window.axes]
    rooms = window.rooms
    for axis, values in enumerate(window.axes):
        rooms = np.repeat(rooms, 2, axis=axis) if len(values) == 1 else rooms
    fine = [np.linspace(axes[k][0], axes[k][-1], FINE) for k in (0, view)]
    x, y = np.meshgrid(*fine)
    places = np.empty((*x.shape, 3))
    places[..., 0], places[..., view] = x, y
    places[..., third] = np.clip(at, axes[third][0], axes[third][-1])
    there = RegularGridInterpolator(axes, rooms.astype(float))(places)
    worst = np.argmin(np.where(window.looked.fails, there, np.inf), axis=-1)
    broken = np.where(window.looked.keeps(there), OPEN, worst)
    broken = np.where(np.isnan(there).any(axis=-1), BLOCKED, broken)
    return Cut(along=fine[0], across=fine[1], at=at, view=view, broken=broken)


def _two(axis: Array) -> Array:
    """Return an axis of at least two values, to interpolate along."""
    return axis[0] + np.array([-5e-4, 5e-4]) if axis[0] == axis[-1] else axis


def regions_of(cut: Cut, window: Window) -> list[Region]:
    """Return the regions of a cut that are large enough for a name, the largest first.

    Args:
        cut: The cut.
        window: It is of.
    """
    found = sorted(
        _regions(cut, window, _kept_clear(cut, window)), key=lambda region: -region.share
    )
    return [region for region in found if region.share >= SMALL][:MOST]


def _kept_clear(cut: Cut, window: Window) -> NDArray[np.bool_]:
    """Return where no name shall stand, beside the marks of places, (Y, X)."""
    best = (place.point for place in (window.best, window.on_brace) if place is not None)
    x, y = np.meshgrid(cut.along, cut.across)
    taken = np.zeros(x.shape, bool)
    for point in (window.space.now, *best):
        off_x = np.abs(x - point[0]) / np.ptp(cut.along)
        off_y = np.abs(y - point[cut.view]) / np.ptp(cut.across)
        taken |= (off_x < ROOM[0]) & (off_y < ROOM[1])
    return taken


def _regions(cut: Cut, window: Window, taken: NDArray[np.bool_]) -> Iterator[Region]:
    """Yield all connected regions."""
    middle = _middle_of(cut, cut.broken == OPEN)
    for value in np.unique(cut.broken).tolist():
        marks, count = ndimage.label(cut.broken == value)
        for number in range(1, count + 1):
            mine = marks == number
            clear = mine & ~taken if (mine & ~taken).any() else mine
            inside = ndimage.distance_transform_edt(np.pad(clear, 1))[1:-1, 1:-1]
            row, column = np.unravel_index(int(inside.argmax()), mine.shape)
            yield Region(
                key=None if value < 0 else window.looked.keys[value],
                blocked=value == BLOCKED,
                side="" if value < 0 or middle is None else _side(cut, mine, middle),
                share=float(mine.mean()),
                label=(float(cut.along[column]), float(cut.across[row])),
            )


def _middle_of(cut: Cut, mine: NDArray[np.bool_]) -> tuple[float, float] | None:
    """Return the middle of a part of a cut, as shares of its sides."""
    if not mine.any():
        return None
    rows, columns = np.nonzero(mine)
    return float(columns.mean() / mine.shape[1]), float(rows.mean() / mine.shape[0])


def _side(cut: Cut, mine: NDArray[np.bool_], middle: tuple[float, float]) -> str:
    """Return on which side of what is open a region lies."""
    rows, columns = np.nonzero(mine)
    open_ = cut.broken == OPEN
    # across, where the open part stands in the same columns; else along
    here = open_[:, np.unique(columns)]
    if here.any(axis=0).mean() > BESIDE:
        level = float(np.nonzero(here)[0].mean())
        less, more = ("low", "high") if cut.view == 2 else ("left", "right")
        return more if rows.mean() > level else less
    return "aft" if columns.mean() / mine.shape[1] > middle[0] else "forward"
