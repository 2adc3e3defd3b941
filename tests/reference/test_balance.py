"""Residual unbalance against ISO 21940-11: e Ω = G, G16 for drive shafts, G40 for those of cars.

The grade table was read as reproduced at ascentialtech.com; numbers worked out with 40 digits.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.display import METRIC, TRADE_INCH
from sim.measure.balance import (
    GRADES,
    bearing_unbalance,
    measure_balance,
    permissible_unbalance,
    unbalance_force,
)
from sim.measure.measure import measure
from sim.motion.solve import solve

RPM = 2 * np.pi / 60
GRAM_MILLIMETER = 1e-6  # [kg m]


def test_grades_are_those_of_the_standard():
    assert GRADES == (16e-3, 40e-3)


@pytest.mark.parametrize(
    ("grade", "mass", "speed", "expected"),
    [
        (0.016, 10.0, 3000, 509.2958178941),  # g mm, whole shaft
        (0.040, 10.0, 3000, 1273.239544735),
        (0.001, 1.0, 1, 9549.296585514),  # the constant of U = K G m/n
        (0.016, 1.0, 3000, 50.92958178941),  # eccentricity in µm, for each kg
    ],
)
def test_permissible_unbalance_is_as_the_standard_defines(grade, mass, speed, expected):
    found = permissible_unbalance(grade, mass, speed * RPM) / GRAM_MILLIMETER
    assert found == pytest.approx(expected, rel=1e-9)


def test_an_unbalance_turns_with_its_force():
    # 509.2958 g mm at 3000 rpm: m G Ω = 50.26548 N.
    force = unbalance_force(509.295817894 * GRAM_MILLIMETER, 3000 * RPM)
    assert force == pytest.approx(50.26548245744, rel=1e-9)


def test_the_balancer_reads_gram_millimeters_or_ounce_inches():
    # 1 oz = 28.349523125 g, exact; 509.2958 g mm = 0.7072788 oz in.
    unbalance = 509.295817894 * GRAM_MILLIMETER
    assert METRIC.unbalance.of(unbalance) == pytest.approx(509.295817894, rel=1e-12)
    assert TRADE_INCH.unbalance.of(unbalance) == pytest.approx(0.7072787913967, rel=2e-8)


def test_every_shaft_is_balanced_for_its_own_mass_at_top_speed():
    made = samples.two_piece()
    made = replace(
        made, shafts=(replace(made.shafts[0], mass=11.0), replace(made.shafts[1], mass=14.0))
    )
    found = measure(solve(made)).strength.unbalance
    rpm = 155 / 3.6 / 2.545 * 4.1 * 60
    for part, mass in zip(found, (11.0, 14.0), strict=True):
        assert part.speed / RPM == pytest.approx(rpm, rel=1e-12)
        assert part.g16 / GRAM_MILLIMETER == pytest.approx(9549.296585514 * 16 * mass / rpm)
        assert part.g40 / part.g16 == pytest.approx(2.5, rel=1e-12)


def test_a_bearing_feels_half_of_both_shafts_with_the_lever_of_the_overhang():
    # 11 and 14 kg at 3000 rpm, G16: (11 + 14)/2 kg · 0.016 m/s · 314.159 rad/s, 1.2 times by lever;
    # at half the speed a quarter of it.
    made = samples.two_piece()
    made = replace(
        made, shafts=(replace(made.shafts[0], mass=11.0), replace(made.shafts[1], mass=14.0))
    )
    parts = measure_balance(made, 3000 * RPM)
    force = bearing_unbalance(made, parts, np.array([3000, 1500]) * RPM, [1.2])
    expected = 1.2 * 12.5 * 0.016 * 3000 * RPM
    np.testing.assert_allclose(force[:, 0, 0], [expected, expected / 4], rtol=1e-12)
    np.testing.assert_allclose(force[..., 1], 2.5 * force[..., 0], rtol=1e-12)
