"""The table of launch shudder: what shakes twice per turn as the vehicle is launched hard."""

from __future__ import annotations

from collections.abc import Sequence

from sim.display import Display
from sim.explore.shaken import LAUNCH
from sim.explore.shaken_bands import AXLES, Curve, LaunchShudder, launch_shudders, swept_share
from sim.show.report.pages import Table
from sim.show.shake_view import Shown

DIGITS = 3  # that a force is told with, at the most


def band_words(band: Curve, display: Display) -> str:
    """Return a force as read with its band, as in "180 N (64 to 630)".

    Args:
        band: The force [N].
        display: Units shown.
    """
    read, low, high = _forces_told(band, display)
    return f"{read} {display.force.name} ({low} to {high})"


def _forces_told(band: Curve, display: Display) -> tuple[str, ...]:
    """Return a force as read, low and high."""
    each = (float(number) for number in (band.read, band.low, band.high))
    return tuple(_text(digits(display.force.of(number))) for number in each)


def _text(number: float) -> str:
    return f"{number:.{0 if number >= 10 else 1}f}"


def digits(number: float) -> float:
    """Return a number with as many digits as a force is told with, whole where it can be."""
    rounded = float(f"{number:.{DIGITS}g}")
    return int(rounded) if rounded == int(rounded) else rounded


def launch_table(shown: Sequence[Shown], display: Display) -> Table | None:
    """Return the launch shudder of every configuration at every height, or None without a launch.

    Args:
        shown: The configurations.
        display: Units shown.
    """
    rows = [
        _launch_row(one, shudder, display)
        for one in shown
        for shudder in launch_shudders(one.shake)
    ]
    if not rows:
        return None
    force, speed, swing = display.force.name, display.speed.name, display.length.name
    return Table(
        "Launch shudder: twice per turn at hard launch, the most within "
        f"{display.speed.number(LAUNCH[0])} to {display.speed.say(LAUNCH[1])}",
        (
            "configuration, height",
            f"at the bracket [{force}]",
            f"at [{speed}]",
            f"passed quickly [{force}]",
            f"bearing swings, of free [{swing}]",
            f"at the pinion [{force}]",
        ),
        tuple(rows),
        "In brackets 5 to 95 % as above. Where the bearing swings farther than its rubber is free "
        "(free_travel of the scene), it knocks on its stop, and the force is more than told. "
        "Passed quickly: at full launch the bounce has no time to build up; the vehicle taken to "
        f"weigh {AXLES:g} times its driven axle (common practice, no source). Steady values are "
        "the upper bound: uphill, towing, creeping.",
    )


def _launch_row(shown: Shown, shudder: LaunchShudder, display: Display) -> tuple[str, ...]:
    """Return one row of the launch shudder."""
    head, pinion = f"{shown.name}, {shudder.height}", _force(shudder.pinion, display)
    if shudder.bearing is None or not (shudder.force and shudder.speed and shudder.swing):
        return (head, "no bracket", "–", "–", "–", pinion)
    course = shown.shake.course(shudder.height, "hard launch", 2)
    assert course is not None, "the shudder was read from it"
    share = swept_share(shown.shake, course, shudder.bearing)
    swept = (
        "–" if share is None else _text(digits(display.force.of(share * float(shudder.force.read))))
    )
    swing = _band(shudder.swing, display.length.size, display.length.digits)
    free = shown.shake.configuration.bearings[shudder.bearing].free_travel
    return (
        head,
        _force(shudder.force, display),
        _band(shudder.speed, display.speed.size),
        swept,
        f"{swing}, of {display.length.number(free)}",
        pinion,
    )


def _force(band: Curve, display: Display) -> str:
    read, low, high = _forces_told(band, display)
    return f"{read} ({low} to {high})"


def _band(band: Curve, size: float, digits: int = 0) -> str:
    read, low, high = (
        f"{float(one) / size:.{digits}f}" for one in (band.read, band.low, band.high)
    )
    return f"{read} ({low} to {high})"
