"""Places to choose among for every bearing, and combinations of several."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from itertools import product

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.explore.choose_rows import Look, Rows, count, crossed, on_first_joints, some, still
from sim.explore.place_space import (
    Space,
    feet_keep,
    free_of_obstacles,
    multiples,
    on_holes,
    space_of,
)
from sim.scene.parts import Configuration

SHORTEST = 0.460  # [m], center to center; common practice for coupling shafts, no source
ALONG = 10  # steps of a tape between two stations where any can be had
PAIRS = 30_000  # most combinations of two bearings' places


def grid_of(configuration: Configuration, bearing: int) -> tuple[Rows, str]:
    """Return the places that are looked at for one bearing, and what they are in a sentence.

    Args:
        configuration: One complete vehicle with one driveline.
        bearing: Its number, from 1.

    Returns:
        Values by path, and the words.
    """
    space = space_of(configuration, bearing)
    places, _ = on_holes(space, sides=3)
    if not len(places):
        places = _anywhere(configuration, space)
    places = places[free_of_obstacles(configuration, space, places)]
    rows = dict(zip(space.paths, places.T.copy(), strict=True))
    return rows, _words(space)


def undrilled(configuration: Configuration, rows: Rows) -> Index:
    """Return how many braces of every design have feet that the usual guide lets no one drill.

    Args:
        configuration: One complete vehicle with one driveline.
        rows: Places of its bearings, (B,).

    Returns:
        Counts, (B,); what is not known counts as drilled.
    """
    found = np.zeros(count(rows), np.int64)
    for number in range(1, len(configuration.bearings) + 1):
        space = space_of(configuration, number)
        places = np.stack([rows[path] for path in space.paths], axis=-1)
        keeps = feet_keep(configuration, space, places)
        if keeps is not None:
            found += ~keeps
    return found


def _anywhere(configuration: Configuration, space: Space) -> Array:
    """Return places that a tape can set: every height, stations some steps apart, two sides."""
    aft, up = (
        multiples(space.low[k], space.high[k], step * space.step)
        for k, step in ((0, ALONG), (2, 1))
    )
    ends = np.array([configuration.output.point[1], configuration.pinion.point[1]])
    aside = {float(np.clip(y, space.low[1], space.high[1])) for y in (space.now[1], *ends)}
    return np.array(list(product(aft, sorted(aside), up))).reshape(-1, 3)


def _words(space: Space) -> str:
    """Return which places were looked at, in a sentence."""
    if space.brace is None:
        return (
            f"No [brace.{space.bearing}] is written: bearing {space.bearing} was looked at around "
            "where it hangs, between the joints and clear of obstacles."
        )
    return f"Bearing {space.bearing} was looked at where [brace.{space.bearing}] leaves room."


def places_of(look: Look) -> tuple[Rows, int, list[str]]:
    """Return the places of all bearings whose front joints keep their limits.

    Args:
        look: At the structure.

    Returns:
        Values by path, none for a single shaft; how many places were looked at; words on them.
    """
    configuration = look.near.configuration
    rows: Rows = {}
    said, seen = [], 1
    for number in range(1, len(configuration.bearings) + 1):
        grid, words = grid_of(configuration, number)
        said.append(words)
        if rows and count(rows) * count(grid) > PAIRS:
            said.append("Of the pairs of their places some were looked at, evenly spread.")
        rows = crossed(*_thinned((rows, grid))) if rows else grid
        seen = max(seen, count(rows))
        rows = some(rows, _long_enough(configuration, rows, number))
        if not count(rows):
            break
        front = look.at(rows, still(look.near.states), partial(on_first_joints, last=number))
        rows = some(rows, front.room > 0)
    return rows, seen, said


def _thinned(grids: Sequence[Rows]) -> list[Rows]:
    """Return two tables of places, evenly thinned where all their pairs would be too many."""
    every = math.sqrt(max(1.0, math.prod(count(grid) for grid in grids) / PAIRS))
    return [some(grid, np.arange(0, count(grid), math.ceil(every))) for grid in grids]


def _long_enough(configuration: Configuration, rows: Rows, bearings: int) -> Marks:
    """Return where no shaft between the first bearings and the ends is too short to be built."""
    ahead = np.asarray(configuration.output.point, float)[None]
    fits = np.ones(count(rows), bool)
    for number in range(1, bearings + 1):
        here = np.stack([rows[f"bearing.{number}.{k}"] for k in ("aft", "right", "up")], axis=-1)
        along = here - ahead
        length = np.maximum(np.linalg.norm(along, axis=-1), 1e-6)
        to_joint = float(configuration.bearings[number - 1].to_joint)
        ahead = here + to_joint * along / length[:, None]
        fits &= length + to_joint >= SHORTEST
    last = np.linalg.norm(np.asarray(configuration.pinion.point) - ahead, axis=-1)
    return np.asarray(fits & (last >= SHORTEST))
