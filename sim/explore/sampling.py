"""What is not known exactly, and samples of it: one normal distribution for every reading.

A reading's ± is the half width of its 95 % band, so its standard deviation is ± / 1.96.  Every
reading has a stream of random numbers of its own, named by its path: the same reading is drawn
alike in every configuration, and one reading more or less changes no other.
"""

from __future__ import annotations

import functools
import zlib
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sim.display import DisplayName, display_of
from sim.explore.evaluate import CUT, evaluate
from sim.explore.linked import together
from sim.judge.spread import Source, Spread
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import Configuration, Reading
from sim.scene.values import opposite

Array = NDArray[np.float64]

SEED = 20_000
SAMPLES = 2_000  # a share is known to about a point; percentages are whole numbers
BAND = 1.959964  # standard deviations from the middle of a normal distribution to its 95 % band
KEPT = 0.95  # share of a size by which a sample may fall short: lengths and rates stay above 0
SIGNED = ("slope", "plan_angle", "phase", "factory_phase", "off_by", "skew")  # and places, tilts
# Nothing sampled depends on these.
UNSEEN = (
    "obstacle.",
    "brace.",
    "left_rail.",
    "right_rail.",
    "limits.",
    "duty.",
    "complaint.",
    "torsion.",
)
UNSEEN_ENDS = (
    ".axial",
    ".front_depth",
    ".rear_depth",
    ".rated_torque",
    ".swing_radius",
    ".cylinders",
)
CHOSEN = (".top_speed", ".teeth", ".least_engaged", ".largest_angle")  # set, not read

# How far off what is usually not known may be, where nothing is written: common practice, no
# source.  Shares of the value, or SI units.
USUAL_SHARE = {
    "suspension.rate": (0.20, "± 20 %"),
    "suspension.wind_up": (0.40, "± 40 %"),
    "bearing.radial": (0.60, "± 60 %"),  # of every bearing
}
USUAL = {"travel.bump": 0.008, "travel.droop": 0.005}
SPRUNG, SPRUNG_SPREAD = "vehicle.unsprung_share", (0.10, "± 10 %")  # where no spring was weighed
RADIUS = "vehicle.tire_radius"
CIRCUMFERENCE, CIRCUMFERENCE_SHARE = "vehicle.tire_circumference", 0.02  # not rolled out
MOVES = {"aft": "aft", "right": "right", "up": "up", "tips_up": "tips up"}


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


def sources_of(configuration: Configuration) -> tuple[Source, ...]:
    """Return everything that is not known exactly about a configuration.

    Args:
        configuration: From a scene.

    Returns:
        What has a ± in the scene, and what is usually not known; nothing for one made by hand.
    """
    if configuration.design is None:
        return ()
    found = [
        *_read(configuration.readings, "", configuration.display),
        *_derived(configuration),
        *_mounts(configuration),
    ]
    if configuration.cut_as is not None:
        own = configuration.readings
        other = {
            path: reading
            for path, reading in configuration.cut_as.readings.items()
            if not same_reading(reading, own.get(path))
        }
        found += _read(other, CUT, configuration.display)
    return tuple(found)


def exact_readings(configuration: Configuration) -> tuple[str, ...]:
    """Return the paths of what was read without a ±, and is taken as exact."""
    sampled = {source.key for source in sources_of(configuration)}
    return tuple(
        reading.path
        for reading in configuration.readings.values()
        if reading.status == "measured"
        and reading.path not in sampled
        and not _unseen(reading.path)
        and not reading.path.endswith(CHOSEN)
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
        row[:] = random.permutation(_middles(samples, _farthest(source)))
    return rows


@functools.lru_cache(maxsize=64)
def _middles(count: int, farthest: float) -> Array:
    """Return the middles of equally likely parts of a normal distribution cut off at −farthest."""
    from statistics import NormalDist  # takes long to load, and a check as read does without

    normal = NormalDist()
    low = normal.cdf(-farthest)
    shares = low + (1 - low) * (np.arange(count) + 0.5) / count
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


def same_reading(one: Reading, other: Reading | None) -> bool:
    """Say whether two configurations hold the very same reading.

    Args:
        one: Of one of them.
        other: Of the other, at the same path; None where it has none.
    """
    return other is not None and (one.line, one.text) == (other.line, other.text)


def _read(readings: Mapping[str, Reading], lead: str, display: DisplayName) -> Iterator[Source]:
    """Yield the readings and defaults that have a ±, or usually would."""
    for path, reading in readings.items():
        if reading.status == "derived" or _unseen(path):
            continue
        usual, words = _usual(path, reading, readings, display)
        if not (reading.spread or usual):
            continue
        yield Source(
            key=lead + path,
            name=path,
            label=path,
            text=reading.text if reading.spread else f"{reading.text}, {words} assumed",
            value=reading.value,
            spread=reading.spread or usual,
            status=reading.status if reading.spread else "assumed",
        )


def _unseen(path: str) -> bool:
    """Say whether nothing that is sampled depends on a reading."""
    return path.startswith(UNSEEN) or path.endswith(UNSEEN_ENDS)


def _usual(
    path: str, reading: Reading, readings: Mapping[str, Reading], display: DisplayName
) -> tuple[float, str]:
    """Return how far off something may be that has no ± of its own [SI unit], and in words."""
    if path == SPRUNG:
        load = readings.get("suspension.spring_load")
        return SPRUNG_SPREAD if load is not None and load.status == "derived" else (0.0, "")
    if path in USUAL:
        return USUAL[path], f"± {display_of(display).length.say(USUAL[path])}"
    first, *_, last = path.split(".")
    share, words = USUAL_SHARE.get(f"{first}.{last}", (0.0, ""))
    return share * abs(reading.value), words


def _derived(configuration: Configuration) -> Iterator[Source]:
    """Yield what other readings give only roughly."""
    rolled = configuration.readings.get(CIRCUMFERENCE)
    if rolled is not None and rolled.status == "derived":
        yield Source(
            key=CIRCUMFERENCE,
            name=CIRCUMFERENCE,
            label=CIRCUMFERENCE,
            text=rolled.text,
            value=rolled.value,
            spread=CIRCUMFERENCE_SHARE,
            status="assumed",
            share=True,
        )


def _mounts(configuration: Configuration) -> Iterator[Source]:
    """Yield how the output may move on its mounts under every torque."""
    moves = configuration.readings["output.moves"]
    tips = configuration.readings["output.tips"]
    for case in configuration.torque_cases[1:]:
        middle = (*case.output_move, case.output_tip)
        for direction, value in zip(MOVES, middle, strict=True):
            reading = tips if direction == "tips_up" else moves
            if reading.value:
                yield Source(
                    key=f"output_move.{case.name}.{direction}",
                    name=f"{reading.path} under {case.name}",
                    label=f"output {MOVES[direction]}, {case.name}",
                    text=f"± {reading.text}",
                    value=float(value),
                    spread=reading.value,
                    status=reading.status,
                )
