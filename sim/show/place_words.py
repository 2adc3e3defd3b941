"""Places in words, as a tape finds them: aft, right, up of the datum."""

from __future__ import annotations

from sim.measure.clearance.result import Clearance
from sim.show.display import Display


def place_of(near: Clearance, display: Display) -> str:
    """Return a place in words, as in "2700 mm aft, 10 mm right, 600 mm up"."""
    words = (("aft", "forward"), ("right", "left"), ("up", "down"))
    return ", ".join(
        say_place(float(value), *pair, display)
        for value, pair in zip(near.point, words, strict=True)
    )


def say_place(value: float, positive: str, negative: str, display: Display) -> str:
    """Return one component of a place in words, as in "2700 mm aft"."""
    word = positive if value >= 0 else negative
    return f"{display.length.say(abs(value), digits=display.coarse)} {word}"
