"""Road speed, shaft speed and orders against service manuals; sources beside each number."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.measure.acceleration import shaft_speed

MPH = 0.44704
KMH = 1 / 3.6
HERTZ = 2 * np.pi


def vehicle(axle_ratio: float, circumference: float):
    return replace(samples.TRUCK, axle_ratio=axle_ratio, tire_circumference=circumference)


def test_first_order_of_the_shaft_is_the_tire_order_times_the_axle_ratio() -> None:
    # Ford F-250 2010 workshop manual, frequency calculations: tire 7 Hz, 3.08, shaft 22 Hz
    # (printed rounded; 21.56).
    found = shaft_speed(vehicle(3.08, 2.0), 7 * 2.0) / HERTZ
    assert found == pytest.approx(22, abs=0.5)
    assert found == pytest.approx(21.56, rel=1e-12)


def test_a_tire_of_835_mm_at_40_mph() -> None:
    # Ford Escort 2001 workshop manual: 835 mm tire, 105 rpm for every 10 mph, 40 mph: 7 Hz.
    # Its rolling circumference follows: 10 mph over 105 rpm.
    circumference = 10 * MPH * 60 / 105
    assert shaft_speed(vehicle(1.0, circumference), 40 * MPH) / HERTZ == pytest.approx(7.0)
    assert circumference / (np.pi * 0.835) == pytest.approx(1.0, abs=0.03)


def test_a_worksheet_tire_at_60_mph() -> None:
    # GM service manual (Cadillac Seville 2003): 1.07 Hz for every 5 mph, 60 mph: 12.84 Hz.
    circumference = 5 * MPH / 1.07
    assert shaft_speed(vehicle(1.0, circumference), 60 * MPH) / HERTZ == pytest.approx(12.84)


def test_a_p235_75r15_turns_once_a_second_at_5_mph() -> None:
    # GM service manual (Cadillac Seville 2003).  Free diameter 15 in + 2 · 0.75 · 235 mm; loaded
    # radius 0.97 of the free one (common practice, no source).
    radius = 0.97 * (15 * 25.4 + 2 * 0.75 * 235) / 2000
    found = shaft_speed(vehicle(1.0, 2 * np.pi * radius), 5 * MPH) / HERTZ
    assert found == pytest.approx(1.0, abs=0.03)


def test_second_order_of_a_shaft_at_100_kmh() -> None:
    # Computed from the chain above: 100 km/h, rolling radius 0.33 m, 3.73: 99.94073 Hz.
    found = shaft_speed(vehicle(3.73, 2 * np.pi * 0.33), 100 * KMH)
    assert 2 * found / HERTZ == pytest.approx(99.94073026, rel=1e-9)


@pytest.mark.parametrize(
    ("rpm", "first", "second"), [(600, 10, 20), (1200, 20, 40), (2400, 40, 80)]
)
def test_orders_of_a_turning_shaft(rpm: float, first: float, second: float) -> None:
    # Physics Forums thread 743718: first and second order frequencies of a shaft [Hz].
    found = shaft_speed(vehicle(1.0, 1.0), rpm / 60) / HERTZ
    assert found == pytest.approx(first)
    assert 2 * found == pytest.approx(second)
