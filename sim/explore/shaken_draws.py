"""Draws of a configuration for its shake: every reading, and all that nobody measures."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index
from sim.explore.evaluate import reached, varied
from sim.explore.sampling import SEED, draw, drawn_values
from sim.explore.sources import sources_of
from sim.measure.held import lengths_of
from sim.measure.numbers import Numbers
from sim.measure.shake.unknown import UNKNOWNS, Unknown
from sim.motion.rows import Rows, rows_of_designs
from sim.motion.solve import postures_of
from sim.motion.states import State
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Draws:
    """D draws of a configuration in S states; the first one is as read, all else as usual."""

    read: Configuration  # as it was read
    configuration: Configuration  # the draws: numbers are floats, or arrays of shape (D,)
    kept: Index  # numbers of the draws that can be reached, 0 as read, (D,)
    states: tuple[State, ...]
    rows: Rows  # numbers of the states, (S, D)
    axis: Array  # unit axes of all members, (S, D, M, 3)
    length: Array  # joint center to joint center of every shaft [m], (S, D, N)
    slip: Array  # of the spline [m], drawing apart positive, (S, D)
    unknown: Mapping[str, Array]  # what nobody measures, by its name in ``UNKNOWNS``, (D,)

    def at(self, state: State) -> int:
        """Return the number of a state."""
        return self.states.index(state)


def draws_of(
    configuration: Configuration,
    states: Sequence[State],
    count: int,
    near: Numbers | None = None,
) -> Draws:
    """Return draws of a configuration; what its parts cannot reach is left out.

    Args:
        configuration: As it was read.
        states: Its states.
        count: How many draws there shall be beside the one as read.
        near: Numbers of the configuration in these states and others, where they are at hand.

    Raises:
        GeometryError: If the parts cannot reach a state as read.
    """
    sources = sources_of(configuration)
    off = np.concatenate([np.zeros((len(sources), 1)), draw(sources, count, SEED)], axis=1)
    unknown = {one.name: _evenly(one, count) for one in UNKNOWNS}
    kept = np.arange(count + 1)
    read = near.start_in(states) if near else postures_of(configuration, states).start
    start = tuple(column[:, None] for column in read)
    while True:
        built = _built(configuration, drawn_values(configuration, sources, off))
        rows = rows_of_designs(built, states, configuration, off.shape[1])
        _, held, lost = reached(built, rows, start)
        good = ~lost.any(axis=0)
        if good.all():
            break
        off, kept = off[:, good], kept[good]
        unknown = {name: drawn[good] for name, drawn in unknown.items()}
    return Draws(
        read=configuration,
        configuration=built,
        kept=kept,
        states=tuple(states),
        rows=rows,
        axis=held.axis,
        length=lengths_of(held),
        slip=held.slip,
        unknown=unknown,
    )


def _built(configuration: Configuration, values: Mapping[str, Array]) -> Configuration:
    """Return the configuration with values of shape (D,)."""
    if configuration.design is None or not values:
        return configuration
    return varied(configuration.design, values).build()


def _evenly(one: Unknown, count: int) -> Array:
    """Return the usual value, and so many spread evenly between the bounds in an order of its own.

    Source:
        Latin hypercube: McKay, Beckman and Conover, Technometrics 21 (1979).
    """
    random = np.random.default_rng([SEED, zlib.crc32(one.name.encode())])
    share = (random.permutation(count) + 0.5) / max(count, 1)
    return np.concatenate([[one.usual], one.least + (one.most - one.least) * share])
