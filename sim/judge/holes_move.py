"""Where else the foot of a brace may be bolted so that every hole keeps a drilling guide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Array, Marks
from sim.judge.drilling import Guide
from sim.judge.holes import ON, fits, keeps, used_holes
from sim.scene.parts import Foot, Rail

REACH = 0.15  # a foot is not moved farther than this [m]; our own choice
_CHUNK = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A place of the foot, on both rails alike, where every hole keeps the guide.

    Attributes:
        aft, up: How far from where it was [m].
        uses: Old holes that it falls on, each with the side of its rail.
    """

    aft: float
    up: float
    uses: tuple[str, ...]


def nearest_move(
    rails: Sequence[Rail], foot: Foot, places: Sequence[Array], guide: Guide, step: float
) -> Move | None:
    """Return the least move of the foot, by whole steps, that keeps the guide on every rail.

    Args:
        rails: The rails.
        foot: The foot.
        places: Of its holes, one array for each rail [m], (H, 2).
        guide: The guide.
        step: Smallest amount that is moved [m].

    Returns:
        The move, or None where none within 150 mm keeps it.
    """
    steps = np.arange(-int(REACH / step), int(REACH / step) + 1) * step
    return _first(rails, foot, places, guide, np.array(np.meshgrid(steps, steps)).reshape(2, -1).T)


def move_onto_old(
    rails: Sequence[Rail], foot: Foot, places: Sequence[Array], guide: Guide
) -> Move | None:
    """Return the least move that puts a hole of the foot on an old one and keeps the guide.

    See ``nearest_move``.
    """
    ways = [
        (old.aft - aft, old.up - up)
        for rail, there in zip(rails, places, strict=True)
        for old in rail.holes
        for aft, up in there
        if fits(foot, old)
    ]
    near = [way for way in ways if np.hypot(*way) <= REACH]
    return _first(rails, foot, places, guide, np.array(near)) if near else None


def _first(
    rails: Sequence[Rail], foot: Foot, places: Sequence[Array], guide: Guide, ways: Array
) -> Move | None:
    """Return the shortest of some moves (K, 2) [m] that keeps the guide on every rail."""
    ways = ways[np.lexsort((ways[:, 0], ways[:, 1], np.round(np.hypot(*ways.T), 9)))]
    ways = ways[_worth(rails, foot, places, guide, ways)]
    for some in (ways[i : i + _CHUNK] for i in range(0, len(ways), _CHUNK)):
        good = np.ones(len(some), dtype=bool)
        for rail, there in zip(rails, places, strict=True):
            good &= keeps(rail, foot, there + some[:, None, :], guide)
        if good.any():
            way = some[int(np.argmax(good))]
            uses = tuple(
                f"{name} ({rail.side})"
                for rail, there in zip(rails, places, strict=True)
                for name in _serving(rail, foot, there + way)
            )
            return Move(aft=float(way[0]), up=float(way[1]), uses=uses)
    return None


def _serving(rail: Rail, foot: Foot, places: Array) -> list[str]:
    """Return the names of old holes that serve as holes of a foot."""
    used = used_holes(rail, foot, places)
    return [hole.name for o, hole in enumerate(rail.holes) if used[:, o].any()]


def _worth(
    rails: Sequence[Rail], foot: Foot, places: Sequence[Array], guide: Guide, ways: Array
) -> Marks:
    """Return which moves may keep a guide: without old holes they do, or they land on one.

    Without old holes only the height counts, so this spares nearly all of the work.
    """
    ups, which = np.unique(ways[:, 1], return_inverse=True)
    worth = np.ones(len(ways), dtype=bool)
    for rail, there in zip(rails, places, strict=True):
        bare, raised = replace(rail, holes=()), np.column_stack((np.zeros(len(ups)), ups))
        kept = keeps(bare, foot, there + raised[:, None, :], guide)[which]
        for old in rail.holes:
            if fits(foot, old):
                gap = (old.aft, old.up) - there
                on = np.hypot(*(gap[:, None, :] - ways).transpose(2, 0, 1)) <= 2 * ON
                kept = kept | on.any(axis=0)
        worth &= kept
    return worth
