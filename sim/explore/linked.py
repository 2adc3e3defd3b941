"""Samples of readings whose errors hang together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.arrays import Array
from sim.errors import DomainError
from sim.scene.parts import Linked
from sim.scene.values import opposite


def together(linked: Linked | None, keys: Sequence[str], off: Array) -> Array:
    """Return samples in which what is linked is off together.

    Args:
        linked: What is linked; None leaves the samples as they are.
        keys: Path of every source; one may be the opposite word ("left") of what is linked, as a
            change writes it: it is off the other way.
        off: Independent normal numbers [standard deviations], shape (sources, n).

    Returns:
        How far each source is off [standard deviations], same shape.

    Raises:
        DomainError: If what is linked is no source.
    """
    if linked is None:
        return off
    number = {key: k for k, key in enumerate(keys)}
    rows = [number.get(path, number.get(opposite(path), -1)) for path in linked.paths]
    if min(rows) < 0:
        raise DomainError(f"{linked.paths[rows.index(-1)]} is linked to others, but has no ±")
    turn = np.array([[1.0 if path in number else -1.0] for path in linked.paths])
    mixed = off.copy()
    mixed[rows] = turn * (linked.root @ (turn * off[rows]))
    return mixed
