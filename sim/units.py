"""Kinds of quantities, how their units may be spelled, and their factors to SI.

Only the spellings listed here reach pint, and pint only gives the factors: text from a file is
never handed to it.  Its own parser reads "1 5/8 in" as 0.625 in, and takes degrees for percent.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

# Exact by definition: inch, foot, mile, pound (international yard and pound agreement, 1959) and
# standard gravity, as in NIST SP 811, appendix B; units of angle as in ISO 80000-3.
DEFINITIONS = """
meter = [length] = m
kilogram = [mass] = kg
second = [time] = s
radian = [] = rad
millimeter = 0.001 m = mm
kilometer = 1000 m = km
inch = 0.0254 m
foot = 12 inch
mile = 5280 foot
minute = 60 s
hour = 3600 s
degree = 0.017453292519943295 radian
turn = 6.283185307179586 radian
newton = kg m / s ** 2 = N
pound = 0.45359237 kg
pound_force = 9.80665 pound m / s ** 2 = lbf
kilogram_force = 9.80665 N = kgf
percent = 0.01
"""


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """A kind of quantity, and how its units may be written.

    Attributes:
        name: What it is called, with its article.
        si: Its SI unit.
        spellings: Unit as written, lower case, to pint's expression.
        metric, inch: The unit shown on a metric and on an inch display.
        apart: Spellings whose value is kept in another unit, because the conversion needs another
            reading (teeth, shaft speed): spelling to that unit.
    """

    name: str
    si: str
    spellings: Mapping[str, str]
    metric: str
    inch: str
    apart: Mapping[str, str] = field(default_factory=dict)


_LENGTHS = {"mm": "mm", "cm": "0.01 m", "m": "m", "in": "inch", "inch": "inch", "ft": "foot"}
_ANGLES = {"deg": "degree", "°": "degree"}
_SPEEDS = {"km/h": "km/hour", "mph": "mile/hour", "m/s": "m/s"}
_TORQUES = dict.fromkeys(("n m", "nm", "n*m", "n·m"), "N m") | dict.fromkeys(
    ("lbf ft", "ft lbf", "lb ft", "ft lb", "lb-ft", "ft-lb"), "lbf foot"
)
_WIND_UPS = dict.fromkeys(("n m/deg", "nm/deg"), "N m/degree") | dict.fromkeys(
    ("lbf ft/deg", "lb ft/deg", "ft lb/deg"), "lbf foot/degree"
)
_LOADS = {"n": "N", "kn": "1000 N", "kg": "kgf", "lb": "lbf", "lbf": "lbf"}
_RATES = {"n/mm": "N/mm", "lbf/in": "lbf/inch", "lb/in": "lbf/inch"}
_ACCELERATIONS = dict.fromkeys(("rad/s2", "rad/s²", "rad/s^2"), "rad/s**2")
_INERTIAS = dict.fromkeys(("kg m2", "kg m²", "kg*m2", "kg·m²"), "kg m**2") | dict.fromkeys(
    ("lb ft2", "lb-ft2"), "pound foot**2"
)
_STRESSES = {"mpa": "1e6 N/m**2", "psi": "lbf/inch**2", "ksi": "1000 lbf/inch**2"}
_TEETH = {"teeth": "1", "tooth": "1"}
_CYLINDERS = {"cylinders": "1", "cylinder": "1"}

LENGTH = Kind("a length", "m", _LENGTHS, "mm", "in")
ANGLE = Kind("an angle", "rad", _ANGLES, "deg", "deg")
ROAD_SPEED = Kind("a road speed", "m/s", _SPEEDS, "km/h", "mph")
SHAFT_SPEED = Kind("a shaft speed", "rad/s", {"rpm": "turn/minute"}, "rpm", "rpm")
STATE_SPEED = Kind(
    "a road or shaft speed",
    "m/s",
    _SPEEDS | {"rpm": "turn/minute"},
    "km/h",
    "mph",
    apart={"rpm": "rad/s"},
)
TORQUE = Kind("a torque", "N m", _TORQUES, "N m", "lbf ft")
LOAD = Kind("a load", "N", _LOADS, "kg", "lb")
MASS = Kind("a mass", "kg", {"kg": "kg", "lb": "pound"}, "kg", "lb")
SPRING_RATE = Kind("a spring rate", "N/m", _RATES, "N/mm", "lbf/in")
WIND_UP = Kind("a wind-up stiffness", "N m/rad", _WIND_UPS, "N m/deg", "lbf ft/deg")
ACCELERATION = Kind("an angular acceleration", "rad/s**2", _ACCELERATIONS, "rad/s2", "rad/s2")
INERTIA = Kind("an inertia", "kg m**2", _INERTIAS, "kg m2", "lb ft2")
STRESS = Kind("a stress", "N/m**2", _STRESSES, "MPa", "ksi")
DURATION = Kind("a duration", "s", {"h": "hour"}, "h", "h")
RATIO = Kind("a ratio", "", {"to 1": "1", ":1": "1"}, "to 1", "to 1")
SHARE = Kind("a share", "", {"%": "percent"}, "%", "%")
TEETH = Kind("a number of teeth", "", _TEETH, "teeth", "teeth")
CYLINDERS = Kind("a number of cylinders", "", _CYLINDERS, "cylinders", "cylinders")
FREQUENCY = Kind("a frequency", "1/s", {"hz": "1/s"}, "Hz", "Hz")
CLOCK = Kind(
    "a clock angle", "rad", _ANGLES | _TEETH, "deg", "deg", apart={"tooth": "", "teeth": ""}
)

KINDS = (
    LENGTH,
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


@functools.cache
def _registry() -> Any:
    """Return a registry of our own units; pint's 0.1 s are spent only when a scene is read."""
    import pint

    registry: Any = pint.UnitRegistry(None)
    for line in DEFINITIONS.strip().splitlines():
        registry.define(line)
    return registry


