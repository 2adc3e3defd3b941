"""Kinds of quantities, how their units may be spelled, and their factors to SI.

How numbers are shown to a reader stands in ``display``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

# Exact by definition: inch, foot, mile, pound (international yard and pound agreement, 1959) and
# standard gravity, as in NIST SP 811, appendix B; units of angle as in ISO 80000-3.
INCH, FOOT, MILE = 0.0254, 0.3048, 1609.344
POUND, GRAVITY = 0.45359237, 9.80665
POUND_FORCE = POUND * GRAVITY
DEGREE, TURN = math.pi / 180, 2 * math.pi
MINUTE, HOUR = 60.0, 3600.0


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """A kind of quantity, and how its units may be written.

    Attributes:
        name: What it is called, with its article.
        si: Its SI unit.
        spellings: Unit as written, lower case, to how many SI units it is.
        metric, inch: The unit suggested to a metric and to an inch reader.
        apart: Spellings whose value is kept in another unit, because the conversion needs another
            reading (teeth, shaft speed): spelling to that unit.
    """

    name: str
    si: str
    spellings: Mapping[str, float]
    metric: str
    inch: str
    apart: Mapping[str, str] = field(default_factory=dict)


_LENGTHS = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": INCH, "inch": INCH, "ft": FOOT}
_ANGLES = {"deg": DEGREE, "°": DEGREE}
_SPEEDS = {"km/h": 1000 / HOUR, "mph": MILE / HOUR, "m/s": 1.0}
_SHAFT_SPEEDS = {"rpm": TURN / MINUTE}
_TORQUES = dict.fromkeys(("n m", "nm", "n*m", "n·m"), 1.0) | dict.fromkeys(
    ("lbf ft", "ft lbf", "lb ft", "ft lb", "lb-ft", "ft-lb"), POUND_FORCE * FOOT
)
_WIND_UPS = dict.fromkeys(("n m/deg", "nm/deg"), 1 / DEGREE) | dict.fromkeys(
    ("lbf ft/deg", "lb ft/deg", "ft lb/deg"), POUND_FORCE * FOOT / DEGREE
)
_LOADS = {"n": 1.0, "kn": 1000.0, "kg": GRAVITY, "lb": POUND_FORCE, "lbf": POUND_FORCE}
_RATES = {"n/mm": 1000.0, "lbf/in": POUND_FORCE / INCH, "lb/in": POUND_FORCE / INCH}
_ACCELERATIONS = dict.fromkeys(("rad/s2", "rad/s²", "rad/s^2"), 1.0)
_INERTIAS = dict.fromkeys(("kg m2", "kg m²", "kg*m2", "kg·m²"), 1.0) | dict.fromkeys(
    ("lb ft2", "lb-ft2"), POUND * FOOT**2
)
_UNBALANCES = dict.fromkeys(("g mm", "g*mm", "g·mm", "gmm"), 1e-6) | {
    "kg mm": 1e-3,
    "g in": 1e-3 * INCH,
    "oz in": POUND / 16 * INCH,
    "oz-in": POUND / 16 * INCH,
}
_STRESSES = {"mpa": 1e6, "psi": POUND_FORCE / INCH**2, "ksi": 1000 * POUND_FORCE / INCH**2}
_TEETH = {"teeth": 1.0, "tooth": 1.0}
_CYLINDERS = {"cylinders": 1.0, "cylinder": 1.0}

LENGTH = Kind("a length", "m", _LENGTHS, "mm", "in")
DISTANCE = Kind("a distance", "m", {"km": 1000.0, "mi": MILE, "miles": MILE}, "km", "miles")
ANGLE = Kind("an angle", "rad", _ANGLES, "deg", "deg")
ROAD_SPEED = Kind("a road speed", "m/s", _SPEEDS, "km/h", "mph")
SHAFT_SPEED = Kind("a shaft speed", "rad/s", _SHAFT_SPEEDS, "rpm", "rpm")
STATE_SPEED = Kind(
    "a road or shaft speed",
    "m/s",
    _SPEEDS | _SHAFT_SPEEDS,
    "km/h",
    "mph",
    apart={"rpm": "rad/s"},
)
TORQUE = Kind("a torque", "N m", _TORQUES, "N m", "lbf ft")
LOAD = Kind("a load", "N", _LOADS, "kg", "lb")
MASS = Kind("a mass", "kg", {"kg": 1.0, "lb": POUND}, "kg", "lb")
SPRING_RATE = Kind("a spring rate", "N/m", _RATES, "N/mm", "lbf/in")
WIND_UP = Kind("a wind-up stiffness", "N m/rad", _WIND_UPS, "N m/deg", "lbf ft/deg")
ACCELERATION = Kind("an angular acceleration", "rad/s**2", _ACCELERATIONS, "rad/s2", "rad/s2")
INERTIA = Kind("an inertia", "kg m**2", _INERTIAS, "kg m2", "lb ft2")
UNBALANCE = Kind("an unbalance", "kg m", _UNBALANCES, "g mm", "oz in")
STRESS = Kind("a stress", "N/m**2", _STRESSES, "MPa", "ksi")
DURATION = Kind("a duration", "s", {"h": HOUR}, "h", "h")
RATIO = Kind("a ratio", "", {"to 1": 1.0, ":1": 1.0}, "to 1", "to 1")
SHARE = Kind("a share", "", {"%": 0.01}, "%", "%")
TEETH = Kind("a number of teeth", "", _TEETH, "teeth", "teeth")
CYLINDERS = Kind("a number of cylinders", "", _CYLINDERS, "cylinders", "cylinders")
FREQUENCY = Kind("a frequency", "1/s", {"hz": 1.0}, "Hz", "Hz")
CLOCK = Kind(
    "a clock angle", "rad", _ANGLES | _TEETH, "deg", "deg", apart={"tooth": "", "teeth": ""}
)

KINDS = (
    LENGTH,
    DISTANCE,
    ANGLE,
    ROAD_SPEED,
    SHAFT_SPEED,
    TORQUE,
    LOAD,
    MASS,
    SPRING_RATE,
    WIND_UP,
    ACCELERATION,
    INERTIA,
    UNBALANCE,
    STRESS,
    DURATION,
    RATIO,
    SHARE,
    TEETH,
    CYLINDERS,
    FREQUENCY,
    STATE_SPEED,
    CLOCK,
)
COUNTED = {"tooth": "teeth", "teeth": "teeth", "cylinder": "cylinders", "cylinders": "cylinders"}
_PRETTY = {
    "n m": "N m",
    "nm": "Nm",
    "n*m": "N*m",
    "n·m": "N·m",
    "n": "N",
    "kn": "kN",
    "hz": "Hz",
    "n/mm": "N/mm",
    "n m/deg": "N m/deg",
    "nm/deg": "Nm/deg",
    "mpa": "MPa",
}


def factor(kind: Kind, spelling: str) -> float:
    """Return how many SI units one of this unit is.

    Args:
        kind: Kind of quantity.
        spelling: One of its spellings, in any capitals [text].

    Returns:
        Factor from the unit to SI [SI unit per unit].

    Example:
        >>> factor(LENGTH, "in")
        0.0254

    Source:
        Definitions in NIST SP 811 and ISO 80000-3, at the head of this module.
    """
    return kind.spellings[spelling.lower()]


def spell(unit: str) -> str:
    """Return a unit with its capitals, as in "N m" for "n m".

    Args:
        unit: A spelling in lower case [text].

    Returns:
        The spelling as the trade writes it [text].
    """
    return _PRETTY.get(unit, unit)


def say(kind: Kind, value: float, unit: str) -> str:
    """Return an SI value in a unit, three digits at most, without the unit.

    Args:
        kind: Kind of quantity.
        value: Value [SI unit of the kind].
        unit: Unit to say it in, one of the kind's spellings [text].

    Returns:
        The number [text].

    Example:
        >>> say(LENGTH, 0.0508, "in")
        '2'
    """
    number = value / factor(kind, unit)
    return f"{number:.0f}" if abs(number) >= 100 else f"{number:.3g}"
