"""Numbers of one configuration, sample by sample: every reading somewhere in its band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.measure.numbers import Numbers
from sim.scene.parts import Status

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One thing that is not known exactly.

    Attributes:
        key: Its path among the values of the set-up; led by "cut " for a reading of the
            configuration whose shafts are carried.
        name: What is to be read again, as in "output.slope"; several keys may share one.
        label: What it is by itself, for pictures.
        text: As written, or as assumed.
        value: Middle of its band [SI unit].
        spread: Half width of its 95 % band, same unit; with ``share`` a share of the value.
        status: "measured" where the scene writes the ±, "assumed" where a default stands in.
        share: Whether the spread is a share of what the other readings give.
    """

    key: str
    name: str
    label: str
    text: str
    value: float
    spread: float
    status: Status
    share: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """Samples of one configuration.

    Attributes:
        sources: What is not known exactly.
        exact: Paths of what was read without a ±.
        seed: Of the random numbers.
        off: How far each source is from its middle [standard deviations], (sources, samples).
        numbers: Of the random samples, each a design.
        alone: Of the middle, then each source alone at its low end, then each at its high end.
    """

    sources: tuple[Source, ...]
    exact: tuple[str, ...]
    seed: int
    off: Array
    numbers: Numbers
    alone: Numbers
