"""What the readings after the work may be: until the nearest rule fails, all else as designed.

What an angle finder and a tape read at both ends of the room of what moves a reading is its window.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.explore.allowed_rooms import Room, moved, rooms_of
from sim.explore.evaluate import evaluate
from sim.explore.sampling import spread_of
from sim.explore.sources import sources_of
from sim.judge.rule import RuleSet
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import NO_TORQUE, Configuration

BAND = (2.5, 97.5)  # percentiles of a 95 % band
HEIGHTS = ("ride height", "full droop")


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """One reading to expect after the work.

    Attributes:
        what: "output", "shaft 1", "pinion" (slopes) or "gap".
        height: Name of the height it is read at, without torque.
        value: As designed [rad] or [m].
        band: Half width of the 95 % band in which the scene's readings leave it [same]; 0 where all
            were taken as exact.
        moved_by: Name of the adjustment that moves it; "" where the shop sets nothing that does.
        low, high: The reading at both ends of that room [same]; NaN without one.
        below, above: What fails beyond them; "" where nothing does as far as it was tried.
    """

    what: str
    height: str
    value: float
    band: float
    moved_by: str
    low: float
    high: float
    below: str
    above: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """What a rule set leaves a shop of one configuration.

    Attributes:
        rooms: One an adjustment.
        readings: At ride height, then at full droop where there is one: members from the front,
            then the gap.
    """

    rooms: tuple[Room, ...]
    readings: tuple[Expected, ...]

    def room(self, name: str) -> Room | None:
        """Return the room of an adjustment, or None where there is no such adjustment."""
        return next((room for room in self.rooms if room.adjustment.name == name), None)

    def at(self, height: str) -> tuple[Expected, ...]:
        """Return the readings at a height; none where it does not get there."""
        return tuple(reading for reading in self.readings if reading.height == height)


def allowed(configuration: Configuration, rules: RuleSet, numbers: Numbers) -> Allowed:
    """Return how far the readings after the work may be off.

    Args:
        configuration: Built from a design.
        rules: From ``load_rules``.
        numbers: Of the configuration in the whole sweep, as in ``Measurements``.

    Returns:
        Rooms and readings; rooms of nothing where a rule fails as designed.

    Raises:
        EngineError: If a process that worked on one of them was killed.
    """
    assert configuration.design is not None
    rooms = rooms_of(configuration.design, rules, numbers)
    return Allowed(rooms=rooms, readings=tuple(_readings(configuration, rooms, numbers)))


def _readings(
    configuration: Configuration, rooms: Sequence[Room], numbers: Numbers
) -> Iterator[Expected]:
    """Yield what is read after the work, with its window."""
    states = [state for height in HEIGHTS if (state := _at(numbers.states, height))]
    ends = {room.adjustment.name: _ends(configuration, room, states) for room in rooms}
    spread = None
    if sources_of(configuration):
        spread = spread_of(configuration, states, near=numbers, ends=False).numbers
    for column, state in enumerate(states):
        here = numbers.states.index(state)
        for name, member in (*_members(configuration), ("gap", None)):
            room = _room_of(name, rooms, len(configuration.bearings))
            yield Expected(
                what=name,
                height=state.height,
                value=float(_read(numbers, here, member)[0]),
                band=0.0 if spread is None else _half_band(spread, column, member),
                **_window(room, ends, column, member),
            )


def _window(
    room: Room | None, ends: Mapping[str, Numbers], state: int, member: int | None
) -> dict[str, Any]:
    """Return the window of a reading that a room leaves, as fields of ``Expected``."""
    if room is None:
        return {"moved_by": "", "low": math.nan, "high": math.nan, "below": "", "above": ""}
    name = room.adjustment.name
    at = zip(_read(ends[name], state, member).tolist(), (room.below, room.above), strict=True)
    (low, below), (high, above) = sorted(at)
    return {"moved_by": name, "low": low, "high": high, "below": below, "above": above}


def _at(states: Sequence[State], height: str) -> State | None:
    """Return the state at a height without roll and torque, or None."""
    found = (s for s in states if s.height == height and s.case == NO_TORQUE and not s.roll)
    return next(found, None)


def _members(configuration: Configuration) -> Iterator[tuple[str, int]]:
    """Yield the names of the members and their numbers from the front."""
    yield "output", 0
    count = len(configuration.shafts)
    yield from ((f"shaft {number}", number) for number in range(1, count + 1))
    yield "pinion", count + 1


def _room_of(what: str, rooms: Sequence[Room], bearings: int) -> Room | None:
    """Return the room of what moves a reading: of a shaft the bearing behind it, or the last."""
    name = {"gap": "spline"}.get(what, what)
    if what.startswith("shaft"):
        number = min(int(what.split()[1]), bearings)
        name = f"bearing {number} up" if number else "pinion"
    return next((room for room in rooms if room.adjustment.name == name), None)


def _ends(configuration: Configuration, room: Room, states: Sequence[State]) -> Numbers:
    """Return the numbers at both ends of a room."""
    assert configuration.design is not None
    ends = moved(configuration.design, room.adjustment, np.array([room.low, room.high]))
    return evaluate(configuration.design, ends, states)


def _read(numbers: Numbers, state: int, member: int | None) -> Array:
    """Return the slope of a member, or the gap, of every design in one state, shape (B,)."""
    return numbers.gap[:, state] if member is None else numbers.slope[:, state, member]


def _half_band(spread: Numbers, state: int, member: int | None) -> float:
    """Return the half width of the 95 % band of a reading over the samples."""
    reached = ~spread.lost.any(axis=1)
    if not reached.any():
        return 0.0
    low, high = np.percentile(_read(spread, state, member)[reached], BAND)
    return float(high - low) / 2
