"""Numbers of the build sheet as a tape and an angle finder show them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from sim.display import DEGREES, DisplayName, on_tape
from sim.explore.allowed import Expected
from sim.explore.allowed_rooms import Room
from sim.show.paper.kit import Cell

TENTH = math.radians(0.1)  # what an angle finder shows
NO_ROOM, FARTHER = "no room", "*"
Ends = tuple[bool, bool]
ENDED: Ends = (False, False)
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
        value = on_tape(reading.value, display, unit=False)
        band = on_tape(reading.band, display, unit=False, to=math.ceil)
    else:
        value = tenths(reading.value)
        band = tenths(math.ceil(reading.band / TENTH - _HELD) * TENTH)
    return value if band in ("0", "0.0") else f"{value} ± {band}"


def window_words(reading: Expected, display: DisplayName) -> str:
    """Return what a reading may be, its ends rounded inward so that no more is allowed.

    Args:
        reading: Which.
        display: Units of the gap.

    Returns:
        As in "3.5 to 5.4" or "no room"; "–" where the shop sets nothing that moves it; "*" at
        an end that no rule sets, as far as it was tried [text].
    """
    if not reading.moved_by:
        return "–"
    if reading.low == reading.high:
        return NO_ROOM
    tried = (not reading.below, not reading.above)
    if reading.what == "gap":
        return tape_window(reading.low, reading.high, display, tried)
    return _window(reading.low, reading.high, TENTH, lambda tenth: tenths(tenth * TENTH), tried)


def tape_window(low: float, high: float, display: DisplayName, tried: Ends = ENDED) -> str:
    """Return what a length [m] may be, as ``window_words`` does.

    Args:
        low: From here [m].
        high: To there [m].
        display: Units shown.
        tried: Whether each end is only as far as it was tried.
    """
    step = 1e-3 if display == "metric" else 25.4e-3 / 32
    return _window(low, high, step, lambda marks: on_tape(marks * step, display, unit=False), tried)


def mark_words(rows: Iterable[Sequence[Cell]]) -> str:
    """Return what the mark in rows of a table means, or "" where none bears it [text]."""
    marked = any(FARTHER in cell.text for row in rows for cell in row)
    return f"; {FARTHER}: as far as it was tried" if marked else ""


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
    if room.low == room.high:
        return NO_ROOM
    ends = [(value + way * room.low, not room.below), (value + way * room.high, not room.above)]
    (low, below), (high, above) = ends[::way]
    return tape_window(low, high, display, (below, above))


def _window(low: float, high: float, step: float, say: Callable[[int], str], tried: Ends) -> str:
    """Return a window in whole steps inside of it; an end that no rule sets bears a mark."""
    first, last = math.ceil(low / step - _HELD), math.floor(high / step + _HELD)
    marks = [FARTHER if end else "" for end in tried]
    return f"{say(first)}{marks[0]} to {say(last)}{marks[1]}" if first <= last else NO_ROOM
