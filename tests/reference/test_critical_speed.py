"""Critical speed of tubes against published formulas and a textbook trap; sources beside each."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from chains import RPM

from sim.measure.acceleration import shaft_speed
from sim.measure.critical import (
    STEEL,
    beam_constant,
    critical_speed,
    measure_critical_speeds,
)
from sim.scene.parts import Tube

INCH = 0.0254


def rpm(outside: float, wall: float, length: float, constant: float = STEEL) -> float:
    return float(critical_speed(outside, outside - 2 * wall, length, constant)) / RPM


def test_the_published_metric_form() -> None:
    # IMS Ltd, technical data, critical speeds: 1.21e8 sqrt(D² + d²)/L² in mm.  Computed from it:
    # 76.2 x 2.1082 mm, 1371.6 mm: 6742.0396 rpm.
    assert rpm(0.0762, 0.0021082, 1.3716) == pytest.approx(6742.0396, abs=1e-4)


@pytest.mark.parametrize(
    ("outside", "wall", "length", "expected"),
    # IMS Ltd, the same page in inches, 4.8e6: 0.76 % above its own metric constant.
    [(3.0, 0.083, 54.0, 6793.3014), (3.5, 0.083, 60.0, 6445.0575)],
)
def test_the_published_inch_form_agrees_within_its_own_rounding(
    outside: float, wall: float, length: float, expected: float
) -> None:
    found = rpm(outside * INCH, wall * INCH, length * INCH)
    assert found == pytest.approx(expected, rel=0.0077)
    assert found < expected


@pytest.mark.parametrize(
    ("outside", "wall", "length", "modulus", "density", "expected"),
    [
        # Uniform beam on pinned ends, Euler-Bernoulli, first mode (any text on vibration, e.g.
        # Rao, Mechanical Vibrations); computed at 40 digits.
        (3.0, 0.083, 54, 207e9, 7850, 6741.6687),
        (3.5, 0.083, 60, 207e9, 7850, 6396.0717),
        (4.0, 0.083, 65, 207e9, 7850, 6246.9366),
        (3.5, 0.125, 60, 69e9, 2700, 6221.6277),
        (4.0, 0.125, 65, 69e9, 2700, 6085.6352),
        (3.75, 0.125, 60, 110e9, 1600, 10959.5400),  # carbon, layup dependent
        (76.2 / 25.4, 2.1082 / 25.4, 1500 / 25.4, 207e9, 7850, 5636.8937),
    ],
)
def test_tubes_as_pinned_beams(
    outside: float, wall: float, length: float, modulus: float, density: float, expected: float
) -> None:
    found = rpm(outside * INCH, wall * INCH, length * INCH, beam_constant(modulus, density))
    assert found == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    ("modulus", "density", "constant"),
    [(207e9, 7850, 1.2099334e8), (69e9, 2700, 1.1911153e8), (110e9, 1600, 1.9536533e8)],
)
def test_constants_of_materials(modulus: float, density: float, constant: float) -> None:
    # 7.5 π sqrt(E/ρ) in rpm mm, computed at 40 digits.
    assert 1000 * beam_constant(modulus, density) == pytest.approx(constant, rel=1e-7)


def test_the_published_steel_constant_is_that_of_a_beam() -> None:
    # 206 GPa and 7850 kg/m³ give 1.2070e8 (computed); IMS prints 1.21e8.
    assert 1000 * beam_constant(206e9, 7850) == pytest.approx(1.2070e8, rel=1e-4)
    assert pytest.approx(beam_constant(206e9, 7850), rel=3e-3) == STEEL


def test_a_beam_of_finite_elements_has_the_same_first_mode() -> None:
    """A second method: cubic beam elements with consistent mass, assembled here."""
    outside, inside, length, modulus, density = 0.0762, 0.0719836, 1.5, 207e9, 7850.0
    second = np.pi / 64 * (outside**4 - inside**4)
    area = np.pi / 4 * (outside**2 - inside**2)
    count, h = 20, length / 20
    stiff = (
        np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h * h, -6 * h, 4 * h * h],
            ]
        )
        * modulus
        * second
        / h**3
    )
    heavy = (
        np.array(
            [
                [156, 22 * h, 54, -13 * h],
                [22 * h, 4 * h * h, 13 * h, -3 * h * h],
                [54, 13 * h, 156, -22 * h],
                [-13 * h, -3 * h * h, -22 * h, 4 * h * h],
            ]
        )
        * density
        * area
        * h
        / 420
    )
    size = 2 * (count + 1)
    K, M = np.zeros((size, size)), np.zeros((size, size))
    for e in range(count):
        part = slice(2 * e, 2 * e + 4)
        K[part, part] += stiff
        M[part, part] += heavy
    free = [i for i in range(size) if i not in (0, size - 2)]
    squares = np.linalg.eigvals(np.linalg.solve(M[np.ix_(free, free)], K[np.ix_(free, free)]))
    first = np.sqrt(squares.real.min())
    found = critical_speed(outside, inside, length, beam_constant(modulus, density))
    assert float(found) == pytest.approx(first, rel=1e-5)


@pytest.mark.parametrize(
    ("modulus", "density", "printed", "distributed"),
    # Problem at tutorsglobe.com (51462760): 48 in, 3 in outside, 1/8 in wall; 29 Mpsi and
    # 0.00883 slug/in³, 10 Mpsi and 0.00305.  Its answers, 5800 and 5795 rpm, put all mass at
    # mid-span; a tube whose mass is spread gives 8262.30 and 8255.29 rpm (computed).
    [(29e6, 0.00883, 5800, 8262.2984), (10e6, 0.00305, 5795, 8255.2895)],
)
def test_a_textbook_answer_with_all_mass_at_mid_span_is_another_formula(
    modulus: float, density: float, printed: float, distributed: float
) -> None:
    psi, slug_per_cubic_inch = 4.4482216152605 / INCH**2, 14.593902937206 / INCH**3
    constant = beam_constant(modulus * psi, density * slug_per_cubic_inch)
    found = rpm(3 * INCH, 0.125 * INCH, 48 * INCH, constant)
    assert found == pytest.approx(distributed, rel=1e-7)
    lumped = found * np.sqrt(48 / np.pi**4)
    assert lumped == pytest.approx(printed, abs=1.5)


def test_steel_and_aluminum_differ_little() -> None:
    # The textbook pair above: 5800 against 5795.  Handbook values 207/7850 and 69/2700: 1.6 %.
    ratio = beam_constant(207e9, 7850) / beam_constant(69e9, 2700)
    assert ratio == pytest.approx(1.0158, abs=1e-4)


def test_the_safe_share_of_a_published_example() -> None:
    # IMS Ltd: no more than 0.70 of critical (automotive); 6742.0396 rpm gives 4719.4277 (computed).
    truck = samples.one_piece()
    tube = Tube(outside=0.0762, wall=0.0021082, material="steel")
    shaft = replace(truck.shafts[0], tube=tube)
    found = measure_critical_speeds(replace(truck, shafts=(shaft,)), [1.3716])[0]
    turns = found.safe_road_speed / truck.vehicle.tire_circumference * truck.vehicle.axle_ratio
    assert 60 * turns == pytest.approx(4719.4277, abs=1e-4)
    assert found.speed / RPM == pytest.approx(6742.0396, abs=1e-4)


def test_half_critical_is_where_twice_per_turn_meets_bending() -> None:
    # Cardan India, speed limits: joints excite twice per turn; keep away from half of critical.
    truck = samples.one_piece()
    found = measure_critical_speeds(truck, [1.9])[0]
    twice_per_turn = 2 * shaft_speed(truck.vehicle, found.half_road_speed)
    assert twice_per_turn == pytest.approx(found.speed, rel=1e-12)


@pytest.mark.parametrize(
    ("share", "maker"),
    [(0.70, "IMS, automotive"), (0.65, "IMS, industrial"), (0.75, "Cardan India")],
)
def test_makers_use_different_shares(share: float, maker: str) -> None:
    # IMS Ltd, technical data; Cardan India, speed limits (printed "x 7.5", read as 0.75).
    truck = samples.one_piece(limits=replace(samples.LIMITS, safe_share=share))
    found = measure_critical_speeds(truck, [1.5])[0]
    assert found.safe_road_speed / found.road_speed == pytest.approx(share, rel=1e-12), maker


def test_aluminum_uses_the_beam_and_says_so() -> None:
    tube = Tube(outside=3.5 * INCH, wall=0.125 * INCH, material="aluminum")
    truck = samples.one_piece()
    shaft = replace(truck.shafts[0], tube=tube)
    found = measure_critical_speeds(replace(truck, shafts=(shaft,)), [60 * INCH])[0]
    # The pinned beam above: 6221.6277 rpm.
    assert found.speed / RPM == pytest.approx(6221.6277, abs=1e-4)
    assert "69 GPa" in found.formula
    assert "IMS" in measure_critical_speeds(truck, [1.9])[0].formula
