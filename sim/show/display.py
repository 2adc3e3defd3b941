"""SI numbers to the units of the trade, and to text with their unit.

A scene chooses "metric" or "inch"; angles, accelerations and shaft speeds are the same in both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sim.judge.words import in_units

MILLIMETER = 1e-3
INCH = 25.4e-3
KILOMETER_PER_HOUR = 1 / 3.6
MILE_PER_HOUR = 0.44704
NEWTON_METER = 1.0
POUND_FOOT = 1.3558179483314004
POUND_FORCE = 4.4482216152605
GRAM_MILLIMETER = 1e-6
OUNCE_INCH = 0.028349523125 * INCH
DEGREE = math.pi / 180
RPM = math.pi / 30


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
    """The units of one way of showing; ``coarse`` are the decimals of a millimeter or so."""

    name: Literal["metric", "inch"]
    length: Unit
    fine: Unit
    speed: Unit
    torque: Unit
    force: Unit
    unbalance: Unit
    coarse: int


DEGREES = Unit("deg", "deg", DEGREE, 2)
PERCENT = Unit("%", "percent", 0.01, 2)
SHAFT_SPEED = Unit("rpm", "rpm", RPM, 0)
ACCELERATION = Unit("rad/s²", "rad_s2", 1.0, 0)

METRIC = Display(
    "metric",
    Unit("mm", "mm", MILLIMETER, 1),
    Unit("mm", "mm", MILLIMETER, 2),
    Unit("km/h", "km_h", KILOMETER_PER_HOUR, 0),
    Unit("N m", "n_m", NEWTON_METER, 0),
    Unit("N", "n", 1.0, 0),
    Unit("g mm", "g_mm", GRAM_MILLIMETER, 0),
    0,
)
TRADE_INCH = Display(
    "inch",
    Unit("in", "in", INCH, 2),
    Unit("in", "in", INCH, 3),
    Unit("mph", "mph", MILE_PER_HOUR, 0),
    Unit("lb ft", "lb_ft", POUND_FOOT, 0),
    Unit("lbf", "lbf", POUND_FORCE, 0),
    Unit("oz in", "oz_in", OUNCE_INCH, 2),
    2,
)


def state_in(display: Display, label: str) -> str:
    """Return the label of a state with its travel and road speed in the units shown.

    Example:
        >>> state_in(TRADE_INCH, "54 mm droop, cruise, at 100 km/h")
        '2.13 in droop, cruise, at 62 mph'
    """
    return in_units(label, display.name)


def display_of(name: Literal["metric", "inch"]) -> Display:
    """Return the units that a scene chose by name."""
    return METRIC if name == "metric" else TRADE_INCH
