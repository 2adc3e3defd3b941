"""Lengths as a tape shows them, against the marks of a tape: an inch is 25.4 mm exactly."""

from __future__ import annotations

import math

import pytest

from sim.display import inch_fraction, on_tape

INCH = 0.0254


@pytest.mark.parametrize(
    ("value", "display", "text"),
    [
        (0.6514, "metric", "651 mm"),
        (0.6516, "metric", "652 mm"),
        (-0.0026, "metric", "−3 mm"),
        (14.09375 * INCH, "inch", "14-3/32 in"),
        (14.5 * INCH, "inch", "14-1/2 in"),
        (14 * INCH, "inch", "14 in"),
        (0.75 * INCH, "inch", "3/4 in"),
        (0.01 * INCH, "inch", "0 in"),
        (-1.25 * INCH, "inch", "−1-1/4 in"),
    ],
)
def test_a_length_stands_on_the_nearest_mark(value: float, display: str, text: str) -> None:
    assert on_tape(value, display) == text
    assert on_tape(value, display, unit=False) == text.rpartition(" ")[0]


@pytest.mark.parametrize("display", ["metric", "inch"])
def test_an_end_is_rounded_to_its_side_and_a_mark_stays(display: str) -> None:
    step = {"metric": 1e-3, "inch": INCH / 32}[display]
    for marks in (3, 37, 1411):
        assert on_tape(marks * step, display, to=math.floor) == on_tape(marks * step, display)
        assert on_tape(marks * step, display, to=math.ceil) == on_tape(marks * step, display)
        above = on_tape((marks + 1) * step, display)
        assert on_tape((marks + 0.01) * step, display, to=math.ceil) == above
        assert on_tape((marks + 0.99) * step, display, to=math.floor) == on_tape(
            marks * step, display
        )


def test_fractions_are_reduced() -> None:
    names = {1: "1/32", 2: "1/16", 4: "1/8", 8: "1/4", 16: "1/2", 24: "3/4", 31: "31/32"}
    assert {n: inch_fraction(n) for n in names} == names
