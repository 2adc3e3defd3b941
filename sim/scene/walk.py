"""The walk along a new vehicle, from the cab to the axle: which stations it has, by its parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from sim.scene.stations import (
    AXLE,
    BEARING,
    BRACE,
    COMPLAINT,
    COMPLAINTS,
    FOOT,
    FRAME,
    GUIDES,
    HEIGHT,
    HEIGHTS,
    HOLE,
    JOINT,
    JOINTS,
    OBSTACLE,
    OBSTACLES,
    OUTPUT,
    OUTPUT_SPLINE,
    PINION,
    PLATES,
    RAILS,
    READING,
    RIGHT_RAIL,
    SHAFT,
    SPLINE,
    START,
    TIRE,
    TRAVEL,
    Station,
)
from sim.scene.text import Path


def walk(decided: Mapping[Path, str]) -> Iterator[Station]:
    """Yield the stations of a vehicle, by what decides on them, in the order of the walk."""
    yield from (START, PLATES, TIRE)
    if decided.get(("slopes",)) == "level":
        yield FRAME
    yield OUTPUT
    shafts = int(decided.get(("pieces",), "1"))
    yield from (*_driveline(shafts, decided), *_frame(shafts, decided))
    yield from (PINION, AXLE, *_guide(decided))
    yield from _named(OBSTACLES, OBSTACLE, decided)
    yield from _named(COMPLAINTS, COMPLAINT, decided)


def _driveline(shafts: int, decided: Mapping[Path, str]) -> Iterator[Station]:
    """Yield the stations of shafts, bearings, joints and what slides."""
    for number in range(1, shafts + 1):
        yield SHAFT.of(str(number))
        if number < shafts:
            yield BEARING.of(str(number))
    yield from _named(JOINTS, JOINT, decided)
    if shafts > 1:
        yield OUTPUT_SPLINE
    yield SPLINE


def _guide(decided: Mapping[Path, str]) -> Iterator[Station]:
    """Yield the stations of what guides the axle, and of how far it goes."""
    kind = decided.get(("suspension", "kind"), "none")
    if kind not in GUIDES:
        return
    yield from GUIDES[kind]
    if kind == "measured":
        for number in range(1, int(decided.get(("readings",), "0")) + 1):
            yield READING.of(str(number))
    yield TRAVEL
    yield from _named(HEIGHTS, HEIGHT, decided)


def _named(all_of: Station, one: Station, decided: Mapping[Path, str]) -> Iterator[Station]:
    """Yield the station that asks for names, and one for each of them."""
    yield all_of
    for name in named(decided.get(all_of.asks[0], "")):
        yield one.of(name)


def _frame(shafts: int, decided: Mapping[Path, str]) -> Iterator[Station]:
    """Yield where braces may hang, and the rails that they are bolted to, with their holes."""
    numbers = [str(number) for number in range(1, max(shafts, 2))]
    yield from (replace(BRACE.of(number), name=BRACE.name) for number in numbers)
    yield RAILS
    if decided.get(("more", BRACE.name)) == "yes":
        yield from map(FOOT.of, numbers)
    if decided.get(("more", RAILS.name)) != "yes":
        return
    yield from map(HOLE["left"].of, named(decided.get(("left_holes",), "")))
    yield RIGHT_RAIL
    if decided.get(("more", RIGHT_RAIL.name)) == "yes":
        yield from map(HOLE["right"].of, named(decided.get(("right_holes",), "")))


def named(written: str) -> list[str]:
    """Return the names of a list with commas between; none where nothing is known."""
    return [part.strip() for part in written.split(",") if part.strip() not in ("", "-")]
