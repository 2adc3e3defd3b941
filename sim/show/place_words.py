"""Places in words, as a tape finds them: aft, right, up of the datum."""

from __future__ import annotations

from sim.display import Display
from sim.measure.clearance.result import Clearance


def place_of(near: Clearance, display: Display, *, bare: bool = False) -> str:
    """Return a place in words, as in "2700 mm aft, 10 mm right, 600 mm up".

    Args:
        near: What was measured.
        display: Units shown.
        bare: Whether the unit stands elsewhere, as in "2700 aft, 10 right, 600 up".
    """
    words = (("aft", "forward"), ("right", "left"), ("up", "down"))
    return ", ".join(
        say_place(float(value), *pair, display, bare=bare)
        for value, pair in zip(near.point, words, strict=True)
    )


def say_place(
    value: float, positive: str, negative: str, display: Display, *, bare: bool = False
) -> str:
    """Return one component of a place in words, as in "2700 mm aft"."""
    word = positive if value >= 0 else negative
    say = display.length.number if bare else display.length.say
    return f"{say(abs(value), digits=display.coarse)} {word}"
