"""Samples of what is not known exactly: one normal distribution for every reading.

A reading's ± is the half width of its 95 % band, so its standard deviation is ± / 1.96.  Every
reading has a stream of random numbers of its own, named by its path: the same reading is drawn
alike in every configuration, and one reading more or less changes no other.
"""

from __future__ import annotations

import functools
import zlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.explore.evaluate import CUT, evaluate
from sim.explore.linked import together
from sim.explore.sources import MOVES, RADIUS, exact_readings, same_reading, sources_of
from sim.judge.spread import Source, Spread
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import Configuration
from sim.scene.values import opposite

Array = NDArray[np.float64]

SEED = 20_000
SAMPLES = 1_000  # a share of a half is known to a point (one standard deviation)
BAND = 1.959964  # standard deviations from the middle of a normal distribution to its 95 % band
KEPT = 0.95  # share of a size by which a sample may fall short: lengths and rates stay above 0
SIGNED = ("slope", "plan_angle", "phase", "factory_phase", "off_by", "skew")  # and places, tilts


def spread_of(
    configuration: Configuration,
    states: Sequence[State],
    samples: int = SAMPLES,
    seed: int = SEED,
    *,
    near: Numbers | None = None,
    ends: bool = True,
) -> Spread:
    """Return what is measured when every reading is somewhere in its band.

    Args:
        configuration: As it was read, built from a design.
        states: The states to look at.
        samples: How many samples.
        seed: Of the random numbers.
        near: Numbers of the configuration in these states and others, where they are at hand.
        ends: Whether each source is wanted alone at both ends of its band, or only ``near``.

    Returns:
        The samples; and each source alone.
    """
    assert configuration.design is not None
    sources = sources_of(configuration)
    off = draw(sources, samples, seed)
    design = configuration.design

    def numbers(off: Array) -> Numbers:
        return evaluate(design, drawn_values(configuration, sources, off), states, near=near)

    return Spread(
        sources=sources,
        exact=exact_readings(configuration),
        seed=seed,
        off=off,
        numbers=numbers(off),
        alone=near if near and not ends else numbers(one_by_one(sources)),
    )


def draw(sources: Sequence[Source], samples: int = SAMPLES, seed: int = SEED) -> Array:
    """Return samples of what is not known, as standard deviations from the middle.

    Every source takes the middle of each of so many equally likely parts of its band once, in a
    random order of its own: what sums up from several then comes out as if many more were drawn.

    Args:
        sources: What is not known.
        samples: How many.
        seed: Of the random orders; the same seed gives the same bits.

    Returns:
        Normal numbers [-], shape (sources, samples); those of a size are cut off where it would
        come to less than a twentieth of itself, so a size of nothing can only be more.

    Source:
        Latin hypercube: McKay, Beckman and Conover, Technometrics 21 (1979).
    """
    rows = np.empty((len(sources), samples))
    for row, source in zip(rows, sources, strict=True):
        random = np.random.default_rng([seed, zlib.crc32(f"{source.key} {source.text}".encode())])
        row[:] = random.permutation(_middles(samples, _below(_farthest(source))))
    return rows


def _below(farthest: float) -> float:
    """Return the share of a normal distribution below −farthest: of most readings, exactly 0."""
    from statistics import NormalDist  # takes long to load, and a check as read does without

    return NormalDist().cdf(-farthest)


@functools.lru_cache(maxsize=64)
def _middles(count: int, cut_off: float) -> Array:
    """Return the middles of equally likely parts of a normal distribution less its lowest share."""
    from statistics import NormalDist

    normal = NormalDist()
    shares = cut_off + (1 - cut_off) * (np.arange(count) + 0.5) / count
    return np.array([normal.inv_cdf(share) for share in shares.tolist()])


def _farthest(source: Source) -> float:
    """Return the standard deviations by which a sample may fall short: a size stays above 0."""
    key = source.key.rsplit(".", 1)[-1]
    signed = source.share or key in (*SIGNED, *MOVES) or bool(opposite(source.key))
    if signed or source.spread == 0:
        return np.inf
    return KEPT * abs(source.value) / source.spread * BAND


def one_by_one(sources: Sequence[Source]) -> Array:
    """Return each source alone at the low and at the high end of its band, after the middle.

    Returns:
        Standard deviations [-], shape (sources, 1 + 2 × sources): middle, lows, highs.
    """
    count = len(sources)
    lows = np.diag(np.minimum([_farthest(source) for source in sources], BAND))
    return np.concatenate([np.zeros((count, 1)), -lows, BAND * np.eye(count)], axis=1)


def drawn_values(
    configuration: Configuration, sources: Sequence[Source], off: Array
) -> dict[str, Array]:
    """Return the values of samples, as ``evaluate`` takes them.

    Args:
        configuration: As it was read.
        sources: From ``sources_of``.
        off: How far each source is from its middle [standard deviations], shape (sources, n).

    Returns:
        Values by path [SI unit, radians], each of shape (n,); those of the configuration whose
        shafts are carried led by "cut ".
    """
    design = configuration.design
    assert design is not None
    off = together(design.linked, [source.key for source in sources], off)
    drawn = {
        source.key: source.value + source.spread / BAND * z
        for source, z in zip(sources, off, strict=True)
        if not source.share
    }
    for source, z in zip(sources, off, strict=True):
        if source.share:
            radius = configuration.vehicle.tire_radius
            rolled = source.value / radius * drawn.get(RADIUS, radius)
            drawn[source.key] = rolled * (1 + source.spread / BAND * z)
    if design.cut_as is not None:
        for path, reading in design.cut_as.readings.items():
            if path in drawn and same_reading(reading, design.readings.get(path)):
                drawn[CUT + path] = drawn[path]
    return drawn
