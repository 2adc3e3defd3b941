"""Orders of tire, shafts and engine against service manuals; sources beside each number."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.measure.orders import (
    engine_rate,
    firing_order,
    order_frequency,
    orders_at,
    shaft_rate,
    tire_rate,
)

MPH = 0.44704
KMH = 1 / 3.6


def at(speed: float, **plates: float) -> dict[str, float]:
    """Return the frequency [Hz] of every order of a vehicle with these plates, by its name."""
    vehicle = replace(samples.TRUCK, **plates)
    return {order.name: order.frequency for order in orders_at(vehicle, speed)}


def test_the_shaft_of_a_7_hz_tire_and_its_second_order() -> None:
    # Ford F-250 2010 workshop manual, frequency calculations: 7 Hz, 3.08, printed 22 and 44 Hz
    # (rounded up from 21.56).
    shaft = shaft_rate(7.0, 3.08)
    assert round(shaft) == 22
    assert 2 * round(shaft) == 44
    assert order_frequency(shaft, 1) == pytest.approx(21.56, rel=1e-12)


@pytest.mark.parametrize(("mph", "rpm"), [(10, 105), (20, 210), (40, 420), (60, 630)])
def test_an_835_mm_tire_turns_105_rpm_for_every_10_mph(mph: float, rpm: float) -> None:
    # Ford workshop manual: 835 mm tire.  Its free circumference of 835 π mm gives 102.3 rpm; the
    # manual's 105 is that of the loaded tire, so 3 % is what the source supports.
    assert 60 * tire_rate(mph * MPH, np.pi * 0.835) == pytest.approx(rpm, rel=0.03)


def test_420_rpm_are_7_hz() -> None:
    # Ford workshop manual: 40 mph, 420 rpm, 7 Hz.
    assert order_frequency(420 / 60, 1) == pytest.approx(7.0, rel=1e-12)


def test_an_accessory_with_three_shakes_a_turn() -> None:
    # Ford F-250 2010 workshop manual, engine accessory frequency: 2400 rpm × 3: 120 Hz.
    assert order_frequency(2400 / 60, 3) == pytest.approx(120.0, rel=1e-12)


@pytest.mark.parametrize(("per_5_mph", "at_60_mph"), [(1.07, 12.84), (1.17, 14.04)])
def test_a_tire_rotation_worksheet(per_5_mph: float, at_60_mph: float) -> None:
    # GM service manual (Cadillac Seville 2003), tire rotation worksheet: 12 × 1.07 and 12 × 1.17.
    circumference = 5 * MPH / per_5_mph
    assert tire_rate(60 * MPH, circumference) == pytest.approx(at_60_mph, rel=1e-12)


def test_orders_2_and_3_of_that_tire() -> None:
    # GM worksheet: 12.84 rounded to 13, its orders 26 and 39 Hz.
    rate = round(tire_rate(60 * MPH, 5 * MPH / 1.07))
    assert [order_frequency(rate, k) for k in (1, 2, 3)] == [13, 26, 39]


def test_a_p235_75r15_turns_once_a_second_at_5_mph() -> None:
    # GM service manual.  Free diameter 15 in + 2 · 0.75 · 235 mm; it rolls 0.97 of its free
    # circumference (common practice, no source).
    rolled = 0.97 * np.pi * (15 * 0.0254 + 2 * 0.75 * 0.235)
    assert tire_rate(5 * MPH, rolled) == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize(
    ("rpm", "first", "second"), [(600, 10, 20), (1200, 20, 40), (2400, 40, 80)]
)
def test_first_and_second_order_of_a_turning_part(rpm: float, first: float, second: float) -> None:
    # Physics Forums thread 743718.
    assert order_frequency(rpm / 60, 1) == pytest.approx(first, rel=1e-12)
    assert order_frequency(rpm / 60, 2) == pytest.approx(second, rel=1e-12)


def test_the_mesh_of_a_gear_with_13_teeth() -> None:
    # Physics Forums thread 743718: 13 teeth at 1000 rpm: 216.67 Hz.
    assert order_frequency(1000 / 60, 13) == pytest.approx(216.67, abs=0.005)


@pytest.mark.parametrize(
    # Physics Forums thread 743718: a V8 is a fourth order.  The others by the same rule, every
    # cylinder once in two turns: Brake and Front End magazine, order math.
    ("cylinders", "order"),
    [(8, 4), (6, 3), (4, 2), (5, 2.5)],
)
def test_a_four_stroke_engine_fires_half_as_often_as_it_has_cylinders(
    cylinders: float, order: float
) -> None:
    assert firing_order(cylinders) == order


def test_second_order_of_a_shaft_at_100_kmh() -> None:
    # Computed by hand from the chain: 27.777778 / (2 π 0.33) × 3.73 × 2 = 99.94073 Hz.
    found = at(100 * KMH, axle_ratio=3.73, tire_circumference=2 * np.pi * 0.33)
    assert found["shaft, order 2"] == pytest.approx(99.94073, abs=5e-6)
    assert found["shaft, order 1"] == pytest.approx(99.94073 / 2, abs=5e-6)


def test_the_ladder_of_a_whole_vehicle() -> None:
    # Ford and GM arithmetic chained: tire 7 Hz, 3.08, overdrive 0.69, V8: 7, 14, 21.56, 43.12,
    # 14.8764 and 59.5056 Hz.
    found = at(7 * 2.0, axle_ratio=3.08, tire_circumference=2.0, top_gear=0.69, cylinders=8.0)
    assert found == pytest.approx(
        {
            "tire, order 1": 7.0,
            "tire, order 2": 14.0,
            "shaft, order 1": 21.56,
            "shaft, order 2": 43.12,
            "engine, order 1": 14.8764,
            "engine, order 4": 59.5056,
        },
        rel=1e-12,
    )


def test_firing_is_left_out_where_the_cylinders_are_not_known() -> None:
    assert sum(name.startswith("engine") for name in at(20.0, cylinders=None)) == 1


def test_an_engine_in_direct_gear_turns_with_the_shaft() -> None:
    # Definition of a ratio of 1 to 1.
    assert engine_rate(40.0, 1.0) == 40.0
    assert engine_rate(40.0, 0.7) == pytest.approx(28.0)
