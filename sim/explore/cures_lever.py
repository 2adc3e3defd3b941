"""A lever: one thing that can be changed, in steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lever:
    """One thing that can be changed, in K steps, the smallest first.

    Attributes:
        tried: What it changes and how far, as in "the pinion (to 4 deg)"; several levers may
            share it.
        work: What changing it at all is worth avoiding, in millimeters of a bracket.
        steps: Where each step stands among its neighbors, shape (K,).
        size: How far each goes, in millimeters or what is as much work, shape (K,).
        values: By path, the value at every step [SI unit, radians], each of shape (K,).
        says: Words for every step.
        limits_use: Whether the vehicle may then do less.
    """

    tried: str
    work: int
    steps: NDArray[np.int64]
    size: Array
    values: Mapping[str, Array]
    says: tuple[str, ...]
    limits_use: bool = False


def lever_in(
    tried: str,
    work: int,
    steps: ArrayLike,
    size: ArrayLike,
    values: Mapping[str, ArrayLike],
    says: Sequence[str],
    *,
    limits_use: bool = False,
) -> Lever:
    """Return a lever whose steps come in any order, its smallest step first.

    Args:
        tried: What it changes [text].
        work: What changing it at all is worth avoiding [mm of a bracket].
        steps: Where each step stands among its neighbors [-], shape (K,).
        size: How far each goes [mm of a bracket], shape (K,).
        values: By path, the value at every step [SI unit, radians], each of shape (K,).
        says: Words for every step.
        limits_use: Whether the vehicle may then do less.

    Returns:
        The lever.
    """
    first = np.argsort(np.asarray(size, float), kind="stable")
    return Lever(
        tried=tried,
        work=work,
        steps=np.asarray(steps, int)[first],
        size=np.asarray(size, float)[first],
        values={path: np.asarray(value, float)[first] for path, value in values.items()},
        says=tuple(says[k] for k in first),
        limits_use=limits_use,
    )
