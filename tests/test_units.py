"""Factors of units against their published definitions, and how a display writes values."""

from __future__ import annotations

import math

import pytest

from sim import units

# NIST SP 811 (2008), appendix B.8 and B.9: in and ft, lb and standard gravity are exact; the rest
# follows from them.  Angles: ISO 80000-3.
INCH, FOOT, MILE, POUND, GRAVITY = 0.0254, 0.3048, 1609.344, 0.45359237, 9.80665


@pytest.mark.parametrize(
    ("kind", "unit", "si"),
    [
        (units.LENGTH, "mm", 1e-3),
        (units.LENGTH, "cm", 1e-2),
        (units.LENGTH, "m", 1.0),
        (units.LENGTH, "in", INCH),
        (units.LENGTH, "inch", INCH),
        (units.LENGTH, "ft", FOOT),
        (units.ANGLE, "deg", math.pi / 180),
        (units.ANGLE, "°", math.pi / 180),
        (units.ROAD_SPEED, "km/h", 1 / 3.6),
        (units.ROAD_SPEED, "mph", MILE / 3600),
        (units.ROAD_SPEED, "m/s", 1.0),
        (units.SHAFT_SPEED, "rpm", 2 * math.pi / 60),
        (units.TORQUE, "N m", 1.0),
        (units.TORQUE, "n·m", 1.0),
        (units.TORQUE, "lbf ft", POUND * GRAVITY * FOOT),
        (units.TORQUE, "ft-lb", POUND * GRAVITY * FOOT),
        (units.LOAD, "kg", GRAVITY),
        (units.LOAD, "lb", POUND * GRAVITY),
        (units.LOAD, "lbf", POUND * GRAVITY),
        (units.LOAD, "N", 1.0),
        (units.LOAD, "kN", 1000.0),
        (units.MASS, "kg", 1.0),
        (units.MASS, "lb", POUND),
        (units.SPRING_RATE, "N/mm", 1000.0),
        (units.SPRING_RATE, "lbf/in", POUND * GRAVITY / INCH),
        (units.WIND_UP, "N m/deg", 180 / math.pi),
        (units.WIND_UP, "lbf ft/deg", POUND * GRAVITY * FOOT * 180 / math.pi),
        (units.ACCELERATION, "rad/s2", 1.0),
        (units.ACCELERATION, "rad/s²", 1.0),
        (units.INERTIA, "kg m2", 1.0),
        (units.INERTIA, "lb ft2", POUND * FOOT**2),
        (units.UNBALANCE, "g mm", 1e-6),
        (units.UNBALANCE, "kg mm", 1e-3),
        (units.UNBALANCE, "g in", 0.001 * 0.0254),
        (units.UNBALANCE, "oz in", POUND / 16 * 0.0254),
        (units.STRESS, "MPa", 1e6),
        (units.STRESS, "ksi", 1000 * POUND * GRAVITY / INCH**2),
        (units.STRESS, "psi", POUND * GRAVITY / INCH**2),
        (units.DURATION, "h", 3600.0),
        (units.SHARE, "%", 0.01),
        (units.RATIO, "to 1", 1.0),
        (units.TEETH, "teeth", 1.0),
        (units.CLOCK, "tooth", 1.0),
        (units.CLOCK, "deg", math.pi / 180),
        (units.STATE_SPEED, "km/h", 1 / 3.6),
        (units.STATE_SPEED, "rpm", 2 * math.pi / 60),
    ],
)
def test_a_unit_is_as_large_as_published(kind: units.Kind, unit: str, si: float) -> None:
    assert units.factor(kind, unit) == pytest.approx(si, rel=1e-12)


# NIST SP 811 (2008), appendix B.8, printed to seven digits.
@pytest.mark.parametrize(
    ("kind", "unit", "printed"),
    [
        (units.ROAD_SPEED, "mph", 4.4704e-01),
        (units.TORQUE, "lbf ft", 1.355818),
        (units.LOAD, "lbf", 4.448222),
        (units.SPRING_RATE, "lbf/in", 1.751268e02),
        (units.SHAFT_SPEED, "rpm", 1.047198e-01),
        (units.ANGLE, "deg", 1.745329e-02),
    ],
)
def test_a_factor_agrees_with_the_printed_table(
    kind: units.Kind, unit: str, printed: float
) -> None:
    assert units.factor(kind, unit) == pytest.approx(printed, rel=5e-7)


def test_every_spelling_has_a_factor() -> None:
    for kind in units.KINDS:
        assert all(units.factor(kind, spelling) > 0 for spelling in kind.spellings)
        assert {kind.metric.lower(), kind.inch.lower()} <= set(kind.spellings)


@pytest.mark.parametrize(
    ("kind", "value", "unit", "said"),
    [
        (units.LENGTH, 0.0005, "in", "0.0197"),
        (units.LENGTH, 0.4, "mm", "400"),
        (units.LENGTH, -0.0123456, "mm", "-12.3"),
        (units.SHAFT_SPEED, 736.5, "rpm", "7033"),
    ],
)
def test_a_value_is_said_in_three_digits(
    kind: units.Kind, value: float, unit: str, said: str
) -> None:
    assert units.say(kind, value, unit) == said


def test_units_are_written_with_their_capitals() -> None:
    assert units.spell("n m/deg") == "N m/deg"
    assert units.spell("km/h") == "km/h"
