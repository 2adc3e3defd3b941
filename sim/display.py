"""How numbers are shown: SI values in the units of the reader, as text with their unit.

The one place where a number leaves the program.  A scene chooses "metric" or "inch"; angles,
accelerations and shaft speeds are the same in both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from sim import units

DisplayName = Literal["metric", "inch"]


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of the trade.

    Attributes:
        name: As printed after a number.
        suffix: As it ends the name of a column.
        size: One of it in SI units.
        digits: Decimals that a reader can use.
    """

    name: str
    suffix: str
    size: float
    digits: int

    def of(self, value: float) -> float:
        """Return an SI value in this unit."""
        return value / self.size

    def say(self, value: float, signed: bool = False, digits: int | None = None) -> str:
        """Return an SI value as text with its unit, as in "12.5 mm"."""
        return f"{self.number(value, signed, digits)} {self.name}"

    def number(self, value: float, signed: bool = False, digits: int | None = None) -> str:
        """Return an SI value as text without its unit, with a true minus sign."""
        return plain_number(self.of(value), self.digits if digits is None else digits, signed)


def plain_number(value: float, digits: int, signed: bool = False) -> str:
    """Return a number as text with a true minus sign, and never "−0"."""
    rounded = round(float(value), digits) + 0.0
    text = f"{rounded:+.{digits}f}" if signed and rounded else f"{rounded:.{digits}f}"
    return text.replace("-", "−")


@dataclass(frozen=True, slots=True)
class Display:
    """The units of one way of showing.

    Attributes:
        coarse: Decimals of a millimeter or so.
        common_speed: Road speed at which states are compared with each other [m/s].
    """

    name: DisplayName
    length: Unit
    fine: Unit
    speed: Unit
    distance: Unit
    torque: Unit
    mass: Unit
    force: Unit
    stress: Unit
    unbalance: Unit
    coarse: int
    common_speed: float


ON_A_MARK = 1e-6  # of the smallest step of a tape

DEGREES = Unit("deg", "deg", units.DEGREE, 2)
PERCENT = Unit("%", "percent", 0.01, 2)
OF_100 = Unit("of 100", "of_100", 0.01, 0)
SHAFT_SPEED = Unit("rpm", "rpm", units.TURN / units.MINUTE, 0)
HERTZ = Unit("Hz", "hz", units.TURN, 1)
ACCELERATION = Unit("rad/s²", "rad_s2", 1.0, 0)

METRIC = Display(
    "metric",
    length=Unit("mm", "mm", 1e-3, 1),
    fine=Unit("mm", "mm", 1e-3, 2),
    speed=Unit("km/h", "km_h", 1000 / units.HOUR, 0),
    distance=Unit("km", "km", 1000.0, 0),
    torque=Unit("N m", "n_m", 1.0, 0),
    mass=Unit("kg", "kg", 1.0, 0),
    force=Unit("N", "n", 1.0, 0),
    stress=Unit("MPa", "mpa", 1e6, 0),
    unbalance=Unit("g mm", "g_mm", 1e-6, 0),
    coarse=0,
    common_speed=100_000 / units.HOUR,
)
TRADE_INCH = Display(
    "inch",
    length=Unit("in", "in", units.INCH, 2),
    fine=Unit("in", "in", units.INCH, 3),
    speed=Unit("mph", "mph", units.MILE / units.HOUR, 0),
    distance=Unit("miles", "miles", units.MILE, 0),
    torque=Unit("lbf ft", "lbf_ft", units.POUND_FORCE * units.FOOT, 0),
    mass=Unit("lb", "lb", units.POUND, 0),
    force=Unit("lbf", "lbf", units.POUND_FORCE, 0),
    stress=Unit("ksi", "ksi", 1000 * units.POUND_FORCE / units.INCH**2, 1),
    unbalance=Unit("oz in", "oz_in", units.POUND / 16 * units.INCH, 2),
    coarse=2,
    common_speed=60 * units.MILE / units.HOUR,
)

_SAME = (DEGREES, PERCENT, OF_100, SHAFT_SPEED, ACCELERATION)
_PAIRS = ("length", "speed", "distance", "torque", "force", "stress")
READERS: Mapping[DisplayName, Mapping[str, Unit]] = {
    display.name: {unit.name: unit for unit in _SAME}
    | {getattr(METRIC, pair).name: getattr(display, pair) for pair in _PAIRS}
    for display in (METRIC, TRADE_INCH)
}
"""What stands for a unit of the rules ("mm", "deg", "km/h") on each display."""


def display_of(name: DisplayName) -> Display:
    """Return the units that a scene chose by name."""
    return METRIC if name == "metric" else TRADE_INCH


def amount(
    value: float, unit: str, display: DisplayName = "metric", *, beside: float | None = None
) -> str:
    """Return a number in a unit of the rules as the reader wants it, with its unit.

    Args:
        value: The number [the unit].
        unit: A unit of the rules, as in "deg", "mm", "km/h", "rad/s²", "%", "N m" [text].
        display: Units shown.
        beside: A limit that stands beside it [the unit]: what is beyond it by little gets up to
            three more digits, so that it does not read the same.

    Returns:
        As in "8.80 deg", "−0.12 in", "122 km/h" [text].

    Example:
        >>> amount(-13.1341, "mm")
        '−13.1 mm'
        >>> amount(25.4, "mm", "inch")
        '1.00 in'
        >>> amount(0.503, "deg", beside=0.5)
        '0.503 deg'
    """
    shown, digits = READERS[display][unit], READERS[display][unit].digits
    here, there = (to_si(x, unit) for x in (value, value if beside is None else beside))
    apart = (
        d
        for d in range(digits, digits + 4)
        if shown.say(here, digits=d) != shown.say(there, digits=d)
    )
    return shown.say(here, digits=next(apart, digits))


def on_tape(
    value: float,
    display: DisplayName = "metric",
    *,
    to: Callable[[float], int] = round,
    unit: bool = True,
) -> str:
    """Return a length as a tape shows it: whole millimeters, or inches in 32nds.

    Args:
        value: The length [m].
        display: Units shown.
        to: Rounds to a whole number of them; ``math.floor`` or ``math.ceil`` for an end of what is
            allowed, so that no more is.
        unit: Whether the unit stands behind.

    Returns:
        As in "651 mm", "14-3/32 in" [text].

    Example:
        >>> on_tape(0.3571875, "inch")
        '14-1/16 in'
    """
    small = value / (METRIC.length.size if display == "metric" else TRADE_INCH.length.size / 32)
    near = round(small)  # what only rounding holds from a mark stands on it
    marks = near if abs(small - near) < ON_A_MARK else to(small)
    text = str(marks).replace("-", "−") if display == "metric" else inch_fraction(marks)
    return f"{text} {'mm' if display == 'metric' else 'in'}" if unit else text


def inch_fraction(marks: int) -> str:
    """Return 32nds of an inch as a tape names them, as in "14-3/32"."""
    whole, part = divmod(abs(marks), 32)
    shared = math.gcd(part, 32)
    fraction = f"{part // shared}/{32 // shared}"
    text = f"{whole}-{fraction}" if whole and part else fraction if part else f"{whole}"
    return f"−{text}" if marks < 0 else text


def to_si(value: float, unit: str) -> float:
    """Return a number in a unit of the rules as SI.

    Args:
        value: The number [the unit].
        unit: A unit of the rules [text].

    Returns:
        The value [SI unit].
    """
    return value * READERS["metric"][unit].size
