"""Numbers of one configuration, sample by sample: every reading somewhere in its band."""

from __future__ import annotations

from dataclasses import dataclass

from sim.arrays import Array
from sim.measure.numbers import Numbers
from sim.scene.parts import Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One thing that is not known exactly."""

    # its path among the values of the set-up; led by "cut " for a reading of the configuration
    # whose shafts are carried
    key: str
    name: str  # what is to be read again, as in "output.slope"; several keys may share one
    label: str  # what it is by itself, for pictures
    text: str  # as written, or as assumed
    value: float  # middle of its band [SI unit]
    spread: float  # half width of its 95 % band, same unit; with ``share`` a share of the value
    status: Status  # "measured" where the scene writes the ±, "assumed" where a default stands in
    share: bool = False  # whether the spread is a share of what the other readings give


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """Samples of one configuration."""

    sources: tuple[Source, ...]  # what is not known exactly
    exact: tuple[str, ...]  # paths of what was read without a ±
    seed: int  # of the random numbers
    off: Array  # how far each source is from its middle [standard deviations], (sources, samples)
    numbers: Numbers  # of the random samples, each a design
    # of the middle, then each source alone at its low end, then each at its high end; where ends
    # are not wanted of the middle only, which may be in more states
    alone: Numbers
