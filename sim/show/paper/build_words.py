"""Numbers of the build sheet as a tape and an angle finder show them."""

from __future__ import annotations

import math

from sim.display import DEGREES, DisplayName, on_tape
from sim.explore.allowed import Expected
from sim.explore.allowed_rooms import Room

TENTH = math.radians(0.1)  # what an angle finder shows
NO_ROOM, ANY = "no room", "any"
_HELD = 1e-6  # of a tenth: what only rounding holds from a mark stands on it


def tenths(angle: float) -> str:
    """Return an angle [rad] to a tenth of a degree, without its unit."""
    return DEGREES.number(angle, digits=1)


def expected_words(reading: Expected, display: DisplayName) -> str:
    """Return a reading to expect, with what the scene's own readings leave open.

    Args:
        reading: Which.
        display: Units of the gap.

    Returns:
        As in "4.1 ± 0.3" or "45 ± 2" [text]; without ± where it is less than what can be read.
    """
    if reading.what == "gap":
        value, band = (on_tape(x, display, unit=False) for x in (reading.value, reading.band))
    else:
        value, band = tenths(reading.value), tenths(reading.band)
    return value if band in ("0", "0.0") else f"{value} ± {band}"


def window_words(reading: Expected, display: DisplayName) -> str:
    """Return what a reading may be, its ends rounded inward so that no more is allowed.

    Args:
        reading: Which.
        display: Units of the gap.

    Returns:
        As in "3.5 to 5.4", "up to 5.4", "any", "no room"; "–" where the shop sets nothing that
        moves it [text].
    """
    if not reading.moved_by:
        return "–"
    if reading.low == reading.high:
        return NO_ROOM
    low = reading.low if reading.below else None
    high = reading.high if reading.above else None
    if reading.what == "gap":
        return tape_window(low, high, display)
    ends = (
        None if low is None else math.ceil(low / TENTH - _HELD),
        None if high is None else math.floor(high / TENTH + _HELD),
    )
    return _between(ends, lambda tenth: tenths(tenth * TENTH))


def tape_window(low: float | None, high: float | None, display: DisplayName) -> str:
    """Return what a length [m] may be, as ``window_words`` does; None where nothing ends it."""
    step = 1e-3 if display == "metric" else 25.4e-3 / 32
    ends = (
        None if low is None else math.ceil(low / step - _HELD),
        None if high is None else math.floor(high / step + _HELD),
    )
    return _between(ends, lambda marks: on_tape(marks * step, display, unit=False))


def room_words(room: Room | None, value: float, way: int, display: DisplayName) -> str:
    """Return what a length that goes with a room may be, as ``tape_window`` does.

    Args:
        room: How far what moves it may be off, or None where nothing is known.
        value: The length as designed [m].
        way: 1 where it grows with the room, −1 where it shrinks.
        display: Units shown.
    """
    if room is None:
        return ""
    ends = [
        (value + way * room.low, room.below),
        (value + way * room.high, room.above),
    ]
    (low, below), (high, above) = ends[::way]
    return tape_window(low if below else None, high if above else None, display)


def _between(ends: tuple[int | None, int | None], say: object) -> str:
    """Return a window of whole steps in words."""
    assert callable(say)
    low, high = ends
    if low is not None and high is not None:
        return f"{say(low)} to {say(high)}" if low <= high else NO_ROOM
    if low is not None:
        return f"from {say(low)}"
    return ANY if high is None else f"up to {say(high)}"