@functools.cache
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
        Definitions in NIST SP 811 and ISO 80000-3, see ``DEFINITIONS``.
    """
    spelling = spelling.lower()
    expression = kind.spellings[spelling]
    if expression == "1":
        return 1.0
    parse_expression = _registry().parse_expression
    quantity = parse_expression(expression)
    si = kind.apart.get(spelling, kind.si)
    return float(quantity.to(parse_expression(si) if si else "").magnitude)


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


def display_unit(kind: Kind, display: str) -> str:
    """Return the unit in which a display shows a kind of quantity.

    Args:
        kind: Kind of quantity.
        display: "metric" or "inch" [text].

    Returns:
        The unit [text].
    """
    return kind.inch if display == "inch" else kind.metric


def to_display(kind: Kind, value: Any, display: str) -> Any:
    """Return an SI value, or an array of them, in the unit of a display.

    Args:
        kind: Kind of quantity.
        value: Value [SI unit of the kind], any shape.
        display: "metric" or "inch" [text].

    Returns:
        The value [``display_unit(kind, display)``], same shape.

    Example:
        >>> to_display(LENGTH, 0.0254, "inch")
        1.0
    """
    return value / factor(kind, display_unit(kind, display))


def show(kind: Kind, value: float, display: str, decimals: int | None = None) -> str:
    """Return an SI value as a display writes it, with its unit.

    Args:
        kind: Kind of quantity.
        value: Value [SI unit of the kind].
        display: "metric" or "inch" [text].
        decimals: Digits behind the point [-]; default: three digits in all.

    Returns:
        Number and unit [text].

    Example:
        >>> show(LENGTH, 1.9083, "metric", 1)
        '1908.3 mm'
    """
    unit = display_unit(kind, display)
    if decimals is None:
        return f"{say(kind, value, unit)} {unit}"
    return f"{value / factor(kind, unit):.{decimals}f} {unit}"
