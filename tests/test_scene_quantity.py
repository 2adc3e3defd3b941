"""Quantities as the trade writes them: from text to SI and back."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim import units
from sim.scene.quantity import TAILS, QuantityError, parse


@pytest.mark.parametrize(
    ("kind", "text", "value", "spread"),
    [
        (units.LENGTH, "88.9 mm", 0.0889, 0),
        (units.LENGTH, "43-1/2 in", 43.5 * 0.0254, 0),
        (units.LENGTH, "1 5/8 in", 1.625 * 0.0254, 0),
        (units.LENGTH, ".083 in", 0.083 * 0.0254, 0),
        (units.LENGTH, "5/8 IN", 0.625 * 0.0254, 0),
        (units.LENGTH, "43-1/2 in ± 2 mm", 43.5 * 0.0254, 0.002),
        (units.LENGTH, "43-1/2 ± 1/16 in", 43.5 * 0.0254, 0.0254 / 16),
        (units.LENGTH, "568\u00a0+/-\u00a02 mm", 0.568, 0.002),
        (units.ANGLE, "\u22121.2 deg", math.radians(-1.2), 0),
        (units.ANGLE, "-3-1/4 deg", math.radians(-3.25), 0),
        (units.SPRING_RATE, "48 N/mm ± 20 %", 48_000, 9_600),
        (units.SHARE, "90 ± 10 %", 0.9, 0.1),
        (units.SHARE, "90 % ± 10 %", 0.9, 0.1),
        (units.RATIO, "4.10 to 1", 4.1, 0),
        (units.RATIO, "4.10:1", 4.1, 0),
        (units.TEETH, "16 teeth", 16, 0),
        (units.ACCELERATION, "300 rad/s2", 300, 0),
        (units.LOAD, "1448 ± 30 kg", 1448 * 9.80665, 30 * 9.80665),
    ],
)
def test_a_text_stands_for_its_quantity(
    kind: units.Kind, text: str, value: float, spread: float
) -> None:
    found = parse(kind, text)
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.spread == pytest.approx(spread, rel=1e-12)
    assert found.text == text


@pytest.mark.parametrize("tail", TAILS)
def test_what_a_value_was_taken_against_is_kept(tail: str) -> None:
    kind = units.ANGLE if tail == "to level" else units.TORQUE
    number = "2.3 ± 0.1 deg" if kind is units.ANGLE else "6058 N m"
    assert (
        parse(kind, f"{number} {tail}", TAILS[:1] if kind is units.ANGLE else TAILS[1:]).tail
        == tail
    )


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (units.LENGTH, "", "empty; write a length, as in 1 mm"),
        (units.LENGTH, '5-1/2"', "write in for inches: 5-1/2 in"),
        (units.LENGTH, "0 ft 5-1/2 in", "not understood"),
        (units.LENGTH, "1 745 mm", "not understood"),
        (units.LENGTH, "1_745 mm", "unknown unit _745 mm|not understood"),
        (units.LENGTH, "58-5/4 in", "the fraction 5/4 is 1 or more"),
        (units.LENGTH, "16/8 in", "16/8 is 1 or more; write 2"),
        (units.LENGTH, "1/0 in", "1/0 is on no tape"),
        (units.LENGTH, "12 furlongs", "unknown unit furlongs; this is a length: mm, in"),
        (units.LENGTH, "3 MM ± 1 deg", "deg is the unit of an angle; this is a length: mm, in"),
        (units.ANGLE, "3.0 ± 0.25", "the unit is missing; write 3.0 ± 0.25 deg"),
        (units.ANGLE, "10 %", "% is the unit of a share; this is an angle: deg"),
        (units.SHARE, "90", "the unit is missing; write 90 %"),
        (units.WIND_UP, "800 N m", "N m is the unit of a torque; this is a wind-up stiffness"),
        (units.SHAFT_SPEED, "60 Hz", "Hz is the unit of a frequency; this is a shaft speed: rpm"),
        (units.LENGTH, "9" * 61, "longer than 60 characters"),
        (units.LENGTH, "1 mm ± -2 mm", "what follows ± must be above 0"),
    ],
)
def test_what_is_no_quantity_is_refused_in_words(kind: units.Kind, text: str, said: str) -> None:
    with pytest.raises(QuantityError, match=said.replace("(", r"\(")):
        parse(kind, text)


@given(st.integers(0, 200), st.integers(0, 63), st.booleans())
def test_tape_fractions_are_exact(whole: int, part: int, dash: bool) -> None:
    fraction = Fraction(part, 64)
    written = f"{whole}{'-' if dash else ' '}{fraction}" if part else f"{whole}"
    exact = (whole + fraction) * Fraction(254, 10_000)
    assert parse(units.LENGTH, f"{written} in").value == pytest.approx(float(exact), abs=1e-15)


@given(
    st.floats(-1e6, 1e6).map(lambda x: f"{x:.6f}"), st.floats(1e-3, 1e3).map(lambda x: f"{x:.6f}")
)
def test_plus_minus_means_the_same_in_every_form(number: str, spread: str) -> None:
    forms = (f"{number} ± {spread} mm", f"{number} mm +/- {spread} mm", f"{number} ±{spread}mm")
    for found in (parse(units.LENGTH, form) for form in forms):
        assert found.value == pytest.approx(float(number) / 1000, rel=1e-12)
        assert found.spread == pytest.approx(float(spread) / 1000, rel=1e-12)


@given(st.sampled_from(units.KINDS), st.data(), st.integers(-99_999, 99_999))
def test_every_unit_comes_back_from_its_text(
    kind: units.Kind, data: st.DataObject, thousandths: int
) -> None:
    spelling = data.draw(st.sampled_from(sorted(kind.spellings)))
    number = thousandths / 1000
    found = parse(kind, f"{number:.3f} {units.spell(spelling)}")
    assert found.unit == spelling
    assert found.value / units.factor(kind, spelling) == pytest.approx(number, abs=1e-12)


@given(st.sampled_from(units.KINDS), st.text(max_size=70))
def test_any_text_is_a_quantity_or_is_refused(kind: units.Kind, text: str) -> None:
    try:
        found = parse(kind, text)
    except QuantityError:
        return
    assert math.isfinite(found.value)
    assert math.isfinite(found.spread)
