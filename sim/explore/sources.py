"""What is not known exactly about a configuration: readings with a ±, and what usually has one.

A reading's ± is the half width of its 95 % band.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sim.display import DisplayName, display_of
from sim.explore.evaluate import CUT
from sim.judge.spread import Source
from sim.scene.parts import Configuration, Reading

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
    ".free_travel",
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
